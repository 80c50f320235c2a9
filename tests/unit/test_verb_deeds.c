/* What changes the room: ack, defer, drop and record. */
#include "tests/unit/a_served_room.h"

#include <stdlib.h>

static void start_t1(void)
{
    do_ask(
        &d, "record",
        "{'kind':'started','subjects':{'T1':{'what':'tomato','volume':'18 L','ec':'0.8 mS/cm'}}}");
}

/* ---- ack */

static void a_task_that_is_done_is_told_for_all_its_things(void **ctx)
{
    json_t *a = ask_of_task("ack", task_of("T1", "start"),
                            ",'figures':{'ec':'0.7 mS/cm','volume':'18 L'},'note':'by lamp light'");

    (void)ctx;
    ASSERT_TRUE(a, "done");
    ASSERT_COUNT(a, "left", 0);
    ASSERT_COUNT(a, "entries", 5); /* the acknowledgement, and four starts */
    ASSERT_TEXT(a, "entries.0.kind", "acknowledged");
    ASSERT_TEXT(a, "entries.0.what", "start");
    ASSERT_TEXT(a, "entries.0.subject", "room");
    ASSERT_TEXT(a, "entries.0.note", "by lamp light");
    assert_true(json_equal(part(a, "entries.0.task"), part(a, "task")));
    ASSERT_TEXT(a, "entries.4.kind", "started");
    ASSERT_TEXT(a, "entries.4.subject", "T4");
    ASSERT_NUMBER(a, "entries.4.figures.volume_l", 18, 0);
    ASSERT_TEXT(a, "entries.4.amounts.0.product", "calcium-part"); /* as its worksheet had it */
    ASSERT_TEXT(a, "entries.4.amounts.0.unit", "mL");
    json_decref(a);
    assert_string_equal(task_of("T4", "start"), "");
}

static void a_part_of_a_task_leaves_the_rest_open(void **ctx)
{
    const char *id = task_of("T1", "start");
    char same[24];
    json_t *a =
        ask_of_task("ack", id, ",'only':['T1','T3'],'figures':{'ec':'0.7 mS/cm','volume':'18 L'}");

    (void)ctx;
    (void)snprintf(same, sizeof same, "%s", json_string_value(part(a, "task")));
    ASSERT_FALSE(a, "done");
    ASSERT_COUNT(a, "left", 2);
    ASSERT_TEXT(a, "left.0", "T2");
    ASSERT_TEXT(a, "left.1", "T4");
    json_decref(a);
    assert_string_equal(task_of("T2", "start"), same); /* under its number */
    refused(&d, "ack", "{'task':'1','only':[]}", -32602, "only", "'only' names at least one thing");
    refused(&d, "ack", "{'task':'1','only':[7]}", -32602, "only", "'only' is a list of names");
}

/* What was done an hour ago makes the state be folded anew; the answer comes after it. */
static void a_task_that_was_done_earlier_is_told_at_its_time(void **ctx)
{
    json_t *a;

    (void)ctx;
    do_ask(&d, "clock", "{'advance':'3 h'}");
    do_ask(&d, "record", "{'kind':'note','subjects':{'T2':{}},'note':'x'}");
    a = ask_of_task("ack", task_of("T1", "start"),
                    ",'only':['T1'],'at':'2026-03-01 08:00',"
                    "'figures':{'ec':'0.7 mS/cm','volume':'18 L'}");
    ASSERT_TEXT(a, "entries.0.happened", "2026-03-01T08:00:00+01:00");
    ASSERT_TEXT(a, "entries.0.told", "2026-03-01T10:00:00+01:00");
    ASSERT_COUNT(a, "left", 3);
    ASSERT_TEXT(a, "left.0", "T2");
    json_decref(a);
    a = ask(&d, "status", "{}");
    ASSERT_TEXT(a, "containers.0.crop", "tomato");
    json_decref(a);
}

static void a_number_that_is_no_open_task_is_refused(void **ctx)
{
    (void)ctx;
    refused(&d, "ack", "{'task':'99'}", -32602, "task", "there is no open task 99");
    refused(&d, "ack", "{'task':'0'}", -32602, "task", "'0' is no number of a task");
    refused(&d, "defer", "{'task':'one','to':'tomorrow'}", -32602, "task",
            "'one' is no number of a task");
    refused(&d, "drop", "{'task':'99','why':'x'}", -32602, "task", "there is no open task 99");
    assert_int_equal(n_entries(), 0);
}

/* ---- defer and drop */

static void a_task_that_is_put_off_comes_on_its_day(void **ctx)
{
    json_t *a = ask_of_task("defer", task_of("T1", "start"), ",'to':'2026-03-04','why':'no lamp'");

    (void)ctx;
    ASSERT_COUNT(a, "entries", 4);
    ASSERT_TEXT(a, "entries.0.kind", "deferred");
    ASSERT_TEXT(a, "entries.0.until", "2026-03-04");
    ASSERT_TEXT(a, "entries.0.what", "start");
    ASSERT_TEXT(a, "entries.0.note", "no lamp");
    assert_null(part(a, "differs")); /* that is for changes */
    json_decref(a);
    a = ask(&d, "show", "{'what':'T1'}");
    ASSERT_TEXT(a, "tasks.0.on", "2026-03-04");
    json_decref(a);
}

static void a_change_that_is_put_off_says_what_it_costs(void **ctx)
{
    json_t *a;
    const char *id;

    (void)ctx;
    start_t1();
    do_ask(&d, "clock", "{'advance':'25 days'}");
    id = task_of("T1", "change");
    assert_string_not_equal(id, "");
    a = ask(&d, "show", "{'what':'T1'}");
    json_decref(a);
    a = ask_of_task("defer", id, ",'to':'2026-04-20','why':'away'");
    assert_true(json_is_object(part(a, "differs")));
    ASSERT_NUMBER(a, "differs.mixes", 0, 0); /* it is mixed all the same */
    ASSERT_NUMBER(a, "differs.early_days", 0, 0);
    assert_true(json_number_value(part(a, "differs.late_days")) > 0);
    json_decref(a);
}

static void a_task_that_is_dropped_is_gone(void **ctx)
{
    json_t *a = ask_of_task("drop", task_of("T1", "start"), ",'why':'sold','only':['T2']");

    (void)ctx;
    ASSERT_COUNT(a, "entries", 1);
    ASSERT_TEXT(a, "entries.0.kind", "dropped");
    ASSERT_TEXT(a, "entries.0.subject", "T2");
    ASSERT_TEXT(a, "entries.0.note", "sold");
    json_decref(a);
    assert_string_equal(task_of("T2", "start"), "");
    assert_string_not_equal(task_of("T1", "start"), "");
}

/* ---- record */

static void what_is_recorded_has_its_number_its_time_and_who_told_it(void **ctx)
{
    json_t *a = ask(&d, "record",
                    "{'kind':'reading','subjects':{'reservoir':{'ec_ms_cm':0.06,'ph':6.5}},"
                    "'at':'2026-03-01 06:30','note':'before work'}");

    (void)ctx;
    ASSERT_COUNT(a, "entries", 1);
    ASSERT_TEXT(a, "entries.0.seq", "1");
    ASSERT_TEXT(a, "entries.0.kind", "reading");
    ASSERT_TEXT(a, "entries.0.subject", "reservoir");
    ASSERT_TEXT(a, "entries.0.happened", "2026-03-01T06:30:00+01:00");
    ASSERT_TEXT(a, "entries.0.told", "2026-03-01T07:00:00+01:00");
    ASSERT_NUMBER(a, "entries.0.figures.ec_ms_cm", 0.06, 0);
    ASSERT_NUMBER(a, "entries.0.figures.ph", 6.5, 0);
    ASSERT_TEXT(a, "entries.0.note", "before work");
    ASSERT_NUMBER(a, "entries.0.uid", getuid(), 0);
    json_decref(a);
    a = ask(&d, "record", "{'kind':'note','subjects':{'T1':{},'T2':{}},'note':'both'}");
    ASSERT_COUNT(a, "entries", 2);
    ASSERT_TEXT(a, "entries.0.seq", "2");
    ASSERT_TEXT(a, "entries.1.seq", "3");
    json_decref(a);
}

static void what_is_strange_is_taken_by_who_is_sure(void **ctx)
{
    json_t *reply;

    (void)ctx;
    start_t1();
    reply = daemon_call(&d, "record", "{'kind':'reading','subjects':{'T1':{'ec':'9 mS/cm'}}}");
    ASSERT_NUMBER(reply, "error.code", -32001, 0);
    json_decref(reply);
    assert_int_equal(n_entries(), 1);
    do_ask(&d, "record", "{'kind':'reading','subjects':{'T1':{'ec':'9 mS/cm'}},'sure':true}");
    assert_int_equal(n_entries(), 2);
}

/* A level far from the forecast is taken, and asked about in the same breath, and in the log. */
static void a_level_far_off_is_taken_and_asked_about(void **ctx)
{
    json_t *a;

    (void)ctx;
    start_t1();
    do_ask(&d, "clock", "{'advance':'7 days'}");
    a = ask(&d, "record", "{'kind':'reading','subjects':{'T1':{'volume':'9.6 L'}},'sure':true}");
    assert_non_null(strstr(json_string_value(part(a, "entries.0.doubt")), "less than expected"));
    assert_non_null(strstr(json_string_value(part(a, "entries.0.doubt")), "measured again?"));
    json_decref(a);
    a = ask(&d, "log", "{}"); /* the oldest first */
    assert_non_null(strstr(json_string_value(part(a, "entries.1.doubt")), "measured again?"));
    json_decref(a);
}

static void figures_are_text_with_a_unit_or_numbers_under_their_key(void **ctx)
{
    (void)ctx;
    refused(&d, "record", "{'kind':'reading','subjects':{'reservoir':{'ec':0.06}}}", -32602, "ec",
            "give 'ec' as text with its unit, or 'ec_ms_cm' as a number");
    refused(&d, "record", "{'kind':'reading','subjects':{'reservoir':{'ec_ms_cm':'0.06 mS/cm'}}}",
            -32602, "ec", "give 'ec' as text with its unit, or 'ec_ms_cm' as a number");
    refused(&d, "record",
            "{'kind':'reading','subjects':{'reservoir':{'ec_ms_cm':0.06,'ec':'0.06 mS/cm'}}}",
            -32602, "ec", "'ec' is told twice");
    refused(&d, "record", "{'kind':'reading','subjects':{'reservoir':7}}", -32602, "subjects",
            "the figures of 'reservoir' are an object");
    refused(&d, "record", "{'kind':'reading','subjects':{'reservoir':{'phh':6}}}", -32602,
            "figures", "there is no figure 'phh'; did you mean 'ph'?");
    refused(&d, "record", "{'kind':'started','subjects':{'T1':{'what':7}}}", -32602, "what",
            "'what' is a word of at most 47 bytes");
    refused(&d, "record",
            "{'kind':'reading','subjects':{"
            "'a-name-that-is-longer-than-any-name-in-a-room-can-be-by-the-rules-of-its-file':{}}}",
            -32602, "subjects", "the room has no 'a-name-that-is-longer-than-any-name-in-a…'");
    refused(&d, "record", "{'kind':'raeding','subjects':{'reservoir':{}}}", -32602, "kind",
            "nothing is recorded as 'raeding'; did you mean 'reading'?");
    refused(&d, "record", "{'kind':'dead','subjects':{'T1':{}}}", -32602, "kind",
            "nothing is recorded as 'dead'; a plant that died ends its planting: tarn record died "
            "T1");
    refused(&d, "record", "{'kind':'reading','subjects':{'T1':{'amounts':{'sand':'3'}}}}", -32602,
            "sand",
            "'sand' is neither a figure nor a product of the room; a figure is volume=9L, "
            "ec=1.4mS/cm, ph=5.8 or temp=21C");
    assert_int_equal(n_entries(), 0);
}

static void amounts_are_of_products_of_the_room(void **ctx)
{
    json_t *a = ask(&d, "record",
                    "{'kind':'mix-made','subjects':{'reservoir':{'what':'leaf','volume':'60 L',"
                    "'ec':'1.2 mS/cm','amounts':{'calcium-part':'0.09 L','sulfate-part':85}}}}");

    (void)ctx;
    ASSERT_COUNT(a, "entries.0.amounts", 2);
    ASSERT_TEXT(a, "entries.0.amounts.0.product", "calcium-part");
    ASSERT_NUMBER(a, "entries.0.amounts.0.amount", 90, 1e-9);
    ASSERT_NUMBER(a, "entries.0.amounts.1.amount", 85, 0); /* in the unit inside: mL */
    ASSERT_TEXT(a, "entries.0.amounts.1.unit", "mL");
    json_decref(a);
    refused(&d, "record", "{'kind':'mix-made','subjects':{'reservoir':{'amounts':7}}}", -32602,
            "amounts", "'amounts' is an object of product: amount");
    refused(&d, "record", "{'kind':'mix-made','subjects':{'reservoir':{'amounts':{'T1':7}}}}",
            -32602, "T1", "'T1' is not a product");
    refused(&d, "record",
            "{'kind':'mix-made','subjects':{'reservoir':{'amounts':{'calcium-part':true}}}}",
            -32602, "calcium-part",
            "the amount of calcium-part is text with its unit, or a number");
}

static void texts_longer_than_the_journal_keeps_are_refused_and_not_cut(void **ctx)
{
    static const struct {
        const char *name;
        size_t most;
    } texts[] = {
        {"note", 500},
        {"key",  63 }
    };
    char params[1024];

    (void)ctx;
    for (size_t i = 0; i < 2; i++) {
        char text[600];
        char words[100];

        memset(text, 'x', sizeof text);
        text[texts[i].most + 1] = '\0';
        (void)snprintf(params, sizeof params, "{'kind':'note','subjects':{'T1':{}},'%s':'%s'%s}",
                       texts[i].name, text, i ? ",'note':'x'" : "");
        (void)snprintf(words, sizeof words, "'%s' has %zu bytes; at most %zu are kept",
                       texts[i].name, texts[i].most + 1, texts[i].most);
        refused(&d, "record", params, -32602, texts[i].name, words);
        text[texts[i].most] = '\0';
        (void)snprintf(params, sizeof params, "{'kind':'note','subjects':{'T1':{}},'%s':'%s'%s}",
                       texts[i].name, text, i ? ",'note':'x'" : "");
        do_ask(&d, "record", params);
    }
    assert_int_equal(n_entries(), 2);
}

/* Its old lines stand under the name that they were told of. */
static void the_log_of_a_plant_that_was_moved_goes_along(void **ctx)
{
    json_t *a;

    (void)ctx;
    start_t1();
    do_ask(&d, "record", "{'kind':'note','subjects':{'T2':{}},'note':'of T2'}");
    do_ask(&d, "record", "{'kind':'moved','subjects':{'T1':{'what':'T2'}}}");
    do_ask(&d, "record", "{'kind':'note','subjects':{'T2':{}},'note':'since'}");
    a = ask(&d, "log", "{'of':'T2'}");
    ASSERT_COUNT(a, "entries", 3);
    ASSERT_TEXT(a, "entries.0.subject", "T1");
    ASSERT_TEXT(a, "entries.0.kind", "started");
    ASSERT_TEXT(a, "entries.1.kind", "moved");
    ASSERT_TEXT(a, "entries.2.note", "since");
    json_decref(a);
    a = ask(&d, "show", "{'what':'T1'}"); /* what stands there came from T2 */
    ASSERT_COUNT(a, "entries", 2);
    ASSERT_TEXT(a, "entries.1.note", "of T2");
    json_decref(a);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_task_that_is_done_is_told_for_all_its_things),
        TEST(a_part_of_a_task_leaves_the_rest_open),
        TEST(a_task_that_was_done_earlier_is_told_at_its_time),
        TEST(a_number_that_is_no_open_task_is_refused),
        TEST(a_task_that_is_put_off_comes_on_its_day),
        TEST(a_change_that_is_put_off_says_what_it_costs),
        TEST(a_task_that_is_dropped_is_gone),
        TEST(what_is_recorded_has_its_number_its_time_and_who_told_it),
        TEST(what_is_strange_is_taken_by_who_is_sure),
        TEST(a_level_far_off_is_taken_and_asked_about),
        TEST(the_log_of_a_plant_that_was_moved_goes_along),
        TEST(figures_are_text_with_a_unit_or_numbers_under_their_key),
        TEST(amounts_are_of_products_of_the_room),
        TEST(texts_longer_than_the_journal_keeps_are_refused_and_not_cut),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
