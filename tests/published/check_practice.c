/* Facts of the trade, and plumbing.
 *
 * CP-...   Common practice, no source.
 * NU-EGRO  N. Mattson (Cornell) 2018, e-GRO Edible Alert 3(5), worked examples (read).
 * NU-WV    A label by weight and by volume: 4 % at a density of 1.20, 1 mL/L; recomputed.
 * HY-ORIF  Q = Cd A sqrt(2 g h), Cd 0.60 to 0.62 for a sharp edge (a calculator's page, read);
 *          examples recomputed by hand. */
#include "daemon/base/err.h"
#include "daemon/core/chem/balance.h"
#include "daemon/core/chem/gravity.h"
#include "daemon/core/tell/mix_answer.h"
#include "tests/published/check.h"
#include "tests/unit/a_room.h"

#include "config/read/room_read.h"

#include <stdlib.h>

#define CP "common practice, no source"

static double in_unit(enum quantity q, const char *text)
{
    double v = NAN;
    struct err e = {0};

    if (quantity_parse(q, text, &v, &e) < 0) {
        fail_msg("%s: %s", text, e.msg);
    }
    return v;
}

/* The rule as a room file has it: four concentrates, 1 mL/gal of each, 200 ppm on the 500 scale. */
static const char four_concentrates[] =
    "room: {name: shelf, zone: UTC}\n"
    "source_water: {ec: 0 ppm500, ph: 6.5, rate: 2 gal/h}\n"
    "reservoir: {capacity: 30 gal, remainder: 1 gal, low: 8 gal}\n"
    "products:\n"
    "  one: {kind: liquid}\n  two: {kind: liquid}\n  three: {kind: liquid}\n  four: {kind: "
    "liquid}\n"
    "recipes:\n"
    "  feed:\n"
    "    ec: 200 ppm500\n"
    "    doses:\n"
    "      - {product: one, dose: 1 mL/gal}\n"
    "      - {product: two, dose: 1 mL/gal}\n"
    "      - {product: three, dose: 1 mL/gal}\n"
    "      - {product: four, dose: 1 mL/gal}\n"
    "crops:\n"
    "  cress:\n"
    "    {drinks: 0.2 L, half_at: 14 days, spread: 4 days, start_ec: 0.4 mS/cm, step: 0.2 mS/cm,\n"
    "     harvest: 30 days, stages: [{name: only, from: 0 days, ec: 0.6 mS/cm, ph_min: 5.5,\n"
    "     ph_max: 6.5, uptake: 0.5 mS/cm, life_min: 7 days, life_max: 14 days, spent: 50 %,\n"
    "     recipe: feed}]}\n"
    "containers: {A1: {crop: cress, start_volume: 5 gal, float_volume: 2 gal, remainder: 0.2 "
    "gal}}\n";

static void five_gallons_take_five_millilitres_of_each(void **ctx)
{
    struct room_faults faults = {0};
    struct room room = {0};
    struct state s;
    struct mix_answer a;
    struct mix_question q = {.recipe = 0,
                             .crop = -1,
                             .volume_l = in_unit(QUANTITY_VOLUME, "5 gal"),
                             .ec_ms_cm = in_unit(QUANTITY_EC, "200 ppm500"),
                             .from_ms_cm = NAN,
                             .water_ms_cm = NAN,
                             .hard_ms_cm = NAN};

    (void)ctx;
    assert_int_equal(room_read_text("four.yaml", four_concentrates, strlen(four_concentrates), NULL,
                                    &room, &faults),
                     0);
    state_init(&s, &room);
    assert_int_equal(mix_answer_reckon(&room, &s, &q, &a, NULL), 0);
    assert_int_equal(a.n_portions, 4);
    for (size_t i = 0; i < 4; i++) {
        check_near("CP-4X1", CP ", mL in 5 gal", 5, a.portion[i].product, 1e-9);
    }
    state_deinit(&s);
    room_deinit(&room);
}

static void half_as_much_water_again_makes_two_thirds(void **ctx)
{
    double ppm500 = in_unit(QUANTITY_EC, "1 ppm500");
    struct liquid full =
        solution_mix((struct liquid){10, 300 * ppm500, 0}, (struct liquid){5, 0, 0});

    (void)ctx;
    check_near("CP-FILL", CP ", 300 ppm, + 50 %", 200, full.ec_ms_cm / ppm500, 1e-9);
    check_near("CP-FILL", "  the amount of nutrient stays", 10 * 300, full.ec_ms_cm / ppm500 * 15,
               1e-9);
}

static void low_ec_water_reads_near_nothing_and_tap_water_300(void **ctx)
{
    double ppm500 = in_unit(QUANTITY_EC, "1 ppm500");

    (void)ctx;
    check_near("CP-TAP", CP ", tap for 100 ppm", 1.0 / 3,
               solution_blend_share(100 * ppm500, 300 * ppm500, 0), 1e-9);
}

/* Low-EC water of pH 6.5 has next to no alkalinity, 2 mg/L; nutrients bring 1 mmol/L of
 * phosphate. */
static void nutrients_take_the_ph_down_by_about_one(void **ctx)
{
    struct dissolved w = {.alkalinity_meq_l = 2 / REAGENT_CACO3_MG_MEQ, .temp_c = 25};

    (void)ctx;
    w.carbonate_mmol_l = balance_carbonate_mmol_l(&w, 6.5);
    w.ions.mmol_l[ION_H2PO4] = w.ions.mmol_l[ION_K] = 1;
    check_near("CP-PH", CP ", pH 6.5 to", 5.5, balance_ph_closed(&w), 0.3);
}

static void fruit_is_grown_between_5_5_and_6_5(void **ctx)
{
    static const char *const fruiting[] = {"tomato", "pepper"};
    struct room_faults faults = {0};
    struct room room = {0};

    (void)ctx;
    assert_int_equal(room_read(TARN_SOURCE_DIR "/config/rooms/forty.yaml",
                               TARN_SOURCE_DIR "/config/crops", &room, &faults),
                     0);
    for (size_t i = 0; i < sizeof fruiting / sizeof *fruiting; i++) {
        const struct crop *c = &room.crop[room_find_crop(&room, fruiting[i])];

        for (size_t k = 0; k < c->n_stages; k++) {
            check_between("CP-PHR", CP ", lowest pH", 5.5, 6.5, c->stage[k].ph_min);
            check_between("CP-PHR", CP ", highest pH", 5.5, 6.5, c->stage[k].ph_max);
        }
    }
    room_deinit(&room);
}

/* What the room file's reader makes of a product's label: mg in a mL or a g. */
static struct nutrients of_label(const char *kind_and_label)
{
    char text[sizeof four_concentrates + 200];
    const char *at = strstr(four_concentrates, "{kind: liquid}");
    struct room_faults faults = {0};
    struct room room = {0};
    struct nutrients contents;

    (void)snprintf(text, sizeof text, "%.*s{kind: %s}%s", (int)(at - four_concentrates),
                   four_concentrates, kind_and_label, at + strlen("{kind: liquid}"));
    if (strncmp(kind_and_label, "dry", 3) == 0) {
        char *dose = strstr(text, "1 mL/gal"); /* in the recipe */

        dose[2] = ' ';
        dose[3] = 'g';
    }
    assert_int_equal(room_read_text("four.yaml", text, strlen(text), NULL, &room, &faults), 0);
    contents = room.product[0].contents;
    room_deinit(&room);
    return contents;
}

static double n_of_label(const char *kind_and_label)
{
    return of_label(kind_and_label).mg[NUTRIENT_NO3_N]; /* of 1 mL in a litre: mg/L */
}

/* mg/L in the full dose of the room's recipe: of a dry product so labelled and dosed. */
static struct nutrients solution_of(const char *contents, const char *dose)
{
    char text[sizeof four_concentrates + 200];
    const char *product = strstr(four_concentrates, "{kind: liquid}");
    const char *amount = strstr(four_concentrates, "1 mL/gal");
    struct room_faults faults = {0};
    struct room room = {0};
    struct nutrients feed;
    struct state s;

    (void)snprintf(text, sizeof text, "%.*s{kind: dry, contents: %s}%.*s%s%s",
                   (int)(product - four_concentrates), four_concentrates, contents,
                   (int)(amount - product - strlen("{kind: liquid}")),
                   product + strlen("{kind: liquid}"), dose, amount + strlen("1 mL/gal"));
    assert_int_equal(room_read_text("four.yaml", text, strlen(text), NULL, &room, &faults), 0);
    state_init(&s, &room);
    feed = dosing_feed(&room, &s, 0, s.recipe[0].gain.value);
    state_deinit(&s);
    room_deinit(&room);
    return feed;
}

/* Its amounts into a recipe give its ppm in the bucket. */
static void an_extension_bulletin_reckons_the_same(void **ctx)
{
    struct nutrients calcium = solution_of("{N: 15.5 %, Ca: 19 %}", "645.2 mg/L");
    struct nutrients magnesium = solution_of("{Mg: 9.7 %, S: 13 %}", "0.055 oz/gal");
    struct nutrients phosphate = solution_of("{P2O5: 12 %}", "1 g/L");

    (void)ctx;
    check_near("NU-EGRO", "645.2 mg/L of 15.5 % N, ppm N", 100, calcium.mg[NUTRIENT_NO3_N], 0.1);
    check_near("NU-EGRO", "  and the Ca of its 19 %, ppm", 122.6, calcium.mg[NUTRIENT_CA], 0.1);
    check_near("NU-EGRO", "5.5 oz/100 gal of 9.7 % Mg, ppm Mg", 40, magnesium.mg[NUTRIENT_MG], 0.1);
    check_near("NU-EGRO", "  and the S of its 13 %, ppm", 53.6, magnesium.mg[NUTRIENT_S], 0.1);
    check_near("NU-EGRO", "1 g/L of 12 % P2O5, ppm P", 52.4, phosphate.mg[NUTRIENT_P], 0.05);
}

static void percent_by_weight_is_not_percent_by_volume(void **ctx)
{
    (void)ctx;
    check_near("NU-WV", "4 % w/w, density 1.20, 1 mL/L, mg/L", 48.0,
               n_of_label("liquid, density: 1.20, contents: {N: 4 %}"), 1e-9);
    check_near("NU-WV", "4 % w/v, 1 mL/L, mg/L", 40.0,
               n_of_label("liquid, basis: w/v, density: 1.20, contents: {N: 4 %}"), 1e-9);
    check_near("NU-WV", "40 g/L, 1 mL/L, mg/L", 40.0, n_of_label("liquid, contents: {N: 40 g/L}"),
               1e-9);
}

static void water_runs_as_torricelli_says(void **ctx)
{
    (void)ctx;
    check_near("HY-ORIF", "5 mm, 0.50 m, Cd 0.61, L/min", 2.250, gravity_flow_l_min(5, 0.50, 0.61),
               0.001);
    check_near("HY-ORIF", "8 mm, 0.30 m, Cd 0.60, L/min", 4.389, gravity_flow_l_min(8, 0.30, 0.60),
               0.001);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(five_gallons_take_five_millilitres_of_each),
        cmocka_unit_test(half_as_much_water_again_makes_two_thirds),
        cmocka_unit_test(low_ec_water_reads_near_nothing_and_tap_water_300),
        cmocka_unit_test(nutrients_take_the_ph_down_by_about_one),
        cmocka_unit_test(fruit_is_grown_between_5_5_and_6_5),
        cmocka_unit_test(an_extension_bulletin_reckons_the_same),
        cmocka_unit_test(percent_by_weight_is_not_percent_by_volume),
        cmocka_unit_test(water_runs_as_torricelli_says),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
