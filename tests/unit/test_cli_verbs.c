/* A verb is whole: its row, its request, its screen, its help, and its section of the
 * manual. What is missing is said in a sentence, for whoever adds one. */
#include "tests/cmocka_all.h"

#include "cli/request.h"
#include "cli/verb.h"
#include "daemon/base/err.h"
#include "daemon/base/text.h"
#include "daemon/core/words/figure.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define WORDS_MAX 24

static char *read_source(const char *path)
{
    struct text name = {0};
    struct text t = {0};
    FILE *f;
    char chunk[4096];
    size_t n;

    text_add(&name, "%s/%s", TARN_SOURCE_DIR, path);
    f = fopen(text_str(&name), "re");
    text_deinit(&name);
    if (!f) {
        fail_msg("cannot read %s", path);
    }
    while ((n = fread(chunk, 1, sizeof chunk, f)) > 0) {
        text_add_bytes(&t, chunk, n);
    }
    assert_int_equal(fclose(f), 0);
    return text_take(&t);
}

/* Splits a line as a shell would that knows blanks and double quotes; the words live in buf. */
static int split(const char *line, size_t len, char *buf, char *word[WORDS_MAX])
{
    bool quoted = false;
    bool inside = false;
    int n = 0;

    for (size_t i = 0; i < len; i++) {
        if (line[i] == '"') {
            quoted = !quoted;
        } else if (line[i] == ' ' && !quoted) {
            *buf++ = '\0';
            inside = false;
        } else {
            if (!inside) {
                assert_true(n < WORDS_MAX);
                word[n++] = buf;
                inside = true;
            }
            *buf++ = line[i];
        }
    }
    *buf = '\0';
    return n;
}

/* Parses a command line that somebody is told to type, and builds its request. Returns its verb. */
static const struct verb *assert_can_be_typed(const char *where, const char *line, size_t len)
{
    static const char front[] = "eval \"$(", back[] = ")\"";
    const struct verb *verb;
    char buf[400];
    char *word[WORDS_MAX];
    struct args a;
    json_t *params = NULL;
    struct err e = {0};
    int n;

    if (len > sizeof front && strncmp(line, front, sizeof front - 1) == 0) {
        line += sizeof front - 1;
        len -= sizeof front - 1 + sizeof back - 1;
    }
    assert_true(len < sizeof buf);
    n = split(line, len, buf, word);
    if (n == 0 || strcmp(word[0], "tarn") != 0) {
        fail_msg("%s: the example '%.*s' does not begin with tarn", where, (int)len, line);
    }
    if (args_parse(n, word, &a, &e) < 0) {
        fail_msg("%s: the example '%.*s' is refused: %s", where, (int)len, line, e.msg);
    }
    verb = a.verb;
    if (verb->method && request_make(&a, &params, &e) < 0) {
        fail_msg("%s: the example '%.*s' asks nothing: %s", where, (int)len, line, e.msg);
    }
    json_decref(params);
    args_deinit(&a);
    return verb;
}

static void every_option_has_its_row(void **ctx)
{
    (void)ctx;
    for (int o = 0; o < OPTION_N; o++) {
        const struct option_def *d = &options[o];

        if (!d->name) {
            fail_msg("option %d of enum option has no row in cli/option.c", o);
            return; /* for clang-tidy, which takes fail_msg to come back */
        }
        assert_int_equal(strncmp(d->name, "--", 2), 0);
        assert_int_equal(option_find(d->name, strlen(d->name)), o);
        if (!d->help || !*d->help) {
            fail_msg("%s has no help in cli/option.c", d->name);
        }
        if (d->sent != SENT_NOT && !d->value != (d->sent == SENT_TRUE)) {
            fail_msg("%s: what takes a value is sent with it, and nothing else is", d->name);
        }
    }
}

static void every_option_is_taken_by_some_verb(void **ctx)
{
    unsigned taken = OPTIONS_COMMON;

    (void)ctx;
    for (size_t i = 0; i < n_verbs; i++) {
        taken |= verbs[i].takes;
    }
    for (int o = 0; o < OPTION_N; o++) {
        if (!(taken & OPTION_BIT(o))) {
            fail_msg("no verb takes %s: name it in .takes of one in cli/verb.c", options[o].name);
        }
    }
}

static void every_verb_can_ask_and_show(void **ctx)
{
    (void)ctx;
    for (size_t i = 0; i < n_verbs; i++) {
        const struct verb *v = &verbs[i];

        assert_non_null(v->name);
        assert_ptr_equal(verb_find(v->name), v); /* no name twice */
        if (v->method && !v->show) {
            fail_msg("'%s' asks the daemon and has no screen: .show in cli/verb.c", v->name);
        }
        if (!v->method && (v->show || v->ask)) {
            fail_msg("'%s' asks and shows, and has no method: .method in cli/verb.c", v->name);
        }
        if (v->method && v->max_words > 0 && !v->ask) {
            fail_msg("'%s' takes words and puts none into its request: .ask in cli/verb.c",
                     v->name);
        }
        if (v->max_words == 0 && v->ask) {
            fail_msg("'%s' makes a request of words and takes none: .max_words", v->name);
        }
        assert_true(v->min_words <= v->max_words);
        if (v->needs & ~v->takes) {
            fail_msg("'%s' needs an option that it does not take", v->name);
        }
        if (v->keyed != !!(v->takes & OPTION_BIT(OPTION_KEY))) {
            fail_msg("'%s': what is sent under a key takes --key, and nothing else does", v->name);
        }
    }
}

static void every_verb_has_its_help(void **ctx)
{
    (void)ctx;
    for (size_t i = 0; i < n_verbs; i++) {
        const struct verb *v = &verbs[i];

        if (!v->says || !*v->says) {
            fail_msg("'%s' has no line in the list of verbs: .says in cli/verb.c", v->name);
        }
        if (!v->about || (!*v->about && v->method)) {
            fail_msg("'%s' has no paragraph for its help: .about in cli/verb.c", v->name);
        }
        if (!v->words || !*v->words != (v->max_words == 0)) {
            fail_msg("the words that '%s' takes are not named: .words in cli/verb.c", v->name);
        }
    }
}

static void every_verb_has_an_example_that_can_be_typed(void **ctx)
{
    (void)ctx;
    for (size_t i = 0; i < n_verbs; i++) {
        const char *line = verbs[i].example;

        if (!line || !*line) {
            fail_msg("'%s' has no example in its help: .example in cli/verb.c", verbs[i].name);
            return;
        }
        while (*line) {
            size_t len = strcspn(line, "\n");

            assert_ptr_equal(assert_can_be_typed("cli/verb.c", line, len), &verbs[i]);
            line += len + (line[len] == '\n');
        }
    }
}

/* The answers are described in one file for every client; `hello` needs no verb, `readings` and
 * `kinds` are for scripts. */
static void every_method_has_the_shape_of_its_answer(void **ctx)
{
    char *text = read_source("config/answers.schema.json");
    json_t *schema = json_loads(text, 0, NULL);
    const json_t *shapes = json_object_get(schema, "$defs");

    (void)ctx;
    assert_non_null(shapes);
    for (size_t i = 0; i < n_verbs; i++) {
        const char *method = verbs[i].method;

        if (method && !json_object_get(shapes, method)) {
            fail_msg("the answer to '%s' of 'tarn %s' is not in config/answers.schema.json", method,
                     verbs[i].name);
        }
    }
    json_decref(schema);
    free(text);
}

/* The section "Ss verb" of the manual, up to the next; NULL when there is none. */
static char *section_of(const char *man, const char *verb)
{
    struct text head = {0};
    struct text out = {0};
    const char *at = man;

    text_add(&head, "\n.Ss %s", verb);
    while ((at = strstr(at, text_str(&head))) != NULL) {
        char behind = at[head.len];

        at += head.len;
        if (behind == ' ' || behind == '\n') {
            const char *next = strstr(at, "\n.S");

            text_add_bytes(&out, at, next ? (size_t)(next - at) : strlen(at));
            text_deinit(&head);
            return text_take(&out);
        }
    }
    text_deinit(&head);
    return NULL;
}

static bool names_option(const char *section, const char *name)
{
    struct text flag = {0};
    bool found = false;

    text_add(&flag, "Fl %s", name + 1); /* mdoc(7) puts the first dash */
    for (const char *at = section; !found && (at = strstr(at, text_str(&flag))) != NULL;
         at += flag.len) {
        found = strchr(" \n", at[flag.len]) != NULL;
    }
    text_deinit(&flag);
    return found;
}

static void every_verb_has_its_section_in_the_manual(void **ctx)
{
    char *man = read_source("cli/tarn.1");

    (void)ctx;
    for (size_t i = 0; i < n_verbs; i++) {
        char *section = section_of(man, verbs[i].name);

        if (!section) {
            fail_msg("'%s' has no section in cli/tarn.1: .Ss %s", verbs[i].name, verbs[i].name);
            break;
        }
        for (int o = 0; o < OPTION_N; o++) {
            if ((verbs[i].takes & OPTION_BIT(o)) && !names_option(section, options[o].name)) {
                fail_msg("cli/tarn.1 does not say that '%s' takes %s", verbs[i].name,
                         options[o].name);
            }
        }
        if (!strstr(section, "\n.Dl ")) {
            fail_msg("the section of '%s' in cli/tarn.1 has no example (.Dl)", verbs[i].name);
        }
        free(section);
    }
    for (int o = 0; o < OPTION_N; o++) {
        if (!names_option(man, options[o].name)) {
            fail_msg("cli/tarn.1 says nothing of %s", options[o].name);
        }
    }
    free(man);
}

static void every_example_of_the_manual_can_be_typed(void **ctx)
{
    char *man = read_source("cli/tarn.1");
    size_t n = 0;

    (void)ctx;
    for (const char *at = man; (at = strstr(at, "\n.Dl ")) != NULL; n++) {
        struct text line = {0};

        at += strlen("\n.Dl ");
        for (; *at != '\n'; at++) {
            if (strncmp(at, "\\(dq", 4) == 0) {
                text_add(&line, "\"");
                at += 3;
            } else {
                text_add_bytes(&line, at, 1);
            }
        }
        (void)assert_can_be_typed("cli/tarn.1", text_str(&line), line.len);
        text_deinit(&line);
    }
    assert_true(n >= n_verbs);
    free(man);
}

/* A reading as `tarn record reading -` takes it: a subject, a time, and figures under their word or
 * key. Whether the daemon takes its values is tested in tests/system/test_bulk.c. */
static void assert_is_reading(const char *where, const char *line, size_t len)
{
    json_t *reading = json_loadb(line, len, JSON_REJECT_DUPLICATES, NULL);
    const char *key;
    json_t *value;

    if (!json_is_object(reading) || !json_is_string(json_object_get(reading, "subject"))) {
        fail_msg("%s: '%.*s' is no reading", where, (int)len, line);
    }
    json_object_foreach(reading, key, value)
    {
        bool known = figure_find(key) >= 0 || strcmp(key, "subject") == 0 ||
                     strcmp(key, "at") == 0 || strcmp(key, "level") == 0 ||
                     strcmp(key, "level_l") == 0;

        if (!known) {
            fail_msg("%s: '%s' of a reading is no figure", where, key);
        }
    }
    json_decref(reading);
}

static void every_reading_that_is_shown_as_an_example_is_one(void **ctx)
{
    static const char *const path[] = {"cli/bulk.h", "cli/tarn.1"};

    (void)ctx;
    for (size_t i = 0; i < 2; i++) {
        char *text = read_source(path[i]);
        size_t n = 0;

        for (const char *at = text; (at = strstr(at, "{\"subject\"")) != NULL; n++) {
            size_t len = strcspn(at, "}") + 1;

            assert_is_reading(path[i], at, len);
            at += len;
        }
        assert_true(n >= 1);
        free(text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_option_has_its_row),
        cmocka_unit_test(every_option_is_taken_by_some_verb),
        cmocka_unit_test(every_verb_can_ask_and_show),
        cmocka_unit_test(every_verb_has_its_help),
        cmocka_unit_test(every_verb_has_an_example_that_can_be_typed),
        cmocka_unit_test(every_method_has_the_shape_of_its_answer),
        cmocka_unit_test(every_verb_has_its_section_in_the_manual),
        cmocka_unit_test(every_example_of_the_manual_can_be_typed),
        cmocka_unit_test(every_reading_that_is_shown_as_an_example_is_one),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
