#include "daemon/core/tell/deed.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/tell/rules.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MIX_STRANGE_FRAC 0.25 /* a mix this far from what it was to be is asked about */

void entries_deinit(struct entries *es)
{
    free(es->entry);
    *es = (struct entries){0};
}

/* A deed in the making: entries so far, and the state as it is after them. */
struct making {
    const struct room *room;
    const struct state *s; /* what the next entry is judged on */
    struct state scratch;  /* a copy that has taken the entries so far; only where `copied` */
    bool copied;
    const struct task *task; /* NULL: work nobody had planned */
    const struct deed *d;
    struct entries es;
    struct err *err;
};

/* Where one entry of the deed depends on the one before: judge on a copy that takes them in turn.
 */
static void making_copy(struct making *m)
{
    state_copy(&m->scratch, m->s);
    m->s = &m->scratch;
    m->copied = true;
}

static int making_end(struct making *m, int rc, struct entries *out)
{
    if (m->copied) {
        state_deinit(&m->scratch);
    }
    if (rc < 0) {
        entries_deinit(&m->es);
        return rc;
    }
    *out = m->es;
    return 0;
}

static struct entry making_entry(const struct making *m, enum entry_kind kind, const char *subject)
{
    struct entry e = entry_of(kind, subject, m->d->happened_s, m->d->now_s);

    e.task = m->task ? m->task->id : 0;
    e.uid = m->d->uid;
    (void)snprintf(e.who, sizeof e.who, "%s", m->d->who);
    (void)snprintf(e.key, sizeof e.key, "%s", m->d->key);
    return e;
}

static void set_what(struct entry *e, const char *what)
{
    (void)snprintf(e->what, sizeof e->what, "%s", what);
}

static int making_tell(struct making *m, const struct entry *e)
{
    int rc = entry_check_form(m->room, e, m->d->sure, m->err);

    if (rc == 0) {
        rc = rules_check(m->s, m->room, e, m->d->sure, m->err);
    }
    if (rc < 0) {
        return rc;
    }
    m->es.entry = mem_grow(m->es.entry, &m->es.cap, m->es.n + 1, sizeof *m->es.entry);
    m->es.entry[m->es.n++] = *e;
    if (m->copied) {
        fold_entry(&m->scratch, m->room, e);
    }
    return 0;
}

static const struct told *told_of(const struct deed *d, const char *subject)
{
    for (size_t i = 0; i < d->n_told; i++) {
        if (strcmp(d->told[i].subject, subject) == 0) {
            return &d->told[i];
        }
    }
    return NULL;
}

/* What was told of one subject: its own figures over those at large. */
static struct told told_for(const struct deed *d, const char *subject)
{
    const struct told *own = told_of(d, subject);
    const struct told *large = told_of(d, "");
    struct told t = {0};

    if (large) {
        t = *large;
    }
    if (own) {
        for (unsigned f = 0; f < FIGURE_N; f++) {
            if (own->has & FIGURE_BIT(f)) {
                t.has |= FIGURE_BIT(f);
                t.figure[f] = own->figure[f];
            }
        }
        if (*own->what) {
            memcpy(t.what, own->what, sizeof t.what);
        }
        if (own->n_amounts) {
            memcpy(t.amount, own->amount, sizeof t.amount);
            t.n_amounts = own->n_amounts;
        }
    }
    (void)snprintf(t.subject, sizeof t.subject, "%s", subject);
    return t;
}

static void put_figures(struct entry *e, const struct told *t)
{
    for (unsigned f = 0; f < FIGURE_N; f++) {
        if (t->has & FIGURE_BIT(f)) {
            entry_set(e, (enum figure)f, t->figure[f]);
        }
    }
}

static void put_amounts(struct entry *e, const struct told *t)
{
    memcpy(e->amount, t->amount, sizeof e->amount);
    e->n_amounts = t->n_amounts;
}

static int need(const struct making *m, const struct told *t, enum figure f)
{
    if (t->has & FIGURE_BIT(f)) {
        return 0;
    }
    return err_field(m->err, ERR_MISSING, figure_defs[f].word, "task %lld (%s) needs %s=… for %s",
                     (long long)m->task->id, task_words[m->task->kind], figure_defs[f].word,
                     *t->subject ? t->subject : "the mix");
}

static const char *job_subject(const struct making *m, const struct job *j)
{
    return room_subject_name(m->room, j->subject);
}

/* Where a person did not say how much of what: as the sheet told it, for this volume. */
static void put_planned(const struct making *m, size_t recipe, double volume_l, double gain_ms_cm,
                        struct entry *e)
{
    struct portion portion[ROOM_DOSES_MAX];
    size_t n;

    if (e->n_amounts == 0) {
        n = dosing_portions(m->room, m->s, recipe, volume_l, gain_ms_cm, portion);
        e->n_amounts = dosing_as_amounts(m->room, recipe, portion, n, e->amount);
    }
}

static int do_start(struct making *m, const struct job *j)
{
    struct told t = told_for(m->d, job_subject(m, j));
    const struct container *c = &m->room->container[j->subject.at];
    struct entry e = making_entry(m, ENTRY_STARTED, c->name);
    int rc = need(m, &t, FIGURE_EC_MS_CM);

    if (rc < 0) {
        return rc;
    }
    set_what(&e, *t.what ? t.what : m->room->crop[c->crop].name);
    put_figures(&e, &t);
    if (!entry_has(&e, FIGURE_VOLUME_L)) {
        entry_set(&e, FIGURE_VOLUME_L, c->start_volume_l);
    }
    put_amounts(&e, &t);
    put_planned(m, j->recipe, e.figure[FIGURE_VOLUME_L],
                m->task->mix_ec_ms_cm - m->room->source.ec_ms_cm, &e);
    return making_tell(m, &e);
}

static int do_check(struct making *m, const struct job *j)
{
    struct told t = told_for(m->d, job_subject(m, j));
    bool look = *t.what != '\0';
    struct entry e = making_entry(m, look ? ENTRY_FLOAT_SEEN : ENTRY_READING, t.subject);

    if (!look && !(t.has & FIGURE_BIT(FIGURE_VOLUME_L))) {
        return err_field(m->err, ERR_MISSING, "float",
                         "task %lld (check) needs float=yes, float=no or volume=… for %s",
                         (long long)m->task->id, t.subject);
    }
    if (look) {
        set_what(&e, t.what);
    }
    put_figures(&e, &t);
    return making_tell(m, &e);
}

static int do_bump(struct making *m, const struct job *j)
{
    struct told t = told_for(m->d, job_subject(m, j));
    struct entry e = making_entry(m, ENTRY_BUMPED, t.subject);
    struct liquid now = forecast_container(m->room, m->s, j->subject.at, m->d->happened_s).body;
    int rc = need(m, &t, FIGURE_EC_MS_CM);

    if (rc < 0) {
        return rc;
    }
    set_what(&e, m->room->recipe[j->recipe].name);
    put_figures(&e, &t);
    put_amounts(&e, &t);
    if (entry_has(&e, FIGURE_WAS_MS_CM)) {
        now.ec_ms_cm = e.figure[FIGURE_WAS_MS_CM];
    }
    put_planned(m, j->recipe, now.volume_l, j->ec_ms_cm - now.ec_ms_cm, &e);
    return making_tell(m, &e);
}

/* Kinds that are told as one entry with the figures as they are. */
static int do_plain(struct making *m, const struct job *j, enum entry_kind kind)
{
    struct told t = told_for(m->d, job_subject(m, j));
    struct entry e = making_entry(m, kind, t.subject);

    if (kind == ENTRY_CARED_FOR) {
        set_what(&e, care_word(j->care));
    } else {
        set_what(&e, t.what);
    }
    put_figures(&e, &t);
    put_amounts(&e, &t);
    return making_tell(m, &e);
}

static int do_ph(struct making *m, const struct job *j)
{
    return do_plain(m, j, ENTRY_PH_ADJUSTED);
}

static int do_read(struct making *m, const struct job *j)
{
    return do_plain(m, j, ENTRY_READING);
}

static int do_calibrate(struct making *m, const struct job *j)
{
    return do_plain(m, j, ENTRY_CALIBRATED);
}

static int do_care(struct making *m, const struct job *j)
{
    return do_plain(m, j, ENTRY_CARED_FOR);
}

static int do_reorder(struct making *m, const struct job *j)
{
    struct told t = told_for(m->d, job_subject(m, j));

    return t.has ? do_plain(m, j, ENTRY_STOCK_RECEIVED) : 0;
}

/* The acknowledgement says it all. */
static int do_look(struct making *m, const struct job *j)
{
    (void)m;
    (void)j;
    return 0;
}

static int do_fill(struct making *m, const struct job *j)
{
    struct entry rinsed = making_entry(m, ENTRY_RESERVOIR_RINSED, job_subject(m, j));
    int rc = 0;

    if (m->s->reservoir.holds_mix) {
        rc = making_tell(m, &rinsed);
    }
    return rc < 0 ? rc : do_plain(m, j, ENTRY_RESERVOIR_FILLED);
}

static int do_harvest(struct making *m, const struct job *j)
{
    struct told t = told_for(m->d, job_subject(m, j));
    struct entry taken = making_entry(m, ENTRY_HARVESTED, t.subject);
    struct entry cleaned = making_entry(m, ENTRY_CLEANED, t.subject);
    int rc = 0;

    if (m->s->container[j->subject.at].crop >= 0) {
        set_what(&taken, *t.what ? t.what : "final");
        put_figures(&taken, &t);
        rc = making_tell(m, &taken);
    }
    if (rc < 0 || strcmp(taken.what, "part") == 0) {
        return rc;
    }
    return making_tell(m, &cleaned);
}

static double litres_wanted(const struct making *m, const bool *chosen)
{
    double sum = 0;

    for (size_t i = 0; i < m->task->n_jobs; i++) {
        sum += chosen[i] ? m->task->job[i].volume_l : 0;
    }
    return sum;
}

static int mix_is_strange(const struct making *m, const struct told *t, const bool *chosen)
{
    double ec = t->figure[FIGURE_EC_MS_CM];
    double volume_l = t->figure[FIGURE_VOLUME_L];
    double wanted_l = litres_wanted(m, chosen);
    char got[QUANTITY_TEXT_MAX];
    char want[QUANTITY_TEXT_MAX];

    if (m->d->sure) {
        return 0;
    }
    if (fabs(ec - m->task->mix_ec_ms_cm) > MIX_STRANGE_FRAC * m->task->mix_ec_ms_cm) {
        quantity_format(got, QUANTITY_EC, ec, &m->room->units);
        quantity_format(want, QUANTITY_EC, m->task->mix_ec_ms_cm, &m->room->units);
        return err_field(m->err, ERR_UNSURE, "ec",
                         "the mix was to be %s, and %s is far from it; say so if you are sure",
                         want, got);
    }
    if (volume_l < wanted_l * (1 - MIX_STRANGE_FRAC)) {
        quantity_format(got, QUANTITY_VOLUME, volume_l, &m->room->units);
        quantity_format(want, QUANTITY_VOLUME, wanted_l, &m->room->units);
        return err_field(m->err, ERR_UNSURE, "volume",
                         "%s does not fill these containers, which take %s; say so if you are sure",
                         got, want);
    }
    return 0;
}

static int tell_mix(struct making *m, const bool *chosen)
{
    struct told t = told_for(m->d, "");
    struct entry e = making_entry(m, ENTRY_MIX_MADE, "reservoir");
    static const enum figure needed[] = {FIGURE_EC_MS_CM, FIGURE_PH, FIGURE_VOLUME_L};
    int rc = 0;

    for (size_t i = 0; i < sizeof needed / sizeof *needed && rc == 0; i++) {
        rc = need(m, &t, needed[i]);
    }
    if (rc == 0) {
        rc = mix_is_strange(m, &t, chosen);
    }
    if (rc < 0) {
        return rc;
    }
    set_what(&e, m->room->recipe[m->task->recipe].name);
    put_figures(&e, &t);
    e.has &= ~(FIGURE_BIT(FIGURE_ADDED_L) | FIGURE_BIT(FIGURE_WAS_MS_CM));
    put_amounts(&e, &t);
    put_planned(m, m->task->recipe, e.figure[FIGURE_VOLUME_L],
                m->task->mix_ec_ms_cm -
                    dosing_mix_base_ec(m->room, m->s, m->task->recipe, e.figure[FIGURE_VOLUME_L]),
                &e);
    return making_tell(m, &e);
}

static int tell_drained(struct making *m, const struct job *j)
{
    const struct container *c = &m->room->container[j->subject.at];
    struct told t = told_for(m->d, c->name);
    struct entry drained = making_entry(m, ENTRY_DRAINED, c->name);
    bool seen = (t.has & FIGURE_BIT(FIGURE_WAS_MS_CM)) != 0;

    if (!m->s->container[j->subject.at].drained) {
        entry_set(&drained, FIGURE_VOLUME_L, c->remainder_l);
        if (seen) {
            entry_set(&drained, FIGURE_WAS_MS_CM, t.figure[FIGURE_WAS_MS_CM]);
        }
        return making_tell(m, &drained);
    }
    return seen ? err_field(m->err, ERR_REFUSED, figure_defs[FIGURE_WAS_MS_CM].word,
                            "%s was drained already; was=… is told when it is drained", c->name)
                : 0;
}

/* Drained, then refilled to the float line with the mix; what stayed in it weakens or strengthens
 * it. */
static int tell_change_of(struct making *m, const struct job *j, double mix_ec_ms_cm)
{
    const struct container *c = &m->room->container[j->subject.at];
    const struct told *own = told_of(m->d, c->name);
    struct entry refilled = making_entry(m, ENTRY_REFILLED, c->name);
    struct liquid rest;
    struct liquid mix;
    int rc = tell_drained(m, j);

    if (rc < 0) {
        return rc;
    }
    set_what(&refilled, m->room->recipe[m->task->recipe].name);
    if (own) {
        put_figures(&refilled, own);
        refilled.has &= ~FIGURE_BIT(FIGURE_WAS_MS_CM);
    }
    if (!entry_has(&refilled, FIGURE_VOLUME_L)) {
        entry_set(&refilled, FIGURE_VOLUME_L, c->float_volume_l);
    }
    rest = m->s->container[j->subject.at].body;
    mix = (struct liquid){fmax(0, refilled.figure[FIGURE_VOLUME_L] - rest.volume_l), mix_ec_ms_cm};
    if (!entry_has(&refilled, FIGURE_EC_MS_CM)) {
        entry_set(&refilled, FIGURE_EC_MS_CM, solution_mix(rest, mix).ec_ms_cm);
    }
    return making_tell(m, &refilled);
}

/* Mixed in a jug: the reservoir has no part in it. */
static int tell_pour(struct making *m, const struct job *j)
{
    struct told t = told_for(m->d, "");
    double gain = m->task->mix_ec_ms_cm - m->room->source.ec_ms_cm;
    struct entry *refilled;
    int rc = need(m, &t, FIGURE_EC_MS_CM);

    if (rc == 0) {
        rc = tell_change_of(m, j, t.figure[FIGURE_EC_MS_CM]);
    }
    if (rc < 0) {
        return rc;
    }
    refilled = &m->es.entry[m->es.n - 1];
    put_amounts(refilled, &t);
    put_planned(m, m->task->recipe, j->volume_l, gain, refilled);
    return 0;
}

static int tell_back_to_water(struct making *m)
{
    struct told t = told_for(m->d, "");
    struct entry rinsed = making_entry(m, ENTRY_RESERVOIR_RINSED, "reservoir");
    struct entry filled = making_entry(m, ENTRY_RESERVOIR_FILLED, "reservoir");
    int rc = making_tell(m, &rinsed);

    if (rc < 0 || !(t.has & FIGURE_BIT(FIGURE_ADDED_L))) {
        return rc;
    }
    entry_set(&filled, FIGURE_ADDED_L, t.figure[FIGURE_ADDED_L]);
    return making_tell(m, &filled);
}

static int do_change(struct making *m, const bool *chosen)
{
    bool all = true;
    bool made = m->task->by_hand || task_mix_is_there(m->s, m->task, litres_wanted(m, chosen));
    int rc = made ? 0 : tell_mix(m, chosen);

    for (size_t i = 0; i < m->task->n_jobs && rc == 0; i++) {
        all = all && chosen[i];
        if (chosen[i] && m->task->by_hand) {
            rc = tell_pour(m, &m->task->job[i]);
        } else if (chosen[i]) {
            rc = tell_change_of(m, &m->task->job[i], m->s->reservoir.body.ec_ms_cm);
        }
    }
    if (rc < 0 || !all || m->task->by_hand || m->task->leaves_rest) {
        return rc;
    }
    return tell_back_to_water(m);
}

struct deed_kind {
    int (*job)(struct making *m, const struct job *j); /* NULL: the task as a whole */
    bool depends;                                      /* one entry on the one before */
    bool by_itself; /* figures at large say nothing when there are several subjects */
};

static const struct deed_kind deed_of_kind[TASK_KIND_N] = {
    [TASK_START] = {do_start,     false, false},
      [TASK_CHECK] = {do_check,     false, false},
    [TASK_CHANGE] = {NULL,         true,  false},
      [TASK_BUMP] = {do_bump,      false, false},
    [TASK_PH] = {do_ph,        false, false},
      [TASK_READ] = {do_read,      false, true },
    [TASK_FILL] = {do_fill,      true,  false},
      [TASK_CALIBRATE] = {do_calibrate, false, true },
    [TASK_CARE] = {do_care,      false, false},
      [TASK_REORDER] = {do_reorder,   false, false},
    [TASK_HARVEST] = {do_harvest,   true,  false},
      [TASK_LOOK] = {do_look,      false, false},
};

static bool task_has(const struct room *room, const struct task *t, const char *name)
{
    for (size_t i = 0; i < t->n_jobs; i++) {
        if (strcmp(room_subject_name(room, t->job[i].subject), name) == 0) {
            return true;
        }
    }
    return false;
}

static bool is_named(const struct deed *d, const char *name)
{
    for (size_t i = 0; i < d->n_only; i++) {
        if (strcmp(d->only[i], name) == 0) {
            return true;
        }
    }
    return false;
}

static int check_names(const struct room *room, const struct task *t, const struct deed *d,
                       struct err *err)
{
    for (size_t i = 0; i < d->n_only; i++) {
        if (!task_has(room, t, d->only[i])) {
            return err_field(err, ERR_UNKNOWN, "only", "task %lld (%s) is not about '%s'",
                             (long long)t->id, task_words[t->kind], d->only[i]);
        }
    }
    for (size_t i = 0; i < d->n_told; i++) {
        if (*d->told[i].subject && !task_has(room, t, d->told[i].subject)) {
            return err_field(err, ERR_UNKNOWN, "subjects", "task %lld (%s) is not about '%s'",
                             (long long)t->id, task_words[t->kind], d->told[i].subject);
        }
    }
    return 0;
}

/* Which of the task's jobs the deed is about. Returns how many. */
static size_t choose(const struct room *room, const struct task *t, const struct deed *d,
                     bool *chosen)
{
    const struct told *large = told_of(d, "");
    bool told_apart = d->n_told > 0 && !large;
    size_t n = 0;

    for (size_t i = 0; i < t->n_jobs; i++) {
        const char *name = room_subject_name(room, t->job[i].subject);

        if (d->only) {
            chosen[i] = is_named(d, name);
        } else {
            chosen[i] = !told_apart || told_of(d, name);
        }
        n += chosen[i];
    }
    return n;
}

static int tell_acknowledged(struct making *m, const bool *chosen, size_t n_chosen)
{
    char word[ENTRY_WORD_MAX + 1];
    const char *subject = "room";
    struct entry e;

    for (size_t i = 0; i < m->task->n_jobs && n_chosen == 1; i++) {
        if (chosen[i]) {
            subject = job_subject(m, &m->task->job[i]);
        }
    }
    e = making_entry(m, ENTRY_ACKNOWLEDGED, subject);
    set_what(&e, job_word(word, &m->task->job[0]));
    (void)snprintf(e.note, sizeof e.note, "%s", m->d->note);
    return making_tell(m, &e);
}

static int tell_jobs(struct making *m, const bool *chosen, size_t n_chosen)
{
    const struct deed_kind *doing = &deed_of_kind[m->task->kind];
    int rc = 0;

    if (doing->by_itself && n_chosen > 1 && told_of(m->d, "")) {
        return err_field(m->err, ERR_MISSING, "subjects",
                         "task %lld (%s) is about %zu things: say whose figures these are",
                         (long long)m->task->id, task_words[m->task->kind], n_chosen);
    }
    if (doing->depends) {
        making_copy(m);
    }
    rc = tell_acknowledged(m, chosen, n_chosen);
    if (rc == 0 && !doing->job) {
        return do_change(m, chosen);
    }
    for (size_t i = 0; i < m->task->n_jobs && rc == 0; i++) {
        if (chosen[i]) {
            rc = doing->job(m, &m->task->job[i]);
        }
    }
    return rc;
}

int deed_ack(const struct room *room, const struct state *s, const struct task *t,
             const struct deed *d, struct entries *out, struct err *err)
{
    struct making m = {.room = room, .s = s, .task = t, .d = d, .err = err};
    bool *chosen = NULL;
    size_t n_chosen;
    int rc = check_names(room, t, d, err);

    if (rc < 0) {
        return rc;
    }
    chosen = mem_array(t->n_jobs, sizeof *chosen);
    n_chosen = choose(room, t, d, chosen);
    rc = n_chosen ? tell_jobs(&m, chosen, n_chosen)
                  : err_field(err, ERR_MISSING, "only",
                              "task %lld: name at least one of its things", (long long)t->id);
    free(chosen);
    return making_end(&m, rc, out);
}

/* What goes without saying when work is recorded straight. */
static const char *default_what(const struct making *m, enum entry_kind kind, const char *subject)
{
    struct subject s = room_find(m->room, subject);

    switch (kind) {
    case ENTRY_STARTED:
        return s.kind == SUBJECT_CONTAINER ? m->room->crop[m->room->container[s.at].crop].name : "";
    case ENTRY_FLOAT_SEEN:
        return "yes";
    case ENTRY_HARVESTED:
        return "final";
    default:
        return "";
    }
}

int deed_record(const struct room *room, const struct state *s, enum entry_kind kind,
                const struct deed *d, struct entries *out, struct err *err)
{
    struct making m = {.room = room, .s = s, .d = d, .err = err};
    int rc = 0;

    if (!entry_kinds[kind].recordable) {
        return err_field(err, ERR_REFUSED, "kind",
                         "'%s' comes of a task or an entry; it is not recorded by itself",
                         entry_kinds[kind].word);
    }
    if (d->n_told == 0) {
        return err_field(err, ERR_MISSING, "subjects", "say of what: '%s' is about something",
                         entry_kinds[kind].word);
    }
    for (size_t i = 0; i < d->n_told && rc == 0; i++) {
        const struct told *t = &d->told[i];
        struct entry e = making_entry(&m, kind, t->subject);

        set_what(&e, *t->what ? t->what : default_what(&m, kind, t->subject));
        put_figures(&e, t);
        put_amounts(&e, t);
        (void)snprintf(e.note, sizeof e.note, "%s", d->note);
        rc = making_tell(&m, &e);
    }
    return making_end(&m, rc, out);
}

/* One entry of a kind (deferred, dropped) for each job that the deed is about. */
static int tell_each(struct making *m, enum entry_kind kind,
                     int32_t (*until)(const struct making *m, const struct job *j, int32_t to),
                     int32_t to)
{
    bool *chosen;
    int rc = check_names(m->room, m->task, m->d, m->err);

    if (rc < 0) {
        return rc;
    }
    chosen = mem_array(m->task->n_jobs, sizeof *chosen);
    if (choose(m->room, m->task, m->d, chosen) == 0) {
        rc = err_field(m->err, ERR_MISSING, "only", "task %lld: name at least one of its things",
                       (long long)m->task->id);
    }
    for (size_t i = 0; i < m->task->n_jobs && rc == 0; i++) {
        const struct job *j = &m->task->job[i];
        struct entry e = making_entry(m, kind, job_subject(m, j));

        if (chosen[i]) {
            (void)job_word(e.what, j);
            e.cycle = j->cycle;
            e.until_day = until(m, j, to);
            (void)snprintf(e.note, sizeof e.note, "%s", m->d->note);
            rc = making_tell(m, &e);
        }
    }
    free(chosen);
    return rc;
}

static int32_t until_deferred(const struct making *m, const struct job *j, int32_t to)
{
    (void)m;
    (void)j;
    return to;
}

int deed_defer(const struct room *room, const struct state *s, const struct task *t, int32_t to_day,
               const struct deed *d, struct entries *out, struct err *err)
{
    struct making m = {.room = room, .s = s, .task = t, .d = d, .err = err};
    int32_t today = zone_day(&room->zone, d->now_s);
    char to[DAY_TEXT_MAX];
    char latest[DAY_TEXT_MAX];

    if (to_day < today) {
        return err_field(err, ERR_RANGE, "to", "%s lies in the past", day_format(to, to_day));
    }
    if (to_day > t->latest && *d->note == '\0') {
        return err_field(
            err, ERR_MISSING, "why",
            "%s is later than task %lld bears (%s); say why to put it off all the same",
            day_format(to, to_day), (long long)t->id, day_format(latest, t->latest));
    }
    return making_end(&m, tell_each(&m, ENTRY_DEFERRED, until_deferred, to_day), out);
}

static int32_t until_dropped(const struct making *m, const struct job *j, int32_t today)
{
    return job_rests_until(m->room, m->s, j, today);
}

int deed_drop(const struct room *room, const struct state *s, const struct task *t,
              const struct deed *d, struct entries *out, struct err *err)
{
    struct making m = {.room = room, .s = s, .task = t, .d = d, .err = err};

    if (*d->note == '\0') {
        return err_field(err, ERR_MISSING, "why", "say why task %lld is dropped", (long long)t->id);
    }
    return making_end(
        &m, tell_each(&m, ENTRY_DROPPED, until_dropped, zone_day(&room->zone, d->now_s)), out);
}

int deed_void(const struct entry *target, bool voided_already, const struct deed *d,
              struct entries *out, struct err *err)
{
    struct making m = {.d = d, .err = err};
    struct entry e;

    if (*d->note == '\0') {
        return err_field(err, ERR_MISSING, "why", "say why entry %lld is voided",
                         (long long)target->seq);
    }
    if (target->kind == ENTRY_VOIDED) {
        return err_field(err, ERR_REFUSED, "entry",
                         "entry %lld voids another; tell what happened anew instead",
                         (long long)target->seq);
    }
    if (voided_already) {
        return err_field(err, ERR_REFUSED, "entry", "entry %lld was voided already",
                         (long long)target->seq);
    }
    e = making_entry(&m, ENTRY_VOIDED, target->subject);
    e.happened_s = d->now_s;
    e.voids = target->seq;
    (void)snprintf(e.note, sizeof e.note, "%s", d->note);
    m.es.entry = mem_grow(NULL, &m.es.cap, 1, sizeof e);
    m.es.entry[m.es.n++] = e;
    return making_end(&m, 0, out);
}
