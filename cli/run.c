#include "cli/run.h"

#include "cli/bulk.h"
#include "cli/csv.h"
#include "cli/help.h"
#include "cli/layout.h"
#include "cli/link.h"
#include "cli/request.h"
#include "cli/round.h"
#include "cli/terminal.h"
#include "cli/verb.h"
#include "cli/view.h"
#include "daemon/base/err.h"
#include "daemon/base/wire.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <unistd.h>

#define KEY_BYTES 16

struct talk {
    const struct args *args;
    const char *path;
    json_t *params;
    FILE *out;
    struct link link;
    struct view view;
    bool answered; /* the first answer is there: hello was read */
};

static const char *socket_path(const struct args *a)
{
    const char *path = getenv("TARN_SOCKET");

    if (args_has(a, OPTION_SOCKET)) {
        return a->value[OPTION_SOCKET];
    }
    return path && *path ? path : WIRE_SOCKET_DEFAULT;
}

static int write_text(FILE *out, const struct text *t, struct err *e)
{
    if (fwrite(text_str(t), 1, t->len, out) != t->len || fflush(out) != 0) {
        return err_set(e, -errno, "cannot write the answer: %s", strerror(errno));
    }
    return 0;
}

/* A call that writes is sent under a key of its own, so that it can be repeated when the
 * connection breaks: the daemon takes a key once only. */
static int make_key(char key[2 * KEY_BYTES + 1], struct err *e)
{
    unsigned char byte[KEY_BYTES];

    if (getrandom(byte, sizeof byte, 0) != (ssize_t)sizeof byte) {
        return err_set(e, -errno, "cannot make a key for the call: %s", strerror(errno));
    }
    for (size_t i = 0; i < sizeof byte; i++) {
        (void)snprintf(key + 2 * i, 3, "%02x", byte[i]);
    }
    return 0;
}

static int add_key(json_t *params, struct err *e)
{
    char key[2 * KEY_BYTES + 1];
    int rc;

    if (json_object_get(params, "key")) {
        return 0;
    }
    rc = make_key(key, e);
    if (rc == 0) {
        (void)json_object_set_new(params, "key", json_string(key));
    }
    return rc;
}

static int call_once(struct talk *c, json_t **out, struct err *e)
{
    int rc = 0;

    if (c->link.fd < 0) {
        rc = link_open(&c->link, c->path, e);
    }
    if (rc == 0) {
        rc = link_call(&c->link, c->args->verb->method, c->params, out, e);
    }
    return rc;
}

static int call(struct talk *c, json_t **out, struct err *e)
{
    int rc = call_once(c, out, e);

    if (rc == LINK_LOST && c->args->verb->keyed) {
        link_close(&c->link);
        rc = call_once(c, out, e);
        if (rc == LINK_LOST || rc == LINK_NO_DAEMON) {
            err_prefix(e,
                       "nobody knows whether this was written down; repeat it with --key %s, "
                       "which is safe: ",
                       json_string_value(json_object_get(c->params, "key")));
            rc = LINK_LOST;
        }
    }
    if (rc == 0 && !c->answered) {
        view_init(&c->view, c->link.hello);
        c->view.colour = terminal_has_colour(c->out);
        c->answered = true;
    }
    return rc;
}

/* On a terminal with its signs beyond ASCII escaped: some of them it would obey. */
static void dump(const struct talk *c, const json_t *value, struct text *out)
{
    size_t escaped = isatty(fileno(c->out)) ? JSON_ENSURE_ASCII : 0;
    char *s = json_dumps(value, JSON_COMPACT | JSON_ENCODE_ANY | JSON_REAL_PRECISION(15) | escaped);

    text_add(out, "%s", s ? s : "null");
    free(s);
}

static void add_csv(const struct talk *c, const json_t *answer, struct text *t)
{
    const json_t *entry;
    size_t i;

    if (c->view.page == 0) {
        csv_head(t);
    }
    json_array_foreach(json_object_get(answer, "entries"), i, entry)
    {
        csv_entry(t, entry);
    }
}

/* The pages of a listing as one object; the commas and the brackets are ours. */
static void add_json_page(const struct talk *c, const json_t *answer, bool last, struct text *t)
{
    const json_t *entry;
    size_t i;

    text_add(t, "%s", c->view.page == 0 ? "{\"entries\":[" : "");
    json_array_foreach(json_object_get(answer, "entries"), i, entry)
    {
        text_add(t, "%s", i || c->view.n_shown ? "," : "");
        dump(c, entry, t);
    }
    text_add(t, "%s", last ? "],\"next\":null}\n" : "");
}

static void show_page(struct talk *c, json_t *answer, bool last, struct text *t)
{
    const struct args *a = c->args;

    if (args_has(a, OPTION_CSV)) {
        view_clean(answer); /* no table shows them either */
        add_csv(c, answer, t);
    } else if (args_has(a, OPTION_JSON) && a->verb->pages) {
        add_json_page(c, answer, last, t);
    } else if (args_has(a, OPTION_JSON)) {
        dump(c, answer, t);
        text_add(t, "\n");
    } else {
        view_clean(answer);
        a->verb->show(&c->view, answer, t);
    }
}

/* Asks until the daemon has no more pages, and prints each as it comes. */
static int converse(struct talk *c, struct err *e)
{
    bool more = true;
    int rc = 0;

    while (more && rc == 0) {
        json_t *answer = NULL;
        struct text t = {.columns = terminal_columns(c->out)};

        rc = call(c, &answer, e);
        if (rc == 0) {
            more = c->args->verb->pages && view_has(answer, "next");
        }
        if (rc == 0 && more) { /* it is made while this one is printed */
            (void)json_object_set(c->params, "after", json_object_get(answer, "next"));
            rc = link_ask_ahead(&c->link, c->args->verb->method, c->params, e);
        }
        if (rc == 0) {
            show_page(c, answer, !more, &t);
            rc = write_text(c->out, &t, e);
        }
        if (rc == 0) {
            c->view.page++;
            c->view.n_shown += json_array_size(json_object_get(answer, "entries"));
        }
        json_decref(answer);
        text_deinit(&t);
    }
    return rc;
}

static void complain(FILE *errs, const char *message)
{
    struct text t = {.columns = terminal_columns(errs)};

    text_add(&t, "tarn: ");
    layout_wrap(&t, message, 6, 6);
    (void)fputs(text_str(&t), errs); /* when stderr is gone too, the exit code still tells */
    text_deinit(&t);
}

static void say_how_to_start(FILE *errs, const char *path)
{
    (void)fprintf(errs,
                  "Start one:  systemctl start tarnd\n"
                  "  by hand:  tarnd --room ROOM.yaml --state FOLDER --socket %s\n"
                  "It listens elsewhere:  tarn --socket PATH …, or set TARN_SOCKET\n",
                  path);
}

void run_quote(int argc, char *const *argv, struct text *out)
{
    for (int i = 0; i < argc; i++) {
        const char *s = argv[i];

        text_add(out, "%s", i ? " " : "");
        if (*s && !s[strspn(s, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
                               "-_=./,:+%@")]) {
            text_add(out, "%s", s);
            continue;
        }
        text_add(out, "'");
        for (; *s; s++) {
            if (*s == '\'') {
                text_add(out, "'\\''");
            } else {
                text_add_bytes(out, s, 1);
            }
        }
        text_add(out, "'");
    }
}

static int report(int rc, const struct err *e, const char *path, int argc, char *const *argv,
                  FILE *errs)
{
    struct text t = {0};

    complain(errs, e->msg);
    switch (rc) {
    case LINK_NO_DAEMON:
        say_how_to_start(errs, path);
        return RUN_NO_DAEMON;
    case LINK_NOT_ALLOWED:
        return RUN_NO_DAEMON;
    case LINK_VERSION:
        return RUN_VERSION;
    case LINK_TOO_LONG:
        return RUN_USAGE;
    case WIRE_UNSURE:
        run_quote(argc - 1, argv + 1, &t);
        (void)fprintf(errs, "If it is right, say so:\n  tarn %s --sure\n", text_str(&t));
        text_deinit(&t);
        return RUN_REFUSED;
    default:
        return RUN_REFUSED;
    }
}

static int usage(const struct err *e, const struct args *a, FILE *errs)
{
    bool of_verb = a->verb && a->verb->method; /* help and completion have nothing more to say */

    complain(errs, e->msg);
    (void)fprintf(errs, "See: tarn help%s%s\n", of_verb ? " " : "", of_verb ? a->verb->name : "");
    return RUN_USAGE;
}

static bool is_word(const struct args *a, size_t i, const char *word)
{
    return a->n_words > i && strcmp(a->word[i], word) == 0;
}

/* "tarn record readings A1 1.2 5.8 A2 1.1 5.9"; with "-" they come on standard input, a line for
 * each. */
static bool is_bulk(const struct args *a)
{
    return strcmp(a->verb->name, "record") == 0 &&
           (is_word(a, 0, "readings") ||
            (a->n_words == 2 && is_word(a, 0, "reading") && is_word(a, 1, "-")));
}

static int run_bulk(const struct args *a, int argc, char *const *argv, FILE *out, FILE *errs)
{
    struct bulk b = {.path = socket_path(a),
                     .in = STDIN_FILENO,
                     .out = out,
                     .errs = errs,
                     .json = args_has(a, OPTION_JSON),
                     .sure = args_has(a, OPTION_SURE),
                     .sensor = args_has(a, OPTION_SENSOR)};
    struct bulk_sum sum = {0};
    char key[2 * KEY_BYTES + 1];
    struct err e = {0};
    struct text words = {0};
    int rc = make_key(key, &e);

    for (size_t i = 1; i < a->n_words && !is_word(a, 1, "-"); i++) {
        text_add(&words, "%s ", a->word[i]);
    }
    b.text = words.len ? text_str(&words) : NULL;
    b.at = args_has(a, OPTION_AT) ? a->value[OPTION_AT] : NULL;
    b.whole = args_has(a, OPTION_KEY);
    b.key = b.whole ? a->value[OPTION_KEY] : key;
    rc = rc < 0 ? rc : bulk_readings(&b, &sum, &e);
    text_deinit(&words);

    if (!b.json) {
        (void)fprintf(out, "%llu taken, %llu refused\n", sum.taken, sum.refused);
    }
    if (rc < 0) {
        return report(rc, &e, b.path, argc, argv, errs);
    }
    return sum.refused ? RUN_REFUSED : RUN_DONE;
}

/* With --json there is nobody to be asked: it says what is due. */
static bool is_round(const struct args *a)
{
    return strcmp(a->verb->name, "round") == 0 && !args_has(a, OPTION_JSON);
}

static int run_round(const struct args *a, int argc, char *const *argv, FILE *out, FILE *errs)
{
    struct round r = {.path = socket_path(a), .in = stdin, .out = out, .all = a->n_words > 0};
    struct err e = {0};
    json_t *params = NULL;
    int rc = request_make(a, &params, &e);

    json_decref(params);
    if (rc < 0) {
        return usage(&e, a, errs);
    }
    rc = round_walk(&r, &e);
    return rc < 0 ? report(rc, &e, r.path, argc, argv, errs) : RUN_DONE;
}

static int ask_daemon(const struct args *a, int argc, char *const *argv, FILE *out, FILE *errs)
{
    struct talk c = {.args = a, .path = socket_path(a), .out = out, .link = {.fd = -1}};
    struct err e = {0};
    int rc = request_make(a, &c.params, &e);

    if (rc < 0) {
        return usage(&e, a, errs);
    }
    if (a->verb->keyed) {
        rc = add_key(c.params, &e);
    }
    if (rc == 0) {
        rc = converse(&c, &e);
    }
    link_close(&c.link);
    json_decref(c.params);
    return rc < 0 ? report(rc, &e, c.path, argc, argv, errs) : RUN_DONE;
}

/* help, completion and --version need no daemon. Returns false when it is not one of them. */
static bool answer_self(const struct args *a, struct text *t, struct err *e)
{
    const struct verb *about = a->verb;

    if (args_has(a, OPTION_VERSION)) {
        text_add(t, "tarn %s (protocol %d)\n", TARN_VERSION, WIRE_PROTOCOL);
        return true;
    }
    if (!args_has(a, OPTION_HELP) && about && about->method) {
        return false;
    }
    if (!args_has(a, OPTION_HELP) && about && about->word_kind == WORD_SHELL) {
        if (strcmp(a->word[0], "bash") == 0) {
            help_completion_bash(t);
        } else {
            err_set(e, ERR_UNKNOWN, "there is completion for bash, not for '%.40s'", a->word[0]);
        }
        return true;
    }
    if (!args_has(a, OPTION_HELP) && about && a->n_words) {
        char tail[VERB_TAIL_MAX];

        about = verb_find(a->word[0]);
        if (!about) {
            err_set(e, ERR_UNKNOWN, "there is no verb '%.40s'%s", a->word[0],
                    verb_suggest(tail, a->word[0]));
            return true;
        }
    } else if (!args_has(a, OPTION_HELP)) {
        about = NULL;
    }
    if (about) {
        help_verb(about, t);
    } else {
        help_all(t);
    }
    return true;
}

int run(int argc, char *const *argv, FILE *out, FILE *errs)
{
    struct args a;
    struct err e = {0};
    struct text t = {.columns = terminal_columns(out)};
    int code = RUN_DONE;

    if (args_parse(argc, argv, &a, &e) < 0) {
        return usage(&e, &a, errs);
    }
    if (!a.verb && !args_has(&a, OPTION_HELP) && !args_has(&a, OPTION_VERSION)) {
        help_all(&t);
        (void)fputs(text_str(&t), errs);
        code = RUN_USAGE;
    } else if (!answer_self(&a, &t, &e)) {
        code = is_bulk(&a)    ? run_bulk(&a, argc, argv, out, errs)
               : is_round(&a) ? run_round(&a, argc, argv, out, errs)
                              : ask_daemon(&a, argc, argv, out, errs);
    } else if (e.code) {
        code = usage(&e, &a, errs);
    } else if (write_text(out, &t, &e) < 0) {
        complain(errs, e.msg);
        code = RUN_REFUSED;
    }
    text_deinit(&t);
    args_deinit(&a);
    return code;
}
