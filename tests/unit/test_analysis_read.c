/* A water report in the room file: what is read of it, and what it is asked back for. */
#include "tests/unit/room_text.h"

#include <math.h>

/* The mean of the world's rivers: Livingstone 1963, USGS Professional Paper 440-G (from memory). */
#define IONS                                                                                       \
    "Ca: 15 mg/L, Mg: 4.1 mg/L, Na: 6.3 mg/L, K: 2.3 mg/L, SO4: 11.2 mg/L, Cl: 7.8 mg/L, "         \
    "NO3: 1 mg/L"
#define RIVER IONS ", HCO3: 58.4 mg/L"

static void assert_near(double got, double want, double within)
{
    if (!(fabs(got - want) <= within)) {
        fail_msg("%.9g is not %.9g within %g", got, want, within);
    }
}

/* The source of the small room as it is told here. */
static char *with_source(const char *ec, const char *more)
{
    struct text source = {0};
    char *room;

    text_add(&source, "ec: %s mS/cm\n  %s\n  ph: 7.4", ec, more);
    room = small_with("ec: 0.3 mS/cm\n  ph: 7.4", text_str(&source));
    text_deinit(&source);
    return room;
}

static struct source_water read_source(const char *ec, const char *more)
{
    char *text = with_source(ec, more);
    struct source_water source;
    struct room_faults faults;
    struct room r;

    assert_int_equal(room_read_text("x", text, strlen(text), NULL, &r, &faults), 0);
    source = r.source;
    room_deinit(&r);
    free(text);
    return source;
}

/* All that is said of it holds this; "" = nothing is. */
static void assert_says(const char *ec, const char *more, const char *says)
{
    char *text = with_source(ec, more);
    char *said = said_about("x", text, strlen(text));

    if (*says ? !strstr(said, says) : *said) {
        fail_msg("'%s' says: %s", more, said);
    }
    free(said);
    free(text);
}

/* Its bicarbonate, 58.4 mg/L, is 47.9 mg/L as CaCO3. */
static void a_report_says_what_the_source_brings(void **state)
{
    struct source_water s = read_source("0.15", "analysis: {" RIVER "}");

    (void)state;
    assert_near(s.brings.mg[NUTRIENT_CA], 15, 1e-9);
    assert_near(s.brings.mg[NUTRIENT_S], 11.2 * 32.06 / 96.06, 1e-6);
    assert_near(s.brings.mg[NUTRIENT_NO3_N], 14.007 / 62.004, 1e-6);
    assert_near(s.brings.mg[NUTRIENT_NA], 6.3, 1e-9);
    assert_near(s.alkalinity_mg_l, 47.9, 0.05);
    s = read_source("0.15", "analysis: {PO4: 3 mg/L}");
    assert_near(s.brings.mg[NUTRIENT_P], 3 * 30.974 / 94.97, 1e-4);
    assert_true(isnan(s.alkalinity_mg_l));
    s = read_source("0.15", "alkalinity: 50 mg/L\n  analysis: {" RIVER "}"); /* another day's */
    assert_near(s.alkalinity_mg_l, 50, 1e-9);
}

static void what_does_not_go_together_is_asked_back(void **state)
{
    (void)state;
    assert_says("0.15", "analysis: {" RIVER "}", "");
    assert_says(
        "0.15", "alkalinity: 150 mg/L\n  analysis: {" RIVER "}",
        "source_water: HCO3 is an alkalinity of 48 mg/L as CaCO3, and 'alkalinity' says 150; "
        "one of them is a slip");
    assert_says("0.15", "analysis: {" IONS "}",
                "warning: x:7:13: source_water: the analysis has 1.4 meq/L of cations and 0.5 of "
                "anions; an ion is missing, or a slip");
    assert_says("0.30", "analysis: {" RIVER "}",
                "source_water: what the analysis names conducts about 0.15 mS/cm, and 'ec' says "
                "0.30; one of them is of another water");
    assert_says("0.3", "analysis: {HCO: 58.4 mg/L}",
                "analysis: 'HCO' is not looked at; did you mean 'HCO3'?");
    assert_says(
        "0.3", "analysis: {Zn: 1 mg/L}",
        "analysis: 'Zn' is not looked at; Ca, Mg, Na, K, NO3, SO4, Cl, HCO3 or PO4, mg/L of "
        "the ion");
    assert_says("0.3", "analysis: [Ca]", "'analysis' is a list; a map is wanted");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_report_says_what_the_source_brings),
        cmocka_unit_test(what_does_not_go_together_is_asked_back),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
