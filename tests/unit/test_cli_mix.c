/* `tarn mix`: how much of what, in every shape that the answer can have. */
#include "tests/unit/a_screen.h"

#define DOSES                                                                                      \
    "'doses':[{'product':'calcium-part','amount':40,'unit':'mL','tool':'cylinder','thin':1,"       \
    "'measure':40}]"

static void the_full_dose_is_told_for_a_litre(void **ctx)
{
    (void)ctx;
    assert_shows(screen_mix,
                 "{'kind':'full','recipe':'leaf','ec_ms_cm':2,'off_pct':3,'doses':["
                 "{'product':'calcium-part','unit':'mL','tool':'x','thin':10,'measure':4},"
                 "{'product':'salt','unit':'g','tool':'x','thin':10,'measure':0.5}]}",
                 "leaf, full dose: 2.00 mS/cm\n"
                 "\n"
                 "In this order 4 mL/L of calcium-part\n"
                 "              0.5 g/L of salt\n");
}

static void what_to_beware_of_is_told(void **ctx)
{
    (void)ctx;
    assert_shows(screen_mix,
                 "{'kind':'full','recipe':'leaf','ec_ms_cm':2,"
                 "'notes':['Mind the gap.','And this.']}",
                 "leaf, full dose: 2.00 mS/cm\n"
                 "\n"
                 "Beware        Mind the gap.\n"
                 "              And this.\n");
}

static void a_strong_solution_is_thinned_with_water(void **ctx)
{
    (void)ctx;
    assert_shows(screen_mix,
                 "{'kind':'dilute','recipe':null,'volume_l':40,'ec_ms_cm':1.2,'water_l':10,"
                 "'doses':[]}",
                 "40.0 L (10.57 gal) at 1.20 mS/cm\n"
                 "\n"
                 "Water         add 10.0 L (2.64 gal) of plain water\n");
}

static void two_waters_are_blended(void **ctx)
{
    (void)ctx;
    assert_shows(screen_mix,
                 "{'kind':'blend','volume_l':30,'ec_ms_cm':0.3,'water_l':20,'hard_l':10}",
                 "30.0 L (7.93 gal) at 0.30 mS/cm\n"
                 "\n"
                 "Water         10.0 L (2.64 gal) of the hard water and 20.0 L (5.28 gal) of the\n"
                 "              plain water\n");
}

static void bodies_are_poured_together(void **ctx)
{
    (void)ctx;
    assert_shows(screen_mix, "{'kind':'pour','volume_l':30,'ec_ms_cm':0.67}",
                 "30.0 L (7.93 gal) at 0.67 mS/cm                                         "
                 "together\n\n");
}

static void more_of_a_recipe_needs_no_water(void **ctx)
{
    (void)ctx;
    assert_shows(screen_mix,
                 "{'kind':'add','recipe':'leaf','volume_l':30,'ec_ms_cm':1.4,'water_l':0,"
                 "'off_pct':0.049," DOSES "}",
                 "leaf, 30.0 L (7.93 gal) at 1.40 mS/cm\n"
                 "\n"
                 "In this order 40 mL (1.35 fl oz) of calcium-part, by cylinder\n");
}

static void rounding_is_told_where_it_shows(void **ctx)
{
    (void)ctx;
    assert_says(screen_mix, "{'kind':'add','off_pct':0.051," DOSES "}",
                "Rounding      moves what the dose adds by 0.1 % at most\n");
    assert_silent(screen_mix, "{'kind':'add','off_pct':0.049," DOSES "}", "Rounding");
    assert_silent(screen_mix, "{'kind':'full','off_pct':1," DOSES "}", "Rounding");
    assert_silent(screen_mix, "{'kind':'add','off_pct':1,'doses':[]}", "Rounding");
    assert_silent(screen_mix, "{'kind':'add','off_pct':1," DOSES "}", "never two concentrates");
}

/* What no scale can weigh is dissolved: 1 in 20 of a litre is 50 mL. */
static void a_dose_too_small_to_weigh_is_dissolved_first(void **ctx)
{
    (void)ctx;
    assert_says(screen_mix,
                "{'kind':'dose','doses':[{'product':'salt','unit':'g','tool':'scale','thin':20,"
                "'measure':1}]}",
                "1 g of salt dissolved to 1 L, and 50 mL of that, by scale\n");
    assert_says(screen_mix,
                "{'kind':'dose','doses':[{'product':'salt','unit':'g','tool':'scale','thin':1,"
                "'measure':1}]}",
                "1 g of salt, by scale\n");
    assert_says(screen_mix,
                "{'kind':'dose','doses':[{'product':'b','unit':'mL','tool':'syringe','thin':2,"
                "'measure':8}]}",
                "8 mL of b thinned: 1 part and 1 of water, by syringe\n");
}

static void published_figures_are_a_span_a_figure_or_none(void **ctx)
{
    (void)ctx;
    assert_says(screen_mix,
                "{'kind':'dose','crop':'basil','stage':'young','feed':["
                "{'of':'N','mg_l':112.4,'lo':100,'hi':150},{'of':'P','mg_l':31,'lo':40,'hi':40},"
                "{'of':'K','mg_l':null,'lo':null,'hi':null}]}",
                "\nBeside what was published for basil, young, in mg/L:\n"
                "     mg/L   published\n"
                "  N   112  100 to 150\n"
                "  P    31          40\n");
    assert_silent(screen_mix, "{'kind':'dose','feed':[]}", "Beside");
    assert_silent(screen_mix, "{'kind':'dose','feed':[{'of':'N','mg_l':100,'hi':null}]}", "Beside");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_full_dose_is_told_for_a_litre),
        cmocka_unit_test(what_to_beware_of_is_told),
        cmocka_unit_test(a_strong_solution_is_thinned_with_water),
        cmocka_unit_test(two_waters_are_blended),
        cmocka_unit_test(bodies_are_poured_together),
        cmocka_unit_test(more_of_a_recipe_needs_no_water),
        cmocka_unit_test(rounding_is_told_where_it_shows),
        cmocka_unit_test(a_dose_too_small_to_weigh_is_dissolved_first),
        cmocka_unit_test(published_figures_are_a_span_a_figure_or_none),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
