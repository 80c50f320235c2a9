#include "cli/layout.h"
#include "cli/screen.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static bool is(const json_t *answer, const char *kind)
{
    return strcmp(view_text(answer, "kind"), kind) == 0;
}

static char *both(char buf[QUANTITY_BOTH_MAX], const struct view *v, const json_t *o,
                  const char *key)
{
    return quantity_format_both(buf, QUANTITY_VOLUME, view_number(o, key), &v->units);
}

/* "112 mg/L"; "70 to 150" where published work has a span. */
static void add_span(const json_t *one, struct layout_table *t)
{
    double lo = view_number(one, "lo");
    double hi = view_number(one, "hi");
    char buf[48];

    if (!isfinite(hi)) {
        (void)snprintf(buf, sizeof buf, "-");
    } else if (lo < hi) {
        (void)snprintf(buf, sizeof buf, "%.3g to %.3g", lo, hi);
    } else {
        (void)snprintf(buf, sizeof buf, "%.3g", hi);
    }
    layout_table_add(t, buf);
}

static bool has_span(const json_t *feed)
{
    const json_t *one;
    size_t i;

    json_array_foreach(feed, i, one)
    {
        if (view_has(one, "hi")) {
            return true;
        }
    }
    return false;
}

/* Two digits of what is below ten: nobody doses finer. */
static int decimals_of(double mg_l)
{
    return mg_l < 0.095 ? 3 : mg_l < 0.95 ? 2 : mg_l < 9.5 ? 1 : 0;
}

/* Without a span to set beside it one line says it all: "N 112, P 31, K 180". */
static void write_feed_line(const json_t *feed, const char *label, struct text *out)
{
    struct text t = {0};
    const json_t *one;
    size_t i;

    json_array_foreach(feed, i, one)
    {
        double mg_l = view_number(one, "mg_l");

        text_add(&t, "%s%s %.*f", i ? ", " : "", view_text(one, "of"), decimals_of(mg_l), mg_l);
    }
    layout_fact(out, label, text_str(&t));
    text_deinit(&t);
}

void screen_feed(const json_t *feed, const char *label, const char *of, struct text *out)
{
    const struct layout_column columns[] = {
        {"",          false, false, false},
        {label,       true,  false, false},
        {"published", true,  false, false},
    };
    struct layout_table t = {.column = columns, .n_columns = sizeof columns / sizeof *columns};
    const json_t *one;
    size_t i;

    if (json_array_size(feed) == 0) {
        return;
    }
    if (!has_span(feed)) {
        write_feed_line(feed, label, out);
        return;
    }
    json_array_foreach(feed, i, one)
    {
        char buf[48];

        if (view_has(one, "give_mg_l")) {
            double mg_l = view_number(one, "mg_l");
            double give = view_number(one, "give_mg_l");

            (void)snprintf(buf, sizeof buf, "%.0f (%.0f to %.0f)", mg_l, fmax(0, mg_l - give),
                           mg_l + give);
        } else {
            double mg_l = view_number(one, "mg_l");

            (void)snprintf(buf, sizeof buf, "%.*f", decimals_of(mg_l), mg_l);
        }
        layout_table_add(&t, view_text(one, "of"));
        layout_table_add(&t, buf);
        add_span(one, &t);
    }
    text_add(out, "\n");
    layout_wrap(out, of, 0, 0);
    layout_table_write(&t, 2, out);
    layout_table_deinit(&t);
}

static void write_dose(const struct view *v, const json_t *dose, const char *label, bool per_l,
                       struct text *out)
{
    bool dry = strcmp(view_text(dose, "unit"), "g") == 0;
    size_t thin = view_whole(dose, "thin");
    enum quantity q = per_l ? (dry ? QUANTITY_DOSE_DRY : QUANTITY_DOSE_LIQUID)
                            : (dry ? QUANTITY_DRY : QUANTITY_LIQUID);
    char buf[QUANTITY_BOTH_MAX];
    struct text t = {0};

    quantity_format_both(buf, q, view_number(dose, "measure"), &v->units);
    text_add(&t, "%s of %s", buf, view_text(dose, "product"));
    if (!per_l && thin > 1 && dry) {
        text_add(&t, " dissolved to 1 L, and %zu mL of that", 1000 / thin);
    } else if (!per_l && thin > 1) {
        text_add(&t, " thinned: 1 part and %zu of water", thin - 1);
    }
    if (!per_l) {
        text_add(&t, ", by %s", view_text(dose, "tool"));
    }
    layout_fact(out, label, text_str(&t));
    text_deinit(&t);
}

static void write_doses(const struct view *v, const json_t *answer, struct text *out)
{
    const json_t *doses = json_object_get(answer, "doses");
    bool full = is(answer, "full");
    const json_t *dose;
    size_t i;

    json_array_foreach(doses, i, dose)
    {
        write_dose(v, dose, i ? "" : "In this order", full, out);
    }
    if (json_array_size(doses) && !full && view_number(answer, "off_pct") >= 0.05) {
        struct text t = {0};

        text_add(&t, "moves what the dose adds by %.1f %% at most", view_number(answer, "off_pct"));
        layout_fact(out, "Rounding", text_str(&t));
        text_deinit(&t);
    }
    if (json_array_size(doses) > 1 && !full) {
        layout_fact(out, "",
                    "One after the other, each stirred in: never two concentrates "
                    "together.");
    }
}

static void write_water(const struct view *v, const json_t *answer, struct text *out)
{
    char buf[QUANTITY_BOTH_MAX];
    struct text t = {0};

    if (is(answer, "dose")) {
        text_add(&t, "%s of plain water", both(buf, v, answer, "water_l"));
    } else if (is(answer, "dilute")) {
        text_add(&t, "add %s of plain water", both(buf, v, answer, "water_l"));
    } else if (is(answer, "blend")) {
        text_add(&t, "%s of the hard water", both(buf, v, answer, "hard_l"));
        text_add(&t, " and %s of the plain water", both(buf, v, answer, "water_l"));
    }
    if (t.len) {
        layout_fact(out, "Water", text_str(&t));
    }
    text_deinit(&t);
}

static void write_head(const struct view *v, const json_t *answer, struct text *out)
{
    char buf[QUANTITY_BOTH_MAX];
    char ec[QUANTITY_TEXT_MAX];
    struct text t = {0};

    if (view_has(answer, "recipe")) {
        text_add(&t, "%s, ", view_text(answer, "recipe"));
    }
    if (is(answer, "full")) {
        text_add(&t, "full dose: %s", view_quantity(ec, v, QUANTITY_EC, answer, "ec_ms_cm"));
    } else {
        text_add(&t, "%s at ", both(buf, v, answer, "volume_l"));
        text_add(&t, "%s", view_quantity(ec, v, QUANTITY_EC, answer, "ec_ms_cm"));
    }
    view_heading(out, text_str(&t), is(answer, "pour") ? "together" : "");
    text_add(out, "\n");
    text_deinit(&t);
}

void screen_estimate(const struct view *v, const json_t *o, struct text *out)
{
    char ec[QUANTITY_TEXT_MAX];

    text_add(out, "%s by what the products contain, within %.0f %%",
             view_quantity(ec, v, QUANTITY_EC, o, "estimate_ms_cm"),
             view_number(o, "estimate_off_pct"));
}

static void write_notes(const json_t *answer, struct text *out)
{
    const json_t *note;
    size_t i;

    json_array_foreach(json_object_get(answer, "notes"), i, note)
    {
        layout_fact(out, i ? "" : "Beware", json_string_value(note));
    }
}

void screen_mix(const struct view *v, const json_t *answer, struct text *out)
{
    struct text t = {0};

    write_head(v, answer, out);
    write_water(v, answer, out);
    write_doses(v, answer, out);
    if (view_has(answer, "estimate_ms_cm")) {
        screen_estimate(v, answer, &t);
        layout_fact(out, "EC", text_str(&t));
        text_clear(&t);
    }
    write_notes(answer, out);
    text_add(&t, "Beside what was published for %s, %s, in mg/L:", view_text(answer, "crop"),
             view_text(answer, "stage"));
    screen_feed(json_object_get(answer, "feed"), "mg/L", text_str(&t), out);
    text_deinit(&t);
}
