/* A task as steps that a person can follow: the right amounts, in order, with their cautions. */
#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/core/sheet/worksheet_make.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/tell/deed.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <stdlib.h>

struct fixture {
    struct room room;
    struct state s;
    struct agenda agenda;
    struct worksheet sheet;
};

static int set_up(void **ctx)
{
    struct fixture *f = mem_array(1, sizeof *f);

    f->room = a_room();
    state_init(&f->s, &f->room);
    *ctx = f;
    return 0;
}

static int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    worksheet_deinit(&f->sheet);
    agenda_deinit(&f->agenda);
    state_deinit(&f->s);
    room_deinit(&f->room);
    free(f);
    return 0;
}

static void tell(struct fixture *f, struct entry e)
{
    fold_entry(&f->s, &f->room, &e);
}

static const struct task *sheet_of(struct fixture *f, int64_t now_s, enum task_kind kind)
{
    agenda_deinit(&f->agenda);
    agenda_derive(&f->room, &f->s, now_s, 28, NULL, false, &f->agenda);
    for (size_t i = 0; i < f->agenda.n; i++) {
        if (f->agenda.task[i].kind == kind) {
            f->agenda.task[i].id = 41;
            worksheet_deinit(&f->sheet);
            worksheet_make(&f->room, &f->s, &f->agenda.task[i], now_s, &f->sheet);
            return &f->agenda.task[i];
        }
    }
    fail_msg("no %s on the agenda", task_words[kind]);
    return NULL;
}

static void two_on_float(struct fixture *f)
{
    static const char *const names[] = {"A1", "A2"};

    for (size_t i = 0; i < 2; i++) {
        tell(f, with(told_at(ENTRY_STARTED, names[i], "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7));
        tell(f, told_at(ENTRY_FLOAT_SEEN, names[i], "yes", at(30, 9)));
    }
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(37, 8)), FIGURE_VOLUME_L, 90));
}

/* Where a step says the words; fails when none does. */
static size_t step_with(const struct fixture *f, const char *words)
{
    for (size_t i = 0; i < f->sheet.n; i++) {
        if (strstr(f->sheet.step[i].text, words)) {
            return i;
        }
    }
    fail_msg("no step says '%s'", words);
    return 0;
}

static void a_change_is_worked_in_the_order_that_keeps_the_others_safe(void **ctx)
{
    struct fixture *f = *ctx;
    size_t shut;
    size_t mix;
    size_t drain;
    size_t open;
    size_t rinse;

    two_on_float(f);
    (void)sheet_of(f, at(40, 7), TASK_CHANGE);
    shut = step_with(f, "Close the shut-off valve of every container");
    mix = step_with(f, "of calcium-part (by cylinder) into the reservoir");
    drain = step_with(f, "Drain A1, A2, in that order.");
    open = step_with(f, "Open their shut-offs one after another");
    rinse = step_with(f, "Rinse it and the line");
    assert_true(shut < mix && mix < drain && drain < open && open < rinse);
    assert_true(step_with(f, "of sulfate-part (by syringe) into the reservoir") == mix + 1);
    assert_non_null(strstr(f->sheet.step[mix].caution, "Never pour two concentrates together"));
    assert_non_null(strstr(f->sheet.step[open].caution, "Never above the float line"));
    assert_non_null(strstr(f->sheet.step[rinse].caution, "not into a ditch"));
}

static void a_change_names_its_litres_and_minutes(void **ctx)
{
    struct fixture *f = *ctx;

    two_on_float(f);
    (void)sheet_of(f, at(40, 7), TASK_CHANGE);
    /* 2 x 7.5 L for the containers, 2 L in the lines and 5 L below the outlet */
    (void)step_with(f, "The mix is to be 22.0 L");
    /* 15 L at 4 L a minute */
    (void)step_with(f, "each 7.5 L (1.98 gal), about 2 min");
    (void)step_with(f, "Together 15.0 L (3.96 gal), about 4 min");
}

static void the_doses_make_the_strength(void **ctx)
{
    struct fixture *f = *ctx;
    const struct task *t;
    char words[64];

    two_on_float(f);
    t = sheet_of(f, at(40, 7), TASK_CHANGE);
    /* 4 mL/L of calcium-part give 2.0 mS/cm over the water's 0.05; the cylinder shows 2 mL */
    (void)snprintf(words, sizeof words, "Stir %.0f mL (",
                   2 * round(22.0 * 4 * (t->mix_ec_ms_cm - 0.05) / 2.0 / 2));
    (void)step_with(f, words);
}

static void a_sheet_carried_out_exactly_lands_on_its_target(void **ctx)
{
    struct fixture *f = *ctx;
    struct entries es = {0};
    struct err e;
    const struct task *t;
    struct told told = {.has = FIGURE_BIT(FIGURE_EC_MS_CM) | FIGURE_BIT(FIGURE_PH) |
                               FIGURE_BIT(FIGURE_VOLUME_L)};
    struct deed d = {.now_s = at(40, 8),
                     .happened_s = at(40, 8),
                     .who = "ana",
                     .note = "",
                     .key = "",
                     .told = &told,
                     .n_told = 1};

    two_on_float(f);
    t = sheet_of(f, at(40, 8), TASK_CHANGE);
    told.figure[FIGURE_EC_MS_CM] = t->mix_ec_ms_cm;
    told.figure[FIGURE_PH] = 5.8;
    told.figure[FIGURE_VOLUME_L] = t->mix_l;
    assert_int_equal(deed_ack(&f->room, &f->s, t, &d, &es, &e), 0);
    for (size_t i = 0; i < es.n; i++) {
        tell(f, es.entry[i]);
    }
    for (size_t i = 0; i < t->n_jobs; i++) {
        struct forecast now = forecast_container(&f->room, &f->s, t->job[i].subject.at, at(40, 8));

        /* A mix is told as finely as a meter shows it, to 0.01 mS/cm, and what two share is as one
         * of them wants it. */
        assert_true(fabs(now.body.ec_ms_cm - t->job[i].ec_ms_cm) <= 0.01);
        assert_true(now.body.volume_l == 8);
    }
    entries_deinit(&es);
}

static void too_much_water_is_drawn_off_and_too_little_let_in(void **ctx)
{
    struct fixture *f = *ctx;

    two_on_float(f);
    (void)sheet_of(f, at(40, 7), TASK_CHANGE);
    (void)step_with(f, "draw off");
    tell(f, with(told_at(ENTRY_READING, "reservoir", "", at(40, 8)), FIGURE_VOLUME_L, 10));
    (void)sheet_of(f, at(40, 8), TASK_CHANGE);
    (void)step_with(f, "let in 12.0 L (3.17 gal) more");
}

static void read_the_sheets_of(struct fixture *f, int day, bool seen[TASK_KIND_N])
{
    agenda_deinit(&f->agenda);
    agenda_derive(&f->room, &f->s, at(day, 7), 28, NULL, false, &f->agenda);
    for (size_t i = 0; i < f->agenda.n; i++) {
        struct task *t = &f->agenda.task[i];
        bool says = false;

        t->id = 41;
        worksheet_deinit(&f->sheet);
        worksheet_make(&f->room, &f->s, t, at(day, 7), &f->sheet);
        assert_true(f->sheet.n >= 2);
        for (size_t k = 0; k < f->sheet.n; k++) {
            says = says || strstr(f->sheet.step[k].text, "tarn ack 41");
        }
        assert_true(says);
        seen[t->kind] = true;
    }
}

static void every_kind_ends_in_the_line_to_type(void **ctx)
{
    struct fixture *f = *ctx;
    bool seen[TASK_KIND_N] = {false};

    read_the_sheets_of(f, 0, seen); /* nothing was filled yet */
    two_on_float(f);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(39, 9)), FIGURE_PH, 7.2));
    for (int day = 38; day < 125; day++) {
        read_the_sheets_of(f, day, seen);
    }
    assert_true(seen[TASK_START] && seen[TASK_CHANGE] && seen[TASK_PH] && seen[TASK_READ] &&
                seen[TASK_FILL] && seen[TASK_CALIBRATE] && seen[TASK_CARE] && seen[TASK_HARVEST]);
}

/* Vines want 5.5 to 6.5, and a solution lasts them 14 days at most. */
static void ph_is_set_low_in_its_band_where_it_rises(void **ctx)
{
    struct fixture *f = *ctx;

    two_on_float(f);
    for (int k = 0; k < 2; k++) { /* it is not poured away tomorrow */
        f->room.crop[VINE].stage[k].life_max_day = 90;
    }
    for (int week = 0; week < 6; week++) { /* set to 5.8, and up by 0.07 a day */
        tell(f, with(told_at(ENTRY_PH_ADJUSTED, "A1", "", at(30 + 7 * week, 10)), FIGURE_PH, 5.8));
        tell(f, with(told_at(ENTRY_READING, "A1", "", at(37 + 7 * week, 10)), FIGURE_PH, 6.29));
    }
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(73, 10)), FIGURE_PH, 6.8));
    (void)sheet_of(f, at(73, 11), TASK_PH);
    (void)step_with(f, "it should be 5.5 to 6.5");
    (void)step_with(f, "Set the pH to 5.8 (5.5 to 6.5 serves); in there it rises by about 0.0");
}

static void plain_water_is_set_to_what_the_room_file_says(void **ctx)
{
    struct fixture *f = *ctx;

    two_on_float(f);
    tell(f, with(told_at(ENTRY_READING, "reservoir", "", at(38, 10)), FIGURE_PH, 6.9));
    (void)sheet_of(f, at(38, 11), TASK_PH);
    (void)step_with(f, "Set the pH to 5.8 (5.5 to 6.1 serves). It takes acid, nobody knows yet");
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_change_is_worked_in_the_order_that_keeps_the_others_safe),
        TEST(a_change_names_its_litres_and_minutes),
        TEST(the_doses_make_the_strength),
        TEST(a_sheet_carried_out_exactly_lands_on_its_target),
        TEST(too_much_water_is_drawn_off_and_too_little_let_in),
        TEST(ph_is_set_low_in_its_band_where_it_rises),
        TEST(plain_water_is_set_to_what_the_room_file_says),
        TEST(every_kind_ends_in_the_line_to_type),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
