#include "config/read/yaml_tree.h"

#include "config/read/file_read.h"
#include "daemon/base/hash.h"
#include "daemon/base/mem.h"
#include "daemon/base/utf8.h"

#include <stdlib.h>
#include <string.h>
#include <yaml.h>

struct yaml_walk {
    struct faulty *f;
    const char *text;
    size_t len;
    yaml_parser_t parser;
    unsigned n_events;
    bool failed; /* a fault after which nothing more can be made of the file */
};

static struct place place_of(yaml_mark_t mark)
{
    return (struct place){(unsigned)mark.line + 1, (unsigned)mark.column + 1};
}

static bool check_mark(struct faulty *f, const char *text, size_t len)
{
    if (len >= 2 && (memcmp(text, "\xFF\xFE", 2) == 0 || memcmp(text, "\xFE\xFF", 2) == 0)) {
        fault_at(f, (struct place){1, 1}, "the file is UTF-16; save it as UTF-8");
        return false;
    }
    if (len >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) {
        fault_at(f, (struct place){1, 1},
                 "the file begins with a byte order mark; save it as UTF-8 without one");
        return false;
    }
    return true;
}

/* All of the file is checked before libyaml sees it: it would stop at the first bad byte without a
 * place, and characters that hide in a line would pass. */
static bool check_bytes(struct faulty *f, const char *text, size_t len)
{
    struct place at = {1, 1};
    unsigned code = 0;

    if (len > ROOM_FILE_MAX) {
        fault_at(f, at, "the file has %zu bytes; at most %d are read", len, ROOM_FILE_MAX);
        return false;
    }
    for (size_t i = 0; i < len;) {
        size_t n = utf8_at(text + i, len - i, &code);

        if (n == 0) {
            fault_at(f, at, "this is not UTF-8 (byte 0x%02x); save the file as UTF-8",
                     (unsigned char)text[i]);
            return false;
        }
        if (utf8_is_hidden(code)) {
            fault_at(f, at, "the character U+%04X has no place in a room file; take it out", code);
            return false;
        }
        i += n;
        at.column++;
        if (code == '\n' || (code == '\r' && (i == len || text[i] != '\n'))) {
            at = (struct place){at.line + 1, 1};
        }
    }
    return true;
}

/* The mark counts characters, not bytes. */
static bool is_tab_at(const struct yaml_walk *r, size_t n_before)
{
    size_t i = 0;
    unsigned code = 0;

    while (i < r->len && n_before-- > 0) {
        i += utf8_at(r->text + i, r->len - i, &code);
    }
    return i < r->len && r->text[i] == '\t';
}

/* What libyaml cannot make sense of, in its words; but for the tab, which everybody meets once. */
static void refuse_syntax(struct yaml_walk *r)
{
    yaml_mark_t mark = r->parser.problem_mark;

    if (is_tab_at(r, mark.index)) {
        fault_at(r->f, place_of(mark), "a tab cannot indent; use spaces");
    } else {
        fault_at(r->f, place_of(mark), "this is not YAML: %s",
                 r->parser.problem ? r->parser.problem : "it cannot be read");
    }
    r->failed = true;
}

static bool next_event(struct yaml_walk *r, yaml_event_t *ev)
{
    if (!yaml_parser_parse(&r->parser, ev)) {
        refuse_syntax(r);
        return false;
    }
    if (++r->n_events > YAML_EVENTS_MAX) {
        fault_at(r->f, place_of(ev->start_mark),
                 "the file has too many parts; use patterns such as A1..A12");
        yaml_event_delete(ev);
        r->failed = true;
        return false;
    }
    return true;
}

static void refuse(struct yaml_walk *r, const yaml_event_t *ev, const char *what)
{
    fault_at(r->f, place_of(ev->start_mark), "%s are not read here; write it out", what);
    r->failed = true;
}

/* Anchors let a small file stand for a huge tree, and a tag gives a value another meaning; a
 * room needs neither. */
static bool check_plain(struct yaml_walk *r, const yaml_event_t *ev, const yaml_char_t *anchor,
                        const yaml_char_t *tag)
{
    if (anchor) {
        refuse(r, ev, "anchors (&name)");
    } else if (tag) {
        refuse(r, ev, "tags (!name)");
    }
    return !anchor && !tag;
}

/* Escapes ("\x1b") can write what may not stand in the file itself, and a terminal would obey. */
static bool is_clean(const char *s, size_t len)
{
    unsigned code = 0;

    for (size_t i = 0; i < len;) {
        size_t n = utf8_at(s + i, len - i, &code);

        if (n == 0 || code < 0x20 || utf8_is_hidden(code)) {
            return false;
        }
        i += n;
    }
    return true;
}

static bool take_scalar(struct yaml_walk *r, const yaml_event_t *ev, struct node *out)
{
    const char *value = (const char *)ev->data.scalar.value;
    size_t len = ev->data.scalar.length;

    if (!check_plain(r, ev, ev->data.scalar.anchor, ev->data.scalar.tag)) {
        return false;
    }
    if (len > YAML_SCALAR_MAX) {
        fault_at(r->f, place_of(ev->start_mark), "this text has %zu bytes; at most %d are read",
                 len, YAML_SCALAR_MAX);
        r->failed = true;
        return false;
    }
    if (!is_clean(value, len)) {
        fault_at(r->f, place_of(ev->start_mark),
                 "this text has a line break or a control character in it; write it on one line");
        r->failed = true;
        return false;
    }
    out->kind = NODE_SCALAR;
    out->text = mem_strdup(value);
    return true;
}

static bool take_node(struct yaml_walk *r, yaml_event_t *ev, unsigned depth, struct node *out);

/* An item has no key: what it lacks is told where it begins. */
static bool take_list(struct yaml_walk *r, unsigned depth, struct node *out)
{
    yaml_event_t ev;

    out->kind = NODE_LIST;
    while (next_event(r, &ev)) {
        bool end = ev.type == YAML_SEQUENCE_END_EVENT;

        if (!end) {
            out->item = mem_grow(out->item, &out->cap, out->n + 1, sizeof *out->item);
            memset(&out->item[out->n], 0, sizeof *out->item);
            out->item[out->n].named = place_of(ev.start_mark);
            (void)take_node(r, &ev, depth + 1, &out->item[out->n++]);
        }
        yaml_event_delete(&ev);
        if (end || r->failed) {
            break;
        }
    }
    return !r->failed;
}

static bool check_key(struct yaml_walk *r, const yaml_event_t *ev)
{
    struct place at = place_of(ev->start_mark);
    const char *key;

    if (ev->type != YAML_SCALAR_EVENT) {
        fault_at(r->f, at, "a key has to be a plain word");
        r->failed = true;
        return false;
    }
    key = (const char *)ev->data.scalar.value;
    if (ev->data.scalar.length > YAML_KEY_MAX || !is_clean(key, ev->data.scalar.length)) {
        fault_at(r->f, at, "a key is one line of at most %d bytes", YAML_KEY_MAX);
        r->failed = true;
        return false;
    }
    if (strcmp(key, "<<") == 0) {
        refuse(r, ev, "merge keys (<<)");
        return false;
    }
    return check_plain(r, ev, ev->data.scalar.anchor, ev->data.scalar.tag);
}

/* YAML leaves it to the reader what a key that stands twice means; here it is a mistake, and the
 * first counts, so that the rest of the file is read as it was meant. */
static bool is_twice(struct yaml_walk *r, const struct node *map, const struct pair *p)
{
    for (size_t i = 0; &map->pair[i] < p; i++) {
        if (map->pair[i].hash == p->hash && strcmp(map->pair[i].key, p->key) == 0) {
            fault_at(r->f, p->at, "'%s' stands here twice; first in line %u", p->key,
                     map->pair[i].at.line);
            return true;
        }
    }
    return false;
}

static bool take_pair(struct yaml_walk *r, const yaml_event_t *key, unsigned depth,
                      struct node *out)
{
    struct pair *p;
    yaml_event_t ev;
    bool twice;

    if (!check_key(r, key)) {
        return false;
    }
    out->pair = mem_grow(out->pair, &out->cap, out->n + 1, sizeof *out->pair);
    p = &out->pair[out->n++];
    memset(p, 0, sizeof *p);
    p->key = mem_strdup((const char *)key->data.scalar.value);
    p->hash = hash_text(p->key);
    p->at = place_of(key->start_mark);
    p->value.named = p->at;
    twice = is_twice(r, out, p);
    if (next_event(r, &ev)) {
        (void)take_node(r, &ev, depth + 1, &p->value);
        yaml_event_delete(&ev);
    }
    if (twice) { /* one mistake, one fault: nobody reads what it says */
        free(p->key);
        yaml_tree_free(&p->value);
        out->n--;
    }
    return !r->failed;
}

static bool take_map(struct yaml_walk *r, unsigned depth, struct node *out)
{
    yaml_event_t ev;

    out->kind = NODE_MAP;
    while (next_event(r, &ev)) {
        bool end = ev.type == YAML_MAPPING_END_EVENT;

        if (!end) {
            (void)take_pair(r, &ev, depth, out);
        }
        yaml_event_delete(&ev);
        if (end || r->failed) {
            break;
        }
    }
    return !r->failed;
}

/* The recursion is bounded by YAML_DEPTH_MAX. */
static bool take_node(struct yaml_walk *r, yaml_event_t *ev, unsigned depth, struct node *out)
{
    out->at = place_of(ev->start_mark);
    if (depth > YAML_DEPTH_MAX) {
        fault_at(r->f, out->at, "this is nested more than %d deep", YAML_DEPTH_MAX);
        r->failed = true;
        return false;
    }
    switch (ev->type) {
    case YAML_SCALAR_EVENT:
        return take_scalar(r, ev, out);
    case YAML_SEQUENCE_START_EVENT:
        return check_plain(r, ev, ev->data.sequence_start.anchor, ev->data.sequence_start.tag) &&
               take_list(r, depth, out);
    case YAML_MAPPING_START_EVENT:
        return check_plain(r, ev, ev->data.mapping_start.anchor, ev->data.mapping_start.tag) &&
               take_map(r, depth, out);
    case YAML_ALIAS_EVENT:
        refuse(r, ev, "aliases (*name)");
        return false;
    default:
        fault_at(r->f, out->at, "something is missing here");
        r->failed = true;
        return false;
    }
}

static bool take_document(struct yaml_walk *r, struct node *out)
{
    bool seen = false;
    yaml_event_t ev;

    while (!r->failed && next_event(r, &ev)) {
        bool end = ev.type == YAML_STREAM_END_EVENT;
        bool frame = end || ev.type == YAML_STREAM_START_EVENT ||
                     ev.type == YAML_DOCUMENT_START_EVENT || ev.type == YAML_DOCUMENT_END_EVENT;

        if (ev.type == YAML_DOCUMENT_START_EVENT && seen) {
            fault_at(r->f, place_of(ev.start_mark),
                     "a second document begins here; one file is one "
                     "document");
            r->failed = true;
        }
        if (!frame) {
            seen = true;
            (void)take_node(r, &ev, 1, out);
        }
        yaml_event_delete(&ev);
        if (end) {
            break;
        }
    }
    if (!r->failed && !seen) {
        fault_at(r->f, (struct place){1, 1}, "the file is empty");
        r->failed = true;
    }
    return !r->failed;
}

bool yaml_tree_read(struct faulty *f, const char *text, size_t len, struct node *out)
{
    struct yaml_walk r = {.f = f, .text = text, .len = len};

    memset(out, 0, sizeof *out);
    out->named = (struct place){1, 1};
    if (!check_mark(f, text, len) || !check_bytes(f, text, len)) {
        return false;
    }
    if (!yaml_parser_initialize(&r.parser)) {
        fault_at(f, (struct place){1, 1}, "out of memory");
        return false;
    }
    yaml_parser_set_encoding(&r.parser, YAML_UTF8_ENCODING);
    yaml_parser_set_input_string(&r.parser, (const unsigned char *)text, len);
    (void)take_document(&r, out);
    yaml_parser_delete(&r.parser);
    if (r.failed) {
        yaml_tree_free(out);
    }
    return !r.failed;
}

void yaml_tree_free(struct node *n)
{
    for (size_t i = 0; i < n->n && n->kind == NODE_LIST; i++) {
        yaml_tree_free(&n->item[i]);
    }
    for (size_t i = 0; i < n->n && n->kind == NODE_MAP; i++) {
        free(n->pair[i].key);
        yaml_tree_free(&n->pair[i].value);
    }
    free(n->text);
    free(n->pair);
    free(n->item);
    memset(n, 0, sizeof *n);
}

const struct node *node_get(const struct node *n, const char *key)
{
    for (size_t i = 0; n && n->kind == NODE_MAP && i < n->n; i++) {
        if (strcmp(n->pair[i].key, key) == 0) {
            return &n->pair[i].value;
        }
    }
    return NULL;
}

const char *node_kind_word(const struct node *n)
{
    return n->kind == NODE_MAP ? "a map" : n->kind == NODE_LIST ? "a list" : "a single value";
}
