#include "config/read/containers_read.h"

#include "config/read/sections.h"
#include "daemon/base/mem.h"
#include "daemon/base/names.h"
#include "daemon/core/units/day.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The start line lies above the float line, so that a plant draws down at first; and the float
 * line above what stays after draining, so that a change changes something. A change is mixed at
 * one go: it may not take more than the reservoir gives at once. Each is told at the key that is
 * likeliest wrong. */
static void check_lines(struct building *b, const struct node *map, const struct container *c)
{
    const struct reservoir *v = &b->room.reservoir;
    double change_l = c->float_volume_l - c->remainder_l;
    double holds_l = v->capacity_l - v->remainder_l - v->line_loss_l;

    building_check_ruler(b, map, "float_height", c->float_height_m, "start_height",
                         c->start_height_m);
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
    } else if (holds_l > 0 /* else the reservoir is at fault, and has been told */ &&
               change_l > holds_l) {
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
    /* Twenty thousand containers of a misspelled crop: the search for what was meant takes long,
     * and nobody would see what it found. */
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

/* The bound comes before anything is made: "A1..A999999999" costs nothing. */
static bool read_run(struct building *b, const struct pair *p, struct name_run *out)
{
    if (!name_run_parse(p->key, out)) {
        fault_at(&b->f, p->at, "'%.60s' is no pattern; write it as A1..A12", p->key);
        return false;
    }
    if (out->to < out->from || out->to - out->from >= ROOM_CONTAINERS_MAX) {
        fault_at(&b->f, p->at, "'%.60s' stands for no containers, or for more than %d", p->key,
                 ROOM_CONTAINERS_MAX);
        return false;
    }
    return true;
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

/* One of what the pattern stands for. False with the fault noted: the others would fail alike. */
static bool add_named(struct building *b, const struct pair *p, const char *name,
                      struct container *c)
{
    if (!name_is_valid(name)) {
        fault_at(&b->f, p->at, "'%.60s' is no pattern of names; '%s' is none", p->key, name);
        return false;
    }
    if (b->room.n_containers == ROOM_CONTAINERS_MAX) {
        fault_at(&b->f, p->at, "with '%.60s' there are more than %d containers", p->key,
                 ROOM_CONTAINERS_MAX);
        return false;
    }
    (void)snprintf(c->name, sizeof c->name, "%s", name);
    add_container(b, c, p->at, building_place(&p->value, "crop"));
    return true;
}

/* A name of one: a run cannot have been called by one. */
static void read_was(struct building *b, const struct node *was, bool is_run, struct container *c)
{
    if (!was) {
        return;
    }
    if (was->kind != NODE_SCALAR || !name_is_valid(was->text) || is_run) {
        fault_at(&b->f, was->at,
                 is_run ? "was: a run of containers has no old name"
                        : "was: the old name of the container is wanted");
        return;
    }
    (void)snprintf(c->was, sizeof c->was, "%s", was->text);
    building_add_name(b, c->was, was->at);
}

/* All that a pattern stands for are alike but for the name, so the map is read and told off
 * once. A container whose map is at fault is added all the same: its name is taken, and whoever
 * names it later is not told that it is unknown. */
void container_read(struct building *b, const struct pair *p)
{
    bool is_run = strstr(p->key, "..") != NULL;
    struct container c = {.start_on = DAY_NONE};
    struct name_run run = {0};
    char name[NAME_RUN_TEXT_MAX];
    char where[WHERE_LEN];

    if (is_run ? !read_run(b, p, &run) : !building_check_name(b, p, "a container")) {
        return;
    }
    (void)snprintf(where, sizeof where, "containers.%.60s", p->key);
    if (keys_read(&b->f, &p->value, &section_container, where, false, &c)) {
        check_lines(b, &p->value, &c);
    }
    c.crop = read_crop(b, node_get(&p->value, "crop"));
    read_was(b, node_get(&p->value, "was"), is_run, &c);
    if (!is_run) {
        (void)add_named(b, p, p->key, &c);
        return;
    }
    for (int64_t i = run.from; i <= run.to; i++) {
        if (!add_named(b, p, name_run_write(name, &run, i), &c)) {
            return;
        }
    }
}
