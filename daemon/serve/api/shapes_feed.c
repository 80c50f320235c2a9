#include "daemon/core/state/dosing.h"
#include "daemon/core/state/prediction.h"
#include "daemon/core/tell/feed_notes.h"
#include "daemon/serve/api/shapes.h"

#include <math.h>
#include <string.h>

json_t *out_feed(const struct nutrients *mg_l, const struct crop *crop, int stage)
{
    json_t *list = json_array();

    for (int f = 0; f < FEED_COUNT && !nutrients_none(mg_l); f++) {
        double mg = nutrients_feed_mg(mg_l, (enum feed)f);
        struct span span = crop ? crop_feed(crop, stage, (enum feed)f) : (struct span){0};

        if (mg > 0 || span.hi > 0) {
            json_array_append_new(list, json_pack("{s:s,s:o,s:o,s:o}", "of", feed_words[f], "mg_l",
                                                  out_number(mg), "lo",
                                                  out_number(span.hi > 0 ? span.lo : NAN), "hi",
                                                  out_number(span.hi > 0 ? span.hi : NAN)));
        }
    }
    return list;
}

json_t *out_gives(const struct live_room *live, const struct task *t)
{
    const struct job *j = &t->job[0];
    const struct container_state *cs;
    const struct crop *crop;
    struct nutrients feed;
    int stage;

    /* A start is weak on purpose: beside what a grown plant was fed it would look short of all. */
    if (t->kind != TASK_CHANGE || live->state.container[j->subject.at].crop < 0) {
        return json_null();
    }
    cs = &live->state.container[j->subject.at];
    crop = &live->room.crop[cs->crop];
    stage = forecast_container(&live->room, &live->state, j->subject.at,
                               zone_instant_s(&live->room.zone, t->on, 0))
                .stage;
    feed = dosing_feed(&live->room, &live->state, t->recipe,
                       t->mix_ec_ms_cm - dosing_base_ec(&live->room, &live->state));
    if (nutrients_none(&feed)) {
        return json_null();
    }
    return json_pack("{s:s,s:s,s:o}", "crop", crop->name, "stage", crop->stage[stage].name, "feed",
                     out_feed(&feed, crop, stage));
}

/* Salt that plants leave, of a source whose analysis says so. */
static void add_salts(json_t *list, const struct nutrients *mg_l)
{
    static const struct {
        const char *word;
        enum nutrient nutrient;
    } salt[] = {
        {"Na", NUTRIENT_NA},
        {"Cl", NUTRIENT_CL}
    };

    for (size_t k = 0; k < sizeof salt / sizeof *salt; k++) {
        double mg = mg_l->mg[salt[k].nutrient];

        if (mg > 0) {
            json_array_append_new(list, json_pack("{s:s,s:o,s:n,s:n}", "of", salt[k].word, "mg_l",
                                                  out_number(mg), "lo", "hi"));
        }
    }
}

json_t *out_held(const struct live_room *live, size_t i, const struct forecast *now,
                 const struct nutrients *feed, int64_t now_s)
{
    const struct container_state *cs = &live->state.container[i];
    double sd[FEED_COUNT];
    json_t *list;
    json_t *one;
    size_t at;

    if (cs->crop < 0) {
        return json_array();
    }
    list = out_feed(feed, &live->room.crop[cs->crop], now->stage);
    add_salts(list, feed);
    predict_feed_sd_mg_l(&live->room, &live->state, i, now_s, sd);
    json_array_foreach(list, at, one)
    {
        for (int k = 0; k < FEED_COUNT; k++) {
            if (sd[k] > 0 &&
                strcmp(json_string_value(json_object_get(one, "of")), feed_words[k]) == 0) {
                json_object_set_new(one, "give_mg_l", out_number(NINE_IN_TEN * sd[k]));
            }
        }
    }
    return list;
}

json_t *out_feed_notes(const struct live_room *live, size_t i, const struct forecast *now,
                       const struct nutrients *feed)
{
    const struct container_state *cs = &live->state.container[i];
    char note[FEED_NOTES_MAX][FEED_NOTE_LEN];
    json_t *list = json_array();
    size_t n = 0;

    if (cs->crop >= 0) {
        n = feed_notes(&live->room.crop[cs->crop], now->stage, feed, note);
    }
    for (size_t k = 0; k < n; k++) {
        json_array_append_new(list, json_string(note[k]));
    }
    return list;
}
