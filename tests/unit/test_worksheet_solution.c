/* The worksheets of starting a plant, strengthening its solution and filling the
 * reservoir: amounts, order, cautions; what sets a pH is in test_worksheet_ph.c.
 * Amounts are reckoned in the comments, by the figures of a_room.h: 4 mL/L calcium-part and
 * 2 mL/L sulfate-part add 2.0 mS/cm; the water reads 0.05. */
#include "tests/unit/a_worksheet.h"

/* ---- start */

static void start_in(struct desk *d, size_t n)
{
    d->task.kind = TASK_START;
    d->task.recipe = LEAF_FEED;
    d->task.mix_ec_ms_cm = 1.0;
    for (size_t i = 0; i < n; i++) {
        add_job(d, SUBJECT_CONTAINER, i, 20);
    }
}

static void a_start_is_mixed_in_the_container_up_to_the_start_line(void **ctx)
{
    struct desk *d = *ctx;

    start_in(d, 1);
    write_sheet(d);
    next(d, NULL, "For A1: put in 20.0 L (5.28 gal) of plain water, up to the start line.", NULL);
    /* 20 L x 4 mL/L x 0.95 / 2.0 */
    next(d, CONCENTRATE, "Stir 38 mL", "of calcium-part (by syringe) into A1, and wait", NULL);
    next(d, NULL, "Stir 19 mL of sulfate-part (by syringe) into A1.", NULL);
    /* the room's 10 % to either side: nobody shares this one */
    next(d, NULL, "measure: EC 1.00 mS/cm (0.90 mS/cm to 1.10 mS/cm serves)", NULL);
    /* vines bear 5.5 to 6.5, and a seedling moves it hardly: the middle */
    next(d, ACID, "Set the pH to 6.0 (5.5 to 6.5 serves).", NULL);
    next(d, NULL, "Set the seedling in, so that the pot is just wetted. Leave the shut-off open",
         NULL);
    ends_with(d, "tarn ack 41 was=… ec=… ph=… PRODUCT=…mL");
}

/* PHREEQC 3, as in test_worksheet_dose.c: 38 mL of calcium-part bring 1.9 mL/L. */
static void a_start_says_what_its_ph_comes_to(void **ctx)
{
    struct desk *d = *ctx;

    the_water_is(d, 4, 7.6, REAGENT_NITRIC, 0.001);
    feeds_as_the_program_did(d, 1.9);
    start_in(d, 1);
    write_sheet(d);
    skip_to(d, "Acid first: the water holds 4.0 meq/L of alkalinity");
    next(d, ACID,
         " of ph-down, thinned, wait ten minutes and measure: at 6.5 or below that is enough",
         "The rest comes after the nutrients", NULL);
    next(d, CONCENTRATE, "of calcium-part (by syringe) into A1", NULL);
    skip_to(d, "Set the pH");
    /* It serves already, but the rest of the acid is due: a quarter below its band for its gas. */
    next(d, ACID, "by itself. Measure first: at 5.3 or below leave it. From there it should take",
         "or less before any is in, take half of all that.", NULL);
    /* Half of the dose is in it where it shows what half of it makes of it. */
    assert_float_equal(number_behind(d, " Where it shows "),
                       number_behind(d, "measure: it should show about "), 1e-9);
}

/* 4 meq/L come to rest above 6.5 whatever one dose does: the seedling waits for the second, which
 * is reckoned from what the first left. Set to 5.5, a share of 1 / (1 + 10^0.84) = 0.126 is left of
 * 4.2 mmol/L of carbonate, 0.53 meq/L. A day leaves exp(-0.5 / 0.4) of 3.67 mmol/L of gas
 * (balance.h), 1.58 mmol/L in all, of which 1 / (1 + 10^1.04) = 0.084 is held at 5.3: 0.40 less. */
static void a_seedling_waits_for_the_second_dose(void **ctx)
{
    struct desk *d = *ctx;
    struct entry e = told_at(ENTRY_STARTED, "A1", "vine", at(19, 9));

    the_water_is(d, 4, 7.6, REAGENT_NITRIC, 0.001);
    start_in(d, 1);
    write_sheet(d);
    skip_to(d, "Let it stand overnight");
    next(d, NULL, "Let it stand overnight, uncovered and without its plant",
         "the seedling waits for that", NULL);
    nowhere(d, "Set the seedling in");

    e = with(with(with(e, FIGURE_VOLUME_L, 20), FIGURE_EC_MS_CM, 0.6), FIGURE_PH, 5.5);
    fold_entry(&d->s, &d->room, &e);
    d->now_s = at(20, 9);
    d->task.kind = TASK_PH;
    d->task.n_jobs = 0;
    add_job(d, SUBJECT_CONTAINER, A1, 20);
    write_sheet(d);
    next(d, NULL, "A1 holds about 20.0 L (5.28 gal), which was dosed before; its gas has left",
         NULL);
    next(d, ACID, "Measure first: at 5.3 or below leave it.", NULL);
    near_to(20 * 0.4, number_behind(d, "it should take about "), 20 * 0.03);
    nowhere(d, "today and no further"); /* no roots yet */
    next(d, NULL, "Set the seedling in, so that the pot is just wetted.", NULL);
}

static void starts_alike_are_told_for_each(void **ctx)
{
    struct desk *d = *ctx;

    start_in(d, 3);
    write_sheet(d);
    next(d, HEAVY, "For each of A1..A3: put in 20.0 L (5.28 gal)", NULL);
    next(d, CONCENTRATE, "Stir 38 mL", "into each, and wait", NULL);
    next(d, NULL, "Stir 19 mL of sulfate-part (by syringe) into each.", NULL);
}

static void a_start_in_water_as_strong_asks_for_blending(void **ctx)
{
    struct desk *d = *ctx;

    start_in(d, 1);
    d->room.source.ec_ms_cm = 1.0;
    write_sheet(d);
    d->at = 1;
    next(d, NULL, "The plain water reads 1.00 mS/cm", "Blend 10.0 L (2.64 gal) of it with 10.0 L",
         NULL);
    next(d, NULL, "Stir well", NULL);
}

/* ---- bump */

static void a_bump_is_mixed_in_a_jug_of_its_own_solution_and_keeps_the_level(void **ctx)
{
    struct desk *d = *ctx;

    d->task.kind = TASK_BUMP;
    stands(d, A1, 8, 0.8);
    add_job(d, SUBJECT_CONTAINER, A1, 8)->food_ms_cm = 1.2;
    write_sheet(d);
    next(d, NULL, "Measure the EC before: it is told as was=…", NULL);
    next(d, DROWN, "A1: from about 0.80 mS/cm to 1.20 mS/cm in 8.0 L (2.11 gal). Dip out a jug",
         NULL);
    /* 8 L x 4 mL/L x 0.4 / 2.0 */
    next(d, CONCENTRATE, "Stir 6.4 mL of calcium-part (by syringe) into the jug, and wait", NULL);
    next(d, NULL, "Stir 3.2 mL of sulfate-part (by syringe) into the jug.", NULL);
    next(d, NULL, "Pour the jug back into A1 slowly, away from the stem, up to the level it had",
         NULL);
    next(d, NULL, "Wait ten minutes and measure EC and pH.", NULL);
    ends_with(d, "tarn ack 41 was=… ec=… ph=…");
}

/* 640 mg of calcium and 320 of sulfur: in half a litre 32 and 20 mmol/L, of which gypsum falls out
 * (it dissolves to 15 of each; CRC Handbook, from memory). In a litre it is half of that. */
static void a_bump_has_a_jug_in_which_it_stays_clear(void **ctx)
{
    struct desk *d = *ctx;

    d->room.product[CALCIUM_PART].contents.mg[NUTRIENT_CA] = 100;
    d->room.product[SULFATE_PART].contents.mg[NUTRIENT_S] = 100;
    d->task.kind = TASK_BUMP;
    stands(d, A1, 8, 0.8);
    d->s.container[A1].feed = (struct nutrients){0};
    add_job(d, SUBJECT_CONTAINER, A1, 8)->food_ms_cm = 1.2;
    write_sheet(d);
    d->at = 1;
    next(d, DROWN, "Dip out a jug, of at least 1.0 L (0.26 gal) of its own solution.", NULL);
    d->room.product[SULFATE_PART].contents.mg[NUTRIENT_S] = 10; /* half a litre does, as any jug */
    write_sheet(d);
    d->at = 1;
    next(d, DROWN, "Dip out a jug of its own solution.", NULL);
}

static void cell_is(const struct desk *d, size_t row, size_t column, const char *text)
{
    const struct step *s = &d->sheet.step[2];

    assert_string_equal(s->cell[row * s->n_columns + column], text); /* row 0 has the heads */
}

static void bumps_that_differ_have_a_row_each(void **ctx)
{
    struct desk *d = *ctx;

    d->task.kind = TASK_BUMP;
    stands(d, A1, 8, 0.8);
    stands(d, A2, 10, 1.0);
    add_job(d, SUBJECT_CONTAINER, A1, 8)->food_ms_cm = 1.2;
    add_job(d, SUBJECT_CONTAINER, A2, 10)->food_ms_cm = 1.2;
    write_sheet(d);
    next(d, NULL, "Measure the EC before", NULL);
    next(d, CONCENTRATE, "from left to right: one at a time, each clear before the next", NULL);
    next(d, DROWN, "dip out a jug of its own solution", "up to the level it had, and stir.", NULL);
    next(d, NULL, "Wait ten minutes and measure EC and pH.", NULL);
    ends_with(d, "tarn ack 41 A1 was=… ec=… ph=… A2 was=… ec=… ph=…");
    assert_int_equal(d->sheet.step[2].n_cells, 3 * 7);
    cell_is(d, 0, 5, "calcium-part");
    cell_is(d, 1, 0, "A1");
    cell_is(d, 1, 5, "6.4 mL"); /* 8 L x 4 mL/L x 0.4 / 2.0 */
    cell_is(d, 2, 0, "A2");
    cell_is(d, 2, 1, "10.0 L (2.64 gal)");
    cell_is(d, 0, 2, "EC mS/cm");
    cell_is(d, 2, 2, "1.00");
    cell_is(d, 2, 3, "1.20");
    cell_is(d, 2, 5, "4 mL"); /* 10 L x 4 mL/L x 0.2 / 2.0 */
    cell_is(d, 2, 6, "2 mL");
}

/* With the dose of A1, A2 comes to 1.204, which no meter tells apart; A3 would to 1.25. */
static void bumps_alike_share_a_row(void **ctx)
{
    struct desk *d = *ctx;
    const struct step *s;

    d->task.kind = TASK_BUMP;
    stands(d, A1, 8, 0.8);
    stands(d, A2, 8.02, 0.805);
    stands(d, A3, 8, 0.85);
    add_job(d, SUBJECT_CONTAINER, A1, 8)->food_ms_cm = 1.2;
    add_job(d, SUBJECT_CONTAINER, A2, 8)->food_ms_cm = 1.2;
    add_job(d, SUBJECT_CONTAINER, A3, 8)->food_ms_cm = 1.2;
    write_sheet(d);
    s = &d->sheet.step[2];
    assert_int_equal(s->n_cells, 3 * 7);
    cell_is(d, 1, 0, "A1, A2");
    cell_is(d, 2, 0, "A3");
    assert_int_equal(s->does, STEP_BUMP);
    assert_int_equal(s->n_vessels, 3);
    assert_string_equal(s->vessel[1].name, "A2");
    near_to(0.805, s->vessel[1].from_ms_cm, 1e-9);
    near_to(1.2, s->vessel[1].ec_ms_cm, 1e-9);
    near_to(6.4, s->vessel[1].dose[0].amount, 1e-9);
    near_to(8 * 4 * 0.35 / 2.0, s->vessel[2].dose[0].amount, 1e-9);
}

/* A table has room for all of them. */
static void a_bump_of_very_many_leaves_none_out(void **ctx)
{
    struct desk *d = *ctx;

    d->task.kind = TASK_BUMP;
    stands(d, A1, 8, 0.8);
    for (int i = 0; i < 26; i++) {
        add_job(d, SUBJECT_CONTAINER, A1, 8)->food_ms_cm = 1.2;
    }
    write_sheet(d);
    assert_int_equal(d->sheet.n, 5);
    assert_int_equal(d->sheet.step[2].n_vessels, 26);
}

/* ---- fill */

static void fill_of(struct desk *d, double more_l)
{
    d->task.kind = TASK_FILL;
    add_job(d, SUBJECT_RESERVOIR, 0, more_l);
    holds(d, 100 - more_l, 0.05, false);
}

static void a_fill_is_read_before_and_set_after(void **ctx)
{
    struct desk *d = *ctx;

    fill_of(d, 60);
    write_sheet(d);
    next(d, NULL, "Close every shut-off, until the pH is right. Read how much it holds",
         "whether some ran off", NULL);
    next(d, AIR_GAP, "Let in about 60.0 L (15.85 gal) of plain water, up to 100 L (26.42 gal).",
         "takes 7 h 30 min.", NULL); /* 8 L an hour */
    next(d, NULL,
         "Stir, and measure: EC near 0.05 mS/cm, or there is solution left in it; and the pH.",
         NULL);
    next(d, ACID, "Set the pH to 5.8 (5.5 to 6.1 serves).",
         "Tell how much it took: the next dose is reckoned from it.", NULL);
    next(d, NULL, "Open every shut-off of a container that grows something.", NULL);
    ends_with(d, "tarn ack 41 volume=… added=… ec=… ph=… PRODUCT=…mL");
}

/* 40 of 80 L are there at 0.6: the fresh half takes half of the 0.55 that the feed has over the
 * water, in 80 L: 80 x 4 mL/L x 0.275 / 2.0, less the bend (dosing.h). */
static void a_fill_of_a_feed_is_dosed_for_what_was_let_in(void **ctx)
{
    struct desk *d = *ctx;

    d->room.reservoir.capacity_l = 80;
    d->room.reservoir.feed_ms_cm = 0.6;
    d->room.reservoir.feed_at = LEAF_FEED;
    d->task.kind = TASK_FILL;
    d->task.recipe = FRUIT; /* a fill has no recipe of its own */
    holds(d, 40, 0.6, false);
    add_job(d, SUBJECT_RESERVOIR, 0, 40);
    write_sheet(d);
    skip_to(d, "Let in about 40.0 L");
    next(d, AIR_GAP, "Let in about 40.0 L", NULL);
    next(d, CONCENTRATE, "Stir 44 mL", "of calcium-part (by cylinder) into the reservoir", NULL);
    next(d, NULL, "Stir 22 mL", "of sulfate-part (by syringe) into the reservoir.", NULL);
    next(d, NULL, "measure: EC 0.60 mS/cm (0.54 mS/cm to 0.66 mS/cm serves).", NULL);
    next(d, ACID, "Set the pH to 5.8", NULL);
}

static void a_fill_after_a_mix_begins_with_rinsing_it_out(void **ctx)
{
    struct desk *d = *ctx;

    fill_of(d, 95);
    d->s.reservoir.holds_mix = true;
    write_sheet(d);
    next(d, NULL, "Close every shut-off, until the pH is right.", NULL);
    next(d, DISPOSAL, "Empty the reservoir, and rinse it and the line with 10.0 L", NULL);
    next(d, AIR_GAP, "Let in about 95.0 L", NULL);
    nowhere(d, "Read how much it holds");
}

/* Of 100 L that it is fed, 40 become water: 60 L of water are 150 of feed. */
static void what_the_unit_sends_to_the_drain_is_told(void **ctx)
{
    struct desk *d = *ctx;

    fill_of(d, 60);
    d->room.source.recovery_frac = 0.4;
    d->room.source.rate_l_h = 0; /* not told: no hours */
    write_sheet(d);
    d->at = 1;
    next(d, AIR_GAP, "Let in about 60.0 L", NULL);
    nowhere(d, "From the source alone");
    nowhere(d, "inf");
    next(d, DISPOSAL, "The unit sends about 90.0 L (23.78 gal) to the drain meanwhile.", NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_start_is_mixed_in_the_container_up_to_the_start_line),
        TEST(a_start_says_what_its_ph_comes_to),
        TEST(a_seedling_waits_for_the_second_dose),
        TEST(starts_alike_are_told_for_each),
        TEST(a_start_in_water_as_strong_asks_for_blending),
        TEST(a_bump_is_mixed_in_a_jug_of_its_own_solution_and_keeps_the_level),
        TEST(a_bump_has_a_jug_in_which_it_stays_clear),
        TEST(bumps_that_differ_have_a_row_each),
        TEST(bumps_alike_share_a_row),
        TEST(a_bump_of_very_many_leaves_none_out),
        TEST(a_fill_is_read_before_and_set_after),
        TEST(a_fill_of_a_feed_is_dosed_for_what_was_let_in),
        TEST(a_fill_after_a_mix_begins_with_rinsing_it_out),
        TEST(what_the_unit_sends_to_the_drain_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
