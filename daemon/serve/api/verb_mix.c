/* What would a mix be? Nothing here changes the room. */
#include "daemon/core/tell/mix_answer.h"
#include "daemon/serve/api/shapes.h"
#include "daemon/serve/api/verbs.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static int read_quantity(struct call *c, const char *key, enum quantity q, double *out,
                         struct err *e)
{
    const char *text = rpc_text(&c->req, key);

    *out = NAN;
    if (text && quantity_parse(q, text, out, e) < 0) {
        (void)snprintf(e->field, sizeof e->field, "%s", key);
        return e->code;
    }
    return 0;
}

/* "12 L@1.4 mS/cm" */
static int read_body(const char *text, struct liquid *out, struct err *e)
{
    const char *at = strchr(text, '@');
    char volume[32];
    int rc;

    if (!at || (size_t)(at - text) >= sizeof volume) {
        return err_field(e, ERR_SYNTAX, "pour", "'%.40s' is no litres and strength: 12L@1.4mS/cm",
                         text);
    }
    (void)snprintf(volume, sizeof volume, "%.*s", (int)(at - text), text);
    rc = quantity_parse(QUANTITY_VOLUME, volume, &out->volume_l, e);
    if (rc == 0) {
        rc = quantity_parse(QUANTITY_EC, at + 1, &out->ec_ms_cm, e);
    }
    if (rc < 0) {
        (void)snprintf(e->field, sizeof e->field, "pour");
    }
    return rc;
}

static int read_poured(struct call *c, struct mix_question *q, struct err *e)
{
    const json_t *list = rpc_part(&c->req, "pour");
    size_t i;
    const json_t *item;

    if (json_array_size(list) > MIX_ANSWER_POURED_MAX) {
        return err_field(e, ERR_RANGE, "pour", "at most %d bodies are poured together",
                         MIX_ANSWER_POURED_MAX);
    }
    json_array_foreach(list, i, item)
    {
        if (!json_is_string(item)) {
            return err_field(e, ERR_SYNTAX, "pour", "give each as text, \"12 L@1.4 mS/cm\"");
        }
        if (read_body(json_string_value(item), &q->poured[q->n_poured++], e) < 0) {
            return e->code;
        }
    }
    return 0;
}

static int read_names(struct call *c, struct mix_question *q, struct err *e)
{
    const struct room *room = &c->s->live.room;
    const char *recipe = rpc_text(&c->req, "recipe");
    const char *crop = rpc_text(&c->req, "crop");
    struct subject s = {0};

    q->recipe = q->crop = -1;
    if (recipe) {
        if (room_lookup(room, recipe, &s, e) < 0) {
            return e->code;
        }
        if (s.kind != SUBJECT_RECIPE) {
            return err_field(e, ERR_UNKNOWN, "recipe", "'%s' is not a recipe", recipe);
        }
        q->recipe = (int)s.at;
    }
    if (crop) {
        q->crop = room_find_crop(room, crop);
        if (q->crop < 0) {
            return err_field(e, ERR_UNKNOWN, "crop", "the room has no crop '%.40s'", crop);
        }
    }
    return 0;
}

static json_t *out_portions(const struct room *room, const struct mix_question *q,
                            const struct mix_answer *a)
{
    json_t *list = json_array();

    for (size_t i = 0; i < a->n_portions; i++) {
        const struct product *p = &room->product[room->recipe[q->recipe].dose[i].product];
        const struct portion *amount = &a->portion[i];

        json_array_append_new(list, json_pack("{s:s,s:o,s:s,s:s,s:i,s:o}", "product", p->name,
                                              "amount", out_number(amount->product), "unit",
                                              p->kind == PRODUCT_DRY ? "g" : "mL", "tool",
                                              tool_words[amount->tool], "thin", amount->thin,
                                              "measure", out_number(amount->amount)));
    }
    return list;
}

static json_t *out_notes(const struct mix_answer *a)
{
    json_t *list = json_array();

    for (size_t i = 0; i < a->n_notes; i++) {
        json_array_append_new(list, json_string(a->note[i]));
    }
    return list;
}

static json_t *out_answer(const struct room *room, const struct mix_question *q,
                          const struct mix_answer *a)
{
    const struct crop *crop = q->crop < 0 ? NULL : &room->crop[q->crop];
    int stage = crop ? mix_answer_stage(crop, q->recipe, a->result.ec_ms_cm) : 0;

    return json_pack("{s:s,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o}", "kind",
                     mix_answer_words[a->kind], "recipe",
                     q->recipe < 0 ? json_null() : json_string(room->recipe[q->recipe].name),
                     "crop", crop ? json_string(crop->name) : json_null(), "stage",
                     crop ? json_string(crop->stage[stage].name) : json_null(), "volume_l",
                     out_number(a->result.volume_l), "ec_ms_cm", out_number(a->result.ec_ms_cm),
                     "water_l", out_number(a->water_l), "hard_l", out_number(a->hard_l), "doses",
                     out_portions(room, q, a), "off_pct", out_number(100 * a->off_frac), "feed",
                     out_feed(&a->feed, crop, stage), "estimate_ms_cm",
                     out_number(a->estimate_ms_cm), "estimate_off_pct",
                     out_number(100 * a->estimate_off), "notes", out_notes(a));
}

json_t *answer_mix(struct call *c, struct err *e)
{
    static const struct {
        const char *key;
        enum quantity quantity;
        size_t offset;
    } figures[] = {
        {"volume", QUANTITY_VOLUME, offsetof(struct mix_question, volume_l)   },
        {"ec",     QUANTITY_EC,     offsetof(struct mix_question, ec_ms_cm)   },
        {"from",   QUANTITY_EC,     offsetof(struct mix_question, from_ms_cm) },
        {"water",  QUANTITY_EC,     offsetof(struct mix_question, water_ms_cm)},
        {"hard",   QUANTITY_EC,     offsetof(struct mix_question, hard_ms_cm) },
    };
    const struct live_room *live = &c->s->live;
    struct mix_question q = {0};
    struct mix_answer a = {0};
    int rc = read_names(c, &q, e);

    for (size_t i = 0; i < sizeof figures / sizeof *figures && rc == 0; i++) {
        rc = read_quantity(c, figures[i].key, figures[i].quantity,
                           (double *)(void *)((char *)&q + figures[i].offset), e);
    }
    if (rc == 0) {
        rc = read_poured(c, &q, e);
    }
    if (rc == 0) {
        rc = mix_answer_reckon(&live->room, &live->state, &q, &a, e);
    }
    return rc < 0 ? NULL : out_answer(&live->room, &q, &a);
}
