#include "cli/csv.h"

#include "daemon/core/words/figure.h"

#include <stdio.h>
#include <string.h>

#define CSV_END "\r\n"

static const char *const before_figures[] = {"seq",     "happened", "told", "kind",
                                             "subject", "what",     NULL};
static const char *const after_figures[] = {"until", "task", "voids", "voided", "uid",
                                            "who",   "note", "text",  NULL};

void csv_field(struct text *out, size_t n_before, const char *s)
{
    text_add(out, "%s", n_before ? "," : "");
    if (!strpbrk(s, ",\"\r\n")) {
        text_add(out, "%s", s);
        return;
    }
    text_add(out, "\"");
    for (; *s; s++) {
        text_add(out, "%s%c", *s == '"' ? "\"" : "", *s);
    }
    text_add(out, "\"");
}

void csv_head(struct text *out)
{
    size_t n = 0;

    for (size_t i = 0; before_figures[i]; i++) {
        csv_field(out, n++, before_figures[i]);
    }
    for (size_t f = 0; f < FIGURE_N; f++) {
        csv_field(out, n++, figure_defs[f].key);
    }
    csv_field(out, n++, "amounts");
    for (size_t i = 0; after_figures[i]; i++) {
        csv_field(out, n++, after_figures[i]);
    }
    text_add(out, CSV_END);
}

static void add_value(struct text *out, size_t n_before, const json_t *value)
{
    char buf[40] = "";

    if (json_is_string(value)) {
        csv_field(out, n_before, json_string_value(value));
        return;
    }
    if (json_is_integer(value)) {
        (void)snprintf(buf, sizeof buf, "%lld", (long long)json_integer_value(value));
    } else if (json_is_real(value)) {
        (void)snprintf(buf, sizeof buf, "%.15g", json_real_value(value));
    } else if (json_is_boolean(value)) {
        (void)snprintf(buf, sizeof buf, "%s", json_is_true(value) ? "yes" : "no");
    }
    csv_field(out, n_before, buf);
}

/* "45 mL calcium-part; 30 mL sulfate-part" */
static void add_amounts(struct text *out, size_t n_before, const json_t *amounts)
{
    struct text t = {0};
    const json_t *a;
    size_t i;

    json_array_foreach(amounts, i, a)
    {
        const char *unit = json_string_value(json_object_get(a, "unit"));
        const char *product = json_string_value(json_object_get(a, "product"));

        text_add(&t, "%s%.15g %s %s", i ? "; " : "",
                 json_number_value(json_object_get(a, "amount")), unit ? unit : "",
                 product ? product : "");
    }
    csv_field(out, n_before, text_str(&t));
    text_deinit(&t);
}

void csv_entry(struct text *out, const json_t *entry)
{
    const json_t *figures = json_object_get(entry, "figures");
    size_t n = 0;

    for (size_t i = 0; before_figures[i]; i++) {
        add_value(out, n++, json_object_get(entry, before_figures[i]));
    }
    for (size_t f = 0; f < FIGURE_N; f++) {
        add_value(out, n++, json_object_get(figures, figure_defs[f].key));
    }
    add_amounts(out, n++, json_object_get(entry, "amounts"));
    for (size_t i = 0; after_figures[i]; i++) {
        add_value(out, n++, json_object_get(entry, after_figures[i]));
    }
    text_add(out, CSV_END);
}
