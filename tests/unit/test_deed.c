/* From what a person says was done to the entries that tell it: every kind of task but a change. */
#include "daemon/core/state/forecast.h"
#include "daemon/core/words/task_figures.h"
#include "tests/unit/a_deed.h"

static void a_bump_is_reckoned_from_what_it_was(void **ctx)
{
    struct deed_fixture *f = *ctx;

    double water;

    on_float(f, "A1");
    a_task(f, TASK_BUMP, 1);
    water = forecast_container(&f->room, &f->s, A1, f->d.happened_s).body.water_ms_cm;
    say(f, "A1", FIGURE_WAS_MS_CM, 0.5);
    say(f, "A1", FIGURE_EC_MS_CM, 0.3);
    assert_int_equal(ack(f), ERR_UNSURE);
    assert_string_equal(f->err.msg, "a bump cannot weaken A1: 0.30 mS/cm after it, 0.50 mS/cm "
                                    "before; say so if you are sure");
    f->told[0].figure[FIGURE_EC_MS_CM] = 1.1;
    assert_int_equal(ack(f), 0);
    /* Of 0.5 the water's part, a bit over the source's 0.05, is no food. 8 L from there to the
     * task's 1.05 of food, and 4 mL/L give 2.0 mS/cm. */
    assert_true(fabs(f->out.entry[1].amount[0].amount - 8 * 4 * (1.05 - (0.5 - water)) / 2.0) <
                0.11);
}

static void a_reading_task_takes_the_figures_of_each_and_leaves_the_rest_open(void **ctx)
{
    struct deed_fixture *f = *ctx;
    static const enum entry_kind kinds[] = {ENTRY_ACKNOWLEDGED, ENTRY_READING, ENTRY_READING};

    on_float(f, "A1");
    on_float(f, "A2");
    on_float(f, "A3");
    a_task(f, TASK_READ, 3);
    say(f, "A1", FIGURE_EC_MS_CM, 1.2);
    say(f, "A1", FIGURE_PH, 5.9);
    say(f, "A3", FIGURE_EC_MS_CM, 1.3);
    say(f, "A3", FIGURE_PH, 6.0);
    assert_int_equal(ack(f), 0);
    assert_kinds(f, kinds, 3);
    assert_string_equal(f->out.entry[1].subject, "A1");
    assert_string_equal(f->out.entry[2].subject, "A3");
}

static void a_reading_at_large_of_many_is_asked_back(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_READ, 2);
    say(f, "", FIGURE_EC_MS_CM, 1.2);
    assert_int_equal(ack(f), ERR_MISSING);
    assert_string_equal(f->err.msg,
                        "task 41 (read) is about 2 things: say whose figures these are");
}

static void the_reservoirs_level_is_told_along_with_anything(void **ctx)
{
    struct deed_fixture *f = *ctx;
    static const enum entry_kind kinds[] = {ENTRY_READING, ENTRY_ACKNOWLEDGED, ENTRY_FLOAT_SEEN};

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_CHECK, 2);
    say(f, "A1", FIGURE_VOLUME_L, 7.5);
    name_it(f->told[0].what, sizeof f->told[0].what, "no");
    say(f, "reservoir", FIGURE_VOLUME_L, 61);
    assert_int_equal(ack(f), 0);
    assert_kinds(f, kinds, 3); /* and A2 stays open */
    assert_string_equal(f->out.entry[0].subject, "reservoir");
    assert_true(f->out.entry[0].figure[FIGURE_VOLUME_L] == 61);
    entries_deinit(&f->out);
    say(f, "reservoir", FIGURE_EC_MS_CM, 0.1); /* a meter's reading is a task of its own */
    assert_int_equal(ack(f), ERR_UNKNOWN);
    assert_string_equal(f->err.msg, "task 41 (check) is not about 'reservoir'");
}

static void a_figure_of_a_stranger_is_refused(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_READ, 1);
    say(f, "L1", FIGURE_EC_MS_CM, 1.2);
    assert_int_equal(ack(f), ERR_UNKNOWN);
    assert_string_equal(
        f->err.msg, "task 41 (read) is not about 'L1', or not any more; tell it by itself: tarn "
                    "record reading L1");
}

static void a_start_is_told_with_the_doses_of_its_recipe(void **ctx)
{
    struct deed_fixture *f = *ctx;
    const struct entry *e;

    a_task(f, TASK_START, 1);
    say(f, "", FIGURE_EC_MS_CM, 0.7);
    assert_int_equal(ack(f), 0);
    e = &f->out.entry[1];
    assert_string_equal(e->what, "vine");
    assert_true(e->figure[FIGURE_VOLUME_L] == 18);
    /* 18 L from 0.05 to the 1.10 of the task; 4 mL/L give 2.0: 18 * 4 * 1.05 / 2.0 = 37.8 mL, and
     * the syringe shows 0.2 mL */
    assert_true(fabs(e->amount[0].amount - 37.8) < 1e-9);
}

static void a_harvest_of_what_grows_is_told_with_its_cleaning(void **ctx)
{
    struct deed_fixture *f = *ctx;
    static const enum entry_kind kinds[] = {ENTRY_ACKNOWLEDGED, ENTRY_HARVESTED, ENTRY_CLEANED};

    on_float(f, "A1");
    a_task(f, TASK_HARVEST, 1);
    say(f, "", FIGURE_YIELD_G, 900);
    assert_int_equal(ack(f), 0);
    assert_kinds(f, kinds, 3);
    assert_string_equal(f->out.entry[1].what, "final");
}

static void amount_of(struct deed_fixture *f, const char *product, double amount)
{
    struct told *t = &f->told[0];

    t->amount[t->n_amounts] = (struct amount){.amount = amount};
    name_it(t->amount[t->n_amounts].product, sizeof t->amount->product, product);
    t->n_amounts++;
}

/* What a row of task_figures.h needs is asked for by name, and what it does not take is refused:
 * for every kind about a container. */
static void each_kind_goes_by_its_row_of_figures(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    for (int k = 0; k < TASK_KIND_N; k++) {
        const struct task_figures *row = task_figures_of((enum task_kind)k, false);
        unsigned takes = task_figures_bits(row);
        char want[200];

        a_task(f, (enum task_kind)k, 1);
        for (unsigned fig = 0; fig < FIGURE_N; fig++) {
            memset(f->told, 0, sizeof f->told);
            f->d.n_told = 0;
            say(f, "A1", (enum figure)fig, 1);
            if (fig != FIGURE_TOOK_MIN && !(takes & FIGURE_BIT(fig))) { /* that goes with any */
                (void)snprintf(want, sizeof want, "task 41 (%s) takes no %s=…", task_words[k],
                               figure_defs[fig].word);
                assert_int_equal(ack(f), ERR_UNKNOWN);
                assert_string_equal(f->err.field, figure_defs[fig].word);
                assert_string_equal(f->err.msg, want);
                assert_null(f->out.entry);
            }
        }
        for (size_t i = 0; i < task_figures_n(row) && k != TASK_CHANGE; i++) {
            if (row->figure[i].need == FIGURE_NEEDED) {
                (void)snprintf(want, sizeof want, "task 41 (%s) needs %s=… for A1", task_words[k],
                               figure_defs[row->figure[i].figure].word);
                f->d.n_told = 0;
                assert_int_equal(ack(f), ERR_MISSING);
                assert_string_equal(f->err.msg, want);
            }
        }
    }
}

static void a_look_at_a_float_is_told_as_what_was_seen(void **ctx)
{
    struct deed_fixture *f = *ctx;

    tell(f, with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7));
    a_task(f, TASK_CHECK, 1);
    assert_int_equal(ack(f), ERR_MISSING);
    assert_string_equal(f->err.field, "float");
    assert_string_equal(f->err.msg, "task 41 (check) needs float=yes, float=no or volume=… for A1");
    say(f, "", FIGURE_VOLUME_L, 11);
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.entry[1].kind, ENTRY_READING);
    assert_true(f->out.entry[1].figure[FIGURE_VOLUME_L] == 11);
    entries_deinit(&f->out);
    name_it(f->told[0].what, sizeof f->told[0].what, "no");
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.entry[1].kind, ENTRY_FLOAT_SEEN);
    assert_string_equal(f->out.entry[1].what, "no");
    assert_true(f->out.entry[1].figure[FIGURE_VOLUME_L] == 11);
}

/* Of one container alone there is no question whose figures they are; of two there is. */
static void the_figures_of_a_reading_of_one_may_be_told_at_large(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_READ, 1);
    say(f, "", FIGURE_PH, 6.1);
    say(f, "", FIGURE_EC_MS_CM, 1.2);
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.entry[1].kind, ENTRY_READING);
    assert_true(f->out.entry[1].figure[FIGURE_PH] == 6.1);
    entries_deinit(&f->out);
    a_task(f, TASK_READ, 2);
    assert_true(ack(f) < 0);
    assert_null(f->out.entry);
}

static void what_was_told_of_one_stands_over_what_was_told_of_all(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_BUMP, 2);
    say(f, "", FIGURE_EC_MS_CM, 1.3);
    say(f, "", FIGURE_PH, 5.9);
    amount_of(f, "calcium-part", 8);
    say(f, "A2", FIGURE_EC_MS_CM, 1.2);
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.n, 3);
    assert_string_equal(f->out.entry[1].what, "leaf");
    assert_true(f->out.entry[1].figure[FIGURE_EC_MS_CM] == 1.3);
    assert_true(f->out.entry[2].figure[FIGURE_EC_MS_CM] == 1.2);
    assert_true(f->out.entry[2].figure[FIGURE_PH] == 5.9);
    assert_int_equal(f->out.entry[2].n_amounts, 2); /* sulfate-part as planned */
    assert_string_equal(f->out.entry[2].amount[0].product, "calcium-part");
    assert_true(f->out.entry[2].amount[0].amount == 8);
    assert_string_equal(f->out.entry[2].amount[1].product, "sulfate-part");
    f->told[1].n_amounts = 1;
    f->told[1].amount[0] = (struct amount){.product = "sulfate-part", .amount = 3};
    entries_deinit(&f->out);
    assert_int_equal(ack(f), 0);
    assert_string_equal(f->out.entry[2].amount[0].product, "sulfate-part");
    assert_true(f->out.entry[2].amount[0].amount == 3);
    assert_string_equal(f->out.entry[1].amount[0].product, "calcium-part");
}

static void one_thing_of_a_task_is_acknowledged_by_its_name(void **ctx)
{
    struct deed_fixture *f = *ctx;
    const char *only[] = {"A2"};
    const char *strange[] = {"A3"};

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_BUMP, 2);
    say(f, "", FIGURE_EC_MS_CM, 1.3);
    assert_int_equal(ack(f), 0);
    assert_string_equal(f->out.entry[0].subject, "room"); /* both */
    entries_deinit(&f->out);
    f->d.only = only;
    f->d.n_only = 1;
    f->d.note = "A1 looked well";
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.n, 2);
    assert_int_equal(f->out.entry[0].kind, ENTRY_ACKNOWLEDGED);
    assert_string_equal(f->out.entry[0].subject, "A2");
    assert_string_equal(f->out.entry[0].what, "bump");
    assert_string_equal(f->out.entry[0].note, "A1 looked well");
    assert_string_equal(f->out.entry[1].subject, "A2");
    entries_deinit(&f->out);
    f->d.only = strange;
    assert_int_equal(ack(f), ERR_UNKNOWN);
    assert_string_equal(f->err.field, "only");
    assert_string_equal(f->err.msg, "task 41 (bump) is not about 'A3'");
    f->d.n_only = 0;
    assert_int_equal(ack(f), ERR_MISSING);
    assert_string_equal(f->err.msg, "task 41: name at least one of its things");
}

static void a_ph_that_was_set_is_told_with_what_it_took(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_PH, 1);
    say(f, "", FIGURE_PH, 5.8);
    amount_of(f, "ph-down", 2);
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.entry[1].kind, ENTRY_PH_ADJUSTED);
    assert_true(f->out.entry[1].figure[FIGURE_PH] == 5.8);
    assert_string_equal(f->out.entry[1].amount[0].product, "ph-down");
    assert_true(f->out.entry[1].amount[0].amount == 2);
}

static void care_is_told_as_the_kind_that_it_was(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CARE, 1);
    f->job[0].care = CARE_VALVE;
    assert_int_equal(ack(f), 0);
    assert_string_equal(f->out.entry[0].what, "care valve");
    assert_int_equal(f->out.entry[1].kind, ENTRY_CARED_FOR);
    assert_string_equal(f->out.entry[1].what, "valve");
}

static void a_look_is_acknowledged_and_nothing_else(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_LOOK, 1);
    f->d.note = "a leaf lay in the float";
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.n, 1);
    assert_string_equal(f->out.entry[0].note, "a leaf lay in the float");
}

static void what_was_ordered_is_not_there_yet(void **ctx)
{
    struct deed_fixture *f = *ctx;

    a_task(f, TASK_REORDER, 1);
    f->job[0].subject = (struct subject){SUBJECT_PRODUCT, CALCIUM_PART};
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.n, 1);
    entries_deinit(&f->out);
    say(f, "", FIGURE_AMOUNT, 5000);
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.n, 2);
    assert_int_equal(f->out.entry[1].kind, ENTRY_STOCK_RECEIVED);
    assert_string_equal(f->out.entry[1].subject, "calcium-part");
}

static void a_meter_is_calibrated_by_its_name(void **ctx)
{
    struct deed_fixture *f = *ctx;

    a_task(f, TASK_CALIBRATE, 1);
    f->job[0].subject = (struct subject){SUBJECT_METER, 0};
    assert_int_equal(ack(f), ERR_MISSING);
    assert_string_equal(f->err.msg, "task 41 (calibrate) needs slope=… for ph-pen");
    say(f, "", FIGURE_SLOPE_PCT, 97);
    say(f, "", FIGURE_OFFSET_MV, 4);
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.entry[1].kind, ENTRY_CALIBRATED);
    assert_true(f->out.entry[1].figure[FIGURE_SLOPE_PCT] == 97);
}

static void a_fill_after_a_mix_is_told_with_the_rinse(void **ctx)
{
    struct deed_fixture *f = *ctx;
    static const enum entry_kind after_mix[] = {ENTRY_ACKNOWLEDGED, ENTRY_RESERVOIR_RINSED,
                                                ENTRY_RESERVOIR_FILLED};
    static const enum entry_kind after_water[] = {ENTRY_ACKNOWLEDGED, ENTRY_RESERVOIR_FILLED};

    a_task(f, TASK_FILL, 1);
    f->job[0].subject = (struct subject){SUBJECT_RESERVOIR, 0};
    say(f, "", FIGURE_VOLUME_L, 90);
    assert_int_equal(ack(f), 0);
    assert_kinds(f, after_water, 2);
    entries_deinit(&f->out);
    tell(f, with(with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(40, 9)), FIGURE_VOLUME_L, 40),
                 FIGURE_EC_MS_CM, 1.2));
    assert_int_equal(ack(f), 0);
    assert_kinds(f, after_mix, 3);
    assert_true(f->out.entry[2].figure[FIGURE_VOLUME_L] == 90);
}

static void a_fill_is_told_with_its_acid(void **ctx)
{
    struct deed_fixture *f = *ctx;

    a_task(f, TASK_FILL, 1);
    f->job[0].subject = (struct subject){SUBJECT_RESERVOIR, 0};
    say(f, "", FIGURE_VOLUME_L, 90);
    say(f, "", FIGURE_PH, 5.8);
    amount_of(f, "ph-down", 12);
    assert_int_equal(ack(f), 0);
    assert_int_equal(f->out.entry[1].kind, ENTRY_RESERVOIR_FILLED);
    assert_true(f->out.entry[1].figure[FIGURE_PH] == 5.8);
    assert_int_equal(f->out.entry[1].n_amounts, 1);
    assert_string_equal(f->out.entry[1].amount[0].product, "ph-down");
    assert_true(f->out.entry[1].amount[0].amount == 12);
}

static void a_fill_without_its_litres_is_asked_for_them(void **ctx)
{
    struct deed_fixture *f = *ctx;

    a_task(f, TASK_FILL, 1);
    f->job[0].subject = (struct subject){SUBJECT_RESERVOIR, 0};
    say(f, "", FIGURE_PH, 5.8);
    assert_int_equal(ack(f), ERR_MISSING);
    assert_string_equal(f->err.field, "volume");
    assert_non_null(strstr(f->err.msg, "needs volume=…, what it holds now, or added=…, what was"));
}

static void a_part_of_a_harvest_leaves_the_plant_and_its_container(void **ctx)
{
    struct deed_fixture *f = *ctx;
    static const enum entry_kind part[] = {ENTRY_ACKNOWLEDGED, ENTRY_HARVESTED};
    static const enum entry_kind late[] = {ENTRY_ACKNOWLEDGED, ENTRY_CLEANED};

    on_float(f, "A1");
    a_task(f, TASK_HARVEST, 1);
    say(f, "", FIGURE_YIELD_G, 300);
    name_it(f->told[0].what, sizeof f->told[0].what, "part");
    assert_int_equal(ack(f), 0);
    assert_kinds(f, part, 2);
    assert_true(f->out.entry[1].figure[FIGURE_YIELD_G] == 300);
    entries_deinit(&f->out);
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(40, 9))); /* told by itself before */
    f->d.n_told = 0;
    assert_int_equal(ack(f), 0);
    assert_kinds(f, late, 2);
}

/* Forty grams of basil are a cut, not its end; what is told without a weight, or as the last one,
 * is the end. */
static void what_is_cut_again_and_again_goes_on_when_it_was_weighed(void **ctx)
{
    struct deed_fixture *f = *ctx;
    static const enum entry_kind part[] = {ENTRY_ACKNOWLEDGED, ENTRY_HARVESTED};
    static const enum entry_kind whole[] = {ENTRY_ACKNOWLEDGED, ENTRY_HARVESTED, ENTRY_CLEANED};

    on_float(f, "A1");
    f->room.crop[f->s.container[0].crop].cut_again = true;
    a_task(f, TASK_HARVEST, 1);
    say(f, "", FIGURE_YIELD_G, 40);
    assert_int_equal(ack(f), 0);
    assert_kinds(f, part, 2);
    assert_string_equal(f->out.entry[1].what, "part");
    entries_deinit(&f->out);
    name_it(f->told[0].what, sizeof f->told[0].what, "final");
    assert_int_equal(ack(f), 0);
    assert_kinds(f, whole, 3);
    assert_true(f->out.entry[1].figure[FIGURE_YIELD_G] == 40);
    entries_deinit(&f->out);
    f->d.n_told = 0;
    assert_int_equal(ack(f), 0);
    assert_kinds(f, whole, 3);
    assert_string_equal(f->out.entry[1].what, "final");
}

static void a_start_may_have_another_crop_and_level(void **ctx)
{
    struct deed_fixture *f = *ctx;

    a_task(f, TASK_START, 1);
    say(f, "", FIGURE_EC_MS_CM, 0.7);
    say(f, "", FIGURE_VOLUME_L, 15);
    name_it(f->told[0].what, sizeof f->told[0].what, "leaf");
    assert_int_equal(ack(f), 0);
    assert_string_equal(f->out.entry[1].what, "leaf");
    assert_true(f->out.entry[1].figure[FIGURE_VOLUME_L] == 15);
    /* 15 * 4 * 1.05 / 2.0 = 31.5 mL; the syringe shows 0.2 mL */
    assert_true(fabs(f->out.entry[1].amount[0].amount - 31.6) < 0.11);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        DEED_TEST(a_bump_is_reckoned_from_what_it_was),
        DEED_TEST(a_reading_task_takes_the_figures_of_each_and_leaves_the_rest_open),
        DEED_TEST(a_reading_at_large_of_many_is_asked_back),
        DEED_TEST(the_reservoirs_level_is_told_along_with_anything),
        DEED_TEST(a_figure_of_a_stranger_is_refused),
        DEED_TEST(a_start_is_told_with_the_doses_of_its_recipe),
        DEED_TEST(a_harvest_of_what_grows_is_told_with_its_cleaning),
        DEED_TEST(each_kind_goes_by_its_row_of_figures),
        DEED_TEST(a_look_at_a_float_is_told_as_what_was_seen),
        DEED_TEST(the_figures_of_a_reading_of_one_may_be_told_at_large),
        DEED_TEST(what_was_told_of_one_stands_over_what_was_told_of_all),
        DEED_TEST(one_thing_of_a_task_is_acknowledged_by_its_name),
        DEED_TEST(a_ph_that_was_set_is_told_with_what_it_took),
        DEED_TEST(care_is_told_as_the_kind_that_it_was),
        DEED_TEST(a_look_is_acknowledged_and_nothing_else),
        DEED_TEST(what_was_ordered_is_not_there_yet),
        DEED_TEST(a_meter_is_calibrated_by_its_name),
        DEED_TEST(a_fill_after_a_mix_is_told_with_the_rinse),
        DEED_TEST(a_fill_is_told_with_its_acid),
        DEED_TEST(a_fill_without_its_litres_is_asked_for_them),
        DEED_TEST(a_part_of_a_harvest_leaves_the_plant_and_its_container),
        DEED_TEST(what_is_cut_again_and_again_goes_on_when_it_was_weighed),
        DEED_TEST(a_start_may_have_another_crop_and_level),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
