/* ions.h - the ions of a solution, and how well they conduct.
 *
 * Pure. mmol/L at 25 C. The conductivity is estimated from the limiting molar conductivities of the
 * ions (CRC Handbook of Chemistry and Physics, "Ionic conductivity and diffusion at infinite
 * dilution"), the law of Debye, Hueckel and Onsager with a size of the ions, and the pairs that
 * they form (ions.c has the constants and their sources).
 *
 * Single salts of one charge are within 0.7 % up to 0.1 eq/L, others within 3 %; mixed salts within
 * 3 % of a reference program, published recipes within 7 % (tests/published/check_conductance.c).
 * Iron and trace elements are left out, and hydrogen ions: they add less than 0.01 mS/cm above pH
 * 4.5. */
#ifndef TARN_CORE_CHEM_IONS_H
#define TARN_CORE_CHEM_IONS_H

#include "daemon/core/chem/nutrient.h"

enum ion {
    ION_K,
    ION_NA,
    ION_NH4,
    ION_CA,
    ION_MG,
    ION_NO3,
    ION_CL,
    ION_H2PO4,
    ION_HCO3,
    ION_SO4,
    ION_COUNT
};

struct ions {
    double mmol_l[ION_COUNT]; /* >= 0 */
};

/* The ions of mg/L of nutrients: S as sulfate, P as dihydrogen phosphate (pH below 6.5). What a
 * label leaves out to make the charges even is taken for bicarbonate or sodium. */
struct ions ions_of_nutrients(const struct nutrients *mg_l);

/* By how much the estimate below may be off for such a label, as a share of it: 0.1, and up to 0.5
 * more where the charges that ions_of_nutrients made up are a large part of them all. */
double ions_ec_off_frac(const struct nutrients *mg_l);

/* mS/cm at 25 C, of the ions together. */
double ions_ec_ms_cm(const struct ions *i);

/* What of them floats by itself; the rest is paired. */
struct ions ions_alone(const struct ions *i);

/* S cm2/mol of an ion of this limiting conductivity and charge in a solution of an ionic strength,
 * mol/L, among ions of the other sign whose mean charge (by charges) is `round`. */
double ions_conductivity(double limiting, int charge, double round, double strength);

#endif
