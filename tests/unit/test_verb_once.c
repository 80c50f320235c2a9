/* Readings in bulk, what is taken back, and that a request with a key is told once. */
#include "tests/unit/a_served_room.h"

#include <stdlib.h>

static void start_t1(void)
{
    do_ask(
        &d, "record",
        "{'kind':'started','subjects':{'T1':{'what':'tomato','volume':'18 L','ec':'0.8 mS/cm'}}}");
}

/* ---- readings */

static void each_reading_has_its_own_verdict(void **ctx)
{
    json_t *a;

    (void)ctx;
    do_ask(&d, "clock", "{'advance':'3 h'}");
    a = ask(&d, "readings",
            "{'readings':[{'subject':'reservoir','at':'2026-03-01 09:00','ph':6.4},"
            "{'subject':'nobody','ph':6},7,{'ph':6},"
            "{'subject':'reservoir','at':'2026-03-01 08:00','ec':'0.06 mS/cm'},"
            "{'subject':'reservoir','at':1772348400,'level':'60 L'},"
            "{'subject':'reservoir','at':[],'ph':6},"
            "{'subject':'reservoir','at':4000000000,'ph':6}]}");
    ASSERT_COUNT(a, "refused", 8);
    ASSERT_NULL(a, "refused.0");
    ASSERT_TEXT(a, "refused.1", "the room has no 'nobody'");
    ASSERT_TEXT(a, "refused.2", "a reading names its subject");
    ASSERT_TEXT(a, "refused.3", "a reading names its subject");
    ASSERT_NULL(a, "refused.4");
    ASSERT_NULL(a, "refused.5");
    ASSERT_TEXT(a, "refused.6", "'at' is text, or seconds since 1970");
    ASSERT_TEXT(a, "refused.7", "a reading lies in the past");
    json_decref(a);
    a = ask(&d, "log", "{}"); /* numbered in the order of their time */
    ASSERT_COUNT(a, "entries", 3);
    ASSERT_TEXT(a, "entries.0.seq", "1");
    ASSERT_TEXT(a, "entries.0.happened", "2026-03-01T08:00:00+01:00"); /* 1772348400 */
    ASSERT_TEXT(a, "entries.2.seq", "3");
    ASSERT_NUMBER(a, "entries.2.figures.ph", 6.4, 0);
    json_decref(a);
    a = ask(&d, "status", "{}");
    ASSERT_NUMBER(a, "reservoir.volume_l", 60, 1e-6); /* a sensor's level is the volume */
    json_decref(a);
    a = ask(&d, "readings", "{'readings':[]}");
    ASSERT_COUNT(a, "refused", 0);
    json_decref(a);
}

/* ---- void */

static void a_void_takes_back_what_was_told(void **ctx)
{
    json_t *a;

    (void)ctx;
    start_t1();
    a = ask(&d, "void", "{'entry':'1','why':'it was T2'}");
    ASSERT_COUNT(a, "entries", 1);
    ASSERT_TEXT(a, "entries.0.kind", "voided");
    ASSERT_TEXT(a, "entries.0.voids", "1");
    ASSERT_TEXT(a, "entries.0.note", "it was T2");
    json_decref(a);
    a = ask(&d, "status", "{}");
    ASSERT_TEXT(a, "containers.0.condition", "idle");
    json_decref(a);
    a = ask(&d, "log", "{}");
    ASSERT_COUNT(a, "entries", 2); /* nothing is deleted */
    ASSERT_TRUE(a, "entries.0.voided");
    ASSERT_FALSE(a, "entries.1.voided");
    json_decref(a);
    refused(&d, "void", "{'entry':'1','why':'x'}", -32000, "entry", "entry 1 was voided already");
    refused(&d, "void", "{'entry':'9','why':'x'}", -32602, "", "there is no entry 9");
    refused(&d, "void", "{'entry':'x','why':'x'}", -32602, "entry", "'x' is no number of an entry");
}

static void with_an_acknowledgement_goes_all_that_was_told_with_it(void **ctx)
{
    json_t *a = ask_of_task("ack", task_of("T1", "start"),
                            ",'only':['T1','T2'],'figures':{'ec':'0.7 mS/cm','volume':'18 L'}");
    size_t n = json_array_size(part(a, "entries"));

    (void)ctx;
    json_decref(a);
    do_ask(&d, "record", "{'kind':'note','subjects':{'T1':{}},'note':'after it'}");
    a = ask(&d, "void", "{'entry':'1','why':'another room'}");
    ASSERT_COUNT(a, "entries", n);
    json_decref(a);
    assert_string_not_equal(task_of("T1", "start"), ""); /* open again */
    a = ask(&d, "log", "{'of':'T1'}");
    ASSERT_TEXT(a, "entries.1.note", "after it");
    ASSERT_FALSE(a, "entries.1.voided");
    json_decref(a);
}

static void of_what_was_told_together_one_may_go_alone_and_then_the_others(void **ctx)
{
    json_t *a = ask_of_task("ack", task_of("T1", "start"),
                            ",'only':['T1','T2'],'figures':{'ec':'0.7 mS/cm','volume':'18 L'}");
    size_t n = json_array_size(part(a, "entries"));

    (void)ctx;
    json_decref(a);
    a = ask(&d, "void", "{'entry':'3','why':'not that one'}");
    ASSERT_COUNT(a, "entries", 1);
    json_decref(a);
    a = ask(&d, "void", "{'entry':'1','why':'nor that'}");
    ASSERT_COUNT(a, "entries", n - 1); /* one is gone already */
    json_decref(a);
}

/* ---- told once */

static void a_request_with_a_key_is_told_once(void **ctx)
{
    static const char params[] = "{'kind':'note','subjects':{'T1':{}},'note':'once','key':'a-1'}";
    json_t *first = ask(&d, "record", params);
    json_t *again = ask(&d, "record", params);

    (void)ctx;
    assert_true(json_equal(first, again));
    assert_int_equal(n_entries(), 1);
    json_decref(first);
    json_decref(again);
    do_ask(&d, "record", "{'kind':'note','subjects':{'T1':{}},'note':'once','key':'a-2'}");
    assert_int_equal(n_entries(), 2);
}

static void an_acknowledgement_and_a_void_are_told_once_too(void **ctx)
{
    const char *more = ",'key':'k','figures':{'ec':'0.7 mS/cm','volume':'18 L'}";
    char id[24];
    json_t *first;
    json_t *again;

    (void)ctx;
    (void)snprintf(id, sizeof id, "%s", task_of("T1", "start"));
    first = ask_of_task("ack", id, more);
    again = ask_of_task("ack", id, more); /* the task is closed, and the answer as it was */
    assert_true(json_equal(first, again));
    json_decref(first);
    json_decref(again);
    first = ask(&d, "void", "{'entry':'1','why':'x','key':'v'}");
    again = ask(&d, "void", "{'entry':'1','why':'x','key':'v'}");
    assert_true(json_equal(json_object_get(first, "entries"), json_object_get(again, "entries")));
    json_decref(first);
    json_decref(again);
}

static void a_key_is_remembered_by_the_journal(void **ctx)
{
    static const char params[] = "{'kind':'note','subjects':{'T1':{}},'note':'once','key':'a-1'}";

    (void)ctx;
    do_ask(&d, "record", params);
    assert_int_equal(daemon_end(&d), 0);
    daemon_start(&d);
    do_ask(&d, "record", params);
    assert_int_equal(n_entries(), 1);
}

/* A script that forgot to change its key hears of it; nothing is lost under the name of another. */
static void a_key_is_good_for_one_thing(void **ctx)
{
    static const char *const others[][2] = {
        {"record",   "{'kind':'reading','subjects':{'reservoir':{'ph':6.3}},'key':'k'}"},
        {"record",   "{'kind':'note','subjects':{'reservoir':{}},'note':'x','key':'k'}"},
        {"record",   "{'kind':'reading','subjects':{'T1':{'ph':6.2}},'key':'k'}"       },
        {"void",     "{'entry':'1','why':'x','key':'k'}"                               },
        {"readings", "{'readings':[],'key':'k'}"                                       },
    };

    (void)ctx;
    do_ask(&d, "record", "{'kind':'reading','subjects':{'reservoir':{'ph':6.2}},'key':'k'}");
    do_ask(&d, "record", "{'kind':'reading','subjects':{'reservoir':{'ph':6.2}},'key':'k'}");
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        json_t *a = daemon_call(&d, others[i][0], others[i][1]);

        assert_non_null(strstr(json_string_value(part(a, "error.message")),
                               "the key 'k' was told before with"));
        json_decref(a);
    }
    assert_int_equal(n_entries(), 1);
}

static void readings_in_bulk_are_told_once_under_their_key(void **ctx)
{
    static const char params[] =
        "{'readings':[{'subject':'reservoir','ph':6.4},{'subject':'nobody','ph':6}],'key':'b-1'}";

    (void)ctx;
    do_ask(&d, "readings", params);
    assert_int_equal(daemon_end(&d), 0);
    daemon_start(&d);
    for (int i = 0; i < 2; i++) {
        json_t *a = ask(&d, "readings", params);

        ASSERT_COUNT(a, "refused", 2); /* the verdicts as before */
        ASSERT_NULL(a, "refused.0");
        ASSERT_TEXT(a, "refused.1", "the room has no 'nobody'");
        json_decref(a);
    }
    assert_int_equal(n_entries(), 1);
}

/* Nothing is said to be taken that is not in the journal. */
static void a_key_of_readings_that_comes_with_others_is_told_so(void **ctx)
{
    json_t *a;

    (void)ctx;
    do_ask(&d, "readings", "{'readings':[{'subject':'reservoir','ph':6.4}],'key':'b-1'}");
    a = ask(&d, "readings",
            "{'readings':[{'subject':'reservoir','ph':6.4},{'subject':'reservoir','ec':"
            "'0.1 mS/cm'}],'key':'b-1'}");
    ASSERT_NULL(a, "refused.0");
    ASSERT_TEXT(a, "refused.1", "the key 'b-1' was told before without it; take another");
    json_decref(a);
    refused(&d, "readings", "{'readings':[{'subject':'reservoir','ph':6.5}],'key':'b-1'}", -32000,
            "key",
            "the key 'b-1' was told before with something else (from entry 1 on); take another for "
            "this");
    assert_int_equal(n_entries(), 1);
}

/* Done, taken back and done again, all before anybody asks for the list: what comes after it has a
 * number of its own. */
static void a_task_that_was_done_again_keeps_its_number_to_itself(void **ctx)
{
    const char *id = task_of("T1", "start");
    static const char told[] = ",'only':['T1'],'figures':{'ec':'0.7 mS/cm','volume':'18 L'}";
    char first[24];
    json_t *a;

    (void)ctx;
    (void)snprintf(first, sizeof first, "%s", id);
    json_decref(ask_of_task("ack", first, told));
    do_ask(&d, "clock", "{'advance':'9 d'}");
    id = task_of("T1", "read");
    (void)snprintf(first, sizeof first, "%s", id);
    a = ask_of_task("ack", first,
                    ",'subjects':{'T1':{'ec':'0.7 mS/cm','ph':6,'volume':'17.5 L'}},'sure':true");
    json_decref(a);
    do_ask(&d, "undo", "{}");
    a = ask_of_task("ack", first,
                    ",'subjects':{'T1':{'ec':'0.7 mS/cm','ph':6,'volume':'17.5 L'}},'sure':true");
    json_decref(a);
    assert_string_not_equal(task_of("T1", "read"), "");
    assert_string_not_equal(task_of("T1", "read"), first);
}

/* Requests of one client are answered in their order, though each late one has the
 * state folded anew. */
static void requests_that_come_at_once_are_answered_in_order(void **ctx)
{
    char all[8192] = "";
    size_t len = 0;

    (void)ctx;
    do_ask(&d, "clock", "{'advance':'3 h'}");
    for (int i = 0; i < 20; i++) {
        len += (size_t)snprintf(
            all + len, sizeof all - len,
            "{\"jsonrpc\":\"2.0\",\"id\":%d,\"method\":\"record\",\"params\":{\"kind\":\"note\","
            "\"subjects\":{\"T1\":{}},\"note\":\"x\",\"at\":\"2026-03-01 0%d:00\"}}\n",
            100 + i, 9 - i % 3);
    }
    daemon_send(&d, all);
    for (int i = 0; i < 20; i++) {
        json_t *reply = daemon_hear(&d);

        ASSERT_NUMBER(reply, "id", 100 + i, 0);
        assert_non_null(part(reply, "result"));
        json_decref(reply);
    }
    assert_int_equal(n_entries(), 20);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(each_reading_has_its_own_verdict),
        TEST(a_void_takes_back_what_was_told),
        TEST(with_an_acknowledgement_goes_all_that_was_told_with_it),
        TEST(of_what_was_told_together_one_may_go_alone_and_then_the_others),
        TEST(a_request_with_a_key_is_told_once),
        TEST(an_acknowledgement_and_a_void_are_told_once_too),
        TEST(a_key_is_remembered_by_the_journal),
        TEST(a_key_is_good_for_one_thing),
        TEST(readings_in_bulk_are_told_once_under_their_key),
        TEST(a_key_of_readings_that_comes_with_others_is_told_so),
        TEST(a_task_that_was_done_again_keeps_its_number_to_itself),
        TEST(requests_that_come_at_once_are_answered_in_order),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
