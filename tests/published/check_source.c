/* Plain water, and how long a solution lasts.
 *
 * RO-TCF  Flow of a membrane, 1.03^(T - 25) (form of ASTM D4516, from memory; about 3 % a degree:
 *         Water Quality Association kit, read).
 * RO-MB   What 95 % rejection lets pass of 400 mg/L, and the litres of drain at a recovery of 25 %:
 *         arithmetic.
 * BC-3, 4 Topped up with plain water a tank is changed once that came to half of it (a hobby
 *         society's page, read), or to all of it (common extension advice, from memory).
 * WU-REFILL Langenfeld, Pinto, Faust, Heins & Bugbee 2022, Sustainability 14:10204 (read): a refill
 *         holds what the plant takes with a litre, its share of the dry mass times 3 to 6 g of that
 *         a litre. 4.5 % N, 0.6 % P, 5 % K, 1.2 % Ca and 0.4 % Mg are 135, 18, 150, 36 and 12 mg/L
 *         at 3 g/L, and twice as much at 6. */
#include "config/read/room_read.h"
#include "daemon/core/chem/membrane.h"
#include "daemon/core/room/water_source.h"
#include "tests/published/check.h"

static void a_cold_membrane_makes_less(void **state)
{
    static const double rows[][2] = {
        {5,  0.554},
        {10, 0.642},
        {15, 0.744},
        {20, 0.863},
        {30, 1.159}
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char row[48];

        (void)snprintf(row, sizeof row, "flow at %g C over that at 25 C", rows[i][0]);
        check_near("RO-TCF", row, rows[i][1], membrane_flow_factor(rows[i][0], 25), 0.001);
    }
}

static void a_membrane_lets_a_share_of_the_salt_pass(void **state)
{
    struct source_water s = {.recovery_frac = 0.25};

    (void)state;
    check_near("RO-MB", "what passes, mg/L", 20, membrane_permeate(400, 0.95), 1e-9);
    check_near("RO-MB", "litres to the drain for each made", 3, water_source_drain_l(&s, 1), 1e-12);
}

/* Litres of plain water for each litre of tank, until what our crops take of the solution in their
 * last stage has left it spent: the EC falls by so much of the uptake. */
static void a_tank_is_changed_once_half_or_all_of_it_was_topped_up(void **state)
{
    struct room_faults faults = {0};
    struct room room = {0};

    (void)state;
    assert_int_equal(room_read(TARN_SOURCE_DIR "/config/rooms/forty.yaml",
                               TARN_SOURCE_DIR "/config/crops", &room, &faults),
                     0);
    for (size_t i = 0; i < room.n_crops; i++) {
        const struct stage *last = &room.crop[i].stage[room.crop[i].n_stages - 1];

        check_between("BC-3, 4", room.crop[i].name, 0.5, 1.0,
                      (1 - last->spent_frac) * last->ec_ms_cm / last->uptake_ms_cm);
    }
    room_deinit(&room);
}

/* Ten litres that hold the refill's concentrations, of which a plant drinks litre after litre and
 * takes what its dry mass wants. */
static void a_refill_by_the_plants_own_balance_holds_a_solution(void **state)
{
    static const struct {
        enum nutrient nutrient;
        double tissue_pct, mg_l;
    } rows[] = {
        {NUTRIENT_NO3_N, 4.5, 135},
        {NUTRIENT_P,     0.6, 18 },
        {NUTRIENT_K,     5.0, 150},
        {NUTRIENT_CA,    1.2, 36 },
        {NUTRIENT_MG,    0.4, 12 },
    };
    struct nutrients refill = {0};
    struct nutrients held = {0};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        refill.mg[rows[i].nutrient] = held.mg[rows[i].nutrient] = rows[i].mg_l;
    }
    for (int litre = 0; litre < 30; litre++) {
        for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
            double takes_mg = 3 * 1000 * rows[i].tissue_pct / 100; /* with a litre */

            held.mg[rows[i].nutrient] = (10 * held.mg[rows[i].nutrient] - takes_mg) / 9;
        }
        nutrients_pour(&held, 9, &refill, 1);
    }
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        check_near("WU-REFILL", "after 30 L drunk and refilled, mg/L", rows[i].mg_l,
                   held.mg[rows[i].nutrient], 1e-6);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cold_membrane_makes_less),
        cmocka_unit_test(a_membrane_lets_a_share_of_the_salt_pass),
        cmocka_unit_test(a_tank_is_changed_once_half_or_all_of_it_was_topped_up),
        cmocka_unit_test(a_refill_by_the_plants_own_balance_holds_a_solution),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
