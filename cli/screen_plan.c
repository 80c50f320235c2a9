/* The plan of the changes: what is mixed when, what it comes to, and what another day
 * would cost. */
#include "cli/layout.h"
#include "cli/screen.h"

#include <math.h>
#include <string.h>

/* "1 changeover more", "2 mixes fewer"; nothing where nothing differs. */
static void add_count(struct text *out, double by, const char *one, const char *many)
{
    size_t n = isfinite(by) ? (size_t)lround(fabs(by)) : 0; /* an older daemon may not say */

    if (n > 0) {
        text_add(out, "%s", out->len ? ", " : "");
        view_count(out, n, one, many);
        text_add(out, by > 0 ? " more" : " fewer");
    }
}

static void add_minutes(struct text *out, double by, const char *of)
{
    char buf[QUANTITY_TEXT_MAX];

    if (fabs(by) >= 1) {
        text_add(out, "%s%s %s%s", out->len ? ", " : "", view_minutes(buf, fabs(by)),
                 by > 0 ? "more" : "less", of);
    }
}

static void add_litres(struct text *out, const struct view *v, const json_t *differs)
{
    double by = view_number(differs, "mixed_l");
    json_t *abs = json_pack("{s:f}", "l", fabs(by));
    char buf[QUANTITY_TEXT_MAX];

    if (fabs(by) >= 0.5) {
        text_add(out, "%s%s %s of solution", out->len ? ", " : "",
                 view_quantity(buf, v, QUANTITY_VOLUME, abs, "l"), by > 0 ? "more" : "less");
    }
    json_decref(abs);
}

static void add_days(struct text *out, double by, const char *late)
{
    if (by >= 0.5) {
        text_add(out, "%s", out->len ? ", " : "");
        view_count(out, (size_t)lround(by), "container-day", "container-days");
        text_add(out, " %s than due", late);
    }
}

void screen_differs(const struct view *v, const json_t *differs, struct text *out)
{
    struct text t = {0};

    add_count(&t, view_number(differs, "changeovers"), "changeover", "changeovers");
    add_count(&t, view_number(differs, "mixes"), "mix", "mixes");
    add_count(&t, view_number(differs, "jugs"), "jug", "jugs");
    add_litres(&t, v, differs);
    add_minutes(&t, view_number(differs, "minutes"), "");
    add_minutes(&t, view_number(differs, "overtime_min"), " beyond the day's time");
    add_days(&t, view_number(differs, "late_days"), "later");
    add_days(&t, view_number(differs, "early_days"), "earlier");
    text_add(out, "%s", t.len ? text_str(&t) : "the changes take no more work, and no less");
    text_deinit(&t);
}

/* The mixes to come, a row each. */
static void write_mixes(const struct view *v, const json_t *mixes, struct text *out)
{
    static const struct layout_column columns[] = {
        {"Day",        false, false, false},
        {"Task",       true,  false, false},
        {"Mix",        false, false, false},
        {"Litres",     true,  false, false},
        {"Time",       true,  false, false},
        {"Containers", false, true,  false},
    };
    struct layout_table t = {.column = columns, .n_columns = sizeof columns / sizeof *columns};
    const json_t *task;
    size_t i;

    json_array_foreach(mixes, i, task)
    {
        struct text mix = {0};
        struct text names = {0};
        char day[VIEW_DAY_MAX];
        char buf[QUANTITY_TEXT_MAX];

        text_add(&mix, "%s %s%s", view_text(task, "recipe"),
                 view_quantity(buf, v, QUANTITY_EC, task, "ec_ms_cm"),
                 json_is_true(json_object_get(task, "by_hand")) ? ", by hand" : "");
        view_names(json_object_get(task, "subjects"), &names);
        layout_table_add(&t, view_day(day, v, task, "on"));
        layout_table_add(&t, view_text(task, "id"));
        layout_table_add(&t, text_str(&mix));
        layout_table_add(&t, view_quantity(buf, v, QUANTITY_VOLUME, task, "volume_l"));
        layout_table_add(&t, view_minutes(buf, view_number(task, "minutes")));
        layout_table_add(&t, text_str(&names));
        text_deinit(&mix);
        text_deinit(&names);
    }
    layout_table_write(&t, 0, out);
    layout_table_deinit(&t);
}

static void write_sum(const struct view *v, const json_t *plan, struct text *out)
{
    struct text t = {0};
    char buf[QUANTITY_TEXT_MAX];

    text_add(&t, "In all that is planned: ");
    view_count(&t, view_whole(plan, "changeovers"), "changeover", "changeovers");
    text_add(&t, ", ");
    view_count(&t, view_whole(plan, "mixes"), "mix", "mixes");
    text_add(&t, " of %s together", view_quantity(buf, v, QUANTITY_VOLUME, plan, "mixed_l"));
    if (view_number(plan, "jugs") > 0) {
        text_add(&t, ", ");
        view_count(&t, view_whole(plan, "jugs"), "jug", "jugs");
    }
    text_add(&t, ", %s of work.", view_minutes(buf, view_number(plan, "minutes")));
    if (view_has(plan, "gap_pct")) {
        double gap = view_number(plan, "gap_pct");

        if (gap < 0.05) {
            text_add(&t, " No plan costs less.");
        } else {
            text_add(&t, " No plan costs less by more than %.1f %%.", 100 * gap / (100 + gap));
        }
    }
    layout_wrap(out, text_str(&t), 0, 0);
    text_deinit(&t);
}

void screen_plan(const struct view *v, const json_t *answer, struct text *out)
{
    const json_t *mixes = json_object_get(answer, "mixes");

    if (json_array_size(mixes) == 0) {
        return;
    }
    text_add(out, "\n");
    write_mixes(v, mixes, out);
    write_sum(v, json_object_get(answer, "plan"), out);
}

static bool want_alike(const json_t *a, const json_t *b)
{
    return view_number(a, "ec_ms_cm") == view_number(b, "ec_ms_cm") &&
           strcmp(view_text(a, "due"), view_text(b, "due")) == 0 &&
           strcmp(view_text(a, "earliest"), view_text(b, "earliest")) == 0 &&
           strcmp(view_text(a, "latest"), view_text(b, "latest")) == 0;
}

/* The names from *i on that want the same; *i is moved behind them. */
static void add_alike(const json_t *wants, size_t *i, struct text *out)
{
    const json_t *first = json_array_get(wants, *i);
    json_t *names = json_array();

    while (*i < json_array_size(wants) && want_alike(json_array_get(wants, *i), first)) {
        json_array_append(names, json_object_get(json_array_get(wants, *i), "name"));
        ++*i;
    }
    view_names(names, out);
    json_decref(names);
}

/* What each container wants, and when: why they go together. */
static void write_wants(const struct view *v, const json_t *wants, struct text *out)
{
    for (size_t i = 0, was = 0; i < json_array_size(wants);) {
        const json_t *w = json_array_get(wants, i);
        struct text t = {0};
        char buf[QUANTITY_TEXT_MAX];
        char day[VIEW_DAY_MAX];

        was = i;
        add_alike(wants, &i, &t);
        text_add(&t, ": %s", view_quantity(buf, v, QUANTITY_EC, w, "ec_ms_cm"));
        text_add(&t, ", due %s", view_day(day, v, w, "due"));
        text_add(&t, " (%s to ", view_day(day, v, w, "earliest"));
        text_add(&t, "%s)", view_day(day, v, w, "latest"));
        layout_fact(out, was ? "" : "Who wants it", text_str(&t));
        text_deinit(&t);
    }
}

void screen_why_then(const struct view *v, const json_t *answer, struct text *out)
{
    const json_t *other = json_object_get(answer, "other_days");
    const json_t *o;
    size_t i;

    write_wants(v, json_object_get(answer, "wants"), out);
    json_array_foreach(other, i, o)
    {
        struct text t = {0};
        char day[VIEW_DAY_MAX];

        text_add(&t, "%s: ", view_day(day, v, o, "on"));
        screen_differs(v, o, &t);
        layout_fact(out, i ? "" : "Another day", text_str(&t));
        text_deinit(&t);
    }
}

void screen_deferred(const struct view *v, const json_t *answer, struct text *out)
{
    struct text t = {0};

    screen_written(v, answer, out);
    if (json_is_object(json_object_get(answer, "differs"))) {
        text_add(&t, "What it costs: ");
        screen_differs(v, json_object_get(answer, "differs"), &t);
        text_add(&t, ".");
        text_add(out, "\n");
        layout_wrap(out, text_str(&t), 0, 0);
    }
    text_deinit(&t);
}
