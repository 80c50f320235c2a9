/* How long work takes: told, learned, and planned with. What is expected is reckoned from the
 * minutes of a_room.h and from what is said of the figure in pace.c: at first 1 with a standard
 * deviation of 0.5 that wanders by a twentieth, and a telling worth 40 % of what was expected. */
#include "daemon/core/state/pace.h"
#include "tests/unit/a_deed.h"

#include <math.h>

#define FIRST_GAIN (0.2525 / (0.2525 + 0.16)) /* of the first telling */

static void assert_near(double got, double want)
{
    if (!(fabs(got - want) <= 1e-9)) {
        fail_msg("%.17g is not %.17g", got, want);
    }
}

static void take_all(struct deed_fixture *f)
{
    for (size_t i = 0; i < f->out.n; i++) {
        tell(f, f->out.entry[i]);
    }
    entries_deinit(&f->out);
}

/* Two containers to be bumped, three minutes each. */
static void two_bumps(struct deed_fixture *f)
{
    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_BUMP, 2);
    f->job[0].minutes = f->job[1].minutes = 3;
    f->task.minutes = 6;
    say(f, "", FIGURE_EC_MS_CM, 1.1);
}

static struct entry took(double minutes, double jobs)
{
    struct entry e = told_at(ENTRY_ACKNOWLEDGED, "room", "bump", at(40, 9));

    return with(with(e, FIGURE_TOOK_MIN, minutes), FIGURE_JOBS, jobs);
}

static void it_stands_in_the_acknowledgement_and_teaches(void **ctx)
{
    struct deed_fixture *f = *ctx;

    two_bumps(f);
    say(f, "", FIGURE_TOOK_MIN, 10);
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.entry[0].kind, ENTRY_ACKNOWLEDGED);
    assert_near(f->out.entry[0].figure[FIGURE_TOOK_MIN], 10);
    assert_near(f->out.entry[0].figure[FIGURE_JOBS], 2);
    for (size_t i = 1; i < f->out.n; i++) {
        assert_false(entry_has(&f->out.entry[i], FIGURE_TOOK_MIN));
    }
    take_all(f);
    assert_int_equal(f->s.pace[TASK_BUMP].n_used, 1);
    assert_near(f->s.pace[TASK_BUMP].value, 1 + FIRST_GAIN * (10.0 / 6 - 1));
    assert_near(f->s.pace[TASK_CHECK].value, 1);
}

/* Of the whole, wherever it is told; and where figures are told of each, each has its own still. */
static void it_may_be_told_among_the_names(void **ctx)
{
    struct deed_fixture *f = *ctx;

    two_bumps(f);
    f->d.n_told = 0;
    memset(f->told, 0, sizeof f->told);
    say(f, "A1", FIGURE_EC_MS_CM, 1.1);
    say(f, "A2", FIGURE_EC_MS_CM, 1.2);
    say(f, "A2", FIGURE_TOOK_MIN, 7);
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.n, 3);
    assert_near(f->out.entry[0].figure[FIGURE_JOBS], 2);
    entries_deinit(&f->out);
    say(f, "A1", FIGURE_TOOK_MIN, 7);
    assert_int_equal(ack(f), ERR_UNKNOWN);
    assert_string_equal(f->err.field, "took");
    f->told[0].has &= ~FIGURE_BIT(FIGURE_TOOK_MIN);
    f->told[1].has &= ~FIGURE_BIT(FIGURE_TOOK_MIN);
    say(f, "", FIGURE_TOOK_MIN, 7); /* at large, and nothing else is: not all are told of */
    f->told[1] = f->told[2];
    f->d.n_told = 2;
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.n, 2); /* A1 alone */
    assert_near(f->out.entry[0].figure[FIGURE_JOBS], 1);
}

static void a_slip_is_asked_back(void **ctx)
{
    static const struct {
        double minutes;
        int rc;
    } tries[] = {
        {24,   0         },
        {24.1, ERR_UNSURE},
        {60,   ERR_UNSURE},
        {1.5,  0         },
        {1.4,  ERR_UNSURE},
        {6,    0         },
    };
    struct deed_fixture *f = *ctx;

    two_bumps(f);
    for (size_t i = 0; i < sizeof tries / sizeof *tries; i++) {
        f->d.sure = false;
        say(f, "", FIGURE_TOOK_MIN, tries[i].minutes);
        assert_int_equal(ack(f), tries[i].rc);
        entries_deinit(&f->out);
        f->d.sure = true;
        assert_int_equal(ack(f), 0);
        entries_deinit(&f->out);
    }
    f->d.sure = false;
    say(f, "", FIGURE_TOOK_MIN, 60);
    assert_int_equal(ack(f), ERR_UNSURE);
    assert_string_equal(f->err.field, "took");
    assert_string_equal(
        f->err.msg, "about 6 min were expected, and 60 min is far from it; say so if you are sure");
}

/* A change has its mix and the changeover besides: 25 + 15 + 2 * 6 minutes of the room file. */
static void a_change_is_learned_with_its_mix(void **ctx)
{
    struct deed_fixture *f = *ctx;
    struct room worked;

    f->room.reservoir.flow_l_min = 10; /* 7.5 L run in while somebody stands there anyway */
    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_CHANGE, 2);
    f->job[0].minutes = f->job[1].minutes = 6;
    f->task.minutes = 52;
    say_mix(f);
    say(f, "", FIGURE_TOOK_MIN, 78);
    assert_int_equal(ack(f), 0);
    assert_near(f->out.entry[0].figure[FIGURE_JOBS], 52.0 / 6);
    take_all(f);
    assert_near(f->s.pace[TASK_CHANGE].value, 1 + FIRST_GAIN * 0.5);
    worked = pace_room(&f->room, &f->s);
    assert_near(worked.labour.load_min, 15 * (1 + FIRST_GAIN * 0.5));
    assert_near(worked.labour.changeover_min, 25 * (1 + FIRST_GAIN * 0.5));
    assert_near(worked.labour.bump_min, 3);
    assert_near(worked.labour.visit_min, 10); /* the way is not the work */
}

static void work_told_by_itself_teaches_too(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    say(f, "A1", FIGURE_EC_MS_CM, 1.1);
    say(f, "A1", FIGURE_TOOK_MIN, 30);
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_READING, &f->d, &f->out, &f->err),
                     ERR_UNSURE);
    say(f, "A1", FIGURE_TOOK_MIN, 6);
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_READING, &f->d, &f->out, &f->err), 0);
    f->out.entry[0].sensor = true;
    tell(f, f->out.entry[0]);
    assert_int_equal(f->s.pace[TASK_READ].n_used, 0); /* no person's work */
    f->out.entry[0].sensor = false;
    tell(f, f->out.entry[0]);
    assert_near(f->s.pace[TASK_READ].value, 1 + FIRST_GAIN);
}

/* Whoever writes what was learned into the room file is not believed twice. */
static void minutes_in_the_room_file_stand_for_what_was_learned(void **ctx)
{
    struct deed_fixture *f = *ctx;

    for (int i = 0; i < 8; i++) {
        tell(f, took(10, 2));
    }
    assert_true(fabs(pace_room(&f->room, &f->s).labour.bump_min - 5) < 0.2);
    f->room.labour.bump_min = 5;
    state_deinit(&f->s);
    state_init(&f->s, &f->room);
    for (int i = 0; i < 8; i++) {
        tell(f, took(10, 2));
    }
    assert_near(f->s.pace[TASK_BUMP].value, 1);
}

/* A slip that somebody was sure of: it stands aside, and of three in a row it is what is true. */
static void one_wild_telling_moves_nothing(void **ctx)
{
    struct deed_fixture *f = *ctx;
    double before;

    for (int i = 0; i < 5; i++) {
        tell(f, took(3, 1));
    }
    before = f->s.pace[TASK_BUMP].value;
    tell(f, took(60, 1));
    assert_near(f->s.pace[TASK_BUMP].value, before);
    assert_int_equal(f->s.pace[TASK_BUMP].n_aside, 1);
}

/* However it is told, what is learned lies between the file's minutes and what was told. */
static void what_is_learned_lies_within_what_was_told(void **ctx)
{
    struct deed_fixture *f = *ctx;
    uint64_t random = 7;
    double lo = 1;
    double hi = 1;

    for (int i = 0; i < 2000; i++) {
        double jobs;
        double ratio;

        random = random * 6364136223846793005U + 1442695040888963407U;
        jobs = 1 + (double)(random >> 61);
        ratio = 0.05 + (double)((random >> 33) % 1000) / 150;
        lo = fmin(lo, ratio);
        hi = fmax(hi, ratio);
        tell(f, took(3 * jobs * ratio, jobs));
        assert_true(f->s.pace[TASK_BUMP].value >= lo - 1e-9);
        assert_true(f->s.pace[TASK_BUMP].value <= hi + 1e-9);
    }
    assert_true(f->s.pace[TASK_BUMP].n_used > 1000);
}

/* All minutes of a kind in the plan of a month, as of day 1. */
static double planned_min(const struct deed_fixture *f, enum task_kind kind)
{
    struct agenda a;
    double minutes = 0;

    agenda_derive(&f->room, &f->s, at(1, 10), 30, NULL, false, &a);
    for (size_t i = 0; i < a.n; i++) {
        minutes += a.task[i].kind == kind ? a.task[i].minutes : 0;
    }
    agenda_deinit(&a);
    return minutes;
}

static void plans_are_made_with_what_was_learned(void **ctx)
{
    struct deed_fixture *f = *ctx;
    struct entry e = told_at(ENTRY_ACKNOWLEDGED, "room", "start", at(0, 9));
    double file_min = planned_min(f, TASK_START);

    assert_true(file_min >= 10);
    tell(f, with(with(e, FIGURE_TOOK_MIN, 20), FIGURE_JOBS, 1));
    assert_near(planned_min(f, TASK_START), file_min * (1 + FIRST_GAIN));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        DEED_TEST(it_stands_in_the_acknowledgement_and_teaches),
        DEED_TEST(it_may_be_told_among_the_names),
        DEED_TEST(a_slip_is_asked_back),
        DEED_TEST(a_change_is_learned_with_its_mix),
        DEED_TEST(work_told_by_itself_teaches_too),
        DEED_TEST(minutes_in_the_room_file_stand_for_what_was_learned),
        DEED_TEST(one_wild_telling_moves_nothing),
        DEED_TEST(what_is_learned_lies_within_what_was_told),
        DEED_TEST(plans_are_made_with_what_was_learned),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
