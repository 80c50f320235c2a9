/* How long work took, as it is told to the daemon: shown, taken back, mended, told late. */
#include "tests/unit/a_served_room.h"

#include <stdlib.h>

static void calibrated(const char *took, const char *at)
{
    char params[200];

    (void)snprintf(params, sizeof params,
                   "{'kind':'calibrated','subjects':{'ph-pen':{'slope':'97 %%','took':'%s'}},"
                   "'at':'%s'}",
                   took, at);
    do_ask(&d, "record", params);
}

/* Minutes of a calibration, as learned; the file's where nobody told. */
static double learned_min(int *told)
{
    json_t *a = ask(&d, "status", "{}");
    json_t *first = json_array_get(part(a, "paces"), 0);
    double minutes = first ? json_number_value(json_object_get(first, "minutes")) : 10;

    *told = first ? (int)json_integer_value(json_object_get(first, "told")) : 0;
    json_decref(a);
    return minutes;
}

static void what_was_told_shows_in_status_and_log(void **ctx)
{
    json_t *a = ask(&d, "status", "{}");

    (void)ctx;
    ASSERT_COUNT(a, "paces", 0);
    json_decref(a);
    calibrated("20 min", "2026-03-01 06:30");
    a = ask(&d, "status", "{}");
    ASSERT_COUNT(a, "paces", 1);
    ASSERT_TEXT(a, "paces.0.of", "calibrate");
    ASSERT_NUMBER(a, "paces.0.file_min", 10, 0); /* tarn-room(5): what is not written */
    ASSERT_NUMBER(a, "paces.0.told", 1, 0);
    json_decref(a);
    a = ask(&d, "log", "{}");
    ASSERT_NUMBER(a, "entries.0.figures.took_min", 20, 0);
    json_decref(a);
    refused(&d, "record",
            "{'kind':'calibrated','subjects':{'ph-pen':{'slope':'97 %','took':'12 L'}}}", -32602,
            "took", "'12 L' is a volume, and a working time is wanted: use min or h");
    refused(&d, "record",
            "{'kind':'calibrated','subjects':{'ph-pen':{'slope':'97 %','took':'2 h'}}}", -32001,
            "took",
            "about 16 min were expected, and 120 min is far from it; say so if you are sure");
    refused(&d, "record", "{'kind':'note','subjects':{'T1':{'took':'5 min'}},'note':'x'}", -32602,
            "took", "'note' takes no took");
}

static void what_is_taken_back_was_never_learned(void **ctx)
{
    int told;

    (void)ctx;
    calibrated("20 min", "2026-03-01 06:30");
    assert_true(learned_min(&told) > 10);
    do_ask(&d, "undo", "{}");
    assert_true(learned_min(&told) == 10);
    assert_int_equal(told, 0);
}

static void what_is_mended_is_learned_as_it_is_right(void **ctx)
{
    int told;

    (void)ctx;
    calibrated("20 min", "2026-03-01 06:30");
    do_ask(&d, "fix", "{'entry':'1','figures':{'took':'5 min'},'why':'it was 5'}");
    assert_true(learned_min(&told) < 10);
    assert_int_equal(told, 1);
    refused(&d, "fix", "{'entry':'3','figures':{'took':'500 min'},'why':'x'}", -32001, "took",
            "about 10 min were expected, and 500 min is far from it; say so if you are sure");
}

/* By when it happened, and not by when it was told. */
static void what_is_told_late_is_learned_in_its_place(void **ctx)
{
    int told;
    double late;

    (void)ctx;
    calibrated("8 min", "2026-03-01 06:50");
    calibrated("20 min", "2026-03-01 06:20");
    late = learned_min(&told);
    assert_int_equal(told, 2);
    (void)tear_down(NULL);
    (void)set_up(NULL);
    calibrated("20 min", "2026-03-01 06:20");
    calibrated("8 min", "2026-03-01 06:50");
    assert_true(learned_min(&told) == late);
}

static double todays_min(void)
{
    json_t *a = ask(&d, "today", "{}");
    double minutes = json_number_value(part(a, "minutes"));

    json_decref(a);
    return minutes;
}

/* An acknowledgement takes it too, and the rest of the day is reckoned with it: what T1 took beyond
 * the 10 min of the room file, T2 and the others take a part of. */
static void todays_minutes_follow(void **ctx)
{
    static const char plain[] = ",'only':['T1'],'figures':{'ec':'0.7 mS/cm','volume':'18 L'}";
    static const char slow[] =
        ",'only':['T1'],'figures':{'ec':'0.7 mS/cm','volume':'18 L','took':'20 min'}";
    json_t *a = ask_of_task("ack", task_of("T1", "start"), plain);
    double as_planned = todays_min();

    (void)ctx;
    json_decref(a);
    do_ask(&d, "undo", "{}");
    a = ask_of_task("ack", task_of("T1", "start"), slow);
    ASSERT_NUMBER(a, "entries.0.figures.took_min", 20, 0);
    ASSERT_NUMBER(a, "entries.0.figures.jobs", 1, 1e-9);
    json_decref(a);
    assert_true(todays_min() > as_planned + 5);
    do_ask(&d, "undo", "{}");
    json_decref(ask_of_task("ack", task_of("T1", "start"), plain));
    assert_true(todays_min() == as_planned);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(what_was_told_shows_in_status_and_log, set_up, tear_down),
        cmocka_unit_test_setup_teardown(what_is_taken_back_was_never_learned, set_up, tear_down),
        cmocka_unit_test_setup_teardown(what_is_mended_is_learned_as_it_is_right, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(what_is_told_late_is_learned_in_its_place, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(todays_minutes_follow, set_up, tear_down),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
