/* The list of what is wrong: whole, the gravest first, in words that say what to do; and what
 * takes an alarm off it. */
#include "daemon/core/state/alarm.h"
#include "tests/unit/a_story.h"

static void raise_alarm(struct alarm_states *m, enum alarm_kind kind, double seen, double expected)
{
    m->of[kind] = (struct alarm_state){
        .since_s = at(30, 9), .seen = seen, .expected = expected, .sure_pct = 97};
    m->opened++;
}

/* What is seen and how warm it is counts for some days: these are of the day of the alarms. */
static void see_all_that_asks_for_a_look(struct fixture *f, int64_t t_s)
{
    struct container_state *a1 = &f->s.container[A1];

    a1->saw_s[SIGHTING_WILTING] = a1->saw_s[SIGHTING_BROWN_ROOTS] = t_s;
    a1->saw_s[SIGHTING_BLOSSOM_ROT] = t_s;
    a1->temp = (struct measured){.at_s = t_s, .value = 30};
}

static void where_nothing_is_wrong_the_list_is_empty(void **ctx)
{
    struct fixture *f = *ctx;
    struct alarms alarms;

    on_float(f, "A1");
    fills(f, 31, 90);
    alarms_derive(&f->room, &f->s, f->s.latest_s, &alarms);
    assert_int_equal(alarms.n, 0);
    assert_null(alarms.alarm);
    alarms_deinit(&alarms);
}

static void all_that_is_wrong_is_listed_the_gravest_first(void **ctx)
{
    static const struct {
        enum alarm_kind kind;
        enum subject_kind subject;
        size_t at;
    } rows[] = {
        {ALARM_HIGH,   SUBJECT_CONTAINER, A2},
        {ALARM_HIGH,   SUBJECT_CONTAINER, L1},
        {ALARM_LEAK,   SUBJECT_RESERVOIR, 0 },
        {ALARM_LOW,    SUBJECT_CONTAINER, A1},
        {ALARM_WILT,   SUBJECT_CONTAINER, A1},
        {ALARM_ROOTS,  SUBJECT_CONTAINER, A1},
        {ALARM_HOT,    SUBJECT_CONTAINER, A1},
        {ALARM_SALT,   SUBJECT_RESERVOIR, 0 },
        {ALARM_LACK,   SUBJECT_RESERVOIR, 0 },
        {ALARM_STRONG, SUBJECT_CONTAINER, A1},
        {ALARM_PH,     SUBJECT_CONTAINER, A2},
        {ALARM_ROT,    SUBJECT_CONTAINER, A1},
        {ALARM_PACE,   SUBJECT_CONTAINER, A3},
        {ALARM_METER,  SUBJECT_METER,     1 },
    };
    struct fixture *f = *ctx;
    struct alarms alarms;
    const size_t n = sizeof rows / sizeof *rows;

    on_float(f, "A1");
    see_all_that_asks_for_a_look(f, at(30, 9));
    for (size_t i = 0; i < n; i++) {
        struct alarm_states *m = rows[i].subject == SUBJECT_METER ? &f->s.meter[rows[i].at].alarms
                                 : rows[i].subject == SUBJECT_RESERVOIR
                                     ? &f->s.reservoir.alarms
                                     : &f->s.container[rows[i].at].alarms;

        raise_alarm(m, rows[i].kind, 9, 8);
    }
    alarms_derive(&f->room, &f->s, f->s.latest_s, &alarms);
    assert_int_equal(alarms.n, n);
    for (size_t i = 0; i < n; i++) {
        const struct alarm *a = &alarms.alarm[i];

        assert_int_equal(a->kind, rows[i].kind);
        assert_int_equal(a->subject.kind, rows[i].subject);
        assert_int_equal(a->subject.at, rows[i].at);
        assert_int_equal(a->since_s, at(30, 9));
        assert_false(a->seen);
        assert_near(a->sure_pct, 97, 0);
        assert_ptr_equal(a->look, alarm_looks[a->kind]);
        assert_int_equal(alarm_states_of(&f->s, a->subject)->of[a->kind].since_s, at(30, 9));
    }
    alarms_deinit(&alarms);
}

static void nothing_is_surer_than_99_9(void **ctx)
{
    struct fixture *f = *ctx;
    struct alarms alarms;

    raise_alarm(&f->s.reservoir.alarms, ALARM_LEAK, 9, 8);
    f->s.reservoir.alarms.of[ALARM_LEAK].sure_pct = 99.9999;
    alarms_derive(&f->room, &f->s, f->s.latest_s, &alarms);
    assert_near(alarms.alarm[0].sure_pct, 99.9, 0);
    alarms_deinit(&alarms);
}

static void says(const struct fixture *f, enum alarm_kind kind, struct subject subject, double seen,
                 double expected, const char *want)
{
    struct alarm_state m = {.since_s = 1, .seen = seen, .expected = expected};
    char out[ALARM_SAYS_MAX];

    alarm_say(&f->room, kind, subject, &m, out);
    assert_string_equal(out, want);
}

static void each_kind_says_what_was_expected_and_what_was_seen(void **ctx)
{
    struct fixture *f = *ctx;
    const struct subject a1 = {SUBJECT_CONTAINER, A1};
    const struct subject tank = {SUBJECT_RESERVOIR, 0};

    says(f, ALARM_HIGH, a1, 9.4, 8,
         "A1 was read at 9.4 L, above its float line of 8.0 L: its air roots drown");
    says(f, ALARM_HIGH, a1, 17, 15,
         "A1 was read at 17.0 L, and held 15.0 L before: its air roots drown");
    says(f, ALARM_LOW, a1, 6.5, 8,
         "A1 was read at 6.5 L, below its float line of 8.0 L: nothing lets water in");
    says(f, ALARM_LOW, a1, NAN, 8, "the float of A1 lets in no water, below its line of 8.0 L");
    says(f, ALARM_LEAK, tank, 9, 4,
         "the reservoir lost 9.0 L a day, and the plants were to drink 4.0 L");
    says(f, ALARM_LACK, tank, 1, 4,
         "the reservoir lost 1.0 L a day, and the plants were to drink 4.0 L");
    says(f, ALARM_SALT, tank, 0.35, 0.05,
         "the reservoir reads 0.35 mS/cm; the plain water is 0.05 mS/cm");
    says(f, ALARM_STRONG, a1, 1.6, 1.1,
         "A1 reads 1.60 mS/cm; on float it only falls: expected is 1.10 mS/cm");
    says(f, ALARM_PH, a1, 7.04, 6.5, "pH of A1 drifts: 7.0 was read, and its band ends at 6.5");
    says(f, ALARM_WILT, a1, 29.5, NAN,
         "A1 was seen wilting; its solution was last read at 29.5 °C");
    says(f, ALARM_WILT, a1, NAN, NAN,
         "A1 was seen wilting; nobody told lately how warm its solution is");
    says(f, ALARM_ROOTS, a1, 27, NAN,
         "A1 was seen with brown roots; its solution was last read at 27.0 °C");
    says(f, ALARM_HOT, a1, 28.5, 28,
         "the solution of A1 was read at 28.5 °C: from 28.0 °C on it holds too little oxygen, and "
         "roots rot");
    says(f, ALARM_ROT, a1, 2.4, 1.9,
         "A1 was seen with blossom-end rot; it should hold 2.40 mS/cm then, K to Ca 1.9:1");
    says(f, ALARM_ROT, a1, 2.4, NAN,
         "A1 was seen with blossom-end rot; it should hold 2.40 mS/cm then");
    says(f, ALARM_PACE, a1, 2.63, 1, "A1 drinks 2.6 times what its crop does");
    says(f, ALARM_METER, (struct subject){SUBJECT_METER, 1}, 3, 0,
         "the last 3 readings with ec-pen cannot be");
}

/* Scripts and `--json` go by the words, people by where to look first. */
static void each_kind_has_its_own_word_and_look(void **ctx)
{
    static const struct {
        enum alarm_kind kind;
        const char *word, *look; /* a word that is in the look and in no other */
    } rows[] = {
        {ALARM_HIGH,   "level-high",      "drain what is too much"},
        {ALARM_LEAK,   "leak",            "its fittings"          },
        {ALARM_LOW,    "level-low",       "its inlet clear"       },
        {ALARM_ODD,    "level-odd",       "is it wet around it"   },
        {ALARM_SWAP,   "swapped",         "read both again"       },
        {ALARM_WILT,   "wilting",         "is there water"        },
        {ALARM_ROOTS,  "brown-roots",     "smell"                 },
        {ALARM_HOT,    "hot",             "lighten the lid"       },
        {ALARM_SALT,   "reservoir-salt",  "rinse it"              },
        {ALARM_LACK,   "air-lock",        "air in the line"       },
        {ALARM_STRONG, "too-strong",      "an open lid"           },
        {ALARM_PH,     "ph-drift",        "then the roots"        },
        {ALARM_ROT,    "blossom-end-rot", "K to Ca"               },
        {ALARM_PACE,   "pace",            "health"                },
        {ALARM_METER,  "meter",           "something you know"    },
    };
    _Static_assert(sizeof rows / sizeof *rows == ALARM_KIND_N,
                   "a kind of alarm whose word and look nobody has tested");

    (void)ctx;
    for (int k = 0; k < ALARM_KIND_N; k++) {
        assert_string_equal(alarm_words[rows[k].kind], rows[k].word);
        for (int other = 0; other < ALARM_KIND_N; other++) {
            assert_int_equal(strstr(alarm_looks[rows[other].kind], rows[k].look) != NULL,
                             other == k);
        }
    }
}

static void a_new_solution_forgets_what_was_wrong_with_the_old_one(void **ctx)
{
    struct fixture *f = *ctx;
    struct alarm_states *m;
    const struct entry fresh[] = {
        with(told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 9)), FIGURE_EC_MS_CM, 1.1),
        with(told_at(ENTRY_BUMPED, "A1", "leaf", at(38, 9)), FIGURE_EC_MS_CM, 1.1),
    };

    for (size_t i = 0; i < 2; i++) {
        begin_again(f);
        on_float(f, "A1");
        m = &f->s.container[A1].alarms;
        for (int k = 0; k < ALARM_KIND_N; k++) {
            raise_alarm(m, (enum alarm_kind)k, 9, 8);
        }
        tell(f, fresh[i]);
        assert_true(m->of[ALARM_HIGH].since_s == 0 && m->of[ALARM_LOW].since_s == 0);
        assert_true(m->of[ALARM_STRONG].since_s == 0 && m->of[ALARM_PH].since_s == 0);
        assert_int_equal(m->of[ALARM_PACE].since_s, at(30, 9)); /* that is the plant's */
        assert_int_equal(m->opened, ALARM_KIND_N);
    }
}

static void a_harvest_forgets_all_that_was_wrong_with_the_plant(void **ctx)
{
    struct fixture *f = *ctx;
    struct alarm_states *m = &f->s.container[A1].alarms;

    on_float(f, "A1");
    for (int k = 0; k < ALARM_KIND_N; k++) {
        raise_alarm(m, (enum alarm_kind)k, 9, 8);
    }
    raise_alarm(&f->s.container[A2].alarms, ALARM_PACE, 9, 8);
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(90, 9)));
    for (int k = 0; k < ALARM_KIND_N; k++) {
        assert_int_equal(m->of[k].since_s, 0);
    }
    assert_int_equal(f->s.container[A2].alarms.of[ALARM_PACE].since_s, at(30, 9));
    reads(f, "A1", 91, FIGURE_VOLUME_L, 17); /* water in an idle tub drowns nobody */
    reads(f, "A1", 91, FIGURE_PH, 9);
    reads(f, "A1", 92, FIGURE_PH, 9);
    assert_true(m->of[ALARM_HIGH].since_s == 0 && m->of[ALARM_PH].since_s == 0);
}

static void an_acknowledgement_is_of_what_was_wrong_with_that_subject_so_far(void **ctx)
{
    static const char *const names[] = {"A1", "reservoir", "ec-pen"};
    static const struct subject subjects[] = {
        {SUBJECT_CONTAINER, A1},
        {SUBJECT_RESERVOIR, 0 },
        {SUBJECT_METER,     1 }
    };
    struct fixture *f = *ctx;
    struct alarm_states *m[] = {&f->s.container[A1].alarms, &f->s.reservoir.alarms,
                                &f->s.meter[1].alarms};

    for (int i = 0; i < 3; i++) {
        raise_alarm(m[i], i == 2 ? ALARM_METER : ALARM_PH, 9, 8);
        raise_alarm(&f->s.container[A2].alarms, ALARM_PH, 9, 8);
        assert_ptr_equal(alarm_states_of(&f->s, subjects[i]), m[i]);
        tell(f, told_at(ENTRY_ACKNOWLEDGED, names[i], "read", at(31, 9))); /* another job's */
        assert_int_equal(m[i]->seen, 0);
        tell(f, told_at(ENTRY_ACKNOWLEDGED, names[i], "look", at(31, 9)));
        assert_int_equal(m[i]->seen, 1);
        raise_alarm(m[i], ALARM_METER, 9, 8); /* another one is not seen yet */
        assert_int_equal(m[i]->seen, 1);
        assert_int_equal(f->s.container[A2].alarms.seen, 0);
    }
    assert_null(alarm_states_of(&f->s, (struct subject){SUBJECT_PRODUCT, 0}));
    assert_null(alarm_states_of(&f->s, (struct subject){SUBJECT_ROOM, 0}));
}

/* What opened it, and since when, stays; the newest evidence above the threshold is what is
 * said. */
static void an_open_alarm_tells_of_the_newest_evidence(void **ctx)
{
    struct fixture *f = *ctx;
    const struct alarm_state *high = &f->s.container[A1].alarms.of[ALARM_HIGH];

    on_float(f, "A1");
    reads(f, "A1", 33, FIGURE_VOLUME_L, 9);
    reads(f, "A1", 34, FIGURE_VOLUME_L, 10);
    assert_near(high->seen, 10, 0);
    assert_near(high->expected, 8, 0);
    assert_int_equal(high->since_s, at(33, 9));
    assert_int_equal(f->s.container[A1].alarms.opened, 1);
    reads(f, "A1", 35, FIGURE_VOLUME_L, 8.4); /* between the two thresholds */
    assert_near(high->seen, 10, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(where_nothing_is_wrong_the_list_is_empty),
        TEST(all_that_is_wrong_is_listed_the_gravest_first),
        TEST(nothing_is_surer_than_99_9),
        TEST(each_kind_says_what_was_expected_and_what_was_seen),
        TEST(each_kind_has_its_own_word_and_look),
        TEST(a_new_solution_forgets_what_was_wrong_with_the_old_one),
        TEST(a_harvest_forgets_all_that_was_wrong_with_the_plant),
        TEST(an_acknowledgement_is_of_what_was_wrong_with_that_subject_so_far),
        TEST(an_open_alarm_tells_of_the_newest_evidence),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
