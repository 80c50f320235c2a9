#include "cli/layout.h"
#include "cli/screen.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void add_when(const struct view *v, const json_t *measured, struct text *out)
{
    char when[VIEW_DAY_MAX];

    text_add(out, " on %s", view_instant(when, v, measured, "at"));
}

static void write_measured(const struct view *v, const json_t *measured, struct text *out)
{
    static const struct {
        const char *key, *said;
        enum quantity quantity;
    } kinds[] = {
        {"ec_ms_cm", "EC ", QUANTITY_EC    },
        {"ph",       "pH ", QUANTITY_PH    },
        {"temp_c",   "",    QUANTITY_TEMP  },
        {"volume_l", "",    QUANTITY_VOLUME},
    };
    struct text t = {0};
    size_t n = 0;

    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        const json_t *m = json_object_get(measured, kinds[i].key);
        char buf[QUANTITY_TEXT_MAX];

        if (json_is_object(m)) {
            text_add(&t, "%s%s%s", n++ ? ", " : "", kinds[i].said,
                     view_quantity(buf, v, kinds[i].quantity, m, "value"));
            add_when(v, m, &t);
            if (view_has(m, "doubt")) {
                text_add(&t, " (%s)", view_text(m, "doubt"));
            }
        }
    }
    layout_fact(out, "Measured", n ? text_str(&t) : "never");
    text_deinit(&t);
}

/* "2026-03-02, tips burn: the next solution …" a line each, and what to check below it. */
static void write_seen(const struct view *v, const json_t *seen, struct text *out)
{
    const json_t *one;
    struct text t = {0};
    char when[VIEW_DAY_MAX];
    size_t i;

    json_array_foreach(seen, i, one)
    {
        text_clear(&t);
        text_add(&t, "%s on %s; check first: %s", view_text(one, "says"),
                 view_instant(when, v, one, "at"), view_text(one, "check"));
        layout_fact(out, i ? "" : "Seen", text_str(&t));
    }
    text_deinit(&t);
}

static void write_water(const struct view *v, const json_t *c, struct text *out)
{
    bool idle = strcmp(view_text(c, "condition"), "idle") == 0;
    struct text t = {0};
    char buf[QUANTITY_TEXT_MAX];

    if (!idle) {
        text_add(&t, "%s now; ", view_quantity(buf, v, QUANTITY_VOLUME, c, "volume_l"));
    }
    text_add(&t, "start line %s", view_quantity(buf, v, QUANTITY_VOLUME, c, "start_volume_l"));
    text_add(&t, ", float line %s", view_quantity(buf, v, QUANTITY_VOLUME, c, "float_volume_l"));
    text_add(&t, ", %s stays after draining",
             view_quantity(buf, v, QUANTITY_VOLUME, c, "remainder_l"));
    layout_fact(out, "Water", text_str(&t));
    if (!idle && view_has(c, "safe_volume_l")) {
        text_clear(&t);
        text_add(&t, "never above %s: the air roots would drown",
                 view_quantity(buf, v, QUANTITY_VOLUME, c, "safe_volume_l"));
        layout_fact(out, "", text_str(&t));
    }
    if (!idle && view_has(c, "use_l_day")) {
        text_clear(&t);
        text_add(&t, "%s a day", view_quantity(buf, v, QUANTITY_VOLUME, c, "use_l_day"));
        layout_fact(out, "Drinks", text_str(&t));
    }
    text_deinit(&t);
}

/* Less than the screen's last digit is no drift. */
static void write_drift(const json_t *c, struct text *out)
{
    double ph_day = view_has(c, "ph_drift_day") ? view_number(c, "ph_drift_day") : 0;

    if (fabs(ph_day) >= 0.005) {
        text_add(out, "; by itself it %s by about %.2f a day", ph_day > 0 ? "rises" : "falls",
                 fabs(ph_day));
    }
}

static void write_strength(const struct view *v, const json_t *c, struct text *out)
{
    struct text t = {0};
    char buf[QUANTITY_TEXT_MAX];

    text_add(&t, "%s now", view_quantity(buf, v, QUANTITY_EC, c, "ec_ms_cm"));
    if (view_has(c, "water_ms_cm")) {
        text_add(&t, ", of it %s from the water",
                 view_quantity(buf, v, QUANTITY_EC, c, "water_ms_cm"));
    }
    if (view_has(c, "strength_ms_cm")) {
        text_add(&t, ", made to %s", view_quantity(buf, v, QUANTITY_EC, c, "strength_ms_cm"));
    }
    if (view_has(c, "target_ec_ms_cm")) {
        text_add(&t, ", the stage wants %s",
                 view_quantity(buf, v, QUANTITY_EC, c, "target_ec_ms_cm"));
    }
    layout_fact(out, "Strength", text_str(&t));
    if (view_has(c, "ph_min") && view_has(c, "ph_max")) {
        text_clear(&t);
        text_add(&t, "%s", view_quantity(buf, v, QUANTITY_PH, c, "ph_min"));
        text_add(&t, " to %s", view_quantity(buf, v, QUANTITY_PH, c, "ph_max"));
        write_drift(c, &t);
        layout_fact(out, "pH wanted", text_str(&t));
    }
    text_deinit(&t);
}

/* A solution that is spent before the crop's shortest life is advice to take a larger vessel. */
static void write_grown(const struct view *v, const json_t *c, struct text *out)
{
    double lasts = view_has(c, "grown_lasts_days") ? view_number(c, "grown_lasts_days") : INFINITY;
    struct text t = {0};
    char buf[QUANTITY_TEXT_MAX];

    if (lasts < view_number(c, "grown_life_days")) {
        text_add(&t,
                 "spends a solution in %.1f days; one of %s at the float line would last the %.0f "
                 "that it should",
                 lasts, view_quantity(buf, v, QUANTITY_VOLUME, c, "grown_wants_l"),
                 view_number(c, "grown_life_days"));
        layout_fact(out, "Full-grown", text_str(&t));
    }
    text_deinit(&t);
}

static void write_days(const struct view *v, const json_t *c, struct text *out)
{
    bool seen = json_is_true(json_object_get(c, "float_seen"));
    bool on_float = strcmp(view_text(c, "condition"), "on float") == 0;
    struct text t = {0};
    char day[VIEW_DAY_MAX];

    if (view_has(c, "float_on")) {
        text_add(&t, "%s %s%s", on_float ? "since" : "about", view_day_far(day, v, c, "float_on"),
                 seen       ? ", seen working"
                 : on_float ? " by the forecast; not seen yet"
                            : "");
        layout_fact(out, "Float line", text_str(&t));
    }
    text_clear(&t);
    text_add(&t, "number %.0f of this planting", view_number(c, "solution"));
    if (view_has(c, "solution_days")) {
        text_add(&t, ", ");
        view_count(&t, view_whole(c, "solution_days"), "day", "days");
        text_add(&t, " old");
    }
    if (view_has(c, "spent_on")) {
        text_add(&t, ", spent on %s", view_day_far(day, v, c, "spent_on"));
    }
    layout_fact(out, "Solution", text_str(&t));
    write_grown(v, c, out);
    if (view_has(c, "harvest_on")) {
        layout_fact(out, "Harvest", view_day_far(day, v, c, "harvest_on"));
    }
    text_deinit(&t);
}

static void write_container(const struct view *v, const json_t *c, struct text *out)
{
    bool idle = strcmp(view_text(c, "condition"), "idle") == 0;
    struct text t = {0};
    const json_t *note;
    size_t i;

    text_add(&t, "%s", view_text(c, "name"));
    if (view_has(c, "crop")) {
        text_add(&t, ", %s", view_text(c, "crop"));
    }
    if (view_has(c, "stage")) {
        text_add(&t, ", %s", view_text(c, "stage"));
    }
    if (view_has(c, "day")) {
        text_add(&t, ", day %.0f", view_number(c, "day"));
    }
    view_heading(out, text_str(&t), view_text(c, "condition"));
    text_add(out, "\n");
    write_water(v, c, out);
    if (!idle) {
        write_strength(v, c, out);
        write_measured(v, json_object_get(c, "measured"), out);
        write_seen(v, json_object_get(c, "seen"), out);
        write_days(v, c, out);
        screen_feed(json_object_get(c, "feed"), "mg/L",
                    "What it holds, by what plants of its kind take, beside what was "
                    "published for its stage, in mg/L:",
                    out);
        json_array_foreach(json_object_get(c, "feed_notes"), i, note)
        {
            layout_wrap(out, json_string_value(note), 0, 0);
        }
    }
    text_deinit(&t);
}

static void write_reservoir(const struct view *v, const json_t *r, struct text *out)
{
    struct text t = {0};
    char buf[QUANTITY_TEXT_MAX];

    screen_reservoir_facts(v, r, out);
    text_add(&t, "%s a day", view_quantity(buf, v, QUANTITY_VOLUME, r, "draw_l_day"));
    layout_fact(out, "Drawn", text_str(&t));
    layout_fact(out, "pH", view_quantity(buf, v, QUANTITY_PH, r, "ph"));
    if (view_has(r, "temp_c")) {
        layout_fact(out, "Temperature", view_quantity(buf, v, QUANTITY_TEMP, r, "temp_c"));
    }
    write_seen(v, json_object_get(r, "seen"), out);
    text_clear(&t);
    text_add(&t, "%s below the outlet", view_quantity(buf, v, QUANTITY_VOLUME, r, "remainder_l"));
    layout_fact(out, "Unusable", text_str(&t));
    text_deinit(&t);
}

/* "from 7 measured mixes, 1 set aside as out of line" */
static void add_observed(const json_t *learned, const char *one, const char *many, struct text *out)
{
    text_add(out, "from ");
    view_count(out, view_whole(learned, "used"), one, many);
    if (view_number(learned, "aside") > 0) {
        text_add(out, ", %.0f set aside as out of line", view_number(learned, "aside"));
    }
}

/* "1.08 times the label (give or take 0.05), from 4 doses" */
static void write_bottle(const json_t *p, struct text *out)
{
    const json_t *learned = json_object_get(p, "strength");
    struct text t = {0};

    if (!json_is_object(learned)) {
        return;
    }
    text_add(&t, "it takes %.2f times (give or take %.2f) what label and alkalinity say, ",
             view_number(learned, "value"), view_number(learned, "sd"));
    add_observed(learned, "dose", "doses", &t);
    layout_fact(out, "pH", text_str(&t));
    text_deinit(&t);
}

static void write_product(const struct view *v, const json_t *p, struct text *out)
{
    const json_t *recipes = json_object_get(p, "recipes");
    struct text t = {0};
    char buf[QUANTITY_TEXT_MAX];

    text_add(&t, "%s, %s", view_text(p, "name"), view_text(p, "kind"));
    view_heading(out, text_str(&t), json_is_true(json_object_get(p, "ordered")) ? "ordered" : "");
    text_add(out, "\n");
    layout_fact(out, "Left", view_amount(buf, v, p, "left"));
    if (view_number(p, "reorder_at") > 0) {
        layout_fact(out, "Reorder at", view_amount(buf, v, p, "reorder_at"));
    }
    if (json_array_size(recipes)) {
        text_clear(&t);
        view_names(recipes, &t);
        layout_fact(out, "Used by", text_str(&t));
    }
    if (view_has(p, "reagent")) {
        layout_fact(out, "It is", view_text(p, "reagent"));
    }
    screen_feed(json_object_get(p, "contents"),
                strcmp(view_text(p, "unit"), "g") == 0 ? "mg in a g" : "mg in a mL", "", out);
    write_bottle(p, out);
    text_deinit(&t);
}

static void write_gain(const struct view *v, const json_t *r, struct text *out)
{
    const json_t *learned = json_object_get(r, "learned");
    struct text t = {0};
    char buf[QUANTITY_TEXT_MAX];

    if (json_is_object(learned)) {
        text_add(&t, "%s give or take ", view_quantity(buf, v, QUANTITY_EC, learned, "value"));
        text_add(&t, "%s, ", view_quantity(buf, v, QUANTITY_EC, learned, "sd"));
        add_observed(learned, "measured mix", "measured mixes", &t);
        layout_fact(out, "Learned", text_str(&t));
        text_clear(&t);
    }
    if (!json_is_true(json_object_get(r, "estimated"))) {
        layout_fact(out, "Room file", view_quantity(buf, v, QUANTITY_EC, r, "told_gain_ms_cm"));
    }
    if (view_has(r, "estimate_ms_cm")) {
        screen_estimate(v, r, &t);
        layout_fact(out, "Estimated", text_str(&t));
    }
    text_deinit(&t);
}

static void write_recipe(const struct view *v, const json_t *r, struct text *out)
{
    const json_t *doses = json_object_get(r, "doses");
    const json_t *dose;
    struct text t = {0};
    char buf[QUANTITY_TEXT_MAX];
    size_t i;

    text_add(&t, "%s: the full dose adds %s", view_text(r, "name"),
             view_quantity(buf, v, QUANTITY_EC, r, "ec_gain_ms_cm"));
    layout_wrap(out, text_str(&t), 0, 0);
    text_add(out, "\n");
    write_gain(v, r, out);
    json_array_foreach(doses, i, dose)
    {
        bool dry = strncmp(view_text(dose, "unit"), "g", 1) == 0;

        text_clear(&t);
        text_add(
            &t, "%s %s",
            view_quantity(buf, v, dry ? QUANTITY_DOSE_DRY : QUANTITY_DOSE_LIQUID, dose, "per_l"),
            view_text(dose, "product"));
        layout_fact(out, i ? "" : "In this order", text_str(&t));
    }
    screen_feed(json_object_get(r, "feed"), "Gives, mg/L", "", out);
    text_deinit(&t);
}

static void write_meter(const struct view *v, const json_t *m, struct text *out)
{
    struct text t = {0};

    text_add(&t, "%s, ", view_text(m, "name"));
    screen_meter_says(v, m, &t);
    layout_wrap(out, text_str(&t), 0, 0);
    text_deinit(&t);
}

/* The last step of a worksheet says how to tell that it is done. */
static void write_task(const struct view *v, const json_t *answer, struct text *out)
{
    const json_t *gives = json_object_get(answer, "gives");
    struct text t = {0};

    screen_task(v, json_object_get(answer, "task"), out);
    screen_why_then(v, answer, out);
    text_add(out, "\n");
    screen_worksheet(json_object_get(answer, "worksheet"), out);
    text_add(&t, "What it gives, beside what was published for %s, %s, in mg/L:",
             view_text(gives, "crop"), view_text(gives, "stage"));
    screen_feed(json_object_get(gives, "feed"), "mg/L", text_str(&t), out);
    text_deinit(&t);
}

/* "Task 44 was closed on Thu 16 Apr, by entry 812", and what was told of it. */
static void write_closed(const struct view *v, const json_t *c, struct text *out)
{
    struct text t = {0};
    char day[VIEW_DAY_MAX];

    text_add(&t, "Task %s: %s", view_text(c, "id"), view_text(c, "outcome"));
    if (view_has(c, "on")) {
        text_add(&t, " on %s, by entry %s", view_day(day, v, c, "on"), view_text(c, "entry"));
    }
    if (view_has(c, "reason")) {
        text_add(&t, "; %s", view_text(c, "reason"));
    }
    text_add(&t, ".");
    layout_wrap(out, text_str(&t), 0, 0);
    text_deinit(&t);
}

static void write_old_sheet(const json_t *answer, struct text *out)
{
    const json_t *worksheet = json_object_get(answer, "worksheet");

    if (json_array_size(worksheet)) {
        text_add(out, "\n");
        layout_wrap(out, "Its sheet, worked out again from what was known before:", 0, 0);
        screen_worksheet(worksheet, out);
    } else if (view_has(json_object_get(answer, "closed"), "entry")) {
        text_add(out, "\n");
        layout_wrap(out,
                    "Its sheet cannot be worked out again: the room would be planned otherwise.", 0,
                    0);
    }
}

static void write_entries(const struct view *v, const json_t *entries, const char *heading,
                          struct text *out)
{
    const json_t *entry;
    size_t i;

    json_array_foreach(entries, i, entry)
    {
        text_add(out, "%s", i ? "" : heading);
        screen_entry(v, entry, out);
    }
}

static void write_tasks(const struct view *v, const json_t *tasks, struct text *out)
{
    static const struct layout_column columns[] = {
        {"Task", true,  false, false},
        {"",     false, false, false},
        {"Due",  false, false, false},
        {"By",   false, false, false},
        {"For",  false, false, false},
    };
    struct layout_table t = {.column = columns, .n_columns = sizeof columns / sizeof *columns};
    const json_t *task;
    size_t i;

    json_array_foreach(tasks, i, task)
    {
        struct text names = {0};
        char day[VIEW_DAY_MAX];

        struct text what = {0};

        screen_task_names(task, &names);
        screen_task_what(task, &what);
        layout_table_add(&t, view_text(task, "id"));
        layout_table_add(&t, text_str(&what));
        layout_table_add(&t, view_day(day, v, task, "due"));
        layout_table_add(&t, view_day(day, v, task, "latest"));
        layout_table_add(&t, text_str(&names));
        text_deinit(&names);
        text_deinit(&what);
    }
    if (t.n_cells) {
        text_add(out, "\n");
        layout_table_write(&t, 0, out);
    }
    layout_table_deinit(&t);
}

void screen_show(const struct view *v, const json_t *answer, struct text *out)
{
    static const struct {
        const char *type;
        void (*write)(const struct view *v, const json_t *in, struct text *out);
    } types[] = {
        {"container", write_container },
        {"reservoir", write_reservoir },
        {"product",   write_product   },
        {"recipe",    write_recipe    },
        {"meter",     write_meter     },
        {"crop",      screen_crop     },
        {"forecasts", screen_forecasts},
    };
    const char *type = view_text(answer, "type");

    if (strcmp(type, "task") == 0) {
        write_task(v, answer, out);
        return;
    }
    if (strcmp(type, "things") == 0) {
        screen_things(json_object_get(answer, "things"), out);
        return;
    }
    if (strcmp(type, "closed") == 0) {
        write_closed(v, json_object_get(answer, "closed"), out);
        write_old_sheet(answer, out);
        write_entries(v, json_object_get(answer, "entries"), "\nWhat was told of it:\n", out);
        return;
    }
    for (size_t i = 0; i < sizeof types / sizeof *types; i++) {
        if (strcmp(type, types[i].type) == 0) {
            types[i].write(v, json_object_get(answer, type), out);
        }
    }
    write_tasks(v, json_object_get(answer, "tasks"), out);
    write_entries(v, json_object_get(answer, "entries"), "\nThe last entries, newest first:\n",
                  out);
}
