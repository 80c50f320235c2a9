/* What a room file lets one foresee: small vessels and sour recipes, each once, and nothing
 * else. */
#include "daemon/base/text.h"
#include "daemon/core/tell/room_advice.h"
#include "tests/unit/a_told_room.h"

static char *advised(const struct fixture *f)
{
    struct text out = {0};

    room_advice(&f->room, &out);
    return text_take(&out);
}

static void assert_advised(const struct fixture *f, const char *says, bool so)
{
    char *text = advised(f);

    if ((strstr(text, says) != NULL) != so) {
        fail_msg("\"%s\" %s \"%s\"", text, so ? "does not say" : "says", says);
    }
    free(text);
}

/* 8 L of 1.8 lose 0.72 in 3.2 L: at 2 L a day 1.6 days, and the vine's are to last 7. */
static void a_vessel_that_is_too_small_is_told_with_what_would_do(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.source.ec_ms_cm = 0;
    assert_advised(f,
                   "A1 and 2 like it: full-grown vine spends a solution of 8.0 L in 1.6 days, and "
                   "one should last 7. 35.0 L at the float line would do; or a feed of up to 1.80 "
                   "mS/cm in the reservoir, which keeps it steady.\n",
                   true);
    assert_advised(f, "A2", false);   /* like A1 */
    assert_advised(f, "leaf", false); /* 0.3 L a day: eleven days */
    f->room.container[1].float_volume_l = 9;
    assert_advised(f, "A1 and 1 like it: ", true);
    assert_advised(f, "A2: full-grown vine spends a solution of 9.0 L", true);
    for (size_t i = 0; i < 3; i++) {
        f->room.container[i].float_volume_l = 35;
    }
    assert_advised(f, "vine", false);
}

static void a_recipe_of_much_ammonium_is_told(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.product[CALCIUM_PART].contents.mg[NUTRIENT_NO3_N] = 40;
    f->room.product[SULFATE_PART].contents.mg[NUTRIENT_NH4_N] =
        18; /* half as much of it: 9 of 49 */
    assert_advised(f, "ammonium", false);
    f->room.product[SULFATE_PART].contents.mg[NUTRIENT_NH4_N] = 22; /* 11 of 51 */
    assert_advised(f, "leaf: 22 % of its nitrogen is ammonium. From 20 % on ", true);
    assert_advised(f, "fruit: 22 % of its nitrogen", true);
}

static void recipes_of_nitrate_alone_are_told_together(void **ctx)
{
    struct fixture *f = *ctx;

    assert_advised(f, "nitrate", false); /* what is in them nobody says */
    f->room.product[CALCIUM_PART].contents.mg[NUTRIENT_NO3_N] = 40;
    assert_advised(f, "leaf, fruit: all the nitrogen is nitrate, so roots push the pH up", true);
    f->room.product[SULFATE_PART].contents.mg[NUTRIENT_NH4_N] = 4; /* 2 of 42: a twentieth */
    assert_advised(f, "nitrate", false);
}

/* 50 mg of potassium for 100 of nitrogen, where the vine takes 100: half. */
static void a_recipe_of_which_one_element_runs_out_first_is_told(void **ctx)
{
    struct fixture *f = *ctx;
    double *gives = f->room.product[CALCIUM_PART].contents.mg;
    double *takes = f->room.crop[f->room.container[0].crop].takes.mg;

    gives[NUTRIENT_NO3_N] = 40;
    gives[NUTRIENT_K] = 20;
    assert_advised(f, "runs out first", false); /* what vines take nobody says */
    takes[NUTRIENT_NO3_N] = 100;
    takes[NUTRIENT_K] = 100;
    assert_advised(f,
                   "leaf for vine, young: K runs out first. Beside nitrogen it gives 50 % of the K "
                   "that such plants take.",
                   true);
    takes[NUTRIENT_K] = 80;
    assert_advised(f, "runs out first", false);
}

/* A litre of 5 meq/L takes 5 mmol of nitric acid, less what is left at pH 5.8 with the air above
 * it, which is next to nothing: 70 mg of N. */
static void an_acid_that_brings_much_of_what_a_recipe_gives_is_told(void **ctx)
{
    struct fixture *f = *ctx;

    report_water(&f->room, 5, 7.4);
    label_bottle(&f->room, PH_DOWN, REAGENT_NITRIC, 0.001);
    f->room.product[CALCIUM_PART].contents.mg[NUTRIENT_NO3_N] = 10;
    assert_advised(f, "ph-down: what holds this water at pH 5.8 brings 70 mg/L of N, and ", true);
    report_water(&f->room, 0.5, 7.4);
    assert_advised(f, "ph-down", false);
}

/* Three vines of 2 L a day and 0.3 L of a leaf (a_room.h): 6.3 L. */
static void a_source_that_gives_less_than_is_drunk_is_told(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.source.rate_l_h = 6.4 / 24;
    assert_advised(f, "source_water", false);
    f->room.source.rate_l_h = 0.25;
    assert_advised(f,
                   "source_water: full-grown, what the room is for drinks 6.3 L a day, and the "
                   "source gives 6.0 L: floats will stand dry.",
                   true);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_vessel_that_is_too_small_is_told_with_what_would_do),
        TEST(a_source_that_gives_less_than_is_drunk_is_told),
        TEST(a_recipe_of_much_ammonium_is_told),
        TEST(recipes_of_nitrate_alone_are_told_together),
        TEST(a_recipe_of_which_one_element_runs_out_first_is_told),
        TEST(an_acid_that_brings_much_of_what_a_recipe_gives_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
