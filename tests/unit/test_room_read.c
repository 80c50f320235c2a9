/* What a good room file gives. */
#include "tests/unit/room_text.h"

#include "daemon/core/units/day.h"

#include <math.h>
#include <unistd.h>

static void the_smallest_room_has_what_is_usual_for_the_rest(void **state)
{
    struct room r = read_good(DATA "rooms/small.yaml");

    (void)state;
    assert_string_equal(r.name, "shelf");
    assert_int_equal(r.day_start_s, 7 * 3600);
    assert_true(r.tolerance_pct == 10);
    assert_int_equal(r.units.volume, VOLUME_SHOW_L);
    assert_int_equal(r.units.ec, EC_SHOW_MS_CM);
    assert_int_equal(r.units.temp, TEMP_SHOW_C);
    assert_true(isnan(r.source.alkalinity_mg_l));
    assert_true(fabs(r.source.rate_l_h - 120) < 1e-9);
    assert_true(r.source.stored_l == 0);
    assert_true(r.reservoir.ph_target == 5.8);
    assert_true(r.reservoir.ph_tolerance == 0.3);
    assert_true(r.reservoir.cans_l == 100);
    assert_true(r.reservoir.line_loss_l == 0);
    assert_true(r.reservoir.flow_l_min == 4);
    for (int day = 0; day < 7; day++) {
        assert_true(r.labour.budget_min[day] == 60);
    }
    assert_true(r.labour.changeover_min == 25);
    assert_true(r.labour.harvest_min == 15);
    assert_true(r.care_every_day[CARE_FLOAT] == 30);
    assert_true(r.care_every_day[CARE_READ] == 7);
    assert_null(r.notify);
    assert_int_equal(r.container[0].start_on, DAY_NONE);
    assert_true(r.container[0].replant);
    assert_true(r.crop[r.container[0].crop].harvest_window_day == 7);
    room_deinit(&r);
}

static void a_room_in_gallons_and_ppm_is_litres_and_millisiemens_inside(void **state)
{
    struct room r = read_good(DATA "rooms/us.yaml");

    (void)state;
    assert_int_equal(r.units.volume, VOLUME_SHOW_GAL);
    assert_int_equal(r.units.ec, EC_SHOW_PPM500);
    assert_int_equal(r.units.temp, TEMP_SHOW_F);
    assert_int_equal(r.day_start_s, 6 * 3600 + 30 * 60);
    assert_true(fabs(r.source.ec_ms_cm - 0.3) < 1e-9);
    assert_true(fabs(r.source.alkalinity_mg_l - 100.08) < 1e-9);
    assert_true(fabs(r.source.rate_l_h - 7.88627455) < 1e-8); /* 50 x 3.785411784 / 24 */
    assert_true(fabs(r.reservoir.capacity_l - 113.56235352) < 1e-8);
    assert_true(fabs(r.reservoir.remainder_l - 1.892705892) < 1e-9);
    assert_true(fabs(r.container[0].start_volume_l - 18.92705892) < 1e-8);
    assert_true(fabs(r.container[0].remainder_l - 0.59147059125) < 1e-9);
    assert_true(r.labour.budget_min[0] == 60);
    assert_true(r.labour.budget_min[6] == 0);
    assert_true(r.labour.change_min == 8);
    assert_true(r.meter[0].calibrate_every_day == 14);
    room_deinit(&r);
}

static void stock_and_doses_go_by_the_kind_of_the_product(void **state)
{
    struct room r = read_good(DATA "rooms/us.yaml");
    const struct recipe *fruit = &r.recipe[room_find(&r, "fruit").at];

    (void)state;
    assert_string_equal(r.product[0].name, "phosphate-salt");
    assert_true(fabs(r.product[0].stock - 2267.96185) < 1e-6);      /* 5 lb in g */
    assert_true(fabs(r.product[0].reorder_at - 226.796185) < 1e-6); /* 8 oz in g */
    assert_true(fabs(r.product[1].stock - 3785.411784) < 1e-6);     /* 1 gal in mL */
    assert_true(r.product[1].density_g_ml == 1.2);
    assert_int_equal(fruit->n_doses, 2);
    assert_int_equal(fruit->dose[0].product, 1); /* in the order of addition */
    assert_int_equal(fruit->dose[1].product, 0);
    assert_true(fabs(fruit->dose[0].per_l - 1.32086026) < 1e-7); /* 5 mL / 3.785411784 L */
    assert_true(fabs(fruit->dose[1].per_l - 0.52834410) < 1e-7); /* 2 g / 3.785411784 L */
    room_deinit(&r);
}

static void what_a_room_says_of_a_shipped_crop_changes_just_that(void **state)
{
    struct room r = read_good(DATA "rooms/us.yaml");
    struct room other = read_good(ROOMS "demo.yaml");
    const struct crop *mine = &r.crop[room_find_crop(&r, "tomato")];
    const struct crop *shipped = &other.crop[room_find_crop(&other, "tomato")];
    const struct stage *bearing = &mine->stage[crop_find_stage(mine, "bearing")];

    (void)state;
    assert_true(mine->harvest_day == 84); /* 12 weeks */
    assert_true(mine->use.most_l_day == shipped->use.most_l_day);
    assert_int_equal(mine->n_stages, shipped->n_stages);
    assert_true(bearing->ec_ms_cm == 2.0); /* 1000 ppm500 */
    assert_true(bearing->spent_frac == 0.5);
    assert_string_equal(bearing->recipe, "fruit");
    room_deinit(&r);
    room_deinit(&other);
}

static void a_stage_can_be_put_between_those_of_a_shipped_crop(void **state)
{
    static const char more[] =
        "crops:\n"
        "  lettuce:\n"
        "    stages:\n"
        "      - {name: middle, from: 7 days, ec: 1.0 mS/cm, ph_min: 5.5, ph_max: 6.5,\n"
        "         uptake: 1 mS/cm, life_min: 7 days, life_max: 14 days, spent: 50 %, recipe: "
        "leaf}\n";
    struct room_faults faults;
    struct room r;
    struct text file = {0};
    size_t len;
    char *demo = slurp(ROOMS "demo.yaml", &len);
    const struct crop *lettuce;

    (void)state;
    text_add(&file, "%s%s", demo, more);
    assert_int_equal(room_read_text("x", file.s, file.len, NULL, &r, &faults), 0);
    lettuce = &r.crop[room_find_crop(&r, "lettuce")];
    assert_int_equal(lettuce->n_stages, 3);
    assert_string_equal(lettuce->stage[0].name, "young");
    assert_string_equal(lettuce->stage[1].name, "middle");
    assert_string_equal(lettuce->stage[2].name, "heading");
    room_deinit(&r);
    text_deinit(&file);
    free(demo);
}

static void the_demo_room_has_ten_containers_and_one_start_is_late(void **state)
{
    struct room r = read_good(ROOMS "demo.yaml");
    int32_t first_day = day_of(2026, 3, 1);
    int n_late = 0;

    (void)state;
    assert_int_equal(r.n_containers, 10);
    for (size_t i = 0; i < r.n_containers; i++) {
        n_late += r.container[i].start_on < first_day;
    }
    assert_int_equal(n_late, 1);
    assert_int_equal(r.container[room_find(&r, "T4").at].start_on, first_day);
    assert_int_equal(r.container[room_find(&r, "T5").at].start_on, first_day + 7);
    room_deinit(&r);
}

static void the_room_of_forty_starts_three_crops_over_four_weeks(void **state)
{
    struct room r = read_good(ROOMS "forty.yaml");
    int32_t first = INT32_MAX;
    int32_t last = INT32_MIN;
    bool seen[16] = {false};
    int n_crops = 0;

    (void)state;
    assert_int_equal(r.n_containers, 40);
    for (size_t i = 0; i < r.n_containers; i++) {
        const struct container *c = &r.container[i];

        first = c->start_on < first ? c->start_on : first;
        last = c->start_on > last ? c->start_on : last;
        n_crops += !seen[c->crop];
        seen[c->crop] = true;
    }
    assert_int_equal(first, day_of(2026, 3, 1));
    assert_int_equal(last, day_of(2026, 3, 26));
    assert_int_equal(n_crops, 3);
    assert_int_equal(room_find(&r, "B01").kind, SUBJECT_CONTAINER);
    assert_int_equal(room_find(&r, "B12").kind, SUBJECT_CONTAINER);
    assert_int_equal(room_find(&r, "B1").kind, SUBJECT_NONE);
    room_deinit(&r);
}

static void a_pattern_makes_as_many_containers_as_it_says(void **state)
{
    static const char all[] = "  A1..A12: {crop: lettuce, start_volume: 4 L, float_volume: 2 L, "
                              "remainder: 0.2 L}\n  b007..b012: {crop: lettuce, start_volume: 5 L, "
                              "float_volume: 2 L, remainder: 0.2 L}\n";
    struct room_faults faults;
    struct room r;
    struct text file = {0};
    size_t len;
    char *demo = slurp(ROOMS "demo.yaml", &len);

    (void)state;
    text_add(&file, "%s%s", demo, all);
    assert_int_equal(room_read_text("x", file.s, file.len, NULL, &r, &faults), 0);
    assert_int_equal(r.n_containers, 10 + 12 + 6);
    assert_string_equal(r.container[10].name, "A1");
    assert_string_equal(r.container[21].name, "A12");
    assert_string_equal(r.container[22].name, "b007");
    assert_string_equal(r.container[27].name, "b012");
    assert_true(r.container[27].start_volume_l == 5);
    room_deinit(&r);
    text_deinit(&file);
    free(demo);
}

static void a_notice_command_is_a_list_of_words(void **state)
{
    struct room r = read_good(DATA "rooms/us.yaml");

    (void)state;
    assert_string_equal(r.notify[0], "/usr/bin/logger");
    assert_string_equal(r.notify[1], "-t");
    assert_string_equal(r.notify[2], "porch");
    assert_null(r.notify[3]);
    room_deinit(&r);
}

static void crops_whose_recipes_the_room_lacks_are_left_out(void **state)
{
    struct room r = read_good(DATA "rooms/small.yaml"); /* has "leaf" alone */

    (void)state;
    assert_int_equal(room_find_crop(&r, "tomato"), -1); /* wants "fruit" */
    assert_true(room_find_crop(&r, "lettuce") >= 0);
    assert_true(room_find_crop(&r, "cress") >= 0);
    room_deinit(&r);
}

/* An editor's lock or swap file beside a crop's file has its name's end, and is no crop. */
static void a_hidden_file_beside_the_crops_is_none(void **state)
{
    char dir[] = "/tmp/tarn-crops-XXXXXX";
    char path[64];
    struct room_faults faults;
    struct room r;
    FILE *f;

    (void)state;
    assert_non_null(mkdtemp(dir));
    (void)snprintf(path, sizeof path, "%s/.lettuce.yaml", dir);
    f = fopen(path, "we");
    assert_non_null(f);
    assert_true(fputs("lettuce: {", f) >= 0);
    assert_int_equal(fclose(f), 0);
    assert_int_equal(room_read(DATA "rooms/small.yaml", dir, &r, &faults), 0);
    room_deinit(&r);
    assert_int_equal(unlink(path), 0);
    assert_int_equal(rmdir(dir), 0);
}

static void a_faulty_file_leaves_the_room_that_was_there(void **state)
{
    struct room_faults faults;
    struct room r = read_good(DATA "rooms/small.yaml");

    (void)state;
    assert_int_equal(room_read(BAD "tab.yaml", NULL, &r, &faults), ERR_CONFIG);
    assert_string_equal(r.name, "shelf");
    assert_int_equal(room_find(&r, "A1").kind, SUBJECT_CONTAINER);
    room_deinit(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_smallest_room_has_what_is_usual_for_the_rest),
        cmocka_unit_test(a_room_in_gallons_and_ppm_is_litres_and_millisiemens_inside),
        cmocka_unit_test(stock_and_doses_go_by_the_kind_of_the_product),
        cmocka_unit_test(what_a_room_says_of_a_shipped_crop_changes_just_that),
        cmocka_unit_test(a_stage_can_be_put_between_those_of_a_shipped_crop),
        cmocka_unit_test(the_demo_room_has_ten_containers_and_one_start_is_late),
        cmocka_unit_test(the_room_of_forty_starts_three_crops_over_four_weeks),
        cmocka_unit_test(a_pattern_makes_as_many_containers_as_it_says),
        cmocka_unit_test(a_notice_command_is_a_list_of_words),
        cmocka_unit_test(a_hidden_file_beside_the_crops_is_none),
        cmocka_unit_test(crops_whose_recipes_the_room_lacks_are_left_out),
        cmocka_unit_test(a_faulty_file_leaves_the_room_that_was_there),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
