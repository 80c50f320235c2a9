#include "config/read/products_read.h"

#include "config/read/contents_read.h"
#include "config/read/sections.h"
#include "config/read/solubility.h"
#include "daemon/base/mem.h"
#include "daemon/core/chem/ions.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define STOCK_MAX 1e7  /* mL or g: ten tonnes */
#define DOSE_MAX  1000 /* mL or g a litre: more than water */

/* Stock is counted in the unit of the product's kind, so the kind comes first. */
static void read_amounts(struct building *b, const struct node *map, struct product *p)
{
    enum quantity q = p->kind == PRODUCT_DRY ? QUANTITY_DRY : QUANTITY_LIQUID;
    const struct node *stock = node_get(map, "stock");
    const struct node *reorder = node_get(map, "reorder_at");

    if (stock) {
        (void)quantity_read(&b->f, stock, "stock", q, 0, STOCK_MAX, false, &p->stock);
    }
    if (reorder) {
        (void)quantity_read(&b->f, reorder, "reorder_at", q, 0, STOCK_MAX, false, &p->reorder_at);
    }
}

void product_read(struct building *b, const struct pair *p)
{
    struct labelled label = {.product.kind = PRODUCT_KIND_N}; /* until it is read */
    struct product *product = &label.product;
    char where[WHERE_LEN];

    if (!building_check_name(b, p, "a product")) {
        return;
    }
    (void)snprintf(where, sizeof where, "products.%s", p->key);
    (void)snprintf(product->name, sizeof product->name, "%s", p->key);
    (void)keys_read(&b->f, &p->value, &section_product, where, false, &label);
    if (product->kind != PRODUCT_KIND_N) {
        read_amounts(b, &p->value, product);
        contents_read(b, &p->value, &label, product);
        product->accepted = solubility_read_accepted(b, &p->value);
    }
    building_add_name(b, p->key, p->at);
    b->room.product = mem_grow(b->room.product, &b->cap_products, b->room.n_products + 1,
                               sizeof *b->room.product);
    b->room.product[b->room.n_products++] = *product;
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

static void unknown_product(struct building *b, const struct node *name)
{
    const char **known;

    if (fault_is_full(&b->f)) { /* the search takes long, and nobody would see what it found */
        fault_at(&b->f, name->at, "product: unknown");
        return;
    }
    known = mem_array(b->room.n_products, sizeof *known);
    for (size_t i = 0; i < b->room.n_products; i++) {
        known[i] = b->room.product[i].name;
    }
    building_unknown(b, name->at, "product", name->text, "products", known, b->room.n_products);
    free(known);
}

/* The product of a dose; -1 with the fault noted. Acids and bases are no part of a recipe: how
 * much of one is wanted depends on the water and is worked out at each mix. */
static int dosed_product(struct building *b, const struct node *name, const struct recipe *recipe)
{
    int at;

    if (name->kind != NODE_SCALAR) {
        fault_at(&b->f, name->at, "product: the name of a product is wanted");
        return -1;
    }
    at = find_product(&b->room, name->text);
    if (at < 0) {
        unknown_product(b, name);
        return -1;
    }
    if (b->room.product[at].kind == PRODUCT_ACID || b->room.product[at].kind == PRODUCT_BASE) {
        fault_at(&b->f, name->at,
                 "product: '%s' is for the pH; a recipe takes liquid and dry products", name->text);
        return -1;
    }
    for (size_t i = 0; i < recipe->n_doses; i++) {
        if (recipe->dose[i].product == (size_t)at) {
            fault_at(&b->f, name->at, "product: '%s' is in this recipe twice; give one dose",
                     name->text);
            return -1;
        }
    }
    return at;
}

/* A dose is in the unit of its product's kind (mL or g a litre), so the product comes first; the
 * order of the list is the order of addition, and stays. */
static void read_dose(struct building *b, const struct node *item, const char *where,
                      struct recipe *recipe)
{
    struct dose d = {0};
    enum product_kind kind;
    enum quantity q;
    int product;

    if (!keys_read(&b->f, item, &section_dose, where, false, &d)) {
        return;
    }
    product = dosed_product(b, node_get(item, "product"), recipe);
    if (product < 0) {
        return;
    }
    d.product = (size_t)product;
    kind = b->room.product[product].kind;
    q = kind == PRODUCT_DRY ? QUANTITY_DOSE_DRY : QUANTITY_DOSE_LIQUID;
    if (kind != PRODUCT_KIND_N && /* else the fault is there, not here */
        quantity_read(&b->f, node_get(item, "dose"), "dose", q, 0, DOSE_MAX, true, &d.per_l)) {
        recipe->dose[recipe->n_doses++] = d;
    }
}

static void read_doses(struct building *b, const struct node *doses, const char *where,
                       struct recipe *recipe)
{
    char inside[WHERE_LEN + 8];

    if (doses->kind != NODE_LIST || doses->n == 0 || doses->n > ROOM_DOSES_MAX) {
        fault_at(&b->f, doses->at, "'%s.doses' is a list of 1 to %d doses", where, ROOM_DOSES_MAX);
        return;
    }
    (void)snprintf(inside, sizeof inside, "%s.doses", where);
    for (size_t i = 0; i < doses->n; i++) {
        read_dose(b, &doses->item[i], inside, recipe);
    }
}

/* Nobody measured it: estimated from what is in the products, where all of them say. */
static void estimate_strength(struct building *b, const struct pair *p, struct recipe *recipe)
{
    struct nutrients mg_l = {0};

    for (size_t i = 0; i < recipe->n_doses; i++) {
        const struct product *product = &b->room.product[recipe->dose[i].product];

        if (nutrients_none(&product->contents)) {
            fault_at(&b->f, p->at,
                     "'recipes.%.40s' needs the key 'ec': what the full dose adds to the EC; or "
                     "say what '%s' contains, and it is estimated",
                     p->key, product->name);
            return;
        }
        nutrients_add(&mg_l, &product->contents, recipe->dose[i].per_l);
    }
    if (recipe->n_doses) { /* else the fault is there, not here */
        struct ions ions = ions_of_nutrients(&mg_l);

        recipe->ec_gain_ms_cm = ions_ec_ms_cm(&ions);
        recipe->ec_estimated = true;
    }
}

void recipe_read(struct building *b, const struct pair *p)
{
    struct recipe recipe = {0};
    const struct node *doses = node_get(&p->value, "doses");
    char where[WHERE_LEN];

    if (!building_check_name(b, p, "a recipe")) {
        return;
    }
    (void)snprintf(where, sizeof where, "recipes.%s", p->key);
    (void)snprintf(recipe.name, sizeof recipe.name, "%s", p->key);
    (void)keys_read(&b->f, &p->value, &section_recipe, where, false, &recipe);
    recipe.accepted = solubility_read_accepted(b, &p->value);
    if (doses) {
        read_doses(b, doses, where, &recipe);
    }
    if (!node_get(&p->value, "ec")) {
        estimate_strength(b, p, &recipe);
    }
    building_add_name(b, p->key, p->at);
    b->room.recipe =
        mem_grow(b->room.recipe, &b->cap_recipes, b->room.n_recipes + 1, sizeof *b->room.recipe);
    b->room.recipe[b->room.n_recipes++] = recipe;
}

int recipe_find(const struct room *r, const char *name)
{
    for (size_t i = 0; i < r->n_recipes; i++) {
        if (strcmp(r->recipe[i].name, name) == 0) {
            return (int)i;
        }
    }
    return -1;
}
