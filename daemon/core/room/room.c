#include "daemon/core/room/room.h"

#include "daemon/base/err.h"
#include "daemon/base/hash.h"
#include "daemon/base/mem.h"
#include "daemon/base/suggest.h"
#include "daemon/core/units/day.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What a day of work that is not wished for seems to cost: a third of a fill, two harvests. Our own
 * judgement, no source. */
#define UNWISHED_MIN 30

/* Open addressing; a slot with kind SUBJECT_NONE is free. The name is read back from the room. */
struct room_name {
    struct subject subject;
    bool was; /* by what it was called before */
};

#define RESERVOIR_NAME "reservoir"
#define ROOM_NAME      "room"

const char *room_subject_name(const struct room *r, struct subject s)
{
    switch (s.kind) {
    case SUBJECT_ROOM:
        return ROOM_NAME;
    case SUBJECT_RESERVOIR:
        return RESERVOIR_NAME;
    case SUBJECT_CONTAINER:
        return r->container[s.at].name;
    case SUBJECT_PRODUCT:
        return r->product[s.at].name;
    case SUBJECT_RECIPE:
        return r->recipe[s.at].name;
    case SUBJECT_METER:
        return r->meter[s.at].name;
    case SUBJECT_NONE:
    case SUBJECT_KIND_N:
        break;
    }
    return "";
}

const char *room_subject_was(const struct room *r, struct subject s)
{
    return s.kind == SUBJECT_CONTAINER ? r->container[s.at].was : "";
}

/* By which a slot is found. */
static const char *name_in(const struct room *r, const struct room_name *slot)
{
    return slot->was ? r->container[slot->subject.at].was : room_subject_name(r, slot->subject);
}

static struct room_name *slot_of(const struct room *r, const char *name)
{
    size_t mask = r->n_slots - 1;
    size_t i = (size_t)hash_text(name) & mask;

    while (r->names[i].subject.kind != SUBJECT_NONE &&
           strcmp(name_in(r, &r->names[i]), name) != 0) {
        i = (i + 1) & mask;
    }
    return &r->names[i];
}

static int enter_as(struct room *r, struct subject s, bool was, struct err *e)
{
    const char *name = name_in(r, &(struct room_name){s, was});
    struct room_name *slot = slot_of(r, name);

    if (slot->subject.kind != SUBJECT_NONE) {
        return err_field(e, ERR_CONFIG, name, "two things in the room are called '%s'", name);
    }
    *slot = (struct room_name){s, was};
    return 0;
}

static int enter(struct room *r, enum subject_kind kind, size_t at, struct err *e)
{
    return enter_as(r, (struct subject){kind, at}, false, e);
}

/* What the journal knows a container by from before it was renamed. */
static int enter_old_names(struct room *r, struct err *e)
{
    int rc = 0;

    for (size_t i = 0; i < r->n_containers && rc == 0; i++) {
        if (*r->container[i].was) {
            rc = enter_as(r, (struct subject){SUBJECT_CONTAINER, i}, true, e);
        }
    }
    return rc;
}

static int enter_all(struct room *r, enum subject_kind kind, size_t n, struct err *e)
{
    int rc = 0;

    for (size_t i = 0; i < n && rc == 0; i++) {
        rc = enter(r, kind, i, e);
    }
    return rc;
}

/* The room and the reservoir have a name too. */
static size_t names_in(const struct room *r)
{
    return r->n_containers + r->n_products + r->n_recipes + r->n_meters + 2;
}

static size_t old_names_in(const struct room *r)
{
    size_t n = 0;

    for (size_t i = 0; i < r->n_containers; i++) {
        n += *r->container[i].was != '\0';
    }
    return n;
}

int room_index(struct room *r, struct err *e)
{
    size_t slots = 16;
    int rc;

    while (slots < 2 * (names_in(r) + old_names_in(r))) {
        slots *= 2;
    }
    free(r->names);
    r->names = mem_array(slots, sizeof *r->names);
    r->n_slots = slots;
    rc = enter_all(r, SUBJECT_ROOM, 1, e);
    if (rc == 0) {
        rc = enter_all(r, SUBJECT_RESERVOIR, 1, e);
    }
    if (rc == 0) {
        rc = enter_all(r, SUBJECT_PRODUCT, r->n_products, e);
    }
    if (rc == 0) {
        rc = enter_all(r, SUBJECT_RECIPE, r->n_recipes, e);
    }
    if (rc == 0) {
        rc = enter_all(r, SUBJECT_METER, r->n_meters, e);
    }
    rc = rc < 0 ? rc : enter_all(r, SUBJECT_CONTAINER, r->n_containers, e);
    return rc < 0 ? rc : enter_old_names(r, e);
}

struct subject room_find(const struct room *r, const char *name)
{
    return r->n_slots ? slot_of(r, name)->subject : (struct subject){SUBJECT_NONE, 0};
}

/* All names, in the order of the room: of two that are equally near the first is suggested. */
static const char **names_in_order(const struct room *r, size_t *out_n)
{
    const struct {
        enum subject_kind kind;
        size_t n;
    } kinds[] = {
        {SUBJECT_CONTAINER, r->n_containers},
        {SUBJECT_RESERVOIR, 1              },
        {SUBJECT_ROOM,      1              },
        {SUBJECT_PRODUCT,   r->n_products  },
        {SUBJECT_RECIPE,    r->n_recipes   },
        {SUBJECT_METER,     r->n_meters    },
    };
    const char **names = mem_array(names_in(r), sizeof *names);
    size_t n = 0;

    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
        for (size_t i = 0; i < kinds[k].n; i++) {
            names[n++] = room_subject_name(r, (struct subject){kinds[k].kind, i});
        }
    }
    *out_n = n;
    return names;
}

/* "M1-M4", "M1-4": no container is called so, and people write runs like that. */
static bool looks_like_run(const char *name)
{
    const char *dash = strchr(name, '-');
    size_t last = strlen(name);

    return dash && dash > name && isdigit((unsigned char)dash[-1]) &&
           isdigit((unsigned char)name[last - 1]) && !strchr(dash + 1, '-');
}

int room_lookup(const struct room *r, const char *name, struct subject *out, struct err *e)
{
    struct subject s = room_find(r, name);
    char tail[SUGGEST_TEXT_MAX];
    const char **known;
    size_t n;
    int rc;

    if (s.kind != SUBJECT_NONE) {
        *out = s;
        return 0;
    }
    if (looks_like_run(name)) {
        return err_field(e, ERR_UNKNOWN, "subject",
                         "the room has no '%.40s'; a run of names is written A1..A4", name);
    }
    known = names_in_order(r, &n);
    rc = err_field(e, ERR_UNKNOWN, "subject", "the room has no '%.40s'%s", name,
                   suggest_tail(tail, name, known, n, ""));
    free(known);
    return rc;
}

int room_meter_used(const struct room *r, enum meter_kind kind, const char *name)
{
    struct subject named = room_find(r, name);

    if (named.kind == SUBJECT_METER && r->meter[named.at].kind == kind) {
        return (int)named.at;
    }
    for (size_t i = 0; i < r->n_meters; i++) {
        if (r->meter[i].kind == kind) {
            return (int)i;
        }
    }
    return -1;
}

struct span crop_feed(const struct crop *c, int stage, enum feed f)
{
    struct span own = c->stage[stage].feed[f];

    return own.hi > 0 ? own : c->feed[f];
}

const struct nutrients *crop_takes(const struct crop *c, int stage)
{
    const struct nutrients *own = &c->stage[stage].takes;

    return nutrients_none(own) ? &c->takes : own;
}

double room_fresh_ms_cm(const struct room *r, const struct crop *c, double ec_ms_cm)
{
    double above = r->source.ec_ms_cm + (c->above_water ? 1 : ROOM_FOOD_LEAST_FRAC) * ec_ms_cm;

    return fmax(ec_ms_cm, above);
}

bool room_feeds(const struct room *r)
{
    return r->reservoir.feed_ms_cm > 0;
}

double room_kept_ms_cm(const struct room *r)
{
    return room_feeds(r) ? r->reservoir.feed_ms_cm : r->source.ec_ms_cm;
}

double crop_warm_c(const struct crop *c)
{
    return c && c->warm_c > 0 ? c->warm_c : ROOM_WARM_C;
}

double crop_hot_c(const struct crop *c)
{
    return c && c->hot_c > 0 ? c->hot_c : ROOM_HOT_C;
}

int room_find_crop(const struct room *r, const char *name)
{
    for (size_t i = 0; i < r->n_crops; i++) {
        if (strcmp(r->crop[i].name, name) == 0) {
            return (int)i;
        }
    }
    return -1;
}

int crop_find_stage(const struct crop *c, const char *name)
{
    for (size_t i = 0; i < c->n_stages; i++) {
        if (strcmp(c->stage[i].name, name) == 0) {
            return (int)i;
        }
    }
    return -1;
}

double room_budget_min(const struct room *r, int32_t day)
{
    for (size_t i = 0; i < r->labour.n_off; i++) {
        if (day >= r->labour.off[i].from && day <= r->labour.off[i].to) {
            return 0;
        }
    }
    return r->labour.budget_min[day_weekday(day)];
}

const char *const strength_dial_words[STRENGTH_DIAL_N + 1] = {
    [STRENGTH_USUAL] = "usual", [STRENGTH_CLOSE] = "close", [STRENGTH_EASY] = "easy"};

bool room_is_off(const struct room *r, int32_t day)
{
    return !(room_budget_min(r, day) > 0);
}

double room_visit_min(const struct room *r, int32_t day)
{
    bool any = false;

    for (int k = 0; k < 7; k++) {
        any = any || r->labour.wished[k];
    }
    if (!any) {
        return r->labour.visit_min;
    }
    return r->labour.wished[day_weekday(day)] ? r->labour.visit_min / 2
                                              : r->labour.visit_min + UNWISHED_MIN;
}

void room_deinit(struct room *r)
{
    zone_deinit(&r->zone);
    free(r->product);
    free(r->recipe);
    free(r->crop);
    free(r->container);
    free(r->meter);
    free(r->names);
    free(r->labour.off);
    if (r->notify) {
        for (char **word = r->notify; *word; word++) {
            free(*word);
        }
    }
    free(r->notify);
    memset(r, 0, sizeof *r);
}
