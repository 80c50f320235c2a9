/* How a worksheet tells a dose: as it can be measured out, and what a pH is set to for those who
 * share a mix. Figures of a_room.h: 4 mL/L calcium-part and 2 mL/L sulfate-part add 2.0 mS/cm; the
 * water reads 0.05. */
#include "tests/unit/a_worksheet.h"

static void the_recipe_is(struct desk *d, size_t product, double per_l)
{
    d->room.recipe[LEAF_FEED].dose[0] = (struct dose){product, per_l};
    d->room.recipe[LEAF_FEED].n_doses = 1;
}

static void a_dry_product_is_dissolved_in_twice_the_water_it_needs(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 22, 0.05, false);
    the_recipe_is(d, SALT, 2);
    d->room.product[SALT].dissolves_g_l = 100;
    write_sheet(d);
    d->at = 2;
    /* 22 L x 2 g/L / 2 = 22 g, of which 100 g/L dissolve: 220 mL just do, 440 are told as 500.
     * Alone it meets no other concentrate. */
    next(d, NULL,
         "Weigh 22 g of salt, dissolve it in at least 500 mL (16.9 fl oz) out of the reservoir, "
         "and stir that in.",
         NULL);
    d->room.product[SALT].dissolves_g_l = NAN; /* nobody knows */
    write_sheet(d);
    d->at = 2;
    next(d, NULL,
         "Weigh 22 g of salt, dissolve it in a jug out of the reservoir, and stir that in.", NULL);
    skip_to(d, "Outside");
    next(d, NULL, "stir in 2.2 g of salt, one after", NULL);
}

static void what_is_too_little_to_measure_is_thinned_first(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 22, 0.05, false);
    the_recipe_is(d, SALT, 0.32 / 11);
    write_sheet(d);
    d->at = 2;
    /* 0.32 g on a scale of 0.1 g would be 6 % off: 3.2 g, of which a tenth is used */
    next(d, NULL,
         "Weigh 3.2 g of salt, dissolve it in water to 100 mL (3.38 fl oz), and stir 10 mL "
         "of that into the reservoir.",
         NULL);
    assert_true(d->sheet.step[d->at - 1].stirs.water_ml == 10);
    d->room.product[SALT].dissolves_g_l = 10; /* 3.2 g in 320 mL, with as much again to spare */
    write_sheet(d);
    d->at = 2;
    next(d, NULL, "Weigh 3.2 g of salt, dissolve it in water to 1 L", "and stir 100 mL", NULL);
    assert_true(d->sheet.step[d->at - 1].stirs.water_ml == 100);
    the_recipe_is(d, CALCIUM_PART, 0.33 / 11);
    write_sheet(d);
    d->at = 2;
    /* 0.33 mL in a syringe of 0.2 mL; tenfold it is 3.3, still 3 % off; a hundredfold 33.0 */
    next(d, NULL, "Thin some calcium-part first: 1 part and 99 parts of water. Stir 33 mL",
         "of that (by syringe) into the reservoir.", NULL);
    assert_float_equal(d->sheet.step[d->at - 1].stirs.water_ml, 32.67, 1e-6); /* 99 of 100 parts */
}

/* However strong the water and the mix: a figure that nobody can reckon is left out, not asked. */
static void no_step_has_a_figure_that_is_a_question_mark(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    for (int water = 0; water <= 24; water++) {
        for (int mix = 1; mix <= 24; mix++) {
            d->room.source.ec_ms_cm = water / 10.0;
            d->task.mix_ec_ms_cm = mix / 10.0;
            holds(d, mix % 2 ? 22 : 60, water / 10.0, false);
            write_sheet(d);
            for (size_t i = 0; i < d->sheet.n; i++) {
                if (strstr(d->sheet.step[i].text, "? of") || strstr(d->sheet.step[i].text, "(?")) {
                    fail_msg("water %d, mix %d: %s", water, mix, d->sheet.step[i].text);
                }
            }
        }
    }
}

static void rounding_is_told_where_a_meter_shows_it(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 22, 0.05, false);
    the_recipe_is(d, CALCIUM_PART, 10.08 / 11);
    write_sheet(d);
    d->at = 2;
    /* 10.08 mL in steps of 0.2: 10.0 is 0.8 % less */
    next(
        d, NULL,
        "Stir 10 mL of calcium-part (by syringe) into the reservoir. What was rounded moves the EC "
        "by 0.8 % at most.",
        NULL);
    the_recipe_is(d, CALCIUM_PART, 10.04 / 11); /* 0.4 % */
    write_sheet(d);
    d->at = 2;
    next(d, NULL, "Stir 10 mL of calcium-part (by syringe) into the reservoir.", NULL);
    nowhere(d, "rounded");
}

/* Only behind the last product, whichever it was that was rounded. */
static void rounding_is_told_once(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 22, 0.05, false);
    d->room.recipe[LEAF_FEED].dose[0].per_l = 10.08 / 11;
    write_sheet(d);
    d->at = 2;
    next(d, CONCENTRATE, "into the reservoir, and wait until it is clear.", NULL);
    assert_null(strstr(d->sheet.step[2].text, "rounded"));
    next(d, NULL,
         "of sulfate-part (by syringe) into the reservoir. What was rounded moves the EC by 0.8 % "
         "at "
         "most.",
         NULL);
}

/* ---- the pH that a change is set to */

static void ph_of_change(struct desk *d, const char *words)
{
    write_sheet(d);
    skip_to(d, "Set the pH");
    next(d, ACID, words, NULL);
}

static void the_stages(struct desk *d, size_t crop, double ph_min, double ph_max, double life_day)
{
    for (size_t k = 0; k < d->room.crop[crop].n_stages; k++) {
        struct stage *st = &d->room.crop[crop].stage[k];

        st->ph_min = ph_min;
        st->ph_max = ph_max;
        st->life_max_day = life_day;
    }
}

/* In all of them it rises by 0.02 a day. Set so that it is as far below the middle at first as
 * above it at the end, but no nearer to an end of the band than a quarter of it. */
static void the_ph_of_a_change_suits_all_who_share_it(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 4);
    holds(d, 37, 0.05, false);
    for (size_t i = 0; i < 4; i++) {
        drifts(d, i, 0.02);
    }
    the_stages(d, VINE, 5.5, 6.5, 14);
    the_stages(d, LEAF, 5.5, 6.5, 14);
    /* 0.02 x 14 / 2 = 0.14 below 6.0 */
    ph_of_change(d,
                 "Set the pH to 5.9 (5.5 to 6.5 serves); in there it rises by about 0.02 a day.");
    the_stages(d, LEAF, 5.5, 6.5, 4); /* the shortest life counts: 0.04 off is not worth a word */
    ph_of_change(d, "Set the pH to 6.0 (5.5 to 6.5 serves). ");
    the_stages(d, LEAF, 6.0, 7.0, 14); /* 6.25 less a quarter of 0.5 */
    ph_of_change(d, "Set the pH to 6.1 (6.0 to 6.5 serves); in there it rises");
    the_stages(d, LEAF, 5.0, 6.0, 14);
    ph_of_change(d, "Set the pH to 5.6 (5.5 to 6.0 serves); in there it rises");
    the_stages(d, LEAF, 6.5, 7.5, 14); /* nothing in common: the reservoir's own */
    ph_of_change(d, "Set the pH to 5.8 (5.5 to 6.1 serves). ");
}

/* The room file may have another crop for the tub by now: the band is that of what grows in it. */
static void the_ph_is_for_what_grows_and_not_for_what_comes_after_it(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 1);
    holds(d, 14.5, 0.05, false);
    d->s.drift.mean = 0;
    the_stages(d, VINE, 5.5, 6.5, 14);
    the_stages(d, LEAF, 6.5, 7.5, 14);
    d->room.container[A1].crop = LEAF;
    ph_of_change(d, "Set the pH to 6.0 (5.5 to 6.5 serves).");
    d->s.container[A1].crop = -1; /* empty: it is made for what comes */
    ph_of_change(d, "Set the pH to 7.0 (6.5 to 7.5 serves).");
}

static void ph_that_falls_is_set_high(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 22, 0.05, false);
    drifts(d, A1, 0.00); /* of the two: (0 - 0.04) / 2 */
    drifts(d, A2, -0.04);
    ph_of_change(d,
                 "Set the pH to 6.1 (5.5 to 6.5 serves); in there it falls by about 0.02 a day.");
}

/* Computed with PHREEQC 3 (feeds_as_the_program_did): 22 L x 1.9552 mmol/L to pH 6.2. */
static void a_mix_is_dosed_by_what_water_and_nutrients_hold(void **ctx)
{
    struct desk *d = *ctx;

    the_water_is(d, 4, 7.6, REAGENT_NITRIC, 0.001);
    feeds_as_the_program_did(d, 2); /* half of 4 mL/L */
    d->s.drift.mean = 0;
    change_of(d, 2);
    holds(d, 22, 0.05, false);
    /* It would come to rest above its band, and is set a quarter below that, and no further. */
    the_stages(d, VINE, 6.38, 6.62, 14);
    write_sheet(d);
    skip_to(d, "Set the pH");
    next(d, ACID, "Set the pH to 6.2 (6.4 to 6.6 serves).",
         "Measure first: at 6.2 or below leave it. From there it should take about ", NULL);
    near_to(22 * 1.9552, all_dosed_ml(d), 0.05 * 22 * 1.9552);
    ph_of_change(d, "Set the pH to 6.2 (6.4 to 6.6 serves). Carbon dioxide leaves it");
}

/* The acid that the reservoir's water took counts. 2 meq/L, of which 1.52 are gone: once
 * aired it takes 0.365 mmol/L to 5.8, by the hand computation of test_worksheet_ph.c. */
static void a_mix_from_dosed_water_takes_what_that_still_needs(void **ctx)
{
    struct desk *d = *ctx;
    struct entry e = told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(19, 8));

    the_water_is(d, 2, 7.6, REAGENT_NITRIC, 0.001);
    d->s.drift.mean = 0;
    holds(d, 0, 0.05, false);
    d->s.reservoir.at_s = at(19, 8);
    e = with(with(with(e, FIGURE_VOLUME_L, 22), FIGURE_ADDED_L, 22), FIGURE_PH, 5.8);
    e = with_amount(e, "ph-down", 22 * 1.52);
    fold_entry(&d->s, &d->room, &e);
    e = with(told_at(ENTRY_READING, "reservoir", "", at(20, 8)), FIGURE_PH, 7.6);
    fold_entry(&d->s, &d->room, &e);
    change_of(d, 2);
    the_stages(d, VINE, 5.98, 6.22, 14); /* a quarter below for its gas: 5.8 */
    write_sheet(d);
    near_to(22 * 0.365, dosed(d)->amount_ml, 0.08 * 22 * 0.365);
    d->s.reservoir.holds_mix = true; /* emptied out: 22 L from the source */
    write_sheet(d);
    near_to(22 * 1.52, all_dosed_ml(d), 0.04 * 22 * 1.52);
}

/* Where plain water comes to a fit pH by itself no dose is told, but what half a unit takes either
 * way of the target, 5.8: the less of what it takes for the gas in it and for its alkalinity. 1
 * meq/L that shows 6.3 for want of gas has 1 + 10^(6.34 - 6.3) = 1.91 mmol/L of carbonate; at 5.8 a
 * share of 1 / (1 + 10^0.54) = 0.224 is bicarbonate: 0.57 less. Of another alkalinity it would be
 * 0.81 (of 3.19 mmol/L, 0.477 at 6.3 and 0.224 at 5.8). At 5.3, where 0.084 is bicarbonate, 0.45 of
 * alkalinity are lacking; were it gas, it would take 1.68. */
static void half_a_unit_is_told_where_the_ph_comes_to_its_band(void **ctx)
{
    struct desk *d = *ctx;

    the_water_is(d, 1, 6.0, REAGENT_NITRIC, 0.001);
    d->task.kind = TASK_FILL;
    add_job(d, SUBJECT_RESERVOIR, 0, 100);
    holds(d, 0, 0.05, false);
    write_sheet(d);
    skip_to(d, "Set the pH");
    next(
        d, ACID,
        "Set the pH to 5.8 (5.5 to 6.1 serves). It should come to about 6.0 by itself. Too high or "
        "too low? Stir in a little acid or base, wait ten minutes, measure, and repeat. For half a "
        "unit down it takes about ",
        " mL of ph-down, by what is left of the alkalinity. Tell how much it took", NULL);
    near_to(100 * 0.57, number_behind(d, "unit down it takes about "), 0.08 * 100 * 0.57);
    nothing_is_dosed(d);
    nowhere(d, "unit up"); /* there is no base */
    label_bottle(&d->room, SALT, REAGENT_KOH, 0.001);
    d->s.product[SALT].strength = learned_from(1, 0.05, 0);
    d->s.product[SALT].strength.n_used = 3;
    write_sheet(d);
    near_to(100 * 0.45, number_behind(d, "unit up it takes about "), 0.08 * 100 * 0.45);
    skip_to(d, "Set the pH");
    next(d, ACID, " of salt, by what is left of the alkalinity and by what was dosed here before.",
         NULL);
}

/* In alkaline water nutrients cloud: half of the acid goes in before them. At 1 meq/L and below all
 * of it comes after, as it does where the water is in its band already. */
static void acid_goes_before_nutrients_in_alkaline_water(void **ctx)
{
    struct desk *d = *ctx;

    the_water_is(d, 3, 7.6, REAGENT_NITRIC, 0.001);
    d->s.drift.mean = 0;
    change_of(d, 2);
    holds(d, 22, 0.05, false);
    write_sheet(d);
    skip_to(d, "Acid first: the water holds 3.0 meq/L of alkalinity, in which nutrients cloud.");
    next(d, ACID, "thinned, wait ten minutes and measure: at 6.5 or below that is enough", NULL);
    next(d, CONCENTRATE, "of calcium-part (by cylinder) into the reservoir", NULL);
    skip_to(d, "Set the pH");
    the_water_is(d, 1, 7.6, REAGENT_NITRIC, 0.001);
    d->s.drift.mean = 0;
    holds(d, 22, 0.05, false);
    write_sheet(d);
    nowhere(d, "Acid first");
    the_water_is(d, 3, 6.2, REAGENT_NITRIC, 0.001);
    d->s.drift.mean = 0;
    holds(d, 22, 0.05, false);
    write_sheet(d);
    nowhere(d, "Acid first");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_dry_product_is_dissolved_in_twice_the_water_it_needs),
        TEST(what_is_too_little_to_measure_is_thinned_first),
        TEST(no_step_has_a_figure_that_is_a_question_mark),
        TEST(rounding_is_told_where_a_meter_shows_it),
        TEST(rounding_is_told_once),
        TEST(the_ph_of_a_change_suits_all_who_share_it),
        TEST(the_ph_is_for_what_grows_and_not_for_what_comes_after_it),
        TEST(ph_that_falls_is_set_high),
        TEST(a_mix_is_dosed_by_what_water_and_nutrients_hold),
        TEST(a_mix_from_dosed_water_takes_what_that_still_needs),
        TEST(half_a_unit_is_told_where_the_ph_comes_to_its_band),
        TEST(acid_goes_before_nutrients_in_alkaline_water),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
