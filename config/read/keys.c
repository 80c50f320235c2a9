#include "config/read/keys.h"

#include "daemon/base/suggest.h"
#include "daemon/core/room/room.h"
#include "daemon/core/units/day.h"
#include "daemon/core/units/when.h"

#include <stdio.h>
#include <string.h>

/* Every reader below asks for a scalar first, so that "ec: [1, 2]" is one plain sentence
 * whatever the type of the key. */
static bool want_scalar(struct faulty *f, const struct node *value, const char *name)
{
    if (value->kind == NODE_SCALAR) {
        return true;
    }
    fault_at(f, value->at, "'%s' is %s; a single value is wanted", name, node_kind_word(value));
    return false;
}

bool quantity_read(struct faulty *f, const struct node *value, const char *name, enum quantity q,
                   double lo, double hi, bool above_lo, double *out)
{
    static const struct units metric = {0};
    char lo_text[QUANTITY_TEXT_MAX];
    char hi_text[QUANTITY_TEXT_MAX];
    struct err e;
    double v;

    if (!want_scalar(f, value, name)) {
        return false;
    }
    if (quantity_parse(q, value->text, &v, &e) < 0) {
        fault_at(f, value->at, "%s: %s", name, e.msg);
        return false;
    }
    /* Written so that NaN would fail too. The bounds are shown in metric units, whatever the
     * room shows: its units may not have been read yet. */
    if (!(v >= lo && v <= hi) || (above_lo && v == lo)) {
        fault_at(f, value->at,
                 above_lo ? "%s: '%.40s' cannot be; it is above %s and at most %s"
                          : "%s: '%.40s' cannot be; it lies between %s and %s",
                 name, value->text, quantity_format(lo_text, q, lo, &metric),
                 quantity_format(hi_text, q, hi, &metric));
        return false;
    }
    *out = v;
    return true;
}

static bool read_text(struct faulty *f, const struct node *value, const struct key *k, char *out)
{
    if (!want_scalar(f, value, k->name)) {
        return false;
    }
    if (k->type == KEY_NAME && !name_is_valid(value->text)) {
        fault_at(f, value->at,
                 "%s: '%.40s' is no name; a letter, then letters, digits, - _ or ., at most %d",
                 k->name, value->text, NAME_LEN_MAX);
        return false;
    }
    if (strlen(value->text) >= k->size || *value->text == '\0') {
        fault_at(f, value->at, "%s: the text has to have 1 to %zu bytes", k->name, k->size - 1);
        return false;
    }
    memcpy(out, value->text, strlen(value->text) + 1);
    return true;
}

/* The place in the list is the value of the enum. The nearest word is offered alone; the whole
 * list only where none is near, since it may be long. */
static bool read_word(struct faulty *f, const struct node *value, const struct key *k, int *out)
{
    char tail[SUGGEST_TEXT_MAX];
    size_t n = 0;
    char list[176] = "; it is one of ";
    size_t len = strlen(list);

    if (!want_scalar(f, value, k->name)) {
        return false;
    }
    for (; k->words[n]; n++) {
        if (strcmp(k->words[n], value->text) == 0) {
            *out = (int)n;
            return true;
        }
        len += (size_t)snprintf(list + len, sizeof list - len, "%s%s", n ? ", " : "", k->words[n]);
    }
    fault_at(f, value->at, "%s: '%.40s' is not known%s", k->name, value->text,
             suggest_tail(tail, value->text, k->words, n, list));
    return false;
}

/* YAML of old took yes, no, on and off for truth values as well, and a grower may well call a thing
 * "no": only the two words count. */
static bool read_bool(struct faulty *f, const struct node *value, const struct key *k, bool *out)
{
    if (!want_scalar(f, value, k->name)) {
        return false;
    }
    if (strcmp(value->text, "true") != 0 && strcmp(value->text, "false") != 0) {
        fault_at(f, value->at, "%s: '%.40s' is neither true nor false", k->name, value->text);
        return false;
    }
    *out = strcmp(value->text, "true") == 0;
    return true;
}

static bool read_day(struct faulty *f, const struct node *value, const struct key *k, int32_t *out)
{
    struct err e;

    if (!want_scalar(f, value, k->name)) {
        return false;
    }
    if (day_parse(value->text, out, &e) < 0) {
        fault_at(f, value->at, "%s: %s", k->name, e.msg);
        return false;
    }
    return true;
}

/* In quotes, since YAML of old reads 07:00 as a number to base 60; without them the text is the
 * same here and is taken too. */
static bool read_clock(struct faulty *f, const struct node *value, const struct key *k,
                       int32_t *out)
{
    int32_t second;

    if (!want_scalar(f, value, k->name)) {
        return false;
    }
    second = when_clock_s(value->text);
    if (second < 0) {
        fault_at(f, value->at, "%s: '%.40s' is no time of day; write it as \"07:00\"", k->name,
                 value->text);
        return false;
    }
    *out = second;
    return true;
}

bool key_read(struct faulty *f, const struct node *value, const struct key *k, void *base)
{
    void *to = (char *)base + k->offset;

    switch (k->type) {
    case KEY_QUANTITY:
        return quantity_read(f, value, k->name, k->quantity, k->lo, k->hi, k->above_lo, to);
    case KEY_TEXT:
    case KEY_NAME:
        return read_text(f, value, k, to);
    case KEY_WORD:
        return read_word(f, value, k, to);
    case KEY_BOOL:
        return read_bool(f, value, k, to);
    case KEY_DAY:
        return read_day(f, value, k, to);
    case KEY_CLOCK:
        return read_clock(f, value, k, to);
    case KEY_PART:
        break;
    }
    return true;
}

static const struct key *find_key(const struct key_section *s, const char *name)
{
    for (size_t i = 0; i < s->n; i++) {
        if (strcmp(s->key[i].name, name) == 0) {
            return &s->key[i];
        }
    }
    return NULL;
}

/* Unknown keys are faults, never left out: a misspelled "start" would otherwise be a container that
 * nobody starts. */
static void unknown_key(struct faulty *f, const struct pair *p, const struct key_section *s,
                        const char *where)
{
    const char *names[KEYS_MAX];
    char tail[SUGGEST_TEXT_MAX];

    for (size_t i = 0; i < s->n; i++) {
        names[i] = s->key[i].name;
    }
    fault_at(f, p->at, "unknown key '%.40s' in '%s'%s", p->key, where,
             suggest_tail(tail, p->key, names, s->n, ""));
}

/* Presets are written as a person would write them, and read in the same way. */
static void apply_presets(const struct key_section *s, void *base)
{
    struct room_faults none = {0};
    struct faulty f = {"", &none};

    for (size_t i = 0; i < s->n; i++) {
        if (s->key[i].preset) {
            char text[64];
            struct node value = {.kind = NODE_SCALAR, .text = text};

            (void)snprintf(text, sizeof text, "%s", s->key[i].preset);
            (void)key_read(&f, &value, &s->key[i], base);
        }
    }
}

bool keys_read(struct faulty *f, const struct node *map, const struct key_section *s,
               const char *where, bool override, void *base)
{
    size_t before = fault_count(f);

    if (!override) {
        apply_presets(s, base);
    }
    if (map && map->kind != NODE_MAP) {
        fault_at(f, map->at, "'%s' is %s; a map of keys is wanted", where, node_kind_word(map));
        return false;
    }
    for (size_t i = 0; map && i < map->n; i++) {
        const struct key *k = find_key(s, map->pair[i].key);

        if (k) {
            (void)key_read(f, &map->pair[i].value, k, base);
        } else {
            unknown_key(f, &map->pair[i], s, where);
        }
    }
    for (size_t i = 0; map && i < s->n && !override; i++) {
        /* What it is for stands behind, since who has not given it may not know of it. */
        if (s->key[i].needed && !node_get(map, s->key[i].name)) {
            fault_at(f, map->named, "'%s' needs the key '%s': %s", where, s->key[i].name,
                     s->key[i].help);
        }
    }
    return fault_count(f) == before;
}
