/* Acids and bases: what is in a bottle of each. */
#include "daemon/base/err.h"
#include "daemon/core/chem/reagent.h"
#include "tests/cmocka_all.h"

#include <math.h>
#include <string.h>

static void assert_near(double got, double want, double within)
{
    if (!(fabs(got - want) <= within)) {
        fail_msg("%.10g is not %.10g within %g", got, want, within);
    }
}

static void reagents_are_acids_or_bases(void **ctx)
{
    static const struct {
        const char *word;
        bool acid;
    } rows[] = {
        {"none",                  false},
        {"phosphoric acid",       true },
        {"nitric acid",           true },
        {"sulfuric acid",         true },
        {"citric acid",           true },
        {"potassium hydroxide",   false},
        {"potassium bicarbonate", false},
    };
    _Static_assert(sizeof rows / sizeof *rows == REAGENT_COUNT,
                   "a reagent of which nobody has tested whether it is an acid");

    (void)ctx;
    for (int r = 0; r < REAGENT_COUNT; r++) {
        assert_string_equal(reagent_words[r], rows[r].word);
        assert_int_equal(reagent_is_acid((enum reagent)r), rows[r].acid);
    }
    assert_null(reagent_words[REAGENT_COUNT]);
}

/* CRC Handbook, from memory, as far as its tables go. */
static void densities_end_where_the_handbook_does(void **ctx)
{
    static const struct {
        enum reagent r;
        double most_pct, g_ml;
    } rows[] = {
        {REAGENT_PHOSPHORIC, 85, 1.685},
        {REAGENT_NITRIC,     70, 1.413},
        {REAGENT_SULFURIC,   98, 1.836},
        {REAGENT_CITRIC,     50, 1.227},
        {REAGENT_KOH,        50, 1.511},
        {REAGENT_KHCO3,      20, 1.135},
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_near(reagent_density_g_ml(rows[i].r, 0), 0.998, 1e-9); /* water at 20 C */
        assert_near(reagent_density_g_ml(rows[i].r, rows[i].most_pct), rows[i].g_ml, 1e-9);
        assert_true(isnan(reagent_density_g_ml(rows[i].r, rows[i].most_pct + 0.1)));
        assert_true(isnan(reagent_density_g_ml(rows[i].r, -0.1)));
        assert_true(isnan(reagent_density_g_ml(rows[i].r, NAN)));
    }
    assert_true(isnan(reagent_density_g_ml(REAGENT_NONE, 0)));
}

/* mg in a mole are g/mol times 1000. */
static void reagents_feed_as_well(void **ctx)
{
    static const struct {
        enum reagent r;
        enum nutrient n;
        double mg;
    } rows[] = {
        {REAGENT_PHOSPHORIC, NUTRIENT_P,     30974},
        {REAGENT_NITRIC,     NUTRIENT_NO3_N, 14007},
        {REAGENT_SULFURIC,   NUTRIENT_S,     32060},
        {REAGENT_KOH,        NUTRIENT_K,     39098},
        {REAGENT_KHCO3,      NUTRIENT_K,     39098},
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct nutrients got = reagent_nutrients_mg_mol(rows[i].r);

        assert_near(got.mg[rows[i].n], rows[i].mg, 0.5);
        got.mg[rows[i].n] = 0;
        assert_true(nutrients_none(&got));
    }
    for (size_t i = 0; i < 2; i++) {
        struct nutrients none = reagent_nutrients_mg_mol(i ? REAGENT_CITRIC : REAGENT_NONE);

        assert_true(nutrients_none(&none));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reagents_are_acids_or_bases),
        cmocka_unit_test(densities_end_where_the_handbook_does),
        cmocka_unit_test(reagents_feed_as_well),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
