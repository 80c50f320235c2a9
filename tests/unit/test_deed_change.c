/* A change of solution as it is told: the mix, each container drained and refilled, the reservoir
 * rinsed. */
#include "tests/unit/a_deed.h"

static void a_change_tells_the_mix_each_drain_and_refill_and_the_rinse(void **ctx)
{
    struct deed_fixture *f = *ctx;
    static const enum entry_kind kinds[] = {
        ENTRY_ACKNOWLEDGED, ENTRY_MIX_MADE, ENTRY_DRAINED,          ENTRY_REFILLED,
        ENTRY_DRAINED,      ENTRY_REFILLED, ENTRY_RESERVOIR_RINSED, ENTRY_RESERVOIR_FILLED};
    const struct entry *mix;
    const struct entry *refill;

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_CHANGE, 2);
    say_mix(f);
    say(f, "", FIGURE_ADDED_L, 80);
    assert_int_equal(ack(f), 0);
    assert_kinds(f, kinds, sizeof kinds / sizeof *kinds);
    mix = &f->out.entry[1];
    assert_string_equal(mix->what, "leaf");
    assert_int_equal(mix->n_amounts, 2);
    assert_string_equal(mix->amount[0].product, "calcium-part");
    /* 22 L from 0.05 to the 1.10 of the task; 4 mL/L give 2.0: 22 * 4 * 1.05 / 2.0 = 46.2 mL, and
     * the cylinder shows 2 mL */
    assert_true(fabs(mix->amount[0].amount - 46) < 1e-9);
    refill = &f->out.entry[3];
    assert_true(refill->figure[FIGURE_VOLUME_L] == 8);
    assert_true(refill->figure[FIGURE_EC_MS_CM] < 1.15); /* half a litre of the old is in it */
    assert_int_equal(refill->task, 41);
    assert_string_equal(refill->who, "ana");
}

static void a_change_in_parts_needs_its_figures_once_and_rinses_at_the_end(void **ctx)
{
    struct deed_fixture *f = *ctx;
    static const enum entry_kind first[] = {ENTRY_ACKNOWLEDGED, ENTRY_MIX_MADE, ENTRY_DRAINED,
                                            ENTRY_REFILLED};
    static const enum entry_kind second[] = {ENTRY_ACKNOWLEDGED, ENTRY_DRAINED, ENTRY_REFILLED,
                                             ENTRY_RESERVOIR_RINSED};
    const char *only[] = {"A2"};

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_CHANGE, 2);
    say_mix(f);
    f->d.only = only;
    f->d.n_only = 1;
    assert_int_equal(ack(f), 0);
    assert_kinds(f, first, 4);
    assert_string_equal(f->out.entry[3].subject, "A2");
    for (size_t i = 0; i < f->out.n; i++) {
        tell(f, f->out.entry[i]);
    }
    entries_deinit(&f->out);
    a_task(f, TASK_CHANGE, 1);
    f->d.only = NULL;
    f->d.n_only = 0;
    f->d.n_told = 0;
    assert_int_equal(ack(f), 0);
    assert_kinds(f, second, 4);
}

static void what_a_mix_leaves_for_a_stronger_one_is_not_rinsed_away(void **ctx)
{
    struct deed_fixture *f = *ctx;
    static const enum entry_kind weaker[] = {ENTRY_ACKNOWLEDGED, ENTRY_MIX_MADE, ENTRY_DRAINED,
                                             ENTRY_REFILLED};
    static const enum entry_kind stronger[] = {ENTRY_ACKNOWLEDGED, ENTRY_MIX_MADE, ENTRY_DRAINED,
                                               ENTRY_REFILLED, ENTRY_RESERVOIR_RINSED};

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_CHANGE, 1);
    f->task.leaves_rest = true;
    say_mix(f); /* 22 L at 1.15 */
    assert_int_equal(ack(f), 0);
    assert_kinds(f, weaker, sizeof weaker / sizeof *weaker);
    for (size_t i = 0; i < f->out.n; i++) {
        tell(f, f->out.entry[i]);
    }
    assert_true(f->s.reservoir.holds_mix);
    assert_true(fabs(f->s.reservoir.body.volume_l - 14.5) < 1e-9);
    entries_deinit(&f->out);

    a_task(f, TASK_CHANGE, 2);
    f->task.job[0] = f->task.job[1];
    f->task.n_jobs = 1;
    f->task.id = 42;
    f->task.mix_ec_ms_cm = 1.5; /* of 22 L again, of which 14.5 are at 1.15 */
    f->d.n_told = 0;
    say(f, "", FIGURE_EC_MS_CM, 1.5);
    say(f, "", FIGURE_PH, 5.8);
    say(f, "", FIGURE_VOLUME_L, 29);
    assert_int_equal(ack(f), 0);
    assert_kinds(f, stronger, sizeof stronger / sizeof *stronger);
    /* half of the 29 L at 1.15, half at 0.05: 29 * 4 * (1.5 - 0.6) mL for each mS/cm that the
     * recipe gives, which the first mix has taught; the cylinder shows 2 mL */
    assert_true(fabs(f->out.entry[1].amount[0].amount - 104.4 / f->s.recipe[0].gain.value) <= 1);
}

static void what_was_drained_is_told_with_its_strength(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_CHANGE, 2);
    say_mix(f);
    say(f, "A2", FIGURE_WAS_MS_CM, 0.6);
    assert_int_equal(ack(f), 0);
    assert_false(entry_has(&f->out.entry[1], FIGURE_WAS_MS_CM)); /* the mix */
    assert_false(entry_has(&f->out.entry[2], FIGURE_WAS_MS_CM)); /* A1 is drained */
    assert_false(entry_has(&f->out.entry[5], FIGURE_WAS_MS_CM)); /* A2 is refilled */
    assert_int_equal(f->out.entry[4].kind, ENTRY_DRAINED);
    assert_string_equal(f->out.entry[4].subject, "A2");
    assert_true(f->out.entry[4].figure[FIGURE_WAS_MS_CM] == 0.6);
}

static void what_stands_drained_was_of_no_strength(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(40, 9)));
    a_task(f, TASK_CHANGE, 1);
    say_mix(f);
    say(f, "A1", FIGURE_WAS_MS_CM, 0.6);
    assert_int_equal(ack(f), ERR_REFUSED);
    assert_string_equal(f->err.msg, "A1 was drained already; was=… is told when it is drained");
}

static void a_change_by_hand_leaves_the_reservoir_alone(void **ctx)
{
    struct deed_fixture *f = *ctx;
    static const enum entry_kind kinds[] = {ENTRY_ACKNOWLEDGED, ENTRY_DRAINED, ENTRY_REFILLED};

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    f->task.by_hand = true;
    say(f, "", FIGURE_EC_MS_CM, 1.1);
    assert_int_equal(ack(f), 0);
    assert_kinds(f, kinds, sizeof kinds / sizeof *kinds);
    assert_int_equal(f->out.entry[2].n_amounts, 2); /* 7.5 L: 7.5 * 4 * 1.05 / 2.0 = 15.75 mL */
    assert_true(fabs(f->out.entry[2].amount[0].amount - 15.8) < 0.1);
    assert_true(f->out.entry[2].figure[FIGURE_VOLUME_L] == 8);
    assert_true(f->out.entry[2].figure[FIGURE_WAS_MS_CM] == 1.1); /* the jug, before the rest */
}

/* What a jug showed, and what was stirred into it, is judged as any other. */
static void what_cannot_be_of_a_jug_is_refused(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    f->task.by_hand = true;
    f->d.sure = true;
    say(f, "", FIGURE_EC_MS_CM, 1.1);
    say(f, "", FIGURE_PH, 15);
    assert_int_equal(ack(f), ERR_RANGE);
    assert_string_equal(f->err.field, "ph");
    f->told[0].figure[FIGURE_PH] = 5.8;
    f->told[0].amount[0] = (struct amount){.product = "elixir", .amount = 8};
    f->told[0].n_amounts = 1;
    assert_int_equal(ack(f), ERR_UNKNOWN);
}

static void a_change_without_its_figures_names_what_is_missing(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    say(f, "", FIGURE_EC_MS_CM, 1.15);
    assert_int_equal(ack(f), ERR_MISSING);
    assert_string_equal(f->err.field, "ph");
    assert_string_equal(f->err.msg, "task 41 (change) needs ph=… for the mix");
    assert_null(f->out.entry);
}

static void a_mix_far_from_its_strength_wants_a_sure_word(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    say_mix(f);
    say(f, "", FIGURE_EC_MS_CM, 2.4);
    assert_int_equal(ack(f), ERR_UNSURE);
    assert_string_equal(f->err.msg, "the mix was to be 1.10 mS/cm, and 2.40 mS/cm is far from it; "
                                    "say so if you are sure");
    f->d.sure = true;
    assert_int_equal(ack(f), 0);
}

static void no_one_refills_above_the_float_line_sure_or_not(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    say_mix(f);
    say(f, "A1", FIGURE_VOLUME_L, 9);
    f->d.sure = true;
    assert_int_equal(ack(f), ERR_REFUSED);
    assert_string_equal(f->err.msg, "9.0 L in A1 would drown its air roots: it must not rise above "
                                    "8.0 L, the float line");
    assert_null(f->out.entry);
}

static void a_mix_a_quarter_off_is_asked_about_and_no_less(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1); /* 7.5 L at 1.10 */
    f->task.mix_ec_ms_cm = 1.2;
    say_mix(f);
    say(f, "", FIGURE_EC_MS_CM, 1.49);
    assert_int_equal(ack(f), 0);
    entries_deinit(&f->out);
    say(f, "", FIGURE_EC_MS_CM, 1.51);
    assert_int_equal(ack(f), ERR_UNSURE);
    assert_string_equal(f->err.field, "ec");
    say(f, "", FIGURE_EC_MS_CM, 0.91);
    assert_int_equal(ack(f), 0);
    entries_deinit(&f->out);
    say(f, "", FIGURE_EC_MS_CM, 0.89);
    assert_int_equal(ack(f), ERR_UNSURE);
    say(f, "", FIGURE_EC_MS_CM, 1.2);
    say(f, "", FIGURE_VOLUME_L, 5.6); /* three quarters of 7.5 L are 5.625 L */
    assert_int_equal(ack(f), ERR_UNSURE);
    assert_string_equal(f->err.field, "volume");
    assert_string_equal(f->err.msg,
                        "5.6 L does not fill these containers, which take 7.5 L; say so "
                        "if you are sure");
    say(f, "", FIGURE_VOLUME_L, 5.7);
    assert_int_equal(ack(f), 0);
}

/* Of two containers one is chosen: a mix for that one is enough. */
static void a_mix_is_measured_by_what_is_chosen(void **ctx)
{
    struct deed_fixture *f = *ctx;
    const char *only[] = {"A1"};

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_CHANGE, 2);
    say_mix(f);
    say(f, "", FIGURE_VOLUME_L, 9);
    assert_int_equal(ack(f), ERR_UNSURE);
    f->d.only = only;
    f->d.n_only = 1;
    assert_int_equal(ack(f), 0);
}

static void a_change_needs_each_figure_of_its_mix(void **ctx)
{
    struct deed_fixture *f = *ctx;
    static const enum figure needed[] = {FIGURE_EC_MS_CM, FIGURE_PH, FIGURE_VOLUME_L};

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    for (size_t i = 0; i < sizeof needed / sizeof *needed; i++) {
        say_mix(f);
        f->told[0].has &= ~FIGURE_BIT(needed[i]);
        assert_int_equal(ack(f), ERR_MISSING);
        assert_string_equal(f->err.field, figure_defs[needed[i]].word);
    }
    f->d.n_told = 0;
    f->task.by_hand = true;
    assert_int_equal(ack(f), ERR_MISSING);
    assert_string_equal(f->err.msg, "task 41 (change) needs ec=… for the mix");
}

static void a_change_by_hand_takes_no_water_into_the_reservoir(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    f->task.by_hand = true;
    say(f, "", FIGURE_EC_MS_CM, 1.1);
    say(f, "", FIGURE_ADDED_L, 80);
    assert_int_equal(ack(f), ERR_UNKNOWN);
    assert_string_equal(f->err.msg, "task 41 (change) takes no added=…");
}

/* Half a litre of the old in eight: 0.5 of what was drained, 7.5 of 1.15. */
static void what_stayed_in_the_bottom_is_in_the_refill(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    say_mix(f);
    say(f, "A1", FIGURE_WAS_MS_CM, 0.35);
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.entry[2].kind, ENTRY_DRAINED);
    assert_true(f->out.entry[2].figure[FIGURE_VOLUME_L] == 0.5);
    assert_int_equal(f->out.entry[3].kind, ENTRY_REFILLED);
    assert_string_equal(f->out.entry[3].what, "leaf");
    assert_true(fabs(f->out.entry[3].figure[FIGURE_EC_MS_CM] - (0.5 * 0.35 + 7.5 * 1.15) / 8) <
                1e-9);
    entries_deinit(&f->out);
    say(f, "A1", FIGURE_EC_MS_CM, 1.05); /* measured in there: believed */
    say(f, "A1", FIGURE_VOLUME_L, 7.8);
    assert_int_equal(ack(f), 0);
    assert_true(f->out.entry[3].figure[FIGURE_EC_MS_CM] == 1.05);
    assert_true(f->out.entry[3].figure[FIGURE_VOLUME_L] == 7.8);
    assert_false(entry_has(&f->out.entry[3], FIGURE_WAS_MS_CM));
}

static void what_stands_drained_is_only_refilled(void **ctx)
{
    struct deed_fixture *f = *ctx;
    static const enum entry_kind kinds[] = {ENTRY_ACKNOWLEDGED, ENTRY_MIX_MADE, ENTRY_REFILLED,
                                            ENTRY_RESERVOIR_RINSED};

    on_float(f, "A1");
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(40, 9)));
    a_task(f, TASK_CHANGE, 1);
    say_mix(f);
    assert_int_equal(ack(f), 0);
    assert_kinds(f, kinds, 4);
}

static void the_water_after_the_rinse_is_told_where_it_was_let_in(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    say_mix(f);
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.entry[f->out.n - 1].kind, ENTRY_RESERVOIR_RINSED);
    entries_deinit(&f->out);
    say(f, "", FIGURE_ADDED_L, 80);
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.entry[f->out.n - 1].kind, ENTRY_RESERVOIR_FILLED);
    assert_true(f->out.entry[f->out.n - 1].figure[FIGURE_ADDED_L] == 80);
    assert_false(entry_has(&f->out.entry[1], FIGURE_ADDED_L)); /* the mix */
}

/* The amount of a product in an entry; NaN where it has none, and it has it once. */
static double amount_in(const struct entry *e, const char *product)
{
    double amount = NAN;

    for (size_t k = 0; k < e->n_amounts; k++) {
        if (strcmp(e->amount[k].product, product) == 0) {
            assert_true(isnan(amount));
            amount = e->amount[k].amount;
        }
    }
    return amount;
}

/* Product by product: what was not told is taken to have been dosed by the sheet,
 * half as much of sulfate-part as the plan has of calcium-part. 14.5 L x 2 mL/L x 1.05 / 2.0 =
 * 15.2 mL, and in the jug 7.5 L: 7.9 mL. */
static void amounts_that_were_told_stand_over_those_of_the_recipe(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    say_mix(f);
    say(f, "", FIGURE_VOLUME_L, 14.5);
    f->told[0].n_amounts = 1;
    f->told[0].amount[0] = (struct amount){.product = "calcium-part", .amount = 40};
    assert_int_equal(ack(f), 0);
    assert_true(amount_in(&f->out.entry[1], "calcium-part") == 40);
    assert_float_equal(amount_in(&f->out.entry[1], "sulfate-part"), 15.2, 0.1);
    assert_int_equal(f->out.entry[1].n_amounts, 2);
    entries_deinit(&f->out);
    f->task.by_hand = true;
    f->told[0].has = FIGURE_BIT(FIGURE_EC_MS_CM);
    assert_int_equal(ack(f), 0);
    assert_true(amount_in(&f->out.entry[2], "calcium-part") == 40);
    assert_float_equal(amount_in(&f->out.entry[2], "sulfate-part"), 7.9, 0.1);
}

/* The acid of a mix says nothing of its nutrients: they are as the sheet had them. */
static void acid_that_is_told_with_a_mix_leaves_its_nutrients(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    say_mix(f);
    say(f, "", FIGURE_VOLUME_L, 14.5);
    f->told[0].n_amounts = 1;
    f->told[0].amount[0] = (struct amount){.product = "ph-down", .amount = 12};
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.entry[1].n_amounts, 3);
    assert_true(amount_in(&f->out.entry[1], "ph-down") == 12);
    assert_float_equal(amount_in(&f->out.entry[1], "calcium-part"), 30.4, 0.2);
    assert_float_equal(amount_in(&f->out.entry[1], "sulfate-part"), 15.2, 0.1);
    f->told[0].amount[0] = (struct amount){.product = "sulfate-part", .amount = 0};
    entries_deinit(&f->out);
    assert_int_equal(ack(f), 0); /* none of it, and that was told */
    assert_true(amount_in(&f->out.entry[1], "sulfate-part") == 0);
    assert_int_equal(f->out.entry[1].n_amounts, 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        DEED_TEST(a_change_tells_the_mix_each_drain_and_refill_and_the_rinse),
        DEED_TEST(a_change_in_parts_needs_its_figures_once_and_rinses_at_the_end),
        DEED_TEST(what_a_mix_leaves_for_a_stronger_one_is_not_rinsed_away),
        DEED_TEST(what_was_drained_is_told_with_its_strength),
        DEED_TEST(what_stands_drained_was_of_no_strength),
        DEED_TEST(a_change_by_hand_leaves_the_reservoir_alone),
        DEED_TEST(what_cannot_be_of_a_jug_is_refused),
        DEED_TEST(a_change_without_its_figures_names_what_is_missing),
        DEED_TEST(a_mix_far_from_its_strength_wants_a_sure_word),
        DEED_TEST(no_one_refills_above_the_float_line_sure_or_not),
        DEED_TEST(a_mix_a_quarter_off_is_asked_about_and_no_less),
        DEED_TEST(a_mix_is_measured_by_what_is_chosen),
        DEED_TEST(a_change_needs_each_figure_of_its_mix),
        DEED_TEST(a_change_by_hand_takes_no_water_into_the_reservoir),
        DEED_TEST(what_stayed_in_the_bottom_is_in_the_refill),
        DEED_TEST(what_stands_drained_is_only_refilled),
        DEED_TEST(the_water_after_the_rinse_is_told_where_it_was_let_in),
        DEED_TEST(amounts_that_were_told_stand_over_those_of_the_recipe),
        DEED_TEST(acid_that_is_told_with_a_mix_leaves_its_nutrients),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
