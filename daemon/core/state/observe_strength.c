/* The part of observation.h that is about strengths: what a plant took, and what that says of its
 * thirst and appetite. */
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/observation.h"
#include "daemon/core/state/observe_common.h"
#include "daemon/core/state/prediction.h"
#include "daemon/core/state/reading_error.h"

#include <math.h>

#define DAY_S     86400.0
#define GATE_SD   4.0  /* of a strength off what was expected: one in sixteen thousand by chance */
#define LEAST_DAY 0.04 /* an hour: a fall over less is no fall */
#define PLEDGED_S (7 * 86400LL) /* half of a solution's life */
#define SETTLES_S (5 * 86400LL) /* … and nearly as much tells as well */

void observe_ec_known(struct container_state *cs)
{
    double sd = reading_ec_sd_ms_cm(cs->body.ec_ms_cm);

    cs->ec_var = sd * sd;
    for (int k = 0; k < EC_BY_N; k++) {
        cs->ec_by[k] = 0;
    }
}

/* A strength beside the anchor's forecast. */
struct beside {
    double off; /* of the forecast */
    double h;   /* how it leans on the plant's take */
    struct lean thirst;
    double appetite_var, thirst_var; /* what of its variance is due to them … */
    double noise_var;                /* … and to all else */
    double sd, z;
};

static struct beside set_beside(const struct state *s, size_t i, int64_t t_s, double ec_ms_cm,
                                double sd)
{
    const struct container_state *cs = &s->container[i];
    struct lean thirst = forecast_ec_thirst(cs->ec_by);
    double days = (double)(t_s - (cs->ec.at_s ? cs->ec.at_s : cs->changed_s)) / DAY_S;
    double weather =
        belief_weather_var(days) * cs->ec_by[BELIEF_LN_THETA] * cs->ec_by[BELIEF_LN_THETA];
    struct beside b = {.off = ec_ms_cm - cs->body.ec_ms_cm,
                       .h = cs->ec_by[EC_BY_APPETITE],
                       .thirst = thirst,
                       .thirst_var = belief_var(&cs->belief, &s->common, &thirst),
                       .noise_var = sd * sd + cs->ec_var + weather};

    b.appetite_var = b.h * b.h * cs->belief.appetite.var;
    b.sd = sqrt(b.appetite_var + b.thirst_var + b.noise_var);
    b.z = b.off / b.sd;
    return b;
}

/* A strength that fell faster than expected may be of thirst or of appetite: each takes its share
 * of it, with the other's doubt as noise. */
static void learn_fall(const struct room *room, struct state *s, size_t i, const struct beside *b)
{
    struct container_state *cs = &s->container[i];

    if (b->h != 0) {
        cs->belief.appetite =
            gauss_see(cs->belief.appetite, b->h, b->h * cs->belief.appetite.mean + b->off,
                      b->thirst_var + b->noise_var);
        belief_see(&cs->belief, &s->common, &b->thirst, b->off, b->appetite_var + b->noise_var);
        observe_refresh(room, s, cs);
    }
}

/* What it fell by in a day between the last two strengths of one solution. */
static void keep_line(struct container_state *cs, int64_t t_s, double told)
{
    int64_t made_s = cs->changed_s > cs->bumped_s ? cs->changed_s : cs->bumped_s;
    double days = (double)(t_s - cs->ec.at_s) / DAY_S;

    if (cs->ec.at_s && cs->ec.at_s >= made_s && days >= LEAST_DAY) {
        cs->ec_line_day = (cs->ec.value - told) / days;
    }
}

/* Solutions are planned a week or so ahead, and that is what is set beside what came. */
void observe_solution_made(const struct room *room, struct state *s, size_t i, int64_t t_s)
{
    struct container_state *cs = &s->container[i];
    struct gauss then = predict_ec(room, s, i, t_s + PLEDGED_S);
    double fall = cs->body.ec_ms_cm - then.mean;
    double scale = record_scale(&s->strengths);

    cs->falls = (struct fall_pledge){0};
    if (cs->reached_s && fall > 0) {
        cs->falls = (struct fall_pledge){t_s, cs->body.ec_ms_cm, fall / (PLEDGED_S / DAY_S),
                                         sqrt(fmax(0, then.var - cs->ec_var)) / (scale * fall),
                                         cs->ec_line_day};
    }
}

static void settle_fall(struct record *strengths, struct container_state *cs, int64_t t_s,
                        double told)
{
    struct fall_pledge p = cs->falls;
    double days = (double)(t_s - p.from_s) / DAY_S;
    double fall = p.fall_day * days;
    double meter = hypot(reading_ec_sd_ms_cm(p.ec_ms_cm), reading_ec_sd_ms_cm(told));
    double off = p.ec_ms_cm - fall - told;
    double sd = hypot(p.share * fall, meter);

    if (p.from_s && t_s - p.from_s >= SETTLES_S) {
        cs->falls.from_s = 0;
        record_add(strengths, off / sd, sd,
                   p.line_day > 0 ? p.ec_ms_cm - p.line_day * days - told : NAN);
    }
}

bool observe_ec(const struct room *room, struct state *s, size_t i, const struct entry *e,
                enum figure figure, double *out_z)
{
    struct container_state *cs = &s->container[i];
    double told = e->figure[figure];
    struct beside b;

    observe_wander_room(s, e->happened_s);
    observe_wander(s, cs, e->happened_s);
    b = set_beside(s, i, e->happened_s, told, reading_ec_sd_ms_cm(told));
    char was[QUANTITY_TEXT_MAX];

    settle_fall(&s->strengths, cs, e->happened_s, told);
    keep_line(cs, e->happened_s, told);
    *out_z = b.z;
    if (fabs(b.z) > GATE_SD) {
        observe_set_aside(s, e, "nothing learned: about %s was expected",
                          quantity_format(was, QUANTITY_EC, cs->body.ec_ms_cm, &room->units));
        return false;
    }
    learn_fall(room, s, i, &b);
    return true;
}
