/* formula.h - chemical formulas, and what a mole of them weighs.
 *
 * Pure. Elements are those that a nutrient solution is made of. Molar masses: IUPAC abridged
 * standard atomic weights (Prohaska et al. 2022, Pure Appl. Chem. 94:573-600), five digits. */
#ifndef TARN_CORE_CHEM_FORMULA_H
#define TARN_CORE_CHEM_FORMULA_H

struct err;

enum element {
    ELEMENT_H,
    ELEMENT_B,
    ELEMENT_C,
    ELEMENT_N,
    ELEMENT_O,
    ELEMENT_NA,
    ELEMENT_MG,
    ELEMENT_SI,
    ELEMENT_P,
    ELEMENT_S,
    ELEMENT_CL,
    ELEMENT_K,
    ELEMENT_CA,
    ELEMENT_MN,
    ELEMENT_FE,
    ELEMENT_CU,
    ELEMENT_ZN,
    ELEMENT_MO,
    ELEMENT_COUNT
};

struct formula {
    double atoms[ELEMENT_COUNT]; /* in one formula unit, water of crystallisation included */
    double nitrate_n;            /* of the N: as NO3 … */
    double ammonium_n;           /* … and as NH4; the rest is in another form */
};

#define FORMULA_LEN_MAX 63

/* Reads "KNO3", "Ca(NO3)2.4H2O", "MgSO4*7H2O", "5Ca(NO3)2.NH4NO3.10H2O"; '·' serves too. ERR_SYNTAX
 * with what is wrong: an element that no nutrient solution has, a bracket left open, a count of
 * 0. */
int formula_parse(const char *text, struct formula *out, struct err *e);

/* g in a mole. */
double element_molar_mass_g(enum element el);
double formula_molar_mass_g(const struct formula *f);

/* Share of the weight that is this element, 0 to 1. */
double formula_mass_frac(const struct formula *f, enum element el);

#endif
