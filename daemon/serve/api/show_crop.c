#include "daemon/serve/api/show_crop.h"

#include "daemon/base/mem.h"
#include "daemon/base/order.h"
#include "daemon/core/state/strength.h"
#include "daemon/serve/api/shapes.h"

#include <math.h>
#include <stdlib.h>

static json_t *list_stages(const struct live_room *live, const struct crop *crop)
{
    json_t *list = json_array();

    for (size_t i = 0; i < crop->n_stages; i++) {
        const struct stage *s = &crop->stage[i];
        json_t *o = json_object();

        json_object_set_new(o, "name", json_string(s->name));
        json_object_set_new(o, "from_day", out_number(s->from_day));
        json_object_set_new(o, "seen_only", json_boolean(s->seen_only));
        json_object_set_new(o, "ec_ms_cm", out_number(strength_target_ms_cm(&live->room, crop, s)));
        json_object_set_new(o, "ph_min", out_number(s->ph_min));
        json_object_set_new(o, "ph_max", out_number(s->ph_max));
        json_object_set_new(o, "life_min_day", out_number(s->life_min_day));
        json_object_set_new(o, "life_max_day", out_number(s->life_max_day));
        json_object_set_new(o, "recipe", out_word(s->recipe));
        json_object_set_new(o, "source", out_word(s->source));
        json_array_append_new(list, o);
    }
    return list;
}

/* The containers that grow it now, or are to. */
static json_t *list_containers(const struct live_room *live, size_t at)
{
    json_t *list = json_array();

    for (size_t i = 0; i < live->room.n_containers; i++) {
        int now = live->state.container[i].crop;

        if ((now >= 0 ? (size_t)now : live->room.container[i].crop) == at) {
            json_array_append_new(list, json_string(live->room.container[i].name));
        }
    }
    return list;
}

json_t *show_crop(const struct live_room *live, size_t at)
{
    const struct crop *crop = &live->room.crop[at];
    json_t *o = json_object();

    json_object_set_new(o, "name", json_string(crop->name));
    json_object_set_new(o, "start_ec_ms_cm",
                        out_number(room_fresh_ms_cm(&live->room, crop, crop->start_ec_ms_cm)));
    json_object_set_new(o, "harvest_day", out_number(crop->harvest_day));
    json_object_set_new(o, "harvest_window_day", out_number(crop->harvest_window_day));
    json_object_set_new(o, "room_drinks", out_number(exp(live->state.common.mean[ROOM_SIZE])));
    json_object_set_new(o, "room_days", out_number(exp(live->state.common.mean[ROOM_PACE])));
    json_object_set_new(o, "stages", list_stages(live, crop));
    json_object_set_new(o, "containers", list_containers(live, at));
    json_object_set_new(o, "source", out_word(crop->source));
    return json_pack("{s:s,s:o}", "type", "crop", "crop", o);
}

static json_t *out_record(const char *of, const struct record *r)
{
    return json_pack("{s:s,s:i,s:i,s:o,s:i,s:o,s:o,s:o}", "of", of, "made", (int)r->made, "inside",
                     (int)r->inside, "score", out_number(r->made ? r->score / r->made : NAN),
                     "beside", (int)r->beside, "score_beside",
                     out_number(r->beside ? r->score_beside / r->beside : NAN), "line",
                     out_number(r->beside ? r->line / r->beside : NAN), "width",
                     out_number(record_scale(r)));
}

json_t *show_forecasts(const struct live_room *live)
{
    const struct state *s = &live->state;

    return json_pack("{s:s,s:[o,o,o]}", "type", "forecasts", "forecasts",
                     out_record("level", &s->levels), out_record("draw", &s->draws),
                     out_record("strength", &s->strengths));
}

#define NAMES(list, n, of)                                                                         \
    do {                                                                                           \
        for (size_t i_ = 0; i_ < (n); i_++) {                                                      \
            json_array_append_new((list), json_string((of)[i_].name));                             \
        }                                                                                          \
    } while (0)

static int by_number(const void *pa, const void *pb)
{
    const int64_t *a = pa;
    const int64_t *b = pb;

    return ORDER(*a, *b);
}

static void list_tasks(const struct live_room *live, json_t *list)
{
    int64_t *id = mem_array(live->agenda.n, sizeof *id);

    for (size_t i = 0; i < live->agenda.n; i++) {
        id[i] = live->agenda.task[i].id;
    }
    qsort(id, live->agenda.n, sizeof *id, by_number);
    for (size_t i = 0; i < live->agenda.n; i++) {
        json_array_append_new(list, out_id(id[i]));
    }
    free(id);
}

json_t *show_things(const struct live_room *live)
{
    const struct room *room = &live->room;
    json_t *containers = json_array();
    json_t *products = json_array();
    json_t *recipes = json_array();
    json_t *meters = json_array();
    json_t *crops = json_array();
    json_t *tasks = json_array();

    NAMES(containers, room->n_containers, room->container);
    NAMES(products, room->n_products, room->product);
    NAMES(recipes, room->n_recipes, room->recipe);
    NAMES(meters, room->n_meters, room->meter);
    NAMES(crops, room->n_crops, room->crop);
    list_tasks(live, tasks);
    return json_pack("{s:s,s:{s:o,s:o,s:o,s:o,s:o,s:o}}", "type", "things", "things", "tasks",
                     tasks, "containers", containers, "products", products, "recipes", recipes,
                     "meters", meters, "crops", crops);
}
