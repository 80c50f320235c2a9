/* a_room.h - a small invented room for tests: three tubs of a fruiting crop and one of a leafy one.
 */
#ifndef TARN_TESTS_A_ROOM_H
#define TARN_TESTS_A_ROOM_H

#include "daemon/base/mem.h"
#include "daemon/core/room/entry.h"
#include "daemon/core/room/room.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { A1, A2, A3, L1, A_ROOM_CONTAINERS };
enum { CALCIUM_PART, SULFATE_PART, SALT, PH_DOWN, A_ROOM_PRODUCTS };
enum { LEAF_FEED, FRUIT };
enum { VINE, LEAF };

#define DAY_S 86400LL

/* Day 0 of the tests is 2026-03-01; times are UTC. */
static inline int64_t at(int day, int hour)
{
    return (20513LL + day) * DAY_S + hour * 3600LL;
}

/* Writes a name into an array of so many bytes. */
static inline void name_it(char *to, size_t len, const char *name)
{
    (void)snprintf(to, len, "%s", name);
}

/* A stage of a crop from a day on, with its target EC in mS/cm. */
static inline struct stage a_stage(const char *name, double from_day, double ec, size_t recipe)
{
    struct stage s = {.from_day = from_day,
                      .ec_ms_cm = ec,
                      .ph_min = 5.5,
                      .ph_max = 6.5,
                      .uptake_ms_cm = ec,
                      .life_min_day = 7,
                      .life_max_day = 14,
                      .bump_frac = 0.7,
                      .spent_frac = 0.6,
                      .recipe_at = recipe};

    name_it(s.name, sizeof s.name, name);
    name_it(s.recipe, sizeof s.recipe, recipe == LEAF_FEED ? "leaf" : "fruit");
    return s;
}

/* A crop of two stages, drinking most_l_day at its height. */
static inline struct crop a_crop(const char *name, double most_l_day, double half_day,
                                 double spread)
{
    struct crop c = {
        .use = {most_l_day, half_day, spread},
        .start_ec_ms_cm = 0.7,
        .step_ec_ms_cm = 0.4,
        .harvest_day = 120,
        .harvest_window_day = 7,
        .n_stages = 2
    };

    name_it(c.name, sizeof c.name, name);
    c.stage[0] = a_stage("young", 0, 1.0, LEAF_FEED);
    c.stage[1] = a_stage("fruiting", 45, 1.8, FRUIT);
    return c;
}

/* A tub of 18 L with its float at 8 L, planted from day 0 on. */
static inline struct container a_container(const char *name, size_t crop)
{
    struct container c = {.start_volume_l = 18,
                          .float_volume_l = 8,
                          .remainder_l = 0.5,
                          .crop = crop,
                          .start_on = 20513,
                          .replant = true};

    name_it(c.name, sizeof c.name, name);
    return c;
}

/* A product of so many mL or g, to be ordered again at 500. */
static inline struct product a_product(const char *name, enum product_kind kind, double stock)
{
    struct product p = {.kind = kind, .stock = stock, .reorder_at = 500};

    name_it(p.name, sizeof p.name, name);
    return p;
}

/* 4 mL/L of calcium-part and 2 mL/L of sulfate-part give 2.0 mS/cm. */
static inline struct recipe a_recipe(const char *name)
{
    struct recipe r = {.n_doses = 2, .ec_gain_ms_cm = 2.0};

    name_it(r.name, sizeof r.name, name);
    r.dose[0] = (struct dose){CALCIUM_PART, 4};
    r.dose[1] = (struct dose){SULFATE_PART, 2};
    return r;
}

/* The caller ends it with room_deinit. */
static inline struct room a_room(void)
{
    struct room r = {
        .day_start_s = 7 * 3600, .tolerance_pct = 10, .ballast_pct = 30, .units.both = true};

    name_it(r.name, sizeof r.name, "back room");
    name_it(r.zone_name, sizeof r.zone_name, "UTC");
    r.source = (struct source_water){
        .ec_ms_cm = 0.05, .ph = 6.8, .alkalinity_mg_l = NAN, .rate_l_h = 8, .stored_l = 100};
    r.reservoir = (struct reservoir){.capacity_l = 100,
                                     .remainder_l = 5,
                                     .low_l = 25,
                                     .ph_target = 5.8,
                                     .ph_tolerance = 0.3,
                                     .cans_l = 1000,
                                     .line_loss_l = 2,
                                     .flow_l_min = 4};
    for (int d = 0; d < 7; d++) {
        r.labour.budget_min[d] = 120;
    }
    r.labour.visit_min = 10;
    r.labour.changeover_min = 25;
    r.labour.load_min = 15;
    r.labour.change_min = 6;
    r.labour.start_min = 10;
    r.labour.bump_min = r.labour.check_min = r.labour.read_min = r.labour.ph_min = 3;
    r.labour.fill_min = r.labour.calibrate_min = 10;
    r.labour.care_min = r.labour.reorder_min = 2;
    r.labour.harvest_min = 15;
    r.care_every_day[CARE_READ] = 7;
    r.care_every_day[CARE_FLOAT] = 14;
    r.care_every_day[CARE_FILTER] = 30;

    r.measures = (struct measures){.syringe_ml = 20,
                                   .syringe_step_ml = 0.2,
                                   .cylinder_ml = 250,
                                   .cylinder_step_ml = 2,
                                   .scale_step_g = 0.1};

    r.product = mem_array(A_ROOM_PRODUCTS, sizeof *r.product);
    r.product[r.n_products++] = a_product("calcium-part", PRODUCT_LIQUID, 5000);
    r.product[r.n_products++] = a_product("sulfate-part", PRODUCT_LIQUID, 5000);
    r.product[r.n_products++] = a_product("salt", PRODUCT_DRY, 1000);
    r.product[r.n_products++] = a_product("ph-down", PRODUCT_ACID, 1000);
    r.recipe = mem_array(2, sizeof *r.recipe);
    r.recipe[r.n_recipes++] = a_recipe("leaf");
    r.recipe[r.n_recipes++] = a_recipe("fruit");
    r.crop = mem_array(2, sizeof *r.crop);
    r.crop[r.n_crops++] = a_crop("vine", 2.0, 40, 7);
    r.crop[r.n_crops++] = a_crop("leaf", 0.3, 25, 6);
    for (size_t c = 0; c < r.n_crops; c++) {
        for (size_t k = 0; k < r.crop[c].n_stages; k++) {
            r.crop[c].stage[k].recipe_at = k == 0 ? LEAF_FEED : FRUIT;
        }
    }
    r.container = mem_array(A_ROOM_CONTAINERS, sizeof *r.container);
    r.container[r.n_containers++] = a_container("A1", VINE);
    r.container[r.n_containers++] = a_container("A2", VINE);
    r.container[r.n_containers++] = a_container("A3", VINE);
    r.container[r.n_containers++] = a_container("L1", LEAF);
    r.meter = mem_array(2, sizeof *r.meter);
    name_it(r.meter[0].name, sizeof r.meter[0].name, "ph-pen");
    r.meter[0].kind = METER_PH;
    r.meter[0].calibrate_every_day = 14;
    name_it(r.meter[1].name, sizeof r.meter[1].name, "ec-pen");
    r.meter[1].kind = METER_EC;
    r.meter[1].calibrate_every_day = 30;
    r.n_meters = 2;
    if (room_index(&r, NULL) < 0) {
        (void)fputs("the test room has two things of one name\n", stderr);
    }
    return r;
}

/* A report on the source's water: alkalinity (meq/L; NaN = there is none) and pH. */
static inline void report_water(struct room *r, double meq_l, double ph)
{
    r->source.alkalinity_mg_l = 50.04 * meq_l; /* as CaCO3: 100.09 g/mol, of two charges */
    r->source.ph = ph;
}

/* A bottle of an acid or base, so many mol in a mL, with what that brings on its label, as
 * config/read/ reads it. */
static inline void label_bottle(struct room *r, size_t product, enum reagent is, double mol_ml)
{
    struct product *p = &r->product[product];

    p->kind = is == REAGENT_NONE || reagent_is_acid(is) ? PRODUCT_ACID : PRODUCT_BASE;
    p->reagent = is;
    p->mol_ml = mol_ml;
    p->contents = (struct nutrients){0};
    if (is != REAGENT_NONE) {
        struct nutrients mg_mol = reagent_nutrients_mg_mol(is);

        nutrients_add(&p->contents, &mg_mol, mol_ml);
    }
}

/* An entry that was told when it happened; `what` may be "". */
static inline struct entry told_at(enum entry_kind kind, const char *subject, const char *what,
                                   int64_t t_s)
{
    struct entry e = entry_of(kind, subject, t_s, t_s);

    name_it(e.what, sizeof e.what, what);
    return e;
}

/* The same entry with one more figure. */
static inline struct entry with(struct entry e, enum figure f, double value)
{
    entry_set(&e, f, value);
    return e;
}

/* The same entry with so much of a product in it besides, mL or g. */
static inline struct entry with_amount(struct entry e, const char *product, double amount)
{
    name_it(e.amount[e.n_amounts].product, sizeof e.amount[0].product, product);
    e.amount[e.n_amounts++].amount = amount;
    return e;
}

#endif
