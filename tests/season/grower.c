#include "tests/season/grower.h"

#include "daemon/base/mem.h"
#include "daemon/base/wire.h"
#include "daemon/core/units/day.h"
#include "tests/season/chores.h"
#include "tests/season/small_disk.h"
#include "tests/season/watch.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define TASKS_A_DAY 400        /* a list that is longer never ends */
#define KILL_AFTER  2          /* tasks of that morning */
#define JUMP        "14 hours" /* not over a morning: a simulated clock does not go behind a list */
#define MISTAKES    0.03       /* of the rounds of reading */
#define MISTAKEN    1.5
#define BRINGS_DAYS 2
#define DRAW_GROWER 300

void grower_init(struct grower *g, struct hands *h, struct faults *f, struct live_daemon *link)
{
    const struct room *room = h->room;

    *g = (struct grower){.room = room,
                         .traced = SIZE_MAX,
                         .night_l = NAN,
                         .glance_l = NAN,
                         .link = link,
                         .h = h,
                         .f = f,
                         .dice = dice_of(h->seed, DRAW_GROWER, 0, 0),
                         .bought_day = mem_array(room->n_products, sizeof *g->bought_day),
                         .ph_out_day = mem_array(room->n_containers, sizeof *g->ph_out_day),
                         .alarms = json_object(),
                         .overdue = json_object(),
                         .left = json_object(),
                         .float_day = mem_array(room->n_containers, sizeof *g->float_day)};
    for (size_t i = 0; i < room->n_products; i++) {
        g->bought_day[i] = -1;
    }
    for (size_t i = 0; i < room->n_containers; i++) {
        g->ph_out_day[i] = -1;
    }
}

void grower_deinit(struct grower *g)
{
    free(g->bought_day);
    free(g->ph_out_day);
    free(g->float_day);
    json_decref(g->alarms);
    json_decref(g->overdue);
    json_decref(g->left);
    told_deinit(&g->told);
    *g = (struct grower){0};
}

/* ---- the clock, and a daemon that went away */

/* A disk that nobody met full the day before, with nothing to tell, is met by the day's start. */
static int set_clock(struct grower *g)
{
    json_t *now = live_daemon_ask(g->link, "clock", json_pack("{s:s}", "to", g->now), &g->err);

    if (!now && g->err.code == WIRE_STORE && g->disk_full) {
        small_disk_fill(false);
        g->disk_full = false;
        now = live_daemon_ask(g->link, "clock", json_pack("{s:s}", "to", g->now), &g->err);
    }
    json_decref(now);
    return now ? 0 : g->err.code;
}

static int start_again(struct grower *g)
{
    char at[sizeof g->now];
    int rc;

    memcpy(at, g->now, sizeof at);
    at[10] = 'T';
    rc = live_daemon_start(g->link, at, &g->err);
    return rc < 0 ? rc : set_clock(g);
}

/* The clock is found ahead; somebody sets it right and starts the daemon anew. */
static int jump_clock(struct grower *g)
{
    json_t *now = live_daemon_ask(g->link, "clock", json_pack("{s:s}", "advance", JUMP), &g->err);
    json_t *list = now ? live_daemon_ask(g->link, "today", NULL, &g->err) : NULL;
    int rc;

    json_decref(now);
    json_decref(list);
    if (!list) {
        return g->err.code;
    }
    rc = live_daemon_stop(g->link, &g->err);
    return rc < 0 ? rc : start_again(g);
}

/* ---- telling */

static json_t *with_key(struct grower *g, json_t *params)
{
    char key[48];

    (void)snprintf(key, sizeof key, "day %zu, %zu", g->h->day, ++g->n_keys);
    (void)json_object_set_new(params, "key", json_string(key));
    return params;
}

/* How many figures a person types for it. */
static size_t count_figures(json_t *o)
{
    size_t n = json_is_number(o);
    const char *key;
    json_t *value;

    json_object_foreach(o, key, value)
    {
        n += strcmp(key, "task") == 0 ? 0 : count_figures(value);
    }
    return n;
}

/* Tells, and tells again what was not taken: the same key makes it one. What is
 * strange is said to be sure, a full disk is cleared after an hour, a daemon that is
 * gone is started. NULL when it is refused all the same. */
static json_t *tell(struct grower *g, const char *method, json_t *params)
{
    json_t *answer = NULL;

    (void)with_key(g, params);
    g->h->l->figures += count_figures(params);
    for (int attempt = 0; attempt < 4 && !answer; attempt++) {
        g->err = (struct err){0};
        answer = live_daemon_ask(g->link, method, json_deep_copy(params), &g->err);
        if (answer) {
            break;
        }
        if (g->err.code == WIRE_UNSURE) {
            g->h->l->asks++;
            (void)json_object_set_new(params, "sure", json_true());
        } else if (g->err.code == WIRE_STORE && g->disk_full) {
            small_disk_fill(false);
            g->disk_full = false;
        } else if (g->err.code == ERR_BUSY && !g->link->pid && start_again(g) < 0) {
            break;
        } else if (g->err.code != ERR_BUSY) {
            break;
        }
    }
    if (answer) {
        told_take(&g->told, answer);
    }
    json_decref(params);
    return answer;
}

/* A morning on which the daemon is killed just as it is told something. */
static void kill_if_wanted(struct grower *g)
{
    if (g->kill_wanted && g->tasks_today >= KILL_AFTER) {
        g->kill_wanted = false;
        live_daemon_kill(g->link);
    }
}

/* ---- a mistake: one strength that is half as much again, voided and told right */

static json_t *make_mistake(const json_t *params, const char **out_name)
{
    json_t *wrong = json_deep_copy(params);
    json_t *subjects = json_object_get(wrong, "subjects");
    void *first = json_object_iter(subjects);
    json_t *figures = first ? json_object_iter_value(first) : NULL;
    json_t *ec = json_object_get(figures, "ec_ms_cm");

    *out_name =
        first ? json_object_iter_key(json_object_iter(json_object_get(params, "subjects"))) : NULL;
    if (!json_is_number(ec)) {
        json_decref(wrong);
        return NULL;
    }
    (void)json_object_set_new(figures, "ec_ms_cm", json_real(MISTAKEN * json_number_value(ec)));
    return wrong;
}

static void void_reading(struct grower *g, const json_t *answer, const char *name)
{
    size_t i;
    json_t *entry;

    json_array_foreach(json_object_get(answer, "entries"), i, entry)
    {
        if (strcmp(live_daemon_text(entry, "kind"), "reading") == 0 &&
            strcmp(live_daemon_text(entry, "subject"), name) == 0) {
            json_t *voided = tell(g, "void",
                                  json_pack("{s:s,s:s}", "entry", live_daemon_text(entry, "seq"),
                                            "why", "read off the wrong line"));

            g->h->l->voids += voided != NULL;
            json_decref(voided);
        }
    }
}

/* Acknowledges; a reading is now and then told wrong first. */
static json_t *acknowledge(struct grower *g, const json_t *task, json_t *params)
{
    const char *name = NULL;
    bool slips =
        strcmp(live_daemon_text(task, "kind"), "read") == 0 && dice_even(&g->dice) < MISTAKES;
    json_t *wrong = slips ? make_mistake(params, &name) : NULL;
    json_t *answer;

    if (!wrong) {
        return tell(g, "ack", params);
    }
    answer = tell(g, "ack", wrong);
    if (answer) {
        json_t *right = json_incref(json_object_get(json_object_get(params, "subjects"), name));

        void_reading(g, answer, name);
        json_decref(tell(
            g, "record",
            json_pack("{s:s,s:{s:o},s:b}", "kind", "reading", "subjects", name, right, "sure", 1)));
    }
    json_decref(params);
    return answer;
}

/* ---- tasks */

static void say(const struct grower *g, const json_t *task, const char *what)
{
    char *subjects;

    if (!g->verbose) {
        return;
    }
    subjects = json_dumps(json_object_get(task, "subjects"), JSON_COMPACT);
    (void)fprintf(stderr, "%s %s %s %s due %s latest %s: %s\n", g->now, what,
                  live_daemon_text(task, "what"), subjects, live_daemon_text(task, "due"),
                  live_daemon_text(task, "latest"), live_daemon_text(task, "why"));
    free(subjects);
}

static int defer(struct grower *g, const json_t *task, const struct errand *e)
{
    char to[DAY_TEXT_MAX];
    json_t *answer;

    say(g, task, "puts off");
    (void)json_object_set_new(g->left, live_daemon_text(task, "id"), json_true());
    (void)day_format(to, g->today + e->days_off);
    answer = tell(
        g, "defer",
        json_pack("{s:O,s:s,s:s}", "task", json_object_get(task, "id"), "to", to, "why", e->why));
    json_decref(answer);
    return answer ? 0 : g->err.code;
}

/* Begun in the evening, and told in the morning: it stays on the list. */
static int leave_for_tonight(struct grower *g, const json_t *task)
{
    say(g, task, "leaves for tonight");
    (void)json_object_set_new(g->left, live_daemon_text(task, "id"), json_true());
    return 0;
}

/* What the daemon will not hear of is dropped, so that the list comes to an end. */
static int drop_refused(struct grower *g, const json_t *task)
{
    char why[200];
    json_t *answer;

    (void)fprintf(stderr, "%s: %s %s was refused: %s\n", g->now, live_daemon_text(task, "kind"),
                  live_daemon_text(task, "id"), g->err.msg);
    g->h->l->refused++;
    (void)snprintf(why, sizeof why, "refused: %.150s", g->err.msg);
    answer =
        tell(g, "drop", json_pack("{s:O,s:s}", "task", json_object_get(task, "id"), "why", why));
    json_decref(answer);
    return answer ? 0 : g->err.code;
}

static void call_after(struct grower *g, const json_t *calls)
{
    size_t i;
    json_t *one;

    json_array_foreach(calls, i, one)
    {
        json_t *answer = tell(g, json_string_value(json_array_get(one, 0)),
                              json_deep_copy(json_array_get(one, 1)));

        if (!answer) {
            (void)fprintf(stderr, "%s: what was recorded was refused: %s\n", g->now, g->err.msg);
            g->h->l->refused++;
        }
        json_decref(answer);
    }
}

/* With the first thing that is told of a morning; later it may have been filled. */
static void tell_glance(struct errand *e)
{
    if (e->g->tasks_today > 0) {
        return;
    }
    for (size_t k = 0; k < errand_n_subjects(e); k++) {
        if (errand_subject(e, k).kind == SUBJECT_RESERVOIR) {
            return;
        }
    }
    if (!isnan(e->g->glance_l)) {
        errand_tell(errand_figures(e, "reservoir"), "volume_l", e->g->glance_l);
        e->g->glance_l = NAN;
    }
}

static int do_task(struct grower *g, const json_t *task, const json_t *list)
{
    struct errand e = {
        .g = g,
        .task = task,
        .list = list,
        .params = json_pack("{s:O}", "task", json_object_get(task, "id")),
        .after = json_array(),
    };
    enum chore rc = chore_do(&e);
    json_t *answer = NULL;
    int result = 0;

    if (rc == CHORE_DONE) {
        say(g, task, "does");
        kill_if_wanted(g);
        tell_glance(&e);
        answer = acknowledge(g, task, json_incref(e.params));
        g->h->l->acks += answer != NULL;
        result = answer ? 0 : drop_refused(g, task);
        if (answer) {
            call_after(g, e.after);
        }
        json_decref(answer);
    } else {
        result = rc == CHORE_PUT_OFF   ? defer(g, task, &e)
                 : rc == CHORE_TONIGHT ? leave_for_tonight(g, task)
                                       : g->err.code;
        call_after(g, e.after);
    }
    json_decref(e.params);
    json_decref(e.after);
    return result;
}

static void count_overdue(struct grower *g, const json_t *list)
{
    size_t i;
    json_t *task;

    json_array_foreach(json_object_get(list, "tasks"), i, task)
    {
        const char *id = live_daemon_text(task, "id");

        if (json_is_true(json_object_get(task, "overdue")) && !json_object_get(g->overdue, id)) {
            (void)json_object_set_new(g->overdue, id, json_true());
            g->h->l->missed++;
            say(g, task, "missed");
        }
    }
}

/* The first task that was not put off this morning; borrowed. */
static json_t *first_task(const struct grower *g, const json_t *list)
{
    size_t i;
    json_t *task;

    json_array_foreach(json_object_get(list, "tasks"), i, task)
    {
        if (!json_object_get(g->left, live_daemon_text(task, "id"))) {
            return task;
        }
    }
    return NULL;
}

static int work_the_list(struct grower *g)
{
    for (g->tasks_today = 0;; g->tasks_today++) {
        json_t *list = live_daemon_ask(g->link, "today", NULL, &g->err);
        json_t *task = first_task(g, list);
        int rc = 0;

        if (!list) {
            return g->err.code;
        }
        if (g->tasks_today == 0) {
            count_overdue(g, list);
        }
        if (task && g->tasks_today >= TASKS_A_DAY) {
            rc = err_set(&g->err, ERR_BUSY, "%s: the list does not end: %s, %s", g->now,
                         live_daemon_text(task, "what"), live_daemon_text(task, "why"));
        } else if (task) {
            rc = do_task(g, task, list);
        }
        if (!task || rc < 0) {
            json_decref(list);
            return rc;
        }
        json_decref(list);
    }
}

/* ---- the morning */

static int receive_bottles(struct grower *g)
{
    for (size_t i = 0; i < g->room->n_products; i++) {
        const struct product *p = &g->room->product[i];
        json_t *answer;

        if (g->bought_day[i] < 0 || (int64_t)g->h->day < g->bought_day[i] + BRINGS_DAYS) {
            continue;
        }
        hands_receive(g->h, i, p->stock);
        g->bought_day[i] = -1;
        answer = tell(g, "record",
                      json_pack("{s:s,s:{s:{s:f}}}", "kind", "stock-received", "subjects", p->name,
                                "amount", p->stock));
        json_decref(answer);
        if (!answer) {
            return g->err.code;
        }
    }
    return 0;
}

static int meet_faults(struct grower *g)
{
    switch (faults_take(g->f, g->h->day)) {
    case FAULT_KILL:
        g->kill_wanted = true;
        return 0;
    case FAULT_CLOCK_JUMP:
        return jump_clock(g);
    case FAULT_FULL_DISK:
        g->disk_full = true;
        small_disk_fill(true);
        return 0;
    default:
        return 0;
    }
}

static int trace(struct grower *g)
{
    int rc = 0;

    for (size_t i = 0; i < g->room->n_containers && rc == 0; i++) {
        if (g->traced == i || g->traced == g->room->n_containers) {
            rc = watch_trace(g, i);
        }
    }
    return rc;
}

int grower_morning(struct grower *g, int hour)
{
    char day[DAY_TEXT_MAX];
    int rc;

    g->today = g->h->l->first_day + (int32_t)g->h->day;
    g->fills_today = 0;
    g->glance_l = g->h->t->holds_mix ? NAN : hands_tank(g->h);
    (void)json_object_clear(g->left);
    (void)snprintf(g->now, sizeof g->now, "%s %02d:00", day_format(day, g->today), hour);
    rc = set_clock(g);
    if (rc == 0) {
        rc = meet_faults(g);
    }
    if (rc == 0) {
        rc = receive_bottles(g);
    }
    if (rc == 0) {
        rc = watch_outlook(g);
    }
    if (rc == 0) {
        rc = trace(g);
    }
    if (rc == 0) {
        rc = work_the_list(g);
    }
    if (rc == 0) {
        rc = trace(g);
    }
    return rc < 0 ? rc : watch_alarms(g);
}

void grower_closes(struct grower *g)
{
    if (g->closes_tonight && !g->h->t->holds_mix) {
        g->h->t->closed = true;
        g->tape_l = g->h->t->reservoir.volume_l;
    }
    g->closes_tonight = false;
}

void grower_opens(struct grower *g)
{
    struct truth *t = g->h->t;

    if (t->closed) {
        g->night_l = truth_jug_to(t, g->tape_l);
        water_pour_like(&t->reservoir, &t->source, g->night_l);
        t->closed = false;
    }
}

void grower_evening(struct grower *g)
{
    watch_settle(g);
}

/* How its forecasts came true, by its own account. */
static void say_forecasts(struct grower *g)
{
    json_t *answer =
        live_daemon_ask(g->link, "show", json_pack("{s:s}", "what", "forecasts"), &g->err);
    char *text = json_dumps(json_object_get(answer, "forecasts"), JSON_REAL_PRECISION(3));

    if (text) {
        (void)fprintf(stderr, "forecasts: %s\n", text);
    }
    free(text);
    json_decref(answer);
}

int grower_end(struct grower *g)
{
    if (g->verbose) {
        say_forecasts(g);
    }
    g->h->l->journal = g->told.n;
    return told_check(&g->told, g->link, &g->h->l->lost, &g->err);
}
