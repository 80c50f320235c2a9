/* What a person should know now: each notice when it is due, and not before. */
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/tasks/notice.h"
#include "tests/unit/a_working_room.h"

/* The notice of a matter, from room and state and no tasks; "" when there is none. Copied. */
static const char *notice_with(struct fixture *f, const struct agenda *a, int64_t now_s,
                               const char *key)
{
    static char text[400];
    struct notices notices;

    text[0] = '\0';
    notices_derive(&f->room, &f->s, a, now_s, &notices);
    for (size_t i = 0; i < notices.n; i++) {
        if (strcmp(notices.notice[i].key, key) == 0) {
            (void)snprintf(text, sizeof text, "%s", notices.notice[i].text);
        }
    }
    notices_deinit(&notices);
    assert_int_equal(notices.n, 0);
    return text;
}

static const char *notice_of(struct fixture *f, int64_t now_s, const char *key)
{
    static const struct agenda none = {0};

    return notice_with(f, &none, now_s, key);
}

static void a_room_that_runs_well_has_no_notice(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda none = {0};
    struct notices notices;

    on_float(f, "A1", 60);
    fill(f, 61, 90);
    notices_derive(&f->room, &f->s, &none, at(61, 9), &notices);
    assert_int_equal(notices.n, 0);
    notices_deinit(&notices);
}

static void a_reservoir_at_its_low_mark_is_told_of(void **ctx)
{
    struct fixture *f = *ctx;
    double draw;
    char text[400];

    on_float(f, "A1", 60);
    fill(f, 61, 26);
    assert_string_equal(notice_of(f, at(61, 9), "reservoir-low/reservoir"), "");
    f->room.reservoir.low_l = 27;
    draw = forecast_draw_l(&f->room, &f->s, at(61, 8), at(62, 8));
    (void)snprintf(text, sizeof text,
                   "the reservoir should hold 26.0 L, below its low mark of 27.0 L; the containers "
                   "draw %.1f L a day",
                   draw);
    assert_string_equal(notice_of(f, at(61, 8), "reservoir-low/reservoir"), text);
    assert_string_equal(notice_of(f, at(61, 8), "reservoir-empty/reservoir"), "");
    fill(f, 61, 27); /* exactly at it */
    assert_string_not_equal(notice_of(f, at(61, 8), "reservoir-low/reservoir"), "");
}

static void an_empty_reservoir_is_told_of_as_such(void **ctx)
{
    struct fixture *f = *ctx;
    char text[400];

    on_float(f, "A1", 60);
    fill(f, 61, 5); /* just what cannot be used */
    (void)snprintf(text, sizeof text,
                   "the reservoir should be empty, and the containers draw %.1f L a day: fill it "
                   "now",
                   forecast_draw_l(&f->room, &f->s, at(61, 8), at(62, 8)));
    assert_string_equal(notice_of(f, at(61, 8), "reservoir-empty/reservoir"), text);
    assert_string_equal(notice_of(f, at(61, 8), "reservoir-low/reservoir"), "");
}

/* Before the first fill, with a mix in it, or where no float draws, low water harms nobody. */
static void a_reservoir_that_nobody_draws_from_may_be_low(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    fill(f, 20, 24);
    assert_string_equal(notice_of(f, at(20, 9), "reservoir-low/reservoir"), "");
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(31, 9)));
    assert_string_not_equal(notice_of(f, at(31, 9), "reservoir-low/reservoir"), "");
    tell(f, with(with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(31, 9)), FIGURE_VOLUME_L, 20),
                 FIGURE_EC_MS_CM, 1.1));
    assert_string_equal(notice_of(f, at(31, 10), "reservoir-low/reservoir"), "");
}

static void a_reservoir_that_was_never_filled_is_no_empty_one(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 60);
    assert_string_equal(notice_of(f, at(61, 9), "reservoir-empty/reservoir"), "");
}

static void an_alarm_is_told_of_until_its_evidence_goes(void **ctx)
{
    struct fixture *f = *ctx;
    char key[64];

    (void)snprintf(key, sizeof key, "%s/A1", alarm_words[ALARM_HIGH]);
    on_float(f, "A1", 30);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(33, 9)), FIGURE_VOLUME_L, 9.4));
    assert_int_equal(strncmp(notice_of(f, at(33, 10), key),
                             "A1 was read at 9.4 L, above its float line of 8.0 L: its air roots "
                             "drown. Look first: ",
                             84),
                     0);
    tell(f, told_at(ENTRY_ACKNOWLEDGED, "A1", "look", at(33, 11)));
    assert_non_null(strstr(notice_of(f, at(33, 12), key), "drown (looked at). Look first: "));
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(34, 9)), FIGURE_VOLUME_L, 8.0));
    assert_string_equal(notice_of(f, at(34, 10), key), "");
}

static void a_solution_that_grows_warm_is_told_of(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(33, 9)), FIGURE_TEMP_C, 25.5));
    assert_string_equal(notice_of(f, at(33, 10), "warm/A1"),
                        "the solution of A1 was 25.5 °C on Fri 3 Apr: warm water holds less "
                        "oxygen; look at the roots, and keep it from coming to 28.0 °C (shade, a "
                        "light lid, filling at night)");
    assert_string_equal(notice_of(f, at(37, 10), "warm/A1"), ""); /* old by then */
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(38, 9)), FIGURE_TEMP_C, 28.5));
    assert_string_equal(notice_of(f, at(38, 10), "warm/A1"), "");
    assert_string_equal(notice_of(f, at(38, 10), "hot/A1"),
                        "the solution of A1 was read at 28.5 °C: from 28.0 °C on it holds too "
                        "little oxygen, and roots rot. Look first: are its roots white, or "
                        "brown? Shade it, lighten the lid, fill at night, top up cool");
    fill(f, 39, 90);
    tell(f, with(told_at(ENTRY_READING, "reservoir", "", at(39, 9)), FIGURE_TEMP_C, 24));
    f->room.units.temp = TEMP_SHOW_F;
    assert_string_equal(notice_of(f, at(39, 10), "warm/reservoir"),
                        "the water of the reservoir was 75.2 °F on Thu 9 Apr: warm water holds "
                        "less oxygen; look at the roots, and keep it from coming to 82.4 °F "
                        "(shade, a light lid, filling at night)");
}

static void what_was_seen_is_told_with_what_it_changes(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "tip-burn", at(33, 9)));
    assert_string_equal(notice_of(f, at(40, 10), "saw-tip-burn/A1"),
                        "A1: tips burn (Fri 3 Apr): the next solution is made no stronger than "
                        "this one; check first: EC not above its target; in lettuce calcium "
                        "lacks: move the air, drier at night");
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "pale-growth", at(41, 9)));
    assert_string_equal(notice_of(f, at(41, 10), "saw-tip-burn/A1"), "");
    assert_non_null(strstr(notice_of(f, at(41, 10), "saw-pale-growth/A1"),
                           ": the next solution goes on towards what its stage wants; check "
                           "first: pH first"));
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "wilting", at(41, 9))); /* an alarm tells of that */
    assert_string_equal(notice_of(f, at(41, 10), "saw-wilting/A1"), "");
    assert_non_null(strstr(notice_of(f, at(41, 10), "wilting/A1"), "A1 was seen wilting"));
    tell(f, told_at(ENTRY_OBSERVATION, "reservoir", "algae", at(41, 9)));
    assert_string_equal(notice_of(f, at(41, 10), "saw-algae/reservoir"),
                        "reservoir: algae were seen (Sat 11 Apr): check first: where light falls "
                        "in: cover it, and scrub at the next change");
}

static void more_used_than_there_was_is_told_of(void **ctx)
{
    struct fixture *f = *ctx;

    f->s.product[CALCIUM_PART].left = 0; /* used up, and no more than that */
    f->s.product[SULFATE_PART].left = -1;
    assert_string_equal(notice_of(f, at(1, 7), "stock-below-nothing/calcium-part"), "");
    assert_string_equal(
        notice_of(f, at(1, 7), "stock-below-nothing/sulfate-part"),
        "more sulfate-part was used than was ever there: tell what came (stock-received)");
}

static void entries_about_things_that_are_gone_are_told_of(void **ctx)
{
    struct fixture *f = *ctx;

    assert_string_equal(notice_of(f, at(1, 7), "skipped/room"), "");
    tell(f, told_at(ENTRY_CLEANED, "B7", "", at(0, 9)));
    assert_string_equal(
        notice_of(f, at(1, 7), "skipped/room"),
        "1 of the journal's entries is about things that the room file no longer has; it is kept");
}

/* Only where it loses plants: water, floats, solutions. From the day after its latest. */
static void an_overdue_task_is_told_of_where_it_loses_plants(void **ctx)
{
    struct fixture *f = *ctx;

    for (int k = 0; k < TASK_KIND_N; k++) {
        struct job j = {.kind = (enum task_kind)k, .loss = "this and that"};
        struct task t = {.id = 12, .kind = j.kind, .latest = day(40), .job = &j, .n_jobs = 1};
        struct agenda a = {.task = &t, .n = 1};
        char text[400] = "";

        assert_string_equal(notice_with(f, &a, at(40, 23), "overdue/12"), "");
        if (k == TASK_FILL || k == TASK_CHECK || k == TASK_CHANGE) {
            (void)snprintf(text, sizeof text, "task 12 (%s) is 2 days over: this and that",
                           task_kinds[k].word);
        }
        assert_string_equal(notice_with(f, &a, at(42, 7), "overdue/12"), text);
    }
}

/* A fill of 100 L tomorrow at seven, with 20 L stored and 1 L an hour: 43 L by then. */
static void a_source_that_is_too_weak_is_told_of_in_time(void **ctx)
{
    struct fixture *f = *ctx;
    struct job j = {.kind = TASK_FILL, .volume_l = 100};
    struct task t = {
        .id = 7, .kind = TASK_FILL, .on = day(2), .latest = day(9), .job = &j, .n_jobs = 1};
    struct agenda a = {.task = &t, .n = 1};

    f->room.source.stored_l = 20;
    f->room.source.rate_l_h = 1;
    assert_string_equal(notice_with(f, &a, at(1, 8), "source-weak/fill"),
                        "task 7 (fill) takes 100 L of plain water, and the source can have 43.0 L "
                        "by then: put it off, split it, or get water from elsewhere");
    assert_string_equal(notice_with(f, &a, at(2, 7), "source-weak/fill"), ""); /* too late to say */
    f->room.source.stored_l = 77;                                              /* just enough */
    assert_string_equal(notice_with(f, &a, at(1, 8), "source-weak/fill"), "");
}

/* The timer sleeps until then: the low mark first, then the outlet, then never. */
static void the_next_notice_comes_when_the_water_is_low_and_when_it_is_gone(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t low_s;
    int64_t empty_s;

    assert_true(notices_next_s(&f->room, &f->s, at(61, 9)) == FORECAST_NEVER);
    on_float(f, "A1", 60);
    fill(f, 61, 40);
    low_s = forecast_reservoir_at_s(&f->room, &f->s, 25, at(61, 9));
    empty_s = forecast_reservoir_at_s(&f->room, &f->s, 5, at(61, 9));
    assert_true(low_s > at(62, 0) && empty_s > low_s);
    assert_true(notices_next_s(&f->room, &f->s, at(61, 9)) == low_s);
    /* Found by halving: to a quarter of an hour. */
    assert_in_range(notices_next_s(&f->room, &f->s, low_s - 3600), low_s - 900, low_s + 900);
    assert_in_range(notices_next_s(&f->room, &f->s, low_s + 3600), empty_s - 900, empty_s + 900);
    assert_true(notices_next_s(&f->room, &f->s, empty_s + 3600) == FORECAST_NEVER);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_room_that_runs_well_has_no_notice),
        TEST(a_reservoir_at_its_low_mark_is_told_of),
        TEST(an_empty_reservoir_is_told_of_as_such),
        TEST(a_reservoir_that_nobody_draws_from_may_be_low),
        TEST(a_reservoir_that_was_never_filled_is_no_empty_one),
        TEST(an_alarm_is_told_of_until_its_evidence_goes),
        TEST(a_solution_that_grows_warm_is_told_of),
        TEST(what_was_seen_is_told_with_what_it_changes),
        TEST(more_used_than_there_was_is_told_of),
        TEST(entries_about_things_that_are_gone_are_told_of),
        TEST(an_overdue_task_is_told_of_where_it_loses_plants),
        TEST(a_source_that_is_too_weak_is_told_of_in_time),
        TEST(the_next_notice_comes_when_the_water_is_low_and_when_it_is_gone),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
