#include "daemon/core/state/dosing.h"

#include "daemon/core/model/solution.h"

#include <math.h>
#include <stdio.h>

#define NINE_IN_TEN_SD   1.645 /* normal quantile of 0.95: one in twenty to either side */
#define BALANCE_OFF_FRAC 0.25  /* activity, gases and a label's rounding; common practice */
#define ROOM_C           25.0  /* of solutions in a room; the balance hardly moves with it */

double dosing_base_ec(const struct room *room, const struct state *s)
{
    const struct reservoir_state *r = &s->reservoir;

    return r->at_s && !r->holds_mix && r->body.volume_l > 0 ? r->body.ec_ms_cm
                                                            : room->source.ec_ms_cm;
}

double dosing_mix_base_ec(const struct room *room, const struct state *s, size_t recipe,
                          double volume_l)
{
    const struct reservoir_state *r = &s->reservoir;
    double base_ec = dosing_base_ec(room, s);

    if (!r->holds_mix || r->recipe != (int)recipe || !(volume_l > r->body.volume_l)) {
        return base_ec;
    }
    return solution_mix(r->body, (struct liquid){volume_l - r->body.volume_l, base_ec}).ec_ms_cm;
}

/* Of the full dose, the share that adds this much, by what was learned of the recipe. */
static double dose_share(const struct state *s, size_t recipe, double ec_gain_ms_cm)
{
    return solution_dose(ec_gain_ms_cm, 0, s->recipe[recipe].gain.value);
}

size_t dosing_amounts(const struct room *room, const struct state *s, size_t recipe,
                      double volume_l, double ec_gain_ms_cm, struct amount out[ROOM_DOSES_MAX])
{
    const struct recipe *r = &room->recipe[recipe];
    double share = dose_share(s, recipe, ec_gain_ms_cm);

    for (size_t i = 0; i < r->n_doses; i++) {
        (void)snprintf(out[i].product, sizeof out[i].product, "%s",
                       room->product[r->dose[i].product].name);
        out[i].amount = volume_l * share * r->dose[i].per_l;
    }
    return r->n_doses;
}

size_t dosing_portions(const struct room *room, const struct state *s, size_t recipe,
                       double volume_l, double ec_gain_ms_cm, struct portion out[ROOM_DOSES_MAX])
{
    const struct recipe *r = &room->recipe[recipe];
    double share = dose_share(s, recipe, ec_gain_ms_cm);

    for (size_t i = 0; i < r->n_doses; i++) {
        bool dry = room->product[r->dose[i].product].kind == PRODUCT_DRY;

        out[i] = portion_of(&room->measures, dry, volume_l * share * r->dose[i].per_l);
    }
    return r->n_doses;
}

double dosing_off_frac(const struct portion *portion, size_t n)
{
    double worst = 0;

    for (size_t i = 0; i < n; i++) {
        worst = fmax(worst, fabs(portion[i].off_frac));
    }
    return worst;
}

size_t dosing_as_amounts(const struct room *room, size_t recipe, const struct portion *portion,
                         size_t n, struct amount out[ROOM_DOSES_MAX])
{
    for (size_t i = 0; i < n; i++) {
        (void)snprintf(out[i].product, sizeof out[i].product, "%s",
                       room->product[room->recipe[recipe].dose[i].product].name);
        out[i].amount = portion[i].product;
    }
    return n;
}

struct nutrients dosing_feed(const struct room *room, const struct state *s, size_t recipe,
                             double ec_gain_ms_cm)
{
    const struct recipe *r = &room->recipe[recipe];
    double share = dose_share(s, recipe, ec_gain_ms_cm);
    struct nutrients out = {0};

    for (size_t i = 0; i < r->n_doses; i++) {
        nutrients_add(&out, &room->product[r->dose[i].product].contents, share * r->dose[i].per_l);
    }
    return out;
}

struct nutrients dosing_brings(const struct room *room, const struct amount *amount, size_t n)
{
    struct nutrients out = {0};

    for (size_t i = 0; i < n; i++) {
        struct subject p = room_find(room, amount[i].product);

        if (p.kind == SUBJECT_PRODUCT) {
            nutrients_add(&out, &room->product[p.at].contents, amount[i].amount);
        }
    }
    return out;
}

/* The acid or base to reach for: the first with doses to learn from, else the first that says what
 * it is, else the first. SIZE_MAX = none. */
static size_t choose_product(const struct room *room, const struct state *s, enum product_kind kind,
                             enum titrated in)
{
    size_t best = SIZE_MAX;
    int best_rank = -1;

    for (size_t i = 0; i < room->n_products; i++) {
        int rank = s->product[i].per_ph[in].n_used > 0        ? 2
                   : room->product[i].reagent != REAGENT_NONE ? 1
                                                              : 0;

        if (room->product[i].kind == kind && rank > best_rank) {
            best = i;
            best_rank = rank;
        }
    }
    return best;
}

static void from_past(const struct learned *l, double volume_l, double span, struct ph_dose *out)
{
    double off = NINE_IN_TEN_SD * learned_sd(l);

    out->by = TITRATION_LEARNED;
    out->amount_ml = l->value * volume_l * span;
    out->lo_ml = fmax(0, l->value - off) * volume_l * span;
    out->hi_ml = (l->value + off) * volume_l * span;
}

/* The room's water with nutrients in it. */
static struct water water_with(const struct room *room, const struct nutrients *feed)
{
    const struct source_water *source = &room->source;

    return (struct water){
        .carbonate_mmol_l = carbonate_of_alkalinity(source->alkalinity_mg_l / ACIDITY_MG_PER_MEQ,
                                                    source->ph, ROOM_C),
        .phosphate_mmol_l = feed->mg[NUTRIENT_P] / element_molar_mass_g(ELEMENT_P),
        .temp_c = ROOM_C,
    };
}

double dosing_expected_ph(const struct room *room, double ph_water,
                          const struct nutrients *feed_mg_l)
{
    struct water w = water_with(room, feed_mg_l);

    return isfinite(room->source.alkalinity_mg_l) && w.phosphate_mmol_l > 0
               ? acidity_ph_with_phosphate(&w, ph_water)
               : NAN;
}

/* From the water's own buffers. Leaves *out to be dosed by hand where the balance has no answer:
 * a pH beyond what that acid can reach. */
static void from_balance(const struct room *room, const struct product *p, double volume_l,
                         double ph_from, double ph_to, const struct nutrients *feed,
                         struct ph_dose *out)
{
    struct water w = water_with(room, feed);
    double mmol_l;

    if (acidity_dose_mmol_l(&w, p->reagent, ph_from, ph_to, &mmol_l, NULL) < 0) {
        return;
    }
    out->by = TITRATION_BALANCE;
    out->amount_ml = mmol_l * 1e-3 * volume_l / p->mol_ml;
    out->lo_ml = out->amount_ml * (1 - BALANCE_OFF_FRAC);
    out->hi_ml = out->amount_ml * (1 + BALANCE_OFF_FRAC);
}

struct ph_dose dosing_ph(const struct room *room, const struct state *s, enum titrated in,
                         double volume_l, double ph_from, double ph_to,
                         const struct nutrients *feed_mg_l)
{
    enum product_kind kind = ph_to < ph_from ? PRODUCT_ACID : PRODUCT_BASE;
    struct ph_dose out = {.by = TITRATION_BY_HAND};

    out.product = choose_product(room, s, kind, in);
    if (out.product == SIZE_MAX) {
        return out;
    }
    if (s->product[out.product].per_ph[in].n_used > 0) {
        from_past(&s->product[out.product].per_ph[in], volume_l, fabs(ph_to - ph_from), &out);
    } else if (room->product[out.product].reagent != REAGENT_NONE &&
               isfinite(room->source.alkalinity_mg_l)) {
        from_balance(room, &room->product[out.product], volume_l, ph_from, ph_to, feed_mg_l, &out);
    }
    nutrients_add(&out.adds_mg_l, &room->product[out.product].contents, out.amount_ml / volume_l);
    return out;
}
