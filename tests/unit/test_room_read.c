/* The room file: what a good one gives, and what a person is told about a bad one.
 *
 * tests/data/rooms-bad holds a file for each mistake, NAME.yaml, and beside it all that is said
 * about it, NAME.expect. */
#include "tests/cmocka_all.h"

#include "config/read/room_read.h"
#include "daemon/base/mem.h"
#include "daemon/base/text.h"
#include "daemon/core/units/day.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define CROPS TARN_SOURCE_DIR "/config/crops"
#define ROOMS TARN_SOURCE_DIR "/config/rooms/"
#define DATA  TARN_SOURCE_DIR "/tests/data/"
#define BAD   DATA "rooms-bad/"

static struct room read_good(const char *path)
{
    struct room_faults faults;
    struct room r;

    if (room_read(path, CROPS, &r, &faults) < 0) {
        fail_msg("%s:%u:%u: %s", faults.fault[0].file, faults.fault[0].line, faults.fault[0].column,
                 faults.fault[0].msg);
    }
    return r;
}

/* The whole of a file; the caller frees it. */
static char *slurp(const char *path, size_t *out_len)
{
    FILE *f = fopen(path, "re");
    char *text = mem_array(ROOM_FILE_MAX, 1);

    if (!f) {
        fail_msg("there is no %s", path);
    }
    *out_len = fread(text, 1, ROOM_FILE_MAX - 1, f);
    (void)fclose(f);
    return text;
}

/* All that is said about a text, a line each; the caller frees it. */
static char *said_about(const char *name, const char *text, size_t len)
{
    struct room_faults faults;
    struct room r;
    struct text said = {0};

    if (room_read_text(name, text, len, CROPS, &r, &faults) == 0) {
        room_deinit(&r);
    }
    for (size_t i = 0; i < faults.n; i++) {
        room_fault_format(&faults.fault[i], NULL, 0, &said);
    }
    if (faults.n_more) {
        text_add(&said, "and %zu more\n", faults.n_more);
    }
    return text_take(&said);
}

static void assert_said(const char *text, size_t len, const char *expected)
{
    char *said = said_about("x.yaml", text, len);

    assert_string_equal(said, expected);
    free(said);
}

static int is_yaml(const struct dirent *d)
{
    size_t len = strlen(d->d_name);

    return len > 5 && strcmp(d->d_name + len - 5, ".yaml") == 0;
}

static bool case_holds(const char *name)
{
    char path[600];
    size_t len;
    size_t expected_len;
    char *text;
    char *said;
    char *expected;
    bool same;

    (void)snprintf(path, sizeof path, BAD "%s", name);
    text = slurp(path, &len);
    (void)snprintf(path, sizeof path, BAD "%.*s.expect", (int)strlen(name) - 5, name);
    expected = slurp(path, &expected_len);
    said = said_about(name, text, len);
    same = strcmp(said, expected) == 0;
    if (!same) {
        print_error("%s\nexpected:\n%sgot:\n%s\n", name, expected, said);
    }
    free(text);
    free(said);
    free(expected);
    return same;
}

static void each_mistake_is_told_at_its_place(void **state)
{
    struct dirent **name = NULL;
    int n = scandir(BAD, &name, is_yaml, alphasort);
    int bad = 0;

    (void)state;
    assert_true(n >= 24);
    for (int i = 0; i < n; i++) {
        bad += !case_holds(name[i]->d_name);
        free(name[i]);
    }
    free(name);
    assert_int_equal(bad, 0);
}

/* ---- what a good room gives ---- */

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
    assert_string_equal(r.product[0].name, "bloom-salt");
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
        "grow}\n";
    struct room_faults faults;
    struct room r;
    struct text file = {0};
    size_t len;
    char *demo = slurp(ROOMS "demo.yaml", &len);
    const struct crop *lettuce;

    (void)state;
    text_add(&file, "%s%s", demo, more);
    assert_int_equal(room_read_text("x", file.s, file.len, CROPS, &r, &faults), 0);
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
    assert_int_equal(room_read_text("x", file.s, file.len, CROPS, &r, &faults), 0);
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
    struct room r = read_good(DATA "rooms/small.yaml"); /* has "grow" alone */

    (void)state;
    assert_int_equal(room_find_crop(&r, "tomato"), -1); /* wants "fruit" */
    assert_true(room_find_crop(&r, "lettuce") >= 0);
    assert_true(room_find_crop(&r, "cress") >= 0);
    room_deinit(&r);
}

/* ---- bytes that no editor should have saved ---- */

#define SAID(text, expected) assert_said(text, sizeof(text) - 1, expected)

static void bytes_that_are_no_text_are_refused_where_they_stand(void **state)
{
    (void)state;
    SAID("room:\n  name: a\0b\n",
         "x.yaml:2:10: the character U+0000 has no place in a room file; take it out\n");
    SAID("# \xC3\xA9t\xC3\xA9 \xE9t\xE9\n",
         "x.yaml:1:7: this is not UTF-8 (byte 0xe9); save the file as UTF-8\n");
    SAID("# \xC0\xAF\n", "x.yaml:1:3: this is not UTF-8 (byte 0xc0); save the file as UTF-8\n");
    SAID("# \xED\xA0\x80\n", "x.yaml:1:3: this is not UTF-8 (byte 0xed); save the file as UTF-8\n");
    SAID("# \xF4\x90\x80\x80\n",
         "x.yaml:1:3: this is not UTF-8 (byte 0xf4); save the file as UTF-8\n");
    SAID("\xFF\xFEr\0", "x.yaml:1:1: the file is UTF-16; save it as UTF-8\n");
    SAID("\xEF\xBB\xBFroom:\n",
         "x.yaml:1:1: the file begins with a byte order mark; save it as UTF-8 without one\n");
}

static void characters_that_hide_in_a_line_are_refused(void **state)
{
    (void)state;
    SAID("room:\n  name: a\xC2\x85z: b\n",
         "x.yaml:2:10: the character U+0085 has no place in a room file; take it out\n");
    SAID("room:\r\n  name: a\xE2\x80\xA8z: b\r\n",
         "x.yaml:2:10: the character U+2028 has no place in a room file; take it out\n");
    SAID("room:\r  name: \x1b[31m\r",
         "x.yaml:2:9: the character U+001B has no place in a room file; take it out\n");
}

static char *repeat(const char *before, const char *what, size_t n, const char *after)
{
    struct text t = {0};

    text_add(&t, "%s", before);
    for (size_t i = 0; i < n; i++) {
        text_add(&t, "%s", what);
    }
    text_add(&t, "%s", after);
    return text_take(&t);
}

static void assert_said_and_free(char *text, const char *expected)
{
    assert_said(text, strlen(text), expected);
    free(text);
}

static void what_is_larger_than_any_room_is_refused(void **state)
{
    (void)state;
    assert_said_and_free(repeat("", "#23456789\n", 26215, ""),
                         "x.yaml:1:1: the file has 262150 bytes; at most 262144 are read\n");
    assert_said_and_free(repeat("room: {name: ", "n", 4097, "}\n"),
                         "x.yaml:1:14: this text has 4097 bytes; at most 4096 are read\n");
    assert_said_and_free(repeat("room: {", "k", 129, ": 1}\n"),
                         "x.yaml:1:8: a key is one line of at most 128 bytes\n");
    assert_said_and_free(
        repeat("- [", "a,", 20000, "a]\n"), /* the stream, its document and two lists come first */
        "x.yaml:1:39996: the file has too many parts; use patterns such as A1..A12\n");
    assert_said_and_free(repeat("", "[", 64000, ""),
                         "x.yaml:1:17: this is nested more than 16 deep\n");
}

static void assert_file_said(const char *path, const char *expected)
{
    struct room_faults faults;
    struct room r;
    struct text said = {0};

    assert_int_equal(room_read(path, CROPS, &r, &faults), ERR_CONFIG);
    assert_int_equal(faults.n, 1);
    room_fault_format(&faults.fault[0], NULL, 0, &said);
    assert_string_equal(said.s, expected);
    text_deinit(&said);
}

static void a_file_that_cannot_be_read_is_a_fault_without_a_line(void **state)
{
    (void)state;
    assert_file_said("/nowhere/room.yaml",
                     "/nowhere/room.yaml: it cannot be read: No such file or directory\n");
    assert_file_said("/dev/null", "/dev/null: it is not a file\n");
}

static void a_fault_in_a_shipped_crop_is_told_in_its_own_file(void **state)
{
    char dir[] = "/tmp/tarn-crops-XXXXXX";
    char path[sizeof dir + 16];
    char expected[200];
    struct room_faults faults;
    struct room r;
    size_t len;
    char *text = slurp(DATA "rooms/small.yaml", &len);
    struct text said = {0};
    FILE *f;

    (void)state;
    assert_non_null(mkdtemp(dir));
    (void)snprintf(path, sizeof path, "%s/kale.yaml", dir);
    f = fopen(path, "we");
    assert_non_null(f);
    assert_true(fputs("kale:\n  drink: 1 L\n", f) >= 0);
    assert_int_equal(fclose(f), 0);
    assert_int_equal(room_read_text("x.yaml", text, len, dir, &r, &faults), ERR_CONFIG);
    (void)unlink(path);
    (void)rmdir(dir);
    (void)snprintf(expected, sizeof expected,
                   "%s:2:3: unknown key 'drink' in 'crops.kale'; did you mean 'drinks'?\n", path);
    for (size_t i = 0; i < faults.n; i++) {
        if (faults.fault[i].line == 2) {
            room_fault_format(&faults.fault[i], NULL, 0, &said);
        }
    }
    assert_string_equal(text_str(&said), expected);
    text_deinit(&said);
    free(text);
}

static void a_folder_of_crops_that_is_not_there_is_a_fault(void **state)
{
    struct room_faults faults;
    struct room r;
    size_t len;
    char *text = slurp(DATA "rooms/small.yaml", &len);

    (void)state;
    assert_int_equal(room_read_text("x", text, len, "/nowhere", &r, &faults), ERR_CONFIG);
    assert_string_equal(faults.fault[0].file, "/nowhere");
    assert_string_equal(faults.fault[0].msg,
                        "the folder of crops cannot be read; name it with --crops");
    free(text);
}

static void a_faulty_file_leaves_the_room_that_was_there(void **state)
{
    struct room_faults faults;
    struct room r = read_good(DATA "rooms/small.yaml");

    (void)state;
    assert_int_equal(room_read(BAD "tab.yaml", CROPS, &r, &faults), ERR_CONFIG);
    assert_string_equal(r.name, "shelf");
    assert_int_equal(room_find(&r, "A1").kind, SUBJECT_CONTAINER);
    room_deinit(&r);
}

/* ---- how a fault looks ---- */

static void assert_shown(unsigned line, unsigned column, const char *text, const char *expected)
{
    struct err e = {.code = ERR_CONFIG, .line = line, .column = column, .file = "r", .msg = "no"};
    struct text out = {0};

    room_fault_format(&e, text, strlen(text), &out);
    assert_string_equal(out.s, expected);
    text_deinit(&out);
}

static void a_fault_shows_its_line_and_a_caret_below_the_place(void **state)
{
    (void)state;
    assert_shown(2, 3, "a: 1\nb: 2\nc: 3\n", "r:2:3: no\n    b: 2\n      ^\n");
    assert_shown(1, 9, "\xC3\xA9t\xC3\xA9: \xE2\x82\xAC 5\n",
                 "r:1:9: no\n    \xC3\xA9t\xC3\xA9: \xE2\x82\xAC 5\n            ^\n");
    assert_shown(1, 2, "\tx\r\n", "r:1:2: no\n     x\n     ^\n");
    assert_shown(3, 1, "a\nb", "r:3:1: no\n");
}

static void a_long_line_is_cut_to_fit_eighty_columns(void **state)
{
    char *line = repeat("", "0123456789", 20, "");

    (void)state;
    assert_shown(1, 101, line,
                 "r:1:101: no\n"
                 "    123456789012345678901234567890123456789012345678901234567890123456789012\n"
                 "                                           ^\n");
    free(line);
}

static void a_quoted_word_that_is_cut_stays_text(void **state)
{
    char *text = repeat("room: {", "\xE2\x82\xAC", 30, ": 1}\n");
    struct room_faults faults;
    struct room r;
    int n_seen = 0;

    (void)state;
    assert_int_equal(room_read_text("x", text, strlen(text), NULL, &r, &faults), ERR_CONFIG);
    for (size_t i = 0; i < faults.n; i++) {
        if (strncmp(faults.fault[i].msg, "unknown", 7) == 0) {
            n_seen++;
            assert_string_equal(faults.fault[i].msg,
                                "unknown key '\xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC"
                                "\xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC"
                                "\xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC' in 'room'");
        }
    }
    assert_int_equal(n_seen, 1);
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_mistake_is_told_at_its_place),
        cmocka_unit_test(the_smallest_room_has_what_is_usual_for_the_rest),
        cmocka_unit_test(a_room_in_gallons_and_ppm_is_litres_and_millisiemens_inside),
        cmocka_unit_test(stock_and_doses_go_by_the_kind_of_the_product),
        cmocka_unit_test(what_a_room_says_of_a_shipped_crop_changes_just_that),
        cmocka_unit_test(a_stage_can_be_put_between_those_of_a_shipped_crop),
        cmocka_unit_test(the_demo_room_has_ten_containers_and_one_start_is_late),
        cmocka_unit_test(the_room_of_forty_starts_three_crops_over_four_weeks),
        cmocka_unit_test(a_pattern_makes_as_many_containers_as_it_says),
        cmocka_unit_test(a_notice_command_is_a_list_of_words),
        cmocka_unit_test(crops_whose_recipes_the_room_lacks_are_left_out),
        cmocka_unit_test(bytes_that_are_no_text_are_refused_where_they_stand),
        cmocka_unit_test(characters_that_hide_in_a_line_are_refused),
        cmocka_unit_test(what_is_larger_than_any_room_is_refused),
        cmocka_unit_test(a_file_that_cannot_be_read_is_a_fault_without_a_line),
        cmocka_unit_test(a_fault_in_a_shipped_crop_is_told_in_its_own_file),
        cmocka_unit_test(a_folder_of_crops_that_is_not_there_is_a_fault),
        cmocka_unit_test(a_faulty_file_leaves_the_room_that_was_there),
        cmocka_unit_test(a_fault_shows_its_line_and_a_caret_below_the_place),
        cmocka_unit_test(a_long_line_is_cut_to_fit_eighty_columns),
        cmocka_unit_test(a_quoted_word_that_is_cut_stays_text),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
