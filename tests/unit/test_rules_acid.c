/* The rule of acid and base: an amount that is far from what the pH told with it asks
 * for is asked back, for it would teach a bottle a strength that it does not have.
 * The bottles hold a mmol in a mL. */
#include "daemon/base/err.h"
#include "daemon/core/state/ph_dose.h"
#include "daemon/core/tell/rules.h"
#include "tests/unit/a_story.h"

/* An entry of the day on which these tests are. */
static struct entry bare(enum entry_kind kind, const char *subject)
{
    return told_at(kind, subject, "", at(40, 10));
}

static void assert_passes(const struct fixture *f, struct entry e)
{
    struct err err = {0};

    if (rules_check(&f->s, &f->room, &e, false, &err) != 0) {
        fail_msg("%g mL of %s: %s", e.amount[0].amount, e.amount[0].product, err.msg);
    }
}

/* Asked about by the name of the product, and taken from someone who is sure; gives the words. */
static struct err assert_asked(const struct fixture *f, struct entry e)
{
    struct err err = {0};
    struct err none = {0};

    assert_int_equal(rules_check(&f->s, &f->room, &e, false, &err), ERR_UNSURE);
    assert_string_equal(err.field, e.amount[0].product);
    assert_int_equal(rules_check(&f->s, &f->room, &e, true, &none), 0);
    return err;
}

static void the_water_is_known(struct fixture *f, double meq_l, double ph)
{
    report_water(&f->room, meq_l, ph);
    label_bottle(&f->room, PH_DOWN, REAGENT_NITRIC, 0.001);
    label_bottle(&f->room, SALT, REAGENT_KOH, 0.001);
    state_deinit(&f->s);
    state_init(&f->s, &f->room);
}

/* 100 L let in, and its pH set to 5.8 with so much. */
static struct entry filled_with(const char *product, double ml)
{
    struct entry e = with(bare(ENTRY_RESERVOIR_FILLED, "reservoir"), FIGURE_VOLUME_L, 100);

    return with_amount(with(with(e, FIGURE_ADDED_L, 100), FIGURE_PH, 5.8), product, ml);
}

static double asked_ml(const struct fixture *f, struct entry e)
{
    double ml = NAN;

    assert_true(isfinite(ph_dose_told_over_asked(&f->room, &f->s, &e, &ml)));
    return ml;
}

static void assert_strange(const struct fixture *f, struct entry e, const char *told, double ml)
{
    char about[QUANTITY_TEXT_MAX];
    char words[160];

    (void)snprintf(words, sizeof words,
                   "%s of %s to pH 5.8 is strange: by what was known, about %s does it; say so if "
                   "you are sure",
                   told, e.amount[0].product,
                   quantity_format(about, QUANTITY_LIQUID, ml, &f->room.units));
    assert_string_equal(assert_asked(f, e).msg, words);
}

/* 1.52 mmol/L by hand, in test_worksheet_ph.c: 152 mL. */
static void twice_the_acid_that_the_ph_asks_for_is_asked_about(void **ctx)
{
    struct fixture *f = *ctx;
    double ml;

    the_water_is_known(f, 2, 7.6);
    ml = asked_ml(f, filled_with("ph-down", 152));
    assert_float_equal(ml, 152, 0.03 * 152);
    assert_passes(f, filled_with("ph-down", 1.99 * ml));
    assert_passes(f, filled_with("ph-down", ml / 1.99));
    (void)assert_asked(f, filled_with("ph-down", 2.01 * ml));
    (void)assert_asked(f, filled_with("ph-down", ml / 2.01));
    assert_strange(f, filled_with("ph-down", 1500), "1.5 L", ml); /* a slip of the point */
    assert_strange(f, filled_with("ph-down", 15), "15 mL", ml);
    /* 0.47 mmol/L by hand, there too */
    the_water_is_known(f, 0.1, 5.0);
    ml = asked_ml(f, filled_with("salt", 47));
    assert_float_equal(ml, 47, 0.05 * 47);
    assert_passes(f, filled_with("salt", 1.99 * ml));
    assert_passes(f, filled_with("salt", ml / 1.99));
    assert_strange(f, filled_with("salt", 470), "470 mL", ml);
    assert_strange(f, filled_with("salt", 5), "5 mL", ml);
}

/* The same rule for a mix, and for a pH that was set by itself, of the reservoir or a plant. */
static void acid_is_asked_about_wherever_it_is_told(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry mix = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(40, 10));
    struct entry set = with(bare(ENTRY_PH_ADJUSTED, "reservoir"), FIGURE_PH, 5.8);
    struct entry pot = with(bare(ENTRY_PH_ADJUSTED, "A1"), FIGURE_PH, 6.6);

    the_water_is_known(f, 2, 7.6);
    mix = with(with(with(mix, FIGURE_VOLUME_L, 100), FIGURE_EC_MS_CM, 1), FIGURE_PH, 5.8);
    assert_passes(f, with_amount(mix, "ph-down", 150));
    (void)assert_asked(f, with_amount(mix, "ph-down", 1500));
    /* The fill's dose is in it: 0.365 mmol/L is left to do after a day, by hand in
     * test_worksheet_ph.c, and what the fill took would be four times that. */
    tell(f, with_amount(with(with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(39, 10)),
                                  FIGURE_VOLUME_L, 100),
                             FIGURE_PH, 5.8),
                        "ph-down", 152));
    tell(f, with(told_at(ENTRY_READING, "reservoir", "", at(40, 9)), FIGURE_PH, 7.6));
    assert_passes(f, with_amount(set, "ph-down", 36));
    (void)assert_asked(f, with_amount(set, "ph-down", 152));
    /* 1 mmol/L of phosphate: 2.2 mL from 7.1 to 6.6 in 8 L, there too */
    on_float(f, "A1");
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(40, 8)), FIGURE_PH, 7.1));
    f->s.container[A1].feed = (struct nutrients){0};
    f->s.container[A1].phosphate_mmol_l = 1;
    f->s.container[A1].feed.mg[NUTRIENT_K] = 39.10;
    assert_passes(f, with_amount(pot, "ph-down", 2.2));
    (void)assert_asked(f, with_amount(pot, "ph-down", 22));
}

static void of_acid_nothing_is_said_where_nothing_is_known(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = filled_with("ph-down", 1000);

    assert_passes(f, e); /* no report, and a bottle that does not say what it is */
    the_water_is_known(f, NAN, 7.6);
    assert_passes(f, e);
    the_water_is_known(f, 2, 7.6);
    (void)assert_asked(f, e);
    e.has &= ~FIGURE_BIT(FIGURE_PH);
    assert_passes(f, e); /* no pH was told with it */
    assert_passes(f, with_amount(filled_with("ph-down", 1000), "salt", 1)); /* which did it? */
    label_bottle(&f->room, PH_DOWN, REAGENT_NONE, NAN);
    f->s.product[PH_DOWN].strength.var = INFINITY;
    assert_passes(f, filled_with("ph-down", 1000));
    /* A plant whose pH nobody read for a day: what it was before the dose is not known. */
    the_water_is_known(f, 2, 7.6);
    on_float(f, "A1");
    e = with_amount(with(bare(ENTRY_PH_ADJUSTED, "A1"), FIGURE_PH, 6.6), "ph-down", 200);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(39, 21)), FIGURE_PH, 7.1)); /* 13 h ago */
    assert_passes(f, e);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(39, 23)), FIGURE_PH, 7.1)); /* 11 h */
    (void)assert_asked(f, e);
}

/* 0.02 mmol/L is a drop in a bucket: 2 mL in 100 L of these. */
static void drops_are_not_worth_a_question(void **ctx)
{
    struct fixture *f = *ctx;

    the_water_is_known(f, 0.02, 5.85);
    assert_passes(f, filled_with("ph-down", 0.1));
    assert_passes(f, filled_with("ph-down", 3.9));
    (void)assert_asked(f, filled_with("ph-down", 10));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(twice_the_acid_that_the_ph_asks_for_is_asked_about),
        TEST(acid_is_asked_about_wherever_it_is_told),
        TEST(of_acid_nothing_is_said_where_nothing_is_known),
        TEST(drops_are_not_worth_a_question),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
