#include "daemon/core/tell/strength_changed.h"

#include "daemon/base/mem.h"

#include <stdio.h>

#define SAME_FRAC 1e-9 /* the same figure, read twice */

static bool differs(double a, double b)
{
    return a > b + SAME_FRAC * b || b > a + SAME_FRAC * a;
}

static bool is_other(const struct product *was, const struct product *is)
{
    bool other = was->reagent != is->reagent || differs(was->mol_ml, is->mol_ml);

    if (nutrients_none(&was->contents)) { /* told for the first time: the bottle may be the same */
        return other && was->reagent != REAGENT_NONE;
    }
    for (size_t i = 0; i < NUTRIENT_COUNT; i++) {
        other = other || differs(was->contents.mg[i], is->contents.mg[i]);
    }
    return other;
}

static bool is_learned(const struct room *room, const struct state *s, const char *name)
{
    size_t product = room_find(room, name).at; /* it is in both */
    bool learned = s->product[product].strength.n_used > 0;

    for (size_t r = 0; r < room->n_recipes; r++) {
        for (size_t k = 0; k < room->recipe[r].n_doses; k++) {
            learned = learned ||
                      (room->recipe[r].dose[k].product == product && s->recipe[r].gain.n_used > 0);
        }
    }
    return learned;
}

void strength_changed(const struct room *before, const struct room *now, const struct room *of,
                      const struct state *s, int64_t now_s, uint32_t uid, struct entries *out)
{
    for (size_t i = 0; i < now->n_products; i++) {
        const struct product *is = &now->product[i];
        struct subject was = room_find(before, is->name);
        struct entry e;

        if (was.kind != SUBJECT_PRODUCT || !is_other(&before->product[was.at], is) ||
            !is_learned(of, s, is->name)) {
            continue;
        }
        e = entry_of(ENTRY_STOCK_RECEIVED, is->name, now_s, now_s);
        entry_set(&e, FIGURE_AMOUNT, 0);
        (void)snprintf(e.what, sizeof e.what, "other");
        (void)snprintf(e.note, sizeof e.note, "the room file tells other contents of it");
        (void)snprintf(e.who, sizeof e.who, "tarnd");
        e.uid = uid;
        out->entry = mem_grow(out->entry, &out->cap, out->n + 1, sizeof *out->entry);
        out->entry[out->n++] = e;
    }
}
