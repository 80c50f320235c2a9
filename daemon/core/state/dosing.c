#include "daemon/core/state/dosing.h"

#include "daemon/core/chem/ions.h"
#include "daemon/core/model/solution.h"

#include <math.h>
#include <stdio.h>

#define BEND_OFF_MOST 0.225 /* of ions_ec_off_frac: a quarter of the charges is made up */
#define SHARE_ROUNDS  40
#define SHARE_TOL     1e-11
#define SCALE_ROUNDS  6
#define SHARE_MOST    1e3 /* of the full dose */

double dosing_base_ec(const struct room *room, const struct state *s)
{
    const struct reservoir_state *r = &s->reservoir;

    return r->at_s && !r->holds_mix && r->body.volume_l > 0 ? r->body.ec_ms_cm
                                                            : room->source.ec_ms_cm;
}

double dosing_mix_base_ec(const struct room *room, const struct state *s, size_t recipe,
                          double volume_l)
{
    const struct reservoir_state *r = &s->reservoir;
    double base_ec = dosing_base_ec(room, s);

    bool fed = room_feeds(room) && !r->holds_mix && r->at_s;
    bool rest = r->holds_mix && r->recipe == (int)recipe;

    if (!(fed || rest) || !(volume_l > r->body.volume_l)) {
        return base_ec;
    }
    base_ec = room->source.ec_ms_cm;
    return solution_mix(r->body, (struct liquid){volume_l - r->body.volume_l, base_ec, base_ec})
        .ec_ms_cm;
}

/* How the strength of a recipe follows its dose. */
struct bend {
    bool known;
    struct ions full; /* of the full dose in pure water */
    double gain_ms_cm;
    double scale; /* what the room's meter shows for each mS/cm of the ions */
};

/* mS/cm by the ions, of a share of the full dose. */
static double strength_of(const struct bend *b, double share)
{
    struct ions part = b->full;

    for (int i = 0; i < ION_COUNT; i++) {
        part.mmol_l[i] *= share;
    }
    return ions_ec_ms_cm(&part);
}

/* The share that has a strength by the ions. It is nearly in proportion, so that each round leaves
 * about a tenth of what was off. */
static double share_with(const struct bend *b, double ec_ms_cm)
{
    double share = ec_ms_cm / strength_of(b, 1);

    for (int i = 0; i < SHARE_ROUNDS && share > 0 && share < SHARE_MOST; i++) {
        double off = ec_ms_cm / strength_of(b, share);

        share *= off;
        if (fabs(off - 1) < SHARE_TOL) {
            break;
        }
    }
    return fmax(0, share);
}

/* What was learned is what the full dose adds to the source's water: the scale is set by that, and
 * the source's share by the scale. */
static void set_scale(struct bend *b, double source_ms_cm)
{
    b->scale = b->gain_ms_cm / strength_of(b, 1);
    for (int i = 0; i < SCALE_ROUNDS; i++) {
        double source = share_with(b, fmax(0, source_ms_cm) / b->scale);
        double before = b->scale;

        b->scale = b->gain_ms_cm / (strength_of(b, source + 1) - strength_of(b, source));
        if (fabs(b->scale / before - 1) < SHARE_TOL) {
            break;
        }
    }
}

static struct bend bend_of(const struct room *room, const struct state *s, size_t recipe)
{
    const struct recipe *r = &room->recipe[recipe];
    struct bend b = {.gain_ms_cm = s->recipe[recipe].gain.value};
    struct nutrients full = {0};

    b.known = r->n_doses > 0 && b.gain_ms_cm > 0;
    for (size_t i = 0; i < r->n_doses; i++) {
        const struct nutrients *contents = &room->product[r->dose[i].product].contents;

        b.known = b.known && !nutrients_none(contents);
        nutrients_add(&full, contents, r->dose[i].per_l);
    }
    b.known = b.known && ions_ec_off_frac(&full) <= BEND_OFF_MOST;
    if (b.known) {
        b.full = ions_of_nutrients(&full);
        set_scale(&b, room->source.ec_ms_cm);
    }
    return b;
}

/* Of the full dose, the share that adds this much. */
static double dose_share(const struct room *room, const struct state *s, size_t recipe,
                         double from_ms_cm, double gain_ms_cm)
{
    struct bend b = bend_of(room, s, recipe);
    double from = fmax(0, from_ms_cm);

    if (!b.known || !(gain_ms_cm > 0)) {
        return solution_dose(gain_ms_cm, 0, b.gain_ms_cm);
    }
    return share_with(&b, (from + gain_ms_cm) / b.scale) - share_with(&b, from / b.scale);
}

struct dosing_rise dosing_fill_rise(const struct room *room, struct liquid held, double added_l)
{
    struct liquid added = {added_l, room->source.ec_ms_cm, room->source.ec_ms_cm};
    struct liquid all = solution_mix(held, added);

    return (struct dosing_rise){all.volume_l, all.ec_ms_cm,
                                fmax(0, room->reservoir.feed_ms_cm - all.ec_ms_cm)};
}

double dosing_gain_frac(const struct room *room, const struct state *s, size_t recipe,
                        double from_ms_cm, double share)
{
    struct bend b = bend_of(room, s, recipe);
    double from;

    if (!b.known) {
        return share;
    }
    from = share_with(&b, fmax(0, from_ms_cm) / b.scale);
    return (strength_of(&b, from + share) - strength_of(&b, from)) * b.scale / b.gain_ms_cm;
}

size_t dosing_amounts(const struct room *room, const struct state *s, size_t recipe,
                      double volume_l, double ec_gain_ms_cm, struct amount out[ROOM_DOSES_MAX])
{
    const struct recipe *r = &room->recipe[recipe];
    double share = dose_share(room, s, recipe, dosing_base_ec(room, s), ec_gain_ms_cm);

    for (size_t i = 0; i < r->n_doses; i++) {
        (void)snprintf(out[i].product, sizeof out[i].product, "%s",
                       room->product[r->dose[i].product].name);
        out[i].amount = volume_l * share * r->dose[i].per_l;
    }
    return r->n_doses;
}

size_t dosing_portions(const struct room *room, const struct state *s, size_t recipe,
                       const struct dosing_rise *rise, struct portion out[ROOM_DOSES_MAX])
{
    const struct recipe *r = &room->recipe[recipe];
    double share = dose_share(room, s, recipe, rise->from_ms_cm, rise->gain_ms_cm);

    for (size_t i = 0; i < r->n_doses; i++) {
        bool dry = room->product[r->dose[i].product].kind == PRODUCT_DRY;

        out[i] = portion_of(&room->measures, dry, rise->volume_l * share * r->dose[i].per_l);
    }
    return r->n_doses;
}

double dosing_off_frac(const struct portion *portion, size_t n)
{
    double worst = 0;

    for (size_t i = 0; i < n; i++) {
        worst = fmax(worst, fabs(portion[i].off_frac));
    }
    return worst;
}

size_t dosing_as_amounts(const struct room *room, size_t recipe, const struct portion *portion,
                         size_t n, struct amount out[ROOM_DOSES_MAX])
{
    for (size_t i = 0; i < n; i++) {
        (void)snprintf(out[i].product, sizeof out[i].product, "%s",
                       room->product[room->recipe[recipe].dose[i].product].name);
        out[i].amount = portion[i].product;
    }
    return n;
}

struct nutrients dosing_feed(const struct room *room, const struct state *s, size_t recipe,
                             double ec_gain_ms_cm)
{
    return dosing_feed_from(room, s, recipe, dosing_base_ec(room, s), ec_gain_ms_cm);
}

struct nutrients dosing_feed_from(const struct room *room, const struct state *s, size_t recipe,
                                  double from_ms_cm, double ec_gain_ms_cm)
{
    const struct recipe *r = &room->recipe[recipe];
    double share = dose_share(room, s, recipe, from_ms_cm, ec_gain_ms_cm);
    struct nutrients out = {0};

    for (size_t i = 0; i < r->n_doses; i++) {
        nutrients_add(&out, &room->product[r->dose[i].product].contents, share * r->dose[i].per_l);
    }
    return out;
}

struct nutrients dosing_brings(const struct room *room, const struct amount *amount, size_t n)
{
    struct nutrients out = {0};

    for (size_t i = 0; i < n; i++) {
        struct subject p = room_find(room, amount[i].product);

        if (p.kind == SUBJECT_PRODUCT) {
            nutrients_add(&out, &room->product[p.at].contents, amount[i].amount);
        }
    }
    return out;
}
