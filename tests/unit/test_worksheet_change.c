/* The worksheet of a change: the amounts of the mix, the order that keeps the other plants safe,
 * and the cautions where they matter. Amounts are reckoned in the comments, by the figures of
 * a_room.h: a recipe of 4 mL/L calcium-part and 2 mL/L sulfate-part adds 2.0 mS/cm; the
 * water reads 0.05. */
#include "tests/unit/a_worksheet.h"

static void a_change_is_told_from_the_shut_valves_to_the_line_to_type(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 80, 0.05, false);
    write_sheet(d);
    next(d, NULL, "Close the shut-off valve of every container.", NULL);
    next(d, HEAVY, "The mix is to be 22.0 L (5.81 gal).",
         "The reservoir should hold 80.0 L (21.13 gal) of plain water: draw off 58.0 L (15.32 gal) "
         "into cans: it is let in first",
         NULL);
    /* 22 L x 4 mL/L x 1/2; more than two syringes of 20 mL, so a cylinder */
    next(d, CONCENTRATE, "Stir 44 mL",
         "of calcium-part (by cylinder) into the reservoir, and wait until", NULL);
    next(d, NULL, "Stir 22 mL of sulfate-part (by syringe) into the reservoir.", NULL);
    /* half of the room's 10 % to either side: 0.9975 and 1.1025 */
    next(d, NULL,
         "Stir well, wait ten minutes, and measure: EC 1.05 mS/cm (1.00 mS/cm to 1.10 mS/cm", NULL);
    /* 22 x 0.1 / (1.05 - 0.05) = 2.2 L; 0.1 of 2.0 is a twentieth: 22 x 4 / 20 = 4.4 mL */
    next(d, NULL, "For each 0.10 mS/cm too much let in 2.2 L (0.58 gal) of plain water; ",
         "for each 0.10 mS/cm too little stir in 4.4 mL of calcium-part, 2.2 mL of sulfate-part, "
         "one after the",
         NULL);
    next(d, ACID, "Set the pH to", NULL);
    next(d, DISPOSAL, "Drain A1, A2, in that order.",
         "What stays in the bottom, 0.5 L (0.13 gal) or so", NULL);
    /* 4 L a minute: 7.5 L take 1.9 and 15 L 3.75 minutes */
    next(d, DROWN, "Open their shut-offs one after another, in that order",
         "to the float line: each 7.5 L (1.98 gal), about 2 min. Close each before the next.",
         "Together 15.0 L (3.96 gal), about 4 min.", NULL);
    /* 22 - 15 L are left; a tenth of 100 L rinses */
    next(d, DISPOSAL, "Drain what is left in the reservoir, 7.0 L (1.85 gal) or so",
         "Rinse it and the line with 10.0 L (2.64 gal)", NULL);
    next(d, AIR_GAP, "Fill the reservoir with plain water: first 58.0 L (15.32 gal) from the cans.",
         NULL);
    next(d, ACID, "Set the pH to 5.8", NULL);
    next(d, NULL, "Open every shut-off again.",
         "tarn record ph-adjusted reservoir ph=… PRODUCT=…mL", NULL);
    ends_with(d, "tarn ack 41 was=… ec=… ph=… volume=… added=… PRODUCT=…mL");
}

static const struct step *step_with(const struct desk *d, const char *words)
{
    for (size_t i = 0; i < d->sheet.n; i++) {
        if (strstr(d->sheet.step[i].text, words)) {
            return &d->sheet.step[i];
        }
    }
    fail_msg("no step says \"%s\"", words);
    return NULL;
}

/* What the sentences say stands beside them: litres, doses, what a meter shows, each vessel. */
static void what_the_words_say_is_there_as_data(void **ctx)
{
    struct desk *d = *ctx;
    const struct step *s;

    change_of(d, 2);
    holds(d, 10, 0.05, false);
    d->room.container[1].remainder_l = 1.5;
    write_sheet(d);
    s = step_with(d, "let in 12.0 L");
    near_to(12, s->volume_l, 1e-9);
    s = step_with(d, "of calcium-part (by");
    assert_string_equal(s->stirs.product, "calcium-part");
    near_to(22 * 4 * 1.0 / 2.0, s->stirs.amount, 0.3); /* half of the full dose, as measured */
    assert_false(s->stirs.dry);
    assert_int_equal(s->stirs.parts, 1);
    assert_null(s->product);
    s = step_with(d, "and measure: EC 1.05");
    near_to(1.05, s->ec_ms_cm, 1e-9);
    near_to(1.05 * 0.95, s->ec_lo, 1e-9);
    near_to(1.05 * 1.05, s->ec_hi, 1e-9);
    s = step_with(d,
                  "Drain A1, A2, in that order. What stays in the bottom, 0.5 L (0.13 gal) in A1, "
                  "1.5 L (0.40 gal) in A2, is reckoned with.");
    assert_int_equal(s->n_vessels, 2);
    assert_string_equal(s->vessel[1].name, "A2");
    near_to(1.5, s->vessel[1].volume_l, 1e-9);
    s = step_with(d, "Open their shut-offs one after another");
    assert_int_equal(s->n_vessels, 2);
    near_to(7.5, s->vessel[0].volume_l, 1e-9);
    assert_true(isnan(s->volume_l) && isnan(s->ec_ms_cm) && !*s->stirs.product);
}

/* Root rot is carried by what clings to the walls; who has it is named, and nobody else. */
static void a_container_with_brown_roots_is_scrubbed(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 80, 0.05, false);
    d->s.container[1].crop = 0;
    d->s.container[1].saw_s[SIGHTING_BROWN_ROOTS] = d->now_s;
    write_sheet(d);
    skip_to(d, "Drain A1, A2");
    next(d, DISPOSAL, "Drain A1, A2", NULL);
    next(d, NULL, "Roots were brown in A2: lift the plant out", "scrub and rinse the container",
         NULL);
    next(d, DROWN, "Open their shut-offs", NULL);
}

static void one_container_is_opened_and_closed_by_itself(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 1);
    holds(d, 10, 0.05, false);
    write_sheet(d);
    skip_to(d, "The mix is to be");
    next(d, NULL, "The mix is to be 14.5 L",
         "should hold 10.0 L (2.64 gal) of plain water: let in "
         "4.5 L (1.19 gal) more.",
         NULL);
    skip_to(d, "Drain A1");
    next(d, DISPOSAL, "Drain A1. What stays", NULL);
    next(d, DROWN,
         "Open its shut-off and let the float fill it to the float line: 7.5 L (1.98 gal), "
         "about 2 min. Close it.",
         NULL);
    nowhere(d, "in that order");
    nowhere(d, "Together");
}

static void water_that_is_just_enough_is_not_drawn_off(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 22, 0.05, false);
    write_sheet(d);
    skip_to(d, "The mix is to be");
    next(d, NULL, "let in 0.0 L", NULL);
}

static void a_mix_for_others_is_emptied_and_rinsed_out_first(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 3, 1.6, true);
    d->s.reservoir.recipe = FRUIT;
    write_sheet(d);
    next(d, NULL, "Close the shut-off valve of every container.", NULL);
    next(d, DISPOSAL,
         "Empty the reservoir, and rinse it and the line with 10.0 L (2.64 gal) of plain water.",
         NULL);
    next(d, NULL, "Let in 22.0 L (5.81 gal) of plain water.", NULL);
    /* from the source's 0.05 then, whatever the mix read */
    next(d, CONCENTRATE, "Stir 44 mL", NULL);
}

static void what_is_left_of_a_weaker_mix_counts(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    d->task.mix_ec_ms_cm = 1.1;
    d->task.rest = (struct liquid){10, 0.8, 0};
    holds(d, 10, 0.8, true);
    d->s.reservoir.recipe = FRUIT;
    write_sheet(d);
    next(d, NULL, "Keep the shut-off valve of every container closed.", NULL);
    next(d, NULL,
         "The mix is to be 22.0 L (5.81 gal). About 10.0 L (2.64 gal) of the one before, at "
         "0.80 mS/cm, is left in the reservoir: let in 12.0 L (3.17 gal) of plain water.",
         NULL);
    /* 22 x 1.1 - 10 x 0.8 - 12 x 0.05 = 15.6 L mS/cm are lacking: / 2.0 x 4 mL = 31.2 mL */
    next(d, CONCENTRATE, "Stir 31.2 mL", "of calcium-part (by syringe)", NULL);
    next(d, NULL, "Stir 15.6 mL of sulfate-part", NULL);
}

static void what_a_stronger_mix_is_made_from_is_left_there(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    d->task.leaves_rest = true;
    holds(d, 22, 0.05, false);
    write_sheet(d);
    skip_to(d, "Open their");
    d->at++;
    next(d, NULL,
         "Leave what is left, 7.0 L (1.85 gal) or so, in the reservoir, and every shut-off "
         "closed",
         NULL);
    ends_with(d, "tarn ack 41 was=… ec=… ph=… volume=… PRODUCT=…mL");
    nowhere(d, "Rinse it");
}

static void a_mix_that_is_there_is_stirred_and_not_made_again(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 22, 1.07, true);
    d->s.reservoir.mix_task = 41;
    write_sheet(d);
    next(d, NULL, "Keep the shut-off valve of every container closed.", NULL);
    next(d, NULL,
         "The mix is in the reservoir already: about 22.0 L (5.81 gal) at 1.07 mS/cm. Stir it.",
         NULL);
    next(d, DISPOSAL, "Drain A1, A2", NULL);
    next(d, DROWN, "Open their shut-offs", NULL);
    next(d, DISPOSAL, "Drain what is left", NULL);
    next(d, AIR_GAP, "Fill the reservoir", NULL);
    next(d, ACID, "Set the pH to", NULL);
    next(d, NULL, "Open every shut-off again.", NULL);
    ends_with(d, "tarn ack 41 added=… PRODUCT=…mL");
}

/* Half of what is wanted may come from the water, the rest leaves room for nutrient: 22 L x 0.525 /
 * 1.2 = 9.6 L. */
static void water_stronger_than_the_mix_is_to_be_blended(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    holds(d, 22, 1.2, false);
    write_sheet(d);
    skip_to(d, "The plain water");
    next(d, NULL,
         "The plain water reads 1.20 mS/cm, and the solution is to be 1.05 mS/cm: no dose "
         "makes that. Blend 9.6 L (2.54 gal) of it with 12.4 L (3.27 gal) of low-EC water",
         NULL);
    nowhere(d, "Stir 4");
    holds(d, 22, 1.05, false); /* as strong as the mix: nothing could be added either */
    write_sheet(d);
    skip_to(d, "The plain water reads 1.05 mS/cm");
}

/* 99 L x 0.1 / 1.0 = 9.9 L, and 1 L fits. */
static void a_full_reservoir_is_drawn_off_before_it_is_thinned(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 2);
    d->task.mix_l = 99;
    holds(d, 99, 0.05, false);
    write_sheet(d);
    skip_to(d, "Outside of that?");
    next(d, NULL, "let in 9.9 L (2.62 gal) of plain water, after drawing as much off;", NULL);
    d->task.mix_l = 90; /* 9.0 L, and 10 fit */
    write_sheet(d);
    skip_to(d, "Outside of that?");
    next(d, NULL, "let in 9.0 L (2.38 gal) of plain water; for", NULL);
}

/* The rows of the table that says what goes into which. */
static const char *refills(struct desk *d)
{
    static char text[512];
    const struct step *s;
    size_t len = 0;

    write_sheet(d);
    s = step_with(d, "Open their shut-offs one after another, as they stand in the table");
    assert_int_equal(s->does, STEP_REFILL);
    for (size_t i = s->n_columns; i < s->n_cells; i++) {
        if (i % s->n_columns < 3) { /* … and the EC then */
            len += (size_t)snprintf(text + len, sizeof text - len, "%s|", s->cell[i]);
        }
    }
    return text;
}

static void vessels_that_differ_are_a_table_and_neighbours_alike_a_row(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 4);
    d->job[1].volume_l = 7.51; /* the same at the bucket */
    d->job[3].volume_l = 7.0;
    d->job[4].volume_l = 7.0; /* no job of this task */
    holds(d, 37, 0.05, false);
    assert_string_equal(refills(d), "A1..A3|7.5 L (1.98 gal)|2 min|L1|7.0 L (1.85 gal)|2 min|");
    d->job[1].volume_l = 7.56; /* not the same any more */
    assert_string_equal(refills(d), "A1|7.5 L (1.98 gal)|2 min|A2|7.6 L (2.00 gal)|2 min|"
                                    "A3|7.5 L (1.98 gal)|2 min|L1|7.0 L (1.85 gal)|2 min|");
    d->job[1].volume_l = 7.5;
    d->job[2].volume_l = 9; /* 9 L at 4 L a minute: 2.25, so the third minute has begun */
    assert_string_equal(refills(d), "A1, A2|7.5 L (1.98 gal)|2 min|A3|9.0 L (2.38 gal)|3 min|"
                                    "L1|7.0 L (1.85 gal)|2 min|");
}

static void a_small_change_is_mixed_in_a_jug_and_never_poured_above_the_line(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 1);
    d->task.by_hand = true;
    d->task.mix_l = d->job[0].volume_l = 8;
    holds(d, 50, 0.6, false); /* what it holds does not matter: the jug is filled from the source */
    write_sheet(d);
    next(d, NULL, "Put 8.0 L (2.11 gal) of plain water into a clean jug or bucket: no more.", NULL);
    /* 8 L x 4 mL/L / 2 */
    next(d, CONCENTRATE, "Stir 16 mL of calcium-part (by syringe) into it, and wait", NULL);
    next(d, NULL, "Stir 8 mL of sulfate-part (by syringe) into it.", NULL);
    next(d, NULL, "measure: EC 1.05 mS/cm (1.00 mS/cm to 1.10 mS/cm serves)", NULL);
    next(d, ACID, "Set the pH to", NULL);
    next(d, DISPOSAL, "Close the shut-off of A1 and drain it. What stays in the bottom, 0.5 L",
         NULL);
    next(d, DROWN, "Pour the solution in slowly", "Stop at the float line, even if some is left",
         NULL);
    next(d, NULL, "Open its shut-off again.", NULL);
    ends_with(d, "tarn ack 41 ec=… PRODUCT=…mL");
    d->room.source.ec_ms_cm = 1.05;
    write_sheet(d);
    d->at = 1;
    next(d, NULL, "The plain water reads 1.05 mS/cm", "Blend 4.0 L", "with 4.0 L", NULL);
}

/* The jug is filled from the source, whatever the reservoir holds. PHREEQC 3 for 8 L: 1.9552 mmol/L
 * (feeds_as_the_program_did), here of 1 mmol in a mL. */
static void a_jug_is_dosed_as_the_source_with_nutrients(void **ctx)
{
    struct desk *d = *ctx;

    the_water_is(d, 4, 7.6, REAGENT_NITRIC, 0.001);
    feeds_as_the_program_did(d, 2);
    d->s.drift.mean = 0;
    for (size_t k = 0; k < 2; k++) {
        d->room.crop[VINE].stage[k].ph_min = 6.38; /* for its gas it is set a little below that */
        d->room.crop[VINE].stage[k].ph_max = 6.62;
    }
    change_of(d, 1);
    d->task.by_hand = true;
    d->task.mix_l = d->job[0].volume_l = 8;
    holds(d, 50, 0.6, false);
    write_sheet(d);
    skip_to(d, "Set the pH");
    next(d, ACID, "Set the pH to 6.2 (6.4 to 6.6 serves).", NULL);
    near_to(8 * 1.9552, all_dosed_ml(d), 0.05 * 8 * 1.9552);
}

/* Nobody has cans without end: the room file says how many litres they take. */
static void what_no_can_takes_is_let_go(void **ctx)
{
    struct desk *d = *ctx;

    d->room.reservoir.cans_l = 30;
    change_of(d, 2);
    holds(d, 80, 0.05, false);
    d->s.reservoir.cans.volume_l = 10;
    write_sheet(d);
    skip_to(d, "The mix is to be 22.0 L");
    next(d, HEAVY, "draw off 58.0 L (15.32 gal), 20.0 L (5.28 gal) of it into cans",
         "water other plants with the rest, or let it go", NULL);
    d->s.reservoir.cans.volume_l = 30;
    write_sheet(d);
    skip_to(d, "The mix is to be 22.0 L");
    next(d, HEAVY, "draw off 58.0 L (15.32 gal): there are no cans for it.", NULL);
}

static void a_long_list_of_containers_is_short_and_whole(void **ctx)
{
    struct desk *d = *ctx;

    change_of(d, 4); /* A1, A2, A3, L1 */
    for (int i = 0; i < 22; i++) {
        add_job(d, SUBJECT_CONTAINER, L1, 7.5);
    }
    write_sheet(d);
    skip_to(d, "Drain A1");
    next(d, DISPOSAL, "Drain A1..A3, L1, L1, L1", "in that order", NULL);
    assert_null(strstr(d->sheet.step[d->at - 1].text, "more"));
}

/* However many: who is left out of the list gets no solution. */
static void no_container_is_left_out_of_a_long_list_of_litres(void **ctx)
{
    struct desk *d = *ctx;
    const struct step *step;
    char words[64];

    change_of(d, 4);
    while (d->task.n_jobs < JOBS_MOST) {
        add_job(d, SUBJECT_CONTAINER, d->task.n_jobs % 4, 5);
    }
    for (size_t i = 0; i < JOBS_MOST; i++) {
        d->job[i].volume_l = 5 + 0.1 * (double)i;
    }
    write_sheet(d);
    skip_to(d, "Open their");
    step = &d->sheet.step[d->at];
    for (size_t i = 0; i < JOBS_MOST; i++) {
        (void)snprintf(words, sizeof words, "%.1f L (", d->job[i].volume_l);
        assert_string_equal(step->cell[4 * (i + 1)], d->room.container[i % 4].name);
        assert_non_null(strstr(step->cell[4 * (i + 1) + 1], words));
    }
    next(d, DROWN, "Close each before the next. Together 194 L (",
         NULL); /* 193.5: 30 x 5 + 0.1 x 29 x 15 */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_change_is_told_from_the_shut_valves_to_the_line_to_type),
        TEST(what_the_words_say_is_there_as_data),
        TEST(what_no_can_takes_is_let_go),
        TEST(a_container_with_brown_roots_is_scrubbed),
        TEST(one_container_is_opened_and_closed_by_itself),
        TEST(water_that_is_just_enough_is_not_drawn_off),
        TEST(a_mix_for_others_is_emptied_and_rinsed_out_first),
        TEST(what_is_left_of_a_weaker_mix_counts),
        TEST(what_a_stronger_mix_is_made_from_is_left_there),
        TEST(a_mix_that_is_there_is_stirred_and_not_made_again),
        TEST(water_stronger_than_the_mix_is_to_be_blended),
        TEST(a_full_reservoir_is_drawn_off_before_it_is_thinned),
        TEST(vessels_that_differ_are_a_table_and_neighbours_alike_a_row),
        TEST(a_small_change_is_mixed_in_a_jug_and_never_poured_above_the_line),
        TEST(a_jug_is_dosed_as_the_source_with_nutrients),
        TEST(a_long_list_of_containers_is_short_and_whole),
        TEST(no_container_is_left_out_of_a_long_list_of_litres),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
