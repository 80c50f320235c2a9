/* A worksheet as an answer has it. */
#include "daemon/core/sheet/worksheet_make.h"
#include "daemon/core/words/figure.h"
#include "daemon/serve/api/shapes.h"

#include <math.h>

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
    if (s->stirs) {
        json_object_set_new(o, "stirs",
                            json_pack("{s:s,s:o,s:s,s:i,s:o}", "product", s->stirs, "amount",
                                      out_number(s->amount), "unit", s->dry ? "g" : "mL", "parts",
                                      s->parts, "water_ml", out_number(s->water_ml)));
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
        json_array_append_new(vessels, json_pack("{s:s,s:o,s:o}", "name", s->vessel[i].name,
                                                 "volume_l", out_number(s->vessel[i].volume_l),
                                                 "ec_ms_cm", out_number(s->vessel[i].ec_ms_cm)));
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
