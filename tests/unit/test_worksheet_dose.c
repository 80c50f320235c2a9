/* How a worksheet tells a dose: as it can be measured out, and what a pH is set to for those who
 * share a mix. Figures of a_room.h: 4 mL/L grow-a and 2 mL/L grow-b add 2.0 mS/cm; the water
 * reads 0.05. */
#include "tests/unit/a_worksheet.h"

static void the_recipe_is(struct desk *d, size_t product, double per_l)
{
    d->room.recipe[GROW].dose[0] = (struct dose){product, per_l};
    d->room.recipe[GROW].n_doses = 1;
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
         "Weigh 22 g of salt, dissolve it in at least 500 mL (16.9 fl oz) of warm water, "
         "stir it into the reservoir.",
         NULL);
    d->room.product[SALT].dissolves_g_l = NAN; /* nobody knows */
    write_sheet(d);
    d->at = 2;
    next(d, NULL, "Weigh 22 g of salt, dissolve it in warm water, stir it into the reservoir.",
         NULL);
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
    /* 0.32 g on a scale of 0.1 g would be 6 % off: 3.2 g to a litre, of which a tenth is used */
    next(d, NULL,
         "Weigh 3.2 g of salt, dissolve it in water to 1 L, and stir 100 mL of that into the "
         "reservoir.",
         NULL);
    the_recipe_is(d, GROW_A, 0.33 / 11);
    write_sheet(d);
    d->at = 2;
    /* 0.33 mL in a syringe of 0.2 mL; tenfold it is 3.3, still 3 % off; a hundredfold 33.0 */
    next(d, NULL, "Thin some grow-a first: 1 part and 99 parts of water. Stir 33 mL",
         "of that (by syringe) into the reservoir.", NULL);
}

static void rounding_is_told_where_a_meter_shows_it(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 22, 0.05, false);
    the_recipe_is(d, GROW_A, 10.08 / 11);
    write_sheet(d);
    d->at = 2;
    /* 10.08 mL in steps of 0.2: 10.0 is 0.8 % less */
    next(d, NULL,
         "Stir 10 mL of grow-a (by syringe) into the reservoir. What was rounded moves the EC "
         "by 0.8 % at most.",
         NULL);
    the_recipe_is(d, GROW_A, 10.04 / 11); /* 0.4 % */
    write_sheet(d);
    d->at = 2;
    next(d, NULL, "Stir 10 mL of grow-a (by syringe) into the reservoir.", NULL);
    nowhere(d, "rounded");
}

/* Only behind the last product, whichever it was that was rounded. */
static void rounding_is_told_once(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 22, 0.05, false);
    d->room.recipe[GROW].dose[0].per_l = 10.08 / 11;
    write_sheet(d);
    d->at = 2;
    next(d, CONCENTRATE, "into the reservoir, and wait until it is clear.", NULL);
    assert_null(strstr(d->sheet.step[2].text, "rounded"));
    next(d, NULL,
         "of grow-b (by syringe) into the reservoir. What was rounded moves the EC by 0.8 % at "
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

/* Before anything is learned the pH of a solution rises by 0.02 a day (ph_drift.c, common
 * practice). Set so that it is as far below the middle at first as above it at the end, but no
 * nearer to an end of the band than a quarter of it. */
static void the_ph_of_a_change_suits_all_who_share_it(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 4);
    holds(d, 37, 0.05, false);
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

static void ph_that_falls_is_set_high(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 22, 0.05, false);
    d->s.container[A1].drift.own.mean = -0.02; /* of the two: (0 - 0.04) / 2 */
    d->s.container[A2].drift.own.mean = -0.06;
    ph_of_change(d,
                 "Set the pH to 6.1 (5.5 to 6.5 serves); in there it falls by about 0.02 a day.");
}

/* 60 mg/L of CaCO3 are 1.2 mmol/L of bicarbonate; at pH 6.8 (pK 6.35) that is 74 % of 1.63
 * mmol/L of carbonate. 30 mg/L of P are 0.97 mmol/L of dihydrogen phosphate (pK 7.20), which
 * gives up protons: 1.63 / (1 + 10^(6.35 - x)) + 0.97 / (1 + 10^(7.20 - x)) = 1.2 at x = 6.57.
 * From pH 6.0, where 0.50 are bicarbonate, x = 5.93. */
static void the_ph_it_comes_to_by_itself_is_told_where_the_water_is_known(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 22, 0.05, false);
    write_sheet(d);
    nowhere(d, "by itself");
    nowhere(d, "half a unit");
    d->room.source.alkalinity_mg_l = 60;
    d->room.product[GROW_A].contents.mg[NUTRIENT_P] = 15; /* 2 mL/L of it: 30 mg/L */
    write_sheet(d);
    skip_to(d, "Set the pH");
    next(d, ACID,
         " It should come to about 6.6 by itself. Too high or too low? Stir in a little acid",
         "Tell how much it took: the next dose is reckoned from it.", NULL);
    d->s.reservoir.ph.at_s = d->now_s; /* what the reservoir read counts more than the source */
    d->s.reservoir.ph.value = 6.0;
    write_sheet(d);
    skip_to(d, "Set the pH");
    next(d, ACID, " It should come to about 5.9 by itself.", NULL);
    d->s.reservoir.holds_mix = true; /* that pH was of a mix, which is emptied out */
    write_sheet(d);
    skip_to(d, "Set the pH");
    next(d, ACID, " It should come to about 6.6 by itself.", NULL);
}

/* 0.1 mL a litre and unit were learned: half a unit of 22 L takes 1.1 mL down; up 0.2: 2.2 mL. */
static void half_a_unit_is_reckoned_from_doses_before(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 22, 0.05, false);
    d->room.product[SALT].kind = PRODUCT_BASE;
    d->s.product[PH_DOWN].per_ph[TITRATED_SOLUTION] = learned_from(0.1, 0.01, 0);
    d->s.product[PH_DOWN].per_ph[TITRATED_SOLUTION].n_used = 3;
    d->s.product[SALT].per_ph[TITRATED_SOLUTION] = learned_from(0.2, 0.01, 0);
    d->s.product[SALT].per_ph[TITRATED_SOLUTION].n_used = 3;
    write_sheet(d);
    skip_to(d, "Set the pH");
    next(d, ACID,
         " For half a unit down it takes about 1.1 mL of ph-down, by what was dosed here before.",
         " For half a unit up it takes about 2.2 mL of salt, by what was dosed here before.", NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_dry_product_is_dissolved_in_twice_the_water_it_needs),
        TEST(what_is_too_little_to_measure_is_thinned_first),
        TEST(rounding_is_told_where_a_meter_shows_it),
        TEST(rounding_is_told_once),
        TEST(the_ph_of_a_change_suits_all_who_share_it),
        TEST(ph_that_falls_is_set_high),
        TEST(the_ph_it_comes_to_by_itself_is_told_where_the_water_is_known),
        TEST(half_a_unit_is_reckoned_from_doses_before),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
