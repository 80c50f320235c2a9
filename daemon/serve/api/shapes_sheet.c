/* A worksheet as an answer has it. */
#include "daemon/core/sheet/worksheet_make.h"
#include "daemon/core/words/figure.h"
#include "daemon/serve/api/shapes.h"

#include <math.h>

static json_t *out_dose(const struct step_dose *d)
{
    return json_pack("{s:s,s:o,s:s,s:i,s:o}", "product", d->product, "amount",
                     out_number(d->amount), "unit", d->dry ? "g" : "mL", "parts", d->parts,
                     "water_ml", out_number(d->water_ml));
}

static json_t *out_vessel(const struct step_vessel *v)
{
    json_t *o = json_pack("{s:s,s:o,s:o}", "name", v->name, "volume_l", out_number(v->volume_l),
                          "ec_ms_cm", out_number(v->ec_ms_cm));
    json_t *doses = json_array();

    for (size_t i = 0; i < v->n_doses; i++) {
        json_array_append_new(doses, out_dose(&v->dose[i]));
    }
    if (v->n_doses) {
        json_object_set_new(o, "from_ms_cm", out_number(v->from_ms_cm));
        json_object_set_new(o, "dip_l", out_number(v->dip_l));
        json_object_set_new(o, "away_l", out_number(v->away_l));
        json_object_set(o, "stirs", doses);
    }
    json_decref(doses);
    return o;
}

static json_t *out_table(const struct step *s)
{
    json_t *head = json_array();
    json_t *rows = json_array();

    for (size_t i = 0; i < s->n_columns; i++) {
        json_array_append_new(head, json_string(s->cell[i]));
    }
    for (size_t i = s->n_columns; i < s->n_cells; i += s->n_columns) {
        json_t *row = json_array();

        for (size_t k = 0; k < s->n_columns; k++) {
            json_array_append_new(row, json_string(s->cell[i + k]));
        }
        json_array_append_new(rows, row);
    }
    return json_pack("{s:o,s:o}", "head", head, "rows", rows);
}

/* The words first; of what they say as data only what there is. */
static json_t *out_step(const struct step *s)
{
    json_t *o =
        json_pack("{s:s,s:s?,s:s?,s:o}", "text", s->text, "caution", s->caution, "product",
                  s->product, "amount_ml", s->product ? out_number(s->amount_ml) : json_null());
    json_t *vessels = json_array();
    json_t *tells = json_array();

    if (step_does_words[s->does]) {
        json_object_set_new(o, "does", json_string(step_does_words[s->does]));
    }
    if (step_into_words[s->into]) {
        json_object_set_new(o, "into", json_string(step_into_words[s->into]));
    }
    if (*s->stirs.product) {
        json_object_set_new(o, "stirs", out_dose(&s->stirs));
    }
    if (isfinite(s->volume_l)) {
        json_object_set_new(o, "volume_l", out_number(s->volume_l));
    }
    if (isfinite(s->to_l)) {
        json_object_set_new(o, "to_l", out_number(s->to_l));
    }
    if (isfinite(s->ec_ms_cm)) {
        json_object_set_new(o, "shows",
                            json_pack("{s:o,s:o,s:o}", "ec_ms_cm", out_number(s->ec_ms_cm), "lo",
                                      out_number(s->ec_lo), "hi", out_number(s->ec_hi)));
    }
    for (size_t i = 0; i < s->n_vessels; i++) {
        json_array_append_new(vessels, out_vessel(&s->vessel[i]));
    }
    for (unsigned f = 0; f < FIGURE_N; f++) {
        if (s->tells & FIGURE_BIT(f)) {
            json_array_append_new(tells, json_string(figure_defs[f].word));
        }
    }
    if (s->tells) {
        json_object_set(o, "tells", tells);
    }
    json_decref(tells);
    if (s->n_vessels) {
        json_object_set(o, "vessels", vessels);
    }
    json_decref(vessels);
    if (s->n_columns) {
        json_object_set_new(o, "table", out_table(s));
    }
    return o;
}

json_t *out_worksheet(const struct live_room *live, const struct task *t, int64_t now_s)
{
    struct worksheet w;
    json_t *steps = json_array();

    worksheet_make(&live->room, &live->state, t, now_s, &w);
    for (size_t i = 0; i < w.n; i++) {
        json_array_append_new(steps, out_step(&w.step[i]));
    }
    worksheet_deinit(&w);
    return steps;
}
