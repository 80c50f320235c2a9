/* Units as they are defined.
 *
 * UN-EXACT  NIST Handbook 44, Appendix C, and NIST SP 811, Appendix B: exact by definition.
 * EC-TDS    The ppm scales of conductivity meters, factors 0.5, 0.64 and 0.7 of uS/cm; 640 mg/L for
 *           a dS/m goes back to USDA Agriculture Handbook 60 (from memory). CF, ten times mS/cm:
 *           common practice, no source. Conventions, so exact.
 * AC-EQ     An equivalent of CaCO3 by the atomic weights of IUPAC (from memory). */
#include "daemon/base/err.h"
#include "daemon/core/units/quantity.h"
#include "tests/published/check.h"

#include <string.h>

#define ULP(x) (4e-16 * (x))

static double read_as(enum quantity q, const char *text)
{
    double v = NAN;
    struct err e = {0};

    if (quantity_parse(q, text, &v, &e) < 0) {
        fail_msg("%s: %s", text, e.msg);
    }
    return v;
}

static void units_are_what_they_are_defined_to_be(void **state)
{
    /* Every unit that is taken, once; a unit that messages name and that is missing here fails. */
    /* clang-format off */
    static const struct {
        const char *text;
        enum quantity q;
        double value;
        const char *source;
    } defined[] = {
        {"1 %",          QUANTITY_PERCENT,     1,                 "a hundredth"},
        {"1 L",          QUANTITY_VOLUME,      1,                 "SP 811, litre"},
        {"1 litres",     QUANTITY_VOLUME,      1,                 "SP 811, litre"},
        {"1 mL",         QUANTITY_VOLUME,      0.001,             "SI prefix milli, L"},
        {"1 gal",        QUANTITY_VOLUME,      3.785411784,       "HB 44 App. C, US gallon, L"},
        {"1 gal",        QUANTITY_VOLUME,      231 * 0.016387064, "HB 44 App. C, 231 cubic inches"},
        {"1 impgal",     QUANTITY_VOLUME,      4.54609,           "SP 811 B.8, imperial gallon, L"},
        {"1 qt",         QUANTITY_VOLUME,      0.946352946,       "HB 44 App. C, liquid quart, L"},
        {"1 floz",       QUANTITY_VOLUME,      0.0295735295625,   "HB 44 App. C, US fl oz, L"},
        {"1 m3",         QUANTITY_VOLUME,      1000,              "SP 811, cubic metre, L"},
        {"1 mS/cm",      QUANTITY_EC,          1,                 "the unit inside"},
        {"1 dS/m",       QUANTITY_EC,          1,                 "SI prefixes, dS/m in mS/cm"},
        {"1 uS/cm",      QUANTITY_EC,          0.001,             "SI prefix micro, mS/cm"},
        {"1 µS/cm",      QUANTITY_EC,          0.001,             "SI prefix micro, mS/cm"},
        {"10 CF",        QUANTITY_EC,          1,                 "CF = 10 x mS/cm"},
        {"500 ppm500",   QUANTITY_EC,          1,                 "ppm500 = 0.5 x uS/cm"},
        {"640 ppm640",   QUANTITY_EC,          1,                 "ppm640 = 0.64 x uS/cm"},
        {"700 ppm700",   QUANTITY_EC,          1,                 "ppm700 = 0.7 x uS/cm"},
        {"1 C",          QUANTITY_TEMP,        1,                 "the unit inside"},
        {"1 °C",         QUANTITY_TEMP,        1,                 "the unit inside"},
        {"32 F",         QUANTITY_TEMP,        0,                 "SP 811 B.8, (F - 32) / 1.8, C"},
        {"212 F",        QUANTITY_TEMP,        100,               "SP 811 B.8, (F - 32) / 1.8, C"},
        {"212 °F",       QUANTITY_TEMP,        100,               "SP 811 B.8, (F - 32) / 1.8, C"},
        {"1 days",       QUANTITY_SPAN,        1,                 "the unit inside"},
        {"1 day",        QUANTITY_SPAN,        1,                 "the unit inside"},
        {"1 d",          QUANTITY_SPAN,        1,                 "the unit inside"},
        {"1 weeks",      QUANTITY_SPAN,        7,                 "seven days"},
        {"1 week",       QUANTITY_SPAN,        7,                 "seven days"},
        {"1 w",          QUANTITY_SPAN,        7,                 "seven days"},
        {"24 hours",     QUANTITY_SPAN,        1,                 "SP 811, day = 24 h"},
        {"24 hour",      QUANTITY_SPAN,        1,                 "SP 811, day = 24 h"},
        {"24 h",         QUANTITY_SPAN,        1,                 "SP 811, day = 24 h"},
        {"1440 minutes", QUANTITY_SPAN,        1,                 "SP 811, day = 24 x 60 min"},
        {"1440 min",     QUANTITY_SPAN,        1,                 "SP 811, day = 24 x 60 min"},
        {"1 min",        QUANTITY_MINUTES,     1,                 "the unit inside"},
        {"1 minutes",    QUANTITY_MINUTES,     1,                 "the unit inside"},
        {"1 h",          QUANTITY_MINUTES,     60,                "SP 811, h = 60 min"},
        {"1 hours",      QUANTITY_MINUTES,     60,                "SP 811, h = 60 min"},
        {"1 L/min",      QUANTITY_FLOW,        1,                 "the unit inside"},
        {"60 L/h",       QUANTITY_FLOW,        1,                 "60 min in an hour, L/min"},
        {"1440 L/day",   QUANTITY_FLOW,        1,                 "1440 min in a day, L/min"},
        {"1 gal/min",    QUANTITY_FLOW,        3.785411784,       "HB 44 App. C, US gallon, L/min"},
        {"60 gal/h",     QUANTITY_FLOW,        3.785411784,       "US gallon, 60 min, L/min"},
        {"1440 gal/day", QUANTITY_FLOW,        3.785411784,       "US gallon, 1440 min, L/min"},
        {"1 mg/L",       QUANTITY_CONTENT,     1,                 "the unit inside"},
        {"1 ppm",        QUANTITY_CONTENT,     1,                 "mg in a litre of 1 kg"},
        {"1 g/L",        QUANTITY_CONTENT,     1000,              "SI prefix milli, mg/L"},
        {"1 mg/L",       QUANTITY_ALKALINITY,  1,                 "as CaCO3"},
        {"1 ppm",        QUANTITY_ALKALINITY,  1,                 "as CaCO3, in a litre of 1 kg"},
        {"1 meq/L",      QUANTITY_ALKALINITY,  50.04,             "IUPAC, CaCO3 / 2, to 0.01 mg"},
        {"1 mmol/L",     QUANTITY_ALKALINITY,  50.04,             "of acid it takes: as 1 meq/L"},
        {"1 mL/L",       QUANTITY_DOSE_LIQUID, 1,                 "the unit inside"},
        {"1 mL/gal",     QUANTITY_DOSE_LIQUID, 1 / 3.785411784,   "US gallon, mL/L"},
        {"1 floz/gal",   QUANTITY_DOSE_LIQUID, 1000.0 / 128,      "128 fl oz in a gallon, mL/L"},
        {"6 tsp/gal",    QUANTITY_DOSE_LIQUID, 1000.0 / 128,      "6 teaspoons in a fl oz, mL/L"},
        {"1 g/L",        QUANTITY_DOSE_DRY,    1,                 "the unit inside"},
        {"1 mg/L",       QUANTITY_DOSE_DRY,    0.001,             "SI prefix milli, g/L"},
        {"1 g/gal",      QUANTITY_DOSE_DRY,    1 / 3.785411784,   "US gallon, g/L"},
        {"1 oz/gal",     QUANTITY_DOSE_DRY,    28.349523125 / 3.785411784, "ounce, US gallon, g/L"},
        {"1 mL",         QUANTITY_LIQUID,      1,                 "the unit inside"},
        {"1 L",          QUANTITY_LIQUID,      1000,              "SI prefix milli, mL"},
        {"1 floz",       QUANTITY_LIQUID,      29.5735295625,     "HB 44 App. C, US fl oz, mL"},
        {"128 floz",     QUANTITY_LIQUID,      3785.411784,       "HB 44 App. C, 128 fl oz, mL"},
        {"1 qt",         QUANTITY_LIQUID,      946.352946,        "HB 44 App. C, liquid quart, mL"},
        {"1 gal",        QUANTITY_LIQUID,      3785.411784,       "HB 44 App. C, US gallon, mL"},
        {"1 impgal",     QUANTITY_LIQUID,      4546.09,           "SP 811 B.8, UK gallon, mL"},
        {"1 g",          QUANTITY_DRY,         1,                 "the unit inside"},
        {"1 kg",         QUANTITY_DRY,         1000,              "SI prefix kilo, g"},
        {"1 mg",         QUANTITY_DRY,         0.001,             "SI prefix milli, g"},
        {"1 oz",         QUANTITY_DRY,         28.349523125,      "HB 44 App. C, ounce, g"},
        {"16 oz",        QUANTITY_DRY,         453.59237,         "HB 44 App. C, 16 ounces, g"},
        {"1 lb",         QUANTITY_DRY,         453.59237,         "HB 44 App. C, pound, g"},
        {"1 mV",         QUANTITY_MILLIVOLT,   1,                 "the unit inside"},
        {"1 m",          QUANTITY_LENGTH,      1,                 "the unit inside"},
        {"1 cm",         QUANTITY_LENGTH,      0.01,              "SI prefix centi, m"},
        {"1 mm",         QUANTITY_LENGTH,      0.001,             "SI prefix milli, m"},
        {"1 in",         QUANTITY_LENGTH,      0.0254,            "SP 811 B.8, inch, m"},
        {"1 ft",         QUANTITY_LENGTH,      0.3048,            "SP 811 B.8, foot, m"},
    };
    /* clang-format on */

    (void)state;
    for (size_t i = 0; i < sizeof defined / sizeof *defined; i++) {
        check_near("UN-EXACT", defined[i].source, defined[i].value,
                   read_as(defined[i].q, defined[i].text), ULP(fmax(defined[i].value, 100)));
    }
    for (enum quantity q = QUANTITY_PERCENT; q < QUANTITY_N; q++) {
        char list[QUANTITY_UNITS_MAX];
        char *rest = list;

        quantity_units(list, q);
        for (char *word = strtok_r(list, ", ", &rest); word; word = strtok_r(NULL, ", ", &rest)) {
            bool found = strcmp(word, "or") == 0;

            for (size_t i = 0; i < sizeof defined / sizeof *defined && !found; i++) {
                found = defined[i].q == q && strcmp(strchr(defined[i].text, ' ') + 1, word) == 0;
            }
            if (!found) {
                fail_msg("no published value is named for the unit '%s'", word);
            }
        }
    }
}

static void a_strength_of_1_5_is_750_960_or_1050_ppm(void **state)
{
    static const struct {
        enum ec_unit shown;
        const char *text;
        const char *source;
    } scale[] = {
        {EC_SHOW_PPM500, "750 ppm500",  "ppm500 = 0.5 x uS/cm, mS/cm"                  },
        {EC_SHOW_PPM640, "960 ppm640",  "ppm640 = 0.64 x uS/cm (Handbook 60), mS/cm"   },
        {EC_SHOW_PPM700, "1050 ppm700", "ppm700 = 0.7 x uS/cm, the \"442\" salt, mS/cm"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof scale / sizeof *scale; i++) {
        struct units units = {.ec = scale[i].shown};
        char shown[QUANTITY_TEXT_MAX];

        check_near("EC-TDS", scale[i].source, 1.5, read_as(QUANTITY_EC, scale[i].text), ULP(1.5));
        assert_string_equal(quantity_format(shown, QUANTITY_EC, 1.5, &units), scale[i].text);
    }
    check_near("EC-TDS", "1 mS/cm = 1 dS/m = 1000 uS/cm", 1.5, read_as(QUANTITY_EC, "1.5 dS/m"), 0);
    check_near("EC-TDS", "1 mS/cm = 1 dS/m = 1000 uS/cm", 1.5, read_as(QUANTITY_EC, "1500 uS/cm"),
               ULP(1.5));
}

static void an_equivalent_of_lime_has_half_its_molar_mass(void **state)
{
    (void)state;
    check_near("AC-EQ", "IUPAC: (Ca + C + 3 O) / 2, mg/L", (40.078 + 12.011 + 3 * 15.999) / 2,
               read_as(QUANTITY_ALKALINITY, "1 meq/L"), 0.005);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(units_are_what_they_are_defined_to_be),
        cmocka_unit_test(a_strength_of_1_5_is_750_960_or_1050_ppm),
        cmocka_unit_test(an_equivalent_of_lime_has_half_its_molar_mass),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
