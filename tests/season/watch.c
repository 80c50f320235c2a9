#include "tests/season/watch.h"

#include "daemon/core/units/day.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define OUTLOOK_DAYS 28
#define WEEK         7
#define PH_RECENT    3 /* days */
#define PACE_MOST    2.0
#define EC_SLOPE_BAD 0.04
#define PH_OFF_BAD   0.10
#define HOT_C        28.0 /* roots rot: common practice, no source */
#define TEMP_OFF     0.5  /* of a pen */

/* ---- alarms */

/* How much thirstier a plant truly is than its crop says. */
static bool is_out_of_character(const struct truth_plant *p)
{
    return p->factor > PACE_MOST || p->factor < 1 / PACE_MOST;
}

static bool container_explains(const struct grower *g, const char *kind, size_t i)
{
    const struct truth_plant *p = &g->h->t->plant[i];

    if (strcmp(kind, "ph-drift") == 0) {
        return g->ph_out_day[i] >= 0 && g->ph_out_day[i] + PH_RECENT >= (int64_t)g->h->day;
    }
    if (strcmp(kind, "pace") == 0) {
        return is_out_of_character(p);
    }
    return strcmp(kind, "too-strong") == 0 && p->growing &&
           water_ec_ms_cm(&p->water) > band_ec(g->h->t, i).hi;
}

static bool is_true(struct grower *g, const json_t *alarm)
{
    const char *kind = live_daemon_text(alarm, "kind");
    const char *subject = live_daemon_text(alarm, "subject");
    struct subject s = room_find(g->room, subject);

    if (faults_explain(g->f, g->h, kind, subject)) {
        return true;
    }
    if (s.kind == SUBJECT_METER) {
        return fabs(g->h->ec_slope - 1) > EC_SLOPE_BAD || fabs(g->h->ph_offset) > PH_OFF_BAD;
    }
    if (strcmp(kind, "hot") == 0) {
        return truth_temp_c(g->h->t) > HOT_C - TEMP_OFF;
    }
    return s.kind == SUBJECT_CONTAINER && container_explains(g, kind, s.at);
}

static void take_alarm(struct grower *g, const json_t *alarm)
{
    char key[160];
    bool real;

    (void)snprintf(key, sizeof key, "%s %s %s", live_daemon_text(alarm, "kind"),
                   live_daemon_text(alarm, "subject"), live_daemon_text(alarm, "since"));
    if (json_object_get(g->alarms, key)) {
        return;
    }
    (void)json_object_set_new(g->alarms, key, json_true());
    real = is_true(g, alarm);
    g->h->l->alarms_true += real;
    g->h->l->alarms_false += !real;
    if (g->verbose) {
        (void)fprintf(stderr, "%s %s alarm %s: %s\n", g->now, real ? "true" : "FALSE", key,
                      live_daemon_text(alarm, "says"));
    }
}

int watch_alarms(struct grower *g)
{
    json_t *status = live_daemon_ask(g->link, "status", NULL, &g->err);
    json_t *alarm;
    size_t i;

    if (!status) {
        return g->err.code;
    }
    json_array_foreach(json_object_get(status, "alarms"), i, alarm)
    {
        take_alarm(g, alarm);
    }
    json_decref(status);
    return 0;
}

/* ---- foretold days */

static bool is_half_down(const struct grower *g, size_t i)
{
    const struct truth_plant *p = &g->h->t->plant[i];
    const struct container *c = &g->room->container[i];

    return p->growing && isnan(p->float_day) &&
           p->water.volume_l < (c->start_volume_l + c->float_volume_l) / 2;
}

static bool read_span(const json_t *span, struct foretold *out)
{
    struct foretold f = *out;

    if (day_parse(live_daemon_text(span, "from"), &f.lo, NULL) < 0 ||
        day_parse(live_daemon_text(span, "to"), &f.hi, NULL) < 0) {
        return false;
    }
    f.waits = f.asked = true;
    *out = f;
    return true;
}

static void take_floats(struct grower *g, const json_t *floats)
{
    size_t k;
    json_t *one;

    json_array_foreach(floats, k, one)
    {
        struct subject s = room_find(g->room, live_daemon_text(one, "name"));

        if (s.kind == SUBJECT_CONTAINER && !g->float_day[s.at].asked && is_half_down(g, s.at)) {
            (void)read_span(one, &g->float_day[s.at]);
        }
    }
}

static void take_low(struct grower *g, const json_t *reservoir)
{
    const struct truth *t = g->h->t;
    double spare_l = t->reservoir.volume_l - g->room->reservoir.low_l;

    if (g->low.waits || g->f->n || t->holds_mix || spare_l <= 0 ||
        !read_span(json_object_get(reservoir, "low"), &g->low)) {
        return;
    }
    g->low.spare_l = spare_l;
    g->low.drawn_l = t->drawn_l;
}

int watch_outlook(struct grower *g)
{
    bool wanted = g->h->day % WEEK == 0 && !g->low.waits && g->f->n == 0;
    json_t *outlook;

    for (size_t i = 0; i < g->room->n_containers; i++) {
        if (!g->h->t->plant[i].growing) {
            g->float_day[i] = (struct foretold){0};
        }
        wanted = wanted || (!g->float_day[i].asked && is_half_down(g, i));
    }
    if (!wanted) {
        return 0;
    }
    outlook =
        live_daemon_ask(g->link, "outlook", json_pack("{s:i}", "days", OUTLOOK_DAYS), &g->err);
    if (!outlook) {
        return g->err.code;
    }
    take_floats(g, json_object_get(outlook, "floats"));
    take_low(g, json_object_get(outlook, "reservoir"));
    json_decref(outlook);
    return 0;
}

static void settle(struct tally_foretold *tally, struct foretold *f, int32_t today)
{
    tally->n++;
    tally->inside += today >= f->lo && today <= f->hi;
    f->waits = false;
}

void watch_settle(struct grower *g)
{
    int32_t today = g->h->l->first_day + (int32_t)g->h->day;
    struct ledger *l = g->h->l;

    for (size_t i = 0; i < g->room->n_containers; i++) {
        if (g->float_day[i].waits && !isnan(g->h->t->plant[i].float_day)) {
            settle(&l->float_day, &g->float_day[i], today);
        }
    }
    if (g->low.waits && g->h->t->drawn_l - g->low.drawn_l >= g->low.spare_l) {
        settle(&l->low_day, &g->low, today);
    }
}

/* ---- one container, day by day */

int watch_trace(struct grower *g, size_t i)
{
    const struct truth *t = g->h->t;
    const struct truth_plant *p = &t->plant[i];
    const char *name = g->room->container[i].name;
    json_t *shown = live_daemon_ask(g->link, "show", json_pack("{s:s}", "what", name), &g->err);
    const json_t *c = json_object_get(shown, "container");
    const json_t *task;
    struct band band;
    double ec_ms_cm;
    size_t k;

    if (!shown) {
        return g->err.code;
    }
    if (p->growing) {
        band = band_ec(t, i);
        ec_ms_cm = water_ec_ms_cm(&p->water);
        (void)fprintf(stderr,
                      "%s %s day %.0f %s %s%s: EC %.2f in %.2f..%.2f pH %.2f, mmol/L N %.2f K %.2f "
                      "Ca %.2f Cl %.2f alkalinity %.2f, %.1f L, %.2f L/day x %.2f; believed %s EC "
                      "%.2f %.1f L %.2f L/day, strength %.2f spent %s;",
                      g->now, name, p->age_day, truth_stage(t, i)->name,
                      isnan(p->float_day) ? "drawdown" : "float",
                      ec_ms_cm < band.lo   ? " LOW"
                      : ec_ms_cm > band.hi ? " HIGH"
                                           : "",
                      ec_ms_cm, band.lo, band.hi, water_ph(&p->water),
                      water_mmol_l(&p->water, WATER_NO3) + water_mmol_l(&p->water, WATER_NH4),
                      water_mmol_l(&p->water, WATER_K), water_mmol_l(&p->water, WATER_CA),
                      water_mmol_l(&p->water, WATER_CL), water_alkalinity_meq_l(&p->water),
                      p->water.volume_l, truth_rate_l_day(t, i), p->appetite,
                      live_daemon_text(c, "condition"), live_daemon_number(c, "ec_ms_cm"),
                      live_daemon_number(c, "volume_l"), live_daemon_number(c, "use_l_day"),
                      live_daemon_number(c, "strength_ms_cm"), live_daemon_text(c, "spent_on"));
        json_array_foreach(json_object_get(shown, "tasks"), k, task)
        {
            (void)fprintf(stderr, " %s %s", live_daemon_text(task, "what"),
                          live_daemon_text(task, "on"));
        }
        (void)fputc('\n', stderr);
    }
    json_decref(shown);
    return 0;
}
