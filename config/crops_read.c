#include "config/crops_read.h"

#include "config/file_read.h"
#include "config/sections.h"
#include "daemon/base/mem.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define PATH_LEN 4096
#define WHERE    96

static struct crop *find_crop(struct crops *crops, const char *name)
{
    for (size_t i = 0; i < crops->n; i++) {
        if (strcmp(crops->crop[i].name, name) == 0) {
            return &crops->crop[i];
        }
    }
    return NULL;
}

static struct stage *find_stage(struct crop *c, const struct node *item)
{
    const struct node *name = node_get(item, "name");

    for (size_t i = 0; name && name->kind == NODE_SCALAR && i < c->n_stages; i++) {
        if (strcmp(c->stage[i].name, name->text) == 0) {
            return &c->stage[i];
        }
    }
    return NULL;
}

static void check_stage(struct faulty *f, const struct node *item, const struct stage *s)
{
    if (s->ph_min >= s->ph_max) {
        fault_at(f, item->at, "stage '%s': ph_min %.1f is not below ph_max %.1f", s->name,
                 s->ph_min, s->ph_max);
    }
    if (s->life_min_day > s->life_max_day) {
        fault_at(f, item->at, "stage '%s': life_min is longer than life_max", s->name);
    }
}

static void read_stage(struct faulty *f, const struct node *item, struct crop *c)
{
    struct stage *known = find_stage(c, item);
    struct stage s = known ? *known : (struct stage){0};
    char where[WHERE];

    (void)snprintf(where, sizeof where, "crops.%s.stages", c->name);
    if (item->kind != NODE_MAP) {
        fault_at(f, item->at, "'%s' holds %s; each stage is a map of keys", where,
                 node_kind_word(item));
        return;
    }
    s.spent_frac *= 100; /* written as a percentage */
    if (!keys_read(f, item, &section_stage, where, known != NULL, &s)) {
        return;
    }
    s.spent_frac /= 100;
    check_stage(f, item, &s);
    if (known) {
        *known = s;
    } else if (c->n_stages == ROOM_STAGES_MAX) {
        fault_at(f, item->at, "'%s' has more than %d stages", c->name, ROOM_STAGES_MAX);
    } else {
        c->stage[c->n_stages++] = s;
    }
}

static void check_order(struct faulty *f, const struct node *stages, const struct crop *c)
{
    for (size_t k = 1; k < c->n_stages; k++) {
        if (c->stage[k].from_day <= c->stage[k - 1].from_day) {
            fault_at(f, stages->at, "stage '%s' of %s does not begin after '%s'", c->stage[k].name,
                     c->name, c->stage[k - 1].name);
        }
    }
    if (c->n_stages && c->stage[0].from_day > 0) {
        fault_at(f, stages->at, "the first stage of %s begins at 0 days", c->name);
    }
}

static void read_stages(struct faulty *f, const struct node *stages, struct crop *c)
{
    if (stages->kind != NODE_LIST || stages->n == 0) {
        fault_at(f, stages->at, "'crops.%s.stages' is a list of at least one stage", c->name);
        return;
    }
    for (size_t i = 0; i < stages->n; i++) {
        read_stage(f, &stages->item[i], c);
    }
    check_order(f, stages, c);
}

static void read_crop(struct faulty *f, const struct pair *p, struct crops *crops)
{
    struct crop *known = find_crop(crops, p->key);
    struct crop c = known ? *known : (struct crop){0};
    const struct node *stages = node_get(&p->value, "stages");
    char where[WHERE];

    if (!room_name_is_valid(p->key)) {
        fault_at(f, p->at, "'%.40s' is no name for a crop", p->key);
        return;
    }
    (void)snprintf(where, sizeof where, "crops.%s", p->key);
    (void)snprintf(c.name, sizeof c.name, "%s", p->key);
    (void)keys_read(f, &p->value, &section_crop, where, known != NULL, &c);
    if (stages) {
        read_stages(f, stages, &c);
    }
    if (known) {
        *known = c;
        return;
    }
    crops->crop = mem_grow(crops->crop, &crops->cap, crops->n + 1, sizeof *crops->crop);
    crops->crop[crops->n++] = c;
}

void crops_read(struct faulty *f, const struct node *map, struct crops *crops)
{
    if (map->kind != NODE_MAP) {
        fault_at(f, map->at, "'crops' is %s; a map of crops by name is wanted",
                 node_kind_word(map));
        return;
    }
    for (size_t i = 0; i < map->n; i++) {
        read_crop(f, &map->pair[i], crops);
    }
}

static int is_yaml(const struct dirent *d)
{
    size_t len = strlen(d->d_name);

    return len > 5 && strcmp(d->d_name + len - 5, ".yaml") == 0;
}

static void read_file(struct room_faults *faults, const char *path, struct crops *crops)
{
    struct faulty f = {path, faults};
    struct node tree;
    char *text = NULL;
    size_t len = 0;

    if (!file_read(&f, path, &text, &len)) {
        return;
    }
    if (yaml_tree_read(&f, text, len, &tree)) {
        crops_read(&f, &tree, crops);
        yaml_tree_free(&tree);
    }
    free(text);
}

void crops_read_dir(struct room_faults *faults, const char *dir, struct crops *crops)
{
    struct faulty f = {dir, faults};
    struct dirent **name = NULL;
    int n = scandir(dir, &name, is_yaml, alphasort);
    char path[PATH_LEN];

    if (n < 0) {
        fault_at(&f, (struct place){0, 0},
                 "the folder of crops cannot be read; name it with --crops");
        return;
    }
    for (int i = 0; i < n; i++) {
        (void)snprintf(path, sizeof path, "%s/%s", dir, name[i]->d_name);
        read_file(faults, path, crops);
        free(name[i]);
    }
    free(name);
}
