#include "daemon/serve/api/params.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/base/suggest.h"
#include "daemon/core/room/ruler.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool is_dry(const struct room *room, const char *product)
{
    struct subject s = room_find(room, product);

    return s.kind == SUBJECT_PRODUCT && room->product[s.at].kind == PRODUCT_DRY;
}

/* A level off a ruler, "14.5 cm". */
static int read_height(const struct room *room, double height_m, const char *vessel, double *out_l,
                       struct err *e)
{
    struct ruler scale;
    double volume_l;

    if (!vessel) {
        return err_set(e, ERR_SYNTAX,
                       "a ruler stands in one vessel: name it before, as in %s volume=…",
                       room->n_containers ? room->container[0].name : "reservoir");
    }
    if (!ruler_of(room, room_find(room, vessel), &scale)) {
        return err_set(e, ERR_REFUSED,
                       "the room file gives %s no height, so tell its litres; with '%s' in it a "
                       "ruler serves",
                       vessel, strcmp(vessel, "reservoir") == 0 ? "full_height" : "start_height");
    }
    volume_l = ruler_volume_l(&scale, height_m);
    if (!(volume_l >= 0)) {
        return err_set(e, ERR_RANGE, "%.4g cm lie below the floor of %s, by its scale",
                       100 * height_m, vessel);
    }
    *out_l = volume_l;
    return 0;
}

/* Text with a unit under the figure's word, a number in the unit inside under its key. */
static int read_figure(const struct room *room, const char *name, const json_t *value, int f,
                       const char *vessel, struct told *t, struct err *e)
{
    const struct figure_def *d = &figure_defs[f];
    enum quantity q = f == FIGURE_AMOUNT && is_dry(room, t->subject) ? QUANTITY_DRY : d->quantity;
    double height_m;
    double v = 0;
    int rc = 0;

    if (f == FIGURE_VOLUME_L && json_is_string(value) && strcmp(name, d->word) == 0 &&
        quantity_parse(QUANTITY_LENGTH, json_string_value(value), &height_m, NULL) == 0) {
        rc = read_height(room, height_m, *t->subject ? t->subject : vessel, &v, e);
    } else if (json_is_string(value) && strcmp(name, d->word) == 0) {
        rc = quantity_parse(q, json_string_value(value), &v, e);
    } else if (json_is_number(value) && strcmp(name, d->key) == 0) {
        v = json_number_value(value);
    } else {
        rc = err_set(e, ERR_SYNTAX, "give '%s' as text with its unit, or '%s' as a number", d->word,
                     d->key);
    }
    if (rc < 0) {
        (void)snprintf(e->field, sizeof e->field, "%s", d->word);
        return rc;
    }
    if (t->has & FIGURE_BIT(f)) {
        return err_field(e, ERR_SYNTAX, d->word, "'%s' is told twice", d->word);
    }
    t->has |= FIGURE_BIT(f);
    t->figure[f] = v;
    return 0;
}

/* What stands before the '=' is a figure, or a product of the room. */
static int unknown_amount(const struct room *room, const char *word, struct err *e)
{
    size_t n = FIGURE_N + room->n_products;
    const char **known = mem_array(n, sizeof *known);
    char tail[SUGGEST_TEXT_MAX];
    int rc;

    for (int f = 0; f < FIGURE_N; f++) {
        known[f] = figure_defs[f].word;
    }
    for (size_t i = 0; i < room->n_products; i++) {
        known[FIGURE_N + i] = room->product[i].name;
    }
    rc = err_set(e, ERR_UNKNOWN, "'%.40s' is neither a figure nor a product of the room%s", word,
                 suggest_tail(tail, word, known, n,
                              "; a figure is volume=9L, ec=1.4mS/cm, ph=5.8 or temp=21C"));
    free(known);
    return rc;
}

static int read_amount(const struct room *room, const char *product, const json_t *value,
                       struct told *t, struct err *e)
{
    struct amount *a = &t->amount[t->n_amounts];
    struct subject s;
    int rc = 0;

    s = room_find(room, product);
    if (s.kind == SUBJECT_NONE) {
        rc = unknown_amount(room, product, e);
    } else if (s.kind != SUBJECT_PRODUCT) {
        rc = err_set(e, ERR_UNKNOWN, "'%s' is not a product", product);
    }
    if (rc == 0 && t->n_amounts == ROOM_DOSES_MAX) {
        rc = err_set(e, ERR_RANGE, "at most %d products are told at once", ROOM_DOSES_MAX);
    }
    if (rc == 0 && json_is_string(value)) {
        rc = quantity_parse(is_dry(room, product) ? QUANTITY_DRY : QUANTITY_LIQUID,
                            json_string_value(value), &a->amount, e);
    } else if (rc == 0 && json_is_number(value)) {
        a->amount = json_number_value(value);
    } else if (rc == 0) {
        rc = err_set(e, ERR_SYNTAX, "the amount of %s is text with its unit, or a number", product);
    }
    if (rc < 0) {
        (void)snprintf(e->field, sizeof e->field, "%.47s", product);
        return rc;
    }
    (void)snprintf(a->product, sizeof a->product, "%s", product);
    t->n_amounts++;
    return 0;
}

static int unknown_figure(const char *name, struct err *e)
{
    const char *known[FIGURE_N + 2] = {"what", "amounts"};
    char tail[SUGGEST_TEXT_MAX];

    for (int f = 0; f < FIGURE_N; f++) {
        known[f + 2] = figure_defs[f].word;
    }
    return err_field(e, ERR_UNKNOWN, "figures", "there is no figure '%.40s'%s", name,
                     suggest_tail(tail, name, known, FIGURE_N + 2, ""));
}

static int read_word(const json_t *value, struct told *t, struct err *e)
{
    if (!json_is_string(value) || strlen(json_string_value(value)) > ENTRY_WORD_MAX) {
        return err_field(e, ERR_SYNTAX, "what", "'what' is a word of at most %d bytes",
                         ENTRY_WORD_MAX);
    }
    (void)snprintf(t->what, sizeof t->what, "%s", json_string_value(value));
    return 0;
}

static int read_amounts(const struct room *room, json_t *value, struct told *t, struct err *e)
{
    const char *product;
    json_t *amount;
    int rc = json_is_object(value)
                 ? 0
                 : err_field(e, ERR_SYNTAX, "amounts", "'amounts' is an object of product: amount");

    if (rc == 0) {
        json_object_foreach(value, product, amount)
        {
            rc = read_amount(room, product, amount, t, e);
            if (rc < 0) {
                break;
            }
        }
    }
    return rc;
}

int told_read(const struct room *room, const char *subject, const json_t *figures,
              struct told_list *out, struct err *e)
{
    struct told t = {0};
    const char *name;
    json_t *value;
    int rc = 0;

    if (strlen(subject) > NAME_LEN_MAX) {
        return err_field(e, ERR_UNKNOWN, "subjects", "the room has no '%.40s…'", subject);
    }
    (void)snprintf(t.subject, sizeof t.subject, "%s", subject);
    json_object_foreach((json_t *)(uintptr_t)figures, name, value)
    {
        int f = figure_find(name);

        if (strcmp(name, "what") == 0) {
            rc = read_word(value, &t, e);
        } else if (strcmp(name, "amounts") == 0) {
            rc = read_amounts(room, value, &t, e);
        } else if (f >= 0) {
            rc = read_figure(room, name, value, f, out->vessel, &t, e);
        } else {
            rc = unknown_figure(name, e);
        }
        if (rc < 0) {
            return rc;
        }
    }
    out->told = mem_grow(out->told, &out->cap, out->n + 1, sizeof *out->told);
    out->told[out->n++] = t;
    return 0;
}

int told_read_subjects(const struct room *room, const json_t *subjects, struct told_list *out,
                       struct err *e)
{
    const char *name;
    json_t *figures;
    int rc = 0;

    json_object_foreach((json_t *)(uintptr_t)subjects, name, figures)
    {
        rc = json_is_object(figures) ? told_read(room, name, figures, out, e)
                                     : err_field(e, ERR_SYNTAX, "subjects",
                                                 "the figures of '%.40s' are an object", name);
        if (rc < 0) {
            return rc;
        }
    }
    return 0;
}

void told_list_deinit(struct told_list *l)
{
    free(l->told);
    *l = (struct told_list){0};
}
