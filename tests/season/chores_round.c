#include "tests/season/chores.h"

#include <math.h>
#include <string.h>

#define FILLS_A_DAY 2
#define ONLY_NO     0.3 /* who looks at a float does not always measure the level */

enum chore chore_check(struct errand *e)
{
    struct hands *h = e->g->h;
    bool first = strstr(live_daemon_text(e->task, "why"), "first look") != NULL;

    for (size_t k = 0; k < errand_n_subjects(e); k++) {
        size_t i = errand_subject(e, k).at;
        json_t *figures = errand_figures(e, e->g->room->container[i].name);
        bool works = hands_float_works(h, i);

        ledger_work(h->l, h->day, WORK_LOOK, e->g->room->labour.check_min);
        if (works) {
            (void)json_object_set_new(figures, "what", json_string("yes"));
        } else if (!first) {
            (void)json_object_set_new(figures, "what", json_string("no"));
        }
        if (!works && (first || dice_even(&e->g->dice) > ONLY_NO)) {
            errand_tell(figures, "volume_l", hands_level(h, i));
        }
    }
    return CHORE_DONE;
}

enum chore chore_read(struct errand *e)
{
    json_t *subjects = json_object();

    for (size_t k = 0; k < errand_n_subjects(e); k++) {
        struct subject s = errand_subject(e, k);

        (void)json_object_set_new(
            subjects, room_subject_name(e->g->room, s),
            s.kind == SUBJECT_CONTAINER
                ? errand_read_container(e, s.at, !hands_float_works(e->g->h, s.at))
                : errand_read_tank(e));
    }
    (void)json_object_set_new(e->params, "subjects", subjects);
    return CHORE_DONE;
}

enum chore chore_fill(struct errand *e)
{
    struct hands *h = e->g->h;
    bool mix = h->t->holds_mix;
    double before_l = hands_tank(h);
    double after_l;
    struct acid_given given;
    struct sheet sheet;

    if (e->g->fills_today >= FILLS_A_DAY) {
        return errand_put_off(e, 1, "the source has to make water first");
    }
    if (!chores_sheet(e, &sheet)) {
        return CHORE_FAILED;
    }
    e->g->fills_today++;
    if (mix) {
        hands_rinse(h);
    }
    (void)hands_fill(h);
    hands_feed(h);
    ledger_work(h->l, h->day, WORK_FILL, e->g->room->labour.fill_min);
    after_l = hands_tank(h);
    errand_tell(errand_figures(e, NULL), "volume_l", after_l);
    if (!mix) {
        errand_tell(errand_figures(e, NULL), "added_l", fmax(0, after_l - before_l));
    }
    given = acid_by_sheet(h, HANDS_TANK, &sheet.acid);
    errand_tell(errand_figures(e, NULL), "ec_ms_cm", hands_ec(h, &h->t->reservoir));
    errand_tell_ph(e, errand_figures(e, NULL), &given);
    return CHORE_DONE;
}

enum chore chore_calibrate(struct errand *e)
{
    const struct meter *m = &e->g->room->meter[errand_subject(e, 0).at];

    errand_tell(errand_figures(e, NULL), "slope_pct", hands_calibrate(e->g->h, m->kind));
    return CHORE_DONE;
}

enum chore chore_care(struct errand *e)
{
    struct hands *h = e->g->h;

    for (size_t k = 0; k < errand_n_subjects(e); k++) {
        struct subject s = errand_subject(e, k);

        ledger_work(h->l, h->day, WORK_CARE, e->g->room->labour.care_min);
        if (s.kind == SUBJECT_CONTAINER) {
            faults_look_at(e->g->f, h, s.at);
        } else if (s.kind == SUBJECT_RESERVOIR) {
            faults_look_at_tank(e->g->f, h);
        } else {
            faults_look_at_filter(e->g->f, h);
        }
    }
    return CHORE_DONE;
}

enum chore chore_overnight(struct errand *e)
{
    struct grower *g = e->g;

    if (isnan(g->night_l)) {
        g->closes_tonight = true;
        return CHORE_TONIGHT;
    }
    errand_tell(errand_figures(e, NULL), "added_l", g->night_l);
    ledger_work(g->h->l, g->h->day, WORK_CARE, live_daemon_number(e->task, "minutes"));
    g->night_l = NAN;
    return CHORE_DONE;
}

enum chore chore_reorder(struct errand *e)
{
    size_t product = errand_subject(e, 0).at;

    if (e->g->bought_day[product] < 0) {
        e->g->bought_day[product] = (int64_t)e->g->h->day;
    }
    ledger_work(e->g->h->l, e->g->h->day, WORK_OTHER, e->g->room->labour.reorder_min);
    return CHORE_DONE;
}

enum chore chore_harvest(struct errand *e)
{
    for (size_t k = 0; k < errand_n_subjects(e); k++) {
        size_t i = errand_subject(e, k).at;

        if (e->g->h->t->plant[i].growing) {
            hands_harvest(e->g->h, i);
        }
    }
    return CHORE_DONE;
}

/* Too much salt in plain water: rinsed, the filter of the source seen to, filled anew. */
static void renew_water(struct errand *e)
{
    struct hands *h = e->g->h;
    json_t *filled = json_object();
    struct acid_given given;

    faults_look_at_filter(e->g->f, h);
    hands_rinse(h);
    h->l->plain_l += h->cans.volume_l; /* that is no better */
    h->cans = (struct water_body){0};
    (void)hands_fill(h);
    given = acid_by_hand(h, HANDS_TANK, e->g->room->reservoir.ph_target);
    ledger_work(h->l, h->day, WORK_FILL, e->g->room->labour.fill_min);
    errand_tell(filled, "volume_l", hands_tank(h));
    errand_tell(filled, "ec_ms_cm", hands_ec(h, &h->t->reservoir));
    errand_tell(filled, "ph", given.ph);
    errand_then(e, "record",
                json_pack("{s:s,s:{s:{}}}", "kind", "reservoir-rinsed", "subjects", "reservoir"));
    errand_then(e, "record",
                json_pack("{s:s,s:{s:o},s:b}", "kind", "reservoir-filled", "subjects", "reservoir",
                          filled, "sure", 1));
}

static void look_at_tank(struct errand *e)
{
    struct hands *h = e->g->h;
    bool salt = water_ec_ms_cm(&h->t->reservoir) > 1.25 * e->g->room->source.ec_ms_cm + 0.1;

    faults_look_at_tank(e->g->f, h);
    if (salt && !h->t->holds_mix) {
        renew_water(e);
    }
    if (!h->t->holds_mix) {
        errand_then_read(e, "reservoir", errand_read_tank(e));
    }
}

enum chore chore_look(struct errand *e)
{
    struct hands *h = e->g->h;
    struct subject s = errand_subject(e, 0);

    ledger_work(h->l, h->day, WORK_LOOK, e->g->room->labour.check_min);
    if (s.kind == SUBJECT_CONTAINER) {
        const char *name = e->g->room->container[s.at].name;

        faults_look_at(e->g->f, h, s.at);
        if (h->t->plant[s.at].growing) {
            errand_then_read(e, name, errand_read_container(e, s.at, true));
        }
    } else if (s.kind == SUBJECT_RESERVOIR) {
        look_at_tank(e);
    } else if (s.kind == SUBJECT_METER) {
        const struct meter *m = &e->g->room->meter[s.at];

        errand_then(e, "record",
                    json_pack("{s:s,s:{s:{s:f}},s:b}", "kind", "calibrated", "subjects", m->name,
                              "slope_pct", hands_calibrate(h, m->kind), "sure", 1));
    }
    return CHORE_DONE;
}
