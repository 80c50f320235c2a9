/* What people saw: it changes the next solution, asks for a look, or is told of, for as long as it
 * counts. */
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/sighted.h"
#include "tests/unit/a_story.h"

static const struct subject a1 = {SUBJECT_CONTAINER, A1};
static const struct subject tank = {SUBJECT_RESERVOIR, 0};

static void sees(struct fixture *f, const char *name, const char *what, int day)
{
    tell(f, told_at(ENTRY_OBSERVATION, name, what, at(day, 9)));
}

static bool counts(const struct fixture *f, struct subject s, enum sighting seen, int day)
{
    return sighted_s(&f->s, s, seen, at(day, 9)) != 0;
}

static void burnt_tips_hold_and_pale_growth_steps_until_the_next_solution(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    sees(f, "A1", "tip-burn", 32);
    assert_int_equal(f->s.container[A1].step_mood, -1);
    assert_int_equal(sighted_s(&f->s, a1, SIGHTING_TIP_BURN, at(90, 9)), at(32, 9));
    sees(f, "A1", "pale-growth", 33); /* the last word counts */
    assert_int_equal(f->s.container[A1].step_mood, 1);
    assert_false(counts(f, a1, SIGHTING_TIP_BURN, 33));
    assert_true(counts(f, a1, SIGHTING_PALE_GROWTH, 33));
    tell(f, with(told_at(ENTRY_BUMPED, "A1", "leaf", at(34, 9)), FIGURE_EC_MS_CM, 1.2));
    assert_false(counts(f, a1, SIGHTING_PALE_GROWTH, 34));
}

static void wilting_brown_roots_and_rot_ask_for_a_look(void **ctx)
{
    static const struct {
        const char *word;
        enum alarm_kind kind;
        enum sighting seen;
        int last_day; /* of those on which it counts */
    } rows[] = {
        {"wilting",         ALARM_WILT,  SIGHTING_WILTING,     37},
        {"brown-roots",     ALARM_ROOTS, SIGHTING_BROWN_ROOTS, 46},
        {"blossom-end-rot", ALARM_ROT,   SIGHTING_BLOSSOM_ROT, 46},
    };
    struct fixture *f = *ctx;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct alarms alarms;

        begin_again(f);
        on_float(f, "A1");
        sees(f, "A1", rows[i].word, 32);
        alarms_derive(&f->room, &f->s, at(32, 10), &alarms);
        assert_int_equal(alarms.n, 1);
        assert_int_equal(alarms.alarm[0].kind, rows[i].kind);
        assert_int_equal(alarms.alarm[0].since_s, at(32, 9));
        assert_string_equal(alarms.alarm[0].look, sightings[rows[i].seen].check);
        assert_false(alarms.alarm[0].seen);
        alarms_deinit(&alarms);
        assert_true(counts(f, a1, rows[i].seen, rows[i].last_day));
        alarms_derive(&f->room, &f->s, at(rows[i].last_day, 10), &alarms);
        assert_int_equal(alarms.n, 0);
        alarms_deinit(&alarms);
    }
}

/* Told again before anybody looked it is the same matter; after a look it is another. */
static void seen_again_after_a_look_it_asks_for_another(void **ctx)
{
    struct fixture *f = *ctx;
    const struct alarm_states *m = &f->s.container[A1].alarms;

    on_float(f, "A1");
    sees(f, "A1", "wilting", 32);
    sees(f, "A1", "wilting", 33);
    assert_int_equal(m->opened, 1);
    assert_int_equal(m->of[ALARM_WILT].since_s, at(32, 9));
    tell(f, told_at(ENTRY_ACKNOWLEDGED, "A1", "look", at(33, 10)));
    sees(f, "A1", "wilting", 34);
    assert_int_equal(m->opened, 2);
    assert_int_equal(m->of[ALARM_WILT].since_s, at(34, 9));
    sees(f, "A1", "wilting", 50); /* nobody looked, and it was long ago */
    assert_int_equal(m->opened, 3);
    assert_int_equal(m->of[ALARM_WILT].since_s, at(50, 9));
}

static void it_says_how_warm_the_solution_was(void **ctx)
{
    struct fixture *f = *ctx;
    const struct alarm_states *m = &f->s.container[A1].alarms;

    on_float(f, "A1");
    sees(f, "A1", "brown-roots", 32);
    assert_true(isnan(m->of[ALARM_ROOTS].seen));
    reads(f, "A1", 33, FIGURE_TEMP_C, 26);
    sees(f, "A1", "brown-roots", 34);
    assert_near(m->of[ALARM_ROOTS].seen, 26, 0);
    sees(f, "A1", "wilting", 40); /* a week later nobody knows */
    assert_true(isnan(m->of[ALARM_WILT].seen));
}

/* K to Ca of what it was fed, which a plant that takes of all alike does not change. */
static void rot_says_the_strength_and_the_potassium_beside_calcium(void **ctx)
{
    struct fixture *f = *ctx;
    const struct alarm_state *rot = &f->s.container[A1].alarms.of[ALARM_ROT];

    on_float(f, "A1");
    reads(f, "A1", 32, FIGURE_EC_MS_CM, 0.6);
    sees(f, "A1", "blossom-end-rot", 32);
    assert_near(rot->seen, 0.6, 1e-9);
    assert_true(isnan(rot->expected)); /* nobody said what the products contain */
}

static void a_change_of_solution_answers_brown_roots(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    sees(f, "A1", "brown-roots", 32);
    tell(f, with(told_at(ENTRY_BUMPED, "A1", "leaf", at(33, 9)), FIGURE_EC_MS_CM, 1.2));
    assert_true(counts(f, a1, SIGHTING_BROWN_ROOTS, 33)); /* concentrate does not */
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(34, 8)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(34, 9)), FIGURE_EC_MS_CM, 1.1));
    assert_false(counts(f, a1, SIGHTING_BROWN_ROOTS, 34));
    sees(f, "A1", "brown-roots", 35);
    assert_true(counts(f, a1, SIGHTING_BROWN_ROOTS, 35));
}

static void pests_algae_and_leaks_are_told_of_for_some_days(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    sees(f, "A1", "pests", 32);
    sees(f, "reservoir", "algae", 32);
    sees(f, "reservoir", "leak", 32);
    assert_int_equal(f->s.container[A1].alarms.opened, 0);
    assert_true(counts(f, a1, SIGHTING_PESTS, 39) && !counts(f, a1, SIGHTING_PESTS, 40));
    assert_true(counts(f, tank, SIGHTING_ALGAE, 46) && !counts(f, tank, SIGHTING_ALGAE, 47));
    assert_true(counts(f, tank, SIGHTING_LEAK, 35) && !counts(f, tank, SIGHTING_LEAK, 36));
    assert_int_equal(f->s.reservoir.alarms.opened, 0);
}

/* What was seen on a plant goes with it; a leak is the container's. */
static void a_plant_takes_what_was_seen_on_it_along(void **ctx)
{
    struct fixture *f = *ctx;

    sees(f, "A1", "wilting", 0); /* of nothing that grows */
    assert_int_equal(f->s.container[A1].alarms.opened, 0);
    assert_int_equal(f->s.container[A1].saw_s[SIGHTING_WILTING], 0);
    on_float(f, "A1");
    sees(f, "A1", "pests", 90);
    sees(f, "A1", "leak", 90);
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(91, 9)));
    assert_false(counts(f, a1, SIGHTING_PESTS, 91));
    assert_true(counts(f, a1, SIGHTING_LEAK, 91));
    assert_false(sighted_s(&f->s, (struct subject){SUBJECT_PRODUCT, 0}, SIGHTING_LEAK, at(91, 9)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(burnt_tips_hold_and_pale_growth_steps_until_the_next_solution),
        TEST(wilting_brown_roots_and_rot_ask_for_a_look),
        TEST(seen_again_after_a_look_it_asks_for_another),
        TEST(it_says_how_warm_the_solution_was),
        TEST(rot_says_the_strength_and_the_potassium_beside_calcium),
        TEST(a_change_of_solution_answers_brown_roots),
        TEST(pests_algae_and_leaks_are_told_of_for_some_days),
        TEST(a_plant_takes_what_was_seen_on_it_along),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
