#include "cli/view.h"

#include "cli/layout.h"
#include "daemon/base/mem.h"
#include "daemon/base/names.h"
#include "daemon/base/utf8.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ECMA-48, select graphic rendition: bold and red, and back. */
#define ALARM_COLOUR "\x1b[1;31m"
#define PLAIN_COLOUR "\x1b[0m"

static unsigned word_index(const char *const *words, const char *word)
{
    for (unsigned i = 0; words[i]; i++) {
        if (strcmp(words[i], word) == 0) {
            return i;
        }
    }
    return 0;
}

/* The civil day at the front of a day or an instant; DAY_NONE when there is none. */
static int32_t day_in(const char *text)
{
    char day[11] = "";
    int32_t out = DAY_NONE;

    if (strlen(text) >= sizeof day - 1) {
        memcpy(day, text, sizeof day - 1);
        (void)day_parse(day, &out, NULL); /* not a day: none is shown */
    }
    return out;
}

void view_init(struct view *v, const json_t *hello)
{
    const json_t *units = json_object_get(hello, "units");

    *v = (struct view){0};
    v->units.volume =
        (enum volume_unit)word_index(quantity_volume_words, view_text(units, "volume"));
    v->units.ec = (enum ec_unit)word_index(quantity_ec_words, view_text(units, "ec"));
    v->units.temp = (enum temp_unit)word_index(quantity_temp_words, view_text(units, "temp"));
    v->units.both = json_is_true(json_object_get(units, "both"));
    (void)snprintf(v->room, sizeof v->room, "%s", view_text(hello, "room"));
    v->simulated = json_is_true(json_object_get(hello, "simulated"));
    v->today = day_in(view_text(hello, "now"));
}

static void clean_text(json_t *string)
{
    const char *s = json_string_value(string);
    struct text t = {0};
    bool found = false;

    while (*s) {
        unsigned code = 0;
        size_t len = utf8_at(s, UTF8_LEN_MAX, &code);
        bool unshown = utf8_is_unshown(code); /* jansson lets nothing through that is no UTF-8 */

        text_add_bytes(&t, unshown ? " " : s, unshown ? 1 : len);
        found = found || unshown;
        s += len ? len : 1;
    }
    if (found) {
        (void)json_string_set(string, text_str(&t));
    }
    text_deinit(&t);
}

/* The depth of an answer is bounded by the JSON reader. */
void view_clean(json_t *answer) // NOLINT(misc-no-recursion)
{
    const char *key;
    json_t *in;
    size_t i;

    if (json_is_string(answer)) {
        clean_text(answer);
    }
    json_object_foreach(answer, key, in)
    {
        view_clean(in);
    }
    json_array_foreach(answer, i, in)
    {
        view_clean(in);
    }
}

const char *view_text(const json_t *o, const char *key)
{
    const char *s = json_string_value(json_object_get(o, key));

    return s ? s : "";
}

double view_number(const json_t *o, const char *key)
{
    const json_t *n = json_object_get(o, key);

    return json_is_number(n) ? json_number_value(n) : (double)NAN;
}

size_t view_whole(const json_t *o, const char *key)
{
    double n = view_number(o, key);

    return n > 0 && n < 1e15 ? (size_t)llround(n) : 0; /* a NaN passes no comparison */
}

bool view_has(const json_t *o, const char *key)
{
    const json_t *in = json_object_get(o, key);

    return in && !json_is_null(in);
}

char *view_quantity(char buf[QUANTITY_TEXT_MAX], const struct view *v, enum quantity q,
                    const json_t *o, const char *key)
{
    return quantity_format(buf, q, view_number(o, key), &v->units);
}

char *view_bare(char buf[QUANTITY_TEXT_MAX], const struct view *v, enum quantity q, const json_t *o,
                const char *key)
{
    char *space;

    view_quantity(buf, v, q, o, key);
    space = strchr(buf, ' ');
    if (space) {
        *space = '\0';
    }
    return buf;
}

const char *view_volume_unit(const struct view *v)
{
    return quantity_volume_words[v->units.volume];
}

const char *view_ec_unit(const struct view *v)
{
    return quantity_ec_words[v->units.ec];
}

static bool in_inches(const struct view *v)
{
    return v->units.volume == VOLUME_SHOW_GAL;
}

const char *view_length_unit(const struct view *v)
{
    return in_inches(v) ? "in" : "cm";
}

char *view_height(char buf[QUANTITY_TEXT_MAX], const struct view *v, const json_t *o,
                  const char *key)
{
    double cm = view_number(o, key);

    if (isfinite(cm)) {
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "%.1f %s", in_inches(v) ? cm / 2.54 : cm,
                       view_length_unit(v));
    } else {
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "?");
    }
    return buf;
}

char *view_amount(char buf[QUANTITY_TEXT_MAX], const struct view *v, const json_t *o,
                  const char *key)
{
    bool dry = strcmp(view_text(o, "unit"), "g") == 0;

    return view_quantity(buf, v, dry ? QUANTITY_DRY : QUANTITY_LIQUID, o, key);
}

char *view_day(char buf[VIEW_DAY_MAX], const struct view *v, const json_t *o, const char *key)
{
    int32_t day = day_in(view_text(o, key));

    if (day == DAY_NONE) {
        (void)snprintf(buf, VIEW_DAY_MAX, "-");
        return buf;
    }
    return day_words(buf, day, v->today);
}

char *view_day_far(char buf[VIEW_DAY_MAX], const struct view *v, const json_t *o, const char *key)
{
    int32_t day = day_in(view_text(o, key));
    size_t n = strlen(view_day(buf, v, o, key));
    char *end = buf + n;
    size_t left = VIEW_DAY_MAX - n;

    if (day == DAY_NONE || v->today == DAY_NONE) {
        return buf;
    }
    if (day == v->today) {
        (void)snprintf(end, left, " (today)");
    } else if (day == v->today + 1) {
        (void)snprintf(end, left, " (tomorrow)");
    } else if (day > v->today) {
        (void)snprintf(end, left, " (in %d days)", day - v->today);
    } else {
        (void)snprintf(end, left, " (%d day%s ago)", v->today - day,
                       v->today - day == 1 ? "" : "s");
    }
    return buf;
}

char *view_day_year(char buf[VIEW_DAY_MAX], const char *day)
{
    int32_t at = day_in(day);

    if (at == DAY_NONE) {
        (void)snprintf(buf, VIEW_DAY_MAX, "%.20s", day);
        return buf;
    }
    return day_words(buf, at, at - 366); /* of another year: it is told */
}

char *view_instant(char buf[VIEW_DAY_MAX], const struct view *v, const json_t *o, const char *key)
{
    const char *text = view_text(o, key);
    int32_t day = day_in(text);
    size_t n;

    if (day == DAY_NONE || strlen(text) < 16) {
        (void)snprintf(buf, VIEW_DAY_MAX, "%.20s", *text ? text : "-");
        return buf;
    }
    n = strlen(day_words(buf, day, v->today));
    (void)snprintf(buf + n, VIEW_DAY_MAX - n, " %.5s", text + 11);
    return buf;
}

void view_alarm(const struct view *v, const char *s, struct text *out)
{
    text_add(out, "%s! ", v->colour ? ALARM_COLOUR : "");
    layout_wrap(out, s, 2, 2);
    if (v->colour) {
        out->s[--out->len] = '\0'; /* the colour ends with the line, and not in the next one */
        text_add(out, "%s\n", PLAIN_COLOUR);
    }
}

void view_heading(struct text *out, const char *left, const char *right)
{
    size_t width = layout_width(left) + layout_width(right) + 2;
    size_t indent = strspn(left, " ");

    if (!*right) {
        layout_wrap(out, left, 0, 0);
        return;
    }
    if (width > layout_columns(out)) {
        text_add(out, "%*s", (int)indent, "");
        layout_wrap(out, left + indent, indent, indent);
        layout_pad(out, right, layout_columns(out), true);
    } else {
        text_add(out, "%s", left);
        layout_pad(out, right, layout_columns(out) - layout_width(left), true);
    }
    text_add(out, "\n");
}

void view_names(const json_t *names, struct text *out)
{
    size_t n = json_array_size(names);
    const char **name = mem_array(n, sizeof *name);

    for (size_t i = 0; i < n; i++) {
        const char *s = json_string_value(json_array_get(names, i));

        name[i] = s ? s : "?";
    }
    names_fold(name, n, out);
    free(name);
}

void view_sentence(const char *s, struct text *out)
{
    size_t len = strlen(s);
    bool begins;

    if (len == 0) {
        return;
    }
    begins = *s >= 'a' && *s <= 'z' && !(s[1] >= 'A' && s[1] <= 'Z'); /* a pH stays one */
    text_add(out, "%c%s", begins ? *s - 'a' + 'A' : *s, s + 1);
    if (!strchr(".!?", s[len - 1])) {
        text_add(out, ".");
    }
}

char *view_minutes(char buf[QUANTITY_TEXT_MAX], double minutes)
{
    long whole = isfinite(minutes) && minutes < 1e6 ? lround(minutes) : -1;

    if (whole < 0) {
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "? min");
    } else if (whole < 120) {
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "%ld min", whole);
    } else if (whole % 60 == 0) {
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "%ld h", whole / 60);
    } else {
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "%ld h %ld min", whole / 60, whole % 60);
    }
    return buf;
}

void view_count(struct text *out, size_t n, const char *one, const char *many)
{
    text_add(out, "%zu %s", n, n == 1 ? one : many);
}
