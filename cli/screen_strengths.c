#include "cli/layout.h"
#include "cli/screen.h"

#include <string.h>

enum {
    MANY_POTS = 40,     /* more are no page; then only what these days bring is shown */
    SPAN_COLUMNS = 100, /* a page this wide has room for the days between which it lies */
};

/* What is told of a container, but for its name. */
enum { STRENGTH_CELLS = 4 };
struct strengths {
    struct text cell[STRENGTH_CELLS];
};

static void add_span(const struct view *v, const json_t *span, struct text *cell)
{
    char buf[QUANTITY_TEXT_MAX];

    if (!json_is_object(span)) {
        text_add(cell, "-");
        return;
    }
    text_add(cell, "%s", view_bare(buf, v, QUANTITY_EC, span, "mid"));
    text_add(cell, " (%s", view_bare(buf, v, QUANTITY_EC, span, "lo"));
    text_add(cell, "-%s)", view_bare(buf, v, QUANTITY_EC, span, "hi"));
}

static struct strengths strengths_of(const struct view *v, const json_t *c, bool wide)
{
    const json_t *spent = json_object_get(c, "spent");
    struct strengths s = {0};
    char day[VIEW_DAY_MAX];

    add_span(v, json_object_get(c, "ec_tomorrow"), &s.cell[0]);
    if (wide && json_is_object(spent)) {
        screen_by_when(v, spent, &s.cell[1]);
    } else {
        text_add(&s.cell[1], "%s", view_day(day, v, spent, "on"));
    }
    text_add(&s.cell[2], "%s", view_day(day, v, c, "change_on"));
    add_span(v, json_object_get(c, "ec_then"), &s.cell[3]);
    return s;
}

static bool are_alike(const struct strengths *a, const struct strengths *b)
{
    for (size_t i = 0; i < STRENGTH_CELLS; i++) {
        if (strcmp(text_str(&a->cell[i]), text_str(&b->cell[i])) != 0) {
            return false;
        }
    }
    return true;
}

static void forget(struct strengths *s)
{
    for (size_t i = 0; i < STRENGTH_CELLS; i++) {
        text_deinit(&s->cell[i]);
    }
}

/* A row for those that follow each other and are alike; names and what is told of them are over
 * after it. */
static void add_row(json_t *names, struct strengths *s, struct layout_table *t)
{
    struct text who = {0};

    if (json_array_size(names)) {
        view_names(names, &who);
        layout_table_add(t, text_str(&who));
        for (size_t i = 0; i < STRENGTH_CELLS; i++) {
            layout_table_add(t, text_str(&s->cell[i]));
        }
    }
    json_array_clear(names);
    text_deinit(&who);
    forget(s);
}

/* Is its solution spent or changed within the days that are shown? */
static bool comes_within(const json_t *c, const char *last)
{
    const char *spent = view_text(json_object_get(c, "spent"), "on");
    const char *change = view_text(c, "change_on");

    return (*spent && strcmp(spent, last) <= 0) || (*change && strcmp(change, last) <= 0);
}

/* The rows of those that are shown; gives how many are not. */
static size_t add_rows(const struct view *v, const json_t *answer, bool wide,
                       struct layout_table *t)
{
    const json_t *containers = json_object_get(answer, "containers");
    const json_t *days = json_object_get(answer, "days");
    const char *last = view_text(json_array_get(days, json_array_size(days) - 1), "date");
    bool many = json_array_size(containers) > MANY_POTS;
    json_t *names = json_array();
    struct strengths s = {0};
    size_t left = 0;
    const json_t *c;
    size_t i;

    json_array_foreach(containers, i, c)
    {
        struct strengths next;

        if (many && !comes_within(c, last)) {
            left++;
            continue;
        }
        next = strengths_of(v, c, wide);
        if (are_alike(&s, &next)) {
            forget(&next);
        } else {
            add_row(names, &s, t);
            s = next;
        }
        (void)json_array_append(names, json_object_get(c, "name"));
    }
    add_row(names, &s, t);
    json_decref(names);
    return left;
}

void screen_strengths(const struct view *v, const json_t *answer, struct text *out)
{
    static const struct layout_column columns[] = {
        {"",            false, false, false},
        {"EC tomorrow", true,  false, false},
        {"spent",       false, false, false},
        {"change",      false, false, false},
        {"EC then",     true,  false, false},
    };
    struct layout_table t = {.column = columns, .n_columns = sizeof columns / sizeof *columns};
    size_t left = add_rows(v, answer, layout_columns(out) >= SPAN_COLUMNS, &t);
    struct text head = {0};

    if (t.n_cells) {
        text_add(&head,
                 "Strengths in %s if nothing is stirred in; nine times in ten as in brackets:",
                 view_ec_unit(v));
        text_add(out, "\n");
        layout_wrap(out, text_str(&head), 0, 0);
        layout_table_write(&t, 0, out);
    }
    if (left) {
        text_clear(&head);
        text_add(&head, "Neither spent nor changed within these days: ");
        view_count(&head, left, "container", "containers");
        text_add(&head, " more.");
        layout_wrap(out, text_str(&head), 0, 0);
    }
    text_deinit(&head);
    layout_table_deinit(&t);
}
