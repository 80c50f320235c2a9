/* Plain water, and how long a solution lasts.
 *
 * RO-TCF  Flow of a membrane, 1.03^(T - 25) (form of ASTM D4516, from memory; about 3 % a degree:
 *         Water Quality Association kit, read).
 * RO-MB   What 95 % rejection lets pass of 400 mg/L, and the litres of drain at a recovery of 25 %:
 *         arithmetic.
 * BC      When to change: weekly at first, lengthening to every two weeks (UF/IFAS, Grow Your Own
 *         Vegetables Without Soil, as reprinted; a newspaper guide that cites four universities);
 *         in still water every three weeks (H. Imai, AVRDC, 1986-87, a copy read). */
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

static void solutions_last_one_to_three_weeks(void **state)
{
    struct room_faults faults = {0};
    struct room room = {0};

    (void)state;
    assert_int_equal(room_read(TARN_SOURCE_DIR "/config/rooms/forty.yaml",
                               TARN_SOURCE_DIR "/config/crops", &room, &faults),
                     0);
    for (size_t i = 0; i < room.n_crops; i++) {
        check_between("BC", room.crop[i].name, 7, 21, room.crop[i].stage[0].life_min_day);
        check_between("BC", "  and at most, days", 7, 21, room.crop[i].stage[0].life_max_day);
    }
    room_deinit(&room);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cold_membrane_makes_less),
        cmocka_unit_test(a_membrane_lets_a_share_of_the_salt_pass),
        cmocka_unit_test(solutions_last_one_to_three_weeks),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
