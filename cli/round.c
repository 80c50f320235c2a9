#include "cli/round.h"

#include "cli/layout.h"
#include "cli/link.h"
#include "cli/plain.h"
#include "cli/terminal.h"
#include "cli/view.h"
#include "daemon/base/err.h"
#include "daemon/base/wire.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

enum { ANSWER_MAX = 128 };

/* What is said at a prompt. */
enum said { SAID_NOTHING, SAID_FIGURE, SAID_STOP };

/* A container or the reservoir, and what is due there. */
struct stop {
    const char *name;
    const json_t *holds; /* as in status; borrowed, like the name */
    char read[24];       /* the task that asks for a reading; "" = none */
    char check[24];      /* … and for a look at the float */
    bool level;
    bool ruler; /* … is told as a height */
};

struct walk {
    const struct round *r;
    struct link link;
    struct view view;
    json_t *status, *today;
    bool stopped;
    size_t told, asked;
};

static int call(struct walk *w, const char *method, json_t *params, json_t **out, struct err *e)
{
    json_t *p = params ? params : json_object();
    int rc = w->link.fd < 0 ? link_open(&w->link, w->r->path, e) : 0;

    rc = rc < 0 ? rc : link_call(&w->link, method, p, out, e);
    json_decref(p);
    if (rc == 0) {
        view_clean(*out);
    }
    return rc;
}

static void say(const struct walk *w, const char *text, size_t indent)
{
    struct text t = {.columns = terminal_columns(w->r->out)};

    for (size_t i = 0; i < indent; i++) {
        text_add(&t, " ");
    }
    layout_wrap(&t, text, indent, indent);
    (void)fputs(text_str(&t), w->r->out); /* when it is gone, the next answer is missing too */
    text_deinit(&t);
}

/* A line that was typed, without the blanks around it. False at the end of the input. */
static bool listen(const struct walk *w, char answer[ANSWER_MAX])
{
    char line[ANSWER_MAX] = "";
    size_t from = 0;
    size_t to;

    (void)fflush(w->r->out);
    if (!fgets(line, sizeof line, w->r->in)) {
        return false;
    }
    to = strlen(line);
    while (to && isspace((unsigned char)line[to - 1])) {
        line[--to] = '\0';
    }
    while (isspace((unsigned char)line[from])) {
        from++;
    }
    (void)snprintf(answer, ANSWER_MAX, "%s", line + from);
    return true;
}

static enum said prompt(struct walk *w, const char *what, char answer[ANSWER_MAX])
{
    (void)fprintf(w->r->out, "  %s: ", what);
    if (!listen(w, answer) || strcmp(answer, ".") == 0) {
        w->stopped = true;
        return SAID_STOP;
    }
    return *answer ? SAID_FIGURE : SAID_NOTHING;
}

static bool is_yes(const char *answer)
{
    return *answer == 'y' || *answer == 'Y';
}

/* The task of a kind, of those, that is about that name; "" = none. */
static void find_task(const json_t *tasks, const char *kind, const char *name, char id[24])
{
    const json_t *task;
    const json_t *subject;
    size_t i;
    size_t k;

    *id = '\0';
    json_array_foreach(tasks, i, task)
    {
        json_array_foreach(json_object_get(task, "subjects"), k, subject)
        {
            if (strcmp(view_text(task, "kind"), kind) == 0 &&
                strcmp(json_string_value(subject) ?: "", name) == 0) {
                (void)snprintf(id, 24, "%s", view_text(task, "id"));
            }
        }
    }
}

static bool is_due(const struct walk *w, const char *name, const json_t *holds, struct stop *s)
{
    bool tank = strcmp(name, "reservoir") == 0;

    *s = (struct stop){.name = name, .holds = holds};
    s->ruler = view_has(holds, "height_cm");
    s->level = tank ? s->ruler : strcmp(view_text(holds, "condition"), "drawdown") == 0;
    find_task(json_object_get(w->today, "tasks"), "read", name, s->read);
    find_task(json_object_get(w->today, "tasks"), "check", name, s->check);
    return *s->read || *s->check || (w->r->all && (tank || view_has(holds, "crop")));
}

/* Is it a figure with its unit? Else says what is wrong with it. */
static bool check_typed(const struct walk *w, enum plain_figure figure, const char *said)
{
    static const enum quantity of[] = {QUANTITY_EC, QUANTITY_PH, QUANTITY_VOLUME, QUANTITY_LENGTH};
    struct err e = {0};
    double v;

    if (quantity_parse(of[figure], said, &v, &e) == 0 ||
        (figure == PLAIN_HEIGHT && quantity_parse(QUANTITY_VOLUME, said, &v, NULL) == 0) ||
        (figure == PLAIN_LEVEL && quantity_parse(QUANTITY_LENGTH, said, &v, NULL) == 0)) {
        return true;
    }
    say(w, e.msg, 2);
    return false;
}

/* A figure of a stop, if it was measured. */
static void ask_figure(struct walk *w, const struct stop *s, enum plain_figure figure,
                       json_t *figures)
{
    static const enum quantity quantities[] = {QUANTITY_EC, QUANTITY_PH, QUANTITY_VOLUME};
    static const char *const words[] = {"EC", "pH", "level", "level by the ruler"};
    static const char *const keys[] = {"ec_ms_cm", "ph", "volume_l"};
    const json_t *ph = json_object_get(json_object_get(s->holds, "measured"), "ph");
    char buf[QUANTITY_TEXT_MAX];
    char what[160];
    char answer[ANSWER_MAX];
    char *said = NULL;

    if (figure == PLAIN_PH) {
        view_quantity(buf, &w->view, QUANTITY_PH, ph, "value");
    } else if (figure == PLAIN_HEIGHT) {
        view_height(buf, &w->view, s->holds, "height_cm");
    } else {
        view_quantity(buf, &w->view, quantities[figure], s->holds, keys[figure]);
    }
    (void)snprintf(what, sizeof what, "%s%s%s", words[figure],
                   *buf == '?'          ? ""
                   : figure == PLAIN_PH ? ", last "
                                        : ", expected ",
                   *buf == '?' ? "" : buf);
    while (!w->stopped && !said && prompt(w, what, answer) == SAID_FIGURE) {
        said = plain_figure(&w->view, figure, answer);
        if (!said) {
            say(w, "A figure, Enter where it was not measured, or . to stop.", 2);
        } else if (!check_typed(w, figure, said)) {
            free(said);
            said = NULL;
        }
    }
    if (said) {
        (void)json_object_set_new(figures, plain_keys[figure], json_string(said));
    }
    free(said);
}

static void ask_float(struct walk *w, json_t *figures)
{
    char answer[ANSWER_MAX];

    if (prompt(w, "Does the float let in water, y or n", answer) == SAID_FIGURE) {
        (void)json_object_set_new(figures, "what", json_string(is_yes(answer) ? "yes" : "no"));
    }
}

/* What was odd about what was told. */
static void say_doubts(const struct walk *w, const json_t *answer)
{
    const json_t *entry;
    size_t i;

    json_array_foreach(json_object_get(answer, "entries"), i, entry)
    {
        if (view_has(entry, "doubt")) {
            say(w, view_text(entry, "doubt"), 2);
        }
    }
}

/* Tells it; what is far off is asked back. *again: it is to be measured once more. */
static int tell(struct walk *w, const char *task, const char *name, const json_t *figures,
                bool *again, struct err *e)
{
    const char *method = *task ? "ack" : "record";
    bool sure = false;
    char answer[ANSWER_MAX];
    json_t *out = NULL;
    int rc;

    for (;;) {
        json_t *p =
            *task ? json_pack("{s:s}", "task", task) : json_pack("{s:s}", "kind", "reading");
        json_t *subjects = json_pack("{s:O}", name, figures);

        (void)json_object_set_new(p, "subjects", subjects);
        (void)json_object_set_new(p, "sure", json_boolean(sure));
        rc = call(w, method, p, &out, e);
        if (rc == 0) {
            say_doubts(w, out);
            json_decref(out);
            return 0;
        }
        if (rc == LINK_LOST || rc == LINK_NO_DAEMON) {
            return rc;
        }
        say(w, e->msg, 2);
        *again = true;
        if (rc != WIRE_UNSURE || prompt(w, "Is it right, y or n", answer) != SAID_FIGURE ||
            !is_yes(answer)) {
            return 0;
        }
        *again = false;
        sure = true;
    }
}

/* What acid or base serves, where what was told asks for it. */
static int say_remedy(struct walk *w, const char *name, struct err *e)
{
    char id[24];
    char buf[QUANTITY_TEXT_MAX];
    const json_t *step;
    json_t *shown = NULL;
    json_t *sheet = NULL;
    struct text t = {0};
    size_t i;
    int rc = call(w, "show", json_pack("{s:s}", "what", name), &shown, e);

    find_task(json_object_get(shown, "tasks"), "ph", name, id); /* today's, or another day's */
    json_decref(shown);
    if (rc < 0 || !*id) {
        return rc;
    }
    rc = call(w, "show", json_pack("{s:s}", "what", id), &sheet, e);
    text_add(&t, "Its pH wants to be set: tarn show %s", id);
    json_array_foreach(json_object_get(sheet, "worksheet"), i, step)
    {
        if (view_has(step, "product")) {
            text_add(&t, "; half of %s of %s first",
                     quantity_format(buf, QUANTITY_LIQUID,
                                     quantity_two_digits(view_number(step, "amount_ml")),
                                     &w->view.units),
                     view_text(step, "product"));
        }
    }
    say(w, text_str(&t), 2);
    text_deinit(&t);
    json_decref(sheet);
    return rc;
}

static int visit(struct walk *w, const struct stop *s, struct err *e)
{
    bool again = true;
    int rc = 0;

    w->asked++;
    (void)fprintf(w->r->out, "%s  %s %s\n", s->name, view_text(s->holds, "crop"),
                  view_text(s->holds, "stage"));
    while (again && !w->stopped && rc == 0) {
        json_t *figures = json_object();
        json_t *look = json_object();

        again = false;
        if (*s->read || !*s->check) {
            ask_figure(w, s, PLAIN_EC, figures);
            ask_figure(w, s, PLAIN_PH, figures);
            if (s->level) {
                ask_figure(w, s, s->ruler ? PLAIN_HEIGHT : PLAIN_LEVEL, figures);
            }
        }
        if (*s->check && !w->stopped) {
            ask_float(w, look);
        }
        if (json_object_size(look)) {
            rc = tell(w, s->check, s->name, look, &again, e);
        }
        if (rc == 0 && !again && json_object_size(figures)) {
            rc = tell(w, s->read, s->name, figures, &again, e);
        }
        if (rc == 0 && !again && json_object_size(figures) + json_object_size(look)) {
            w->told++;
            rc = say_remedy(w, s->name, e);
        }
        json_decref(figures);
        json_decref(look);
    }
    return rc;
}

static int visit_all(struct walk *w, struct err *e)
{
    const json_t *holds;
    struct stop s;
    size_t i;
    int rc = 0;

    json_array_foreach(json_object_get(w->status, "containers"), i, holds)
    {
        if (rc == 0 && !w->stopped && is_due(w, view_text(holds, "name"), holds, &s)) {
            rc = visit(w, &s, e);
        }
    }
    holds = json_object_get(w->status, "reservoir");
    if (rc == 0 && !w->stopped && is_due(w, "reservoir", holds, &s)) {
        rc = visit(w, &s, e);
    }
    return rc;
}

int round_walk(const struct round *r, struct err *e)
{
    struct walk w = {.r = r, .link = {.fd = -1}};
    int rc = call(&w, "status", NULL, &w.status, e);

    rc = rc < 0 ? rc : call(&w, "today", NULL, &w.today, e);
    if (rc == 0) {
        view_init(&w.view, w.link.hello);
        say(&w, "A figure without its unit, Enter where it was not measured, . to stop.", 0);
        rc = visit_all(&w, e);
    }
    if (rc == 0 && w.asked == 0) {
        say(&w, "Nothing is due to be read. All the same: tarn round all", 0);
    } else if (rc == 0) {
        (void)fprintf(r->out, "\n%zu told.%s\n", w.told,
                      w.stopped ? " Go on with: tarn round" : "");
    }
    link_close(&w.link);
    json_decref(w.status);
    json_decref(w.today);
    return rc;
}
