#include "daemon/store/seal.h"

#include "daemon/core/room/entry.h"
#include "daemon/store/rows.h"

#include <nettle/sha2.h>
#include <string.h>

/* Bytes of a number are written from the lowest, and a text after its length, so that no two things
 * have the same bytes and every machine has the same ones. */
static void add_int(struct sha256_ctx *h, int64_t v)
{
    uint8_t byte[8];

    for (unsigned i = 0; i < sizeof byte; i++) {
        byte[i] = (uint8_t)((uint64_t)v >> (8 * i));
    }
    sha256_update(h, sizeof byte, byte);
}

static void add_text(struct sha256_ctx *h, const char *s)
{
    size_t n = strlen(s);

    add_int(h, (int64_t)n);
    sha256_update(h, n, (const uint8_t *)s);
}

/* SQLite keeps -0 as 0. */
static void add_double(struct sha256_ctx *h, double v)
{
    int64_t bits;

    v = v == 0 ? 0.0 : v;
    memcpy(&bits, &v, sizeof bits);
    add_int(h, bits);
}

static struct seal end(struct sha256_ctx *h)
{
    struct seal s;

    sha256_digest(h, sizeof s.byte, s.byte);
    return s;
}

static uint64_t end_short(struct sha256_ctx *h)
{
    struct seal s = end(h);
    uint64_t v = 0;

    for (unsigned i = 0; i < sizeof v; i++) {
        v |= (uint64_t)s.byte[i] << (8 * i);
    }
    return v;
}

struct seal seal_of(const void *bytes, size_t n)
{
    struct sha256_ctx h;

    sha256_init(&h);
    sha256_update(&h, n, bytes);
    return end(&h);
}

/* By their names and only those that were told: a figure that a later program brings leaves older
 * entries as they are. */
static void add_figures(struct sha256_ctx *h, const struct entry *e)
{
    for (unsigned f = 0; f < FIGURE_N; f++) {
        if (entry_has(e, f)) {
            add_text(h, figure_defs[f].key);
            add_double(h, e->figure[f]);
        }
    }
    add_text(h, "");
}

struct seal seal_of_entry(const struct seal *before, const struct entry *e)
{
    struct sha256_ctx h;

    sha256_init(&h);
    sha256_update(&h, sizeof before->byte, before->byte);
    add_int(&h, e->seq);
    add_int(&h, e->happened_s);
    add_int(&h, e->told_s);
    add_text(&h, entry_kinds[e->kind].word);
    add_text(&h, e->subject);
    add_text(&h, e->what);
    add_figures(&h, e);
    add_int(&h, (int64_t)e->n_amounts);
    for (size_t i = 0; i < e->n_amounts; i++) {
        add_text(&h, e->amount[i].product);
        add_double(&h, e->amount[i].amount);
    }
    add_int(&h, e->until_day);
    add_int(&h, e->cycle);
    add_int(&h, e->task > 0 ? e->task : 0);
    add_int(&h, e->voids > 0 ? e->voids : 0);
    add_int(&h, e->uid);
    add_text(&h, e->who);
    add_text(&h, e->note);
    if (e->sensor) { /* a person's have the seals that they had before there were others */
        add_text(&h, ROWS_SENSOR);
    }
    return end(&h);
}

uint64_t seal_of_task(const struct task_figures *t)
{
    struct sha256_ctx h;

    sha256_init(&h);
    add_text(&h, "task");
    add_int(&h, t->id);
    add_text(&h, t->kind);
    add_int(&h, t->care);
    add_int(&h, t->earliest);
    add_int(&h, t->due);
    add_int(&h, t->latest);
    add_int(&h, t->planned);
    return end_short(&h);
}

uint64_t seal_of_job(int64_t task, const char *subject, int64_t cycle)
{
    struct sha256_ctx h;

    sha256_init(&h);
    add_text(&h, "job");
    add_int(&h, task);
    add_text(&h, subject);
    add_int(&h, cycle);
    return end_short(&h);
}

uint64_t seal_of_key(const char *key, int64_t first_seq, int64_t last_seq)
{
    struct sha256_ctx h;

    sha256_init(&h);
    add_text(&h, "key");
    add_text(&h, key);
    add_int(&h, first_seq);
    add_int(&h, last_seq);
    return end_short(&h);
}

uint64_t seal_of_table(const char *name, const char *sql)
{
    struct sha256_ctx h;

    sha256_init(&h);
    add_text(&h, "table");
    add_text(&h, name);
    add_text(&h, sql);
    return end_short(&h);
}
