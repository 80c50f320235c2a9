#include "daemon/core/state/strength.h"

#include "daemon/core/model/solution.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/forecast.h"

#include <math.h>

#define NEAR_S 3600 /* nobody needs it nearer than an hour */

/* What the dial of the room file turns the share by, at which a bump is worth its while; and the
 * most that it can be. Our own choice: tests/season shows what each comes to. */
#define CLOSER    0.10
#define EASIER    0.15
#define BUMP_MOST 0.95

/* Of what counts as spent of the whole: a plant takes of one nutrient as much as it wants down
 * to far less (uptake.h), so it is the days that are left which count, and a change for it is
 * dear. Our own choice; tests/season shows what another costs in work and in days that are
 * short. */
#define SHORT_FRAC 0.6

/* Those of which a plant that lacks them shows it within days (common practice, no source). */
static const enum feed watched[] = {FEED_N, FEED_K, FEED_CA};
#define WATCHED_N (sizeof watched / sizeof *watched)

double strength_target_ms_cm(const struct room *room, const struct crop *crop,
                             const struct stage *stage)
{
    return room_fresh_ms_cm(room, crop, stage->ec_ms_cm);
}

double strength_next_ms_cm(const struct room *room, const struct container_state *cs,
                           const struct stage *stage)
{
    const struct crop *crop = &room->crop[cs->crop];
    double step = cs->step_mood < 0 ? 0 : crop->step_ec_ms_cm;

    return solution_next_strength(strength_target_ms_cm(room, crop, stage), cs->strength_ms_cm,
                                  step);
}

double strength_food_ms_cm(const struct room *room, double fresh_ms_cm)
{
    return fmax(0, fresh_ms_cm - room->source.ec_ms_cm);
}

double strength_as_fresh_ms_cm(const struct room *room, struct liquid body)
{
    return solution_food_ms_cm(body) + room->source.ec_ms_cm;
}

double strength_bump_frac(const struct room *room, const struct stage *stage)
{
    static const double turn[STRENGTH_DIAL_N] = {
        [STRENGTH_USUAL] = 0, [STRENGTH_CLOSE] = CLOSER, [STRENGTH_EASY] = -EASIER};

    return fmin(fmax(stage->bump_frac + turn[room->strength], stage->spent_frac), BUMP_MOST);
}

double strength_share_ms_cm(const struct room *room, const struct container_state *cs,
                            const struct stage *stage, double frac)
{
    return frac * strength_food_ms_cm(room, strength_next_ms_cm(room, cs, stage));
}

double strength_spent_ms_cm(const struct room *room, const struct container_state *cs,
                            const struct stage *stage)
{
    double target = strength_target_ms_cm(room, &room->crop[cs->crop], stage);

    return stage->spent_frac * strength_food_ms_cm(room, fmin(target, cs->strength_ms_cm));
}

double strength_gathered_frac(const struct room *room, const struct container_state *cs,
                              struct liquid body)
{
    double gathered = body.water_ms_cm - room->source.ec_ms_cm;

    return cs->strength_ms_cm > 0 ? fmax(0, gathered) / cs->strength_ms_cm : 0;
}

/* What is asked of a container at an instant, and may be true from then on. */
struct asked {
    const struct room *room;
    const struct state *s;
    size_t i;
    double frac;                 /* of the strength, that has gathered … */
    struct strength_least least; /* … or what is short below this … */
    enum feed feed;              /* … which it was where it was last found so */
};

/* By halves, between an instant at which it is not so and until_s, if it is so then. */
static int64_t first_s(struct asked *q, bool (*is)(struct asked *q, int64_t t_s), int64_t from_s,
                       int64_t until_s)
{
    if (until_s < from_s || !is(q, until_s)) {
        return FORECAST_NEVER;
    }
    while (until_s - from_s > NEAR_S) {
        int64_t middle = from_s + (until_s - from_s) / 2;

        if (is(q, middle)) {
            until_s = middle;
        } else {
            from_s = middle;
        }
    }
    return until_s;
}

static bool has_gathered(struct asked *q, int64_t t_s)
{
    struct forecast f = forecast_container(q->room, q->s, q->i, t_s);

    return strength_gathered_frac(q->room, &q->s->container[q->i], f.body) > q->frac;
}

int64_t strength_gathered_s(const struct room *room, const struct state *s, size_t i, double frac,
                            int64_t from_s, int64_t until_s)
{
    struct asked q = {.room = room, .s = s, .i = i, .frac = frac};

    return first_s(&q, has_gathered, from_s, until_s);
}

/* mg/L below which a nutrient is short, where a fresh solution holds what was made. */
static double least_mg_l(const struct crop *crop, const struct stage *stage,
                         const struct nutrients *made, enum feed f)
{
    struct span fed = crop_feed(crop, (int)(stage - crop->stage), f);

    return SHORT_FRAC * stage->spent_frac * fmin(fed.lo, nutrients_feed_mg(made, f));
}

/* What a fresh solution holds, in proportion to its food. That a part of a dose adds more than
 * its part (dosing.h) is a tenth of it at the most and takes a hundred times as long to reckon,
 * and this is asked of every container each morning. */
static struct nutrients about_feed(const struct room *room, const struct state *s,
                                   const struct stage *stage, double food_ms_cm)
{
    const struct recipe *r = &room->recipe[stage->recipe_at];
    double share = solution_dose(food_ms_cm, 0, s->recipe[stage->recipe_at].gain.value);
    struct nutrients mg_l = {0};

    for (size_t k = 0; k < r->n_doses; k++) {
        nutrients_add(&mg_l, &room->product[r->dose[k].product].contents, share * r->dose[k].per_l);
    }
    return mg_l;
}

struct strength_least strength_least_of(const struct room *room, const struct state *s,
                                        const struct container_state *cs, const struct stage *stage)
{
    const struct crop *crop = &room->crop[cs->crop];
    double fresh = fmin(strength_target_ms_cm(room, crop, stage), cs->strength_ms_cm);
    struct nutrients made = about_feed(room, s, stage, strength_food_ms_cm(room, fresh));
    struct strength_least least = {0};

    for (size_t k = 0; k < WATCHED_N; k++) {
        least.mg_l[watched[k]] = least_mg_l(crop, stage, &made, watched[k]);
    }
    return least;
}

bool strength_is_short(const struct strength_least *least, const struct nutrients *mg_l,
                       enum feed *out_feed)
{
    for (int k = 0; k < FEED_COUNT && !nutrients_none(mg_l); k++) {
        if (nutrients_feed_mg(mg_l, (enum feed)k) < least->mg_l[k]) {
            *out_feed = (enum feed)k;
            return true;
        }
    }
    return false;
}

static bool is_short(struct asked *q, int64_t t_s)
{
    struct nutrients mg_l = forecast_feed(q->room, q->s, q->i, t_s);

    return strength_is_short(&q->least, &mg_l, &q->feed);
}

int64_t strength_short_s(const struct room *room, const struct state *s, size_t i,
                         const struct stage *stage, int64_t from_s, int64_t until_s,
                         enum feed *out_feed)
{
    struct asked q = {
        .room = room, .s = s, .i = i, .least = strength_least_of(room, s, &s->container[i], stage)};
    int64_t short_s = first_s(&q, is_short, from_s, until_s);

    *out_feed = q.feed;
    return short_s;
}

double strength_lasts_day(const struct room *room, const struct state *s, const struct crop *crop,
                          double float_volume_l)
{
    const struct stage *stage = &crop->stage[crop->n_stages - 1];
    const struct nutrients *takes = crop_takes(crop, (int)crop->n_stages - 1);
    double fresh = strength_target_ms_cm(room, crop, stage);
    double food = strength_food_ms_cm(room, fresh);
    struct nutrients made = dosing_feed(room, s, stage->recipe_at, food);
    struct liquid source = {0, room->source.ec_ms_cm, room->source.ec_ms_cm};
    struct liquid body = {float_volume_l, fresh, room->source.ec_ms_cm};
    double use_l = solution_use_until(body, stage->spent_frac * food, stage->uptake_ms_cm, source);

    for (size_t k = 0; k < WATCHED_N; k++) {
        double with_a_litre = stage->uptake_ms_cm * nutrients_feed_mg(takes, watched[k]);
        double holds = nutrients_feed_mg(&made, watched[k]);

        if (with_a_litre > 0 && holds > 0) {
            use_l =
                fmin(use_l, float_volume_l * (holds - least_mg_l(crop, stage, &made, watched[k])) /
                                with_a_litre);
        }
    }
    return use_l / crop->use.most_l_day;
}
