#include "daemon/core/tell/room_advice.h"

#include "daemon/base/text.h"
#include "daemon/core/state/dosing.h"
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

static void advise_recipe(const struct room *room, const struct state *s, size_t i,
                          struct text *out)
{
    const struct recipe *r = &room->recipe[i];
    struct nutrients feed = dosing_feed(room, s, i, r->ec_gain_ms_cm);
    double n = nutrients_feed_mg(&feed, FEED_N);
    double ammonium = n > 0 ? feed.mg[NUTRIENT_NH4_N] / n : 0;

    if (ammonium > ROOM_AMMONIUM_FRAC) {
        text_add(out,
                 "%s: %.0f %% of its nitrogen is ammonium. From %.0f %% on a solution turns sour "
                 "by itself; have a base at hand, or a recipe with more nitrate.\n",
                 r->name, 100 * ammonium, 100 * ROOM_AMMONIUM_FRAC);
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
        advise_recipe(room, &s, i, out);
    }
    state_deinit(&s);
}
