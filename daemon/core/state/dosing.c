#include "daemon/core/state/dosing.h"

#include "daemon/core/model/solution.h"

#include <math.h>
#include <stdio.h>

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

    if (!r->holds_mix || r->recipe != (int)recipe || !(volume_l > r->body.volume_l)) {
        return base_ec;
    }
    return solution_mix(r->body, (struct liquid){volume_l - r->body.volume_l, base_ec, base_ec})
        .ec_ms_cm;
}

/* Of the full dose, the share that adds this much, by what was learned of the recipe. */
static double dose_share(const struct state *s, size_t recipe, double ec_gain_ms_cm)
{
    return solution_dose(ec_gain_ms_cm, 0, s->recipe[recipe].gain.value);
}

size_t dosing_amounts(const struct room *room, const struct state *s, size_t recipe,
                      double volume_l, double ec_gain_ms_cm, struct amount out[ROOM_DOSES_MAX])
{
    const struct recipe *r = &room->recipe[recipe];
    double share = dose_share(s, recipe, ec_gain_ms_cm);

    for (size_t i = 0; i < r->n_doses; i++) {
        (void)snprintf(out[i].product, sizeof out[i].product, "%s",
                       room->product[r->dose[i].product].name);
        out[i].amount = volume_l * share * r->dose[i].per_l;
    }
    return r->n_doses;
}

size_t dosing_portions(const struct room *room, const struct state *s, size_t recipe,
                       double volume_l, double ec_gain_ms_cm, struct portion out[ROOM_DOSES_MAX])
{
    const struct recipe *r = &room->recipe[recipe];
    double share = dose_share(s, recipe, ec_gain_ms_cm);

    for (size_t i = 0; i < r->n_doses; i++) {
        bool dry = room->product[r->dose[i].product].kind == PRODUCT_DRY;

        out[i] = portion_of(&room->measures, dry, volume_l * share * r->dose[i].per_l);
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
    const struct recipe *r = &room->recipe[recipe];
    double share = dose_share(s, recipe, ec_gain_ms_cm);
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
