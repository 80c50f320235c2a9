#include "daemon/core/tell/room_example.h"

#include <ctype.h>
#include <string.h>

static const char *first_product(const struct room *room, bool sets_ph)
{
    for (size_t i = 0; i < room->n_products; i++) {
        enum product_kind kind = room->product[i].kind;

        if ((kind == PRODUCT_ACID || kind == PRODUCT_BASE) == sets_ph) {
            return room->product[i].name;
        }
    }
    return NULL;
}

/* The room's name for one of an example; NULL for any other word, or where there is none. */
static const char *name_for(const struct room *room, const char *word, size_t len)
{
    /* clang-format off */
    const struct {
        const char *word, *name;
    } names[] = {
        {"A1",           room->n_containers ? room->container[0].name : NULL},
        {"A3",           room->n_containers > 1 ? room->container[1].name : NULL},
        {"calcium-part", first_product(room, false)},
        {"ph-down",      first_product(room, true)},
        {"leaf",         room->n_recipes ? room->recipe[0].name : NULL},
        {"ph-pen",       room->n_meters ? room->meter[0].name : NULL},
    };
    /* clang-format on */

    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        if (strlen(names[i].word) == len && memcmp(names[i].word, word, len) == 0) {
            return names[i].name;
        }
    }
    return NULL;
}

static bool is_of_a_name(char c)
{
    return isalnum((unsigned char)c) || c == '-' || c == '_';
}

void room_example(const struct room *room, const char *example, struct text *out)
{
    while (*example) {
        size_t len = 0;
        const char *name;

        while (is_of_a_name(example[len])) {
            len++;
        }
        name = len ? name_for(room, example, len) : NULL;
        if (name) {
            text_add(out, "%s", name);
        } else {
            len = len ? len : 1;
            text_add_bytes(out, example, len);
        }
        example += len;
    }
}
