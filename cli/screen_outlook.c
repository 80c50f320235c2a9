#include "cli/layout.h"
#include "cli/screen.h"

#include <math.h>
#include <string.h>

static const struct column day_columns[] = {
    {"Day",    false, false},
    {"Work",   true,  false},
    {"Budget", true,  false},
    {"Drawn",  true,  false},
    {"Tasks",  false, false},
};
enum { DAY_COLUMNS = sizeof day_columns / sizeof *day_columns };

static const struct column need_columns[] = {
    {"Product", false, true },
    {"Needed",  true,  false},
    {"Left",    true,  false},
    {"",        false, false},
};
enum { NEED_COLUMNS = sizeof need_columns / sizeof *need_columns };

static const struct column stock_columns[] = {
    {"Product",    false, false},
    {"Kind",       false, false},
    {"Left",       true,  false},
    {"Reorder at", true,  false},
    {"",           false, false},
};
enum { STOCK_COLUMNS = sizeof stock_columns / sizeof *stock_columns };

static void add_tasks(const json_t *tasks, struct text *out)
{
    const json_t *task;
    size_t i;

    json_array_foreach(tasks, i, task)
    {
        text_add(out, "%s%s %s ", i ? "; " : "", view_text(task, "id"), view_text(task, "what"));
        view_names(json_object_get(task, "subjects"), out);
    }
}

static void write_days(const struct view *v, const json_t *days, struct text *out)
{
    struct table t = {.column = day_columns, .n_columns = DAY_COLUMNS};
    const json_t *day;
    size_t i;

    json_array_foreach(days, i, day)
    {
        const json_t *tasks = json_object_get(day, "tasks");
        struct text list = {0};
        char when[VIEW_DAY_MAX];
        char buf[QUANTITY_TEXT_MAX];

        add_tasks(tasks, &list);
        table_add(&t, view_day(when, v, day, "date"));
        table_add(&t,
                  json_array_size(tasks) ? view_minutes(buf, view_number(day, "minutes")) : "-");
        table_add(&t, view_minutes(buf, view_number(day, "budget_min")));
        table_add(&t, view_quantity(buf, v, QUANTITY_VOLUME, day, "draw_l"));
        table_add(&t, json_array_size(tasks) ? text_str(&list) : "-");
        text_deinit(&list);
    }
    table_write(&t, 0, out);
    table_deinit(&t);
}

/* Floats by the day on which they are expected: "Sat 14 Mar  A1..A4". */
static void write_floats(const struct view *v, const json_t *floats, struct text *out)
{
    size_t n = json_array_size(floats);

    for (size_t i = 0; i < n;) {
        const json_t *first = json_array_get(floats, i);
        json_t *names = json_array();
        struct text t = {0};
        char when[VIEW_DAY_MAX];
        size_t end = i;

        while (end < n &&
               strcmp(view_text(json_array_get(floats, end), "on"), view_text(first, "on")) == 0) {
            (void)json_array_append(names, json_object_get(json_array_get(floats, end++), "name"));
        }
        text_add(&t, "%s: ", view_day(when, v, first, "on"));
        view_names(names, &t);
        layout_fact(out, i ? "" : "Float line", text_str(&t));
        json_decref(names);
        text_deinit(&t);
        i = end;
    }
}

static void write_needs(const struct view *v, const json_t *products, struct text *out)
{
    struct table t = {.column = need_columns, .n_columns = NEED_COLUMNS};
    const json_t *p;
    size_t i;

    json_array_foreach(products, i, p)
    {
        char buf[QUANTITY_TEXT_MAX];

        if (!(view_number(p, "need") > 0)) {
            continue;
        }
        table_add(&t, view_text(p, "name"));
        table_add(&t, view_amount(buf, v, p, "need"));
        table_add(&t, view_amount(buf, v, p, "left"));
        table_add(&t, view_number(p, "need") > view_number(p, "left") ? "not enough" : "");
    }
    if (t.n_cells) {
        text_add(out, "\n");
        table_write(&t, 0, out);
    }
    table_deinit(&t);
}

void screen_outlook(const struct view *v, const json_t *answer, struct text *out)
{
    const json_t *days = json_object_get(answer, "days");
    const json_t *water = json_object_get(answer, "water");
    const json_t *floats = json_object_get(answer, "floats");
    struct text t = {0};
    char day[VIEW_DAY_MAX];
    char buf[QUANTITY_TEXT_MAX];

    text_add(&t, "%s, ", v->room);
    view_count(&t, json_array_size(days), "day", "days");
    text_add(&t, " from %s", view_day_long(day, view_text(answer, "from")));
    layout_wrap(out, text_str(&t), 0, 0);
    text_add(out, "\n");
    write_days(v, days, out);
    text_clear(&t);
    text_add(&t, "%s from the reservoir by the floats",
             view_quantity(buf, v, QUANTITY_VOLUME, water, "draw_l"));
    text_add(&t, ", %s for mixes", view_quantity(buf, v, QUANTITY_VOLUME, water, "mix_l"));
    text_add(out, "\n");
    layout_fact(out, "Water", text_str(&t));
    write_floats(v, floats, out);
    write_needs(v, json_object_get(answer, "products"), out);
    text_deinit(&t);
}

static const char *stock_remark(const json_t *p)
{
    double left = view_number(p, "left");

    if (json_is_true(json_object_get(p, "ordered"))) {
        return "ordered";
    }
    if (left < 0) {
        return "more was used than was ever told of";
    }
    return left <= view_number(p, "reorder_at") && view_number(p, "reorder_at") > 0 ? "reorder"
                                                                                    : "";
}

void screen_stock(const struct view *v, const json_t *answer, struct text *out)
{
    struct table t = {.column = stock_columns, .n_columns = STOCK_COLUMNS};
    const json_t *products = json_object_get(answer, "products");
    const json_t *p;
    size_t i;

    json_array_foreach(products, i, p)
    {
        char buf[QUANTITY_TEXT_MAX];
        bool asked = view_number(p, "reorder_at") > 0;

        table_add(&t, view_text(p, "name"));
        table_add(&t, view_text(p, "kind"));
        table_add(&t, view_amount(buf, v, p, "left"));
        table_add(&t, asked ? view_amount(buf, v, p, "reorder_at") : "-");
        table_add(&t, stock_remark(p));
    }
    if (json_array_size(products) == 0) {
        text_add(out, "The room file names no products.\n");
    } else {
        table_write(&t, 0, out);
        text_add(out, "\nCame in?  tarn record stock-received PRODUCT amount=…\n");
    }
    table_deinit(&t);
}

void screen_clock(const struct view *v, const json_t *answer, struct text *out)
{
    const char *now = view_text(answer, "now");
    char day[VIEW_DAY_MAX];

    (void)v;
    text_add(out, "It is %s", view_day_long(day, now));
    if (strlen(now) >= 16) {
        text_add(out, ", %.5s", now + 11);
    }
    text_add(out, "%s.\n",
             json_is_true(json_object_get(answer, "simulated")) ? " on the simulated clock" : "");
}
