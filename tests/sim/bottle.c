#include "tests/sim/bottle.h"

#include <math.h>

#define MG_CACO3_MEQ   50.04
#define MEQ_PER_MS_CM  10.0 /* of either charge, in a water of 1 mS/cm (Standard Methods 1030 E) */
#define ALKALINE_FRAC  0.6  /* of the anions of a supply that nobody has analysed */
#define CA_OF_ALKALI   0.40 /* mmol/L for each meq/L of alkalinity … */
#define MG_OF_ALKALI   0.08
#define SALT_MOST      60.0 /* mmol/L */
#define HALVINGS       40
#define UNKNOWN_ACID_M 1.0 /* mol/L of phosphoric acid in a bottle that does not say */
#define HOAGLAND_MS_CM 2.1 /* of the full solution */

/* g/mol: IUPAC abridged. */
static const double grams_mol[WATER_ION_N] = {
    [WATER_NO3] = 14.007, [WATER_NH4] = 14.007, [WATER_P] = 30.974,
    [WATER_K] = 39.098,   [WATER_CA] = 40.078,  [WATER_MG] = 24.305,
    [WATER_SO4] = 32.06,  [WATER_NA] = 22.990,  [WATER_CL] = 35.45,
};

static const enum nutrient label_of[WATER_ION_N] = {
    [WATER_NO3] = NUTRIENT_NO3_N, [WATER_NH4] = NUTRIENT_NH4_N, [WATER_P] = NUTRIENT_P,
    [WATER_K] = NUTRIENT_K,       [WATER_CA] = NUTRIENT_CA,     [WATER_MG] = NUTRIENT_MG,
    [WATER_SO4] = NUTRIENT_S,     [WATER_NA] = NUTRIENT_NA,     [WATER_CL] = NUTRIENT_CL,
};

struct water_body bottle_source(const struct source_water *s)
{
    double alkali = isfinite(s->alkalinity_mg_l) ? s->alkalinity_mg_l / MG_CACO3_MEQ
                                                 : ALKALINE_FRAC * MEQ_PER_MS_CM * s->ec_ms_cm;
    struct water_body w = {.volume_l = 1};
    double lo = 0;
    double hi = SALT_MOST;

    for (int i = 0; i < HALVINGS; i++) {
        double salt = (lo + hi) / 2;

        w.mmol[WATER_CA] = CA_OF_ALKALI * alkali + 0.25 * salt;
        w.mmol[WATER_MG] = MG_OF_ALKALI * alkali;
        w.mmol[WATER_NA] = (1 - 2 * CA_OF_ALKALI - 2 * MG_OF_ALKALI) * alkali + salt;
        w.mmol[WATER_CL] = salt;
        w.mmol[WATER_SO4] = 0.25 * salt;
        water_set_ph(&w, isfinite(s->ph) ? s->ph : 7.5);
        if (water_ec_ms_cm(&w) < s->ec_ms_cm) {
            lo = salt;
        } else {
            hi = salt;
        }
    }
    return w;
}

/* Charges made even: a label that says more cations than anions left chloride out, or else sodium.
 * */
static void make_even(double mmol[WATER_ION_N])
{
    struct water_body alone = {.volume_l = 1};
    double over;

    for (int i = 0; i < WATER_ION_N; i++) {
        alone.mmol[i] = mmol[i];
    }
    over = water_alkalinity_meq_l(&alone);
    mmol[over > 0 ? WATER_CL : WATER_NA] += fabs(over);
}

static bool add_reagent(struct water_body *to, const struct product *p, double ml)
{
    double mmol = ml * p->mol_ml * 1e3;

    switch (p->reagent) {
    case REAGENT_PHOSPHORIC:
        to->mmol[WATER_P] += mmol;
        return true;
    case REAGENT_NITRIC:
        to->mmol[WATER_NO3] += mmol;
        return true;
    case REAGENT_SULFURIC:
        to->mmol[WATER_SO4] += mmol;
        return true;
    case REAGENT_CITRIC:
        to->citrate_mmol += mmol;
        return true;
    case REAGENT_KOH:
        to->mmol[WATER_K] += mmol;
        return true;
    case REAGENT_KHCO3:
        to->mmol[WATER_K] += mmol;
        to->carbonate_mmol += mmol;
        return true;
    case REAGENT_NONE:
    case REAGENT_COUNT:
        break;
    }
    if (p->kind == PRODUCT_ACID || p->kind == PRODUCT_BASE) {
        to->mmol[p->kind == PRODUCT_ACID ? WATER_P : WATER_K] += ml * UNKNOWN_ACID_M;
        return true;
    }
    return false;
}

/* The full dose of a recipe that says no more than its EC: Hoagland 2 of that strength, an equal
 * share in each of its bottles. */
static void add_unlabelled(struct water_body *to, const struct room *room, size_t product,
                           double amount)
{
    static const double hoagland[WATER_ION_N] = {
        [WATER_NO3] = 14, [WATER_NH4] = 1, [WATER_P] = 1,   [WATER_K] = 6,
        [WATER_CA] = 4,   [WATER_MG] = 2,  [WATER_SO4] = 2,
    };

    for (size_t r = 0; r < room->n_recipes; r++) {
        const struct recipe *recipe = &room->recipe[r];

        for (size_t k = 0; k < recipe->n_doses; k++) {
            if (recipe->dose[k].product == product) {
                double litres = amount / recipe->dose[k].per_l / (double)recipe->n_doses;

                for (int i = 0; i < WATER_ION_N; i++) {
                    to->mmol[i] += hoagland[i] * litres * recipe->ec_gain_ms_cm / HOAGLAND_MS_CM;
                }
                return;
            }
        }
    }
}

void bottle_add(struct water_body *to, const struct room *room, size_t product, double amount)
{
    const struct product *p = &room->product[product];
    double mmol[WATER_ION_N];

    if (add_reagent(to, p, amount)) {
        return;
    }
    if (nutrients_none(&p->contents)) {
        add_unlabelled(to, room, product, amount);
        return;
    }
    for (int i = 0; i < WATER_ION_N; i++) {
        mmol[i] = p->contents.mg[label_of[i]] * amount / grams_mol[i];
    }
    mmol[WATER_NO3] += p->contents.mg[NUTRIENT_UREA_N] * amount / grams_mol[WATER_NO3];
    make_even(mmol);
    for (int i = 0; i < WATER_ION_N; i++) {
        to->mmol[i] += mmol[i];
    }
}
