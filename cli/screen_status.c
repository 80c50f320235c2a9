#include "cli/layout.h"
#include "cli/screen.h"
#include "daemon/base/mem.h"
#include "daemon/base/names.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct layout_column plain_columns[] = {
    {"Container",  false, false},
    {"Crop",       false, true },
    {"Stage",      false, true },
    {"Day",        true,  false},
    {"Water",      false, false},
    {"",           true,  false}, /* the units of the room, filled in */
    {"",           true,  false},
    {"Float line", false, false},
};

enum {
    COLUMN_VOLUME = 5,
    COLUMN_EC = 6,
    COLUMN_N = sizeof plain_columns / sizeof *plain_columns,
    CELL_MAX = 48,
};

/* Containers that follow each other by name and read the same share a row, "A1..A12". */
struct row_group {
    struct names names;
    char cell[COLUMN_N][CELL_MAX];
};

static void group_write(struct row_group *g, struct layout_table *t)
{
    struct text names = {0};

    if (g->names.n == 0) {
        return;
    }
    names_fold((const char *const *)g->names.name, g->names.n, &names);
    layout_table_add(t, text_str(&names));
    for (size_t i = 1; i < COLUMN_N; i++) {
        layout_table_add(t, g->cell[i]);
    }
    text_deinit(&names);
    names_deinit(&g->names);
}

static void word_or_dash(char cell[CELL_MAX], const char *word)
{
    (void)snprintf(cell, CELL_MAX, "%s", *word ? word : "-");
}

static void float_cell(const struct view *v, const json_t *c, char cell[CELL_MAX])
{
    bool on_float = strcmp(view_text(c, "condition"), "on float") == 0;
    bool seen = json_is_true(json_object_get(c, "float_seen"));
    char day[VIEW_DAY_MAX];

    view_date(day, v, c, "float_on");
    (void)snprintf(cell, CELL_MAX, "%s%s", day, seen ? ", seen" : on_float ? ", unseen" : "");
}

static void read_cells(const struct view *v, const json_t *c, char cell[COLUMN_N][CELL_MAX])
{
    bool idle = strcmp(view_text(c, "condition"), "idle") == 0;
    char buf[QUANTITY_TEXT_MAX];

    memset(cell, 0, COLUMN_N * sizeof *cell);
    word_or_dash(cell[1], view_text(c, "crop"));
    word_or_dash(cell[2], view_text(c, "stage"));
    (void)snprintf(cell[3], CELL_MAX, "-");
    if (view_has(c, "day")) {
        (void)snprintf(cell[3], CELL_MAX, "%.0f", view_number(c, "day"));
    }
    word_or_dash(cell[4], view_text(c, "condition"));
    word_or_dash(cell[COLUMN_VOLUME],
                 idle ? "" : view_bare(buf, v, QUANTITY_VOLUME, c, "volume_l"));
    word_or_dash(cell[COLUMN_EC], idle ? "" : view_bare(buf, v, QUANTITY_EC, c, "ec_ms_cm"));
    if (idle) {
        word_or_dash(cell[7], "");
    } else {
        float_cell(v, c, cell[7]);
    }
}

static void write_containers(const struct view *v, const json_t *containers, struct text *out)
{
    struct layout_column column[COLUMN_N];
    struct layout_table t = {.column = column, .n_columns = COLUMN_N};
    struct row_group g = {0};
    const json_t *c;
    size_t i;

    memcpy(column, plain_columns, sizeof column);
    column[COLUMN_VOLUME].head = view_volume_unit(v);
    column[COLUMN_EC].head = view_ec_unit(v);
    json_array_foreach(containers, i, c)
    {
        const char *name = view_text(c, "name");
        char cell[COLUMN_N][CELL_MAX];

        read_cells(v, c, cell);
        if (g.names.n == 0 || memcmp(cell, g.cell, sizeof cell) != 0 ||
            !names_follow(g.names.name[g.names.n - 1], name)) {
            group_write(&g, &t);
            memcpy(g.cell, cell, sizeof cell);
        }
        (void)names_add(&g.names, name, NULL); /* a name that is no name is left out */
    }
    group_write(&g, &t);
    layout_table_write(&t, 0, out);
    layout_table_deinit(&t);
}

static size_t count_condition(const json_t *containers, const char *condition)
{
    const json_t *c;
    size_t n = 0;
    size_t i;

    json_array_foreach(containers, i, c)
    {
        n += strcmp(view_text(c, "condition"), condition) == 0;
    }
    return n;
}

static void write_counts(const json_t *containers, struct text *out)
{
    static const char *const conditions[] = {"drawdown", "on float", "idle"};
    size_t listed = 0;

    view_count(out, json_array_size(containers), "container: ", "containers: ");
    for (size_t i = 0; i < 3; i++) {
        size_t n = count_condition(containers, conditions[i]);

        if (n) {
            text_add(out, "%s%zu %s", listed++ ? ", " : "", n, conditions[i]);
        }
    }
    text_add(out, "\n");
}

static void mark(struct text *out, const char *s)
{
    text_add(out, "! ");
    layout_wrap(out, s, 2, 2);
}

static void write_notices(const json_t *answer, struct text *out)
{
    const json_t *notices = json_object_get(answer, "notices");
    const char *fault = view_text(answer, "room_file_fault");
    struct text t = {0};
    const json_t *n;
    size_t i;

    if (*fault) {
        text_add(&t, "The room file has a fault; the room as it was before is still in use. %s",
                 fault);
        mark(out, text_str(&t));
    }
    json_array_foreach(notices, i, n)
    {
        text_clear(&t);
        view_sentence(view_text(n, "text"), &t);
        mark(out, text_str(&t));
    }
    if (*fault || json_array_size(notices)) {
        text_add(out, "\n");
    }
    text_deinit(&t);
}

static void write_meters(const struct view *v, const json_t *meters, struct text *out)
{
    const json_t *m;
    size_t i;

    if (json_array_size(meters)) {
        text_add(out, "\n");
    }
    json_array_foreach(meters, i, m)
    {
        struct text t = {0};

        text_add(&t, "%s, ", view_text(m, "name"));
        screen_meter_says(v, m, &t);
        layout_fact(out, i ? "" : "Meters", text_str(&t));
        text_deinit(&t);
    }
}

void screen_meter_says(const struct view *v, const json_t *meter, struct text *out)
{
    char buf[QUANTITY_TEXT_MAX];
    char day[VIEW_DAY_MAX];

    text_add(out, "%s meter", strcmp(view_text(meter, "kind"), "ph") == 0 ? "pH" : "EC");
    if (!view_has(meter, "calibrated_on")) {
        text_add(out, ", never calibrated");
    } else {
        text_add(out, ", calibrated on %s", view_date(day, v, meter, "calibrated_on"));
    }
    if (view_has(meter, "slope_pct")) {
        text_add(out, ", slope %s", view_quantity(buf, v, QUANTITY_PERCENT, meter, "slope_pct"));
    }
    if (view_has(meter, "due_on")) {
        text_add(out, ", due %s", view_date(day, v, meter, "due_on"));
    }
    if (view_has(meter, "doubt") && view_has(meter, "calibrated_on")) {
        text_add(out, "; not to be trusted: %s", view_text(meter, "doubt"));
    }
}

void screen_reservoir_facts(const struct view *v, const json_t *r, struct text *out)
{
    double volume_l = view_number(r, "volume_l");
    double capacity_l = view_number(r, "capacity_l");
    bool mix = strcmp(view_text(r, "holds"), "mix") == 0;
    struct text t = {0};
    char buf[QUANTITY_TEXT_MAX];
    char day[VIEW_DAY_MAX];

    text_add(&t, "%s", view_quantity(buf, v, QUANTITY_VOLUME, r, "volume_l"));
    text_add(&t, " of %s", view_quantity(buf, v, QUANTITY_VOLUME, r, "capacity_l"));
    if (volume_l >= 0 && capacity_l > 0) {
        text_add(&t, " (%.0f %%)", 100 * volume_l / capacity_l);
    }
    if (mix) {
        text_add(&t, ", a mix%s%s", view_has(r, "recipe") ? " of " : "", view_text(r, "recipe"));
    } else {
        text_add(&t, "%s",
                 !view_has(r, "ec_ms_cm")                     ? ", never filled yet"
                 : strcmp(view_text(r, "holds"), "feed") == 0 ? ", its feed"
                                                              : ", plain water");
    }
    if (view_has(r, "ec_ms_cm")) {
        text_add(&t, ", %s", view_quantity(buf, v, QUANTITY_EC, r, "ec_ms_cm"));
    }
    layout_fact(out, "Reservoir", text_str(&t));
    text_clear(&t);
    text_add(&t, "low mark %s", view_quantity(buf, v, QUANTITY_VOLUME, r, "low_l"));
    if (view_has(r, "low_on")) {
        text_add(&t, " on %s", view_day_far(day, v, r, "low_on"));
    }
    if (view_has(r, "empty_on")) {
        text_add(&t, ", empty on %s", view_day(day, v, r, "empty_on"));
    }
    layout_fact(out, "", text_str(&t));
    text_deinit(&t);
}

static void write_headline(const struct view *v, const json_t *answer, struct text *out)
{
    const char *now = view_text(answer, "now");
    struct text left = {0};
    struct text right = {0};
    char day[VIEW_DAY_MAX];

    text_add(&left, "%s", v->room);
    text_add(&right, "%s", view_day_long(day, now));
    if (strlen(now) >= 16) {
        text_add(&right, ", %.5s", now + 11);
    }
    if (json_is_true(json_object_get(answer, "simulated"))) {
        text_add(&right, " (simulated)");
    }
    view_heading(out, text_str(&left), text_str(&right));
    text_add(out, "\n");
    text_deinit(&left);
    text_deinit(&right);
}

void screen_status(const struct view *v, const json_t *answer, struct text *out)
{
    const json_t *containers = json_object_get(answer, "containers");
    double skipped = view_number(answer, "skipped");
    struct text t = {0};

    write_headline(v, answer, out);
    write_notices(answer, out);
    screen_reservoir_facts(v, json_object_get(answer, "reservoir"), out);
    text_add(out, "\n");
    write_counts(containers, out);
    if (json_array_size(containers)) {
        text_add(out, "\n");
        write_containers(v, containers, out);
    }
    write_meters(v, json_object_get(answer, "meters"), out);
    if (skipped > 0) {
        text_add(&t,
                 "\n%.0f of the journal's entries are about things that the room file no "
                 "longer has; they are kept, and count for nothing.",
                 skipped);
        layout_wrap(out, text_str(&t), 0, 0);
    }
    text_deinit(&t);
}
