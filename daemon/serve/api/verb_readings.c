/* Readings in bulk, from a sensor or a notebook: each has its own verdict. */
#include "daemon/base/mem.h"
#include "daemon/core/units/when.h"
#include "daemon/serve/api/deed_call.h"
#include "daemon/serve/api/verbs.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A reading's own time: words as for `at`, or seconds since 1970. */
static int read_instant(struct call *c, const json_t *at, int64_t now_s, int64_t *out,
                        struct err *e)
{
    if (json_is_number(at)) {
        double t = json_number_value(at);

        if (!(t > 0 && t < 1e15) || !when_is_past((int64_t)t, now_s)) {
            return err_field(e, ERR_RANGE, "at", "a reading lies in the past");
        }
        *out = (int64_t)t;
        return 0;
    }
    if (!json_is_string(at)) {
        return err_field(e, ERR_SYNTAX, "at", "'at' is text, or seconds since 1970");
    }
    return when_parse_past(json_string_value(at), &c->s->live.room.zone, now_s, out, e);
}

/* "level" is what a sensor calls the volume, and "level_cm" what one over the water measures. */
static void rename_level(json_t *figures)
{
    const json_t *height = json_object_get(figures, "level_cm");
    static const char *const names[][2] = {
        {"level",   "volume"  },
        {"level_l", "volume_l"}
    };

    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        json_t *value = json_object_get(figures, names[i][0]);

        if (value) {
            (void)json_object_set(figures, names[i][1], value);
            (void)json_object_del(figures, names[i][0]);
        }
    }
    if (json_is_number(height) && !json_object_get(figures, "volume")) {
        (void)json_object_set_new(figures, "volume",
                                  json_sprintf("%.9g cm", json_number_value(height)));
        (void)json_object_del(figures, "level_cm");
    }
}

static int read_reading(struct call *c, const struct deed *d, json_t *reading,
                        struct told_list *told, struct deed *out, struct err *e)
{
    json_t *figures = json_is_object(reading) ? json_copy(reading) : NULL;
    const char *subject = json_string_value(json_object_get(figures, "subject"));
    json_t *at = json_object_get(figures, "at");
    int rc = 0;

    *out = *d;
    if (!subject) {
        rc = err_field(e, ERR_MISSING, "subject", "a reading names its subject");
    } else if (at) {
        rc = read_instant(c, at, d->now_s, &out->happened_s, e);
    }
    if (rc == 0) {
        char name[NAME_LEN_MAX + 2];

        (void)snprintf(name, sizeof name, "%s", subject); /* cut, it is no name of the room */
        (void)json_object_del(figures, "subject");
        (void)json_object_del(figures, "at");
        rename_level(figures);
        rc = told_read(&c->s->live.room, name, figures, told, e);
    }
    json_decref(figures);
    return rc;
}

static void append(struct entries *all, struct entries *one)
{
    for (size_t i = 0; i < one->n; i++) {
        all->entry = mem_grow(all->entry, &all->cap, all->n + 1, sizeof *all->entry);
        all->entry[all->n++] = one->entry[i];
    }
    entries_deinit(one);
}

static int by_happened(const void *pa, const void *pb)
{
    const struct entry *a = pa;
    const struct entry *b = pb;

    return (a->happened_s > b->happened_s) - (a->happened_s < b->happened_s);
}

/* The entries of the readings that can be taken, and of each why it cannot. */
static json_t *judge(struct call *c, const struct deed_request *r, struct entries *out)
{
    const struct live_room *live = &c->s->live;
    json_t *readings = rpc_part(&c->req, "readings");
    json_t *refused = json_array();
    size_t i;
    json_t *reading;

    json_array_foreach(readings, i, reading)
    {
        struct told_list told = {0};
        struct entries one = {0};
        struct err bad = {0};
        struct deed d;

        if (read_reading(c, &r->d, reading, &told, &d, &bad) == 0) {
            d.told = told.told;
            d.n_told = told.n;
            (void)deed_record(&live->room, &live->state, ENTRY_READING, &d, &one, &bad);
        }
        append(out, &one);
        json_array_append_new(refused, bad.code ? json_string(bad.msg) : json_null());
        told_list_deinit(&told);
    }
    return refused;
}

static json_t *do_readings(struct call *c, struct deed_request *r, struct err *e)
{
    struct entries all = {0};
    json_t *refused = judge(c, r, &all);
    struct unwritten b;
    int64_t first;

    (void)e;
    if (all.n > 1) { /* what is told in the order of its time needs no fold */
        qsort(all.entry, all.n, sizeof *all.entry, by_happened);
    }
    if (all.n) {
        unwritten_init(&b);
        live_room_tell(&c->s->live, &all, &b, &first);
        server_submit(c->s, &b);
    }
    return json_pack("{s:o}", "refused", refused);
}

/* Is it what the entry has? */
static bool says_the_same(const struct told *t, const struct entry *e)
{
    bool same = e->kind == ENTRY_READING && e->has == t->has &&
                strcmp(e->subject, t->subject) == 0 && strcmp(e->what, t->what) == 0;

    for (unsigned f = 0; f < FIGURE_N && same; f++) {
        same = !(t->has & FIGURE_BIT(f)) || e->figure[f] == t->figure[f];
    }
    return same;
}

/* Takes a row that says the same as the reading out of those that are left; false for none. */
static bool take_row(struct call *c, const struct deed_request *r, json_t *reading,
                     const struct journal_job *job, bool *used)
{
    struct told_list told = {0};
    struct err bad = {0};
    struct deed d;
    bool found = false;

    if (read_reading(c, &r->d, reading, &told, &d, &bad) == 0) {
        for (size_t i = 0; i < job->n_rows && !found; i++) {
            found = !used[i] && says_the_same(&told.told[0], &job->row[i].entry);
            used[i] = used[i] || found;
        }
    }
    told_list_deinit(&told);
    return found;
}

/* What was taken with the key before is taken; any other reading is not, and is told so, whatever
 * it was refused for then. */
static json_t *verdicts_again(struct call *c, const struct deed_request *r,
                              const struct journal_job *job, bool *used)
{
    json_t *verdicts = json_array();
    struct entries none = {0};
    json_t *refused = judge(c, r, &none); /* its words, where it is still refused */
    json_t *reading;
    size_t i;

    json_array_foreach(rpc_part(&c->req, "readings"), i, reading)
    {
        json_t *why = json_array_get(refused, i);

        if (take_row(c, r, reading, job, used)) {
            json_array_append_new(verdicts, json_null());
        } else if (json_is_string(why)) {
            json_array_append(verdicts, why);
        } else {
            json_array_append_new(
                verdicts, json_sprintf("the key '%s' was told before without it; take another",
                                       rpc_text(&c->req, "key")));
        }
    }
    entries_deinit(&none);
    json_decref(refused);
    return verdicts;
}

/* What was told with the key before, and nothing is told anew. ERR_REFUSED where the request leaves
 * out what was told with it then: it is another one. */
static json_t *readings_again(struct call *c, const struct journal_job *job, struct err *e)
{
    bool *used = mem_array(job->n_rows, sizeof *used);
    struct deed_request r = {0};
    json_t *refused = NULL;
    bool all = true;

    if (deed_request_read(c, &r, e) == 0) {
        refused = verdicts_again(c, &r, job, used);
    }
    for (size_t i = 0; i < job->n_rows; i++) {
        all = all && used[i];
    }
    if (refused && !all) {
        (void)err_field(
            e, ERR_REFUSED, "key",
            "the key '%s' was told before with something else (from entry %lld on); take "
            "another for this",
            rpc_text(&c->req, "key"), (long long)job->row[0].entry.seq);
        json_decref(refused);
        refused = NULL;
    }
    free(used);
    deed_request_deinit(&r);
    return refused ? json_pack("{s:o}", "refused", refused) : NULL;
}

int begin_readings(struct call *c, struct err *e)
{
    static const struct deed_verb readings = {do_readings, false, readings_again, NULL, false};

    return deed_call_begin(c, &readings, e);
}
