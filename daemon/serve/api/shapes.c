#include "daemon/serve/api/shapes.h"

#include "daemon/base/text.h"
#include "daemon/core/room/ruler.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/observation.h"
#include "daemon/core/state/prediction.h"
#include "daemon/core/state/sighted.h"
#include "daemon/core/state/strength.h"
#include "daemon/core/state/trust.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

json_t *out_number(double v)
{
    return isfinite(v) ? json_real(round(v * 1e6) / 1e6) : json_null();
}

json_t *out_day(int32_t day)
{
    char buf[DAY_TEXT_MAX];

    return day == DAY_NONE ? json_null() : json_string(day_format(buf, day));
}

json_t *out_day_of(const struct room *room, int64_t t_s)
{
    return t_s == 0 || t_s == FORECAST_NEVER ? json_null() : out_day(zone_day(&room->zone, t_s));
}

json_t *out_instant(const struct room *room, int64_t t_s)
{
    int32_t second = zone_second_of_day(&room->zone, t_s);
    int32_t offset = zone_offset_s(&room->zone, t_s) / 60;
    char day[DAY_TEXT_MAX];
    char buf[48];

    day_format(day, zone_day(&room->zone, t_s));
    (void)snprintf(buf, sizeof buf, "%.10sT%02d:%02d:%02d%c%02d:%02d", day, second / 3600 % 24,
                   second / 60 % 60, second % 60, offset < 0 ? '-' : '+', abs(offset) / 60 % 24,
                   abs(offset) % 60);
    return json_string(buf);
}

json_t *out_word(const char *word)
{
    return word && *word ? json_string(word) : json_null();
}

json_t *out_id(int64_t id)
{
    char buf[24];

    (void)snprintf(buf, sizeof buf, "%lld", (long long)id);
    return id ? json_string(buf) : json_null();
}

json_t *out_units(const struct units *u)
{
    return json_pack("{s:s,s:s,s:s,s:b}", "volume", quantity_volume_words[u->volume], "ec",
                     quantity_ec_words[u->ec], "temp", quantity_temp_words[u->temp], "both",
                     (int)u->both);
}

static json_t *out_subjects(const struct live_room *live, const struct task *t)
{
    json_t *names = json_array();

    for (size_t i = 0; i < t->n_jobs; i++) {
        json_array_append_new(names,
                              json_string(room_subject_name(&live->room, t->job[i].subject)));
    }
    return names;
}

/* What the task's litres are: the mix of a change, what a fill lets in, what is in the others. */
static double task_volume(const struct task *t)
{
    switch (t->kind) {
    case TASK_CHANGE:
        return t->mix_l;
    case TASK_START:
    case TASK_BUMP:
    case TASK_PH:
    case TASK_FILL:
        return t->job[0].volume_l;
    default:
        return NAN;
    }
}

json_t *out_task(const struct live_room *live, const struct task *t, int32_t today)
{
    bool solution = task_kinds[t->kind].has_recipe;
    char word[ENTRY_WORD_MAX + 1];
    json_t *o = json_object();

    json_object_set_new(o, "id", out_id(t->id));
    json_object_set_new(o, "kind", json_string(task_words[t->kind]));
    json_object_set_new(o, "what", json_string(job_word(word, &t->job[0])));
    json_object_set_new(o, "subjects", out_subjects(live, t));
    json_object_set_new(o, "earliest", out_day(t->earliest));
    json_object_set_new(o, "due", out_day(t->due));
    json_object_set_new(o, "latest", out_day(t->latest));
    json_object_set_new(o, "on", out_day(t->on));
    json_object_set_new(o, "minutes", out_number(t->minutes));
    json_object_set_new(o, "why", json_string(t->why));
    json_object_set_new(o, "loss", json_string(t->job[0].loss));
    json_object_set_new(o, "overdue", json_boolean(task_is_overdue(t, today)));
    json_object_set_new(o, "recipe",
                        solution ? json_string(live->room.recipe[t->recipe].name) : json_null());
    json_object_set_new(o, "ec_ms_cm", out_number(solution ? t->mix_ec_ms_cm : NAN));
    json_object_set_new(o, "volume_l", out_number(task_volume(t)));
    json_object_set_new(o, "by_hand", json_boolean(t->by_hand));
    json_object_set_new(o, "leaves_rest", json_boolean(t->leaves_rest));
    json_object_set_new(o, "made",
                        json_boolean(t->kind == TASK_CHANGE && !t->by_hand &&
                                     task_mix_is_there(&live->state, t, task_jobs_l(t))));
    return o;
}

json_t *out_plan_amounts(const struct plan_amounts *a)
{
    return json_pack("{s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o}", "changeovers",
                     out_number(a->open_days), "mixes", out_number(a->fillings), "jugs",
                     out_number((double)a->by_hand), "mixed_l", out_number(a->mixed_l), "minutes",
                     out_number(a->minutes), "overtime_min", out_number(a->overtime_min),
                     "early_days", out_number(a->early_days), "late_days", out_number(a->late_days),
                     "plain_l", out_number(a->plain_l));
}

json_t *out_difference(const struct plan_amounts *is, const struct plan_amounts *then)
{
    struct plan_amounts by = {.open_days = then->open_days - is->open_days,
                              .fillings = then->fillings - is->fillings,
                              .mixed_l = then->mixed_l - is->mixed_l,
                              .minutes = then->minutes - is->minutes,
                              .overtime_min = then->overtime_min - is->overtime_min,
                              .early_days = then->early_days - is->early_days,
                              .late_days = then->late_days - is->late_days,
                              .plain_l = then->plain_l - is->plain_l};
    json_t *o = out_plan_amounts(&by);

    json_object_set_new(o, "jugs", out_number((double)then->by_hand - (double)is->by_hand));
    return o;
}

static const char *product_unit(const struct room *room, const char *product)
{
    struct subject s = room_find(room, product);

    return s.kind == SUBJECT_PRODUCT && room->product[s.at].kind == PRODUCT_DRY ? "g" : "mL";
}

static json_t *out_figures(const struct entry *e)
{
    json_t *o = json_object();

    for (unsigned f = 0; f < FIGURE_N; f++) {
        if (entry_has(e, f)) {
            json_object_set_new(o, figure_defs[f].key, out_number(e->figure[f]));
        }
    }
    return o;
}

static json_t *out_amounts(const struct room *room, const struct entry *e)
{
    json_t *list = json_array();

    for (size_t i = 0; i < e->n_amounts; i++) {
        const struct amount *a = &e->amount[i];

        json_array_append_new(list, json_pack("{s:s,s:o,s:s}", "product", a->product, "amount",
                                              out_number(a->amount), "unit",
                                              product_unit(room, a->product)));
    }
    return list;
}

json_t *out_entry(const struct live_room *live, const struct entry *e, bool voided)
{
    const struct room *room = &live->room;
    const char *asked = observe_aside(&live->state, e->seq);
    char doubt[TRUST_WHY_MAX];
    struct text line = {0};
    json_t *o = json_object();

    entry_describe(room, e, &line);
    if (!trust_of_entry(room, &live->state, e, doubt) && asked) {
        (void)snprintf(doubt, sizeof doubt, "%s", asked);
    }
    json_object_set_new(o, "seq", out_id(e->seq));
    json_object_set_new(o, "happened", out_instant(room, e->happened_s));
    json_object_set_new(o, "told", out_instant(room, e->told_s));
    json_object_set_new(o, "kind", json_string(entry_kinds[e->kind].word));
    json_object_set_new(o, "subject", json_string(e->subject));
    json_object_set_new(o, "what", out_word(e->what));
    json_object_set_new(o, "figures", out_figures(e));
    json_object_set_new(o, "amounts", out_amounts(room, e));
    json_object_set_new(o, "until", out_day(e->until_day));
    json_object_set_new(o, "task", out_id(e->task));
    json_object_set_new(o, "voids", out_id(e->voids));
    json_object_set_new(o, "voided", json_boolean(voided));
    json_object_set_new(o, "uid", json_integer(e->uid));
    json_object_set_new(o, "who", json_string(e->who));
    json_object_set_new(o, "sensor", json_boolean(e->sensor));
    json_object_set_new(o, "note", out_word(e->note));
    json_object_set_new(o, "doubt", out_word(doubt));
    json_object_set_new(o, "text", json_string(text_str(&line)));
    text_deinit(&line);
    return o;
}

json_t *out_entries(const struct live_room *live, const struct entry *e, size_t n)
{
    json_t *list = json_array();

    for (size_t i = 0; i < n; i++) {
        json_array_append_new(list, out_entry(live, &e[i], false));
    }
    return list;
}

json_t *out_rows(const struct live_room *live, const struct journal_row *row, size_t n)
{
    json_t *list = json_array();

    for (size_t i = 0; i < n; i++) {
        json_array_append_new(list, out_entry(live, &row[i].entry, row[i].voided));
    }
    return list;
}

static json_t *out_measured(const struct live_room *live, const struct measured *m)
{
    char doubt[TRUST_WHY_MAX] = "";

    if (!m->at_s) {
        return json_null();
    }
    if (m->meter >= 0) {
        (void)trust_of_meter(&live->room, &live->state, (size_t)m->meter, m->at_s, doubt);
    }
    return json_pack("{s:o,s:o,s:o}", "value", out_number(m->value), "at",
                     out_instant(&live->room, m->at_s), "doubt", out_word(doubt));
}

static json_t *out_all_measured(const struct live_room *live, const struct container_state *cs)
{
    return json_pack("{s:o,s:o,s:o,s:o}", "ec_ms_cm", out_measured(live, &cs->ec), "ph",
                     out_measured(live, &cs->ph), "temp_c", out_measured(live, &cs->temp),
                     "volume_l", out_measured(live, &cs->volume));
}

json_t *out_seen(const struct live_room *live, struct subject subject, int64_t now_s)
{
    json_t *list = json_array();

    for (int k = 0; k < SIGHTING_N; k++) {
        int64_t at_s = sighted_s(&live->state, subject, (enum sighting)k, now_s);

        if (at_s) {
            json_array_append_new(list, json_pack("{s:s,s:o,s:s,s:s}", "what", sightings[k].word,
                                                  "at", out_instant(&live->room, at_s), "says",
                                                  sightings[k].says, "check", sightings[k].check));
        }
    }
    return list;
}

json_t *out_learned(const struct learned *l)
{
    return l->n_used + l->n_aside > 0
               ? json_pack("{s:o,s:o,s:i,s:i}", "value", out_number(l->value), "sd",
                           out_number(learned_sd(l)), "used", (int)l->n_used, "aside",
                           (int)l->n_aside)
               : json_null();
}

/* What a ruler shows where so many litres stand; null where the room file gives no scale. */
static json_t *out_height(const struct room *room, struct subject s, double volume_l)
{
    struct ruler scale;

    return out_number(ruler_of(room, s, &scale) ? 100 * ruler_height_m(&scale, volume_l) : NAN);
}

static json_t *container_now(const struct live_room *live, size_t i, const struct forecast *f,
                             int64_t now_s)
{
    const struct container_state *cs = &live->state.container[i];
    bool planted = cs->crop >= 0;
    const struct crop *crop = planted ? &live->room.crop[cs->crop] : NULL;
    int64_t float_s = forecast_float_s(&live->room, &live->state, i);
    json_t *o = json_object();

    json_object_set_new(o, "name", json_string(live->room.container[i].name));
    json_object_set_new(o, "condition", json_string(condition_words[f->condition]));
    json_object_set_new(o, "crop", planted ? json_string(crop->name) : json_null());
    json_object_set_new(o, "stage",
                        planted ? json_string(crop->stage[f->stage].name) : json_null());
    json_object_set_new(o, "day",
                        planted ? json_integer((json_int_t)floor(f->age_day)) : json_null());
    json_object_set_new(o, "volume_l", out_number(f->body.volume_l));
    json_object_set_new(
        o, "height_cm",
        out_height(&live->room, (struct subject){SUBJECT_CONTAINER, i}, f->body.volume_l));
    json_object_set_new(o, "ec_ms_cm", out_number(planted ? f->body.ec_ms_cm : NAN));
    json_object_set_new(o, "water_ms_cm", out_number(planted ? f->body.water_ms_cm : NAN));
    json_object_set_new(o, "float_on", out_day_of(&live->room, float_s));
    json_object_set_new(o, "float_seen", json_boolean(cs->float_s != 0));
    json_object_set_new(o, "solution_days",
                        planted ? json_integer((json_int_t)((now_s - cs->changed_s) / 86400))
                                : json_null());
    json_object_set_new(o, "measured", out_all_measured(live, cs));
    return o;
}

json_t *out_container(const struct live_room *live, size_t i, int64_t now_s)
{
    struct forecast f = forecast_container(&live->room, &live->state, i, now_s);

    return container_now(live, i, &f, now_s);
}

/* How long a solution lasts a full-grown plant here, and the litres in which it lasts as long as
 * the crop's shortest life. */
static void set_grown(json_t *o, const struct live_room *live, size_t i)
{
    const struct container *c = &live->room.container[i];
    int at = live->state.container[i].crop;
    const struct crop *crop = &live->room.crop[at >= 0 ? (size_t)at : c->crop];
    const struct stage *last = &crop->stage[crop->n_stages - 1];
    double lasts_day = strength_lasts_day(&live->room, &live->state, crop, c->float_volume_l);
    double wants_l = c->float_volume_l * last->life_min_day / lasts_day;

    json_object_set_new(o, "grown_lasts_days", out_number(isinf(lasts_day) ? NAN : lasts_day));
    json_object_set_new(o, "grown_life_days", out_number(last->life_min_day));
    json_object_set_new(o, "grown_wants_l", out_number(wants_l));
}

static void set_wants(json_t *o, const struct live_room *live, size_t i, const struct forecast *f)
{
    const struct container_state *cs = &live->state.container[i];
    bool planted = cs->crop >= 0;
    const struct stage *stage = planted ? &live->room.crop[cs->crop].stage[f->stage] : NULL;
    double spent = planted ? strength_spent_ms_cm(&live->room, cs, stage) : 0;
    int64_t spent_s = planted ? forecast_food_below_s(&live->room, &live->state, i, spent, cs->at_s)
                              : FORECAST_NEVER;
    int64_t harvest_s =
        planted ? cs->started_s + (int64_t)(live->room.crop[cs->crop].harvest_day * 86400) : 0;

    json_object_set_new(o, "strength_ms_cm", out_number(planted ? cs->strength_ms_cm : NAN));
    json_object_set_new(
        o, "target_ec_ms_cm",
        out_number(planted ? strength_target_ms_cm(&live->room, &live->room.crop[cs->crop], stage)
                           : NAN));
    json_object_set_new(o, "ph_min", out_number(planted ? stage->ph_min : NAN));
    json_object_set_new(o, "ph_max", out_number(planted ? stage->ph_max : NAN));
    json_object_set_new(o, "ph_drift_day",
                        out_number(planted ? forecast_ph_day(&live->state, i, f) : NAN));
    json_object_set_new(o, "use_l_day", out_number(planted ? f->use_l_day : NAN));
    json_object_set_new(o, "spent_on", out_day_of(&live->room, spent_s));
    set_grown(o, live, i);
    json_object_set_new(o, "harvest_on", out_day_of(&live->room, harvest_s));
}

json_t *out_container_whole(const struct live_room *live, size_t i, int64_t now_s)
{
    const struct container *c = &live->room.container[i];
    const struct container_state *cs = &live->state.container[i];
    struct forecast f = forecast_container(&live->room, &live->state, i, now_s);
    struct nutrients feed = forecast_feed(&live->room, &live->state, i, now_s);
    json_t *o = container_now(live, i, &f, now_s);

    json_object_set_new(o, "start_volume_l", out_number(c->start_volume_l));
    json_object_set_new(o, "float_volume_l", out_number(c->float_volume_l));
    json_object_set_new(o, "remainder_l", out_number(c->remainder_l));
    json_object_set_new(o, "safe_volume_l",
                        out_number(forecast_safe_volume_of(&live->room, &live->state, i, &f)));
    json_object_set_new(o, "solution", json_integer(cs->solution));
    json_object_set_new(o, "planting", json_integer(cs->planting));
    json_object_set_new(o, "feed", out_held(live, i, &f, &feed, now_s));
    json_object_set_new(o, "feed_notes", out_feed_notes(live, i, &f, &feed));
    json_object_set_new(o, "seen", out_seen(live, (struct subject){SUBJECT_CONTAINER, i}, now_s));
    set_wants(o, live, i, &f);
    return o;
}

json_t *out_reservoir(const struct live_room *live, int64_t now_s)
{
    const struct reservoir *v = &live->room.reservoir;
    const struct reservoir_state *r = &live->state.reservoir;
    struct liquid body = forecast_reservoir(&live->room, &live->state, now_s);
    int64_t low_s = forecast_reservoir_at_s(&live->room, &live->state, v->low_l, now_s);
    int64_t empty_s = forecast_reservoir_at_s(&live->room, &live->state, v->remainder_l, now_s);
    json_t *o = json_object();

    json_object_set_new(o, "volume_l", out_number(body.volume_l));
    json_object_set_new(
        o, "height_cm",
        out_height(&live->room, (struct subject){SUBJECT_RESERVOIR, 0}, body.volume_l));
    json_object_set_new(o, "capacity_l", out_number(v->capacity_l));
    json_object_set_new(o, "low_l", out_number(v->low_l));
    json_object_set_new(o, "remainder_l", out_number(v->remainder_l));
    json_object_set_new(o, "ec_ms_cm", out_number(r->at_s ? body.ec_ms_cm : NAN));
    json_object_set_new(o, "holds",
                        json_string(r->holds_mix              ? "mix"
                                    : room_feeds(&live->room) ? "feed"
                                                              : "water"));
    json_object_set_new(o, "recipe",
                        r->holds_mix && r->recipe >= 0
                            ? json_string(live->room.recipe[r->recipe].name)
                            : json_null());
    json_object_set_new(o, "low_on", out_day_of(&live->room, low_s));
    json_object_set_new(o, "empty_on", out_day_of(&live->room, empty_s));
    return o;
}

json_t *out_meter(const struct live_room *live, size_t i, int64_t now_s)
{
    const struct meter *m = &live->room.meter[i];
    const struct meter_state *ms = &live->state.meter[i];
    int64_t due_s =
        ms->calibrated_s ? ms->calibrated_s + (int64_t)(m->calibrate_every_day * 86400) : 0;
    char doubt[TRUST_WHY_MAX];

    (void)trust_of_meter(&live->room, &live->state, i, now_s, doubt);
    return json_pack("{s:s,s:s,s:o,s:o,s:o,s:o,s:o}", "name", m->name, "kind",
                     m->kind == METER_PH ? "ph" : "ec", "calibrated_on",
                     out_day_of(&live->room, ms->calibrated_s), "slope_pct",
                     out_number(ms->slope_pct), "offset_mv", out_number(ms->offset_mv), "due_on",
                     out_day_of(&live->room, due_s), "doubt", out_word(doubt));
}

json_t *out_product(const struct live_room *live, size_t i)
{
    static const char *const kinds[] = {"liquid", "dry", "acid", "base"};
    const struct product *p = &live->room.product[i];
    const struct product_state *ps = &live->state.product[i];

    return json_pack("{s:s,s:s,s:o,s:s,s:o,s:b}", "name", p->name, "kind", kinds[p->kind], "left",
                     out_number(ps->left), "unit", product_unit(&live->room, p->name), "reorder_at",
                     out_number(p->reorder_at), "ordered", (int)ps->ordered);
}
