/* The containers of a status: rows, and in a large room groups. */
#include "cli/layout.h"
#include "cli/screen.h"
#include "daemon/base/mem.h"
#include "daemon/base/names.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct layout_column plain_columns[] = {
    {"Container",  false, false, false},
    {"Crop",       false, true,  false},
    {"Stage",      false, true,  false},
    {"Day",        true,  false, false},
    {"Water",      false, false, false},
    {"",           true,  false, true }, /* the units of the room, filled in */
    {"",           true,  false, true },
    {"Float line", false, false, false},
};

enum {
    COLUMN_VOLUME = 5,
    COLUMN_EC = 6,
    COLUMN_N = sizeof plain_columns / sizeof *plain_columns,
    CELL_MAX = 64,
    PAGE_ROWS = 40, /* more than that is no page that one looks at in the morning */
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

    view_day(day, v, c, "float_on");
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

static void table_init(const struct view *v, struct layout_column column[COLUMN_N],
                       struct layout_table *t)
{
    memcpy(column, plain_columns, sizeof plain_columns);
    column[COLUMN_VOLUME].head = view_volume_unit(v);
    column[COLUMN_EC].head = view_ec_unit(v);
    *t = (struct layout_table){.column = column, .n_columns = COLUMN_N};
}

static void table_end(struct layout_table *t, struct text *out)
{
    layout_table_write(t, 0, out);
    layout_table_deinit(t);
}

/* Adds rows for the n containers of a list. */
static void add_rows(const struct view *v, const json_t *const *pot, size_t n,
                     struct layout_table *t)
{
    struct row_group g = {0};

    for (size_t i = 0; i < n; i++) {
        const char *name = view_text(pot[i], "name");
        char cell[COLUMN_N][CELL_MAX];

        read_cells(v, pot[i], cell);
        if (g.names.n == 0 || memcmp(cell, g.cell, sizeof cell) != 0 ||
            !names_follow(g.names.name[g.names.n - 1], name)) {
            group_write(&g, t);
            memcpy(g.cell, cell, sizeof cell);
        }
        (void)names_add(&g.names, name, NULL); /* a name that is no name is left out */
    }
    group_write(&g, t);
}

/* Does a notice tell of it? Its key ends with what it is about. */
static bool is_told_of(const json_t *answer, const char *name)
{
    const json_t *notice;
    size_t i;

    json_array_foreach(json_object_get(answer, "notices"), i, notice)
    {
        const char *slash = strchr(view_text(notice, "key"), '/');

        if (slash && strcmp(slash + 1, name) == 0) {
            return true;
        }
    }
    return false;
}

static bool are_alike(const json_t *a, const json_t *b)
{
    static const char *const same[] = {"condition", "crop", "stage"};

    for (size_t i = 0; i < sizeof same / sizeof *same; i++) {
        if (strcmp(view_text(a, same[i]), view_text(b, same[i])) != 0) {
            return false;
        }
    }
    return true;
}

/* "5.1" where all have it, "5.1 to 8.3" else; "-" where nobody knows. */
static void span_cell(const struct view *v, enum quantity q, const char *key,
                      const json_t *const *pot, size_t n, char cell[CELL_MAX])
{
    const json_t *lo = NULL;
    const json_t *hi = NULL;
    char from[QUANTITY_TEXT_MAX];
    char to[QUANTITY_TEXT_MAX];

    for (size_t i = 0; i < n; i++) {
        if (view_has(pot[i], key)) {
            lo = !lo || view_number(pot[i], key) < view_number(lo, key) ? pot[i] : lo;
            hi = !hi || view_number(pot[i], key) > view_number(hi, key) ? pot[i] : hi;
        }
    }
    if (!lo || !hi) {
        word_or_dash(cell, "");
        return;
    }
    view_bare(from, v, q, lo, key);
    view_bare(to, v, q, hi, key);
    (void)snprintf(cell, CELL_MAX, strcmp(from, to) == 0 ? "%s" : "%s to %s", from, to);
}

static void day_span_cell(const struct view *v, const json_t *const *pot, size_t n,
                          char cell[CELL_MAX])
{
    const json_t *lo = NULL;
    const json_t *hi = NULL;
    char from[VIEW_DAY_MAX];
    char to[VIEW_DAY_MAX];

    for (size_t i = 0; i < n; i++) { /* days are written so that they compare as texts */
        if (view_has(pot[i], "float_on")) {
            const char *day = view_text(pot[i], "float_on");

            lo = !lo || strcmp(day, view_text(lo, "float_on")) < 0 ? pot[i] : lo;
            hi = !hi || strcmp(day, view_text(hi, "float_on")) > 0 ? pot[i] : hi;
        }
    }
    if (!lo || !hi) {
        word_or_dash(cell, "");
        return;
    }
    view_day(from, v, lo, "float_on");
    view_day(to, v, hi, "float_on");
    (void)snprintf(cell, CELL_MAX, strcmp(from, to) == 0 ? "%.30s" : "%.30s to %.30s", from, to);
}

/* A row for containers that are alike. */
static void add_group(const struct view *v, const json_t *const *pot, size_t n,
                      struct layout_table *t)
{
    bool idle = strcmp(view_text(pot[0], "condition"), "idle") == 0;
    const char **name = mem_array(n, sizeof *name);
    struct text names = {0};
    char cell[COLUMN_N][CELL_MAX] = {{0}};

    for (size_t i = 0; i < n; i++) {
        name[i] = view_text(pot[i], "name");
    }
    names_fold(name, n, &names);
    read_cells(v, pot[0], cell);
    if (!idle) {
        span_cell(v, QUANTITY_NUMBER, "day", pot, n, cell[3]);
        span_cell(v, QUANTITY_VOLUME, "volume_l", pot, n, cell[COLUMN_VOLUME]);
        span_cell(v, QUANTITY_EC, "ec_ms_cm", pot, n, cell[COLUMN_EC]);
        day_span_cell(v, pot, n, cell[7]);
    }
    layout_table_add(t, text_str(&names));
    for (size_t i = 1; i < COLUMN_N; i++) {
        layout_table_add(t, cell[i]);
    }
    text_deinit(&names);
    free(name);
}

/* Each kind of container that is not told of, as a row. */
static void add_groups(const struct view *v, const json_t **pot, size_t n, struct layout_table *t)
{
    const json_t **like = mem_array(n, sizeof *like);

    for (size_t i = 0; i < n; i++) {
        size_t n_like = 0;

        for (size_t k = i; k < n && pot[i]; k++) {
            if (pot[k] && are_alike(pot[i], pot[k])) {
                like[n_like++] = pot[k];
            }
        }
        for (size_t k = i, of = 0; k < n; k++) {
            if (of < n_like && pot[k] == like[of]) {
                pot[k] = NULL;
                of++;
            }
        }
        if (n_like) {
            add_group(v, like, n_like, t);
        }
    }
    free(like);
}

static void write_large(const struct view *v, const json_t *answer, const json_t **pot, size_t n,
                        struct text *out)
{
    struct layout_column column[COLUMN_N];
    struct layout_table t;
    const json_t **told = mem_array(n, sizeof *told);
    size_t n_told = 0;
    size_t n_other = 0;

    for (size_t i = 0; i < n; i++) {
        if (is_told_of(answer, view_text(pot[i], "name"))) {
            told[n_told++] = pot[i];
        } else {
            pot[n_other++] = pot[i];
        }
    }
    table_init(v, column, &t);
    if (n_told) {
        add_rows(v, told, n_told, &t);
        text_add(out, "Told of above:\n");
        table_end(&t, out);
        text_add(out, "\nThe others:\n");
        table_init(v, column, &t);
    }
    add_groups(v, pot, n_other, &t);
    table_end(&t, out);
    text_add(out, "\nOne by itself:  tarn show NAME\n");
    free(told);
}

void screen_containers(const struct view *v, const json_t *answer, struct text *out)
{
    const json_t *containers = json_object_get(answer, "containers");
    size_t n = json_array_size(containers);
    const json_t **pot = mem_array(n, sizeof *pot);
    struct layout_column column[COLUMN_N];
    struct layout_table t;

    for (size_t i = 0; i < n; i++) {
        pot[i] = json_array_get(containers, i);
    }
    table_init(v, column, &t);
    add_rows(v, pot, n, &t);
    if (t.n_cells <= (size_t)PAGE_ROWS * COLUMN_N) {
        table_end(&t, out);
    } else {
        layout_table_deinit(&t);
        write_large(v, answer, pot, n, out);
    }
    free(pot);
}
