#include "config/read/crops_read.h"

#include "config/read/file_read.h"
#include "config/read/sections.h"
#include "config/read/shipped_crops.h"
#include "daemon/base/hash.h"
#include "daemon/base/mem.h"
#include "daemon/core/chem/ions.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define PATH_LEN 4096
#define WHERE    96

/* Far above any solution that a plant is fed (strong ones have some 300 mg/L of K): it catches a
 * slipped digit. Common practice, no source. */
#define FEED_MAX_MG_L 5000

static struct crop *find_crop(struct crops *crops, const char *name)
{
    for (size_t i = 0; i < crops->n; i++) {
        if (strcmp(crops->crop[i].name, name) == 0) {
            return &crops->crop[i];
        }
    }
    return NULL;
}

static void add_crop(struct crops *crops, const struct crop *c)
{
    crops->crop = mem_grow(crops->crop, &crops->cap, crops->n + 1, sizeof *crops->crop);
    crops->crop[crops->n++] = *c;
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

/* As building_place, but crops are read without a room in the making. */
static struct place place_in(const struct node *map, const char *key)
{
    const struct node *value = node_get(map, key);

    return value ? value->at : map->at;
}

/* "70 mg/L", or a list of the least and the most. */
static void read_span(struct faulty *f, const struct pair *p, struct span *out)
{
    const struct node *value = &p->value;
    bool two = value->kind == NODE_LIST && value->n == 2;
    struct span s = {0};

    if (!quantity_read(f, two ? &value->item[0] : value, p->key, QUANTITY_CONTENT, 0, FEED_MAX_MG_L,
                       true, &s.lo)) {
        return;
    }
    s.hi = s.lo;
    if (two && !quantity_read(f, &value->item[1], p->key, QUANTITY_CONTENT, 0, FEED_MAX_MG_L, true,
                              &s.hi)) {
        return;
    }
    if (s.hi < s.lo) {
        fault_at(f, value->at, "%s: %g mg/L is more than %g; the least comes first", p->key, s.lo,
                 s.hi);
        return;
    }
    *out = s;
}

static void read_feed(struct faulty *f, const struct node *item, const char *key,
                      struct span feed[FEED_COUNT])
{
    const struct node *map = node_get(item, key);

    if (map && map->kind != NODE_MAP) {
        fault_at(f, map->at, "'%s' is %s; a map is wanted", key, node_kind_word(map));
        return;
    }
    for (size_t i = 0; map && i < map->n; i++) {
        const struct pair *p = &map->pair[i];
        int at = 0;

        while (at < FEED_COUNT && strcmp(feed_words[at], p->key) != 0) {
            at++;
        }
        if (at == FEED_COUNT) {
            fault_at(f, p->at,
                     "%s: '%.40s' is not compared; it is one of N, P, K, Ca, Mg, S, "
                     "Fe, Mn, Zn, Cu, B and Mo",
                     key, p->key);
        } else {
            read_span(f, p, &feed[at]);
        }
    }
}

/* Proportions: whatever strength they were written down at, they are kept as what goes with 1 mS/cm
 * of them. */
static void read_takes(struct faulty *f, const struct node *item, struct nutrients *out)
{
    static const enum nutrient of_feed[FEED_COUNT] = {
        [FEED_N] = NUTRIENT_NO3_N, [FEED_P] = NUTRIENT_P,   [FEED_K] = NUTRIENT_K,
        [FEED_CA] = NUTRIENT_CA,   [FEED_MG] = NUTRIENT_MG, [FEED_S] = NUTRIENT_S,
        [FEED_FE] = NUTRIENT_FE,   [FEED_MN] = NUTRIENT_MN, [FEED_ZN] = NUTRIENT_ZN,
        [FEED_CU] = NUTRIENT_CU,   [FEED_B] = NUTRIENT_B,   [FEED_MO] = NUTRIENT_MO,
    };
    struct span told[FEED_COUNT] = {0};
    struct nutrients takes = {0};
    struct ions ions;
    double ec_ms_cm;

    read_feed(f, item, "takes", told);
    for (int k = 0; k < FEED_COUNT; k++) {
        takes.mg[of_feed[k]] = (told[k].lo + told[k].hi) / 2;
    }
    ions = ions_of_nutrients(&takes);
    ec_ms_cm = ions_ec_ms_cm(&ions);
    if (ec_ms_cm > 0) {
        nutrients_scale(&takes, 1 / ec_ms_cm);
        *out = takes;
    }
}

/* Solutions of a stage may last just so long (life_min = life_max), but a pH band of no width could
 * never be met. */
static void check_stage(struct faulty *f, const struct node *item, const struct stage *s)
{
    if (s->ph_min >= s->ph_max) {
        fault_at(f, place_in(item, "ph_max"),
                 "ph_max: in the stage '%s', %.1f is not above ph_min (%.1f)", s->name, s->ph_max,
                 s->ph_min);
    }
    if (node_get(item, "bump") && s->bump_frac < s->spent_frac) {
        fault_at(f, place_in(item, "bump"),
                 "bump: in the stage '%s', %g %% is below what counts as spent (%g %%)", s->name,
                 100 * s->bump_frac, 100 * s->spent_frac);
    }
    if (s->life_min_day > s->life_max_day) {
        fault_at(f, place_in(item, "life_max"),
                 "life_max: in the stage '%s', %g days are less than life_min (%g)", s->name,
                 s->life_max_day, s->life_min_day);
    }
}

/* Puts a new stage before the first that begins later: a room may add one between shipped ones. */
static void insert_stage(struct crop *c, const struct stage *s)
{
    size_t at = 0;

    while (at < c->n_stages && c->stage[at].from_day <= s->from_day) {
        at++;
    }
    memmove(&c->stage[at + 1], &c->stage[at], (c->n_stages - at) * sizeof *c->stage);
    c->stage[at] = *s;
    c->n_stages++;
}

/* A stage of a known name is changed in what is said; a new one is whole or a fault. */
static void read_stage(struct faulty *f, const struct node *item, struct crop *c, bool shipped)
{
    struct stage *known = find_stage(c, item);
    struct stage s = known ? *known : (struct stage){0};
    char where[WHERE];

    (void)snprintf(where, sizeof where, "crops.%s.stages", c->name);
    s.spent_frac *= 100; /* written as a percentage */
    s.bump_frac *= 100;
    if (!keys_read(f, item, &section_stage, where, known != NULL, &s)) {
        return;
    }
    s.spent_frac /= 100;
    s.bump_frac /= 100;
    read_feed(f, item, "feed", s.feed);
    read_takes(f, item, &s.takes);
    check_stage(f, item, &s);
    if (known) {
        *known = s;
    } else if (c->n_stages == ROOM_STAGES_MAX) {
        fault_at(f, item->at, "'%s' has more than %d stages", c->name, ROOM_STAGES_MAX);
    } else if (shipped) {
        insert_stage(c, &s);
    } else {
        c->stage[c->n_stages++] = s;
    }
}

/* Where the list says when stage k begins; at the list when it does not speak of it. */
static struct place place_of_stage(const struct node *stages, const char *name)
{
    for (size_t i = 0; i < stages->n; i++) {
        const struct node *called = node_get(&stages->item[i], "name");

        if (called && called->kind == NODE_SCALAR && strcmp(called->text, name) == 0) {
            return place_in(&stages->item[i], "from");
        }
    }
    return stages->named;
}

/* The age decides which stage a plant is in: two that begin at once would leave one without a
 * day, and a plant of 0 days has to be in one. */
static void check_order(struct faulty *f, const struct node *stages, const struct crop *c)
{
    for (size_t k = 1; k < c->n_stages; k++) {
        if (c->stage[k].from_day <= c->stage[k - 1].from_day) {
            fault_at(f, place_of_stage(stages, c->stage[k].name),
                     "from: the stage '%s' has to begin after '%s' (%g days)", c->stage[k].name,
                     c->stage[k - 1].name, c->stage[k - 1].from_day);
        }
    }
    if (c->n_stages && c->stage[0].from_day > 0) {
        fault_at(f, place_of_stage(stages, c->stage[0].name),
                 "from: the first stage, '%s', begins at 0 days", c->stage[0].name);
    }
}

/* In one list; a name that a shipped crop has already is a change to it, and no fault. */
static void check_names(struct faulty *f, const struct node *stages)
{
    for (size_t i = 1; i < stages->n; i++) {
        const struct node *name = node_get(&stages->item[i], "name");

        for (size_t k = 0; name && name->kind == NODE_SCALAR && k < i; k++) {
            const struct node *before = node_get(&stages->item[k], "name");

            if (before && before->kind == NODE_SCALAR && strcmp(before->text, name->text) == 0) {
                fault_at(f, name->at, "name: the stage '%.40s' is in this list twice", name->text);
                break;
            }
        }
    }
}

static void read_stages(struct faulty *f, const struct node *stages, struct crop *c)
{
    bool shipped = c->n_stages > 0;
    size_t before = fault_count(f);

    if (stages->kind != NODE_LIST || stages->n == 0 || stages->n > ROOM_STAGES_MAX) {
        fault_at(f, stages->at, "'crops.%s.stages' is a list of 1 to %d stages", c->name,
                 ROOM_STAGES_MAX);
        return;
    }
    check_names(f, stages);
    for (size_t i = 0; i < stages->n; i++) {
        read_stage(f, &stages->item[i], c, shipped);
    }
    if (fault_count(f) == before) { /* else one may be missing in between */
        check_order(f, stages, c);
    }
}

/* The two figures as they hold, told or not: what is hot is warm too. */
static void check_heat(struct faulty *f, const struct node *map, const struct crop *c)
{
    if (crop_hot_c(c) <= crop_warm_c(c)) {
        fault_at(f, place_in(map, node_get(map, "hot") ? "hot" : "warm"),
                 "crops.%s: hot (%.1f C) is not above warm (%.1f C)", c->name, crop_hot_c(c),
                 crop_warm_c(c));
    }
}

static void read_crop(struct faulty *f, const struct pair *p, struct crops *crops)
{
    struct crop *known = find_crop(crops, p->key);
    struct crop c = known ? *known : (struct crop){0};
    const struct node *stages = node_get(&p->value, "stages");
    char where[WHERE];

    if (!name_is_valid(p->key)) {
        fault_at(f, p->at, "'%.40s' is no name for a crop", p->key);
        return;
    }
    (void)snprintf(where, sizeof where, "crops.%s", p->key);
    (void)snprintf(c.name, sizeof c.name, "%s", p->key);
    (void)keys_read(f, &p->value, &section_crop, where, known != NULL, &c);
    read_feed(f, &p->value, "feed", c.feed);
    read_takes(f, &p->value, &c.takes);
    check_heat(f, &p->value, &c);
    if (stages) { /* else keys_read has said so, or the shipped crop has them */
        read_stages(f, stages, &c);
    }
    if (known) {
        *known = c;
        return;
    }
    add_crop(crops, &c);
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

/* Editors leave "kale.yaml~" and ".kale.yaml.swp" behind. */
/* What an editor hides beside a file while it is written is none. */
static int is_yaml(const struct dirent *d)
{
    size_t len = strlen(d->d_name);

    return d->d_name[0] != '.' && len > 5 && strcmp(d->d_name + len - 5, ".yaml") == 0;
}

static void read_text(struct faulty *f, const char *text, size_t len, struct crops *crops)
{
    struct node tree;

    if (yaml_tree_read(f, text, len, &tree)) {
        crops_read(f, &tree, crops);
        yaml_tree_free(&tree);
    }
}

void crops_read_shipped(struct room_faults *faults, struct crops *crops)
{
    for (const struct shipped_crop *c = shipped_crops; c->file; c++) {
        struct faulty f = {c->file, faults};

        read_text(&f, c->text, strlen(c->text), crops);
    }
}

static void read_file(struct room_faults *faults, const char *path, struct crops *crops)
{
    struct faulty f = {path, faults};
    char *text = NULL;
    size_t len = 0;

    if (file_read(&f, path, &text, &len)) {
        crops->made_of = hash_add_bytes(crops->made_of, &len, sizeof len);
        crops->made_of = hash_add_bytes(crops->made_of, text, len);
        read_text(&f, text, len, crops);
        free(text);
    }
}

/* Each crop of `from` takes the place of its namesake, or stands behind the others. */
static void replace_crops(struct crops *crops, const struct crops *from)
{
    for (size_t i = 0; i < from->n; i++) {
        struct crop *known = find_crop(crops, from->crop[i].name);

        if (known) {
            *known = from->crop[i];
        } else {
            add_crop(crops, &from->crop[i]);
        }
    }
}

void crops_read_dir(struct room_faults *faults, const char *dir, struct crops *crops)
{
    struct faulty f = {dir, faults};
    struct crops found = {.made_of = crops->made_of};
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
        read_file(faults, path, &found);
        free(name[i]);
    }
    free(name);
    crops->made_of = found.made_of;
    replace_crops(crops, &found);
    free(found.crop);
}
