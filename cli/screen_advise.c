/* What the dial of strengths comes to, and what else would save work. */
#include "cli/layout.h"
#include "cli/screen.h"

#include <math.h>

static const struct layout_column columns[] = {
    {"",              false, true,  false},
    {"min a week",    true,  false, false},
    {"visits",        true,  false, false},
    {"food 75-115 %", true,  false, false},
    {"water a week",  true,  false, false},
};

static void add_week(const struct view *v, const json_t *week, struct layout_table *t)
{
    char buf[QUANTITY_TEXT_MAX];
    char text[64];

    (void)snprintf(text, sizeof text, "%.0f", view_number(week, "minutes"));
    layout_table_add(t, text);
    (void)snprintf(text, sizeof text, "%.1f", view_number(week, "visits"));
    layout_table_add(t, text);
    (void)snprintf(text, sizeof text, "%.0f %%", view_number(week, "narrow_pct"));
    layout_table_add(t, text);
    layout_table_add(t, view_quantity(buf, v, QUANTITY_VOLUME, week, "water_l"));
}

static struct layout_table begin_table(void)
{
    return (struct layout_table){.column = columns, .n_columns = sizeof columns / sizeof *columns};
}

static void write_dial(const struct view *v, const json_t *answer, struct text *out)
{
    struct layout_table t = begin_table();
    char name[64];
    const json_t *one;
    size_t i;

    json_array_foreach(json_object_get(answer, "dial"), i, one)
    {
        (void)snprintf(name, sizeof name, "strength: %s%s", view_text(one, "strength"),
                       json_is_true(json_object_get(one, "set")) ? ", as it is" : "");
        layout_table_add(&t, name);
        add_week(v, json_object_get(one, "week"), &t);
    }
    layout_table_write(&t, 0, out);
    layout_table_deinit(&t);
}

static void say_saving(const json_t *one, struct text *out)
{
    const json_t *saves = json_object_get(one, "saves_min");
    struct text t = {0};
    double mid = view_number(saves, "mid");

    text_add(&t, "%s: %.0f min a week %s (%.0f to %.0f)", view_text(one, "if"), fabs(mid),
             mid >= 0 ? "less" : "more", view_number(saves, "lo"), view_number(saves, "hi"));
    layout_wrap(out, text_str(&t), 0, 2);
    text_deinit(&t);
}

void screen_advise(const struct view *v, const json_t *answer, struct text *out)
{
    const json_t *advice = json_object_get(answer, "advice");
    struct layout_table t = begin_table();
    struct text says = {0};
    const json_t *one;
    size_t i;

    text_add(&says,
             "%s, an average week of the next %.0f days, as the plants are believed to drink; the "
             "way of each visit included, starts and harvests not:",
             v->room, view_number(answer, "days"));
    layout_wrap(out, text_str(&says), 0, 0);
    text_deinit(&says);
    text_add(out, "\n");
    write_dial(v, answer, out);
    text_add(out, "\n");
    if (json_array_size(advice) == 0) {
        layout_wrap(out, "Nothing else that was supposed would save anything.", 0, 0);
        return;
    }
    json_array_foreach(advice, i, one)
    {
        layout_table_add(&t, view_text(one, "if"));
        add_week(v, json_object_get(one, "week"), &t);
    }
    layout_table_write(&t, 0, out);
    layout_table_deinit(&t);
    text_add(out, "\n");
    json_array_foreach(advice, i, one)
    {
        say_saving(one, out);
    }
    text_add(out, "\n");
    layout_wrap(out,
                "In brackets: if plants drink a standard deviation less or more than is "
                "believed. Look closer: tarn outlook --if \"feed 0.6 mS/cm\"",
                0, 0);
}
