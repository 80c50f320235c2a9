#include "daemon/core/state/rooted.h"

#include "daemon/core/chem/ions.h"
#include "daemon/core/state/root_gas.h"

#include <math.h>

#define TAKES_MMOL_MS 0.65 /* rooted.h */
#define P_MG_MMOL     30.974

/* How far the account may be off, as a share of it and in mmol/L; and what a dose is known by. Our
 * own estimates: a label, a plant's taste; a syringe, two readings of one meter. */
#define OFF_FRAC        0.4
#define OFF_MMOL_L      0.3
#define DOSE_NOISE_FRAC 0.10
#define STEP_NOISE      0.07
#define GAS_OFF         3.0 /* as a factor */
#define STEP_LEAST      0.25
#define MOST_MMOL_L     30.0 /* no solution that feeds plants holds more */
#define HALVINGS        30

void rooted_stand(const struct room *room, struct state *s, size_t i, const struct forecast *then)
{
    struct container_state *cs = &s->container[i];
    double drew_l = fmax(0, then->drawn_l - cs->drawn_l);
    double use_l = forecast_drunk_l(cs, then);
    const struct stage *stage;
    double mmol;

    if (cs->crop < 0 || then->stage < 0 || !(then->body.volume_l > 0)) {
        return;
    }
    stage = &room->crop[cs->crop].stage[then->stage];
    mmol = cs->phosphate_mmol_l * cs->body.volume_l +
           s->reservoir.feed.mg[NUTRIENT_P] / P_MG_MMOL * drew_l -
           TAKES_MMOL_MS * stage->uptake_ms_cm * cs->appetite * use_l;
    cs->phosphate_mmol_l = fmin(MOST_MMOL_L, fmax(0, mmol) / then->body.volume_l);
}

void rooted_feed(struct container_state *cs, const struct nutrients *mg, double volume_l)
{
    if (volume_l > 0) {
        cs->phosphate_mmol_l += mg->mg[NUTRIENT_P] / P_MG_MMOL / volume_l;
    }
}

void rooted_pour(struct container_state *cs, double before_l, const struct nutrients *mg_l,
                 double poured_l)
{
    double brings = mg_l ? mg_l->mg[NUTRIENT_P] / P_MG_MMOL : 0;

    if (before_l + poured_l > 0) {
        cs->phosphate_mmol_l =
            (cs->phosphate_mmol_l * before_l + brings * poured_l) / (before_l + poured_l);
    }
}

/* mmol/L of the reagent that take the solution to a pH, did it hold so much phosphate: it shows the
 * same pH before, with the same gas. INFINITY where the reagent cannot. */
static double dose_with(const struct dissolved *before, double phosphate_mmol_l,
                        enum reagent reagent, double ph_to)
{
    struct dissolved w = *before;
    double gas_mmol_l = balance_gas_mmol_l(before);
    double mmol_l;

    w.ions.mmol_l[ION_H2PO4] = phosphate_mmol_l;
    balance_hold_gas(&w, balance_ph_closed(before), gas_mmol_l);
    return balance_dose_closed(&w, reagent, ph_to, &mmol_l, NULL) < 0 ? INFINITY : mmol_l;
}

/* The phosphate by which a dose does what it did. */
static double phosphate_of(const struct dissolved *before, enum reagent reagent, double mmol_l,
                           double ph_to)
{
    double lo = 0;
    double hi = MOST_MMOL_L;

    for (int k = 0; k < HALVINGS; k++) {
        double mid = (lo + hi) / 2;

        if (dose_with(before, mid, reagent, ph_to) < mmol_l) {
            lo = mid;
        } else {
            hi = mid;
        }
    }
    return (lo + hi) / 2;
}

/* The same, did it hold so many times the gas. */
static double seen_with(const struct rooted_dose *d, double times, enum reagent reagent,
                        double mmol_l)
{
    struct dissolved w = *d->before;

    balance_hold_gas(&w, balance_ph_closed(d->before), times * balance_gas_mmol_l(d->before));
    return phosphate_of(&w, reagent, mmol_l, d->ph_to);
}

void rooted_see(const struct room *room, struct state *s, size_t i, const struct rooted_dose *d)
{
    struct container_state *cs = &s->container[i];
    const struct product *p = &room->product[d->product];
    double ph_from = balance_ph_closed(d->before);
    double step = d->ph_to - ph_from;
    bool believed = isfinite(s->product[d->product].strength.var) && d->volume_l > 0;
    double mmol_l =
        d->amount_ml / (waters_ml_mmol(p) * s->product[d->product].strength.value) / d->volume_l;
    double seen;
    double by_gas;
    double seen_sd;
    double off_sd;

    if (!believed || fabs(step) < STEP_LEAST ||
        p->kind != (step < 0 ? PRODUCT_ACID : PRODUCT_BASE)) {
        return;
    }
    seen = phosphate_of(d->before, waters_reagent(p), mmol_l, d->ph_to);
    if (ph_from > ROOT_GAS_PH_HIGHEST && seen > cs->phosphate_mmol_l) {
        return; /* it may as well be the carbonate's doing: believed where it asks for less */
    }
    /* What may be the gas's doing says little of phosphate. */
    by_gas = fmax(fabs(seen - seen_with(d, GAS_OFF, waters_reagent(p), mmol_l)),
                  fabs(seen - seen_with(d, 1 / GAS_OFF, waters_reagent(p), mmol_l)));
    seen_sd = hypot((fmax(seen, cs->phosphate_mmol_l) + OFF_MMOL_L) *
                        hypot(DOSE_NOISE_FRAC, STEP_NOISE / fabs(step)),
                    by_gas);
    off_sd = OFF_FRAC * fmax(seen, cs->phosphate_mmol_l) + OFF_MMOL_L;
    cs->phosphate_mmol_l +=
        (seen - cs->phosphate_mmol_l) * off_sd * off_sd / (off_sd * off_sd + seen_sd * seen_sd);
}
