/* Units as they are defined.
 *
 * UN-EXACT  NIST Handbook 44, Appendix C, and NIST SP 811, Appendix B: exact by definition.
 * EC-TDS    The ppm scales of conductivity meters, factors 0.5, 0.64 and 0.7 of uS/cm; 640 mg/L for
 *           a dS/m goes back to USDA Agriculture Handbook 60 (from memory). Conventions, so exact.
 * AC-EQ     An equivalent of CaCO3 by the atomic weights of IUPAC (from memory). */
#include "daemon/base/err.h"
#include "daemon/core/units/quantity.h"
#include "tests/published/check.h"

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
    static const struct {
        const char *text;
        enum quantity q;
        double value;
        const char *source;
    } defined[] = {
        {"1 gal",    QUANTITY_VOLUME, 3.785411784,       "HB 44 App. C, US gallon, L"    },
        {"1 gal",    QUANTITY_VOLUME, 231 * 0.016387064, "HB 44 App. C, 231 cubic inches"},
        {"1 qt",     QUANTITY_VOLUME, 0.946352946,       "HB 44 App. C, liquid quart, L" },
        {"1 impgal", QUANTITY_VOLUME, 4.54609,           "SP 811 B.8, imperial gallon, L"},
        {"1 floz",   QUANTITY_LIQUID, 29.5735295625,     "HB 44 App. C, US fl oz, mL"    },
        {"128 floz", QUANTITY_LIQUID, 3785.411784,       "HB 44 App. C, 128 fl oz, mL"   },
        {"1 oz",     QUANTITY_DRY,    28.349523125,      "HB 44 App. C, ounce, g"        },
        {"1 lb",     QUANTITY_DRY,    453.59237,         "HB 44 App. C, pound, g"        },
        {"16 oz",    QUANTITY_DRY,    453.59237,         "HB 44 App. C, 16 ounces, g"    },
        {"1 m3",     QUANTITY_VOLUME, 1000,              "SP 811, cubic metre, L"        },
        {"32 F",     QUANTITY_TEMP,   0,                 "SP 811 B.8, (F - 32) / 1.8, C" },
        {"212 F",    QUANTITY_TEMP,   100,               "SP 811 B.8, (F - 32) / 1.8, C" },
    };

    (void)state;
    for (size_t i = 0; i < sizeof defined / sizeof *defined; i++) {
        check_near("UN-EXACT", defined[i].source, defined[i].value,
                   read_as(defined[i].q, defined[i].text), ULP(fmax(defined[i].value, 100)));
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
