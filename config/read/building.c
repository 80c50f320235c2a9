#include "config/read/building.h"

#include "daemon/base/mem.h"
#include "daemon/base/suggest.h"

#include <stdio.h>
#include <string.h>

/* A fault about what is missing has no place of its own: the thing's own key is the nearest that a
 * person can go to. */
struct place building_place(const struct node *map, const char *key)
{
    const struct node *value = node_get(map, key);

    return value ? value->at : map->named;
}

void building_check_ruler(struct building *b, const struct node *map, const char *low_key,
                          double low_m, const char *high_key, double high_m)
{
    if (low_m > 0 && high_m <= 0) {
        fault_at(&b->f, building_place(map, low_key),
                 "%s: a scale needs two marks, or the upper one alone: give '%s'", low_key,
                 high_key);
    } else if (low_m > 0 && low_m >= high_m) {
        fault_at(&b->f, building_place(map, low_key),
                 "%s: the lower mark (%.1f cm) is not below '%s' (%.1f cm)", low_key, 100 * low_m,
                 high_key, 100 * high_m);
    }
}

bool building_check_name(struct building *b, const struct pair *p, const char *what)
{
    if (!name_is_valid(p->key)) {
        fault_at(&b->f, p->at,
                 "'%.40s' is no name for %s; a letter, then letters, digits, - _ or ., at most %d",
                 p->key, what, NAME_LEN_MAX);
        return false;
    }
    /* On the command line these two stand beside the names of containers. */
    if (strcmp(p->key, "reservoir") == 0 || strcmp(p->key, "room") == 0) {
        fault_at(&b->f, p->at, "'%s' stands for itself; call %s something else", p->key, what);
        return false;
    }
    return true;
}

void building_add_name(struct building *b, const char *name, struct place at)
{
    struct naming *n;

    b->naming = mem_grow(b->naming, &b->cap_namings, b->n_namings + 1, sizeof *b->naming);
    n = &b->naming[b->n_namings];
    *n = (struct naming){.at = at, .order = b->n_namings};
    (void)snprintf(n->name, sizeof n->name, "%s", name);
    b->n_namings++;
}

void building_unknown(struct building *b, struct place at, const char *key, const char *name,
                      const char *section, const char *const *known, size_t n_known)
{
    char tail[SUGGEST_TEXT_MAX];

    fault_at(&b->f, at, "%s: there is no '%.40s' in '%s'%s", key, name, section,
             suggest_tail(tail, name, known, n_known, ""));
}

void building_read_each(struct building *b, const char *section,
                        void (*read_one)(struct building *, const struct pair *))
{
    const struct node *map = node_get(b->file, section);

    if (!map) {
        return;
    }
    if (map->kind != NODE_MAP) {
        fault_at(&b->f, map->at, "'%s' is %s; a map of things by name is wanted", section,
                 node_kind_word(map));
        return;
    }
    for (size_t i = 0; i < map->n; i++) {
        read_one(b, &map->pair[i]);
    }
}
