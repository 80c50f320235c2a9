/* The crops that are built into the program are those of config/crops, and a folder of crops
 * adds to them or takes their place. */
#include "tests/unit/room_text.h"

#include "config/read/shipped_crops.h"

#include <dirent.h>
#include <unistd.h>

#define CROPS TARN_SOURCE_DIR "/config/crops"

static int is_no_dot(const struct dirent *d)
{
    return d->d_name[0] != '.';
}

static void every_file_of_the_folder_is_built_in_byte_for_byte(void **state)
{
    struct dirent **name = NULL;
    int n = scandir(CROPS, &name, is_no_dot, alphasort);

    (void)state;
    assert_true(n >= 6);
    for (int i = 0; i < n; i++) {
        char path[600];
        char *text;
        size_t len;

        if (!shipped_crops[i].file || strcmp(shipped_crops[i].file, name[i]->d_name) != 0) {
            fail_msg("SHIPPED_CROPS in shipped_crops.c lacks %s, or has it in another place",
                     name[i]->d_name);
        }
        (void)snprintf(path, sizeof path, CROPS "/%s", name[i]->d_name);
        text = slurp(path, &len);
        assert_int_equal(strlen(shipped_crops[i].text), len);
        assert_memory_equal(shipped_crops[i].text, text, len);
        free(text);
        free(name[i]);
    }
    assert_null(shipped_crops[n].file);
    free(name);
}

/* A folder with one file in it, for as long as a test lasts. */
struct folder {
    char dir[32];
    char path[64];
};

static struct folder folder_with(const char *file, const char *text)
{
    struct folder d = {.dir = "/tmp/tarn-crops-XXXXXX"};
    FILE *f;

    assert_non_null(mkdtemp(d.dir));
    (void)snprintf(d.path, sizeof d.path, "%s/%s", d.dir, file);
    f = fopen(d.path, "we");
    assert_non_null(f);
    assert_true(fputs(text, f) >= 0);
    assert_int_equal(fclose(f), 0);
    return d;
}

static void remove_folder(const struct folder *d)
{
    assert_int_equal(unlink(d->path), 0);
    assert_int_equal(rmdir(d->dir), 0);
}

/* The small room, which has one recipe, "leaf". */
static int read_small(const char *dir, struct room *r, struct room_faults *faults)
{
    size_t len;
    char *text = slurp(DATA "rooms/small.yaml", &len);
    int rc = room_read_text("x.yaml", text, len, dir, r, faults);

    free(text);
    return rc;
}

#define ONE_STAGE                                                                                  \
    "  stages:\n"                                                                                  \
    "    - {name: only, from: 0 days, ec: 1 mS/cm, ph_min: 5.5, ph_max: 6.5, uptake: 1 mS/cm,\n"   \
    "       life_min: 7 days, life_max: 14 days, spent: 50 %, recipe: leaf}\n"
#define FIGURES                                                                                    \
    "  drinks: 0.3 L\n  half_at: 20 days\n  spread: 5 days\n  start_ec: 0.5 mS/cm\n"               \
    "  step: 0.2 mS/cm\n  harvest: 60 days\n"

static void a_crop_of_a_folder_stands_beside_those_built_in(void **state)
{
    struct folder d = folder_with("kale.yaml", "kale:\n" FIGURES ONE_STAGE);
    struct room_faults faults;
    struct room r;

    (void)state;
    assert_int_equal(read_small(d.dir, &r, &faults), 0);
    assert_true(room_find_crop(&r, "kale") >= 0);
    assert_true(room_find_crop(&r, "lettuce") >= 0);
    assert_true(r.crop[room_find_crop(&r, "kale")].harvest_day == 60);
    room_deinit(&r);
    remove_folder(&d);
}

static void a_crop_of_a_folder_takes_the_place_of_its_namesake_whole(void **state)
{
    struct folder d = folder_with("mine.yaml", "lettuce:\n" FIGURES ONE_STAGE);
    struct room_faults faults;
    struct room r;
    const struct crop *c;

    (void)state;
    assert_int_equal(read_small(d.dir, &r, &faults), 0);
    c = &r.crop[room_find_crop(&r, "lettuce")];
    assert_int_equal(c->n_stages, 1); /* the shipped one has two */
    assert_string_equal(c->stage[0].name, "only");
    assert_true(c->use.most_l_day == 0.3);
    assert_string_equal(c->source, ""); /* the shipped one names its source */
    room_deinit(&r);
    remove_folder(&d);
}

static void what_is_no_yaml_file_in_a_folder_of_crops_is_left_alone(void **state)
{
    struct folder d = folder_with("kale.yaml~", "no crop at all");
    struct room_faults faults;
    struct room r;

    (void)state;
    assert_int_equal(read_small(d.dir, &r, &faults), 0);
    room_deinit(&r);
    remove_folder(&d);
}

static void a_fault_in_a_crop_of_a_folder_is_told_in_its_own_file(void **state)
{
    struct folder d = folder_with("kale.yaml", "kale:\n  drink: 1 L\n");
    char expected[200];
    struct room_faults faults;
    struct text said = {0};
    struct room r;

    (void)state;
    assert_int_equal(read_small(d.dir, &r, &faults), ERR_CONFIG);
    (void)snprintf(expected, sizeof expected,
                   "%s:2:3: unknown key 'drink' in 'crops.kale'; did you mean 'drinks'?\n", d.path);
    for (size_t i = 0; i < faults.n; i++) {
        if (faults.fault[i].line == 2) {
            room_fault_format(&faults.fault[i], NULL, 0, &said);
        }
    }
    assert_string_equal(text_str(&said), expected);
    text_deinit(&said);
    remove_folder(&d);
}

static void a_folder_of_crops_that_is_not_there_is_a_fault(void **state)
{
    struct room_faults faults;
    struct room r;

    (void)state;
    assert_int_equal(read_small("/nowhere", &r, &faults), ERR_CONFIG);
    assert_int_equal(faults.n, 1);
    assert_string_equal(faults.fault[0].file, "/nowhere");
    assert_int_equal(faults.fault[0].line, 0);
    assert_string_equal(faults.fault[0].msg,
                        "the folder of crops cannot be read; name it with --crops");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_file_of_the_folder_is_built_in_byte_for_byte),
        cmocka_unit_test(a_crop_of_a_folder_stands_beside_those_built_in),
        cmocka_unit_test(a_crop_of_a_folder_takes_the_place_of_its_namesake_whole),
        cmocka_unit_test(what_is_no_yaml_file_in_a_folder_of_crops_is_left_alone),
        cmocka_unit_test(a_fault_in_a_crop_of_a_folder_is_told_in_its_own_file),
        cmocka_unit_test(a_folder_of_crops_that_is_not_there_is_a_fault),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
