/* What to beware of in a mix, without a task. */
#include "daemon/base/err.h"
#include "daemon/core/chem/saturation.h"
#include "daemon/core/tell/mix_answer.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_mix_question.h"

#include <stdlib.h>

static void assert_notes(const struct fixture *f, const char *const *says, size_t n)
{
    assert_int_equal(f->a.n_notes, n);
    for (size_t i = 0; i < n; i++) {
        if (!strstr(f->a.note[i], says[i])) {
            fail_msg("\"%s\" does not say \"%s\"", f->a.note[i], says[i]);
        }
    }
}

/* A quarter of 1.05 mS/cm is 0.26. */
static void a_water_that_is_much_of_the_solution_is_warned_of(void **ctx)
{
    static const char *const says[] = {"0.27 mS/cm of the 1.05 mS/cm is the water's own"};
    struct fixture *f = *ctx;

    f->q.recipe = LEAF_FEED;
    f->q.volume_l = 10;
    f->q.ec_ms_cm = 1.05;
    assert_int_equal(ask(f), 0);
    assert_notes(f, NULL, 0);
    f->q.water_ms_cm = 0.26;
    assert_int_equal(ask(f), 0);
    assert_notes(f, NULL, 0);
    f->q.water_ms_cm = 0.27;
    assert_int_equal(ask(f), 0);
    assert_notes(f, says, 1);
    f->q.water_ms_cm = NAN;
    f->room.source.ec_ms_cm = 0.27;
    assert_int_equal(ask(f), 0);
    assert_notes(f, says, 1);
}

static void report(struct fixture *f, double alkalinity_mg_l)
{
    f->room.source.alkalinity_mg_l = alkalinity_mg_l;
    state_deinit(&f->s);
    state_init(&f->s, &f->room);
}

/* 1 meq/L is 50.04 mg/L as CaCO3. */
static void in_alkaline_water_acid_goes_first(void **ctx)
{
    static const char *const says[] = {
        "The water holds 3.0 meq/L of alkalinity: stir in half of the acid before the nutrients"};
    struct fixture *f = *ctx;

    f->q.recipe = LEAF_FEED;
    f->q.volume_l = 10;
    f->q.ec_ms_cm = 1.05;
    report(f, 49);
    assert_int_equal(ask(f), 0);
    assert_notes(f, NULL, 0);
    report(f, 150);
    assert_int_equal(ask(f), 0);
    assert_notes(f, says, 1);
    f->q.water_ms_cm = 0.01; /* another water */
    assert_int_equal(ask(f), 0);
    assert_notes(f, NULL, 0);
}

/* Gypsum dissolves to 15 mmol/L (CRC Handbook, from memory): 600 mg/L of calcium. */
static void what_would_fall_out_is_told_until_it_is_accepted(void **ctx)
{
    static const char *const says[] = {"would fall out: calcium and sulfate, as gypsum."};
    struct fixture *f = *ctx;

    f->q.recipe = LEAF_FEED;
    f->room.product[CALCIUM_PART].contents.mg[NUTRIENT_CA] = 500;
    f->room.product[SULFATE_PART].contents.mg[NUTRIENT_S] = 800;
    assert_int_equal(ask(f), 0);
    assert_notes(f, says, 1);
    f->room.recipe[LEAF_FEED].accepted = SOLID_BIT(SOLID_GYPSUM);
    assert_int_equal(ask(f), 0);
    assert_notes(f, NULL, 0);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_water_that_is_much_of_the_solution_is_warned_of),
        TEST(in_alkaline_water_acid_goes_first),
        TEST(what_would_fall_out_is_told_until_it_is_accepted),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
