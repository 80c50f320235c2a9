/* What a person tells with a task is used or refused by name, and what is far from the sheet is
 * asked back. The factors are our own choice (deed_jobs.c, deed_change.c, rules.c). */
#include "tests/unit/a_deed.h"

#include <math.h>
#include <string.h>

static void say_amount(struct deed_fixture *f, const char *subject, const char *product, double ml)
{
    struct told *t = &f->told[f->d.n_told++];

    name_it(t->subject, sizeof t->subject, subject);
    name_it(t->amount[0].product, sizeof t->amount[0].product, product);
    t->amount[0].amount = ml;
    t->n_amounts = 1;
}

/* Asked about, and taken from someone who is sure. */
static void assert_asked_back(struct deed_fixture *f, const char *field, const char *words)
{
    assert_int_equal(ack(f), ERR_UNSURE);
    assert_string_equal(f->err.field, field);
    if (!strstr(f->err.msg, words)) {
        fail_msg("'%s' is not in: %s", words, f->err.msg);
    }
    f->d.sure = true;
    if (ack(f) < 0) {
        fail_msg("%s", f->err.msg);
    }
}

static void a_look_takes_no_figure_and_no_amount(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_LOOK, 1);
    say(f, "", FIGURE_VOLUME_L, 9);
    assert_int_equal(ack(f), ERR_UNKNOWN);
    assert_string_equal(f->err.msg, "task 41 (look) takes no volume=…");
    f->d.n_told = 0;
    memset(f->told, 0, sizeof f->told);
    say_amount(f, "", "ph-down", 3);
    assert_int_equal(ack(f), ERR_REFUSED);
    assert_string_equal(f->err.field, "ph-down");
    assert_null(f->out.entry);
}

static void the_jugs_ph_is_the_containers(void **ctx)
{
    struct deed_fixture *f = *ctx;
    const struct entry *refilled;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    f->task.by_hand = true;
    say(f, "", FIGURE_EC_MS_CM, 1.1);
    say(f, "", FIGURE_PH, 5.7);
    say(f, "", FIGURE_TEMP_C, 19);
    say(f, "", FIGURE_VOLUME_L, 7.8);
    assert_int_equal(ack(f), 0);
    refilled = &f->out.entry[2];
    assert_int_equal(refilled->kind, ENTRY_REFILLED);
    assert_true(refilled->figure[FIGURE_PH] == 5.7);
    assert_true(refilled->figure[FIGURE_TEMP_C] == 19);
    assert_true(refilled->figure[FIGURE_VOLUME_L] == 7.8);
}

static void water_let_in_before_the_last_part_of_a_change_is_refused_by_name(void **ctx)
{
    struct deed_fixture *f = *ctx;
    const char *only[] = {"A1"};

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_CHANGE, 2);
    f->d.only = only;
    f->d.n_only = 1;
    say_mix(f);
    say(f, "", FIGURE_ADDED_L, 40);
    assert_int_equal(ack(f), ERR_REFUSED);
    assert_string_equal(f->err.field, "added");
    assert_null(f->out.entry);
}

/* A meter was there too: what it showed is a reading beside the look. */
static void a_look_at_the_float_keeps_the_strength_that_was_told(void **ctx)
{
    struct deed_fixture *f = *ctx;
    static const enum entry_kind kinds[] = {ENTRY_ACKNOWLEDGED, ENTRY_READING, ENTRY_FLOAT_SEEN};

    on_float(f, "A1");
    a_task(f, TASK_CHECK, 1);
    say(f, "A1", FIGURE_EC_MS_CM, 1.2);
    name_it(f->told[0].what, sizeof f->told[0].what, "yes");
    assert_int_equal(ack(f), 0);
    assert_kinds(f, kinds, 3);
    assert_true(f->out.entry[1].figure[FIGURE_EC_MS_CM] == 1.2);
}

static void a_reading_asks_for_what_was_not_told(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_READ, 1);
    say(f, "A1", FIGURE_PH, 6.0);
    assert_asked_back(f, "ec", "task 41 (read) asks for ec=… of A1 too");
}

static void a_room_with_a_ph_meter_alone_is_asked_for_no_strength(void **ctx)
{
    struct deed_fixture *f = *ctx;

    f->room.meter[1].kind = METER_PH;
    on_float(f, "A1");
    a_task(f, TASK_READ, 1);
    say(f, "A1", FIGURE_PH, 6.0);
    assert_int_equal(ack(f), 0);
}

static void a_start_far_too_strong_is_asked_back(void **ctx)
{
    struct deed_fixture *f = *ctx;

    a_task(f, TASK_START, 1);
    f->task.mix_ec_ms_cm = 0.8;
    say(f, "", FIGURE_EC_MS_CM, 2.8);
    assert_asked_back(f, "ec", "it was to be 0.80 mS/cm, and 2.80 mS/cm is far from it");
}

static void a_mix_far_too_large_is_asked_back(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    say_mix(f);
    f->told[0].figure[FIGURE_VOLUME_L] = 95;
    assert_asked_back(f, "volume", "the mix was to be 14.5 L, and 95.0 L is far more");
}

static void a_fill_of_a_tenth_is_asked_back(void **ctx)
{
    struct deed_fixture *f = *ctx;

    a_task(f, TASK_FILL, 1);
    f->job[0].subject = (struct subject){SUBJECT_RESERVOIR, 0};
    say(f, "", FIGURE_ADDED_L, 10);
    assert_asked_back(f, "added", "10.0 L let in is far less than the 100 L");
}

/* 1.2 L in a vessel of 18 L, where a full dose is some mL a litre. */
static void a_litre_of_concentrate_is_asked_back(void **ctx)
{
    struct deed_fixture *f = *ctx;

    a_task(f, TASK_START, 1);
    f->task.mix_ec_ms_cm = 0.8;
    say(f, "", FIGURE_EC_MS_CM, 0.8);
    name_it(f->told[0].amount[0].product, sizeof f->told[0].amount[0].product, "calcium-part");
    f->told[0].amount[0].amount = 1200;
    f->told[0].n_amounts = 1;
    assert_asked_back(f, "calcium-part", "1.2 L of calcium-part is strange");
}

static void a_date_before_the_room_began_is_asked_back(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_READ, 1);
    f->s.first_s = at(0, 9);
    f->d.happened_s = at(0, 9) - 3 * 86400;
    say(f, "A1", FIGURE_EC_MS_CM, 1.2);
    say(f, "A1", FIGURE_PH, 6.0);
    assert_asked_back(f, "at", "is before the room began: its first entry is of Sun 1 Mar");
}

/* SplitMix64 (Steele, Lea, Flood 2014). */
static uint64_t draw(uint64_t *random)
{
    uint64_t z = (*random += 0x9E3779B97F4A7C15ULL);

    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

static bool stands_in(const struct entries *es, const struct told *t, unsigned f)
{
    for (size_t i = 0; i < es->n; i++) {
        if (entry_has(&es->entry[i], f) && es->entry[i].figure[f] == t->figure[f]) {
            return true;
        }
    }
    return false;
}

/* Whatever is told with whatever task: each figure stands in the journal, or one is named that
 * is in the way, and nothing is taken. The jug's strength is the exception: what stayed is under
 * it. */
static void of_random_figures_none_is_dropped(void **ctx)
{
    struct deed_fixture *f = *ctx;
    static const double usual[FIGURE_N] = {
        [FIGURE_VOLUME_L] = 7.9,   [FIGURE_ADDED_L] = 40,  [FIGURE_EC_MS_CM] = 1.1,
        [FIGURE_PH] = 5.8,         [FIGURE_TEMP_C] = 20,   [FIGURE_SLOPE_PCT] = 97,
        [FIGURE_OFFSET_MV] = 4,    [FIGURE_AMOUNT] = 500,  [FIGURE_YIELD_G] = 300,
        [FIGURE_WAS_MS_CM] = 1.05, [FIGURE_TOOK_MIN] = 12,
    };
    uint64_t random = 1;
    size_t taken = 0;

    on_float(f, "A1");
    on_float(f, "A2");
    f->d.sure = true;
    for (int n = 0; n < 4000; n++) {
        enum task_kind kind = (enum task_kind)(draw(&random) % TASK_KIND_N);
        bool by_hand;
        int rc;

        if (kind == TASK_START || kind == TASK_CALIBRATE || kind == TASK_REORDER) {
            continue; /* of other things than these containers */
        }
        f->d.n_told = 0;
        memset(f->told, 0, sizeof f->told);
        a_task(f, kind, 1);
        by_hand = kind == TASK_CHANGE && draw(&random) % 2;
        f->task.by_hand = by_hand;
        if (kind == TASK_FILL) {
            f->job[0].subject = (struct subject){SUBJECT_RESERVOIR, 0};
        }
        for (unsigned k = 0; k < FIGURE_N; k++) {
            if (k != FIGURE_JOBS && draw(&random) % 3 == 0) { /* nobody tells that */
                say(f, "", (enum figure)k, usual[k] + (double)(draw(&random) % 9) / 100);
            }
        }
        f->err = (struct err){0};
        rc = ack(f);
        if (rc < 0) {
            assert_string_not_equal(f->err.field, "");
            continue;
        }
        taken++;
        for (unsigned k = 0; k < FIGURE_N; k++) {
            if ((f->told[0].has & FIGURE_BIT(k)) && !(by_hand && k == FIGURE_EC_MS_CM) &&
                !stands_in(&f->out, &f->told[0], k)) {
                fail_msg("%s of a %s is lost", figure_defs[k].word, task_words[kind]);
            }
        }
        entries_deinit(&f->out);
    }
    assert_true(taken > 50);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        DEED_TEST(a_look_takes_no_figure_and_no_amount),
        DEED_TEST(the_jugs_ph_is_the_containers),
        DEED_TEST(water_let_in_before_the_last_part_of_a_change_is_refused_by_name),
        DEED_TEST(a_look_at_the_float_keeps_the_strength_that_was_told),
        DEED_TEST(a_reading_asks_for_what_was_not_told),
        DEED_TEST(a_room_with_a_ph_meter_alone_is_asked_for_no_strength),
        DEED_TEST(a_start_far_too_strong_is_asked_back),
        DEED_TEST(a_mix_far_too_large_is_asked_back),
        DEED_TEST(a_fill_of_a_tenth_is_asked_back),
        DEED_TEST(a_litre_of_concentrate_is_asked_back),
        DEED_TEST(a_date_before_the_room_began_is_asked_back),
        DEED_TEST(of_random_figures_none_is_dropped),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
