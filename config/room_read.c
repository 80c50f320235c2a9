#include "config/room_read.h"

#include "config/crops_read.h"
#include "config/file_read.h"
#include "config/sections.h"
#include "config/zone_read.h"
#include "daemon/base/mem.h"
#include "daemon/base/num.h"
#include "daemon/base/suggest.h"
#include "daemon/core/day.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define WHERE        96
#define NOTIFY_WORDS 32

/* Where a container was described, and where its crop was named. */
struct origin {
    struct place name, crop;
};

/* A room in the making. */
struct building {
    struct faulty f;
    const struct node *file;
    struct room room;
    struct crops crops;
    struct origin *origin; /* of each container, for faults found later */
    size_t cap_products, cap_recipes, cap_containers, cap_meters, cap_origin;
};

static struct place place_or(const struct node *n, struct place otherwise)
{
    return n ? n->at : otherwise;
}

static void read_room(struct building *b)
{
    const struct node *map = node_get(b->file, "room");
    const struct node *zone = node_get(map, "zone");
    struct err e;

    if (!map) {
        return;
    }
    (void)keys_read(&b->f, map, &section_room, "room", false, &b->room);
    if (zone && *b->room.zone_name && zone_read(b->room.zone_name, &b->room.zone, &e) < 0) {
        fault_at(&b->f, zone->at, "zone: %s", e.msg);
    }
}

static void read_source(struct building *b)
{
    const struct node *map = node_get(b->file, "source_water");
    struct source_water *s = &b->room.source;

    s->alkalinity_mg_l = NAN;
    if (map) {
        (void)keys_read(&b->f, map, &section_source, "source_water", false, s);
        s->rate_l_h *= 60; /* flows are litres a minute inside quantity.h */
    }
}

static void read_reservoir(struct building *b)
{
    const struct node *map = node_get(b->file, "reservoir");
    struct reservoir *r = &b->room.reservoir;

    if (!map || !keys_read(&b->f, map, &section_reservoir, "reservoir", false, r)) {
        return;
    }
    if (r->low_l >= r->capacity_l) {
        fault_at(&b->f, place_or(node_get(map, "low"), map->at),
                 "low: the low mark (%.1f L) is not below the capacity (%.1f L)", r->low_l,
                 r->capacity_l);
    }
    if (r->low_l <= r->remainder_l) {
        fault_at(&b->f, place_or(node_get(map, "low"), map->at),
                 "low: the low mark (%.1f L) is not above what cannot be used (%.1f L)", r->low_l,
                 r->remainder_l);
    }
}

static bool check_name(struct building *b, const struct pair *p, const char *what)
{
    if (!room_name_is_valid(p->key)) {
        fault_at(&b->f, p->at,
                 "'%.40s' is no name for %s; a letter, then letters, digits, - _ or ., at most %d",
                 p->key, what, ROOM_NAME_MAX);
        return false;
    }
    if (strcmp(p->key, "reservoir") == 0 || strcmp(p->key, "room") == 0) {
        fault_at(&b->f, p->at, "'%s' stands for itself; call %s something else", p->key, what);
        return false;
    }
    return true;
}

/* A section that is a map of things by name. NULL when it is not there, or no map. */
static const struct node *map_of(struct building *b, const char *name)
{
    const struct node *map = node_get(b->file, name);

    if (map && map->kind != NODE_MAP) {
        fault_at(&b->f, map->at, "'%s' is %s; a map of things by name is wanted", name,
                 node_kind_word(map));
        return NULL;
    }
    return map;
}

static void read_product(struct building *b, const struct pair *p)
{
    struct product product = {0};
    const struct node *stock = node_get(&p->value, "stock");
    const struct node *reorder = node_get(&p->value, "reorder_at");
    enum quantity q;
    char where[WHERE];

    if (!check_name(b, p, "a product")) {
        return;
    }
    (void)snprintf(where, sizeof where, "products.%s", p->key);
    (void)snprintf(product.name, sizeof product.name, "%s", p->key);
    if (keys_read(&b->f, &p->value, &section_product, where, false, &product)) {
        q = product.kind == PRODUCT_DRY ? QUANTITY_DRY : QUANTITY_LIQUID;
        if (stock) {
            (void)quantity_read(&b->f, stock, "stock", q, 0, 1e7, false, &product.stock);
        }
        if (reorder) {
            (void)quantity_read(&b->f, reorder, "reorder_at", q, 0, 1e7, false,
                                &product.reorder_at);
        }
    }
    b->room.product = mem_grow(b->room.product, &b->cap_products, b->room.n_products + 1,
                               sizeof *b->room.product);
    b->room.product[b->room.n_products++] = product;
}

static int find_product(const struct room *r, const char *name)
{
    for (size_t i = 0; i < r->n_products; i++) {
        if (strcmp(r->product[i].name, name) == 0) {
            return (int)i;
        }
    }
    return -1;
}

static const char *near_product(const struct room *r, const char *name)
{
    const char **names = mem_array(r->n_products, sizeof *names);
    const char *near;

    for (size_t i = 0; i < r->n_products; i++) {
        names[i] = r->product[i].name;
    }
    near = suggest_nearest(name, names, r->n_products);
    free(names);
    return near;
}

static void read_dose(struct building *b, const struct node *item, const char *where,
                      struct recipe *recipe)
{
    const struct node *product = node_get(item, "product");
    const struct node *dose = node_get(item, "dose");
    struct dose d = {0};
    const char *near;
    int at;

    if (!keys_read(&b->f, item, &section_dose, where, false, &d)) {
        return;
    }
    if (product->kind != NODE_SCALAR) {
        fault_at(&b->f, product->at, "product: the name of a product is wanted");
        return;
    }
    at = find_product(&b->room, product->text);
    if (at < 0) {
        near = near_product(&b->room, product->text);
        fault_at(&b->f, product->at, "product: there is no '%.40s' in 'products'%s%s%s",
                 product->text, near ? "; did you mean '" : "", near ? near : "", near ? "'?" : "");
        return;
    }
    if (b->room.product[at].kind == PRODUCT_ACID || b->room.product[at].kind == PRODUCT_BASE) {
        fault_at(&b->f, product->at,
                 "product: '%s' is for the pH; a recipe takes liquid and dry nutrients",
                 product->text);
        return;
    }
    d.product = (size_t)at;
    if (quantity_read(&b->f, dose, "dose",
                      b->room.product[at].kind == PRODUCT_DRY ? QUANTITY_DOSE_DRY
                                                              : QUANTITY_DOSE_LIQUID,
                      0, 1000, true, &d.per_l)) {
        recipe->dose[recipe->n_doses++] = d;
    }
}

static void read_doses(struct building *b, const struct node *doses, const char *where,
                       struct recipe *recipe)
{
    if (doses->kind != NODE_LIST || doses->n == 0 || doses->n > ROOM_DOSES_MAX) {
        fault_at(&b->f, doses->at, "'%s.doses' is a list of 1 to %d doses", where, ROOM_DOSES_MAX);
        return;
    }
    for (size_t i = 0; i < doses->n; i++) {
        read_dose(b, &doses->item[i], where, recipe);
    }
}

static void read_recipe(struct building *b, const struct pair *p)
{
    struct recipe recipe = {0};
    const struct node *doses = node_get(&p->value, "doses");
    char where[WHERE];

    if (!check_name(b, p, "a recipe")) {
        return;
    }
    (void)snprintf(where, sizeof where, "recipes.%s", p->key);
    (void)snprintf(recipe.name, sizeof recipe.name, "%s", p->key);
    (void)keys_read(&b->f, &p->value, &section_recipe, where, false, &recipe);
    if (doses) {
        read_doses(b, doses, where, &recipe);
    }
    b->room.recipe =
        mem_grow(b->room.recipe, &b->cap_recipes, b->room.n_recipes + 1, sizeof *b->room.recipe);
    b->room.recipe[b->room.n_recipes++] = recipe;
}

static void read_meter(struct building *b, const struct pair *p)
{
    struct meter meter = {0};
    char where[WHERE];

    if (!check_name(b, p, "a meter")) {
        return;
    }
    (void)snprintf(where, sizeof where, "meters.%s", p->key);
    (void)snprintf(meter.name, sizeof meter.name, "%s", p->key);
    (void)keys_read(&b->f, &p->value, &section_meter, where, false, &meter);
    b->room.meter =
        mem_grow(b->room.meter, &b->cap_meters, b->room.n_meters + 1, sizeof *b->room.meter);
    b->room.meter[b->room.n_meters++] = meter;
}

static void check_volumes(struct building *b, const struct node *map, const struct container *c)
{
    const struct reservoir *v = &b->room.reservoir;
    double change_l = c->float_volume_l - c->remainder_l;

    if (c->float_volume_l >= c->start_volume_l) {
        fault_at(
            &b->f, place_or(node_get(map, "float_volume"), map->at),
            "float_volume: the float line (%.1f L) is not below the start line (%.1f L); there "
            "would be no drawdown",
            c->float_volume_l, c->start_volume_l);
    }
    if (c->remainder_l >= c->float_volume_l) {
        fault_at(
            &b->f, place_or(node_get(map, "remainder"), map->at),
            "remainder: what stays after draining (%.1f L) is not below the float line (%.1f L)",
            c->remainder_l, c->float_volume_l);
    } else if (v->capacity_l > 0 && change_l > v->capacity_l - v->remainder_l - v->line_loss_l) {
        fault_at(&b->f, place_or(node_get(map, "float_volume"), map->at),
                 "float_volume: the reservoir cannot hold one change of this container (%.1f L)",
                 change_l);
    }
}

static int find_crop(const struct crops *crops, const char *name)
{
    for (size_t i = 0; i < crops->n; i++) {
        if (strcmp(crops->crop[i].name, name) == 0) {
            return (int)i;
        }
    }
    return -1;
}

static void read_container_crop(struct building *b, const struct node *name, struct container *c)
{
    const char *names[64];
    const char *near;
    size_t n = b->crops.n < 64 ? b->crops.n : 64;
    int at;

    if (name->kind != NODE_SCALAR) {
        fault_at(&b->f, name->at, "crop: the name of a crop is wanted");
        return;
    }
    at = find_crop(&b->crops, name->text);
    if (at >= 0) {
        c->crop = (size_t)at;
        return;
    }
    for (size_t i = 0; i < n; i++) {
        names[i] = b->crops.crop[i].name;
    }
    near = suggest_nearest(name->text, names, n);
    fault_at(&b->f, name->at, "crop: there is no crop '%.40s'%s%s%s", name->text,
             near ? "; did you mean '" : "", near ? near : "", near ? "'?" : "");
}

static void add_container(struct building *b, const struct container *c, struct origin origin)
{
    b->origin = mem_grow(b->origin, &b->cap_origin, b->room.n_containers + 1, sizeof *b->origin);
    b->origin[b->room.n_containers] = origin;
    b->room.container = mem_grow(b->room.container, &b->cap_containers, b->room.n_containers + 1,
                                 sizeof *b->room.container);
    b->room.container[b->room.n_containers++] = *c;
}

/* "A1..A12": a shared beginning and two numbers. */
struct pattern {
    char stem[ROOM_NAME_MAX + 1];
    int64_t first, last;
    int width; /* digits, where the first is written with zeros in front; 0 = as many as it takes */
};

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

    if (first_len > ROOM_NAME_MAX || !split_number(p->key, first_len, &stem, &out->first) ||
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
    out->stem[stem] = '\0';
    out->width = p->key[stem] == '0' ? (int)(first_len - stem) : 0;
    return true;
}

static void read_container(struct building *b, const struct pair *p)
{
    struct container c = {.start_on = DAY_NONE};
    const struct node *crop = node_get(&p->value, "crop");
    const char *dots = strstr(p->key, "..");
    struct pattern pattern = {0};
    char where[WHERE];
    char name[ROOM_NAME_MAX + 32];

    (void)snprintf(where, sizeof where, "containers.%.60s", p->key);
    if (dots ? !read_pattern(b, p, dots, &pattern) : !check_name(b, p, "a container")) {
        return;
    }
    if (keys_read(&b->f, &p->value, &section_container, where, false, &c)) {
        check_volumes(b, &p->value, &c);
    }
    if (crop) {
        read_container_crop(b, crop, &c);
    }
    for (int64_t i = pattern.first; i <= pattern.last; i++) {
        if (dots) {
            (void)snprintf(name, sizeof name, "%s%0*lld", pattern.stem, pattern.width,
                           (long long)i);
        } else {
            (void)snprintf(name, sizeof name, "%s", p->key);
        }
        if (!room_name_is_valid(name) || b->room.n_containers == ROOM_CONTAINERS_MAX) {
            fault_at(&b->f, p->at, "'%.40s': not a name, or more than %d containers", name,
                     ROOM_CONTAINERS_MAX);
            return;
        }
        memcpy(c.name, name, strlen(name) + 1);
        add_container(b, &c, (struct origin){p->at, place_or(crop, p->at)});
    }
}

static void read_each(struct building *b, const char *section,
                      void (*read_one)(struct building *, const struct pair *))
{
    const struct node *map = map_of(b, section);

    for (size_t i = 0; map && i < map->n; i++) {
        read_one(b, &map->pair[i]);
    }
}

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

        if (word->kind != NODE_SCALAR || (i == 0 && word->text[0] != '/')) {
            fault_at(&b->f, word->at, "'notify': %s",
                     word->kind != NODE_SCALAR ? "each word is a single value"
                                               : "the command is a whole path, from / on");
            return;
        }
        b->room.notify[i] = mem_strdup(word->text);
    }
}

static int find_recipe(const struct room *r, const char *name)
{
    for (size_t i = 0; i < r->n_recipes; i++) {
        if (strcmp(r->recipe[i].name, name) == 0) {
            return (int)i;
        }
    }
    return -1;
}

/* The recipes that a crop's stages name. Returns the first that the room has not, or NULL. */
static const char *resolve_recipes(const struct room *r, struct crop *c)
{
    for (size_t k = 0; k < c->n_stages; k++) {
        int at = find_recipe(r, c->stage[k].recipe);

        if (at < 0) {
            return c->stage[k].recipe;
        }
        c->stage[k].recipe_at = (size_t)at;
    }
    return NULL;
}

static void missing_recipe(struct building *b, size_t container, const char *crop,
                           const char *recipe)
{
    const char *names[64];
    size_t n = b->room.n_recipes < 64 ? b->room.n_recipes : 64;
    const char *near;

    for (size_t i = 0; i < n; i++) {
        names[i] = b->room.recipe[i].name;
    }
    near = suggest_nearest(recipe, names, n);
    fault_at(&b->f, b->origin[container].crop,
             "crop: '%s' wants the recipe '%s', which is not in 'recipes'%s%s%s", crop, recipe,
             near ? "; did you mean '" : "", near ? near : "", near ? "'?" : "");
}

/* Keeps the crops whose recipes the room has. A container's crop must be among them. */
static void settle_crops(struct building *b)
{
    size_t *moved = mem_array(b->crops.n, sizeof *moved);
    const char **missing = mem_array(b->crops.n, sizeof *missing);
    bool *told = mem_array(b->crops.n, sizeof *told);
    struct crop *kept = mem_array(b->crops.n, sizeof *kept);

    for (size_t i = 0; i < b->crops.n; i++) {
        missing[i] = resolve_recipes(&b->room, &b->crops.crop[i]);
        moved[i] = b->room.n_crops;
        if (!missing[i]) {
            kept[b->room.n_crops++] = b->crops.crop[i];
        }
    }
    for (size_t i = 0; i < b->room.n_containers && b->crops.n; i++) {
        size_t crop = b->room.container[i].crop;

        if (missing[crop] && !told[crop]) {
            missing_recipe(b, i, b->crops.crop[crop].name, missing[crop]);
            told[crop] = true;
        }
        b->room.container[i].crop = moved[crop];
    }
    b->room.crop = kept;
    free(moved);
    free(missing);
    free(told);
}

/* Two things of one name: the fault stands at the container that has it, the last if both are. */
static void settle_names(struct building *b)
{
    struct place at = b->file->at;
    struct err e;

    if (room_index(&b->room, &e) == 0) {
        return;
    }
    for (size_t i = 0; i < b->room.n_containers; i++) {
        if (strcmp(b->room.container[i].name, e.field) == 0) {
            at = b->origin[i].name;
        }
    }
    fault_at(&b->f, at, "%s", e.msg);
}

static void read_crops(struct building *b, const char *crops_dir)
{
    const struct node *map = node_get(b->file, "crops");

    if (crops_dir) {
        crops_read_dir(b->f.faults, crops_dir, &b->crops);
    }
    if (map) {
        crops_read(&b->f, map, &b->crops);
    }
}

static void build(struct building *b, const char *crops_dir)
{
    const struct node *labour = node_get(b->file, "labour");
    const struct node *care = node_get(b->file, "care");
    char unused[1];

    (void)keys_read(&b->f, b->file, &section_file, "the room file", false, unused);
    read_room(b);
    (void)keys_read(&b->f, node_get(b->file, "units"), &section_units, "units", false,
                    &b->room.units);
    read_source(b);
    read_reservoir(b);
    (void)keys_read(&b->f, labour, &section_labour, "labour", false, &b->room.labour);
    (void)keys_read(&b->f, care, &section_care, "care", false, &b->room);
    read_each(b, "products", read_product);
    read_each(b, "recipes", read_recipe);
    read_crops(b, crops_dir);
    read_each(b, "meters", read_meter);
    read_each(b, "containers", read_container);
    read_notify(b);
    settle_crops(b);
    settle_names(b);
}

int room_read_text(const char *name, const char *text, size_t len, const char *crops_dir,
                   struct room *out, struct room_faults *faults)
{
    struct building b = {
        .f = {name, faults}
    };
    struct node tree;

    memset(faults, 0, sizeof *faults);
    if (!yaml_tree_read(&b.f, text, len, &tree)) {
        return ERR_CONFIG;
    }
    b.file = &tree;
    build(&b, crops_dir);
    yaml_tree_free(&tree);
    free(b.crops.crop);
    free(b.origin);
    if (faults->n) {
        faults_sort(faults);
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
