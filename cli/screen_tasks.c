#include "cli/layout.h"
#include "cli/screen.h"
#include "daemon/core/words/task_figures.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define INDENT 6 /* below a task's number */

/* "mS/cm" as the room shows it; "" where a figure has no unit, or several serve. */
static const char *unit_of(const struct view *v, enum figure f)
{
    switch (figure_defs[f].quantity) {
    case QUANTITY_EC:
        return view_ec_unit(v);
    case QUANTITY_VOLUME:
        return view_volume_unit(v);
    default:
        return figure_defs[f].unit;
    }
}

/* The row of a task; NULL for a kind of which this program has not heard: the daemon asks for what
 * is missing, so nothing is lost but the reminder. */
static const struct task_figures *figures_of(const json_t *task)
{
    const char *word = view_text(task, "kind");

    for (int k = 0; k < TASK_KIND_N; k++) {
        if (strcmp(word, task_words[k]) == 0) {
            return task_figures_of((enum task_kind)k,
                                   json_is_true(json_object_get(task, "by_hand")));
        }
    }
    return NULL;
}

/* Care of the room as a whole names a thing, and nothing that has it. */
static bool is_of_the_room(const json_t *task)
{
    const json_t *subjects = json_object_get(task, "subjects");

    return json_array_size(subjects) == 1 &&
           strcmp(json_string_value(json_array_get(subjects, 0)) ?: "", "room") == 0;
}

void screen_task_names(const json_t *task, struct text *out)
{
    if (!is_of_the_room(task)) {
        view_names(json_object_get(task, "subjects"), out);
    }
}

/* "check", "see to the filter": the words of an entry are those of the room file. */
void screen_task_what(const json_t *task, struct text *out)
{
    const char *what = view_text(task, "what");
    bool care = strncmp(what, "care ", 5) == 0;

    text_add(out, "%s%s", care ? "see to the " : "", care ? what + 5 : what);
}

/* Of a mix that is in the reservoir already nothing is asked but the water after it; and no
 * water is let in where a stronger mix is made from what is left. */
static bool is_asked(const json_t *task, enum figure f)
{
    bool added = f == FIGURE_ADDED_L;

    return !json_is_true(json_object_get(task, added ? "leaves_rest" : "made"));
}

static void add_figures(const struct view *v, const struct task_figures *t, const json_t *task,
                        struct text *out)
{
    if (*t->word) {
        text_add(out, " %s", t->word);
    }
    for (size_t i = 0; i < task_figures_n(t); i++) {
        enum figure f = t->figure[i].figure;

        if (t->figure[i].asked == ASKED_ALWAYS && is_asked(task, f)) {
            text_add(out, " %s=…%s", figure_defs[f].word, unit_of(v, f));
        }
    }
}

/* What to type when the task is done: "tarn ack 41 ec=…mS/cm ph=… volume=…L". */
static void add_ack_hint(const struct view *v, const json_t *task, struct text *out)
{
    const json_t *subjects = json_object_get(task, "subjects");
    const struct task_figures *t = figures_of(task);
    struct text figures = {0};
    bool each;

    text_add(out, "tarn ack %s", view_text(task, "id"));
    if (t) {
        add_figures(v, t, task, &figures);
    }
    each = t && t->of != TOLD_AT_LARGE && figures.len > 0;
    if (each && json_array_size(subjects)) {
        text_add(out, " %s", json_string_value(json_array_get(subjects, 0)));
    }
    text_add(out, "%s", text_str(&figures));
    if (each && json_array_size(subjects) > 1) {
        text_add(out, " %s …", json_string_value(json_array_get(subjects, 1)));
    }
    text_deinit(&figures);
}

static void deadline(const struct view *v, const json_t *task, struct text *out)
{
    bool overdue = json_is_true(json_object_get(task, "overdue"));
    char day[VIEW_DAY_MAX];
    char buf[QUANTITY_TEXT_MAX];

    view_day(day, v, task, "latest");
    text_add(out, "%s %s, %s", overdue ? "OVERDUE since" : "by", day,
             view_minutes(buf, view_number(task, "minutes")));
}

static void write_head(const struct view *v, const json_t *task, struct text *out)
{
    struct text left = {0};
    struct text names = {0};
    struct text right = {0};
    bool fits;

    screen_task_names(task, &names);
    deadline(v, task, &right);
    text_add(&left, "%4s  ", view_text(task, "id"));
    screen_task_what(task, &left);
    fits = layout_width(text_str(&left)) + layout_width(text_str(&names)) +
               layout_width(text_str(&right)) + 4 <=
           layout_columns(out);
    if (fits && names.len) {
        text_add(&left, ": %s", text_str(&names));
    }
    view_heading(out, text_str(&left), text_str(&right));
    if (!fits && names.len) {
        text_add(out, "%*s", INDENT, "");
        layout_wrap(out, text_str(&names), INDENT, INDENT);
    }
    text_deinit(&left);
    text_deinit(&names);
    text_deinit(&right);
}

static void indented(struct text *out, const char *s, size_t indent)
{
    if (*s) {
        text_add(out, "%*s", (int)indent, "");
        layout_wrap(out, s, indent, indent);
    }
}

static void write_amounts(const struct view *v, const json_t *task, struct text *out)
{
    struct text t = {0};
    char buf[QUANTITY_TEXT_MAX];
    size_t n = 0;

    if (view_has(task, "recipe")) {
        text_add(&t, "recipe %s", view_text(task, "recipe"));
        n++;
    }
    if (view_has(task, "ec_ms_cm")) {
        text_add_listed(&t, n++, view_quantity(buf, v, QUANTITY_EC, task, "ec_ms_cm"));
    }
    /* each that is bumped holds something else */
    if (view_number(task, "volume_l") > 0 && strcmp(view_text(task, "kind"), "bump") != 0) {
        text_add_listed(&t, n++, view_quantity(buf, v, QUANTITY_VOLUME, task, "volume_l"));
    }
    indented(out, text_str(&t), INDENT);
    text_deinit(&t);
}

#define TABLE_COLUMNS_MAX 24 /* more than any recipe has products; those beyond are not drawn */

/* What differs from vessel to vessel; on a narrow page row by row below each other. */
static void write_table(const json_t *table, struct text *out)
{
    struct layout_column columns[TABLE_COLUMNS_MAX] = {0};
    const json_t *head = json_object_get(table, "head");
    struct layout_table t = {.column = columns};
    const json_t *row;
    size_t i;

    while (t.n_columns < json_array_size(head) && t.n_columns < TABLE_COLUMNS_MAX) {
        columns[t.n_columns].head = json_string_value(json_array_get(head, t.n_columns)) ?: "";
        t.n_columns++;
    }
    json_array_foreach(json_object_get(table, "rows"), i, row)
    {
        for (size_t k = 0; k < t.n_columns; k++) {
            layout_table_add(&t, json_string_value(json_array_get(row, k)) ?: "");
        }
    }
    layout_table_write(&t, INDENT, out);
    layout_table_deinit(&t);
}

void screen_worksheet(const json_t *worksheet, struct text *out)
{
    const json_t *step;
    size_t i;

    json_array_foreach(worksheet, i, step)
    {
        char number[24];
        struct text t = {0};

        (void)snprintf(number, sizeof number, "%zu.", i + 1);
        text_add(out, "%5s ", number);
        layout_wrap(out, view_text(step, "text"), INDENT, INDENT);
        if (view_has(step, "caution")) {
            text_add(&t, "Caution: %s", view_text(step, "caution"));
            text_add(out, "%*s", INDENT + 2, "");
            layout_wrap(out, text_str(&t), INDENT + 2, INDENT + 2);
        }
        if (view_has(step, "table")) {
            write_table(json_object_get(step, "table"), out);
        }
        text_deinit(&t);
    }
}

void screen_task(const struct view *v, const json_t *task, struct text *out)
{
    const json_t *worksheet = json_object_get(task, "worksheet");
    struct text t = {0};

    write_head(v, task, out);
    write_amounts(v, task, out);
    view_sentence(view_text(task, "why"), &t);
    indented(out, text_str(&t), INDENT);
    if (*view_text(task, "loss")) {
        text_clear(&t);
        text_add(&t, "If it is left: %s.", view_text(task, "loss"));
        indented(out, text_str(&t), INDENT);
    }
    if (json_array_size(worksheet)) {
        text_add(out, "\n");
        screen_worksheet(worksheet, out);
    }
    text_deinit(&t);
}

static void write_title(const struct view *v, const json_t *answer, struct text *out)
{
    double minutes = view_number(answer, "minutes");
    double budget_min = view_number(answer, "budget_min");
    struct text left = {0};
    struct text right = {0};
    char day[VIEW_DAY_MAX];
    char buf[QUANTITY_TEXT_MAX];

    text_add(&left, "%s, %s", v->room, view_day_year(day, view_text(answer, "date")));
    if (json_array_size(json_object_get(answer, "tasks"))) {
        text_add(&right, "%s", view_minutes(buf, minutes));
        text_add(&right, minutes > budget_min ? ", more than the day's %s" : " of the day's %s",
                 view_minutes(buf, budget_min));
    }
    view_heading(out, text_str(&left), text_str(&right));
    text_add(out, "\n");
    text_deinit(&left);
    text_deinit(&right);
}

/* A level of the reservoir a day costs three words; a task of its own tells it anyway. */
static bool wants_glance(const json_t *answer, const json_t *task)
{
    const json_t *reservoir = json_object_get(answer, "reservoir");
    const json_t *name;
    size_t i;

    json_array_foreach(json_object_get(task, "subjects"), i, name)
    {
        if (strcmp(json_string_value(name), "reservoir") == 0) {
            return false;
        }
    }
    return json_is_object(reservoir) && strcmp(view_text(reservoir, "holds"), "mix") != 0;
}

static void write_next(const struct view *v, const json_t *answer, struct text *out)
{
    const json_t *task = json_array_get(json_object_get(answer, "tasks"), 0);
    struct text hint = {0};

    add_ack_hint(v, task, &hint);
    text_add(out, "Steps:  tarn show %s\n", view_text(task, "id"));
    text_add(out, "Done:   ");
    layout_wrap(out, text_str(&hint), 8, 8);
    if (wants_glance(answer, task)) {
        text_clear(&hint);
        text_add(&hint, "with it, in the same line: reservoir volume=…%s, its level at a glance",
                 view_volume_unit(v));
        text_add(out, "Also:   ");
        layout_wrap(out, text_str(&hint), 8, 8);
    }
    if (json_is_object(json_object_get(answer, "reservoir"))) {
        text_clear(&hint);
        text_add(&hint,
                 "a level below the mark of its float is read: tarn record reading NAME "
                 "volume=…%s",
                 view_volume_unit(v));
        text_add(out, "Walk:   ");
        layout_wrap(out, text_str(&hint), 8, 8);
    }
    text_add(out, "Later:  tarn defer %s --to tomorrow\n", view_text(task, "id"));
    text_deinit(&hint);
}

/* The numbers of those that bear no later day. */
static bool write_urgent(const json_t *answer, struct text *out)
{
    const char *day = view_text(answer, "date");
    const json_t *task;
    struct text t = {0};
    size_t n = 0;
    size_t i;

    json_array_foreach(json_object_get(answer, "tasks"), i, task)
    {
        const char *latest = view_text(task, "latest");

        if (*latest && strcmp(latest, day) <= 0) { /* days compare as texts */
            text_add(&t, "%s%s ", n++ ? ", " : "", view_text(task, "id"));
            screen_task_what(task, &t);
        }
    }
    if (n) {
        layout_fact(out, "Not later", text_str(&t));
    }
    text_deinit(&t);
    return n > 0;
}

/* "Next: Tue 3 Mar, 2 tasks, 35 min"; work of another day is no reason to do nothing about an
 * alarm, and a day off none to forget it. */
static void write_no_tasks(const struct view *v, const json_t *answer, bool told, struct text *out)
{
    const json_t *next = json_object_get(answer, "next");
    bool off = json_is_true(json_object_get(answer, "off"));
    struct text t = {0};
    char day[VIEW_DAY_MAX];
    char buf[QUANTITY_TEXT_MAX];

    layout_wrap(out,
                off    ? "A day off: no work is planned for it."
                : told ? "No task is on the list of this day; see to the above."
                       : "No task is on the list of this day.",
                0, 0);
    if (json_is_object(next)) {
        text_add(&t, "%s, ", view_day_far(day, v, next, "date"));
        view_count(&t, view_whole(next, "tasks"), "task", "tasks");
        text_add(&t, ", %s", view_minutes(buf, view_number(next, "minutes")));
    } else {
        text_add(&t, "nothing is planned in the days ahead");
    }
    text_add(out, "\nNext:   ");
    layout_wrap(out, text_str(&t), 8, 8);
    text_add(out, "Ahead:  tarn outlook\n");
    text_deinit(&t);
}

void screen_today(const struct view *v, const json_t *answer, struct text *out)
{
    const json_t *tasks = json_object_get(answer, "tasks");
    const json_t *reservoir = json_object_get(answer, "reservoir");
    const json_t *task;
    bool facts;
    bool told;
    size_t i;

    write_title(v, answer, out);
    told = screen_notices(v, answer, out);
    facts = write_urgent(answer, out);
    if (json_is_object(reservoir)) {
        screen_reservoir_facts(v, reservoir, out);
        facts = true;
    }
    text_add(out, "%s", facts ? "\n" : "");
    json_array_foreach(tasks, i, task)
    {
        screen_task(v, task, out);
        text_add(out, "\n");
    }
    if (json_array_size(tasks)) {
        write_next(v, answer, out);
    } else {
        write_no_tasks(v, answer, told, out);
    }
}
