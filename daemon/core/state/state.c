#include "daemon/core/state/state.h"

#include "daemon/base/mem.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const char *const condition_words[] = {"idle", "drawdown", "on float", NULL};

/* What is believed of a recipe before any mix was measured, and of an acid before any dose. */
#define GAIN_SD_FRAC      0.10
#define GUESS_SD_FRAC     0.15 /* where the EC was estimated */
#define GAIN_DRIFT_FRAC   0.005
#define PER_PH_DRIFT_FRAC 0.03

void state_init(struct state *s, const struct room *room)
{
    memset(s, 0, sizeof *s);
    s->n_containers = room->n_containers;
    s->n_products = room->n_products;
    s->n_meters = room->n_meters;
    s->container = mem_array(s->n_containers, sizeof *s->container);
    s->product = mem_array(s->n_products, sizeof *s->product);
    s->meter = mem_array(s->n_meters, sizeof *s->meter);
    s->n_recipes = room->n_recipes;
    s->recipe = mem_array(s->n_recipes, sizeof *s->recipe);
    for (size_t i = 0; i < s->n_recipes; i++) {
        const struct recipe *r = &room->recipe[i];
        double sd = r->ec_gain_ms_cm * (r->ec_estimated ? GUESS_SD_FRAC : GAIN_SD_FRAC);

        s->recipe[i].gain = learned_from(r->ec_gain_ms_cm, sd, GAIN_DRIFT_FRAC);
    }
    for (size_t i = 0; i < s->n_containers; i++) {
        s->container[i].crop = -1;
        s->container[i].appetite = 1;
        s->container[i].drift = ph_drift_of_plant();
    }
    for (size_t i = 0; i < s->n_products; i++) {
        s->product[i].left = room->product[i].stock;
        for (int in = 0; in < TITRATED_N; in++) {
            s->product[i].per_ph[in] = learned_from(0, INFINITY, PER_PH_DRIFT_FRAC);
        }
    }
    for (size_t i = 0; i < s->n_meters; i++) {
        s->meter[i].slope_pct = NAN;
        s->meter[i].offset_mv = NAN;
    }
    s->reservoir.recipe = -1;
    s->factor = belief_room();
    s->drift = ph_drift_room();
}

void state_deinit(struct state *s)
{
    for (size_t i = 0; i < s->n_meters; i++) {
        free(s->meter[i].calibrated);
    }
    free(s->container);
    free(s->product);
    free(s->meter);
    free(s->recipe);
    free(s->aside);
    free(s->hold);
    memset(s, 0, sizeof *s);
}

void state_copy(struct state *to, const struct state *from)
{
    *to = *from;
    to->container = mem_copy(from->container, from->n_containers, sizeof *from->container);
    to->product = mem_copy(from->product, from->n_products, sizeof *from->product);
    to->meter = mem_copy(from->meter, from->n_meters, sizeof *from->meter);
    to->recipe = mem_copy(from->recipe, from->n_recipes, sizeof *from->recipe);
    for (size_t i = 0; i < to->n_meters; i++) {
        struct meter_state *m = &to->meter[i];

        m->calibrated = mem_copy(m->calibrated, m->n_calibrated, sizeof *m->calibrated);
        m->cap_calibrated = m->n_calibrated;
    }
    to->aside = mem_copy(from->aside, from->n_asides, sizeof *from->aside);
    to->cap_asides = from->n_asides;
    to->hold = mem_copy(from->hold, from->n_holds, sizeof *from->hold);
    to->cap_holds = from->hold ? from->n_holds : 0;
}
