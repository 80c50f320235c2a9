#include "cli/args.h"

#include "cli/verb.h"
#include "daemon/base/err.h"
#include "daemon/base/mem.h"

#include <stdlib.h>
#include <string.h>

static int unknown_option(const char *word, size_t len, struct err *e)
{
    char tail[SUGGEST_TEXT_MAX];

    return err_set(e, ERR_UNKNOWN, "there is no option %.*s%s", (int)(len < 39 ? len : 39), word,
                   option_suggest(tail, word, len));
}

/* Takes the option argv[*i], and its value from behind the '=' or from the next word. */
static int take_option(int argc, char *const *argv, int *i, struct args *a, struct err *e)
{
    const char *word = argv[*i];
    size_t len = strcspn(word, "=");
    int o = option_find(word, len);
    const struct option_def *d;

    if (o < 0) {
        return unknown_option(word, len, e);
    }
    d = &options[o];
    if (a->value[o]) {
        return err_set(e, ERR_SYNTAX, "%s is given twice", d->name);
    }
    if (!d->value) {
        a->value[o] = "";
        return word[len] ? err_set(e, ERR_SYNTAX, "%s takes no value", d->name) : 0;
    }
    if (word[len]) {
        a->value[o] = word + len + 1;
    } else if (*i + 1 < argc && strncmp(argv[*i + 1], "--", 2) != 0) {
        a->value[o] = argv[++*i];
    }
    if (!a->value[o] || *a->value[o] == '\0') {
        return err_set(e, ERR_SYNTAX, "%s needs its %s: %s", d->name, d->value, d->help);
    }
    return 0;
}

static int take_verb(const char *word, struct args *a, struct err *e)
{
    char tail[VERB_TAIL_MAX];

    a->verb = verb_find(word);
    if (a->verb) {
        return 0;
    }
    return err_set(e, ERR_UNKNOWN, "there is no verb '%.40s'%s", word, verb_suggest(tail, word));
}

static int check_options(const struct args *a, struct err *e)
{
    unsigned takes = OPTIONS_COMMON | a->verb->takes;

    for (int o = 0; o < OPTION_N; o++) {
        if (a->value[o] && !(takes & OPTION_BIT(o))) {
            return err_set(e, ERR_SYNTAX, "'tarn %s' takes no %s", a->verb->name, options[o].name);
        }
        if (!a->value[o] && (a->verb->needs & OPTION_BIT(o))) {
            return err_set(e, ERR_MISSING, "'tarn %s' needs %s %s: %s", a->verb->name,
                           options[o].name, options[o].value, options[o].help);
        }
    }
    if (a->value[OPTION_CSV] && a->value[OPTION_JSON]) {
        return err_set(e, ERR_SYNTAX, "--csv and --json cannot both be had");
    }
    return 0;
}

static int check(const struct args *a, struct err *e)
{
    if (!a->verb || args_has(a, OPTION_HELP) || args_has(a, OPTION_VERSION)) {
        return 0;
    }
    if (a->n_words < a->verb->min_words) {
        return err_set(e, ERR_MISSING, "'tarn %s' needs more: tarn %s %s", a->verb->name,
                       a->verb->name, a->verb->words);
    }
    if (a->n_words > a->verb->max_words) {
        return err_set(e, ERR_SYNTAX, "'%.60s' is too much for 'tarn %s'",
                       a->word[a->verb->max_words], a->verb->name);
    }
    return check_options(a, e);
}

int args_parse(int argc, char *const *argv, struct args *out, struct err *e)
{
    struct args a = {0};
    bool options_over = false;
    int rc = 0;

    a.word = mem_array((size_t)argc, sizeof *a.word);
    for (int i = 1; i < argc && rc == 0; i++) {
        if (!options_over && strcmp(argv[i], "--") == 0) {
            options_over = true;
        } else if (!options_over && argv[i][0] == '-' && argv[i][1]) {
            rc = take_option(argc, argv, &i, &a, e);
        } else if (!a.verb) {
            rc = take_verb(argv[i], &a, e);
        } else {
            a.word[a.n_words++] = argv[i];
        }
    }
    if (rc == 0) {
        rc = check(&a, e);
    }
    if (rc < 0) {
        free(a.word);
        a = (struct args){.verb = a.verb};
    }
    *out = a;
    return rc;
}

void args_deinit(struct args *a)
{
    free(a->word);
    *a = (struct args){0};
}
