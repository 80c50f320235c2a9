#include "cli/layout.h"
#include "cli/screen.h"

#include <math.h>
#include <string.h>

static const struct layout_column day_columns[] = {
    {"Day",    false, false},
    {"Work",   true,  false},
    {"Budget", true,  false},
    {"Drawn",  true,  false},
    {"Tasks",  false, false},
};
enum { DAY_COLUMNS = sizeof day_columns / sizeof *day_columns };

static const struct layout_column need_columns[] = {
    {"Product", false, true },
    {"Needed",  true,  false},
    {"Left",    true,  false},
    {"",        false, false},
};
enum { NEED_COLUMNS = sizeof need_columns / sizeof *need_columns };

static const struct layout_column stock_columns[] = {
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
    struct layout_table t = {.column = day_columns, .n_columns = DAY_COLUMNS};
    const json_t *day;
    size_t i;

    json_array_foreach(days, i, day)
    {
        const json_t *tasks = json_object_get(day, "tasks");
        struct text list = {0};
        char when[VIEW_DAY_MAX];
        char buf[QUANTITY_TEXT_MAX];

        add_tasks(tasks, &list);
        layout_table_add(&t, view_day(when, v, day, "date"));
        layout_table_add(&t, json_array_size(tasks) ? view_minutes(buf, view_number(day, "minutes"))
                                                    : "-");
        layout_table_add(&t, view_minutes(buf, view_number(day, "budget_min")));
        layout_table_add(&t, view_quantity(buf, v, QUANTITY_VOLUME, day, "draw_l"));
        layout_table_add(&t, json_array_size(tasks) ? text_str(&list) : "-");
        text_deinit(&list);
    }
    layout_table_write(&t, 0, out);
    layout_table_deinit(&t);
}

/* "12 Mar to 20 Mar" of a foretold day; "not before summer" is nothing. */
static void add_by_when(const struct view *v, const json_t *when, struct text *out)
{
    char day[VIEW_DAY_MAX];

    text_add(out, "%s", view_has(when, "on") ? view_day(day, v, when, "on") : "not foreseen");
    if (view_has(when, "from")) {
        text_add(out, " (%s", view_date(day, v, when, "from"));
        text_add(out, " to %s)", view_has(when, "to") ? view_date(day, v, when, "to") : "later");
    }
}

enum { BAR_WIDTH = 50, DAY_WIDTH = 12 };

static size_t bar_of(double litres, double capacity_l)
{
    double share = isfinite(litres) ? litres / capacity_l : 0;

    return (size_t)lround(fmin(1, fmax(0, share)) * BAR_WIDTH);
}

static void write_reservoir(const struct view *v, const json_t *r, struct text *out)
{
    struct text t = {0};

    text_add(&t, "at its low mark ");
    add_by_when(v, json_object_get(r, "low"), &t);
    text_add(&t, ", empty ");
    add_by_when(v, json_object_get(r, "empty"), &t);
    text_add(&t, ", if nobody fills it");
    layout_fact(out, "Reservoir", text_str(&t));
    text_deinit(&t);
}

static void write_source(const struct view *v, const json_t *source, struct text *out)
{
    struct text t = {0};
    char buf[QUANTITY_TEXT_MAX];
    char when[VIEW_DAY_MAX];
    bool enough = view_number(source, "has_l") >= view_number(source, "need_l");

    if (!json_is_object(source)) {
        return;
    }
    text_add(&t, "%s for task %s", view_quantity(buf, v, QUANTITY_VOLUME, source, "need_l"),
             view_text(source, "task"));
    text_add(&t, " on %s: ", view_day(when, v, source, "on"));
    if (enough) {
        text_add(&t, "start making it by %s", view_instant(when, source, "start"));
    } else {
        text_add(&t, "too much, the source can have %s by then",
                 view_quantity(buf, v, QUANTITY_VOLUME, source, "has_l"));
    }
    if (view_number(source, "drain_l") > 0) {
        text_add(&t, "; %s go to the drain",
                 view_quantity(buf, v, QUANTITY_VOLUME, source, "drain_l"));
    }
    layout_fact(out, "Source", text_str(&t));
    text_deinit(&t);
}

/* A row of the chart: what is sure to be there, and what may be. */
static void write_bar(const struct view *v, const json_t *day, double capacity_l, struct text *out)
{
    const json_t *r = json_object_get(day, "reservoir_l");
    size_t lo = bar_of(view_number(r, "lo"), capacity_l);
    size_t hi = bar_of(view_number(r, "hi"), capacity_l);
    char when[VIEW_DAY_MAX];
    char litres[QUANTITY_TEXT_MAX];
    char bar[BAR_WIDTH + 1];

    for (size_t i = 0; i < BAR_WIDTH; i++) {
        bar[i] = "#: "[(i >= lo) + (i >= hi)];
    }
    bar[BAR_WIDTH] = '\0';
    layout_pad(out, view_day(when, v, day, "date"), DAY_WIDTH, false);
    text_add(out, "|%s| %s\n", bar, view_quantity(litres, v, QUANTITY_VOLUME, r, "mid"));
}

static void write_chart(const struct view *v, const json_t *days, double capacity_l,
                        struct text *out)
{
    const json_t *day;
    size_t i;

    if (!(capacity_l > 0)) {
        return;
    }
    layout_wrap(
        out, "\nThe reservoir at the end of each day, if nobody fills it; # is sure, : may be:", 0,
        0);
    json_array_foreach(days, i, day)
    {
        write_bar(v, day, capacity_l, out);
    }
}

static void add_span_cell(const struct view *v, const json_t *span, struct layout_table *t)
{
    struct text cell = {0};
    char buf[QUANTITY_TEXT_MAX];

    if (json_is_object(span)) {
        text_add(&cell, "%s", view_bare(buf, v, QUANTITY_EC, span, "mid"));
        text_add(&cell, " (%s", view_bare(buf, v, QUANTITY_EC, span, "lo"));
        text_add(&cell, "-%s)", view_bare(buf, v, QUANTITY_EC, span, "hi"));
    }
    layout_table_add(t, cell.len ? text_str(&cell) : "-");
    text_deinit(&cell);
}

/* Floats that are to come, and solutions that run out: with the days between which it lies. */
static void write_floats(const struct view *v, const json_t *floats, struct text *out)
{
    const json_t *f;
    size_t i;
    struct text t = {0};

    json_array_foreach(floats, i, f)
    {
        text_clear(&t);
        text_add(&t, "%s: ", view_text(f, "name"));
        add_by_when(v, f, &t);
        layout_fact(out, i ? "" : "Float line", text_str(&t));
    }
    text_deinit(&t);
}

static void write_containers(const struct view *v, const json_t *containers, struct text *out)
{
    const struct layout_column columns[] = {
        {"",            false, false},
        {"EC tomorrow", true,  false},
        {"spent",       false, false},
        {"change",      false, false},
        {"EC then",     true,  false},
    };
    struct layout_table t = {.column = columns, .n_columns = sizeof columns / sizeof *columns};
    const json_t *c;
    size_t i;

    json_array_foreach(containers, i, c)
    {
        struct text spent = {0};
        char day[VIEW_DAY_MAX];

        if (json_is_object(json_object_get(c, "spent"))) {
            add_by_when(v, json_object_get(c, "spent"), &spent);
        }
        layout_table_add(&t, view_text(c, "name"));
        add_span_cell(v, json_object_get(c, "ec_tomorrow"), &t);
        layout_table_add(&t, spent.len ? text_str(&spent) : "-");
        layout_table_add(&t, view_has(c, "change_on") ? view_day(day, v, c, "change_on") : "-");
        add_span_cell(v, json_object_get(c, "ec_then"), &t);
        text_deinit(&spent);
    }
    if (t.n_cells) {
        text_add(out,
                 "\nStrengths in %s if nothing is stirred in; nine times in ten as in brackets:\n",
                 view_ec_unit(v));
        layout_table_write(&t, 0, out);
    }
    layout_table_deinit(&t);
}

static void write_needs(const struct view *v, const json_t *products, struct text *out)
{
    struct layout_table t = {.column = need_columns, .n_columns = NEED_COLUMNS};
    const json_t *p;
    size_t i;

    json_array_foreach(products, i, p)
    {
        char buf[QUANTITY_TEXT_MAX];

        if (!(view_number(p, "need") > 0)) {
            continue;
        }
        layout_table_add(&t, view_text(p, "name"));
        layout_table_add(&t, view_amount(buf, v, p, "need"));
        layout_table_add(&t, view_amount(buf, v, p, "left"));
        layout_table_add(&t, view_number(p, "need") > view_number(p, "left") ? "not enough" : "");
    }
    if (t.n_cells) {
        text_add(out, "\n");
        layout_table_write(&t, 0, out);
    }
    layout_table_deinit(&t);
}

static void write_supposed(const struct view *v, const json_t *answer, struct text *out)
{
    struct text t = {0};

    if (!view_has(answer, "if")) {
        return;
    }
    text_add(&t, "Supposed: %s. Nothing was touched. Against the plan as it stands: ",
             view_text(answer, "if"));
    screen_differs(v, json_object_get(answer, "differs"), &t);
    text_add(&t, ".");
    layout_wrap(out, text_str(&t), 0, 0);
    text_deinit(&t);
}

static void add_feeding(const json_t *f, struct text *out)
{
    text_add(out,
             "%.0f bumps and %.0f changes, %.1f h without the mixing; solutions spent or short "
             "on %.0f mornings",
             view_number(f, "bumps"), view_number(f, "changes"), view_number(f, "minutes") / 60,
             view_number(f, "short_days"));
}

/* What is supposed is weighed by it: a plan of changes says nothing of bumps. */
static void write_feeding(const json_t *answer, struct text *out)
{
    const json_t *feeding = json_object_get(answer, "feeding");
    const json_t *now = json_object_get(answer, "feeding_now");
    struct text t = {0};

    if (!json_is_object(feeding)) {
        return;
    }
    add_feeding(feeding, &t);
    text_add(&t, " in %.0f days", view_number(feeding, "days"));
    layout_fact(out, "Feeding", text_str(&t));
    if (json_is_object(now)) {
        text_clear(&t);
        text_add(&t, "as it is: ");
        add_feeding(now, &t);
        layout_fact(out, "", text_str(&t));
    }
    text_deinit(&t);
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
    write_supposed(v, answer, out);
    text_add(out, "\n");
    write_days(v, days, out);
    screen_plan(v, answer, out);
    text_clear(&t);
    text_add(&t, "%s", view_quantity(buf, v, QUANTITY_VOLUME, water, "draw_l"));
    if (view_has(water, "draw_lo_l")) {
        text_add(&t, " (%s", view_bare(buf, v, QUANTITY_VOLUME, water, "draw_lo_l"));
        text_add(&t, " to %s)", view_bare(buf, v, QUANTITY_VOLUME, water, "draw_hi_l"));
    }
    text_add(&t, " from the reservoir by the floats");
    text_add(&t, ", %s for mixes", view_quantity(buf, v, QUANTITY_VOLUME, water, "mix_l"));
    text_add(out, "\n");
    layout_fact(out, "Water", text_str(&t));
    write_reservoir(v, json_object_get(answer, "reservoir"), out);
    write_source(v, json_object_get(water, "source"), out);
    write_feeding(answer, out);
    write_floats(v, floats, out);
    write_chart(v, days, view_number(json_object_get(answer, "reservoir"), "capacity_l"), out);
    write_containers(v, json_object_get(answer, "containers"), out);
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
    struct layout_table t = {.column = stock_columns, .n_columns = STOCK_COLUMNS};
    const json_t *products = json_object_get(answer, "products");
    const json_t *p;
    size_t i;

    json_array_foreach(products, i, p)
    {
        char buf[QUANTITY_TEXT_MAX];
        bool asked = view_number(p, "reorder_at") > 0;

        layout_table_add(&t, view_text(p, "name"));
        layout_table_add(&t, view_text(p, "kind"));
        layout_table_add(&t, view_amount(buf, v, p, "left"));
        layout_table_add(&t, asked ? view_amount(buf, v, p, "reorder_at") : "-");
        layout_table_add(&t, stock_remark(p));
    }
    if (json_array_size(products) == 0) {
        text_add(out, "The room file names no products.\n");
    } else {
        layout_table_write(&t, 0, out);
        text_add(out, "\nCame in?  tarn record stock-received PRODUCT amount=…\n");
    }
    layout_table_deinit(&t);
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
