/* A crop with its schedule, and the list of what there is to be shown. */
#include "cli/layout.h"
#include "cli/screen.h"

#include <stdio.h>
#include <string.h>

static void add_stage(const struct view *v, const json_t *s, struct layout_table *t)
{
    char from[QUANTITY_TEXT_MAX];
    char to[QUANTITY_TEXT_MAX];
    char cell[2 * QUANTITY_TEXT_MAX + 8];

    layout_table_add(t, view_text(s, "name"));
    if (json_is_true(json_object_get(s, "seen_only"))) {
        layout_table_add(t, "seen");
    } else {
        (void)snprintf(cell, sizeof cell, "%.0f", view_number(s, "from_day"));
        layout_table_add(t, cell);
    }
    layout_table_add(t, view_bare(from, v, QUANTITY_EC, s, "ec_ms_cm"));
    (void)snprintf(cell, sizeof cell, "%s to %s", view_quantity(from, v, QUANTITY_PH, s, "ph_min"),
                   view_quantity(to, v, QUANTITY_PH, s, "ph_max"));
    layout_table_add(t, cell);
    (void)snprintf(cell, sizeof cell, "%.0f to %.0f days", view_number(s, "life_min_day"),
                   view_number(s, "life_max_day"));
    layout_table_add(t, cell);
    layout_table_add(t, view_text(s, "recipe"));
}

static void write_stages(const struct view *v, const json_t *stages, struct text *out)
{
    const struct layout_column columns[] = {
        {"Stage",         false, false, false},
        {"From day",      true,  false, false},
        {view_ec_unit(v), true,  false, true },
        {"pH",            false, false, false},
        {"Solution",      false, false, false},
        {"Recipe",        false, false, false},
    };
    struct layout_table t = {.column = columns, .n_columns = sizeof columns / sizeof *columns};
    const json_t *s;
    size_t i;

    json_array_foreach(stages, i, s)
    {
        add_stage(v, s, &t);
    }
    layout_table_write(&t, 0, out);
    layout_table_deinit(&t);
}

void screen_crop(const struct view *v, const json_t *c, struct text *out)
{
    const json_t *stages = json_object_get(c, "stages");
    struct text t = {0};
    char buf[QUANTITY_TEXT_MAX];
    const json_t *s;
    size_t i;

    text_add(&t, "%s: harvest at %.0f days, %.0f sooner or later", view_text(c, "name"),
             view_number(c, "harvest_day"), view_number(c, "harvest_window_day"));
    layout_wrap(out, text_str(&t), 0, 0);
    text_add(out, "\n");
    write_stages(v, stages, out);
    text_add(out, "\n");
    layout_fact(out, "Starts with", view_quantity(buf, v, QUANTITY_EC, c, "start_ec_ms_cm"));
    text_clear(&t);
    view_names(json_object_get(c, "containers"), &t);
    layout_fact(out, "Grows in", t.len ? text_str(&t) : "no container");
    text_clear(&t);
    text_add(&t,
             "plants drink %.2f times what their crops say, and come to it in %.2f times the "
             "days; a new planting is taken for such a one",
             view_number(c, "room_drinks"), view_number(c, "room_days"));
    layout_fact(out, "This room", text_str(&t));
    if (view_has(c, "source")) {
        layout_fact(out, "Sources", view_text(c, "source"));
    }
    json_array_foreach(stages, i, s)
    {
        if (view_has(s, "source")) {
            text_clear(&t);
            text_add(&t, "%s: %s", view_text(s, "name"), view_text(s, "source"));
            layout_fact(out, "", text_str(&t));
        }
    }
    text_deinit(&t);
}

/* How far off in the mean, in the room's units; "-" where nothing is to compare. */
static const char *off(char buf[QUANTITY_TEXT_MAX], const struct view *v, const json_t *one,
                       const char *key)
{
    bool ec = strcmp(view_text(one, "of"), "strength") == 0;

    if (!view_has(one, key)) {
        return "-";
    }
    return view_quantity(buf, v, ec ? QUANTITY_EC : QUANTITY_VOLUME, one, key);
}

static const char *forecast_words(const char *of)
{
    return strcmp(of, "level") == 0  ? "level before the float"
           : strcmp(of, "draw") == 0 ? "reservoir, a week's water"
                                     : "strength";
}

void screen_forecasts(const struct view *v, const json_t *forecasts, struct text *out)
{
    static const struct layout_column columns[] = {
        {"Forecast of", false, false, false},
        {"Made",        true,  false, false},
        {"Inside",      true,  false, false},
        {"Score",       true,  false, false},
        {"Line's",      true,  false, false},
        {"Width",       true,  false, false},
    };
    struct layout_table t = {.column = columns, .n_columns = sizeof columns / sizeof *columns};
    const json_t *one;
    size_t i;

    json_array_foreach(forecasts, i, one)
    {
        size_t made = view_whole(one, "made");
        char cell[40];
        char buf[QUANTITY_TEXT_MAX];

        layout_table_add(&t, forecast_words(view_text(one, "of")));
        (void)snprintf(cell, sizeof cell, "%zu", made);
        layout_table_add(&t, cell);
        (void)snprintf(cell, sizeof cell, "%.0f %%",
                       made ? 100.0 * (double)view_whole(one, "inside") / (double)made : 0);
        layout_table_add(&t, made ? cell : "-");
        layout_table_add(&t, off(buf, v, one, "score_beside"));
        layout_table_add(&t, off(buf, v, one, "line"));
        (void)snprintf(cell, sizeof cell, "%.2f", view_number(one, "width"));
        layout_table_add(&t, cell);
    }
    layout_table_write(&t, 0, out);
    layout_table_deinit(&t);
    text_add(out, "\n");
    layout_wrap(out,
                "Inside: what was promised nine times in ten. Score: how far off, the less the "
                "better, beside a straight line through the last two readings. Width: what a doubt "
                "is multiplied by for it.",
                0, 0);
}

void screen_things(const json_t *things, struct text *out)
{
    static const char *const kinds[][2] = {
        {"Containers", "containers"},
        {"Products",   "products"  },
        {"Recipes",    "recipes"   },
        {"Meters",     "meters"    },
        {"Crops",      "crops"     },
        {"Tasks",      "tasks"     },
    };
    struct text t = {0};

    layout_fact(out, "The water", "reservoir");
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        text_clear(&t);
        view_names(json_object_get(things, kinds[i][1]), &t);
        layout_fact(out, kinds[i][0], t.len ? text_str(&t) : "none");
    }
    text_add(out, "\nOne of them:  tarn show NAME\n");
    text_deinit(&t);
}
