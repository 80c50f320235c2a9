/* Readings as a person writes them down. */
#include "cli/plain.h"
#include "daemon/base/err.h"
#include "tests/cmocka_all.h"

#include <stdlib.h>

static const char *became(const char *line, enum ec_unit ec)
{
    static char buf[1024];
    struct view v = {.units = {.ec = ec}};
    json_t *readings = json_array();
    struct err e = {0};
    char *s;

    if (plain_readings(line, &v, readings, &e) < 0) {
        (void)snprintf(buf, sizeof buf, "%s", e.msg);
    } else {
        s = json_dumps(readings, JSON_COMPACT);
        (void)snprintf(buf, sizeof buf, "%s", s);
        free(s);
    }
    json_decref(readings);
    return buf;
}

static void a_row_is_a_name_and_its_figures_in_order(void **ctx)
{
    (void)ctx;
    assert_string_equal(became("A1 1.2 5.8", EC_SHOW_MS_CM),
                        "[{\"subject\":\"A1\",\"ec\":\"1.2 mS/cm\",\"ph\":\"5.8\"}]");
    assert_string_equal(became("A1 700 5.8 8.3", EC_SHOW_PPM500),
                        "[{\"subject\":\"A1\",\"ec\":\"700 ppm500\",\"ph\":\"5.8\","
                        "\"volume\":\"8.3 L\"}]");
    assert_string_equal(became("A1 - 5.8 A2 1.1\tA3 temp=21C level=7L", EC_SHOW_MS_CM),
                        "[{\"subject\":\"A1\",\"ph\":\"5.8\"},{\"subject\":\"A2\","
                        "\"ec\":\"1.1 mS/cm\"},{\"subject\":\"A3\",\"temp\":\"21C\","
                        "\"volume\":\"7L\"}]");
}

static void what_is_no_row_is_told(void **ctx)
{
    (void)ctx;
    assert_string_equal(became("1.2 5.8", EC_SHOW_MS_CM),
                        "say of what before '1.2', as in A1 1.2 5.8");
    assert_string_equal(became("A1 1 2 3 4", EC_SHOW_MS_CM),
                        "'4' is one figure too many: a row is EC, pH, level");
    assert_string_equal(became("A1 A2 1.2", EC_SHOW_MS_CM),
                        "nothing is told of 'A1'; a line is A1 1.2 5.8, or JSON");
    assert_string_equal(became("A1 1.2 ec=1.3", EC_SHOW_MS_CM), "ec of A1 is given twice");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_row_is_a_name_and_its_figures_in_order),
        cmocka_unit_test(what_is_no_row_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
