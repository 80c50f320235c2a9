/* What a person gets to read: screens that fit 80 columns, and CSV that a spreadsheet reads. */
#include "cli/csv.h"
#include "cli/help.h"
#include "cli/run.h"
#include "cli/verb.h"
#include "tests/unit/a_screen.h"

static json_t *json_of(const char *text)
{
    json_t *o = json_loads(text, 0, NULL);

    assert_non_null(o);
    return o;
}

static const char a_reservoir[] =
    "{\"volume_l\":78,\"capacity_l\":120,\"low_l\":30,\"remainder_l\":4,\"ec_ms_cm\":0.3,"
    "\"holds\":\"water\",\"recipe\":null,\"low_on\":\"2026-03-03\",\"empty_on\":\"2026-03-07\"}";

static json_t *a_container(const char *name, const char *condition, double volume_l)
{
    return json_pack("{s:s, s:s, s:s, s:s, s:i, s:f, s:f, s:s, s:b}", "name", name, "condition",
                     condition, "crop", "lettuce", "stage", "vegetative", "day", 17, "volume_l",
                     volume_l, "ec_ms_cm", 1.2, "float_on", "2026-03-14", "float_seen", 0);
}

static json_t *a_status(json_t *containers)
{
    return json_pack("{s:s, s:b, s:o, s:o, s:[], s:[]}", "now", "2026-03-01T07:00:00+01:00",
                     "simulated", 1, "reservoir", json_of(a_reservoir), "containers", containers,
                     "meters", "notices");
}

static void containers_that_read_the_same_share_a_row(void **ctx)
{
    struct view v = a_view("L", "mS/cm");
    json_t *pots = json_array();
    struct text t = {0};
    json_t *status;

    (void)ctx;
    (void)json_array_append_new(pots, a_container("A1", "drawdown", 8.3));
    (void)json_array_append_new(pots, a_container("A2", "drawdown", 8.3));
    (void)json_array_append_new(pots, a_container("A3", "drawdown", 8.3));
    (void)json_array_append_new(pots, a_container("A4", "on float", 7.6));
    status = a_status(pots);
    screen_status(&v, status, &t);
    assert_string_equal(
        text_str(&t),
        "Cellar                                         Sun 1 Mar 2026, 07:00 (simulated)\n"
        "\n"
        "Reservoir     78.0 L of 120 L (65 %), plain water, 0.30 mS/cm\n"
        "              low mark 30.0 L on Tue 3 Mar (in 2 days), empty on Sat 7 Mar\n"
        "\n"
        "4 containers: 3 drawdown, 1 on float\n"
        "\n"
        "Container  Crop     Stage       Day  Water       L  mS/cm  Float line\n"
        "A1..A3     lettuce  vegetative   17  drawdown  8.3   1.20  Sat 14 Mar\n"
        "A4         lettuce  vegetative   17  on float  7.6   1.20  Sat 14 Mar, unseen\n");
    json_decref(status);
    text_deinit(&t);
}

static void figures_are_shown_in_the_units_of_the_room(void **ctx)
{
    struct view v = a_view("gal", "ppm500");
    json_t *pots = json_array();
    struct text t = {0};
    json_t *status;

    (void)ctx;
    (void)json_array_append_new(pots, a_container("A1", "drawdown", 18.927));
    status = a_status(pots);
    screen_status(&v, status, &t);
    assert_non_null(strstr(text_str(&t), " gal  ppm500  Float line\n"));
    assert_non_null(strstr(text_str(&t), "  5.00     600  Sat 14 Mar\n"));
    json_decref(status);
    text_deinit(&t);
}

static const char a_task[] =
    "{\"id\":\"39\",\"kind\":\"check\",\"what\":\"check\",\"subjects\":[\"B1\"],"
    "\"earliest\":\"2026-02-25\",\"due\":\"2026-02-26\",\"latest\":\"2026-02-27\","
    "\"on\":\"2026-02-26\",\"minutes\":2,\"why\":\"the float line should be reached\","
    "\"loss\":\"a stuck float lets the plant dry out\",\"overdue\":true,\"recipe\":null,"
    "\"ec_ms_cm\":null,\"volume_l\":null}";

static void an_overdue_task_says_so_in_a_word(void **ctx)
{
    struct view v = a_view("L", "mS/cm");
    json_t *today = json_pack("{s:s, s:[o], s:i, s:i}", "date", "2026-03-01", "tasks",
                              json_of(a_task), "minutes", 2, "budget_min", 60);
    struct text t = {0};

    (void)ctx;
    screen_today(&v, today, &t);
    assert_string_equal(
        text_str(&t),
        "Cellar, Sun 1 Mar 2026                                 2 min of the day's 60 min\n"
        "\n"
        "Not later     39 check\n"
        "\n"
        "  39  check: B1                                  OVERDUE since Fri 27 Feb, 2 min\n"
        "      The float line should be reached.\n"
        "      If it is left: a stuck float lets the plant dry out.\n"
        "\n"
        "Steps:  tarn show 39\n"
        "Done:   tarn ack 39 float=yes\n"
        "Later:  tarn defer 39 --to tomorrow\n");
    json_decref(today);
    text_deinit(&t);
}

/* Nobody is told to sit back over an alarm, or on a day off with work waiting. */
static void a_day_without_tasks_says_when_the_next_are(void **ctx)
{
    (void)ctx;
    assert_shows(screen_today,
                 "{'date':'2026-03-01','tasks':[],'off':true,"
                 "'next':{'date':'2026-03-03','tasks':2,'minutes':35}}",
                 "Cellar, Sun 1 Mar 2026\n"
                 "\n"
                 "A day off: no work is planned for it.\n"
                 "\n"
                 "Next:   Tue 3 Mar (in 2 days), 2 tasks, 35 min\n"
                 "Ahead:  tarn outlook\n");
    assert_says(screen_today, "{'date':'2026-03-01','tasks':[],'off':false,'next':null}",
                "No task is on the list of this day.\n"
                "\n"
                "Next:   nothing is planned in the days ahead\n");
    assert_says(screen_today,
                "{'date':'2026-03-01','tasks':[],'notices':[{'key':'leak/reservoir','text':'water "
                "goes','alarm':true}]}",
                "! Water goes.\n"
                "\n"
                "No task is on the list of this day; see to the above.\n");
}

static void a_task_for_many_containers_still_fits(void **ctx)
{
    struct view v = a_view("L", "mS/cm");
    json_t *task = json_of(a_task);
    json_t *names = json_array();
    struct text t = {0};

    (void)ctx;
    for (int i = 1; i < 120; i += 2) {
        (void)json_array_append_new(names, json_sprintf("shelf-%d", i));
    }
    (void)json_object_set_new(task, "subjects", names);
    screen_task(&v, task, &t);
    assert_fits(text_str(&t));
    assert_non_null(strstr(text_str(&t), "shelf-119"));
    json_decref(task);
    text_deinit(&t);
}

static void worksheet_steps_are_numbered_and_cautions_indented(void **ctx)
{
    json_t *sheet = json_of("[{\"text\":\"Stir.\",\"caution\":null},"
                            "{\"text\":\"Add 45 mL sulfate-part.\",\"caution\":\"Gloves.\"}]");
    struct text t = {0};

    (void)ctx;
    screen_worksheet(sheet, &t);
    assert_string_equal(text_str(&t), "   1. Stir.\n"
                                      "   2. Add 45 mL sulfate-part.\n"
                                      "        Caution: Gloves.\n");
    json_decref(sheet);
    text_deinit(&t);
}

static const char an_entry[] =
    "{\"seq\":\"17\",\"happened\":\"2026-03-01T07:05:00+01:00\","
    "\"told\":\"2026-03-01T07:06:00+01:00\",\"kind\":\"reading\",\"subject\":\"A3\","
    "\"what\":null,\"figures\":{\"ec_ms_cm\":1.2,\"ph\":5.8},"
    "\"amounts\":[{\"product\":\"calcium-part\",\"amount\":45,\"unit\":\"mL\"}],\"until\":null,"
    "\"task\":\"41\",\"voids\":null,\"voided\":true,\"uid\":1000,\"who\":\"anna\","
    "\"note\":\"it said \\\"low\\\"\",\"text\":\"A3 reading: EC 1.20 mS/cm, pH 5.8\"}";

static void a_voided_entry_is_marked(void **ctx)
{
    struct view v = a_view("L", "mS/cm");
    json_t *entry = json_of(an_entry);
    struct text t = {0};

    (void)ctx;
    screen_entry(&v, entry, &t);
    assert_string_equal(text_str(&t), "Sun 1 Mar 07:05      17  [voided] A3 reading: EC 1.20 "
                                      "mS/cm, pH 5.8 (anna)\n");
    json_decref(entry);
    text_deinit(&t);
}

static void csv_has_a_column_for_every_figure(void **ctx)
{
    json_t *entry = json_of(an_entry);
    struct text t = {0};

    (void)ctx;
    csv_head(&t);
    csv_entry(&t, entry);
    assert_string_equal(
        text_str(&t),
        "seq,happened,told,kind,subject,what,volume_l,added_l,ec_ms_cm,ph,temp_c,"
        "slope_pct,offset_mv,amount,yield_g,was_ms_cm,took_min,jobs,amounts,until,task,voids,"
        "voided,uid,who,note,text\r\n"
        "17,2026-03-01T07:05:00+01:00,2026-03-01T07:06:00+01:00,reading,A3,,,,1.2,"
        "5.8,,,,,,,,,45 mL calcium-part,,41,,yes,1000,anna,\"it said \"\"low\"\"\","
        "\"A3 reading: EC 1.20 mS/cm, pH 5.8\"\r\n");
    json_decref(entry);
    text_deinit(&t);
}

/* RFC 4180, section 2, rules 5 to 7. */
static void csv_quotes_commas_quotes_and_line_ends(void **ctx)
{
    struct text t = {0};

    (void)ctx;
    csv_field(&t, 0, "plain");
    csv_field(&t, 1, "a,b");
    csv_field(&t, 2, "a\"b");
    csv_field(&t, 3, "a\nb");
    csv_field(&t, 4, "");
    assert_string_equal(text_str(&t), "plain,\"a,b\",\"a\"\"b\",\"a\nb\",");
    text_deinit(&t);
}

static void control_signs_in_a_note_never_reach_the_terminal(void **ctx)
{
    json_t *o = json_of("{\"a\":[\"red \\u001b[31m\",\"\\u009b2J\",\"21 °C\"]}");
    json_t *a = json_object_get(o, "a");

    (void)ctx;
    view_clean(o);
    assert_string_equal(json_string_value(json_array_get(a, 0)), "red  [31m");
    assert_string_equal(json_string_value(json_array_get(a, 1)), " 2J");
    assert_string_equal(json_string_value(json_array_get(a, 2)), "21 °C");
    json_decref(o);
}

static void an_answer_without_its_fields_is_shown_all_the_same(void **ctx)
{
    struct view v = a_view("L", "mS/cm");
    json_t *empty = json_object();

    (void)ctx;
    for (size_t i = 0; i < n_verbs; i++) {
        struct text t = {0};

        if (verbs[i].show) {
            verbs[i].show(&v, empty, &t);
            assert_fits(text_str(&t));
        }
        text_deinit(&t);
    }
    json_decref(empty);
}

static void help_fits_80_columns_and_names_every_verb(void **ctx)
{
    struct text all = {0};

    (void)ctx;
    help_all(&all);
    assert_fits(text_str(&all));
    for (size_t i = 0; i < n_verbs; i++) {
        struct text one = {0};
        struct text line = {0};

        text_add(&line, "\n  %s ", verbs[i].name);
        assert_non_null(strstr(text_str(&all), text_str(&line)));
        help_verb(&verbs[i], &one);
        assert_fits(text_str(&one));
        assert_non_null(strstr(text_str(&one), "\nExamples:\n  "));
        text_deinit(&one);
        text_deinit(&line);
    }
    text_deinit(&all);
}

static void a_command_is_repeated_with_quotes_where_the_shell_needs_them(void **ctx)
{
    char word[5][20] = {"ack", "41", "ec=9mS/cm", "--note=it's odd", ""};
    char *const argv[] = {word[0], word[1], word[2], word[3], word[4]};
    struct text t = {0};

    (void)ctx;
    run_quote(5, argv, &t);
    assert_string_equal(text_str(&t), "ack 41 ec=9mS/cm '--note=it'\\''s odd' ''");
    text_deinit(&t);
}

/* The answer to "tarn mix": amounts in order, with the other system of units in brackets. */
static void a_mix_tells_amounts_in_order_and_what_they_give(void **state)
{
    struct view v = a_view("L", "mS/cm");
    struct text out = {0};
    json_t *answer =
        json_of("{\"kind\":\"dose\",\"recipe\":\"fruit\",\"crop\":\"tomato\",\"stage\":\"bearing\","
                "\"volume_l\":30,\"ec_ms_cm\":1.4,\"water_l\":30,\"hard_l\":0,\"off_pct\":1.2,"
                "\"estimate_ms_cm\":1.5,\"estimate_off_pct\":10,\"doses\":["
                "{\"product\":\"calcium-part\",\"amount\":40,\"unit\":\"mL\",\"tool\":\"cylinder\","
                "\"thin\":1,"
                "\"measure\":40},"
                "{\"product\":\"sulfate-part\",\"amount\":0.76,\"unit\":\"mL\",\"tool\":"
                "\"syringe\",\"thin\":10,"
                "\"measure\":7.6}],"
                "\"feed\":[{\"of\":\"N\",\"mg_l\":106.4,\"lo\":70,\"hi\":150},"
                "{\"of\":\"Fe\",\"mg_l\":1.3,\"lo\":null,\"hi\":null}]}");

    (void)state;
    screen_mix(&v, answer, &out);
    assert_string_equal(
        text_str(&out),
        "fruit, 30.0 L (7.93 gal) at 1.40 mS/cm\n"
        "\n"
        "Water         30.0 L (7.93 gal) of plain water\n"
        "In this order 40 mL (1.35 fl oz) of calcium-part, by cylinder\n"
        "              7.6 mL of sulfate-part thinned: 1 part and 9 of water, by syringe\n"
        "Rounding      moves what the dose adds by 1.2 % at most\n"
        "              One after the other, each stirred in: never two concentrates\n"
        "              together.\n"
        "EC            1.50 mS/cm by what the products contain, within 10 %\n"
        "\n"
        "Beside what was published for tomato, bearing, in mg/L:\n"
        "      mg/L  published\n"
        "  N    106  70 to 150\n"
        "  Fe   1.3          -\n");
    assert_fits(text_str(&out));
    json_decref(answer);
    text_deinit(&out);
}

static void a_copy_says_how_many_entries_it_holds(void **ctx)
{
    (void)ctx;
    assert_shows(screen_backup, "{'file':'/var/x.db','entries':41}",
                 "/var/x.db holds 41 entries, and was read back.\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(containers_that_read_the_same_share_a_row),
        cmocka_unit_test(figures_are_shown_in_the_units_of_the_room),
        cmocka_unit_test(an_overdue_task_says_so_in_a_word),
        cmocka_unit_test(a_day_without_tasks_says_when_the_next_are),
        cmocka_unit_test(a_task_for_many_containers_still_fits),
        cmocka_unit_test(worksheet_steps_are_numbered_and_cautions_indented),
        cmocka_unit_test(a_voided_entry_is_marked),
        cmocka_unit_test(a_copy_says_how_many_entries_it_holds),
        cmocka_unit_test(csv_has_a_column_for_every_figure),
        cmocka_unit_test(csv_quotes_commas_quotes_and_line_ends),
        cmocka_unit_test(control_signs_in_a_note_never_reach_the_terminal),
        cmocka_unit_test(an_answer_without_its_fields_is_shown_all_the_same),
        cmocka_unit_test(help_fits_80_columns_and_names_every_verb),
        cmocka_unit_test(a_command_is_repeated_with_quotes_where_the_shell_needs_them),
        cmocka_unit_test(a_mix_tells_amounts_in_order_and_what_they_give),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
