/* a_worksheet.h - a task made by hand in the room of a_room.h, and its worksheet read step by
 * step.
 *
 * The steps are asked for in the order in which a person does them, each with its caution, so
 * that a step, a dose or a caution that vanished or moved is seen. */
#ifndef TARN_TESTS_A_WORKSHEET_H
#define TARN_TESTS_A_WORKSHEET_H

#include "daemon/core/sheet/worksheet_make.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/state/forecast.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <stdarg.h>
#include <stdlib.h>

#define JOBS_MOST 30

/* What each caution is known by. */
#define DROWN       "Never above the float line"
#define ACID        "Goggles and gloves"
#define CONCENTRATE "Never pour two concentrates together"
#define DISPOSAL    "not into a ditch or storm drain"
#define HEAVY       "carry less than 23 kg"
#define AIR_GAP     "over an air gap, no hose end under water"
#define WET_HANDS   "Dry hands before you touch anything that is plugged in"

struct desk {
    struct room room;
    struct state s;
    struct task task; /* number 41 */
    struct job job[JOBS_MOST];
    struct worksheet sheet;
    size_t at; /* the next step to be read */
    int64_t now_s;
};

/* For cmocka: nothing told, a task without jobs, at 8 of day 20. */
static inline int set_up(void **ctx)
{
    struct desk *d = mem_array(1, sizeof *d);

    d->room = a_room();
    state_init(&d->s, &d->room);
    d->now_s = at(20, 8);
    d->task = (struct task){.id = 41, .job = d->job};
    *ctx = d;
    return 0;
}

/* Ends sheet, state and room; the jobs are part of the desk. */
static inline int tear_down(void **ctx)
{
    struct desk *d = *ctx;

    worksheet_deinit(&d->sheet);
    state_deinit(&d->s);
    room_deinit(&d->room);
    free(d);
    return 0;
}

/* The source's alkalinity (meq/L; NaN = no report says) and pH, and an acid of so many mol in
 * a mL in the bottle of ph-down. To be told first: all is forgotten that was told before. */
static inline void the_water_is(struct desk *d, double meq_l, double ph, enum reagent acid,
                                double mol_ml)
{
    report_water(&d->room, meq_l, ph);
    label_bottle(&d->room, PH_DOWN, acid, mol_ml);
    state_deinit(&d->s);
    state_init(&d->s, &d->room);
}

/* The pH of what the plant in container i drinks of drifts by so much in a day. */
static inline void drifts(struct desk *d, size_t i, double ph_day)
{
    struct forecast now = forecast_container(&d->room, &d->s, i, d->now_s);

    d->s.drift.mean = 0;
    d->s.container[i].drift.own.mean = ph_day / forecast_turns_day(&now);
}

/* So many mL/L of calcium-part bring Ca(NO3)2 3.15, KNO3 3.15, KH2PO4 0.63 and MgSO4 1.26 mmol/L,
 * as in a row of tests/data/phreeqc.json: a source of 4 meq/L at pH 7.6 comes to 7.038 with
 * them, and 1.9552 mmol/L of nitric acid take it to 6.2. Atomic masses: IUPAC 2021. */
static inline void feeds_as_the_program_did(struct desk *d, double ml_l)
{
    double *mg = d->room.product[CALCIUM_PART].contents.mg;

    mg[NUTRIENT_NO3_N] = 9.45 * 14.007 / ml_l;
    mg[NUTRIENT_CA] = 3.15 * 40.078 / ml_l;
    mg[NUTRIENT_K] = 3.78 * 39.098 / ml_l;
    mg[NUTRIENT_P] = 0.63 * 30.974 / ml_l;
    mg[NUTRIENT_MG] = 1.26 * 24.305 / ml_l;
    mg[NUTRIENT_S] = 1.26 * 32.06 / ml_l;
}

/* A plant in that container, with so much in it now. */
static inline void stands(struct desk *d, size_t i, double volume_l, double ec_ms_cm)
{
    struct container_state *cs = &d->s.container[i];
    struct entry e = told_at(ENTRY_STARTED, d->room.container[i].name,
                             d->room.crop[d->room.container[i].crop].name, at(0, 9));

    e = with(e, FIGURE_EC_MS_CM, 0.7);
    fold_entry(&d->s, &d->room, &e);
    cs->at_s = d->now_s;
    cs->body = (struct liquid){volume_l, ec_ms_cm, 0};
}

/* So much plain water, or mix, in the reservoir now. */
static inline void holds(struct desk *d, double volume_l, double ec_ms_cm, bool mix)
{
    struct reservoir_state *r = &d->s.reservoir;

    r->at_s = d->now_s;
    r->body = (struct liquid){volume_l, ec_ms_cm, 0};
    r->holds_mix = mix;
    r->recipe = mix ? LEAF_FEED : -1;
}

/* One more job of the task's kind, of the young recipe, about thing i of its kind. Stands as long
 * as the desk; at most JOBS_MOST. */
static inline struct job *add_job(struct desk *d, enum subject_kind kind, size_t i, double volume_l)
{
    struct job *j = &d->job[d->task.n_jobs++];

    *j = (struct job){
        .kind = d->task.kind, .subject = {kind, i},
             .volume_l = volume_l, .recipe = LEAF_FEED
    };
    return j;
}

/* Writes the sheet anew, to be read from its first step on. */
static inline void write_sheet(struct desk *d)
{
    worksheet_deinit(&d->sheet);
    worksheet_make(&d->room, &d->s, &d->task, d->now_s, &d->sheet);
    d->at = 0;
}

/* The next step has this caution (NULL = none) and says each of the words; NULL ends them. */
static inline void next(struct desk *d, const char *caution, ...)
{
    const struct step *s;
    const char *words;
    va_list ap;

    if (d->at >= d->sheet.n) {
        fail_msg("only %zu steps", d->sheet.n);
    }
    s = &d->sheet.step[d->at++];
    if (!caution != !s->caution || (caution && !strstr(s->caution, caution))) {
        fail_msg("\"%s\" has the caution \"%s\"", s->text, s->caution ? s->caution : "none");
    }
    va_start(ap, caution);
    while ((words = va_arg(ap, const char *))) {
        if (!strstr(s->text, words)) {
            va_end(ap);
            fail_msg("\"%s\" does not say \"%s\"", s->text, words);
        }
    }
    va_end(ap);
}

/* The last step: what to type, and nothing after it. */
static inline void ends_with(struct desk *d, const char *typed)
{
    next(d, NULL, "Tell it: tarn ack 41", NULL);
    assert_string_equal(d->sheet.step[d->at - 1].text + strlen("Tell it: "), typed);
    assert_int_equal(d->at, d->sheet.n);
}

/* The steps up to the one that begins so are left unread. */
static inline void skip_to(struct desk *d, const char *begins)
{
    while (d->at < d->sheet.n && strncmp(d->sheet.step[d->at].text, begins, strlen(begins)) != 0) {
        d->at++;
    }
    if (d->at >= d->sheet.n) {
        fail_msg("no step begins with \"%s\"", begins);
    }
}

/* No step, read or not, says so. */
static inline void nowhere(const struct desk *d, const char *words)
{
    for (size_t i = 0; i < d->sheet.n; i++) {
        if (strstr(d->sheet.step[i].text, words)) {
            fail_msg("\"%s\" says \"%s\"", d->sheet.step[i].text, words);
        }
    }
}

/* The number behind these words, of the first step that says them. */
static inline double number_behind(const struct desk *d, const char *words)
{
    for (size_t i = 0; i < d->sheet.n; i++) {
        const char *found = strstr(d->sheet.step[i].text, words);

        if (found) {
            return strtod(found + strlen(words), NULL);
        }
    }
    fail_msg("no step says \"%s\"", words);
    return NAN;
}

/* Where a change goes on with the reservoir's plain water, which has a dose of its own. */
static inline bool is_back_to_water(const struct step *step)
{
    return strstr(step->text, "Fill the reservoir with plain water") != NULL;
}

/* The step that doses an acid or base: there is one. */
static inline const struct step *dosed(const struct desk *d)
{
    const struct step *found = NULL;

    for (size_t i = 0; i < d->sheet.n && !is_back_to_water(&d->sheet.step[i]); i++) {
        if (d->sheet.step[i].product) {
            assert_null(found);
            found = &d->sheet.step[i];
        }
    }
    assert_non_null(found);
    return found;
}

/* mL in all: where acid goes in first, before and after the nutrients. */
static inline double all_dosed_ml(const struct desk *d)
{
    double ml = 0;

    for (size_t i = 0; i < d->sheet.n && !is_back_to_water(&d->sheet.step[i]); i++) {
        ml += d->sheet.step[i].product ? d->sheet.step[i].amount_ml : 0;
    }
    return ml;
}

/* Fails where a step doses a product. */
static inline void nothing_is_dosed(const struct desk *d)
{
    for (size_t i = 0; i < d->sheet.n && !is_back_to_water(&d->sheet.step[i]); i++) {
        assert_null(d->sheet.step[i].product);
    }
}

/* Fails unless got lies within so much of want, both ends taken in. */
static inline void near_to(double want, double got, double within)
{
    if (!(fabs(want - got) <= within)) {
        fail_msg("%g is not within %g of %g", got, within, want);
    }
}

/* 7.5 L each for so many containers; 2 L stay in the lines, 5 L below the outlet. 1.05 mS/cm is
 * 1.00 over the water: half of the full dose. */
static inline void change_of(struct desk *d, size_t n)
{
    d->task.kind = TASK_CHANGE;
    d->task.recipe = LEAF_FEED;
    d->task.mix_ec_ms_cm = 1.05;
    d->task.mix_l = 7.5 * (double)n + 7;
    for (size_t i = 0; i < n; i++) {
        stands(d, i, 8, 0.4);
        add_job(d, SUBJECT_CONTAINER, i, 7.5);
    }
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

#endif
