/* water.h - a body of water as a chemist has it: its ions, their charges, and the air above it.
 *
 * The truth of a simulated room. It shares no line with the model that is measured by it: amounts
 * of ions are kept, alkalinity is nothing but the charges that are left over, pH is what balances
 * them, and a meter shows what the ions conduct. tests/unit/test_sim_water.c holds it to a
 * reference program.
 *
 * Left out, since an independent and simple truth was wanted: what falls out, iron and trace
 * elements (they conduct under 0.01 mS/cm), ammonia, and the temperature of the equilibria. */
#ifndef TARN_TESTS_SIM_WATER_H
#define TARN_TESTS_SIM_WATER_H

enum water_ion {
    WATER_NO3,
    WATER_NH4,
    WATER_P, /* phosphate, as dihydrogen phosphate */
    WATER_K,
    WATER_CA,
    WATER_MG,
    WATER_SO4,
    WATER_NA,
    WATER_CL,
    WATER_ION_N
};

struct water_body {
    double volume_l;
    double mmol[WATER_ION_N]; /* in all of it */
    double citrate_mmol;
    double carbonate_mmol; /* with the dissolved gas */
};

/* mmol/L of an ion; 0 in an empty vessel. */
double water_mmol_l(const struct water_body *w, enum water_ion ion);

/* Charges of cations less those of anions, with phosphate at one: what bicarbonate and the rest
 * must even out. Below 0 in an acid water. */
double water_alkalinity_meq_l(const struct water_body *w);

/* What balances the charges, 1.5 to 11.5. */
double water_ph(const struct water_body *w);

/* mS/cm at 25 C (McCleskey, Nordstrom, Ryan & Ball 2012, Geochim. Cosmochim. Acta 77:369;
 * dihydrogen phosphate, which it lacks, from its limiting conductivity of 33). */
double water_ec_ms_cm(const struct water_body *w);

/* The part of it that is sodium, chloride, sulfate and bicarbonate, of which plants take little. */
double water_ballast_ms_cm(const struct water_body *w);

/* The carbonate that makes the pH this; for a water whose report gives both. */
void water_set_ph(struct water_body *w, double ph);

/* Stands open for some hours under a partial pressure of carbon dioxide (atm): 4.2e-4 is the open
 * air, roots make it several times that. rate_day is the share of the way to the balance in a day.
 * */
void water_breathe(struct water_body *w, double hours, double co2_atm, double rate_day);

/* Moves litres of one into the other: at most what there is. */
void water_pour(struct water_body *to, struct water_body *from, double litres);

/* The same from a water that has no end. */
void water_pour_like(struct water_body *to, const struct water_body *like, double litres);

/* Pure water goes, what is dissolved stays. */
void water_evaporate(struct water_body *w, double litres);

/* All but this many litres goes down the drain. */
void water_drain_to(struct water_body *w, double litres);

#endif
