#include "config/read/room_read.h"

#include "config/read/analysis_read.h"
#include "config/read/building.h"
#include "config/read/containers_read.h"
#include "config/read/file_read.h"
#include "config/read/products_read.h"
#include "config/read/sections.h"
#include "config/read/solubility.h"
#include "config/read/zone_read.h"
#include "daemon/base/hash.h"
#include "daemon/base/mem.h"
#include "daemon/core/chem/gravity.h"
#include "daemon/core/chem/membrane.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define NOTIFY_WORDS 32
#define MIN_PER_H    60
#define FLOW_L_MIN   4 /* a garden hose of 13 mm from a shelf; common practice */

static void read_room(struct building *b)
{
    const struct node *map = node_get(b->file, "room");
    struct err e;

    if (!map) {
        return;
    }
    (void)keys_read(&b->f, map, &section_room, "room", false, &b->room);
    if (*b->room.zone_name && zone_read(b->room.zone_name, &b->room.zone, &e) < 0) {
        fault_at(&b->f, building_place(map, "zone"), "zone: %s", e.msg);
    }
}

/* A membrane makes less when its feed is cold, and lets a share of the salts through; both are
 * reckoned from what stands on the unit (membrane.h). A strength that was measured goes before
 * one reckoned. */
static void read_source(struct building *b)
{
    const struct node *map = node_get(b->file, "source_water");
    struct source s = {.water.ec_ms_cm = NAN, .water.alkalinity_mg_l = NAN, .feed_c = NAN};

    if (!map) {
        return;
    }
    (void)keys_read(&b->f, map, &section_source, "source_water", false, &s);
    s.water.rate_l_h *= MIN_PER_H; /* quantity.h counts flows in litres a minute */
    if (isfinite(s.feed_c)) {
        s.water.rate_l_h *= membrane_flow_factor(s.feed_c, s.rated_c);
    }
    s.water.recovery_frac = s.recovery_pct / 100;
    if (isnan(s.water.ec_ms_cm) && !node_get(map, "ec") && s.feed_ms_cm > 0) {
        s.water.ec_ms_cm = membrane_permeate(s.feed_ms_cm, s.rejection_pct / 100);
    } else if (!node_get(map, "ec")) {
        fault_at(&b->f, map->named,
                 "'source_water' needs the key 'ec': its strength; or 'feed_ec' "
                 "and 'rejection', and it is reckoned");
    }
    analysis_read(b, map, &s.water);
    b->room.source = s.water;
}

/* Measured goes before reckoned, and reckoned before the common hose. */
static void read_flow(struct building *b, const struct node *map, struct reservoir *r)
{
    if ((r->outlet_m > 0) != (r->head_m > 0)) {
        fault_at(&b->f, building_place(map, r->outlet_m > 0 ? "outlet" : "head"),
                 "%s: the flow is reckoned from 'outlet' and 'head' together",
                 r->outlet_m > 0 ? "outlet" : "head");
    }
    if (r->flow_l_min == 0) {
        r->flow_l_min = r->outlet_m > 0
                            ? gravity_flow_l_min(r->outlet_m * 1000, r->head_m, GRAVITY_SHARP_EDGE)
                            : FLOW_L_MIN;
    }
}

static void read_reservoir(struct building *b)
{
    const struct node *map = node_get(b->file, "reservoir");
    struct reservoir *r = &b->room.reservoir;

    if (!map || !keys_read(&b->f, map, &section_reservoir, "reservoir", false, r)) {
        return;
    }
    read_flow(b, map, r);
    building_check_ruler(b, map, "outlet_height", r->outlet_height_m, "full_height",
                         r->full_height_m);
    if (r->low_l >= r->capacity_l) {
        fault_at(&b->f, building_place(map, "low"),
                 "low: the low mark (%.1f L) is not below the capacity (%.1f L)", r->low_l,
                 r->capacity_l);
    }
    if (r->low_l <= r->remainder_l) {
        fault_at(&b->f, building_place(map, "low"),
                 "low: the low mark (%.1f L) is not above what cannot be used (%.1f L)", r->low_l,
                 r->remainder_l);
    }
    if (r->line_loss_l >= r->capacity_l - r->remainder_l) {
        fault_at(&b->f, building_place(map, "line_loss"),
                 "line_loss: a full reservoir (%.1f L to use) would stay in the lines",
                 r->capacity_l - r->remainder_l);
    }
}

static void read_meter(struct building *b, const struct pair *p)
{
    struct meter meter = {0};
    char where[WHERE_LEN];

    if (!building_check_name(b, p, "a meter")) {
        return;
    }
    (void)snprintf(where, sizeof where, "meters.%s", p->key);
    (void)snprintf(meter.name, sizeof meter.name, "%s", p->key);
    (void)keys_read(&b->f, &p->value, &section_meter, where, false, &meter);
    meter.warmth.per_degree /= 100; /* written as a percentage */
    building_add_name(b, p->key, p->at);
    b->room.meter =
        mem_grow(b->room.meter, &b->cap_meters, b->room.n_meters + 1, sizeof *b->room.meter);
    b->room.meter[b->room.n_meters++] = meter;
}

/* Run without a shell, so it is a list of words, and the command a whole path: the service has
 * no search path that an owner could rely on. */
static void read_notify(struct building *b)
{
    const struct node *list = node_get(b->file, "notify");

    if (!list) {
        return;
    }
    if (list->kind != NODE_LIST || list->n == 0 || list->n > NOTIFY_WORDS) {
        fault_at(&b->f, list->at, "'notify' is a list of 1 to %d words, the command first",
                 NOTIFY_WORDS);
        return;
    }
    b->room.notify = mem_array(list->n + 1, sizeof *b->room.notify);
    for (size_t i = 0; i < list->n; i++) {
        const struct node *word = &list->item[i];

        if (word->kind != NODE_SCALAR) {
            fault_at(&b->f, word->at, "notify: each word is a single value");
            return;
        }
        if (i == 0 && word->text[0] != '/') {
            fault_at(&b->f, word->at, "notify: the command is a whole path, from / on");
        }
        b->room.notify[i] = mem_strdup(word->text);
    }
}

/* "2026-05-01" or "2026-05-01..2026-05-03" */
static bool read_days_off(struct building *b, const struct node *item, struct days *out)
{
    const char *dots = item->kind == NODE_SCALAR ? strstr(item->text, "..") : NULL;
    char from[DAY_TEXT_MAX];
    struct err e = {0};

    if (item->kind != NODE_SCALAR) {
        fault_at(&b->f, item->at, "labour.off: each is a day, or the first and last of several");
        return false;
    }
    (void)snprintf(from, sizeof from, "%.*s", dots ? (int)(dots - item->text) : DAY_TEXT_MAX,
                   item->text);
    if (day_parse(from, &out->from, &e) < 0 ||
        day_parse(dots ? dots + 2 : from, &out->to, &e) < 0) {
        fault_at(&b->f, item->at, "labour.off: %s", e.msg);
        return false;
    }
    if (out->to < out->from) {
        fault_at(&b->f, item->at, "labour.off: the last day comes before the first");
        return false;
    }
    return true;
}

/* Without a day of work nothing could ever be planned, and every task would be late for ever. */
static void read_off(struct building *b, const struct node *labour)
{
    const struct node *list = node_get(labour, "off");
    struct labour *l = &b->room.labour;
    bool works = false;

    for (int i = 0; i < 7; i++) {
        works = works || l->budget_min[i] > 0;
    }
    if (!works) {
        fault_at(&b->f, labour->at, "labour: no day of the week has any minutes for work");
    }
    if (!list) {
        return;
    }
    if (list->kind != NODE_LIST) {
        fault_at(&b->f, list->at, "'off' is a list of days, such as [2026-05-01..2026-05-03]");
        return;
    }
    l->off = mem_array(list->n, sizeof *l->off);
    for (size_t i = 0; i < list->n; i++) {
        l->n_off += read_days_off(b, &list->item[i], &l->off[l->n_off]) ? 1 : 0;
    }
}

/* "monday" */
static int weekday_of(const char *text)
{
    static const char *const words[] = {"monday", "tuesday",  "wednesday", "thursday",
                                        "friday", "saturday", "sunday",    NULL};

    for (int k = 0; words[k]; k++) {
        if (strcmp(words[k], text) == 0) {
            return k;
        }
    }
    return -1;
}

static void read_wished(struct building *b, const struct node *labour)
{
    const struct node *list = node_get(labour, "days");
    struct labour *l = &b->room.labour;

    if (!list) {
        return;
    }
    if (list->kind != NODE_LIST) {
        fault_at(&b->f, list->at, "'days' is a list of weekdays, such as [monday, thursday]");
        return;
    }
    for (size_t i = 0; i < list->n; i++) {
        const struct node *item = &list->item[i];
        int day = item->kind == NODE_SCALAR ? weekday_of(item->text) : -1;

        if (day < 0) {
            fault_at(&b->f, item->at, "labour.days: each is a weekday, such as monday");
        } else if (!(l->budget_min[day] > 0)) {
            fault_at(&b->f, item->at, "labour.days: there are no minutes for work on a %s",
                     item->text);
        } else {
            l->wished[day] = true;
        }
    }
}

static void read_crops(struct building *b, const char *crops_dir)
{
    const struct node *map = node_get(b->file, "crops");

    crops_read_shipped(b->f.faults, &b->crops);
    if (crops_dir) {
        crops_read_dir(b->f.faults, crops_dir, &b->crops);
    }
    if (map) {
        crops_read(&b->f, map, &b->crops);
    }
}

/* The recipes that a crop's stages name. Returns the first that the room has not, or NULL. */
static const char *resolve_recipes(const struct room *r, struct crop *c)
{
    for (size_t k = 0; k < c->n_stages; k++) {
        int at = recipe_find(r, c->stage[k].recipe);

        if (at < 0) {
            return c->stage[k].recipe;
        }
        c->stage[k].recipe_at = (size_t)at;
    }
    return NULL;
}

static void missing_recipe(struct building *b, struct place at, const char *what,
                           const char *recipe)
{
    const char **known = mem_array(b->room.n_recipes, sizeof *known);

    for (size_t i = 0; i < b->room.n_recipes; i++) {
        known[i] = b->room.recipe[i].name;
    }
    building_unknown(b, at, what, recipe, "recipes", known, b->room.n_recipes);
    free(known);
}

/* What is kept in the reservoir: a strength and its recipe go together, and it feeds only above
 * what the water brings. */
static void settle_feed(struct building *b)
{
    struct reservoir *v = &b->room.reservoir;
    int at = recipe_find(&b->room, v->feed_recipe);

    if (room_feeds(&b->room) != (v->feed_recipe[0] != '\0')) {
        fault_at(
            &b->f,
            building_place(node_get(b->file, "reservoir"),
                           room_feeds(&b->room) ? "feed" : "feed_recipe"),
            "reservoir: 'feed' and 'feed_recipe' go together: how strong, and by which recipe");
    } else if (room_feeds(&b->room) && at < 0) {
        missing_recipe(b, building_place(node_get(b->file, "reservoir"), "feed_recipe"),
                       "feed_recipe", v->feed_recipe);
    } else if (room_feeds(&b->room) && v->feed_ms_cm <= b->room.source.ec_ms_cm) {
        fault_at(&b->f, building_place(node_get(b->file, "reservoir"), "feed"),
                 "reservoir: a feed of %.2f mS/cm is no stronger than the source's water (%.2f)",
                 v->feed_ms_cm, b->room.source.ec_ms_cm);
    }
    v->feed_at = at < 0 ? 0 : (size_t)at;
}

/* Keeps the crops whose recipes the room has, and points the containers at what is kept. A crop
 * that nobody starts may want recipes that are not there; one that is started may not. */
static void settle_crops(struct building *b)
{
    struct room *r = &b->room;
    size_t *moved = mem_array(b->crops.n, sizeof *moved);
    const char **missing = mem_array(b->crops.n, sizeof *missing);

    r->crop = mem_array(b->crops.n, sizeof *r->crop);
    for (size_t i = 0; i < b->crops.n; i++) {
        missing[i] = resolve_recipes(r, &b->crops.crop[i]);
        moved[i] = r->n_crops;
        if (!missing[i]) {
            r->crop[r->n_crops++] = b->crops.crop[i];
        }
    }
    for (size_t i = 0; i < r->n_containers; i++) {
        size_t crop = r->container[i].crop;

        if (crop == CROP_UNKNOWN) {
            continue;
        }
        if (missing[crop]) {
            missing_recipe(b, b->crop_at[i], "crop: a stage wants a recipe", missing[crop]);
            missing[crop] = NULL; /* once a crop */
        }
        r->container[i].crop = moved[crop];
    }
    free(moved);
    free(missing);
}

static int by_name_then_order(const void *pa, const void *pb)
{
    const struct naming *a = pa;
    const struct naming *b = pb;
    int names = strcmp(a->name, b->name);

    return names != 0 ? names : (a->order > b->order) - (a->order < b->order);
}

/* Containers, products, recipes and meters share one space of names. Two patterns that overlap are
 * one fault, at the first name that both have. */
static void settle_names(struct building *b)
{
    struct place told = {0, 0};

    if (b->n_namings > 1) {
        qsort(b->naming, b->n_namings, sizeof *b->naming, by_name_then_order);
    }
    for (size_t i = 1; i < b->n_namings; i++) {
        const struct naming *n = &b->naming[i];
        struct place first = n[-1].at;

        if (strcmp(n[-1].name, n->name) == 0 &&
            (n->at.line != told.line || n->at.column != told.column)) {
            fault_at(&b->f, n->at, "'%s' is the name of another thing already, in line %u", n->name,
                     first.line);
            told = n->at;
        }
    }
}

static void read_backup(struct building *b)
{
    const struct node *backup = node_get(b->file, "backup");
    struct backups *to = &b->room.backup;

    if (keys_read(&b->f, backup, &section_backup, "backup", false, to) && *to->folder &&
        *to->folder != '/') {
        fault_at(&b->f, node_get(backup, "folder")->at,
                 "backup: 'folder' is a whole path, from / on");
    }
}

static void read_sensors(struct building *b)
{
    (void)keys_read(&b->f, node_get(b->file, "sensors"), &section_sensors, "sensors", false,
                    &b->room.sensors);
}

static void check_step(struct building *b, const struct node *measures, const char *key,
                       double step_ml, double all_ml)
{
    const struct node *at = node_get(measures, key);

    if (step_ml > all_ml) {
        fault_at(&b->f, at ? at->at : measures->at,
                 "%s: a step (%.4g mL) is more than the whole (%.4g mL)", key, step_ml, all_ml);
    }
}

/* The order matters twice: each section is read after those that it is checked against
 * (containers after reservoir and crops, recipes after products); and names and crops are
 * settled when all of them are known. The index of the room is made of a faultless room alone. */
static void build(struct building *b, const char *crops_dir)
{
    const struct node *units = node_get(b->file, "units");
    const struct node *labour = node_get(b->file, "labour");
    const struct node *care = node_get(b->file, "care");
    const struct node *measures = node_get(b->file, "measures");
    struct err e;

    (void)keys_read(&b->f, b->file, &section_file, section_file.name, false, b);
    read_room(b);
    (void)keys_read(&b->f, units, &section_units, "units", false, &b->room.units);
    read_source(b);
    read_reservoir(b);
    if (keys_read(&b->f, labour, &section_labour, "labour", false, &b->room.labour)) {
        read_off(b, labour ? labour : b->file);
        read_wished(b, labour);
    }
    (void)keys_read(&b->f, care, &section_care, "care", false, &b->room);
    if (keys_read(&b->f, measures, &section_measures, "measures", false, &b->room.measures) &&
        measures) {
        const struct measures *m = &b->room.measures;

        check_step(b, measures, "syringe_step", m->syringe_step_ml, m->syringe_ml);
        check_step(b, measures, "cylinder_step", m->cylinder_step_ml, m->cylinder_ml);
    }
    read_backup(b);
    read_sensors(b);
    building_read_each(b, "products", product_read);
    building_read_each(b, "recipes", recipe_read);
    read_crops(b, crops_dir);
    building_read_each(b, "meters", read_meter);
    building_read_each(b, "containers", container_read);
    read_notify(b);
    settle_crops(b);
    settle_feed(b);
    settle_names(b);
    if (b->f.faults->n == 0 && room_index(&b->room, &e) < 0) {
        fault_at(&b->f, b->file->at, "%s", e.msg);
    }
    if (b->f.faults->n == 0) {
        solubility_check(b);
    }
}

/* The text, the crops' files, and of the system's data what the zone is: all else that a room comes
 * of is in the program. */
static uint64_t hash_what_was_read(const struct building *b, const char *text, size_t len)
{
    const struct zone *z = &b->room.zone;
    uint64_t h = hash_add_bytes(b->crops.made_of, &len, sizeof len);

    h = hash_add_bytes(h, text, len);
    for (size_t i = 0; i < z->n; i++) {
        h = hash_add_bytes(h, &z->step[i].from_s, sizeof z->step[i].from_s);
        h = hash_add_bytes(h, &z->step[i].offset_s, sizeof z->step[i].offset_s);
    }
    return h;
}

int room_read_text(const char *name, const char *text, size_t len, const char *crops_dir,
                   struct room *out, struct room_faults *faults)
{
    struct building b = {
        .f = {name, faults},
          .crops.made_of = HASH_START
    };
    struct node tree;

    memset(faults, 0, sizeof *faults);
    if (!yaml_tree_read(&b.f, text, len, &tree)) {
        return ERR_CONFIG;
    }
    b.file = &tree;
    build(&b, crops_dir);
    b.room.made_of = hash_what_was_read(&b, text, len);
    yaml_tree_free(&tree);
    free(b.crops.crop);
    free(b.crop_at);
    free(b.naming);
    faults_sort(faults);
    if (faults->n) {
        room_deinit(&b.room);
        return ERR_CONFIG;
    }
    *out = b.room;
    return 0;
}

int room_read(const char *path, const char *crops_dir, struct room *out, struct room_faults *faults)
{
    struct faulty f = {path, faults};
    char *text = NULL;
    size_t len = 0;
    int rc;

    memset(faults, 0, sizeof *faults);
    if (!file_read(&f, path, &text, &len)) {
        return ERR_CONFIG;
    }
    rc = room_read_text(path, text, len, crops_dir, out, faults);
    free(text);
    return rc;
}
