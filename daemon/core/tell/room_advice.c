#include "daemon/core/tell/room_advice.h"

#include "daemon/base/text.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/ph_dose.h"
#include "daemon/core/state/strength.h"

#include <math.h>

#define LASTS_FRAC 0.95 /* of the life: half a day less is not worth a word */

static bool alike(const struct container *a, const struct container *b)
{
    return a->crop == b->crop && a->float_volume_l == b->float_volume_l;
}

/* Was one like container i spoken of before? */
static bool said_already(const struct room *room, size_t i)
{
    for (size_t k = 0; k < i; k++) {
        if (alike(&room->container[k], &room->container[i])) {
            return true;
        }
    }
    return false;
}

static size_t n_alike(const struct room *room, size_t i)
{
    size_t n = 0;

    for (size_t k = i; k < room->n_containers; k++) {
        n += alike(&room->container[k], &room->container[i]);
    }
    return n;
}

static void advise_vessel(const struct room *room, const struct state *s, size_t i,
                          struct text *out)
{
    const struct container *c = &room->container[i];
    const struct crop *crop = &room->crop[c->crop];
    const struct stage *last = &crop->stage[crop->n_stages - 1];
    double lasts_day = strength_lasts_day(room, s, crop, c->float_volume_l);
    size_t others = n_alike(room, i) - 1;
    char is[QUANTITY_TEXT_MAX];
    char wants[QUANTITY_TEXT_MAX];
    char feed[QUANTITY_TEXT_MAX];

    if (lasts_day >= LASTS_FRAC * last->life_min_day || said_already(room, i)) {
        return;
    }
    text_add(out, "%s", c->name);
    if (others > 0) {
        text_add(out, " and %zu like it", others);
    }
    text_add(out,
             ": full-grown %s spends a solution of %s in %.1f days, and one should last %.0f. "
             "%s at the float line would do; or a feed of up to %s in the reservoir, which keeps "
             "it steady.\n",
             crop->name, quantity_format(is, QUANTITY_VOLUME, c->float_volume_l, &room->units),
             lasts_day, last->life_min_day,
             quantity_format(wants, QUANTITY_VOLUME,
                             c->float_volume_l * last->life_min_day / lasts_day, &room->units),
             quantity_format(feed, QUANTITY_EC, last->uptake_ms_cm, &room->units));
}

/* When all stand full-grown at once; what mixes take comes besides. */
static void advise_source(const struct room *room, struct text *out)
{
    double drinks_l_day = 0;
    double gives_l_day = 24 * room->source.rate_l_h;
    char drinks[QUANTITY_TEXT_MAX];
    char gives[QUANTITY_TEXT_MAX];

    for (size_t i = 0; i < room->n_containers; i++) {
        drinks_l_day += room->crop[room->container[i].crop].use.most_l_day;
    }
    if (drinks_l_day > gives_l_day) {
        text_add(out,
                 "source_water: full-grown, what the room is for drinks %s a day, and the source "
                 "gives %s: floats will stand dry. It takes a faster source, or fewer plants.\n",
                 quantity_format(drinks, QUANTITY_VOLUME, drinks_l_day, &room->units),
                 quantity_format(gives, QUANTITY_VOLUME, gives_l_day, &room->units));
    }
}

/* Of a recipe's nitrogen; NaN where it has none that is told. */
static double ammonium_frac(const struct room *room, const struct state *s, size_t i)
{
    struct nutrients feed = dosing_feed(room, s, i, room->recipe[i].ec_gain_ms_cm);
    double n = nutrients_feed_mg(&feed, FEED_N);

    return n > 0 ? feed.mg[NUTRIENT_NH4_N] / n : NAN;
}

static void advise_ammonium(const struct room *room, const struct state *s, size_t i,
                            struct text *out)
{
    double ammonium = ammonium_frac(room, s, i);

    if (ammonium > ROOM_AMMONIUM_FRAC) {
        text_add(out,
                 "%s: %.0f %% of its nitrogen is ammonium. From %.0f %% on a solution turns sour "
                 "by itself; have a base at hand, or a recipe with more nitrate.\n",
                 room->recipe[i].name, 100 * ammonium, 100 * ROOM_AMMONIUM_FRAC);
    }
}

/* All recipes of that kind in one breath: often it is one product that they share. */
static void advise_nitrate(const struct room *room, const struct state *s, struct text *out)
{
    size_t n = 0;

    for (size_t i = 0; i < room->n_recipes; i++) {
        if (ammonium_frac(room, s, i) < ROOM_NITRATE_ONLY_FRAC) {
            text_add(out, "%s%s", n++ > 0 ? ", " : "", room->recipe[i].name);
        }
    }
    if (n > 0) {
        text_add(out, ": all the nitrogen is nitrate, so roots push the pH up day by day. With 5 "
                      "to 10 %% of it as ammonium it climbs less, and takes less acid.\n");
    }
}

static bool is_grown(const struct room *room, size_t crop)
{
    for (size_t i = 0; i < room->n_containers; i++) {
        if (room->container[i].crop == crop) {
            return true;
        }
    }
    return false;
}

/* What of K and Ca a recipe gives the least of, for each mg of nitrogen, over what a stage takes:
 * out_frac of it. FEED_COUNT where one of the figures is not known. */
static enum feed scarcest(const struct nutrients *gives, const struct nutrients *takes,
                          double *out_frac)
{
    static const enum feed of[] = {FEED_K, FEED_CA};
    double n = nutrients_feed_mg(gives, FEED_N) / nutrients_feed_mg(takes, FEED_N);
    enum feed at = FEED_COUNT;

    *out_frac = 1;
    for (size_t k = 0; k < sizeof of / sizeof *of; k++) {
        double frac = nutrients_feed_mg(gives, of[k]) / nutrients_feed_mg(takes, of[k]) / n;

        if (frac < *out_frac) {
            *out_frac = frac;
            at = of[k];
        }
    }
    return at;
}

/* The stage of a crop in which the recipe that it names is the furthest from what plants take. */
static void advise_balance(const struct room *room, const struct state *s, const struct crop *crop,
                           struct text *out)
{
    double least = ROOM_SCARCE_FRAC;
    const struct stage *worst = NULL;
    enum feed lacks = FEED_COUNT;

    for (size_t k = 0; k < crop->n_stages; k++) {
        const struct stage *stage = &crop->stage[k];
        struct nutrients gives =
            dosing_feed(room, s, stage->recipe_at, room->recipe[stage->recipe_at].ec_gain_ms_cm);
        double frac;
        enum feed of = scarcest(&gives, crop_takes(crop, (int)k), &frac);

        if (of != FEED_COUNT && frac < least) {
            least = frac;
            worst = stage;
            lacks = of;
        }
    }
    if (worst) {
        text_add(out,
                 "%s for %s, %s: %s runs out first. Beside nitrogen it gives %.0f %% of the %s "
                 "that such plants take. With a salt of it in the recipe solutions would last "
                 "longer, and the pH climb less.\n",
                 room->recipe[worst->recipe_at].name, crop->name, worst->name, feed_words[lacks],
                 100 * least, feed_words[lacks]);
    }
}

/* The recipe that gives the least of something, beside what an acid brings of it. */
static size_t outdone_most(const struct room *room, const struct state *s, enum feed of,
                           double brings_mg_l, double *out_gives_mg_l)
{
    size_t at = SIZE_MAX;

    *out_gives_mg_l = brings_mg_l / ROOM_ACID_FEED_FRAC;
    for (size_t i = 0; i < room->n_recipes; i++) {
        struct nutrients feed = dosing_feed(room, s, i, room->recipe[i].ec_gain_ms_cm);
        double gives = nutrients_feed_mg(&feed, of);

        if (gives > 0 && gives < *out_gives_mg_l) {
            *out_gives_mg_l = gives;
            at = i;
        }
    }
    return at;
}

/* The acid that an alkaline water takes is food as well. */
static void advise_acid(const struct room *room, const struct state *s, struct text *out)
{
    struct dissolved water = waters_source(room, s);
    double target = room->reservoir.ph_target;
    struct ph_dose d;

    if (!waters_known(&water) || balance_ph_closed(&water) <= target) {
        return;
    }
    d = ph_dose_of(room, s, &water, 1, balance_ph_closed(&water), target);
    for (int k = 0; k < FEED_COUNT && d.amount_ml > 0; k++) {
        double brings = nutrients_feed_mg(&d.adds_mg_l, (enum feed)k) * d.hold_ml / d.amount_ml;
        double gives;
        size_t at = outdone_most(room, s, (enum feed)k, brings, &gives);

        if (at != SIZE_MAX) {
            text_add(out,
                     "%s: what holds this water at pH %.1f brings %.0f mg/L of %s, and %s at full "
                     "strength %.0f. It gathers while the rest runs short: take another acid, a "
                     "recipe with less of it, or water of less alkalinity.\n",
                     room->product[d.product].name, target, brings, feed_words[k],
                     room->recipe[at].name, gives);
        }
    }
}

void room_advice(const struct room *room, struct text *out)
{
    struct state s;

    state_init(&s, room);
    for (size_t i = 0; i < room->n_containers; i++) {
        advise_vessel(room, &s, i, out);
    }
    for (size_t i = 0; i < room->n_recipes; i++) {
        advise_ammonium(room, &s, i, out);
    }
    for (size_t i = 0; i < room->n_crops; i++) {
        if (is_grown(room, i)) {
            advise_balance(room, &s, &room->crop[i], out);
        }
    }
    advise_source(room, out);
    advise_nitrate(room, &s, out);
    advise_acid(room, &s, out);
    state_deinit(&s);
}
