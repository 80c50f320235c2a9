#include "cli/layout.h"
#include "cli/screen.h"

#include <math.h>
#include <string.h>

static const struct layout_column day_columns[] = {
    {"Day",    false, false, false},
    {"Work",   true,  false, false},
    {"Budget", true,  false, false},
    {"Drawn",  true,  false, false},
    {"Tasks",  false, false, false},
};
enum { DAY_COLUMNS = sizeof day_columns / sizeof *day_columns };

static const struct layout_column need_columns[] = {
    {"Product", false, true,  false},
    {"Needed",  true,  false, false},
    {"Left",    true,  false, false},
    {"",        false, false, false},
};
enum { NEED_COLUMNS = sizeof need_columns / sizeof *need_columns };

static const struct layout_column stock_columns[] = {
    {"Product",    false, false, false},
    {"Kind",       false, false, false},
    {"Left",       true,  false, false},
    {"Reorder at", true,  false, false},
    {"",           false, false, false},
};
enum { STOCK_COLUMNS = sizeof stock_columns / sizeof *stock_columns };

static void add_tasks(const json_t *tasks, struct text *out)
{
    const json_t *task;
    size_t i;

    json_array_foreach(tasks, i, task)
    {
        text_add(out, "%s%s ", i ? "; " : "", view_text(task, "id"));
        screen_task_what(task, out);
        if (json_array_size(json_object_get(task, "subjects"))) {
            text_add(out, " ");
        }
        screen_task_names(task, out);
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
void screen_by_when(const struct view *v, const json_t *when, struct text *out)
{
    char day[VIEW_DAY_MAX];

    text_add(out, "%s", view_has(when, "on") ? view_day(day, v, when, "on") : "not foreseen");
    if (view_has(when, "from")) {
        text_add(out, " (%s", view_day(day, v, when, "from"));
        text_add(out, " to %s)", view_has(when, "to") ? view_day(day, v, when, "to") : "later");
    }
}

enum { DAY_WIDTH = 12, LITRES_WIDTH = 15, BAR_MOST = 100 };

/* A bar takes what day, edges and litres leave of the page. */
static size_t bar_width(const struct text *out)
{
    size_t width = layout_columns(out) - DAY_WIDTH - LITRES_WIDTH - 3;

    return width < BAR_MOST ? width : BAR_MOST;
}

static size_t bar_of(double litres, double capacity_l, size_t width)
{
    double share = isfinite(litres) ? litres / capacity_l : 0;

    return (size_t)lround(fmin(1, fmax(0, share)) * (double)width);
}

static void write_reservoir(const struct view *v, const json_t *r, struct text *out)
{
    struct text t = {0};

    text_add(&t, "at its low mark ");
    screen_by_when(v, json_object_get(r, "low"), &t);
    text_add(&t, ", empty ");
    screen_by_when(v, json_object_get(r, "empty"), &t);
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
        text_add(&t, "start making it by %s", view_instant(when, v, source, "start"));
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
    size_t width = bar_width(out);
    size_t lo = bar_of(view_number(r, "lo"), capacity_l, width);
    size_t hi = bar_of(view_number(r, "hi"), capacity_l, width);
    char when[VIEW_DAY_MAX];
    char litres[QUANTITY_TEXT_MAX];
    char bar[BAR_MOST + 1];

    for (size_t i = 0; i < width; i++) {
        bar[i] = "#: "[(i >= lo) + (i >= hi)];
    }
    bar[width] = '\0';
    layout_pad(out, view_day(when, v, day, "date"), DAY_WIDTH, false);
    text_add(out, "|%s| %s\n", bar, view_quantity(litres, v, QUANTITY_VOLUME, r, "mid"));
}

static bool holds_something(const json_t *days)
{
    const json_t *day;
    size_t i;

    json_array_foreach(days, i, day)
    {
        if (view_number(json_object_get(day, "reservoir_l"), "hi") > 0) {
            return true;
        }
    }
    return false;
}

static void write_chart(const struct view *v, const json_t *days, double capacity_l,
                        struct text *out)
{
    const json_t *day;
    size_t i;

    if (!(capacity_l > 0) || !holds_something(days)) {
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

static bool come_alike(const json_t *a, const json_t *b)
{
    return strcmp(view_text(a, "from"), view_text(b, "from")) == 0 &&
           strcmp(view_text(a, "on"), view_text(b, "on")) == 0 &&
           strcmp(view_text(a, "to"), view_text(b, "to")) == 0;
}

/* Floats that are to come, with the days between which it lies; a line for those alike. */
static void write_floats(const struct view *v, const json_t *floats, struct text *out)
{
    size_t n = json_array_size(floats);

    for (size_t i = 0, was = 0; i < n;) {
        const json_t *first = json_array_get(floats, i);
        json_t *names = json_array();
        struct text t = {0};

        was = i;
        for (; i < n && come_alike(json_array_get(floats, i), first); i++) {
            json_array_append(names, json_object_get(json_array_get(floats, i), "name"));
        }
        view_names(names, &t);
        text_add(&t, ": ");
        screen_by_when(v, first, &t);
        layout_fact(out, was ? "" : "Float line", text_str(&t));
        text_deinit(&t);
        json_decref(names);
    }
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
    char buf[QUANTITY_TEXT_MAX];

    view_count(out, view_whole(f, "bumps"), "bump", "bumps");
    text_add(out, " and ");
    view_count(out, view_whole(f, "changes"), "change", "changes");
    text_add(out, ", %s without the mixing; solutions spent or short on ",
             view_minutes(buf, view_number(f, "minutes")));
    view_count(out, view_whole(f, "short_days"), "morning", "mornings");
}

/* What is supposed is weighed by it: a plan of changes says nothing of bumps. */
static void write_feeding(const json_t *answer, struct text *out)
{
    const json_t *feeding = json_object_get(answer, "feeding");
    const json_t *now = json_object_get(answer, "feeding_now");
    struct text t = {0};

    if (!(view_number(feeding, "bumps") + view_number(feeding, "changes") > 0)) {
        return; /* before the first start there is nothing to feed */
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
    text_add(&t, " from %s", view_day_year(day, view_text(answer, "from")));
    layout_wrap(out, text_str(&t), 0, 0);
    write_supposed(v, answer, out);
    text_add(out, "\n");
    write_days(v, days, out);
    screen_plan(v, answer, out);
    text_clear(&t);
    text_add(&t, "%s", view_quantity(buf, v, QUANTITY_VOLUME, water, "draw_l"));
    if (view_has(water, "draw_lo_l") &&
        view_number(water, "draw_hi_l") > view_number(water, "draw_lo_l")) {
        text_add(&t, " (%s", view_bare(buf, v, QUANTITY_VOLUME, water, "draw_lo_l"));
        text_add(&t, " to %s)", view_bare(buf, v, QUANTITY_VOLUME, water, "draw_hi_l"));
    }
    text_add(&t, " from the reservoir by the floats");
    text_add(&t, ", %s for mixes", view_quantity(buf, v, QUANTITY_VOLUME, water, "mix_l"));
    if (view_number(water, "start_l") > 0) {
        text_add(&t, ", %s for ", view_quantity(buf, v, QUANTITY_VOLUME, water, "start_l"));
        view_count(&t, view_whole(water, "starts"), "start", "starts");
    }
    text_add(out, "\n");
    layout_fact(out, "Water", text_str(&t));
    write_reservoir(v, json_object_get(answer, "reservoir"), out);
    write_source(v, json_object_get(water, "source"), out);
    write_feeding(answer, out);
    write_floats(v, floats, out);
    write_chart(v, days, view_number(json_object_get(answer, "reservoir"), "capacity_l"), out);
    screen_strengths(v, answer, out);
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
        text_add(out, "\n");
        layout_wrap(out, "Came in?  tarn record stock-received PRODUCT amount=…", 0, 10);
    }
    layout_table_deinit(&t);
}

void screen_clock(const struct view *v, const json_t *answer, struct text *out)
{
    const char *now = view_text(answer, "now");
    struct text t = {0};
    char day[VIEW_DAY_MAX];

    (void)v;
    text_add(&t, "It is %s", view_day_year(day, now));
    if (strlen(now) >= 16) {
        text_add(&t, ", %.5s", now + 11);
    }
    text_add(&t, "%s.",
             json_is_true(json_object_get(answer, "simulated")) ? " on the simulated clock" : "");
    layout_wrap(out, text_str(&t), 0, 0);
    text_deinit(&t);
}
