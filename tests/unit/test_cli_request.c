/* What a command line asks of the daemon, and what it is told when it asks nothing sensible. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "cli/request.h"
#include "cli/verb.h"
#include "daemon/base/err.h"
#include "daemon/base/names.h"

#define WORDS_MAX 16

/* Splits a line at its blanks; the words live in buf. */
static int split(const char *line, char *buf, size_t len, char *word[WORDS_MAX])
{
    char *rest = NULL;
    int n = 0;

    assert_true(strlen(line) < len);
    memcpy(buf, line, strlen(line) + 1);
    for (char *w = strtok_r(buf, " ", &rest); w; w = strtok_r(NULL, " ", &rest)) {
        assert_true(n < WORDS_MAX);
        word[n++] = w;
    }
    return n;
}

static int ask(const char *line, char **out_json, struct err *e)
{
    char buf[400];
    char *word[WORDS_MAX];
    int n = split(line, buf, sizeof buf, word);
    struct args a;
    json_t *params = NULL;
    int rc = args_parse(n, word, &a, e);

    if (rc == 0) {
        rc = request_make(&a, &params, e);
        args_deinit(&a);
    }
    *out_json = params ? json_dumps(params, JSON_COMPACT | JSON_REAL_PRECISION(15)) : NULL;
    json_decref(params);
    return rc;
}

static void assert_asks(const char *line, const char *json)
{
    struct err e = {0};
    char *got;

    assert_int_equal(ask(line, &got, &e), 0);
    assert_string_equal(got, json);
    free(got);
}

static void assert_says(const char *line, const char *message)
{
    struct err e = {0};
    char *got;

    assert_true(ask(line, &got, &e) < 0);
    assert_null(got);
    assert_string_equal(e.msg, message);
}

/* A shell makes two words of "0.5 gal"; a key in capitals, or a level, is what it is. */
static void what_people_type_is_understood_or_told_how_to_be(void **ctx)
{
    (void)ctx;
    assert_asks("tarn record reading A1 EC=1.0mS/cm level=9L pH=5.8",
                "{\"kind\":\"reading\",\"subjects\":{\"A1\":{\"ec\":\"1.0mS/cm\",\"volume\":\"9L\","
                "\"ph\":\"5.8\"}}}");
    assert_says("tarn record reading A1 volume=0.5 gal",
                "'volume=0.5 gal' is to be one word: volume=0.5gal, or in quotes");
    assert_says("tarn record reading A1 temp=21 C",
                "'temp=21 C' is to be one word: temp=21C, or in quotes");
    assert_asks(
        "tarn record reading A1 ph=5.8 A2 ph=6", /* a name is no unit */
        "{\"kind\":\"reading\",\"subjects\":{\"A1\":{\"ph\":\"5.8\"},\"A2\":{\"ph\":\"6\"}}}");
}

static void options_stand_before_or_after_the_verb(void **ctx)
{
    (void)ctx;
    assert_asks("tarn today --on tomorrow --full", "{\"on\":\"tomorrow\",\"full\":true}");
    assert_asks("tarn --on=tomorrow --json today", "{\"on\":\"tomorrow\"}");
    assert_asks("tarn outlook --days 28", "{\"days\":28}");
}

static void figures_keep_their_units_for_the_daemon_to_read(void **ctx)
{
    (void)ctx;
    assert_asks("tarn ack 41 ec=1.42mS/cm ph=5.9 volume=10gal added=80L",
                "{\"task\":\"41\",\"figures\":{\"ec\":\"1.42mS/cm\",\"ph\":\"5.9\","
                "\"volume\":\"10gal\",\"added\":\"80L\"}}");
}

static void a_key_that_carries_its_unit_takes_a_bare_number(void **ctx)
{
    (void)ctx;
    assert_asks("tarn ack 41 ec_ms_cm=1.4", "{\"task\":\"41\",\"figures\":{\"ec_ms_cm\":1.4}}");
    assert_says("tarn ack 41 ec_ms_cm=1.4mS/cm", "ec_ms_cm=: '1.4mS/cm' is not a number");
}

static void a_name_opens_a_section_of_its_own(void **ctx)
{
    (void)ctx;
    assert_asks("tarn ack 57 A1 ec=1.3mS/cm ph=5.8 A2 ec=1.2mS/cm",
                "{\"task\":\"57\",\"subjects\":{\"A1\":{\"ec\":\"1.3mS/cm\",\"ph\":\"5.8\"},"
                "\"A2\":{\"ec\":\"1.2mS/cm\"}}}");
}

static void names_in_a_row_share_what_follows_them(void **ctx)
{
    (void)ctx;
    assert_asks("tarn record observation A1 A2 saw=algae B1 saw=leak",
                "{\"kind\":\"observation\",\"subjects\":{\"A1\":{\"what\":\"algae\"},"
                "\"A2\":{\"what\":\"algae\"},\"B1\":{\"what\":\"leak\"}}}");
    assert_asks("tarn record cleaned A08..A10",
                "{\"kind\":\"cleaned\",\"subjects\":{\"A08\":{},\"A09\":{},\"A10\":{}}}");
}

static void other_keys_are_amounts_of_products(void **ctx)
{
    (void)ctx;
    assert_asks(
        "tarn ack 41 calcium-part=45mL salt=3g",
        "{\"task\":\"41\",\"figures\":{\"amounts\":{\"calcium-part\":\"45mL\",\"salt\":\"3g\"}}}");
}

static void every_word_key_sets_the_same_word(void **ctx)
{
    (void)ctx;
    assert_asks("tarn ack 43 float=yes", "{\"task\":\"43\",\"figures\":{\"what\":\"yes\"}}");
    assert_asks("tarn record started A1 crop=basil ec=0.7mS/cm",
                "{\"kind\":\"started\",\"subjects\":{\"A1\":{\"what\":\"basil\","
                "\"ec\":\"0.7mS/cm\"}}}");
    assert_says("tarn ack 43 float=yes what=no", "what= is given twice");
}

static void only_lists_names_and_runs(void **ctx)
{
    (void)ctx;
    assert_asks("tarn ack 41 --only A3,A7..A9 --sure",
                "{\"task\":\"41\",\"only\":[\"A3\",\"A7\",\"A8\",\"A9\"],\"sure\":true}");
    assert_says("tarn ack 41 --only A9..A7",
                "'A9..A7' is not a run of names; one looks like A1..A5");
    assert_says("tarn ack 41 --only A1..B3",
                "'A1..B3' is not a run of names; one looks like A1..A5");
    assert_says("tarn ack 41 --only A1..A99999", "'A1..A99999' stands for more than 2000 names");
    assert_says("tarn ack 41 --only A1,,A2", "a name is empty");
}

static void the_clock_takes_its_words_as_one(void **ctx)
{
    (void)ctx;
    assert_asks("tarn clock", "{}");
    assert_asks("tarn clock advance 2 weeks", "{\"advance\":\"2 weeks\"}");
    assert_asks("tarn clock to friday 07:00", "{\"to\":\"friday 07:00\"}");
    assert_says("tarn clock back 7d", "the clock can 'advance 7d' or go 'to friday', not 'back'");
    assert_says("tarn clock advance", "'tarn clock advance' needs a span: 7d, 12h");
}

static void figures_that_cannot_be_read_are_refused_with_an_example(void **ctx)
{
    (void)ctx;
    assert_says("tarn ack 41 ec 1.4mS/cm", "'ec' needs its value: ec=…");
    assert_says("tarn ack 41 ec=", "'ec=' is no figure; one looks like ec=1.4mS/cm");
    assert_says("tarn ack 41 1.4mS/cm", "'1.4mS/cm' needs its key: ec=1.4mS/cm");
    assert_says("tarn ack 41 ec=1mS/cm ec=2mS/cm", "ec= is given twice");
    assert_says("tarn record reading A1 ph=6 A1 ph=7", "A1 is named twice");
    assert_says("tarn record reading ec=1.2mS/cm A3",
                "say of what before 'ec=1.2mS/cm', as in NAME ec=1.2mS/cm");
}

static void a_mistyped_verb_or_option_names_the_nearest(void **ctx)
{
    (void)ctx;
    assert_says("tarn stauts", "there is no verb 'stauts'; did you mean 'status'?");
    assert_says("tarn water", "there is no verb 'water'; 'tarn help' lists them");
    assert_says("tarn today --ful", "there is no option --ful; did you mean --full?");
    assert_says("tarn status --csv", "'tarn status' takes no --csv");
}

static void what_a_verb_needs_is_asked_for(void **ctx)
{
    (void)ctx;
    assert_says("tarn ack", "'tarn ack' needs more: tarn ack TASK [FIGURES]");
    assert_says("tarn show A1 A2", "'A2' is too much for 'tarn show'");
    assert_says("tarn drop 44", "'tarn drop' needs --why TEXT: the reason, for the record");
    assert_says("tarn drop 44 --why", "--why needs its TEXT: the reason, for the record");
    assert_says("tarn drop 44 --why --json", "--why needs its TEXT: the reason, for the record");
    assert_says("tarn outlook --days soon", "--days: 'soon' is not a whole number");
    assert_says("tarn outlook --days 2.5", "--days: '2.5' is not a whole number");
    assert_says("tarn log --csv --json", "--csv and --json cannot both be had");
    assert_says("tarn ack 41 --note a --note b", "--note is given twice");
}

static void words_after_two_dashes_are_no_options(void **ctx)
{
    (void)ctx;
    assert_asks("tarn show -- --full", "{\"what\":\"--full\"}");
}

static void letters_that_are_not_utf8_are_refused(void **ctx)
{
    (void)ctx;
    assert_says("tarn void 17 --why \xE4", "'why' is given in letters that are not UTF-8");
}

static void names_fold_into_runs_that_can_be_typed(void **ctx)
{
    static const char *const name[] = {"A1", "A2", "A3", "B08", "B09", "B10", "C1", "C2", "D"};
    struct names back = {0};
    struct text t = {0};

    (void)ctx;
    names_fold(name, 9, &t);
    assert_string_equal(text_str(&t), "A1..A3, B08..B10, C1, C2, D");
    assert_int_equal(names_add_list(&back, "A1..A3,B08..B10,C1,C2,D", NULL), 0);
    assert_int_equal(back.n, 9);
    for (size_t i = 0; i < 9; i++) {
        assert_string_equal(back.name[i], name[i]);
    }
    names_deinit(&back);
    text_deinit(&t);
}

static void amounts_of_a_mix_say_by_their_unit_what_they_are(void **state)
{
    (void)state;
    assert_asks(
        "tarn mix fruit 30L 1.4mS/cm crop=tomato",
        "{\"recipe\":\"fruit\",\"volume\":\"30L\",\"ec\":\"1.4mS/cm\",\"crop\":\"tomato\"}");
    assert_asks(
        "tarn mix fruit volume=30L from=0.8mS/cm ec=1.4mS/cm",
        "{\"recipe\":\"fruit\",\"volume\":\"30L\",\"from\":\"0.8mS/cm\",\"ec\":\"1.4mS/cm\"}");
    assert_asks("tarn mix 10L@1.2mS/cm 20L@0.4mS/cm",
                "{\"pour\":[\"10L@1.2mS/cm\",\"20L@0.4mS/cm\"]}");
}

static void a_mix_is_asked_of_one_recipe(void **state)
{
    struct err e = {0};
    char *got = NULL;

    (void)state;
    assert_int_equal(ask("tarn mix fruit leaf", &got, &e), ERR_SYNTAX);
    assert_string_equal(e.msg, "'leaf' is one recipe too many: a mix has one");
    free(got);
    assert_int_equal(ask("tarn mix fruit 30 1.4mS/cm", &got, &e), ERR_SYNTAX);
    assert_string_equal(e.msg,
                        "'30' is neither a volume nor a strength: write 30L, 8gal, 1.4mS/cm");
    free(got);
    assert_int_equal(ask("tarn mix fruit 30L 700ppm", &got, &e), ERR_SYNTAX);
    assert_non_null(strstr(e.msg, "does not say which ppm"));
    free(got);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_people_type_is_understood_or_told_how_to_be),
        cmocka_unit_test(options_stand_before_or_after_the_verb),
        cmocka_unit_test(figures_keep_their_units_for_the_daemon_to_read),
        cmocka_unit_test(a_key_that_carries_its_unit_takes_a_bare_number),
        cmocka_unit_test(a_name_opens_a_section_of_its_own),
        cmocka_unit_test(names_in_a_row_share_what_follows_them),
        cmocka_unit_test(other_keys_are_amounts_of_products),
        cmocka_unit_test(every_word_key_sets_the_same_word),
        cmocka_unit_test(only_lists_names_and_runs),
        cmocka_unit_test(the_clock_takes_its_words_as_one),
        cmocka_unit_test(figures_that_cannot_be_read_are_refused_with_an_example),
        cmocka_unit_test(a_mistyped_verb_or_option_names_the_nearest),
        cmocka_unit_test(what_a_verb_needs_is_asked_for),
        cmocka_unit_test(words_after_two_dashes_are_no_options),
        cmocka_unit_test(letters_that_are_not_utf8_are_refused),
        cmocka_unit_test(names_fold_into_runs_that_can_be_typed),
        cmocka_unit_test(amounts_of_a_mix_say_by_their_unit_what_they_are),
        cmocka_unit_test(a_mix_is_asked_of_one_recipe),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
