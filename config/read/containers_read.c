/* Containers, one by one or by pattern. */
#include "config/read/building.h"
#include "config/read/sections.h"
#include "daemon/base/mem.h"
#include "daemon/base/num.h"
#include "daemon/core/units/day.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* "A1..A12": a shared beginning and two numbers. A single name is a pattern of one. */
struct pattern {
    char stem[NAME_LEN_MAX + 1];
    int64_t first, last;
    int width; /* digits, where the first is written with zeros in front; 0 = as many as it takes */
    bool single; /* the stem is the whole name */
};

static void check_lines(struct building *b, const struct node *map, const struct container *c)
{
    const struct reservoir *v = &b->room.reservoir;
    double change_l = c->float_volume_l - c->remainder_l;
    double holds_l = v->capacity_l - v->remainder_l - v->line_loss_l;

    if (c->float_volume_l >= c->start_volume_l) {
        fault_at(&b->f, building_place(map, "float_volume"),
                 "float_volume: the float line (%.1f L) is not below the start line (%.1f L); "
                 "there would be no drawdown",
                 c->float_volume_l, c->start_volume_l);
    }
    if (c->remainder_l >= c->float_volume_l) {
        fault_at(&b->f, building_place(map, "remainder"),
                 "remainder: what stays after draining (%.1f L) is not below the float line "
                 "(%.1f L)",
                 c->remainder_l, c->float_volume_l);
    } else if (holds_l > 0 && change_l > holds_l) {
        fault_at(&b->f, building_place(map, "float_volume"),
                 "float_volume: a change takes %.1f L, and the reservoir can give %.1f L at once",
                 change_l, holds_l);
    }
}

static size_t find_crop(const struct crops *crops, const char *name)
{
    for (size_t i = 0; i < crops->n; i++) {
        if (strcmp(crops->crop[i].name, name) == 0) {
            return i;
        }
    }
    return CROP_UNKNOWN;
}

static size_t read_crop(struct building *b, const struct node *name)
{
    const char **known;
    size_t at;

    if (!name) {
        return CROP_UNKNOWN; /* keys_read has said so */
    }
    if (name->kind != NODE_SCALAR) {
        fault_at(&b->f, name->at, "crop: the name of a crop is wanted");
        return CROP_UNKNOWN;
    }
    at = find_crop(&b->crops, name->text);
    if (at == CROP_UNKNOWN && fault_is_full(&b->f)) {
        fault_at(&b->f, name->at, "crop: unknown");
    } else if (at == CROP_UNKNOWN) {
        known = mem_array(b->crops.n, sizeof *known);
        for (size_t i = 0; i < b->crops.n; i++) {
            known[i] = b->crops.crop[i].name;
        }
        building_unknown(b, name->at, "crop", name->text, "crops", known, b->crops.n);
        free(known);
    }
    return at;
}

/* Splits a name into its stem and the number at its end; false when it has none. */
static bool split_number(const char *name, size_t len, size_t *out_stem, int64_t *out)
{
    size_t at = len;
    char digits[12];

    while (at > 0 && name[at - 1] >= '0' && name[at - 1] <= '9') {
        at--;
    }
    if (at == 0 || at == len || len - at >= sizeof digits) {
        return false;
    }
    memcpy(digits, name + at, len - at);
    digits[len - at] = '\0';
    *out_stem = at;
    return num_parse_int(digits, 0, 999999, out, NULL) == 0;
}

static bool read_pattern(struct building *b, const struct pair *p, const char *dots,
                         struct pattern *out)
{
    size_t first_len = (size_t)(dots - p->key);
    const char *second = dots + 2;
    size_t stem = 0;
    size_t stem2 = 0;

    if (first_len > NAME_LEN_MAX || !split_number(p->key, first_len, &stem, &out->first) ||
        !split_number(second, strlen(second), &stem2, &out->last) || stem != stem2 ||
        strncmp(p->key, second, stem) != 0) {
        fault_at(&b->f, p->at, "'%.60s' is no pattern; write it as A1..A12", p->key);
        return false;
    }
    if (out->last < out->first || out->last - out->first >= ROOM_CONTAINERS_MAX) {
        fault_at(&b->f, p->at, "'%.60s' stands for no containers, or for more than %d", p->key,
                 ROOM_CONTAINERS_MAX);
        return false;
    }
    memcpy(out->stem, p->key, stem);
    out->width = p->key[stem] == '0' ? (int)(first_len - stem) : 0;
    return true;
}

static bool read_names(struct building *b, const struct pair *p, struct pattern *out)
{
    const char *dots = strstr(p->key, "..");

    if (dots) {
        return read_pattern(b, p, dots, out);
    }
    out->single = true;
    (void)snprintf(out->stem, sizeof out->stem, "%s", p->key);
    return building_check_name(b, p, "a container");
}

static void add_container(struct building *b, const struct container *c, struct place at,
                          struct place crop_at)
{
    struct room *r = &b->room;

    building_add_name(b, c->name, at);
    b->crop_at = mem_grow(b->crop_at, &b->cap_crop_at, r->n_containers + 1, sizeof *b->crop_at);
    b->crop_at[r->n_containers] = crop_at;
    r->container =
        mem_grow(r->container, &b->cap_containers, r->n_containers + 1, sizeof *r->container);
    r->container[r->n_containers++] = *c;
}

/* All that the pattern stands for, alike but for the name. */
static void add_containers(struct building *b, const struct pair *p, const struct pattern *names,
                           struct container *c)
{
    struct place crop_at = building_place(&p->value, "crop");
    char name[NAME_LEN_MAX + 16];

    for (int64_t i = names->first; i <= names->last; i++) {
        if (names->single) {
            (void)snprintf(name, sizeof name, "%s", names->stem);
        } else {
            (void)snprintf(name, sizeof name, "%s%0*d", names->stem, names->width, (int)i);
        }
        if (!name_is_valid(name)) {
            fault_at(&b->f, p->at, "'%.60s' is no pattern of names; '%s' is none", p->key, name);
            return;
        }
        if (b->room.n_containers == ROOM_CONTAINERS_MAX) {
            fault_at(&b->f, p->at, "with '%.60s' there are more than %d containers", p->key,
                     ROOM_CONTAINERS_MAX);
            return;
        }
        memcpy(c->name, name, strlen(name) + 1);
        add_container(b, c, p->at, crop_at);
    }
}

void container_read(struct building *b, const struct pair *p)
{
    struct container c = {.start_on = DAY_NONE};
    struct pattern names = {0};
    char where[WHERE_LEN];

    if (!read_names(b, p, &names)) {
        return;
    }
    (void)snprintf(where, sizeof where, "containers.%.60s", p->key);
    if (keys_read(&b->f, &p->value, &section_container, where, false, &c)) {
        check_lines(b, &p->value, &c);
    }
    c.crop = read_crop(b, node_get(&p->value, "crop"));
    add_containers(b, p, &names, &c);
}
