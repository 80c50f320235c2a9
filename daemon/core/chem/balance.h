/* balance.h - the pH of a water from what is dissolved in it, and the acid or base that moves it.
 *
 * Pure. The charges of a water are balanced: what carbonate, phosphate, citrate, ammonium,
 * hydroxide and hydrogen ions hold at a pH must be the water's alkalinity. Alkalinity is what
 * stays: it is used up by acid and added by base, adds up when waters are mixed, and does not
 * change when carbon dioxide leaves or enters. Carbonate does, so a water is reckoned either
 * closed (just after a dose, its carbonate given) or open (after a day, in balance with the air).
 *
 * Alkalinity here is counted from carbonic acid, dihydrogen phosphate, ammonium,
 * citric acid and sulfate: nutrients given as salts of these bring none. For a plain
 * water it is what a water report calls total alkalinity.
 *
 * Concentrations are turned into activities (Davies 1962), and calcium, magnesium, sodium and
 * potassium pair with carbonate, phosphate, sulfate and citrate. Constants at 25 C: phreeqc.dat of
 * PHREEQC 3 (Parkhurst & Appelo 2013), citrate of minteq.v4.dat, from memory; that of carbonic acid
 * by temperature: Harned & Davis 1943. tests/published/check_balance.c holds it to 36 titrations by
 * that program. */
#ifndef TARN_CORE_CHEM_BALANCE_H
#define TARN_CORE_CHEM_BALANCE_H

#include "daemon/core/chem/ions.h"
#include "daemon/core/chem/reagent.h"

struct err;

/* What is dissolved, mmol/L in all its forms. */
struct dissolved {
    double alkalinity_meq_l; /* as above; below 0 where acid was added beyond it */
    double carbonate_mmol_l; /* with the dissolved gas; of no meaning for an open water */
    double citrate_mmol_l;
    struct ions ions; /* of phosphate all of it stands at H2PO4; HCO3 is not looked at */
    double temp_c;
};

/* pH of the water as it is, closed; and once it is in balance with the air (0.04 %
 * carbon dioxide). */
double balance_ph_closed(const struct dissolved *w);
double balance_ph_open(const struct dissolved *w);

/* And once it holds so much dissolved gas, whatever air or roots keep that up. */
double balance_ph_with_gas(const struct dissolved *w, double gas_mmol_l);

/* The carbonate that a water of this alkalinity and pH holds, mmol/L; at least 0. */
double balance_carbonate_mmol_l(const struct dissolved *w, double ph);

/* The carbonate that it holds in balance with the air at a pH. */
double balance_carbonate_open_mmol_l(const struct dissolved *w, double ph);

/* The alkalinity of a water that shows this pH: of its own carbonate, just stirred; or in balance
 * with the air. Below 0 in a water that is more acid than carbonic acid makes it. */
double balance_alkalinity_closed_meq_l(const struct dissolved *w, double ph);
double balance_alkalinity_open_meq_l(const struct dissolved *w, double ph);

/* Lets it stand open to the air for so many days: its carbonate goes towards balance with it.
 *
 * Gas passes the surface of a sheltered water at about 0.5 m a day (Cole & Caraco 1998,
 * Limnol. Oceanogr. 43:647, a lake at low wind; from memory), and a bucket or a tank is
 * taken to be 0.4 m deep: a day brings a freshly dosed water near the balance. */
void balance_stand(struct dissolved *w, double days);

/* The carbon dioxide that a closed water holds as gas, mmol/L, and what is left of so much after
 * days in the open: the excess over the air's balance goes at the rate of balance_stand. */
double balance_gas_mmol_l(const struct dissolved *w);
double balance_gas_after_mmol_l(double gas_mmol_l, double days);

/* What comes in from the air in a day, mmol/L, into a water that takes up all of it as its pH
 * climbs. */
double balance_gas_in_mmol_l(void);

/* A water that shows this pH while it holds so much gas: its alkalinity and carbonate follow. */
void balance_hold_gas(struct dissolved *w, double ph, double gas_mmol_l);

/* Activities of what may fall out of it as salts of calcium, mol/L, where the closed water shows
 * this pH. */
struct balance_active {
    double ca, co3, so4, hpo4;
};
struct balance_active balance_active(const struct dissolved *w, double ph);

/* Adds mmol_l of the reagent; below 0 takes it away. */
void balance_add(struct dissolved *w, enum reagent r, double mmol_l);

/* mmol/L of the reagent that bring the closed water to a pH, or that hold it there in
 * balance with the air. An acid goes down and a base up: 0 the other way. ERR_RANGE
 * where the reagent cannot get there. */
int balance_dose_closed(const struct dissolved *w, enum reagent r, double ph_to, double *out_mmol_l,
                        struct err *e);
int balance_dose_open(const struct dissolved *w, enum reagent r, double ph_to, double *out_mmol_l,
                      struct err *e);

#endif
