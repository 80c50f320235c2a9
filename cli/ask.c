#include "cli/ask.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/base/names.h"
#include "daemon/base/num.h"
#include "daemon/base/text.h"
#include "daemon/core/words/figure.h"
#include "daemon/core/words/hint.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Keys that all set the one word of an entry; each reads well with another kind. */
static const char *const what_keys[] = {"what", "float", "crop", "stage",   "recipe",
                                        "saw",  "meter", "to",   "strength"};

int ask_set_text(json_t *o, const char *key, const char *value, struct err *e)
{
    if (json_object_set_new(o, key, json_string(value)) < 0) {
        return err_set(e, ERR_SYNTAX, "'%s' is given in letters that are not UTF-8", key);
    }
    return 0;
}

/* The subjects that the figures being read belong to; n = 0: the whole. */
struct subject_words {
    json_t **set; /* borrowed from params */
    size_t n, cap;
    bool has_figures;
};

static json_t *object_in(json_t *o, const char *key)
{
    json_t *in = json_object_get(o, key);

    if (!in) {
        in = json_object();
        (void)json_object_set_new(o, key, in);
    }
    return in;
}

static bool is_what_key(const char *key)
{
    for (size_t i = 0; i < sizeof what_keys / sizeof *what_keys; i++) {
        if (strcmp(key, what_keys[i]) == 0) {
            return true;
        }
    }
    return false;
}

static int set_once(json_t *set, const char *key, const char *said, json_t *taken, struct err *e)
{
    if (json_object_get(set, key)) {
        json_decref(taken);
        return err_set(e, ERR_SYNTAX, "%s= is given twice", said);
    }
    if (json_object_set_new(set, key, taken) < 0) {
        return err_set(e, ERR_SYNTAX, "'%s' is given in letters that are not UTF-8", said);
    }
    return 0;
}

static int set_figure(json_t *set, const char *key, const char *value, struct err *e)
{
    int f = figure_find(key);
    double number;
    int rc;

    if (f < 0 && !is_what_key(key) && hint_figure(key)) { /* level=9L, EC=1.0mS/cm */
        key = hint_figure(key);
        f = figure_find(key);
    }
    if (is_what_key(key)) {
        return set_once(set, "what", key, json_string(value), e);
    }
    if (f < 0) {
        return set_once(object_in(set, "amounts"), key, key, json_string(value), e);
    }
    if (strcmp(figure_defs[f].word, key) == 0) {
        return set_once(set, key, key, json_string(value), e);
    }
    rc = num_parse(value, &number, e); /* "ec_ms_cm=1.4": the key carries the unit */
    return rc < 0 ? err_prefix(e, "%s=: ", key) : set_once(set, key, key, json_real(number), e);
}

static int read_figure(const char *word, size_t key_len, bool at_large, struct subject_words *now,
                       json_t *params, struct err *e)
{
    char key[NAME_LEN_MAX + 1] = "";
    const char *value = word + key_len + 1;
    int rc = 0;

    if (key_len == 0 || key_len >= sizeof key || *value == '\0') {
        return err_set(e, ERR_SYNTAX, "'%.60s' is no figure; one looks like ec=1.4mS/cm", word);
    }
    memcpy(key, word, key_len);
    if (now->n == 0 && !at_large) {
        return err_set(e, ERR_SYNTAX, "say of what before '%.60s', as in NAME %.60s", word, word);
    }
    if (now->n == 0) {
        return set_figure(object_in(params, "figures"), key, value, e);
    }
    for (size_t i = 0; i < now->n && rc == 0; i++) {
        rc = set_figure(now->set[i], key, value, e);
    }
    now->has_figures = true;
    return rc;
}

/* A bare amount needs no key where its unit says what it is: 30L, 1.4mS/cm. */
static const char *key_of_amount(const char *word)
{
    double v;

    return quantity_parse(QUANTITY_VOLUME, word, &v, NULL) == 0 ? "volume"
           : quantity_parse(QUANTITY_EC, word, &v, NULL) == 0   ? "ec"
                                                                : NULL;
}

static int bad_name(const char *word, struct err *e)
{
    const char *key = key_of_amount(word);

    if (key) {
        return err_set(e, ERR_SYNTAX, "'%.60s' needs its key: %s=%.60s", word, key, word);
    }
    return err_set(e, ERR_SYNTAX, "'%.60s' is neither a name nor a figure (ec=1.4mS/cm)", word);
}

/* "volume=0.5 gal", which a shell makes two words of. */
static int check_is_no_unit(const char *figure, const char *word, struct err *e)
{
    size_t key_len = strcspn(figure, "=");
    const char *value = figure + key_len + 1;
    struct text both = {0};
    bool is_unit = false;
    double v;

    if (!figure[key_len] || !*value || num_span(value) != strlen(value)) {
        return 0;
    }
    text_add(&both, "%s%s", value, word);
    for (int f = 0; f < FIGURE_N && !is_unit; f++) { /* of a product, it is FIGURE_AMOUNT */
        is_unit = quantity_parse(figure_defs[f].quantity, text_str(&both), &v, NULL) == 0;
    }
    text_deinit(&both);
    return is_unit
               ? err_set(e, ERR_SYNTAX, "'%.40s %.20s' is to be one word: %.40s%.20s, or in quotes",
                         figure, word, figure, word)
               : 0;
}

static int open_section(const char *word, struct subject_words *now, json_t *params, struct err *e)
{
    json_t *subjects = object_in(params, "subjects");
    struct names names = {0};
    int rc;

    if (figure_find(word) >= 0 || is_what_key(word)) {
        return err_set(e, ERR_SYNTAX, "'%s' needs its value: %s=…", word, word);
    }
    rc = names_add(&names, word, e);
    if (now->has_figures) {
        now->n = 0;
        now->has_figures = false;
    }
    for (size_t i = 0; i < names.n && rc == 0; i++) {
        if (!name_is_valid(names.name[i])) {
            rc = bad_name(names.name[i], e);
        } else if (json_object_get(subjects, names.name[i])) {
            rc = err_set(e, ERR_SYNTAX, "%s is named twice", names.name[i]);
        } else {
            /* An array of pointers is what is meant. NOLINTNEXTLINE(bugprone-sizeof-expression) */
            now->set = mem_grow(now->set, &now->cap, now->n + 1, sizeof *now->set);
            now->set[now->n++] = object_in(subjects, names.name[i]);
        }
    }
    names_deinit(&names);
    return rc;
}

/* Reads figures into params: "ec=1.4mS/cm" is a figure, "float=yes" and its like the word `what`,
 * any other key a product and its amount. A name opens a section, and what follows belongs to it;
 * names in a row share what follows them. Before the first name figures are about the whole, which
 * needs at_large. Fills params.figures and params.subjects. */
static int read_figures(const char *const *word, size_t n, bool at_large, json_t *params,
                        struct err *e)
{
    struct subject_words now = {0};
    int rc = 0;

    for (size_t i = 0; i < n && rc == 0; i++) {
        size_t key_len = strcspn(word[i], "=");

        if (word[i][key_len]) {
            rc = read_figure(word[i], key_len, at_large, &now, params, e);
        } else {
            rc = i > 0 ? check_is_no_unit(word[i - 1], word[i], e) : 0;
            rc = rc < 0 ? rc : open_section(word[i], &now, params, e);
        }
    }
    free(now.set);
    return rc;
}

int ask_show(const char *const *word, size_t n, json_t *params, struct err *e)
{
    return n == 0 ? 0 : ask_set_text(params, "what", word[0], e); /* one at most */
}

/* The daemon stands in a folder of its own. */
int ask_backup(const char *const *word, size_t n, json_t *params, struct err *e)
{
    struct text whole = {0};
    char here[4096];
    int rc;

    if (n == 0) {
        return 0;
    }
    if (*word[0] != '/' && getcwd(here, sizeof here)) {
        text_add(&whole, "%s/", here);
    }
    text_add(&whole, "%s", word[0]);
    rc = ask_set_text(params, "file", text_str(&whole), e);
    text_deinit(&whole);
    return rc;
}

int ask_round(const char *const *word, size_t n, json_t *params, struct err *e)
{
    (void)params;
    return n == 0 || strcmp(word[0], "all") == 0
               ? 0
               : err_set(e, ERR_SYNTAX, "a round is of what is due, or of 'all', not of '%.40s'",
                         word[0]);
}

int ask_task(const char *const *word, size_t n, json_t *params, struct err *e)
{
    (void)n; /* one, as the table of verbs says */
    return ask_set_text(params, "task", word[0], e);
}

int ask_ack(const char *const *word, size_t n, json_t *params, struct err *e)
{
    int rc = ask_task(word, n, params, e);

    return rc < 0 ? rc : read_figures(word + 1, n - 1, true, params, e);
}

int ask_record(const char *const *word, size_t n, json_t *params, struct err *e)
{
    int rc = ask_set_text(params, "kind", word[0], e);

    return rc < 0 ? rc : read_figures(word + 1, n - 1, false, params, e);
}

int ask_fix(const char *const *word, size_t n, json_t *params, struct err *e)
{
    int rc = ask_set_text(params, "entry", word[0], e);

    rc = rc < 0 ? rc : read_figures(word + 1, n - 1, true, params, e);
    return rc == 0 && json_object_get(params, "subjects")
               ? err_set(e, ERR_SYNTAX, "an entry is about one thing: give its figures alone")
               : rc;
}

int ask_void(const char *const *word, size_t n, json_t *params, struct err *e)
{
    (void)n; /* one, as the table of verbs says */
    return ask_set_text(params, "entry", word[0], e);
}

/* A number without a unit that would say what it is. */
static int bad_amount(const char *word, struct err *e)
{
    double v;
    struct err of_ec;

    if (strcasestr(word, "ppm") && quantity_parse(QUANTITY_EC, word, &v, &of_ec) < 0) {
        *e = of_ec;
        return e->code;
    }
    return err_set(e, ERR_SYNTAX,
                   "'%.40s' is neither a volume nor a strength: write 30L, 8gal, 1.4mS/cm", word);
}

static int set_mix_word(const char *word, json_t *params, struct err *e)
{
    const char *key = key_of_amount(word);
    json_t *pour;

    if (key) {
        return set_once(params, key, key, json_string(word), e);
    }
    if (!strchr(word, '@') && isdigit((unsigned char)*word)) {
        return bad_amount(word, e);
    }
    if (!strchr(word, '@') && json_object_get(params, "recipe")) {
        return err_set(e, ERR_SYNTAX, "'%.60s' is one recipe too many: a mix has one", word);
    }
    if (!strchr(word, '@')) {
        return set_once(params, "recipe", word, json_string(word), e);
    }
    pour = json_object_get(params, "pour");
    if (!pour) {
        pour = json_array();
        (void)json_object_set_new(params, "pour", pour);
    }
    return json_array_append_new(pour, json_string(word)) == 0
               ? 0
               : err_set(e, ERR_SYNTAX, "an amount is given in letters that are not UTF-8");
}

int ask_mix(const char *const *word, size_t n, json_t *params, struct err *e)
{
    int rc = 0;

    for (size_t i = 0; i < n && rc == 0; i++) {
        size_t key_len = strcspn(word[i], "=");
        char key[NAME_LEN_MAX + 1];

        if (word[i][key_len] == '\0') {
            rc = set_mix_word(word[i], params, e);
        } else if (key_len == 0 || key_len >= sizeof key) {
            rc =
                err_set(e, ERR_SYNTAX, "'%.60s' is no figure; one looks like ec=1.4mS/cm", word[i]);
        } else {
            memcpy(key, word[i], key_len);
            key[key_len] = '\0';
            rc = set_once(params, key, key, json_string(word[i] + key_len + 1), e);
        }
    }
    return rc;
}

/* "advance 7d", "advance 2 weeks", "to 2026-03-08 07:00": all words after the first are one. */
int ask_clock(const char *const *word, size_t n, json_t *params, struct err *e)
{
    struct text rest = {0};
    int rc;

    if (n == 0) {
        return 0;
    }
    for (size_t i = 1; i < n; i++) {
        text_add(&rest, "%s%s", i > 1 ? " " : "", word[i]);
    }
    if (strcmp(word[0], "advance") != 0 && strcmp(word[0], "to") != 0) {
        rc = err_set(e, ERR_UNKNOWN, "the clock can 'advance 7d' or go 'to friday', not '%.40s'",
                     word[0]);
    } else if (n < 2) {
        rc = err_set(e, ERR_MISSING, "'tarn clock %s' needs %s", word[0],
                     word[0][0] == 'a' ? "a span: 7d, 12h" : "a time: friday, \"monday 07:00\"");
    } else {
        rc = ask_set_text(params, word[0], text_str(&rest), e);
    }
    text_deinit(&rest);
    return rc;
}
