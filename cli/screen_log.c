#include "cli/layout.h"
#include "cli/screen.h"
#include "daemon/core/words/figure.h"

#include <string.h>

#define TEXT_AT   25 /* behind the time and the number */
#define TEXT_WIDE 24 /* columns that an entry's words get at least */

void screen_entry(const struct view *v, const json_t *entry, struct text *out)
{
    bool voided = json_is_true(json_object_get(entry, "voided"));
    struct text t = {0};
    char when[VIEW_DAY_MAX];

    bool narrow = layout_columns(out) < TEXT_AT + TEXT_WIDE;
    size_t at = narrow ? 2 : TEXT_AT;

    text_add(out, narrow ? "%s  %s\n  " : "%-16s  %5s  ", view_instant(when, v, entry, "happened"),
             view_text(entry, "seq"));
    text_add(&t, "%s%s", voided ? "[voided] " : "", view_text(entry, "text"));
    if (*view_text(entry, "who")) {
        text_add(&t, " (%s%s)", view_text(entry, "who"),
                 json_is_true(json_object_get(entry, "sensor")) ? ", sensor" : "");
    }
    if (view_has(entry, "doubt")) {
        text_add(&t, " [%s]", view_text(entry, "doubt"));
    }
    layout_wrap(out, text_str(&t), at, at);
    text_deinit(&t);
}

static void write_entries(const struct view *v, const json_t *entries, struct text *out)
{
    const json_t *entry;
    size_t i;

    json_array_foreach(entries, i, entry)
    {
        screen_entry(v, entry, out);
    }
}

void screen_log(const struct view *v, const json_t *answer, struct text *out)
{
    const json_t *entries = json_object_get(answer, "entries");

    if (json_array_size(entries) == 0 && v->page == 0) {
        text_add(out, "The journal has no such entries.\n");
    }
    write_entries(v, entries, out);
}

static void write_wrong(const json_t *entries, struct text *out)
{
    const json_t *first = json_array_get(entries, 0);

    if (first) {
        text_add(out, "\nMistaken?  tarn undo%s\n",
                 json_array_size(entries) > 1 ? "   (it takes back all of this)" : "");
    }
}

/* What was learned of the bottles before would be taken for the strength of this one. */
static void ask_same_strength(const json_t *entries, struct text *out)
{
    const json_t *entry;
    struct text t = {0};
    size_t i;

    json_array_foreach(entries, i, entry)
    {
        if (strcmp(view_text(entry, "kind"), "stock-received") == 0 && !view_has(entry, "what")) {
            text_add(&t,
                     "\nIs %s of the same strength as before? If not, say so: tarn fix %s "
                     "strength=other",
                     view_text(entry, "subject"), view_text(entry, "seq"));
            layout_wrap(out, text_str(&t), 0, 0);
            text_deinit(&t);
        }
    }
}

void screen_written(const struct view *v, const json_t *answer, struct text *out)
{
    const json_t *entries = json_object_get(answer, "entries");

    text_add(out, "Written down:\n");
    write_entries(v, entries, out);
    ask_same_strength(entries, out);
}

void screen_taken_back(const struct view *v, const json_t *answer, struct text *out)
{
    const json_t *undone = json_object_get(answer, "undone");
    struct text t = {0};

    if (json_array_size(undone) == 0) { /* an answer that was given before */
        screen_written(v, answer, out);
        return;
    }
    text_add(out, "Taken back:\n");
    write_entries(v, undone, out);
    if (view_has(answer, "task")) {
        text_add(&t, "\nTask %s is open again, where it is still wanted.",
                 view_text(answer, "task"));
        layout_wrap(out, text_str(&t), 0, 0);
    }
    text_deinit(&t);
}

/* Entries of work that a figure was to be told with, and was not: of one kind of task they are all
 * alike. */
static bool lacks(const json_t *entry, enum figure f)
{
    static const char *const works[] = {"started", "bumped", "reservoir-filled"};
    const json_t *figures = json_object_get(entry, "figures");
    bool works_in_water = false;

    for (size_t i = 0; i < sizeof works / sizeof *works; i++) {
        works_in_water = works_in_water || strcmp(view_text(entry, "kind"), works[i]) == 0;
    }
    return works_in_water && !view_has(figures, figure_defs[f].key);
}

/* "Not told: pH of L2. Where it was measured: tarn record reading L2 ph=…" What the sheet asked for
 * is not missed by the daemon: it reckons on without it. */
static void write_untold(const json_t *entries, enum figure f, const char *said, struct text *out)
{
    json_t *names = json_array();
    struct text listed = {0};
    struct text t = {0};
    const json_t *entry;
    size_t i;

    json_array_foreach(entries, i, entry)
    {
        if (lacks(entry, f)) {
            (void)json_array_append(names, json_object_get(entry, "subject"));
        }
    }
    if (json_array_size(names)) {
        view_names(names, &listed);
        text_add(&t, "Not told: %s of %s. Where it was measured: tarn record reading %s %s=…", said,
                 text_str(&listed), json_string_value(json_array_get(names, 0)) ?: "",
                 figure_defs[f].word);
        layout_wrap(out, text_str(&t), 0, 0);
    }
    text_deinit(&listed);
    text_deinit(&t);
    json_decref(names);
}

void screen_ack(const struct view *v, const json_t *answer, struct text *out)
{
    const json_t *left = json_object_get(answer, "left");
    bool done = json_is_true(json_object_get(answer, "done"));
    struct text t = {0};

    screen_written(v, answer, out);
    text_add(&t, "\nTask %s is %s", view_text(answer, "task"), done ? "done" : "done in part");
    if (json_array_size(left)) {
        text_add(&t, "; still open for ");
        view_names(left, &t);
    }
    text_add(&t, ".");
    layout_wrap(out, text_str(&t), 0, 0);
    write_untold(json_object_get(answer, "entries"), FIGURE_EC_MS_CM, "EC", out);
    write_untold(json_object_get(answer, "entries"), FIGURE_PH, "pH", out);
    write_wrong(json_object_get(answer, "entries"), out);
    text_deinit(&t);
}
