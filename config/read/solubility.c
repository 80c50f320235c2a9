#include "config/read/solubility.h"

#include "daemon/base/suggest.h"
#include "daemon/core/chem/saturation.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static int find_solid(const char *word)
{
    for (int i = 0; i < SOLID_COUNT; i++) {
        if (strcmp(solid_words[i], word) == 0) {
            return i;
        }
    }
    return -1;
}

unsigned solubility_read_accepted(struct building *b, const struct node *map)
{
    const struct node *list = node_get(map, "accepted");
    unsigned out = 0;

    if (!list) {
        return 0;
    }
    if (list->kind != NODE_LIST) {
        fault_at(&b->f, list->at, "'accepted' is %s; a list of words is wanted",
                 node_kind_word(list));
        return 0;
    }
    for (size_t i = 0; i < list->n; i++) {
        const struct node *word = &list->item[i];
        int solid = word->kind == NODE_SCALAR ? find_solid(word->text) : -1;
        char tail[SUGGEST_TEXT_MAX];

        if (solid >= 0) {
            out |= SOLID_BIT(solid);
        } else {
            fault_at(&b->f, word->at, "accepted: '%.40s' is nothing that falls out%s",
                     word->kind == NODE_SCALAR ? word->text : "",
                     suggest_tail(tail, word->kind == NODE_SCALAR ? word->text : "", solid_words,
                                  SOLID_COUNT, "; gypsum, phosphate, lime, silicate or salt"));
        }
    }
    return out;
}

/* One warning for each that is not accepted: what, what to do, and how to silence it. */
static void warn(struct building *b, struct place at, unsigned solids, const char *of,
                 const char *instead)
{
    for (int i = 0; i < SOLID_COUNT; i++) {
        if (solids & SOLID_BIT(i)) {
            fault_warn(
                &b->f, at, "%s: %s, would fall out; %s%s, or 'accepted: [%s]' if it is clear", of,
                solid_says[i], instead,
                i == SOLID_PHOSPHATE && *instead == 'k' ? " or tell its 'ph' if it is acid" : "",
                solid_words[i]);
        }
    }
}

/* Where a thing of a section has its name. */
static struct place place_of(const struct building *b, const char *section, const char *name)
{
    const struct node *thing = node_get(node_get(b->file, section), name);

    return thing ? thing->named : b->file->at;
}

/* Diluted they stay in solution, and dry they lie side by side: a bottle is what is looked at. */
static void check_product(struct building *b, const struct product *p)
{
    struct nutrients mg_l = p->contents;
    char of[NAME_LEN_MAX + 3];

    if (p->kind != PRODUCT_LIQUID || nutrients_none(&mg_l)) {
        return;
    }
    nutrients_scale(&mg_l, 1000);
    (void)snprintf(of, sizeof of, "'%s'", p->name);
    warn(b, place_of(b, "products", p->name),
         saturation_of_bottle(&mg_l, p->ph > 0 ? p->ph : SATURATION_BOTTLE_PH) & ~p->accepted, of,
         "keep them in two bottles");
}

static void check_recipe(struct building *b, const struct recipe *r)
{
    /* As high as it is let stand. */
    double ph = b->room.reservoir.ph_target + b->room.reservoir.ph_tolerance;
    struct nutrients mg_l = {0};
    char of[NAME_LEN_MAX + 20];

    for (size_t i = 0; i < r->n_doses; i++) {
        nutrients_add(&mg_l, &b->room.product[r->dose[i].product].contents, r->dose[i].per_l);
    }
    (void)snprintf(of, sizeof of, "the full dose of '%s'", r->name);
    warn(b, place_of(b, "recipes", r->name), saturation_of_solution(&mg_l, NULL, ph) & ~r->accepted,
         of, "give less of them in it");
}

void solubility_check(struct building *b)
{
    for (size_t i = 0; i < b->room.n_products; i++) {
        check_product(b, &b->room.product[i]);
    }
    for (size_t i = 0; i < b->room.n_recipes; i++) {
        check_recipe(b, &b->room.recipe[i]);
    }
}
