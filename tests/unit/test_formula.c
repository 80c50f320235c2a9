/* Formulas as they stand on a bag, and those that are none. */
#include "daemon/base/err.h"
#include "daemon/core/chem/formula.h"
#include "tests/cmocka_all.h"

#include <math.h>
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

static void what_is_no_formula_is_refused_with_the_reason(void **state)
{
    static const struct {
        const char *text, *says;
    } wrong[] = {
        {"",          "'' is no formula: it ends too early"                                        },
        {"kno3",      "'kno3' is no formula: an element was expected"                              },
        {"KNO3.",     "'KNO3.' is no formula: it ends too early"                                   },
        {"Ca(NO3",    "'Ca(NO3' is no formula: a bracket is left open"                             },
        {"Ca)",       "'Ca)' is no formula: it goes on with what is neither an element nor a count"},
        {"K0",        "'K0' is no formula: a count lies between 1 and 99"                          },
        {"K100",      "'K100' is no formula: a count lies between 1 and 99"                        },
        {"UO2",       "'UO2' is no formula: 'U' is not among the elements of nutrients"            },
        {"((((K))))", "'((((K))))' is no formula: brackets are nested too deep"                    },
    };

    (void)state;
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        struct formula f = {.nitrate_n = 7};
        struct err e;

        assert_int_equal(formula_parse(wrong[i].text, &f, &e), ERR_SYNTAX);
        assert_string_equal(e.msg, wrong[i].says);
        assert_true(f.nitrate_n == 7); /* left alone */
    }
}

static void a_formula_without_end_is_refused(void **state)
{
    char text[200];
    struct formula f;

    (void)state;
    memset(text, 'K', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    assert_int_equal(formula_parse(text, &f, NULL), ERR_SYNTAX);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(water_of_crystallisation_counts),
        cmocka_unit_test(brackets_multiply_what_is_in_them),
        cmocka_unit_test(nitrogen_is_told_apart_by_its_form),
        cmocka_unit_test(what_is_no_formula_is_refused_with_the_reason),
        cmocka_unit_test(a_formula_without_end_is_refused),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
