/* What `tarn help` and the completion of the shell say of the tables that they are made from. */
#include "cli/help.h"
#include "cli/layout.h"
#include "cli/verb.h"
#include "daemon/base/text.h"
#include "daemon/core/words/entry_kind.h"
#include "tests/unit/a_played_daemon.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static void assert_holds(const struct text *t, const char *words)
{
    if (!strstr(text_str(t), words)) {
        fail_msg("'%s' is not in:\n%s", words, text_str(t));
    }
}

static void the_version_names_the_protocol_too(void **ctx)
{
    struct scene s;

    (void)ctx;
    tarn_alone(&s, "--version");
    assert_int_equal(s.code, 0);
    assert_string_equal(s.out, "tarn " TARN_VERSION " (protocol 1)\n");
    assert_string_equal(s.errs, "");
    scene_close(&s);
}

static void help_comes_on_stdout_when_it_was_asked_for(void **ctx)
{
    static const struct {
        const char *line, *begins;
    } asked[] = {
        {"help",            "tarn - what a grower says"     },
        {"--help",          "tarn - what a grower says"     },
        {"-h",              "tarn - what a grower says"     },
        {"help drop",       "tarn drop - a task will not be"},
        {"drop --help",     "tarn drop - a task will not be"},
        {"help help",       "tarn help - this list, or all" },
        {"help -h",         "tarn help - this list, or all" },
        {"completion bash", "# Completion of tarn for bash" },
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        struct scene s;

        tarn_alone(&s, asked[i].line);
        assert_int_equal(s.code, 0);
        assert_int_equal(strncmp(s.out, asked[i].begins, strlen(asked[i].begins)), 0);
        assert_string_equal(s.errs, "");
        scene_close(&s);
    }
}

static void without_a_verb_help_comes_on_stderr(void **ctx)
{
    struct scene s;

    (void)ctx;
    tarn_alone(&s, "");
    assert_int_equal(s.code, 2);
    assert_string_equal(s.out, "");
    assert_int_equal(strncmp(s.errs, "tarn - what a grower says", 25), 0);
    scene_close(&s);
}

static void help_and_completion_say_what_there_is_none_of(void **ctx)
{
    struct scene s;

    (void)ctx;
    tarn_alone(&s, "help water");
    assert_int_equal(s.code, 2);
    assert_string_equal(s.out, "");
    assert_string_equal(s.errs, "tarn: there is no verb 'water'; 'tarn help' lists them\n"
                                "See: tarn help\n");
    scene_close(&s);
    tarn_alone(&s, "help sttaus");
    assert_string_equal(s.errs, "tarn: there is no verb 'sttaus'; did you mean 'status'?\n"
                                "See: tarn help\n");
    scene_close(&s);
    tarn_alone(&s, "died A1");
    assert_int_equal(s.code, 2);
    assert_non_null(strstr(s.errs, "it is recorded: tarn record died"));
    scene_close(&s);
    tarn_alone(&s, "swapped A1 A2");
    assert_non_null(strstr(s.errs, "plants that changed places"));
    scene_close(&s);
    tarn_alone(&s, "reading A1 ph=5.8");
    assert_string_equal(s.errs, "tarn: there is no verb 'reading'; it is recorded: tarn record "
                                "reading …\nSee: tarn help\n");
    scene_close(&s);
    tarn_alone(&s, "completion fish");
    assert_int_equal(s.code, 2);
    assert_string_equal(s.errs, "tarn: there is completion for bash, not for 'fish'\n"
                                "See: tarn help\n");
    scene_close(&s);
}

static void the_help_of_a_verb_has_usage_examples_and_options(void **ctx)
{
    struct text t = {0};

    (void)ctx;
    help_verb(verb_find("drop"), &t);
    assert_holds(&t, "tarn drop - a task will not be done this time\n\n"
                     "Usage: tarn drop TASK --why TEXT [OPTIONS]\n\n"
                     "The reason stands in the journal.");
    assert_holds(&t, "\nExamples:\n  tarn drop 44 --why \"the plant goes out tomorrow anyway\"\n"
                     "\nOptions:\n  --why TEXT          the reason, for the record\n");
    assert_holds(&t, "\n  --socket PATH ");
    text_clear(&t);
    help_verb(verb_find("status"), &t);
    assert_holds(&t, "\nUsage: tarn status\n");
    text_clear(&t);
    help_verb(verb_find("today"), &t);
    assert_holds(&t, "\nUsage: tarn today [OPTIONS]\n");
    text_clear(&t);
    help_verb(verb_find("help"), &t);
    assert_holds(&t, "\nUsage: tarn help [VERB]\n\nExamples:\n");
    text_deinit(&t);
}

static void every_kind_that_can_be_recorded_is_in_the_help_of_record(void **ctx)
{
    struct text t = {0};

    (void)ctx;
    help_verb(verb_find("record"), &t);
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        struct text line = {0};

        text_add(&line, "\n  %s", entry_kinds[k].word);
        if (!entry_kinds[k].recordable == !!strstr(text_str(&t), text_str(&line))) {
            fail_msg("'%s' is %sin the help of record", entry_kinds[k].word,
                     entry_kinds[k].recordable ? "not " : "");
        }
        text_deinit(&line);
    }
    text_deinit(&t);
}

/* What a name leaves of the first 20 columns is blank; a longer one has its words on
 * the next line. */
static void a_long_name_has_its_words_below(void **ctx)
{
    struct text t = {0};

    (void)ctx;
    help_verb(verb_find("record"), &t);
    assert_holds(&t, "\n  reservoir-filled    "); /* 16 of 18 columns */
    for (const char *at = text_str(&t); *at;) {   /* words begin in column 22, or in 0 and 2 */
        size_t len = strcspn(at, "\n");

        if (len > 22 && at[0] == ' ' && at[2] != ' ' && strncmp(at, "  tarn", 6) != 0) {
            assert_int_equal(at[21], ' ');
            assert_int_not_equal(at[22], ' ');
        }
        at += len + (at[len] == '\n');
    }
    text_deinit(&t);
}

/* Runs the completion as bash does, with `tarn` played by a function. */
static void complete(const char *words, int at, char *out, size_t out_len)
{
    char path[] = "/tmp/tarn-completion-XXXXXX";
    struct text t = {0};
    struct text command = {0};
    int fd = mkstemp(path);
    FILE *p;
    size_t n;

    assert_true(fd >= 0);
    help_completion_bash(&t);
    assert_int_equal(write(fd, text_str(&t), t.len), t.len);
    assert_int_equal(close(fd), 0);
    text_add(&command,
             "bash -c '. %s; tarn() { case $2 in today) echo \"{\\\"id\\\":\\\"41\\\"}\";; "
             "status) echo \"{\\\"name\\\":\\\"A3\\\"}\";; esac; }; "
             "COMP_WORDS=(%s); COMP_CWORD=%d; _tarn; echo \"${COMPREPLY[*]}\"' 2>&1",
             path, words, at);
    p = popen(text_str(&command), "re"); /* NOLINT(cert-env33-c): the words are this test's */
    assert_non_null(p);
    n = fread(out, 1, out_len - 1, p);
    out[n] = '\0';
    assert_int_equal(pclose(p), 0);
    assert_int_equal(unlink(path), 0);
    text_deinit(&t);
    text_deinit(&command);
}

static void bash_completes_what_may_stand_there(void **ctx)
{
    static const struct {
        const char *words;
        int at;
        const char *offered;
    } typed[] = {
        {"tarn st",                      1, "status stock\n"   },
        {"tarn --js",                    1, "--json\n"         },
        {"tarn --socket /x st",          3, "status stock\n"   },
        {"tarn today --f",               2, "--full\n"         },
        {"tarn today --o",               2, "--on\n"           },
        {"tarn today --s",               2, "--socket\n"       },
        {"tarn show \"\"",               2, "41 reservoir A3\n"},
        {"tarn ack 4",                   2, "41\n"             },
        {"tarn record rea",              2, "reading\n"        },
        {"tarn --json record reading A", 4, "A3\n"             },
        {"tarn clock \"\"",              2, "advance to\n"     },
        {"tarn completion \"\"",         2, "bash\n"           },
        {"tarn help comp",               2, "completion\n"     },
        {"tarn stock \"\"",              2, "\n"               },
    };
    char out[512];

    (void)ctx;
    for (size_t i = 0; i < sizeof typed / sizeof *typed; i++) {
        complete(typed[i].words, typed[i].at, out, sizeof out);
        assert_string_equal(out, typed[i].offered);
    }
}

static void bash_offers_every_verb(void **ctx)
{
    char out[1024];
    struct text all = {0};

    (void)ctx;
    for (size_t i = 0; i < n_verbs; i++) {
        text_add(&all, "%s%s", i ? " " : "", verbs[i].name);
    }
    text_add(&all, "\n");
    complete("tarn \"\"", 1, out, sizeof out);
    assert_string_equal(out, text_str(&all));
    text_deinit(&all);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_version_names_the_protocol_too),
        cmocka_unit_test(help_comes_on_stdout_when_it_was_asked_for),
        cmocka_unit_test(without_a_verb_help_comes_on_stderr),
        cmocka_unit_test(help_and_completion_say_what_there_is_none_of),
        cmocka_unit_test(the_help_of_a_verb_has_usage_examples_and_options),
        cmocka_unit_test(every_kind_that_can_be_recorded_is_in_the_help_of_record),
        cmocka_unit_test(a_long_name_has_its_words_below),
        cmocka_unit_test(bash_completes_what_may_stand_there),
        cmocka_unit_test(bash_offers_every_verb),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
