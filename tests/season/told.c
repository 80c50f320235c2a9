#include "tests/season/told.h"

#include "daemon/base/hash.h"
#include "daemon/base/mem.h"

#include <stdlib.h>
#include <string.h>

#define PAGE 1000

void told_deinit(struct told_all *t)
{
    free(t->entry);
    *t = (struct told_all){0};
}

static uint64_t add_text(uint64_t sum, const char *s)
{
    return s ? hash_add(sum, s) : sum;
}

static uint64_t sum_of(const json_t *entry)
{
    char *figures = json_dumps(json_object_get(entry, "figures"), JSON_SORT_KEYS);
    uint64_t sum = HASH_START;

    sum = add_text(sum, json_string_value(json_object_get(entry, "kind")));
    sum = add_text(sum, json_string_value(json_object_get(entry, "subject")));
    sum = add_text(sum, figures);
    free(figures);
    return sum;
}

static int64_t seq_of(const json_t *entry)
{
    const char *text = json_string_value(json_object_get(entry, "seq"));

    return text ? strtoll(text, NULL, 10) : 0;
}

void told_take(struct told_all *t, const json_t *answer)
{
    size_t i;
    json_t *entry;

    json_array_foreach(json_object_get(answer, "entries"), i, entry)
    {
        t->entry = mem_grow(t->entry, &t->cap, t->n + 1, sizeof *t->entry);
        t->entry[t->n++] = (struct told_entry){seq_of(entry), sum_of(entry), false};
    }
}

static int by_seq(const void *pa, const void *pb)
{
    const struct told_entry *a = pa;
    const struct told_entry *b = pb;

    return a->seq < b->seq ? -1 : a->seq > b->seq;
}

static void find(struct told_all *t, const json_t *entry)
{
    struct told_entry key = {.seq = seq_of(entry)};
    struct told_entry *hit = t->n ? bsearch(&key, t->entry, t->n, sizeof *t->entry, by_seq) : NULL;

    if (hit && hit->sum == sum_of(entry)) {
        hit->found = true;
    }
}

int told_check(struct told_all *t, struct live_daemon *l, size_t *out_lost, struct err *err)
{
    json_t *after = NULL;
    size_t lost = 0;

    if (t->n) {
        qsort(t->entry, t->n, sizeof *t->entry, by_seq);
    }
    do {
        json_t *params = json_pack("{s:i}", "limit", PAGE);
        json_t *page;
        json_t *entry;
        size_t i;

        if (after) {
            json_object_set_new(params, "after", json_integer(json_integer_value(after)));
        }
        json_decref(after);
        page = live_daemon_ask(l, "log", params, err);
        if (!page) {
            return err->code;
        }
        json_array_foreach(json_object_get(page, "entries"), i, entry)
        {
            find(t, entry);
        }
        after = json_incref(json_object_get(page, "next"));
        json_decref(page);
    } while (json_is_integer(after));
    json_decref(after);
    for (size_t i = 0; i < t->n; i++) {
        lost += !t->entry[i].found && (i == 0 || t->entry[i].seq != t->entry[i - 1].seq);
    }
    *out_lost = lost;
    return 0;
}
