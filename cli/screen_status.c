#include "cli/layout.h"
#include "cli/screen.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

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
    struct text t = {0};
    size_t listed = 0;

    view_count(&t, json_array_size(containers), "container: ", "containers: ");
    for (size_t i = 0; i < 3; i++) {
        size_t n = count_condition(containers, conditions[i]);

        if (n) {
            text_add(&t, "%s%zu %s", listed++ ? ", " : "", n, conditions[i]);
        }
    }
    layout_wrap(out, text_str(&t), 0, 0);
    text_deinit(&t);
}

/* Of what is wrong that which nobody has looked at is coloured; the rest is marked. */
static void write_notice(const struct view *v, bool alarm, const char *says, struct text *out)
{
    struct view plain = *v;

    plain.colour = v->colour && alarm;
    view_alarm(&plain, says, out);
}

/* Those that are alarms, or those that are not. */
static void write_notices(const struct view *v, const json_t *notices, bool alarms,
                          struct text *out)
{
    struct text t = {0};
    const json_t *n;
    size_t i;

    json_array_foreach(notices, i, n)
    {
        if (json_is_true(json_object_get(n, "alarm")) == alarms) {
            text_clear(&t);
            view_sentence(view_text(n, "text"), &t);
            write_notice(v, alarms, text_str(&t), out);
        }
    }
    text_deinit(&t);
}

bool screen_notices(const struct view *v, const json_t *answer, struct text *out)
{
    const json_t *notices = json_object_get(answer, "notices");
    const char *fault = view_text(answer, "room_file_fault");
    struct text t = {0};

    if (*fault) {
        text_add(&t, "The room file has a fault; the room as it was before is still in use. %s.",
                 fault);
        write_notice(v, true, text_str(&t), out);
    }
    write_notices(v, notices, true, out);
    write_notices(v, notices, false, out);
    if (*fault || json_array_size(notices)) {
        text_add(out, "\n");
    }
    text_deinit(&t);
    return *fault || json_array_size(notices);
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

/* What was learned of how long work takes; nothing where nobody told. */
static void write_paces(const json_t *paces, struct text *out)
{
    const json_t *p;
    size_t i;

    if (json_array_size(paces)) {
        text_add(out, "\n");
    }
    json_array_foreach(paces, i, p)
    {
        struct text t = {0};

        text_add(&t, "%s: %g min each, %g in the room file (told ", view_text(p, "of"),
                 round(10 * view_number(p, "minutes")) / 10, view_number(p, "file_min"));
        view_count(&t, (size_t)view_number(p, "told"), "time)", "times)");
        layout_fact(out, i ? "" : "Work", text_str(&t));
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
        text_add(out, ", calibrated on %s", view_day(day, v, meter, "calibrated_on"));
    }
    if (view_has(meter, "slope_pct")) {
        text_add(out, ", slope %s", view_quantity(buf, v, QUANTITY_PERCENT, meter, "slope_pct"));
    }
    if (view_has(meter, "due_on")) {
        text_add(out, ", due %s", view_day(day, v, meter, "due_on"));
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
    text_add(&right, "%s", view_day_year(day, now));
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

    write_headline(v, answer, out);
    (void)screen_notices(v, answer, out);
    screen_reservoir_facts(v, json_object_get(answer, "reservoir"), out);
    text_add(out, "\n");
    write_counts(containers, out);
    if (json_array_size(containers)) {
        text_add(out, "\n");
        screen_containers(v, answer, out);
    }
    write_meters(v, json_object_get(answer, "meters"), out);
    write_paces(json_object_get(answer, "paces"), out);
}
