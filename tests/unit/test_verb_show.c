/* One thing as a whole, and what the journal has of it: show and log. */
#include "tests/unit/a_served_room.h"

#include <stdlib.h>

static void start(const char *name)
{
    char params[200];

    (void)snprintf(params, sizeof params,
                   "{'kind':'started','subjects':{'%s':{'what':'tomato','volume':'18 L',"
                   "'ec':'0.8 mS/cm'}}}",
                   name);
    do_ask(&d, "record", params);
}

/* ---- show */

static void a_container_shows_what_its_file_says_and_what_its_plant_wants(void **ctx)
{
    json_t *a;

    (void)ctx;
    start("T1");
    a = ask(&d, "show", "{'what':'T1'}");
    ASSERT_TEXT(a, "type", "container");
    ASSERT_TEXT(a, "container.name", "T1");
    ASSERT_NUMBER(a, "container.start_volume_l", 18, 0);
    ASSERT_NUMBER(a, "container.float_volume_l", 8, 0);
    ASSERT_NUMBER(a, "container.remainder_l", 0.6, 0);
    ASSERT_NUMBER(a, "container.safe_volume_l", 18, 1e-6); /* no roots in the air yet */
    ASSERT_NUMBER(a, "container.solution", 1, 0);
    ASSERT_NUMBER(a, "container.planting", 1, 0);
    ASSERT_NUMBER(a, "container.strength_ms_cm", 0.8, 1e-9);
    ASSERT_NUMBER(a, "container.ph_min", 5.5, 0); /* config/crops/tomato.yaml */
    ASSERT_NUMBER(a, "container.ph_max", 6.5, 0);
    ASSERT_TEXT(a, "container.harvest_on", "2026-06-09"); /* a hundred days after its start */
    assert_true(json_number_value(part(a, "container.use_l_day")) > 0);
    assert_true(json_is_number(part(a, "container.ph_drift_day")));
    assert_true(json_is_number(part(a, "container.target_ec_ms_cm")));
    ASSERT_COUNT(a, "entries", 1);
    ASSERT_TEXT(a, "entries.0.kind", "started");
    ASSERT_TEXT(a, "entries.0.what", "tomato");
    ASSERT_TEXT(a, "entries.0.subject", "T1");
    ASSERT_NUMBER(a, "entries.0.figures.volume_l", 18, 0);
    ASSERT_NUMBER(a, "entries.0.figures.ec_ms_cm", 0.8, 0);
    assert_null(part(a, "entries.0.figures.ph"));
    json_decref(a);
}

static void a_container_shows_what_of_the_nutrients_is_in_it(void **ctx)
{
    char params[128];
    json_t *a;

    (void)ctx;
    a = ask(&d, "show", "{'what':'T1'}");
    ASSERT_COUNT(a, "container.feed", 0); /* nothing grows */
    json_decref(a);
    a = ask(&d, "show", "{'what':'T1'}");
    (void)snprintf(params, sizeof params,
                   "{'task':'%s','figures':{'ec':'0.7 mS/cm','volume':'18 L'},'sure':true}",
                   json_string_value(part(a, "tasks.0.id")));
    json_decref(a);
    do_ask(&d, "ack", params);
    a = ask(&d, "show", "{'what':'T1'}");
    ASSERT_TEXT(a, "container.feed.0.of", "N");
    /* 0.70 mS/cm less the water's 0.05, of 1.6 for the full dose with 156.8 mg/L; so weak it reads
     * 7 % more for each part (tests/published, EC-BEND); a syringe rounds */
    ASSERT_NUMBER(a, "container.feed.0.mg_l", 156.8 * 0.65 / 1.6 / 1.07, 1);
    assert_true(json_is_number(part(a, "container.feed.0.lo"))); /* published for tomatoes */
    json_decref(a);
}

/* In whatever unit it was told. */
static void a_container_and_the_reservoir_show_how_warm_they_were_and_what_was_seen(void **ctx)
{
    json_t *a;

    (void)ctx;
    start("T1");
    a = ask(&d, "show", "{'what':'T1'}");
    assert_true(json_is_null(part(a, "container.measured.temp_c")));
    ASSERT_COUNT(a, "container.seen", 0);
    json_decref(a);
    do_ask(&d, "record", "{'kind':'reading','subjects':{'T1':{'temp':'86 °F'}}}");
    do_ask(&d, "record", "{'kind':'observation','subjects':{'T1':{'what':'wilting'}}}");
    do_ask(&d, "record", "{'kind':'reading','subjects':{'reservoir':{'temp':'77F'}}}");
    do_ask(&d, "record", "{'kind':'observation','subjects':{'reservoir':{'what':'algae'}}}");
    a = ask(&d, "show", "{'what':'T1'}");
    ASSERT_NUMBER(a, "container.measured.temp_c.value", 30, 1e-9);
    ASSERT_COUNT(a, "container.seen", 1);
    ASSERT_TEXT(a, "container.seen.0.what", "wilting");
    ASSERT_TEXT(a, "container.seen.0.says", "it wilts");
    assert_true(json_is_string(part(a, "container.seen.0.check")));
    json_decref(a);
    a = ask(&d, "show", "{'what':'reservoir'}");
    ASSERT_NUMBER(a, "reservoir.temp_c", 25, 1e-9);
    ASSERT_TEXT(a, "reservoir.seen.0.what", "algae");
    json_decref(a);
    a = ask(&d, "status", "{}");
    ASSERT_COUNT(a, "alarms", 2); /* the graver first */
    ASSERT_TEXT(a, "alarms.0.kind", "wilting");
    ASSERT_TEXT(a, "alarms.1.kind", "hot");
    json_decref(a);
}

static void only_the_ten_newest_entries_are_shown_with_a_thing(void **ctx)
{
    json_t *a;

    (void)ctx;
    start("T1");
    for (int i = 0; i < 11; i++) {
        do_ask(&d, "clock", "{'advance':'1 h'}");
        do_ask(&d, "record", "{'kind':'note','subjects':{'T1':{}},'note':'x'}");
    }
    a = ask(&d, "show", "{'what':'T1'}");
    ASSERT_COUNT(a, "entries", 10);
    ASSERT_TEXT(a, "entries.0.seq", "12");
    ASSERT_TEXT(a, "entries.9.seq", "3");
    json_decref(a);
}

static void only_the_open_tasks_of_the_thing_are_shown_with_it(void **ctx)
{
    json_t *a = ask(&d, "show", "{'what':'T2'}");

    (void)ctx;
    ASSERT_COUNT(a, "tasks", 1); /* once, although four containers are started together */
    ASSERT_COUNT(a, "tasks.0.subjects", 4);
    json_decref(a);
    a = ask(&d, "show", "{'what':'ec-pen'}");
    ASSERT_COUNT(a, "tasks", 1);
    ASSERT_TEXT(a, "tasks.0.subjects.0", "ec-pen");
    json_decref(a);
}

static void the_reservoir_shows_what_the_floats_will_draw(void **ctx)
{
    json_t *a;

    (void)ctx;
    do_ask(&d, "record", "{'kind':'reservoir-filled','subjects':{'reservoir':{'volume':'80 L'}}}");
    a = ask(&d, "show", "{'what':'reservoir'}");
    ASSERT_TEXT(a, "type", "reservoir");
    ASSERT_NUMBER(a, "reservoir.draw_l_day", 0, 0); /* nothing is on its float */
    ASSERT_NULL(a, "reservoir.low_on");
    ASSERT_NULL(a, "reservoir.ph");
    json_decref(a);
    start("T1");
    do_ask(&d, "record",
           "{'kind':'float-seen','subjects':{'T1':{'what':'yes','volume':'8 L'}},"
           "'sure':true}");
    do_ask(&d, "record", "{'kind':'reading','subjects':{'reservoir':{'ph':6.4}}}");
    a = ask(&d, "show", "{'what':'reservoir'}");
    assert_true(json_number_value(part(a, "reservoir.draw_l_day")) > 0);
    assert_true(json_is_string(part(a, "reservoir.low_on")));
    ASSERT_NUMBER(a, "reservoir.ph", 6.4, 0);
    json_decref(a);
}

static void a_product_shows_what_is_in_it_and_where_it_goes(void **ctx)
{
    json_t *a = ask(&d, "show", "{'what':'potassium-phosphate'}");

    (void)ctx;
    ASSERT_TEXT(a, "type", "product");
    ASSERT_COUNT(a, "product.recipes", 1);
    ASSERT_TEXT(a, "product.recipes.0", "fruit");
    ASSERT_NULL(a, "product.reagent");
    ASSERT_TEXT(a, "product.contents.0.of", "P");
    /* 11 % P2O5 at 1.25 g/mL; 2 x 30.974 of 141.943 g/mol is P (IUPAC 2021) */
    ASSERT_NUMBER(a, "product.contents.0.mg_l", 0.11 * 1250 * 61.948 / 141.943, 0.01);
    ASSERT_NULL(a, "product.contents.0.lo"); /* no crop to set it beside */
    json_decref(a);
    a = ask(&d, "show", "{'what':'acid-down'}");
    ASSERT_TEXT(a, "product.reagent", "phosphoric acid");
    ASSERT_COUNT(a, "product.recipes", 0);
    ASSERT_NULL(a, "product.strength"); /* no dose of it was told yet */
    json_decref(a);
    a = ask(&d, "show", "{'what':'calcium-part'}");
    ASSERT_COUNT(a, "product.recipes", 2);
    json_decref(a);
}

static void a_recipe_shows_its_doses_and_what_was_learned_of_it(void **ctx)
{
    json_t *a = ask(&d, "show", "{'what':'leaf'}");

    (void)ctx;
    ASSERT_TEXT(a, "type", "recipe");
    ASSERT_TEXT(a, "recipe.name", "leaf");
    ASSERT_NUMBER(a, "recipe.ec_gain_ms_cm", 1.6, 0);
    ASSERT_NUMBER(a, "recipe.told_gain_ms_cm", 1.6, 0);
    ASSERT_FALSE(a, "recipe.estimated");
    ASSERT_NULL(a, "recipe.learned");
    ASSERT_COUNT(a, "recipe.doses", 2);
    ASSERT_TEXT(a, "recipe.doses.0.product", "calcium-part");
    ASSERT_NUMBER(a, "recipe.doses.0.per_l", 2, 0);
    ASSERT_TEXT(a, "recipe.doses.0.unit", "mL");
    ASSERT_TEXT(a, "recipe.feed.0.of", "N");
    ASSERT_NUMBER(a, "recipe.feed.0.mg_l", 156.8,
                  1e-6); /* 120 of calcium-part and 36.8 of sulfate-part */
    /* The salts would give about what the file says: within a fifth. */
    ASSERT_NUMBER(a, "recipe.estimate_ms_cm", 1.6, 0.32);
    json_decref(a);
    do_ask(&d, "record",
           "{'kind':'mix-made','subjects':{'reservoir':{'what':'leaf','volume':'60 L',"
           "'ec':'1.75 mS/cm','amounts':{'calcium-part':'120 mL','sulfate-part':'120 mL'}}}}");
    a = ask(&d, "show", "{'what':'leaf'}");
    ASSERT_NUMBER(a, "recipe.learned.used", 1, 0);
    ASSERT_NUMBER(a, "recipe.learned.aside", 0, 0);
    assert_true(json_number_value(part(a, "recipe.learned.value")) > 1.6); /* 1.70 was measured */
    assert_true(json_number_value(part(a, "recipe.learned.value")) < 1.7 + 1e-9);
    assert_true(json_number_value(part(a, "recipe.learned.sd")) > 0);
    ASSERT_NUMBER(a, "recipe.told_gain_ms_cm", 1.6, 0);
    json_decref(a);
}

static void a_meter_shows_under_its_name(void **ctx)
{
    json_t *a = ask(&d, "show", "{'what':'ec-pen'}");

    (void)ctx;
    ASSERT_TEXT(a, "type", "meter");
    ASSERT_TEXT(a, "meter.name", "ec-pen");
    ASSERT_TEXT(a, "meter.kind", "ec");
    json_decref(a);
}

static void a_task_comes_with_its_steps(void **ctx)
{
    json_t *list = ask(&d, "show", "{'what':'T1'}");
    char params[64];
    json_t *a;

    (void)ctx;
    (void)snprintf(params, sizeof params, "{'what':'%s'}",
                   json_string_value(part(list, "tasks.0.id")));
    json_decref(list);
    a = ask(&d, "show", params);
    ASSERT_TEXT(a, "type", "task");
    ASSERT_TEXT(a, "task.kind", "start");
    assert_true(json_array_size(part(a, "worksheet")) > 3);
    ASSERT_NULL(a, "gives");     /* weak on purpose */
    ASSERT_COUNT(a, "wants", 0); /* that is for changes */
    ASSERT_COUNT(a, "other_days", 0);
    json_decref(a);
    a = ask(&d, "show", "{'what':'1'}");
    ASSERT_TEXT(a, "task.kind", "calibrate");
    ASSERT_NULL(a, "gives"); /* nothing is mixed */
    json_decref(a);
}

/* The number of the first open task of a kind that a thing shows. */
static void find_task(char id[24], const char *what, const char *kind)
{
    char params[64];
    json_t *list;
    json_t *t;
    size_t i;

    id[0] = '\0';
    (void)snprintf(params, sizeof params, "{'what':'%s'}", what);
    list = ask(&d, "show", params);
    json_array_foreach(part(list, "tasks"), i, t)
    {
        if (!id[0] && strcmp(json_string_value(json_object_get(t, "kind")), kind) == 0) {
            (void)snprintf(id, 24, "%s", json_string_value(json_object_get(t, "id")));
        }
    }
    json_decref(list);
}

/* A program doses by it: no sentence is to be taken apart for that. */
static void the_acid_of_a_step_is_told_in_figures_too(void **ctx)
{
    char id[24];
    char params[64];
    size_t n_dosed = 0;
    json_t *step;
    json_t *a;
    size_t i;

    (void)ctx;
    find_task(id, "reservoir", "fill");
    (void)snprintf(params, sizeof params, "{'what':'%s'}", id);
    a = ask(&d, "show", params);
    json_array_foreach(part(a, "worksheet"), i, step)
    {
        const json_t *product = json_object_get(step, "product");
        const json_t *ml = json_object_get(step, "amount_ml");
        const char *said = strstr(json_string_value(json_object_get(step, "text")), "take about ");

        assert_true(json_is_string(product) ? json_is_number(ml)
                                            : json_is_null(product) && json_is_null(ml));
        if (json_is_string(product)) {
            n_dosed++;
            assert_string_equal(json_string_value(product), "acid-down");
            assert_non_null(said); /* to two digits */
            assert_float_equal(strtod(said + strlen("take about "), NULL), json_number_value(ml),
                               0.06 * json_number_value(ml));
        }
    }
    assert_int_equal(n_dosed, 1);
    json_decref(a);
}

static void a_bottle_shows_what_its_doses_taught(void **ctx)
{
    json_t *a;

    (void)ctx;
    do_ask(&d, "record",
           "{'kind':'reservoir-filled','subjects':{'reservoir':{'volume':'80 L','ph':5.8,"
           "'amounts':{'acid-down':'6 mL'}}},'sure':true}");
    a = ask(&d, "show", "{'what':'acid-down'}");
    ASSERT_NUMBER(a, "product.strength.used", 1, 0);
    ASSERT_NUMBER(a, "product.strength.aside", 0, 0);
    assert_true(json_number_value(part(a, "product.strength.value")) > 0);
    assert_true(json_number_value(part(a, "product.strength.sd")) > 0);
    json_decref(a);
}

static void a_change_says_what_each_container_wants_and_what_other_days_would_cost(void **ctx)
{
    json_t *a;
    json_t *t;
    size_t i;
    char id[24];
    char params[64];

    (void)ctx;
    start("T1");
    start("T2");
    do_ask(&d, "clock", "{'advance':'18 days'}"); /* its change is less than four weeks ahead now */
    find_task(id, "T1", "change");
    assert_string_not_equal(id, "");
    (void)snprintf(params, sizeof params, "{'what':'%s'}", id);
    a = ask(&d, "show", params);
    assert_int_equal(json_array_size(part(a, "wants")), json_array_size(part(a, "task.subjects")));
    assert_true(json_equal(part(a, "wants.0.name"), part(a, "task.subjects.0")));
    assert_true(json_number_value(part(a, "wants.0.ec_ms_cm")) > 0.5);
    assert_true(strcmp(json_string_value(part(a, "wants.0.earliest")),
                       json_string_value(part(a, "wants.0.latest"))) <= 0);
    assert_true(json_array_size(part(a, "other_days")) > 0);
    ASSERT_TEXT(a, "gives.crop", "tomato");
    ASSERT_TEXT(a, "gives.feed.0.of", "N");
    /* of 1.6 mS/cm for the full dose with 156.8 mg/L; weak ones conduct better */
    ASSERT_NUMBER(a, "gives.feed.0.mg_l",
                  156.8 * (json_number_value(part(a, "task.ec_ms_cm")) - 0.05) / 1.6 / 1.05, 4);
    json_array_foreach(part(a, "other_days"), i, t)
    {
        assert_false(json_equal(json_object_get(t, "on"), part(a, "task.on")));
    }
    assert_true(json_number_value(part(a, "task.volume_l")) > 10); /* of the whole mix */
    json_decref(a);
}

static void what_cannot_be_shown_says_why(void **ctx)
{
    (void)ctx;
    refused(&d, "show", "{'what':'99'}", -32602, "what", "there is no open task 99");
    refused(&d, "show", "{'what':'room'}", -32602, "what",
            "for the room as a whole ask its status");
}

/* ---- log */

static void tell_five_notes(void)
{
    for (int i = 0; i < 5; i++) {
        char params[128];

        (void)snprintf(params, sizeof params,
                       "{'kind':'note','subjects':{'%s':{}},'note':'note %d'}", i % 2 ? "T1" : "T2",
                       i + 1);
        do_ask(&d, "record", params);
        do_ask(&d, "clock", "{'advance':'1 h'}");
    }
}

static void the_log_is_in_the_order_of_what_happened(void **ctx)
{
    json_t *a;

    (void)ctx;
    tell_five_notes();
    do_ask(&d, "record",
           "{'kind':'note','subjects':{'T1':{}},'at':'2026-03-01 07:30','note':'between'}");
    a = ask(&d, "log", "{}");
    ASSERT_COUNT(a, "entries", 6);
    ASSERT_TEXT(a, "entries.0.note", "note 1");
    ASSERT_TEXT(a, "entries.1.note", "between");
    ASSERT_TEXT(a, "entries.1.seq", "6");
    ASSERT_TEXT(a, "entries.1.happened", "2026-03-01T07:30:00+01:00");
    ASSERT_TEXT(a, "entries.1.told", "2026-03-01T12:00:00+01:00");
    ASSERT_TEXT(a, "entries.2.note", "note 2");
    ASSERT_NULL(a, "next");
    ASSERT_FALSE(a, "entries.0.voided");
    ASSERT_NULL(a, "entries.0.task");
    ASSERT_NULL(a, "entries.0.what");
    ASSERT_NULL(a, "entries.0.voids");
    ASSERT_NULL(a, "entries.0.until");
    ASSERT_NULL(a, "entries.0.doubt");
    ASSERT_NUMBER(a, "entries.0.uid", getuid(), 0);
    assert_non_null(strstr(json_string_value(part(a, "entries.0.text")), "note 1"));
    json_decref(a);
}

static void a_log_may_be_of_one_thing_and_of_a_span_of_time(void **ctx)
{
    json_t *a;

    (void)ctx;
    tell_five_notes(); /* at 07:00, 08:00 … 11:00 */
    a = ask(&d, "log", "{'of':'T1'}");
    ASSERT_COUNT(a, "entries", 2);
    ASSERT_TEXT(a, "entries.1.note", "note 4");
    json_decref(a);
    a = ask(&d, "log", "{'since':'2026-03-01 08:00','until':'2026-03-01 10:00'}");
    ASSERT_COUNT(a, "entries", 2); /* since is in, until is out */
    ASSERT_TEXT(a, "entries.0.note", "note 2");
    ASSERT_TEXT(a, "entries.1.note", "note 3");
    json_decref(a);
}

static void a_long_log_comes_in_pages(void **ctx)
{
    json_t *a;

    (void)ctx;
    tell_five_notes();
    a = ask(&d, "log", "{'limit':2}");
    ASSERT_COUNT(a, "entries", 2);
    ASSERT_NUMBER(a, "next", 2, 0);
    json_decref(a);
    a = ask(&d, "log", "{'limit':2,'after':2}");
    ASSERT_TEXT(a, "entries.0.note", "note 3");
    ASSERT_NUMBER(a, "next", 4, 0);
    json_decref(a);
    a = ask(&d, "log", "{'limit':2,'after':4}");
    ASSERT_COUNT(a, "entries", 1);
    ASSERT_NULL(a, "next");
    json_decref(a);
    do_ask(&d, "log", "{'limit':1000}");
    do_ask(&d, "log", "{'limit':1}");
    refused(&d, "log", "{'limit':1001}", -32602, "limit", "1 to 1000 entries are listed at once");
    refused(&d, "log", "{'limit':0}", -32602, "limit", "1 to 1000 entries are listed at once");
    refused(&d, "log", "{'after':77}", -32602, "", "there is no entry 77");
}

static void without_a_limit_a_page_has_two_hundred(void **ctx)
{
    char *all = calloc(1, 16384);
    size_t len = (size_t)snprintf(all, 16384, "{'readings':[");
    json_t *a;

    (void)ctx;
    start("T1");
    for (int i = 0; i < 201; i++) {
        len += (size_t)snprintf(all + len, 16384 - len, "%s{'subject':'T1','ph':6}", i ? "," : "");
    }
    (void)snprintf(all + len, 16384 - len, "]}");
    do_ask(&d, "readings", all);
    a = ask(&d, "log", "{}");
    ASSERT_COUNT(a, "entries", 200);
    ASSERT_NUMBER(a, "next", 200, 0);
    json_decref(a);
    free(all);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_container_shows_what_its_file_says_and_what_its_plant_wants),
        TEST(a_container_shows_what_of_the_nutrients_is_in_it),
        TEST(a_container_and_the_reservoir_show_how_warm_they_were_and_what_was_seen),
        TEST(only_the_ten_newest_entries_are_shown_with_a_thing),
        TEST(only_the_open_tasks_of_the_thing_are_shown_with_it),
        TEST(the_reservoir_shows_what_the_floats_will_draw),
        TEST(a_product_shows_what_is_in_it_and_where_it_goes),
        TEST(a_recipe_shows_its_doses_and_what_was_learned_of_it),
        TEST(a_meter_shows_under_its_name),
        TEST(a_task_comes_with_its_steps),
        TEST(the_acid_of_a_step_is_told_in_figures_too),
        TEST(a_bottle_shows_what_its_doses_taught),
        TEST(a_change_says_what_each_container_wants_and_what_other_days_would_cost),
        TEST(what_cannot_be_shown_says_why),
        TEST(the_log_is_in_the_order_of_what_happened),
        TEST(a_log_may_be_of_one_thing_and_of_a_span_of_time),
        TEST(a_long_log_comes_in_pages),
        TEST(without_a_limit_a_page_has_two_hundred),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
