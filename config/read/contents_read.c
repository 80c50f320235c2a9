#include "config/read/contents_read.h"

#include "daemon/base/suggest.h"
#include "daemon/core/chem/salt.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* The bounds catch a slipped digit. The most soluble salts of the trade stay below 1500 g in a
 * litre of cold water (CRC Handbook, from memory), and no product weighs 2 g a mL. */
#define LABELS_MAX        40
#define PERCENT_TO_MG     10 /* mg in a g, or in a mL that weighs one */
#define SALT_MAX_G_L      2000
#define CONTENT_MAX_MG_ML 2000
#define LIQUID_MAX_G_ML   2
#define PERCENT_ROUNDED   0.5 /* that labels are rounded by, together */

/* A product in the making, with what its map says of it. */
struct contents {
    struct building *b;
    const struct node *map;
    struct product *product;
    struct labelled label;
    double percent; /* told so far */
};

/* mg in a mL or a g of what a label calls 1 %; NaN where that depends on what was not told. */
static double mg_of_percent(const struct contents *c)
{
    if (c->product->kind == PRODUCT_DRY || c->label.basis == LABEL_BY_VOLUME) {
        return PERCENT_TO_MG;
    }
    return c->product->density_g_ml > 0 ? PERCENT_TO_MG * c->product->density_g_ml : NAN;
}

/* Labels write the same nutrient in several ways, by element and by oxide; "P205" with a nought
 * is met often enough that the nearest is worth a look. */
static void unknown_label(struct contents *c, const struct pair *p)
{
    const char *known[LABELS_MAX];
    size_t n = 0;
    char tail[SUGGEST_TEXT_MAX];

    while (n < LABELS_MAX && nutrient_label(n)) {
        known[n] = nutrient_label(n);
        n++;
    }
    fault_at(&c->b->f, p->at, "contents: '%.40s' stands on no label that is known%s", p->key,
             suggest_tail(tail, p->key, known, n, "; write NO3-N, P2O5, K2O, CaO and the like"));
}

/* "4 %" of the weight (or of the volume, as `basis` says), or "48 g/L". False with the fault noted.
 */
static bool read_share(struct contents *c, const struct node *value, const char *label, double *out)
{
    enum quantity q = c->product->kind == PRODUCT_LIQUID && value->kind == NODE_SCALAR &&
                              !strchr(value->text, '%')
                          ? QUANTITY_DOSE_DRY
                          : QUANTITY_PERCENT;
    double told;

    if (!quantity_read(&c->b->f, value, label, q, 0,
                       q == QUANTITY_PERCENT ? 100 : CONTENT_MAX_MG_ML, true, &told)) {
        return false;
    }
    c->percent += q == QUANTITY_PERCENT ? told : 0;
    *out = q == QUANTITY_PERCENT ? told * mg_of_percent(c) : told;
    if (isnan(*out)) {
        fault_at(&c->b->f, value->at,
                 "%s: a percentage by weight needs the density of the liquid; give 'density', or "
                 "'basis: w/v'",
                 label);
        return false;
    }
    return true;
}

/* A nutrient may stand on a label in two forms (nitrogen as nitrate and as ammonium): they add
 * up. */
static void read_label(struct contents *c, const struct pair *p)
{
    double frac = 0;
    int nutrient = nutrient_find_label(p->key, &frac);
    double mg;

    if (nutrient < 0) {
        unknown_label(c, p);
    } else if (read_share(c, &p->value, p->key, &mg)) {
        c->product->contents.mg[nutrient] += mg * frac;
    }
}

/* A salt of a concentrate: "KNO3: 101 g/L". */
static void read_salt(struct contents *c, const struct pair *p)
{
    struct formula f;
    struct nutrients per_g;
    double g_l;
    struct err e;

    if (formula_parse(p->key, &f, &e) < 0) {
        fault_at(&c->b->f, p->at, "salts: %s", e.msg);
        return;
    }
    if (!quantity_read(&c->b->f, &p->value, p->key, QUANTITY_DOSE_DRY, 0, SALT_MAX_G_L, true,
                       &g_l)) {
        return;
    }
    if (g_l > salt_dissolves_g_l(&f)) { /* NaN: nobody knows, and nothing is said */
        fault_at(&c->b->f, p->value.at,
                 "%.40s: %.0f g do not dissolve in a litre; cold water takes up %.0f g", p->key,
                 g_l, salt_dissolves_g_l(&f));
    }
    per_g = nutrients_of_salt(&f);
    nutrients_add(&c->product->contents, &per_g, g_l / 1000);
}

static void read_map(struct contents *c, const char *key,
                     void (*read_one)(struct contents *, const struct pair *))
{
    const struct node *map = node_get(c->map, key);

    if (!map) {
        return;
    }
    if (map->kind != NODE_MAP) {
        fault_at(&c->b->f, map->at, "'%s' is %s; a map is wanted", key, node_kind_word(map));
        return;
    }
    for (size_t i = 0; i < map->n; i++) {
        read_one(c, &map->pair[i]);
    }
}

/* A dry salt bought by its name: the formula says what is in it, and how much of it water takes
 * up. */
static void read_formula(struct contents *c)
{
    const struct node *at = node_get(c->map, "formula");
    struct nutrients per_g;
    struct formula f;
    struct err e;

    if (!*c->label.formula) {
        return;
    }
    if (formula_parse(c->label.formula, &f, &e) < 0) {
        fault_at(&c->b->f, at->at, "formula: %s", e.msg);
        return;
    }
    per_g = nutrients_of_salt(&f);
    nutrients_add(&c->product->contents, &per_g, c->label.purity_pct / 100);
    c->product->dissolves_g_l = salt_dissolves_g_l(&f);
    memcpy(c->product->formula, c->label.formula, sizeof c->product->formula);
}

/* An acid or a base without its reagent is fine: what it does is learned from doses that were
 * measured. With it, the first dose is reckoned, and then the strength has to be known too. */
static void read_reagent(struct contents *c)
{
    struct product *p = c->product;
    const struct node *at = node_get(c->map, "reagent");
    struct nutrients per_mol;

    if (c->label.reagent == REAGENT_NONE) {
        return;
    }
    if (reagent_is_acid(c->label.reagent) != (p->kind == PRODUCT_ACID)) {
        fault_at(&c->b->f, at->at, "reagent: %s is %s, and the kind of the product is %s",
                 reagent_words[c->label.reagent],
                 reagent_is_acid(c->label.reagent) ? "an acid" : "a base",
                 p->kind == PRODUCT_ACID ? "acid" : "base");
        return;
    }
    if (!(c->label.strength_pct > 0)) {
        fault_at(&c->b->f, at->at,
                 "reagent: how strong it is stands on the bottle; give "
                 "'strength', a percentage by weight");
        return;
    }
    if (!(p->density_g_ml > 0)) {
        p->density_g_ml = reagent_density_g_ml(c->label.reagent, c->label.strength_pct);
    }
    if (isnan(p->density_g_ml)) {
        p->density_g_ml = 0;
        fault_at(&c->b->f, building_place(c->map, "strength"),
                 "strength: %s of that strength is not in the tables; give its 'density'",
                 reagent_words[c->label.reagent]);
        return;
    }
    p->reagent = c->label.reagent;
    p->mol_ml = reagent_mol_ml(p->reagent, c->label.strength_pct, p->density_g_ml);
    per_mol = reagent_nutrients_mg_mol(p->reagent);
    nutrients_add(&p->contents, &per_mol, p->mol_ml);
}

/* Keys that say nothing of a product of this kind. */
static void refuse(struct contents *c, const char *const *keys, const char *why)
{
    for (size_t i = 0; keys[i]; i++) {
        const struct node *value = node_get(c->map, keys[i]);

        if (value) {
            fault_at(&c->b->f, value->at, "%s: %s", keys[i], why);
        }
    }
}

/* Shares of the weight cannot be more than all of it. Of a volume they are g in 100 mL, and the
 * most that 100 mL weigh counts where the label does not say. */
static void check_sum(struct contents *c)
{
    const struct node *at = node_get(c->map, "contents");
    bool by_volume = c->product->kind == PRODUCT_LIQUID && c->label.basis == LABEL_BY_VOLUME;
    double density = c->product->density_g_ml > 0 ? c->product->density_g_ml : LIQUID_MAX_G_ML;

    if (c->percent > 100 * (by_volume ? density : 1) + PERCENT_ROUNDED) {
        fault_at(&c->b->f, at->named,
                 "contents: the percentages sum to %.1f %%; a label has %.0f %% "
                 "at most, so one of them is wrong, or told twice",
                 c->percent, 100 * (by_volume ? density : 1));
    }
}

void contents_read(struct building *b, const struct node *map, const struct labelled *label,
                   struct product *p)
{
    static const char *const of_salts[] = {"formula", "purity", NULL};
    static const char *const of_liquids[] = {"density", "basis", "salts", "ph", NULL};
    static const char *const of_reagents[] = {"reagent", "strength", NULL};
    static const char *const of_feeds[] = {"contents", "formula", "purity", "salts",
                                           "basis",    "ph",      NULL};
    struct contents c = {.b = b, .map = map, .product = p, .label = *label};

    p->dissolves_g_l = NAN;
    switch (p->kind) {
    case PRODUCT_LIQUID:
        refuse(&c, of_salts, "a liquid is described by 'contents' or 'salts'");
        refuse(&c, of_reagents, "only of an acid or a base");
        break;
    case PRODUCT_DRY:
        refuse(&c, of_liquids, "a dry product is weighed");
        refuse(&c, of_reagents, "only of an acid or a base");
        break;
    case PRODUCT_ACID:
    case PRODUCT_BASE:
        refuse(&c, of_feeds, "an acid or a base is described by 'reagent' and 'strength'");
        break;
    case PRODUCT_KIND_N:
        return;
    }
    if (p->kind == PRODUCT_LIQUID || p->kind == PRODUCT_DRY) {
        read_map(&c, "contents", read_label);
        read_map(&c, "salts", read_salt);
        read_formula(&c);
    } else {
        read_reagent(&c);
    }
    check_sum(&c);
}
