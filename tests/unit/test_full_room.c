/* A room in which every list is as long as it may be: a recipe of twelve products, a crop of eight
 * stages, an entry with twelve amounts. The last of each counts like the first, and nothing is read
 * or written behind it (which the sanitizers see). */
#include "daemon/base/err.h"
#include "daemon/core/sheet/worksheet_make.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/waters.h"
#include "daemon/core/tell/deed.h"
#include "daemon/core/tell/mix_answer.h"
#include "daemon/core/tell/rules.h"
#include "tests/unit/a_planned_room.h"

/* ph-down stays where it is; the twelve of the recipe are the others, a mL/L each. */
#define PRODUCTS (ROOM_DOSES_MAX + 1)

static size_t dosed(size_t k)
{
    return k < PH_DOWN ? k : k + 1;
}

static void fill_recipe(struct room *r, struct recipe *recipe)
{
    for (size_t k = 0; k < ROOM_DOSES_MAX; k++) {
        recipe->dose[k] = (struct dose){dosed(k), 1};
        r->product[dosed(k)].contents.mg[NUTRIENT_K] = 1;
    }
    recipe->n_doses = ROOM_DOSES_MAX;
}

static int set_up_full(void **ctx)
{
    int rc = set_up_planned(ctx);
    struct fixture *f = *ctx;
    struct room *r = &f->room;
    struct product *product = mem_array(PRODUCTS, sizeof *product);

    memcpy(product, r->product, r->n_products * sizeof *product);
    free(r->product);
    r->product = product;
    for (; r->n_products < PRODUCTS; r->n_products++) {
        char name[24];

        (void)snprintf(name, sizeof name, "extra-%zu", r->n_products);
        product[r->n_products] = a_product(name, PRODUCT_LIQUID, 5000);
    }
    product[SALT].kind = PRODUCT_LIQUID;
    fill_recipe(r, &r->recipe[LEAF_FEED]);
    fill_recipe(r, &r->recipe[FRUIT]);
    for (size_t k = 0; k < ROOM_STAGES_MAX; k++) {
        char name[24];

        (void)snprintf(name, sizeof name, "stage-%zu", k);
        r->crop[VINE].stage[k] = a_stage(name, 10.0 * (double)k, 1.0 + 0.1 * (double)k, LEAF_FEED);
    }
    r->crop[VINE].n_stages = ROOM_STAGES_MAX;
    state_deinit(&f->s);
    if (room_index(r, NULL) < 0) {
        return -1;
    }
    state_init(&f->s, r);
    return rc;
}
#define FULL(name) cmocka_unit_test_setup_teardown(name, set_up_full, tear_down)

/* So much of each of the twelve. */
static struct entry with_all(const struct fixture *f, struct entry e, double each_ml)
{
    for (size_t k = 0; k < ROOM_DOSES_MAX; k++) {
        e = with_amount(e, f->room.product[dosed(k)].name, each_ml);
    }
    return e;
}

/* 50 mL of each in 100 L: half of the full dose, 1.0 mS/cm over the water's 0.05. */
static struct entry a_mix(const struct fixture *f)
{
    struct entry e = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(3, 9));

    return with_all(f, with(with(e, FIGURE_VOLUME_L, 100), FIGURE_EC_MS_CM, 1.05), 50);
}

static void all_twelve_amounts_leave_their_shelves(void **ctx)
{
    struct fixture *f = *ctx;

    tell(f, a_mix(f));
    for (size_t k = 0; k < ROOM_DOSES_MAX; k++) {
        const struct product *p = &f->room.product[dosed(k)];

        assert_true(fabs(f->s.product[dosed(k)].left - (p->stock - 50)) <= 1e-9);
    }
    assert_int_equal(f->s.recipe[LEAF_FEED].gain.n_used, 1); /* the whole recipe was told */
    assert_true(fabs(f->s.recipe[LEAF_FEED].gain.value - 2.0) <= 1e-9);
    assert_true(fabs(f->s.reservoir.feed.mg[NUTRIENT_K] - 12 * 0.5) <= 1e-9);
}

/* Eleven of twelve are not the recipe: whichever is missing, nothing is learned of it. */
static void a_recipe_without_its_last_product_teaches_nothing(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = a_mix(f);

    e.n_amounts--;
    tell(f, e);
    assert_int_equal(f->s.recipe[LEAF_FEED].gain.n_used, 0);
}

static void an_entry_is_good_up_to_its_last_amount(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = a_mix(f);
    struct text said = {0};
    struct err err = {0};

    assert_int_equal(entry_check_form(&f->room, &e, true, &err), 0);
    entry_describe(&f->room, &e, &said);
    assert_non_null(strstr(text_str(&said), ", 50 mL extra-12"));
    text_deinit(&said);
    name_it(e.amount[ROOM_DOSES_MAX - 1].product, sizeof e.amount[0].product, "A1");
    assert_int_equal(entry_check_form(&f->room, &e, true, &err), ERR_UNKNOWN);
    assert_string_equal(err.msg, "'A1' is not a product");
}

static void the_acid_may_be_the_last_of_twelve(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = a_mix(f);
    size_t product;

    assert_int_equal(waters_acid_of(&f->room, &e, &product), -1);
    name_it(e.amount[ROOM_DOSES_MAX - 1].product, sizeof e.amount[0].product, "ph-down");
    assert_int_equal(waters_acid_of(&f->room, &e, &product), ROOM_DOSES_MAX - 1);
    name_it(e.amount[0].product, sizeof e.amount[0].product, "ph-down"); /* and there are two */
    assert_int_equal(waters_acid_of(&f->room, &e, &product), -1);
    name_it(e.amount[ROOM_DOSES_MAX - 1].product, sizeof e.amount[0].product, "calcium-part");
    assert_int_equal(waters_acid_of(&f->room, &e, &product), 0);
}

/* The last product runs short: only what it is needed for says so. */
static void the_last_product_of_a_recipe_is_ordered_in_time(void **ctx)
{
    struct fixture *f = *ctx;
    const char *last = f->room.product[PRODUCTS - 1].name;

    on_float(f, "A1", 30);
    assert_null(job_of(f, at(38, 7), TASK_REORDER, last));
    f->s.product[PRODUCTS - 1].left = 502; /* 500 is when it is ordered; a change takes more */
    assert_non_null(job_of(f, at(38, 7), TASK_REORDER, last));
    assert_null(job_of(f, at(38, 7), TASK_REORDER, f->room.product[PRODUCTS - 2].name));
}

static void a_sheet_tells_all_twelve_doses(void **ctx)
{
    struct fixture *f = *ctx;
    struct worksheet sheet = {0};
    size_t told = 0;

    on_float(f, "A1", 30);
    plan(f, at(40, 7));
    worksheet_make(&f->room, &f->s, task_of(f, TASK_CHANGE), at(40, 7), &sheet);
    for (size_t i = 0; i < sheet.n; i++) {
        told += strncmp(sheet.step[i].text, "Stir ", 5) == 0 &&
                strstr(sheet.step[i].text, " into the reservoir") != NULL;
    }
    assert_int_equal(told, ROOM_DOSES_MAX);
    worksheet_deinit(&sheet);
}

/* What was not told of a mix is taken to have been as planned: the twelfth after eleven, and no
 * thirteenth after twelve others. */
static void what_was_not_told_of_a_mix_fills_up_to_twelve(void **ctx)
{
    struct fixture *f = *ctx;
    struct told told[1] = {{.subject = ""}};
    struct entries out = {0};
    struct err err = {0};
    struct deed d = {.now_s = at(40, 10),
                     .happened_s = at(40, 10),
                     .who = "ana",
                     .note = "",
                     .key = "",
                     .told = told,
                     .n_told = 1};

    on_float(f, "A1", 30);
    plan(f, at(40, 7));
    told->has = FIGURE_BIT(FIGURE_EC_MS_CM) | FIGURE_BIT(FIGURE_PH) | FIGURE_BIT(FIGURE_VOLUME_L);
    told->figure[FIGURE_EC_MS_CM] = task_of(f, TASK_CHANGE)->mix_ec_ms_cm;
    told->figure[FIGURE_PH] = 5.8;
    told->figure[FIGURE_VOLUME_L] = task_of(f, TASK_CHANGE)->mix_l;
    for (size_t k = 0; k < ROOM_DOSES_MAX; k++) {
        name_it(told->amount[k].product, sizeof told->amount[k].product,
                f->room.product[dosed(k)].name);
        told->amount[k].amount = 9 + (double)k;
    }
    told->n_amounts = ROOM_DOSES_MAX;
    if (deed_ack(&f->room, &f->s, task_of(f, TASK_CHANGE), &d, &out, &err) < 0) {
        fail_msg("%s", err.msg);
    }
    for (size_t i = 0; i < out.n; i++) {
        if (out.entry[i].kind == ENTRY_MIX_MADE) {
            assert_int_equal(out.entry[i].n_amounts, ROOM_DOSES_MAX);
            assert_string_equal(out.entry[i].amount[11].product, "extra-12");
            assert_true(out.entry[i].amount[11].amount == 20);
        }
    }
    entries_deinit(&out);
}

static void a_question_about_a_mix_is_answered_with_all_twelve(void **ctx)
{
    struct fixture *f = *ctx;
    struct mix_question q = {.recipe = LEAF_FEED,
                             .volume_l = 10,
                             .ec_ms_cm = 1.05,
                             .from_ms_cm = NAN,
                             .water_ms_cm = NAN,
                             .hard_ms_cm = NAN,
                             .crop = -1};
    struct mix_answer a = {0};
    struct err err = {0};

    assert_int_equal(mix_answer_reckon(&f->room, &f->s, &q, &a, &err), 0);
    assert_int_equal(a.n_portions, ROOM_DOSES_MAX);
    assert_true(fabs(a.portion[11].product - 5) <= 0.2); /* a syringe of 0.2 mL */
    q.volume_l = q.ec_ms_cm = NAN;
    assert_int_equal(mix_answer_reckon(&f->room, &f->s, &q, &a, &err), 0);
    assert_int_equal(a.n_portions, ROOM_DOSES_MAX);
    /* Each stage wants a tenth more than the one before. */
    assert_int_equal(mix_answer_stage(&f->room.crop[VINE], LEAF_FEED, 5), 7);
    assert_int_equal(mix_answer_stage(&f->room.crop[VINE], LEAF_FEED, 1.31), 3);
    assert_int_equal(mix_answer_stage(&f->room.crop[VINE], FRUIT, 1.31), 7); /* none wants it */
}

/* A stage begins every ten days, and the eighth lasts. */
static void a_crop_goes_through_its_eight_stages(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    for (int k = 0; k < 10; k++) {
        int stage = k < ROOM_STAGES_MAX ? k : ROOM_STAGES_MAX - 1;

        assert_int_equal(forecast_container(&f->room, &f->s, A1, at(10 * k, 9)).stage, stage);
        assert_int_equal(forecast_container(&f->room, &f->s, A1, at(10 * k + 9, 9)).stage, stage);
    }
    assert_int_equal(crop_find_stage(&f->room.crop[VINE], "stage-7"), 7);
    assert_int_equal(crop_find_stage(&f->room.crop[VINE], ""), -1);
}

static void a_stage_that_is_not_among_the_eight_is_met_with_the_nearest(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_STAGE_SEEN, "A1", "stage-7", at(40, 9));
    struct err err = {0};

    start(f, "A1", 0);
    assert_int_equal(rules_check(&f->s, &f->room, &e, false, &err), 0);
    name_it(e.what, sizeof e.what, "stag-7");
    assert_int_equal(rules_check(&f->s, &f->room, &e, false, &err), ERR_UNKNOWN);
    assert_string_equal(err.msg, "vine has no stage 'stag-7'; did you mean 'stage-7'?");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        FULL(all_twelve_amounts_leave_their_shelves),
        FULL(a_recipe_without_its_last_product_teaches_nothing),
        FULL(an_entry_is_good_up_to_its_last_amount),
        FULL(the_acid_may_be_the_last_of_twelve),
        FULL(the_last_product_of_a_recipe_is_ordered_in_time),
        FULL(a_sheet_tells_all_twelve_doses),
        FULL(what_was_not_told_of_a_mix_fills_up_to_twelve),
        FULL(a_question_about_a_mix_is_answered_with_all_twelve),
        FULL(a_crop_goes_through_its_eight_stages),
        FULL(a_stage_that_is_not_among_the_eight_is_met_with_the_nearest),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
