/* Acid by what is left of the alkalinity: the second dose is a rest, and not the first one again.
 *
 * Doses are those of tests/data/phreeqc.json where a row is named; the source of such
 * a room is the row's as far as the room file can say it (alkalinity and pH), so that
 * they agree within a few percent. */
#include "daemon/core/state/ph_dose.h"
#include "tests/unit/a_story.h"

#define NITRIC_MOL_ML 0.005

/* 2 meq/L at pH 7: row 7 of the file (sulfuric) and its like. */
static int set_up_hard(void **ctx)
{
    struct fixture *f;
    int rc = set_up(ctx);

    f = *ctx;
    f->room.source.alkalinity_mg_l = 3 * 50.04;
    f->room.source.ph = 7.3;
    f->room.product[PH_DOWN].reagent = REAGENT_NITRIC;
    f->room.product[PH_DOWN].mol_ml = NITRIC_MOL_ML;
    begin_again(f);
    return rc;
}
#define HARD(name) cmocka_unit_test_setup_teardown(name, set_up_hard, tear_down)

static struct ph_dose dose_now(const struct fixture *f, int64_t t_s, double volume_l, double from,
                               double to)
{
    struct dissolved w = waters_reservoir(&f->room, &f->s, t_s);

    return ph_dose_of(&f->room, &f->s, &w, volume_l, from, to);
}

static struct entry filled(int day, int hour, double volume_l, double ph)
{
    return with(with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(day, hour)),
                     FIGURE_VOLUME_L, volume_l),
                FIGURE_PH, ph);
}

/* PHREEQC: nitric acid, 3 meq/L, pH 7.3 to 5.5: 2.5654 mmol/L, 0.4346 meq/L left, in the open pH
 * 7.794, then 0.3791 mmol/L again, and 3.0014 for good. */
static void the_first_dose_is_the_waters_and_the_second_is_what_is_left(void **ctx)
{
    struct fixture *f = *ctx;
    struct dissolved w = waters_source(&f->room, &f->s);
    struct ph_dose first = ph_dose_of(&f->room, &f->s, &w, 80, 7.3, 5.5);
    struct ph_dose second;

    assert_int_equal(first.by, PH_DOSE_BALANCE);
    assert_int_equal(first.product, PH_DOWN);
    assert_near(first.amount_ml, 2.5654e-3 * 80 / NITRIC_MOL_ML, 1.0); /* of 41 mL */
    assert_near(first.hold_ml, 3.0014e-3 * 80 / NITRIC_MOL_ML, 1.0);
    assert_near(first.lo_ml, 0.75 * first.amount_ml, 1e-9);
    assert_near(first.hi_ml, 1.25 * first.amount_ml, 1e-9);
    assert_near(first.rests_ph, 7.794, 0.05);
    assert_true(first.half_ph < 7.3 && first.half_ph > 6.0);
    assert_true(first.tomorrow_ph > 5.6 && first.tomorrow_ph < first.rests_ph);

    tell(f, with_amount(filled(0, 9, 80, 5.5), "ph-down", first.amount_ml));
    tell(f, with(told_at(ENTRY_READING, "reservoir", "", at(9, 9)), FIGURE_PH, 7.79));
    second = dose_now(f, at(9, 9), 80, 7.79, 5.5);
    assert_near(second.amount_ml, 0.3791e-3 * 80 / NITRIC_MOL_ML, 0.9); /* of 6 mL: not 41 again */
    assert_int_equal(second.by, PH_DOSE_LEARNED);
}

/* Near 5.0 the last drops move the pH far: what is given unmeasured spares a water that takes a
 * fifth less than was believed. */
static void what_is_sure_spares_a_water_that_takes_less(void **ctx)
{
    struct fixture *f = *ctx;
    struct dissolved w = waters_source(&f->room, &f->s);
    struct ph_dose d = ph_dose_of(&f->room, &f->s, &w, 80, 7.3, 5.2);

    assert_true(d.sure_ml < d.amount_ml);
    waters_dose(&w, &f->room, &f->s, d.product, 1.25 * d.sure_ml, 80);
    assert_near(balance_ph_closed(&w), 5.0, 0.01);
}

/* Whether the acid, the pH or both were told of a fill, the alkalinity that is left is the same. */
static void a_fill_is_understood_by_its_acid_or_by_its_ph(void **ctx)
{
    struct fixture *f = *ctx;
    struct dissolved w = waters_source(&f->room, &f->s);
    double ml = ph_dose_of(&f->room, &f->s, &w, 80, 7.3, 5.8).amount_ml;
    struct entry e = filled(0, 9, 80, 5.8);
    double by_both;

    tell(f, with_amount(e, "ph-down", ml));
    by_both = f->s.reservoir.buffer.alkalinity_meq_l;
    assert_true(by_both < 0.9 && by_both > 0.4); /* 78 % of 3 meq/L is used up at 5.8 */
    begin_again(f);
    tell(f, e);
    assert_near(f->s.reservoir.buffer.alkalinity_meq_l, by_both, 0.01);
    begin_again(f);
    e.has &= ~FIGURE_BIT(FIGURE_PH);
    tell(f, with_amount(e, "ph-down", ml));
    assert_near(f->s.reservoir.buffer.alkalinity_meq_l, by_both, 0.01); /* of what it was: 3 */
    begin_again(f);
    tell(f, e); /* neither: the sheet's dose, to 5.8, is taken to be in it */
    assert_near(f->s.reservoir.buffer.alkalinity_meq_l, by_both, 0.01);
    assert_near(f->s.product[PH_DOWN].left, f->room.product[PH_DOWN].stock, 0);
}

static void stock_and_feed_know_of_a_fills_acid(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.product[PH_DOWN].contents.mg[NUTRIENT_NO3_N] = 70;
    tell(f, with_amount(filled(0, 9, 80, 5.8), "ph-down", 36));
    assert_near(f->s.product[PH_DOWN].left, f->room.product[PH_DOWN].stock - 36, 1e-9);
    assert_near(f->s.reservoir.feed.mg[NUTRIENT_NO3_N], 36 * 70 / 80.0, 1e-9);
}

/* Half of it fresh: half of the source's alkalinity, and half of what was left. */
static void a_topped_reservoir_has_the_mean_of_both_waters(void **ctx)
{
    struct fixture *f = *ctx;
    double left;

    tell(f, filled(0, 9, 40, 5.8));
    left = f->s.reservoir.buffer.alkalinity_meq_l;
    tell(f, with(with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 10)), FIGURE_VOLUME_L,
                      80),
                 FIGURE_ADDED_L, 40));
    /* No pH was told: set to 5.8 once more. Before that it held the mean. */
    assert_true(f->s.reservoir.buffer.alkalinity_meq_l < (3 + left) / 2);
    begin_again(f);
    tell(f, filled(0, 9, 40, 5.8));
    f->room.reservoir.ph_target = 9; /* nothing to do */
    tell(f, with(with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 10)), FIGURE_VOLUME_L,
                      80),
                 FIGURE_ADDED_L, 40));
    assert_near(f->s.reservoir.buffer.alkalinity_meq_l, (3 + left) / 2, 1e-6);
}

/* A bottle that is a fifth weaker than its label shows it: 1.25 times as much was needed. */
static void a_weak_bottle_is_found_out(void **ctx)
{
    struct fixture *f = *ctx;
    const struct learned *l = &f->s.product[PH_DOWN].strength;
    struct dissolved w = waters_source(&f->room, &f->s);
    double ml = ph_dose_of(&f->room, &f->s, &w, 80, 7.3, 5.8).amount_ml;
    struct ph_dose next;

    for (int day = 0; day < 6; day++) {
        tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(day, 8)));
        tell(f, with_amount(filled(day, 9, 80, 5.8), "ph-down", 1.25 * ml));
    }
    assert_int_equal(l->n_used, 6);
    assert_near(l->value, 1.25, 0.04);
    w = waters_source(&f->room, &f->s);
    next = ph_dose_of(&f->room, &f->s, &w, 80, 7.3, 5.8);
    assert_int_equal(next.by, PH_DOSE_LEARNED);
    assert_near(next.amount_ml, 1.25 * ml, 0.04 * ml);
    assert_true(next.hi_ml - next.lo_ml < 0.5 * ml); /* surer than a label */
}

/* Two meters' errors are a tenth of pH (common practice, no source): a smaller step may be theirs,
 * and is no measure of the bottle. */
static void a_step_of_less_than_a_tenth_teaches_nothing(void **ctx)
{
    static const double shown[] = {7.22, 7.18};
    struct fixture *f = *ctx;

    for (int k = 0; k < 2; k++) {
        struct dissolved w;
        double ml;

        begin_again(f);
        w = waters_source(&f->room, &f->s);
        ml = ph_dose_of(&f->room, &f->s, &w, 80, 7.3, shown[k]).amount_ml;
        assert_true(ml > 0);
        tell(f, with_amount(filled(0, 9, 80, shown[k]), "ph-down", ml));
        assert_int_equal(f->s.product[PH_DOWN].strength.n_used, k);
    }
    f->room.source.alkalinity_mg_l = NAN; /* nor of an alkalinity that nobody reported */
    for (int k = 0; k < 2; k++) {
        begin_again(f);
        tell(f, with_amount(filled(0, 9, 80, shown[k]), "ph-down", 2));
        assert_int_equal(f->s.alkalinity.n_used, k);
    }
}

static void acid_into_an_empty_reservoir_teaches_nothing(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_PH_ADJUSTED, "reservoir", "", at(1, 9));

    e = with_amount(with(e, FIGURE_PH, 5.5), "ph-down", 10);
    f->room.source.alkalinity_mg_l = NAN;
    begin_again(f);
    tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(0, 9)));
    tell(f, e);
    assert_int_equal(f->s.alkalinity.n_used, 0);
    assert_int_equal(f->s.product[PH_DOWN].strength.n_used, 0);
    e = with_amount(with(told_at(ENTRY_PH_ADJUSTED, "reservoir", "", at(2, 10)), FIGURE_PH, 5.5),
                    "ph-down", 0); /* no more does a dose of nothing */
    tell(f, with(filled(2, 9, 80, 7.3), FIGURE_PH, 7.3));
    tell(f, e);
    assert_int_equal(f->s.alkalinity.n_used, 0);
}

/* Nine in ten lie within 1.645 standard deviations (tables of the normal distribution): of what was
 * learned of the bottle, and of 7 % for the meters before and after. */
static void a_dose_is_as_sure_as_its_bottle_and_the_meters(void **ctx)
{
    static const double sd[] = {0, 0.1};
    struct fixture *f = *ctx;
    struct dissolved w = waters_source(&f->room, &f->s);

    for (int k = 0; k < 2; k++) {
        double off = 1.645 * hypot(sd[k], 0.07);
        struct ph_dose d;

        f->s.product[PH_DOWN].strength = learned_from(1, sd[k], 0);
        f->s.product[PH_DOWN].strength.n_used = 3;
        d = ph_dose_of(&f->room, &f->s, &w, 80, 7.3, 5.8);
        assert_near(d.hi_ml / d.amount_ml, 1 + off, 1e-9);
        assert_near(d.lo_ml / d.amount_ml, 1 - off, 1e-9);
    }
    f->s.product[PH_DOWN].strength =
        learned_from(1, 2, 0); /* known not at all: nothing, at least */
    f->s.product[PH_DOWN].strength.n_used = 1;
    assert_near(ph_dose_of(&f->room, &f->s, &w, 80, 7.3, 5.8).lo_ml, 0, 0);
}

/* A tenth of what was poured in, by a syringe, and 0.07 of pH between two readings (common
 * practice, no source): of a bottle that nothing was known of the first dose says as much. */
static void a_first_dose_is_as_good_as_syringe_and_meter(void **ctx)
{
    struct fixture *f = *ctx;
    const struct learned *l;
    struct dissolved w;
    double mmol_l;
    double less_l;

    f->room.product[PH_DOWN].reagent = REAGENT_NONE;
    f->room.product[PH_DOWN].mol_ml = NAN;
    begin_again(f);
    w = waters_source(&f->room, &f->s);
    assert_int_equal(balance_dose_closed(&w, REAGENT_NITRIC, 5.5, &mmol_l, NULL), 0);
    assert_int_equal(balance_dose_closed(&w, REAGENT_NITRIC, 5.57, &less_l, NULL), 0);
    tell(f, with_amount(filled(0, 9, 80, 5.5), "ph-down", 150));
    l = &f->s.product[PH_DOWN].strength;
    assert_int_equal(l->n_used, 1);
    assert_near(learned_sd(l) * mmol_l * 80, hypot(15, (mmol_l - less_l) * 80), 1e-6);
}

/* A base is learned on its way up, and only there: what fell was not its doing. */
static void a_base_is_learned_as_an_acid_is(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_PH_ADJUSTED, "reservoir", "", at(0, 9));
    struct ph_dose d;

    label_bottle(&f->room, SALT, REAGENT_KOH, 0.001);
    begin_again(f);
    tell(f, filled(0, 9, 80, 5.5));
    d = dose_now(f, at(0, 9), 80, 5.5, 6.5);
    assert_int_equal(d.product, SALT);
    assert_true(d.amount_ml > 10);
    tell(f, with_amount(with(e, FIGURE_PH, 6.5), "salt", 1.1 * d.amount_ml));
    assert_int_equal(f->s.product[SALT].strength.n_used, 1);
    assert_true(f->s.product[SALT].strength.value > 1.01);
    begin_again(f);
    tell(f, filled(0, 9, 80, 6.5));
    tell(f, with_amount(with(e, FIGURE_PH, 5.5), "salt", d.amount_ml));
    assert_int_equal(f->s.product[SALT].strength.n_used, 0);
    begin_again(f);
    tell(f, filled(0, 9, 80, 5.5));
    tell(f, with_amount(with(e, FIGURE_PH, 6.5), "ph-down", 10));
    assert_int_equal(f->s.product[PH_DOWN].strength.n_used, 0);
}

/* 51 for 5.1 is not believed alone, and is asked back. */
static void a_slip_of_the_finger_teaches_nothing(void **ctx)
{
    struct fixture *f = *ctx;
    struct dissolved w = waters_source(&f->room, &f->s);
    double ml = ph_dose_of(&f->room, &f->s, &w, 80, 7.3, 5.8).amount_ml;
    struct entry right = with_amount(filled(0, 9, 80, 5.8), "ph-down", ml);
    struct entry wrong = with_amount(filled(0, 9, 80, 5.8), "ph-down", 10 * ml);
    double asked_ml = 0;

    assert_near(ph_dose_told_over_asked(&f->room, &f->s, &right, &asked_ml), 1, 1e-6);
    assert_near(asked_ml, ml, 1e-6);
    assert_near(ph_dose_told_over_asked(&f->room, &f->s, &wrong, &asked_ml), 10, 1e-6);
    tell(f, wrong);
    assert_int_equal(f->s.product[PH_DOWN].strength.n_used, 0);
    assert_near(f->s.product[PH_DOWN].strength.value, 1, 0);
    wrong = with_amount(filled(0, 9, 80, 7.29), "ph-down", 0.2); /* drops either way */
    assert_near(ph_dose_told_over_asked(&f->room, &f->s, &wrong, &asked_ml), 1, 1e-6);
    wrong = filled(0, 9, 80, 5.8);
    assert_true(isnan(ph_dose_told_over_asked(&f->room, &f->s, &wrong, &asked_ml)));
}

/* Nobody reported it: the first dose of a labelled acid says the alkalinity. PHREEQC's
 * row again: 2.5654 mmol/L of nitric acid from 7.3 to 5.5 is a water of 3 meq/L. */
static void a_dose_tells_an_alkalinity_that_nobody_reported(void **ctx)
{
    struct fixture *f = *ctx;
    struct dissolved w;

    f->room.source.alkalinity_mg_l = NAN;
    begin_again(f);
    w = waters_source(&f->room, &f->s);
    assert_false(waters_known(&w));
    assert_int_equal(ph_dose_of(&f->room, &f->s, &w, 80, 7.3, 5.5).by, PH_DOSE_BY_HAND);
    tell(f, with_amount(filled(0, 9, 80, 5.5), "ph-down", 2.5654e-3 * 80 / NITRIC_MOL_ML));
    assert_int_equal(f->s.alkalinity.n_used, 1);
    assert_near(f->s.alkalinity.value, 3, 0.1);
    assert_near(learned_sd(&f->s.alkalinity), 0.25 * f->s.alkalinity.value, 1e-9); /* by a label */
    assert_int_equal(f->s.product[PH_DOWN].strength.n_used, 0); /* one dose cannot tell both */
    assert_near(f->s.reservoir.buffer.alkalinity_meq_l, 0.4346, 0.05);
    w = waters_source(&f->room, &f->s);
    assert_int_equal(ph_dose_of(&f->room, &f->s, &w, 80, 7.3, 5.5).by, PH_DOSE_LEARNED);
}

/* 80 L of plain water of which nobody knows the alkalinity, its pH read on day 1 at 9 (NaN = it
 * was not); 10 mL of acid, 0.625 mmol/L, bring it to 5.5 at that instant. Has it taught one? */
static bool dosed_unreported(struct fixture *f, double read_ph, int64_t t_s)
{
    struct entry e = told_at(ENTRY_PH_ADJUSTED, "reservoir", "", t_s);

    f->room.source.alkalinity_mg_l = NAN;
    begin_again(f);
    fills(f, 0, 80);
    if (!isnan(read_ph)) {
        reads(f, "reservoir", 1, FIGURE_PH, read_ph);
    }
    tell(f, with_amount(with(e, FIGURE_PH, 5.5), "ph-down", 10));
    return f->s.alkalinity.n_used == 1;
}

/* With the alkalinity that was learned that dose brings the source's water from there to 5.5. */
static void assert_explains(const struct fixture *f, double ph_from)
{
    struct dissolved w = waters_source(&f->room, &f->s);

    w.carbonate_mmol_l = balance_carbonate_mmol_l(&w, ph_from);
    balance_add(&w, REAGENT_NITRIC, 0.625);
    assert_near(balance_ph_closed(&w), 5.5, 0.02); /* its calcium is guessed only by now */
}

/* The pH that a dose began with: as it was read within half a day before, else as the room file has
 * it. */
static void an_unreported_alkalinity_is_told_from_the_ph_that_was_just_read(void **ctx)
{
    struct fixture *f = *ctx;

    assert_true(dosed_unreported(f, 6.8, at(1, 10)));
    assert_explains(f, 6.8);
    assert_true(dosed_unreported(f, 6.8, at(1, 9) + WATERS_READ_BEFORE_S));
    assert_explains(f, 6.8);
    assert_true(dosed_unreported(f, 6.8, at(1, 9) + WATERS_READ_BEFORE_S + 1));
    assert_explains(f, 7.3);
    assert_true(dosed_unreported(f, 6.8, at(1, 9) - 1)); /* told late */
    assert_explains(f, 7.3);
    assert_true(dosed_unreported(f, NAN, at(1, 10)));
    assert_explains(f, 7.3);
    f->room.source.ph = NAN;
    assert_true(dosed_unreported(f, 6.8, at(1, 10)));
    assert_false(dosed_unreported(f, NAN, at(1, 10))); /* from what? */
}

static void a_dose_into_another_water_says_nothing_of_the_source(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_PH_ADJUSTED, "reservoir", "", at(1, 10));

    e = with_amount(with(e, FIGURE_PH, 5.5), "ph-down", 10);
    f->room.source.alkalinity_mg_l = NAN;
    begin_again(f); /* into a mix: nutrients hold its pH too */
    tell(f, with(with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(1, 9)), FIGURE_VOLUME_L, 80),
                 FIGURE_EC_MS_CM, 1.1));
    tell(f, e);
    assert_int_equal(f->s.alkalinity.n_used, 0);
    begin_again(f); /* into a water that has its own alkalinity by now: its pH told it */
    tell(f, filled(1, 9, 80, 7.3));
    assert_true(isfinite(f->s.reservoir.buffer.alkalinity_meq_l));
    tell(f, e);
    assert_int_equal(f->s.alkalinity.n_used, 0);
    label_bottle(&f->room, PH_DOWN, REAGENT_KOH, NITRIC_MOL_ML); /* a base does not do that */
    begin_again(f);
    fills(f, 0, 80);
    tell(f, e);
    assert_int_equal(f->s.alkalinity.n_used, 0);
}

/* A bottle that does not say what it is: by hand at first; then by the measure that
 * it made itself, in plain water alone. */
static void a_bottle_without_a_name_serves_once_it_was_tried(void **ctx)
{
    struct fixture *f = *ctx;
    struct dissolved w;
    struct nutrients phosphate = {.mg[NUTRIENT_P] = 31, .mg[NUTRIENT_K] = 39};

    f->room.product[PH_DOWN].reagent = REAGENT_NONE;
    f->room.product[PH_DOWN].mol_ml = NAN;
    begin_again(f);
    w = waters_source(&f->room, &f->s);
    assert_int_equal(ph_dose_of(&f->room, &f->s, &w, 80, 7.3, 5.5).by, PH_DOSE_BY_HAND);
    tell(f,
         with_amount(filled(0, 9, 80, 5.5), "ph-down", 20)); /* the report gives it its measure */
    assert_near(f->s.product[PH_DOWN].strength.value, 20 / (2.5654 * 80), 0.01);
    w = waters_source(&f->room, &f->s);
    assert_near(ph_dose_of(&f->room, &f->s, &w, 40, 7.3, 5.5).amount_ml, 10, 0.1);

    f->room.source.alkalinity_mg_l = NAN; /* and neither is known */
    begin_again(f);
    tell(f, with_amount(filled(0, 9, 80, 5.5), "ph-down", 20));
    w = waters_source(&f->room, &f->s);
    assert_near(ph_dose_of(&f->room, &f->s, &w, 40, 7.3, 5.5).amount_ml, 10, 0.2);
    waters_feed(&w, &phosphate);
    assert_int_equal(ph_dose_of(&f->room, &f->s, &w, 40, 7.0, 5.5).by, PH_DOSE_BY_HAND);
}

/* What was learned of it goes before what its label says, and both before what is known of
 * neither. */
static void the_acid_that_is_known_best_is_reached_for(void **ctx)
{
    struct fixture *f = *ctx;
    struct dissolved w = waters_source(&f->room, &f->s);
    struct product *p = f->room.product;

    p[SULFATE_PART].kind = p[SALT].kind = PRODUCT_ACID;
    p[SALT].reagent = REAGENT_NITRIC;
    p[SALT].mol_ml = 0.005;
    p[PH_DOWN].reagent = REAGENT_NONE;
    assert_int_equal(ph_dose_of(&f->room, &f->s, &w, 40, 7.3, 5.8).product, SALT);
    f->s.product[PH_DOWN].strength.n_used = 1;
    assert_int_equal(ph_dose_of(&f->room, &f->s, &w, 40, 7.3, 5.8).product, PH_DOWN);
    f->s.product[PH_DOWN].strength.n_used = 0;
    p[SALT].reagent = REAGENT_NONE;
    assert_int_equal(ph_dose_of(&f->room, &f->s, &w, 40, 7.3, 5.8).product, SULFATE_PART);
    assert_true(ph_dose_of(&f->room, &f->s, &w, 40, 5.8, 6.8).product == SIZE_MAX); /* no base */
    assert_true(ph_dose_of(&f->room, &f->s, &w, 40, 5.8, 5.8).product == SIZE_MAX);
}

/* Citric acid below 3 has nothing to give. */
static void what_a_reagent_cannot_do_is_done_by_hand(void **ctx)
{
    struct fixture *f = *ctx;
    struct dissolved w = waters_source(&f->room, &f->s);

    f->room.product[PH_DOWN].reagent = REAGENT_CITRIC;
    assert_int_equal(ph_dose_of(&f->room, &f->s, &w, 40, 7.3, 2.5).by, PH_DOSE_BY_HAND);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        HARD(the_first_dose_is_the_waters_and_the_second_is_what_is_left),
        HARD(what_is_sure_spares_a_water_that_takes_less),
        HARD(a_fill_is_understood_by_its_acid_or_by_its_ph),
        HARD(stock_and_feed_know_of_a_fills_acid),
        HARD(a_topped_reservoir_has_the_mean_of_both_waters),
        HARD(a_weak_bottle_is_found_out),
        HARD(a_step_of_less_than_a_tenth_teaches_nothing),
        HARD(acid_into_an_empty_reservoir_teaches_nothing),
        HARD(a_dose_is_as_sure_as_its_bottle_and_the_meters),
        HARD(a_first_dose_is_as_good_as_syringe_and_meter),
        HARD(a_base_is_learned_as_an_acid_is),
        HARD(a_slip_of_the_finger_teaches_nothing),
        HARD(a_dose_tells_an_alkalinity_that_nobody_reported),
        HARD(an_unreported_alkalinity_is_told_from_the_ph_that_was_just_read),
        HARD(a_dose_into_another_water_says_nothing_of_the_source),
        HARD(a_bottle_without_a_name_serves_once_it_was_tried),
        HARD(the_acid_that_is_known_best_is_reached_for),
        HARD(what_a_reagent_cannot_do_is_done_by_hand),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
