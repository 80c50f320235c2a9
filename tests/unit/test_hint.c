/* What people say is answered with what to type. */
#include "daemon/core/words/entry_kind.h"
#include "daemon/core/words/figure.h"
#include "daemon/core/words/hint.h"
#include "tests/cmocka_all.h"

#include <stdio.h>
#include <string.h>

static void a_word_of_the_trade_is_answered_with_what_to_type(void **ctx)
{
    (void)ctx;
    assert_string_equal(hint_of("dead"),
                        "a plant that died ends its planting: tarn record died A1");
    assert_non_null(strstr(hint_of("empty"), "volume=0L"));
    assert_non_null(strstr(hint_of("Bought"), "stock-received"));
    assert_null(hint_of("sttaus"));
    assert_null(hint_of(""));
}

/* What the daemon takes needs no hint, and a kind that it has got is not talked out of. */
static void what_is_a_kind_of_entry_is_no_hint(void **ctx)
{
    (void)ctx;
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        assert_null(hint_of(entry_kinds[k].word));
    }
}

static void every_hint_names_a_kind_that_there_is(void **ctx)
{
    static const char *const said[] = {"dead",    "empty",  "read",   "sown",    "added",
                                       "changed", "came",   "seen",   "rinsed",  "filled",
                                       "swapped", "picked", "broken", "counted", "thrown"};

    (void)ctx;
    for (size_t i = 0; i < sizeof said / sizeof *said; i++) {
        const char *at = strstr(hint_of(said[i]), "tarn record ");
        char kind[40] = "";

        assert_non_null(at);
        (void)sscanf(at, "tarn record %39s", kind);
        assert_true(entry_kind_find(kind) >= 0);
    }
}

static void a_figure_is_known_by_its_other_names(void **ctx)
{
    (void)ctx;
    assert_string_equal(hint_figure("EC"), "ec");
    assert_string_equal(hint_figure("pH"), "ph");
    assert_string_equal(hint_figure("level"), "volume");
    assert_string_equal(hint_figure("Temperature"), "temp");
    assert_null(hint_figure("foo"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_word_of_the_trade_is_answered_with_what_to_type),
        cmocka_unit_test(what_is_a_kind_of_entry_is_no_hint),
        cmocka_unit_test(every_hint_names_a_kind_that_there_is),
        cmocka_unit_test(a_figure_is_known_by_its_other_names),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
