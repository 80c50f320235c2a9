/* What is in a product, by its label, by the salts it is made of, or by the acid or base that it
 * is.
 *
 * Expected values are reckoned by hand from atomic masses (IUPAC 2021, abridged): N 14.007, K
 * 39.098, Ca 40.078, P 30.974, O 15.999, H 1.008, S 32.06. */
#include "tests/unit/room_text.h"

#include <math.h>

#define SALT "salt: {kind: dry, stock: 1 kg}"
#define WITH SALT "\n  it: "

#define EDGES(...)                                                                                 \
    do {                                                                                           \
        static const struct edge edge[] = {__VA_ARGS__};                                           \
                                                                                                   \
        assert_edges(edge, sizeof edge / sizeof *edge);                                            \
    } while (0)

/* The product `it` of the small room, as the text describes it. */
static struct product product(const char *what)
{
    struct text with = {0};
    struct room r;
    struct product p;

    text_add(&with, WITH "%s", what);
    r = good_with(SALT, with.s);
    p = r.product[1];
    assert_string_equal(p.name, "it");
    room_deinit(&r);
    text_deinit(&with);
    return p;
}

static void assert_mg(const struct product *p, enum nutrient n, double expected)
{
    if (!(fabs(p->contents.mg[n] - expected) <= 2e-3 * expected)) {
        fail_msg("nutrient %d: %g mg and not %g", n, p->contents.mg[n], expected);
    }
}

static void percentages_of_a_liquid_are_by_weight_or_by_volume(void **state)
{
    struct product w = product("{kind: liquid, density: 1.2, contents: {N: 4 %}}");
    struct product v = product("{kind: liquid, density: 1.2, basis: w/v, contents: {N: 4 %}}");
    struct product g = product("{kind: liquid, contents: {N: 48 g/L}}");

    (void)state;
    assert_mg(&w, NUTRIENT_NO3_N, 48); /* 4 g in 100 g, which are 83.3 mL */
    assert_mg(&v, NUTRIENT_NO3_N, 40);
    assert_mg(&g, NUTRIENT_NO3_N, 48);
    assert_true(w.density_g_ml == 1.2);
}

static void a_content_is_above_nothing_and_at_most_all(void **state)
{
    (void)state;
    EDGES({SALT, WITH "{kind: dry, contents: {N: 0 %}}",
           "x:15:33: N: '0 %' cannot be; it is above 0 % and at most 100 %\n"},
          {SALT, WITH "{kind: dry, contents: {N: 100 %}}", ""},
          {SALT, WITH "{kind: liquid, contents: {N: 0 g/L}}",
           "x:15:36: N: '0 g/L' cannot be; it is above 0 g/L and at most 2000 g/L\n"},
          {SALT, WITH "{kind: liquid, contents: {N: 2001 g/L}}",
           "x:15:36: N: '2001 g/L' cannot be; it is above 0 g/L and at most 2000 g/L\n"});
}

static void percentages_of_a_dry_product_are_by_weight(void **state)
{
    struct product p = product("{kind: dry, contents: {NO3-N: 10 %, NH4-N: 2 %, K2O: 20 %, "
                               "P2O5: 10 %, S: 3 %}}");

    (void)state;
    assert_mg(&p, NUTRIENT_NO3_N, 100);
    assert_mg(&p, NUTRIENT_NH4_N, 20);
    assert_mg(&p, NUTRIENT_K, 200 * 0.8302);  /* 2 K of K2O */
    assert_mg(&p, NUTRIENT_P, 100 * 0.43642); /* 2 P of P2O5 */
    assert_mg(&p, NUTRIENT_S, 30);
    assert_true(p.contents.mg[NUTRIENT_CA] == 0);
}

static void a_label_that_says_a_thing_twice_means_both(void **state)
{
    struct product p = product("{kind: dry, contents: {K: 10 %, K2O: 10 %}}");

    (void)state;
    assert_mg(&p, NUTRIENT_K, 100 + 83.02);
}

static void a_dry_salt_is_known_by_its_formula(void **state)
{
    struct product p = product("{kind: dry, formula: KNO3}");
    struct product half = product("{kind: dry, formula: KNO3, purity: 50 %}");

    (void)state;
    assert_mg(&p, NUTRIENT_NO3_N, 138.5); /* 14.007 of 101.10 */
    assert_mg(&p, NUTRIENT_K, 386.7);
    assert_string_equal(p.formula, "KNO3");
    assert_true(p.dissolves_g_l > 250 && p.dissolves_g_l < 350); /* 316 g/L at 20 C, CRC */
    assert_mg(&half, NUTRIENT_NO3_N, 69.27);
    assert_mg(&half, NUTRIENT_K, 193.4);
}

static void a_concentrate_is_known_by_its_salts(void **state)
{
    struct product p = product("{kind: liquid, salts: {KNO3: 101.1 g/L, KH2PO4: 13.61 g/L}}");

    (void)state;
    assert_mg(&p, NUTRIENT_NO3_N, 14.007); /* a mole of it in a litre */
    assert_mg(&p, NUTRIENT_K, 39.098 + 3.910);
    assert_mg(&p, NUTRIENT_P, 3.097); /* and a tenth of a mole */
}

static void as_much_of_a_salt_as_dissolves_may_be_in_it(void **state)
{
    (void)state;
    EDGES({SALT, WITH "{kind: liquid, salts: {KNO3: 316 g/L}}", ""},
          {SALT, WITH "{kind: liquid, salts: {KNO3: 317 g/L}}",
           "x:15:36: KNO3: 317 g do not dissolve in a litre; cold water takes up 316 g\n"},
          {SALT, WITH "{kind: liquid, salts: {KNO3: 2001 g/L}}",
           "x:15:36: KNO3: '2001 g/L' cannot be; it is above 0 g/L and at most 2000 g/L\n"},
          {SALT, WITH "{kind: liquid, salts: {Xx: 1 g/L}}",
           "x:15:30: salts: 'Xx' is no formula: 'Xx' is not among the elements of nutrients\n"});
}

static void an_acid_brings_its_moles_and_what_it_feeds(void **state)
{
    struct product told = product("{kind: acid, reagent: nitric acid, strength: 60 %, "
                                  "density: 1.37}");
    struct product found = product("{kind: acid, reagent: nitric acid, strength: 60 %}");
    struct product base = product("{kind: base, reagent: potassium hydroxide, strength: 10 %, "
                                  "density: 1.09}");
    struct product none = product("{kind: acid}");

    (void)state;
    /* 0.60 x 1.37 g/mL / 63.01 g/mol */
    assert_true(fabs(told.mol_ml - 0.013045) < 1e-5);
    assert_mg(&told, NUTRIENT_NO3_N, 182.7);
    /* 60 % nitric acid has 1.37 g/mL at 20 C (CRC Handbook, from memory) */
    assert_true(fabs(found.density_g_ml - 1.367) < 0.01);
    assert_true(fabs(found.mol_ml - 0.01302) < 1e-4);
    /* 0.10 x 1.09 / 56.11 */
    assert_true(fabs(base.mol_ml - 0.0019427) < 1e-6);
    assert_mg(&base, NUTRIENT_K, 75.95);
    assert_int_equal(none.reagent, REAGENT_NONE);
    assert_true(none.mol_ml == 0);
}

#define NOT_OF_REAGENTS "an acid or a base is described by 'reagent' and 'strength'\n"

static void keys_of_another_kind_are_refused_one_by_one(void **state)
{
    (void)state;
    EDGES({SALT, WITH "{kind: liquid, purity: 90 %}",
           "x:15:30: purity: a liquid is described by 'contents' or 'salts'\n"},
          {SALT, WITH "{kind: liquid, strength: 90 %}",
           "x:15:32: strength: only of an acid or a base\n"},
          {SALT, WITH "{kind: dry, basis: w/v}", "x:15:26: basis: a dry product is weighed\n"},
          {SALT, WITH "{kind: dry, reagent: nitric acid}",
           "x:15:28: reagent: only of an acid or a base\n"},
          {SALT, WITH "{kind: dry, strength: 90 %}",
           "x:15:29: strength: only of an acid or a base\n"},
          {SALT, WITH "{kind: acid, formula: HNO3}", "x:15:29: formula: " NOT_OF_REAGENTS},
          {SALT, WITH "{kind: acid, purity: 90 %}", "x:15:28: purity: " NOT_OF_REAGENTS},
          {SALT, WITH "{kind: base, salts: {KOH: 1 g/L}}", "x:15:27: salts: " NOT_OF_REAGENTS},
          {SALT, WITH "{kind: base, basis: w/v}", "x:15:27: basis: " NOT_OF_REAGENTS});
}

static void a_reagent_is_of_the_kind_of_its_product(void **state)
{
    (void)state;
    EDGES({SALT, WITH "{kind: base, reagent: nitric acid, strength: 38 %}",
           "x:15:29: reagent: nitric acid is an acid, and the kind of the product is base\n"},
          {SALT, WITH "{kind: base, reagent: potassium hydroxide, strength: 45 %, density: 1.45}",
           ""});
}

static void percentages_are_of_no_more_than_all(void **state)
{
    (void)state;
    EDGES(
        {SALT, WITH "{kind: dry, contents: {N: 20 %, P2O5: 40 %, K2O: 40 %}}", ""},
        {SALT, WITH "{kind: dry, contents: {N: 20 %, P2O5: 40 %, K2O: 40.4 %}}", ""},
        {SALT, WITH "{kind: dry, contents: {N: 20 %, P2O5: 40 %, K2O: 41 %}}",
         "x:15:19: contents: the percentages sum to 101.0 %; a label has 100 % at most, so one of "
         "them is wrong, or told twice\n"},
        {SALT, WITH "{kind: liquid, density: 1.2, contents: {N: 51 %, K2O: 51 %}}",
         "x:15:36: contents: the percentages sum to 102.0 %; a label has 100 % at most, so one of "
         "them is wrong, or told twice\n"},
        /* g in 100 mL, which weigh 150 g */
        {SALT,
         WITH "{kind: liquid, basis: w/v, density: 1.5, accepted: [salt], contents: {N: 70 %, "
              "K2O: 60 %}}",
         ""},
        {SALT, WITH "{kind: liquid, basis: w/v, density: 1.5, contents: {N: 80 %, K2O: 75 %}}",
         "x:15:48: contents: the percentages sum to 155.0 %; a label has 150 % at most, so one of "
         "them is wrong, or told twice\n"});
}

static void a_map_is_wanted_for_contents_and_salts(void **state)
{
    (void)state;
    EDGES({SALT, WITH "{kind: dry, contents: [N]}",
           "x:15:29: 'contents' is a list; a map is wanted\n"},
          {SALT, WITH "{kind: liquid, salts: KNO3}",
           "x:15:29: 'salts' is a single value; a map is wanted\n"});
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(percentages_of_a_liquid_are_by_weight_or_by_volume),
        cmocka_unit_test(a_content_is_above_nothing_and_at_most_all),
        cmocka_unit_test(percentages_of_a_dry_product_are_by_weight),
        cmocka_unit_test(a_label_that_says_a_thing_twice_means_both),
        cmocka_unit_test(a_dry_salt_is_known_by_its_formula),
        cmocka_unit_test(a_concentrate_is_known_by_its_salts),
        cmocka_unit_test(as_much_of_a_salt_as_dissolves_may_be_in_it),
        cmocka_unit_test(an_acid_brings_its_moles_and_what_it_feeds),
        cmocka_unit_test(keys_of_another_kind_are_refused_one_by_one),
        cmocka_unit_test(a_reagent_is_of_the_kind_of_its_product),
        cmocka_unit_test(percentages_are_of_no_more_than_all),
        cmocka_unit_test(a_map_is_wanted_for_contents_and_salts),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
