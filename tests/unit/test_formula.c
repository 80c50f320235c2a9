/* Formulas as they stand on a bag, and those that are none. */
#include "daemon/base/err.h"
#include "daemon/core/chem/formula.h"
#include "tests/cmocka_all.h"

#include <stdio.h>
#include <string.h>

static void water_of_crystallisation_counts(void **state)
{
    static const char *const spelled[] = {"MgSO4.7H2O", "MgSO4*7H2O", "MgSO4·7H2O"};

    (void)state;
    for (size_t i = 0; i < sizeof spelled / sizeof *spelled; i++) {
        struct formula f;

        assert_int_equal(formula_parse(spelled[i], &f, NULL), 0);
        assert_true(f.atoms[ELEMENT_O] == 11);
        assert_true(f.atoms[ELEMENT_H] == 14);
        assert_true(f.atoms[ELEMENT_MG] == 1);
    }
}

static void brackets_multiply_what_is_in_them(void **state)
{
    struct formula f;

    (void)state;
    assert_int_equal(formula_parse("5Ca(NO3)2.NH4NO3.10H2O", &f, NULL), 0);
    assert_true(f.atoms[ELEMENT_CA] == 5);
    assert_true(f.atoms[ELEMENT_N] == 12);
    assert_true(f.nitrate_n == 11);
    assert_true(f.ammonium_n == 1);
    assert_true(f.atoms[ELEMENT_H] == 24);
}

static void nitrogen_is_told_apart_by_its_form(void **state)
{
    struct formula nitrate;
    struct formula urea;

    (void)state;
    assert_int_equal(formula_parse("NH4NO3", &nitrate, NULL), 0);
    assert_true(nitrate.nitrate_n == 1 && nitrate.ammonium_n == 1);
    assert_int_equal(formula_parse("CO(NH2)2", &urea, NULL), 0);
    assert_true(urea.atoms[ELEMENT_N] == 2 && urea.nitrate_n == 0 && urea.ammonium_n == 0);
}

/* NO3 and NH4 as groups of their own, and not the beginning of something longer. */
static void a_group_is_not_the_beginning_of_another(void **state)
{
    static const struct {
        const char *text;
        double nitrate, ammonium, other;
    } rows[] = {
        {"Mg(NO3)2",     2, 0, 0},
        {"(NH4)2SO4",    0, 2, 0},
        {"NH4NO3",       1, 1, 0},
        {"NO30",         0, 0, 1}, /* thirty oxygens */
        {"NH42",         0, 0, 1},
        {"NO2",          0, 0, 1},
        {"2NH4NO3.KNO3", 3, 2, 0},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct formula f;

        assert_int_equal(formula_parse(rows[i].text, &f, NULL), 0);
        assert_true(f.nitrate_n == rows[i].nitrate);
        assert_true(f.ammonium_n == rows[i].ammonium);
        assert_true(f.atoms[ELEMENT_N] == rows[i].nitrate + rows[i].ammonium + rows[i].other);
    }
}

static void counts_stand_behind_or_in_front_and_add_up(void **state)
{
    struct formula f;

    (void)state;
    assert_int_equal(formula_parse("K2O.KCl.2K", &f, NULL), 0);
    assert_true(f.atoms[ELEMENT_K] == 5);
    assert_int_equal(formula_parse("K99", &f, NULL), 0);
    assert_true(f.atoms[ELEMENT_K] == 99);
    assert_int_equal(formula_parse("K((O(H2)3)2)4", &f, NULL), 0); /* three deep */
    assert_true(f.atoms[ELEMENT_O] == 8 && f.atoms[ELEMENT_H] == 48 && f.atoms[ELEMENT_K] == 1);
}

static void what_is_no_formula_is_refused_with_the_reason(void **state)
{
    static const struct {
        const char *text, *says;
    } wrong[] = {
        {"",            "it ends too early"                                     },
        {"kno3",        "an element was expected"                               },
        {"KNO3.",       "it ends too early"                                     },
        {"Ca(NO3",      "a bracket is left open"                                },
        {"Ca)",         "it goes on with what is neither an element nor a count"},
        {"K0",          "a count lies between 1 and 99"                         },
        {"0K",          "a count lies between 1 and 99"                         },
        {"(K)0",        "a count lies between 1 and 99"                         },
        {"K()",         "an element was expected"                               },
        {"K+",          "it goes on with what is neither an element nor a count"},
        {"Mq2",         "'Mq' is not among the elements of nutrients"           },
        {"K4294967297", "a count lies between 1 and 99"                         },
        {"K100",        "a count lies between 1 and 99"                         },
        {"K990",        "a count lies between 1 and 99"                         },
        {"UO2",         "'U' is not among the elements of nutrients"            },
        {"((((K))))",   "brackets are nested too deep"                          },
    };

    (void)state;
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        struct formula f = {.nitrate_n = 7};
        struct err e;
        char says[160];

        assert_int_equal(formula_parse(wrong[i].text, &f, &e), ERR_SYNTAX);
        (void)snprintf(says, sizeof says, "'%s' is no formula: %s", wrong[i].text, wrong[i].says);
        assert_string_equal(e.msg, says);
        assert_true(f.nitrate_n == 7); /* left alone */
    }
}

static void a_formula_without_end_is_refused(void **state)
{
    char text[FORMULA_LEN_MAX + 2];
    struct formula f;
    struct err e;

    (void)state;
    memset(text, 'K', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    assert_int_equal(formula_parse(text, &f, &e), ERR_SYNTAX);
    assert_string_equal(e.msg, "a formula has at most 63 letters");
    assert_int_equal(formula_parse(text + 1, &f, &e), 0); /* one letter less */
    assert_true(f.atoms[ELEMENT_K] == FORMULA_LEN_MAX);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(water_of_crystallisation_counts),
        cmocka_unit_test(brackets_multiply_what_is_in_them),
        cmocka_unit_test(nitrogen_is_told_apart_by_its_form),
        cmocka_unit_test(a_group_is_not_the_beginning_of_another),
        cmocka_unit_test(counts_stand_behind_or_in_front_and_add_up),
        cmocka_unit_test(what_is_no_formula_is_refused_with_the_reason),
        cmocka_unit_test(a_formula_without_end_is_refused),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
