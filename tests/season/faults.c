#include "tests/season/faults.h"

#include "daemon/base/num.h"
#include "tests/sim/bottle.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define LEAK_FRAC       0.2
#define LEAK_LEAST_L    3.0
#define WEAK_FRAC       0.2
#define BAD_FILTER_EC   0.35 /* mS/cm, or where the source is hard itself … */
#define BAD_FILTER_FRAC 1.5
#define LINGERS_DAY     7

static const struct {
    const char *word;
    enum subject_kind about;
} kinds[FAULT_KIND_N] = {
    [FAULT_LEAK] = {"leak",        SUBJECT_NONE     },
    [FAULT_CLOG] = {"clog",        SUBJECT_CONTAINER},
    [FAULT_STUCK] = {"stuck",       SUBJECT_CONTAINER},
    [FAULT_EMPTY] = {"empty",       SUBJECT_PRODUCT  },
    [FAULT_WEAK_SOURCE] = {"weak-source", SUBJECT_NONE     },
    [FAULT_FILTER] = {"filter",      SUBJECT_NONE     },
    [FAULT_KILL] = {"kill",        SUBJECT_NONE     },
    [FAULT_CLOCK_JUMP] = {"clock-jump",  SUBJECT_NONE     },
    [FAULT_FULL_DISK] = {"full-disk",   SUBJECT_NONE     },
};

static int read_days(const char *text, struct fault *out, struct err *err)
{
    char from[32];
    const char *dots = strstr(text, "..");
    int64_t day;
    int64_t end = -1;
    int rc;

    (void)snprintf(from, sizeof from, "%.*s", dots ? (int)(dots - text) : 31, text);
    rc = num_parse_int(from, 0, 100000, &day, err);
    if (rc == 0 && dots) {
        rc = num_parse_int(dots + 2, day, 100000, &end, err);
    }
    if (rc == 0) {
        out->day = (size_t)day;
        out->end = end < 0 ? SIZE_MAX : (size_t)end;
    }
    return rc;
}

/* "clog:A3@40" */
static int read_one(char *text, const struct room *room, struct fault *out, struct err *err)
{
    char *at = strchr(text, '@');
    char *name = strchr(text, ':');
    struct subject s = {0};

    *out = (struct fault){.kind = FAULT_KIND_N};
    if (!at) {
        return err_set(err, ERR_SYNTAX, "'%s' has no day: leak@30", text);
    }
    *at = '\0';
    if (name) {
        *name++ = '\0';
    }
    for (int k = 0; k < FAULT_KIND_N; k++) {
        if (strcmp(kinds[k].word, text) == 0) {
            out->kind = (enum fault_kind)k;
        }
    }
    if (out->kind == FAULT_KIND_N) {
        return err_set(err, ERR_UNKNOWN, "there is no fault '%s'", text);
    }
    s = name ? room_find(room, name) : s;
    if (s.kind != kinds[out->kind].about) {
        return err_set(err, ERR_UNKNOWN, "%s: '%s' is not what it is about", text,
                       name ? name : "");
    }
    out->at = s.at;
    return read_days(at + 1, out, err);
}

int faults_read(const char *text, const struct room *room, struct faults *out, struct err *err)
{
    int rc = 0;

    *out = (struct faults){0};
    while (text && *text && rc == 0) {
        size_t len = strcspn(text, ",");
        char one[80];

        if (out->n == FAULTS_MAX) {
            return err_set(err, ERR_RANGE, "at most %d faults", FAULTS_MAX);
        }
        (void)snprintf(one, sizeof one, "%.*s", (int)len, text);
        rc = read_one(one, room, &out->fault[out->n], err);
        out->n += rc == 0;
        text += len + (text[len] == ',');
    }
    return rc;
}

bool faults_have(const struct faults *f, enum fault_kind kind)
{
    for (size_t k = 0; k < f->n; k++) {
        if (f->fault[k].kind == kind) {
            return true;
        }
    }
    return false;
}

static double drinks_l_day(const struct truth *t)
{
    double sum = 0;

    for (size_t i = 0; i < t->room->n_containers; i++) {
        sum += isnan(t->plant[i].float_day) ? 0 : truth_rate_l_day(t, i);
    }
    return sum;
}

static void mend(struct fault *x, struct hands *h)
{
    if (!x->struck || x->mended) {
        return;
    }
    x->mended = true;
    x->mended_day = h->day;
    h->l->mended++;
    h->l->mend_delay_day += (double)(h->day - x->day);
}

/* Raw water: what the filter kept back, as nobody has analysed it. */
static struct water_body unfiltered(const struct source_water *source)
{
    struct source_water raw = *source;

    raw.ec_ms_cm = fmax(BAD_FILTER_EC, BAD_FILTER_FRAC * source->ec_ms_cm);
    raw.alkalinity_mg_l = NAN;
    return bottle_source(&raw);
}

static void strike(struct fault *x, struct hands *h)
{
    struct truth *t = h->t;

    x->struck = true;
    switch (x->kind) {
    case FAULT_LEAK:
        t->leak_l_day = fmax(LEAK_LEAST_L, LEAK_FRAC * drinks_l_day(t));
        break;
    case FAULT_CLOG:
        t->plant[x->at].clogged = true;
        break;
    case FAULT_STUCK:
        t->plant[x->at].stuck = true;
        break;
    case FAULT_EMPTY:
        h->stock[x->at] = 0;
        break;
    case FAULT_WEAK_SOURCE:
        h->source_frac = WEAK_FRAC;
        break;
    case FAULT_FILTER:
        t->source = unfiltered(&t->room->source);
        break;
    default:
        x->struck = false; /* not of the room */
        return;
    }
    h->l->faults++;
}

void faults_new_day(struct faults *f, struct hands *h)
{
    for (size_t k = 0; k < f->n; k++) {
        struct fault *x = &f->fault[k];

        if (!x->struck && x->day == h->day && x->kind < FAULT_KILL) {
            strike(x, h);
        }
        if (x->struck && x->kind == FAULT_EMPTY && h->stock[x->at] > 0) {
            mend(x, h);
        }
        if (x->struck && x->kind == FAULT_WEAK_SOURCE && x->end <= h->day) {
            h->source_frac = 1;
            mend(x, h);
        }
    }
}

enum fault_kind faults_take(struct faults *f, size_t day)
{
    for (size_t k = 0; k < f->n; k++) {
        struct fault *x = &f->fault[k];

        if (x->kind >= FAULT_KILL && x->day <= day && !x->struck) {
            x->struck = true;
            return x->kind;
        }
    }
    return FAULT_KIND_N;
}

void faults_look_at(struct faults *f, struct hands *h, size_t i)
{
    struct truth_plant *p = &h->t->plant[i];

    for (size_t k = 0; k < f->n; k++) {
        struct fault *x = &f->fault[k];

        if (x->struck && x->at == i && (x->kind == FAULT_CLOG || x->kind == FAULT_STUCK)) {
            mend(x, h);
        }
    }
    if (p->stuck) { /* drained to the line */
        water_drain_to(&p->water, h->room->container[i].float_volume_l);
    }
    p->clogged = p->stuck = false;
}

void faults_look_at_tank(struct faults *f, struct hands *h)
{
    for (size_t k = 0; k < f->n; k++) {
        if (f->fault[k].kind == FAULT_LEAK) {
            mend(&f->fault[k], h);
        }
    }
    h->t->leak_l_day = 0;
}

void faults_look_at_filter(struct faults *f, struct hands *h)
{
    for (size_t k = 0; k < f->n; k++) {
        if (f->fault[k].kind == FAULT_FILTER) {
            mend(&f->fault[k], h);
        }
    }
    h->t->source = bottle_source(&h->room->source);
}

static bool tells_of(const struct room *room, const struct fault *x, const char *kind,
                     const char *subject)
{
    bool its = (x->kind == FAULT_CLOG || x->kind == FAULT_STUCK) &&
               strcmp(room->container[x->at].name, subject) == 0;

    switch (x->kind) {
    case FAULT_LEAK:
        return strcmp(kind, "leak") == 0;
    case FAULT_CLOG:
        return (its && (strcmp(kind, "level-low") == 0 || strcmp(kind, "too-strong") == 0)) ||
               strcmp(kind, "air-lock") == 0;
    case FAULT_STUCK:
        return (its && strcmp(kind, "level-high") == 0) || strcmp(kind, "leak") == 0;
    case FAULT_FILTER:
        return strcmp(kind, "reservoir-salt") == 0 || strcmp(kind, "too-strong") == 0;
    default:
        return false;
    }
}

bool faults_explain(struct faults *f, struct hands *h, const char *kind, const char *subject)
{
    bool explained = false;

    for (size_t k = 0; k < f->n; k++) {
        struct fault *x = &f->fault[k];

        if (!x->struck || (x->mended && x->mended_day + LINGERS_DAY < h->day) ||
            !tells_of(h->room, x, kind, subject)) {
            continue;
        }
        explained = true;
        if (!x->noticed) {
            x->noticed = true;
            h->l->noticed++;
            h->l->alarm_delay_day += (double)(h->day - x->day);
        }
    }
    return explained;
}
