/* The room now, the day's list, and what was written down. */
#include "tests/unit/a_screen.h"

#define RESERVOIR                                                                                  \
    "'reservoir':{'volume_l':78,'capacity_l':120,'low_l':30,'ec_ms_cm':0.3,'holds':'water',"       \
    "'low_on':'2026-03-02','empty_on':'2026-03-07'}"
#define TOP "Cellar                                                     Sun 1 Mar 2026, 07:00\n\n"
#define WATER                                                                                      \
    "Reservoir     78.0 L of 120 L (65 %), plain water, 0.30 mS/cm\n"                              \
    "              low mark 30.0 L on Mon 2 Mar (tomorrow), empty on Sat 7 Mar\n\n"

static void notices_stand_above_all_with_a_mark(void **ctx)
{
    (void)ctx;
    assert_shows(
        screen_status,
        "{'now':'2026-03-01T07:00:00+01:00','simulated':false,'room_file_fault':'room.yaml:3: no',"
        "'notices':[{'key':'a','text':'the reservoir is low'},{'key':'b','text':'A1 leaks!'}],"
        "'containers':[],'meters':[],'skipped':0," RESERVOIR "}",
        TOP "! The room file has a fault; the room as it was before is still in use.\n"
            "  room.yaml:3: no.\n"
            "! The reservoir is low.\n"
            "! A1 leaks!\n"
            "\n" WATER "0 containers:\n");
}

static void a_room_with_one_thing_of_each_is_told_in_the_singular(void **ctx)
{
    (void)ctx;
    assert_shows(
        screen_status,
        "{'now':'2026-03-01T07:00:00+01:00'," RESERVOIR ",'containers':[{'name':'A1','condition':"
        "'idle','crop':null,'stage':null,'day':null,'volume_l':0,'ec_ms_cm':0,'float_on':"
        "'2026-03-09'}],'meters':[{'name':'ph-pen','kind':'ph','calibrated_on':'2026-02-20',"
        "'slope_pct':97,'due_on':'2026-03-06','doubt':null},{'name':'ec-pen','kind':'ec',"
        "'calibrated_on':null}],'skipped':3}",
        TOP WATER "1 container: 1 idle\n"
                  "\n"
                  "Container  Crop  Stage  Day  Water  L  mS/cm  Float line\n"
                  "A1         -     -        -  idle   -      -  -\n"
                  "\n"
                  "Meters        ph-pen, pH meter, calibrated on Fri 20 Feb, slope 97 %, due\n"
                  "              Fri 6 Mar\n"
                  "              ec-pen, EC meter, never calibrated\n");
}

static void what_work_takes_is_told_of_the_kinds_that_were_told(void **ctx)
{
    (void)ctx;
    assert_says(screen_status,
                "{'paces':[{'of':'bump','minutes':5.02,'file_min':3,'told':6},"
                "{'of':'change','minutes':121.4,'file_min':90,'told':1}]}",
                "Work          bump: 5 min each, 3 in the room file (told 6 times)\n"
                "              change: 121.4 min each, 90 in the room file (told 1 time)\n");
}

/* Any figure of the row by itself; and A9, A11 do not follow each other. */
static void containers_that_differ_in_anything_have_rows_of_their_own(void **ctx)
{
#define TUB(name, more) "{'name':'" name "','condition':'drawdown','volume_l':8" more "}"
    (void)ctx;
    assert_says(screen_status,
                "{'containers':[" TUB("A8", "") "," TUB("A9", "") "," TUB("A11", "") "," TUB(
                    "A12", ",'crop':'basil'") "," TUB("A13", ",'float_seen':true") "," //
                TUB("A14", ",'float_on':'2027-03-01'") "," TUB("A15", ",'ec_ms_cm':1") "]}",
                "A8, A9     -      -        -  drawdown  8.0      ?  -\n"
                "A11        -      -        -  drawdown  8.0      ?  -\n"
                "A12        basil  -        -  drawdown  8.0      ?  -\n"
                "A13        -      -        -  drawdown  8.0      ?  -, seen\n"
                "A14        -      -        -  drawdown  8.0      ?  Mon 1 Mar 2027\n"
                "A15        -      -        -  drawdown  8.0   1.00  -\n");
}

/* 120 containers, no two alike: a page, with what is off in front. */
static void a_large_room_is_a_page_and_what_is_off_stands_first(void **ctx)
{
    struct view v = a_view("L", "mS/cm");
    json_t *answer = an_answer("{'notices':[{'key':'wilting/A7','text':'A7 was seen wilting'}]}");
    json_t *pots = json_array();
    struct text t = {0};
    const char *told;
    const char *others;
    size_t lines = 0;

    (void)ctx;
    for (int i = 1; i <= 120; i++) {
        (void)json_array_append_new(
            pots, json_pack("{s:o,s:s,s:s,s:s,s:i,s:f,s:f}", "name", json_sprintf("A%d", i),
                            "condition", "drawdown", "crop", i <= 60 ? "basil" : "chard", "stage",
                            "leafy", "day", i, "volume_l", i / 10.0, "ec_ms_cm", 1 + i / 100.0));
    }
    (void)json_object_set_new(answer, "containers", pots);
    screen_status(&v, answer, &t);
    assert_fits(text_str(&t));
    for (const char *p = text_str(&t); *p; p++) {
        lines += *p == '\n';
    }
    assert_true(lines < 30);
    told = strstr(text_str(&t), "\nA7 ");
    others = strstr(text_str(&t), "A1..A6, A8..A60");
    assert_non_null(told);
    assert_non_null(others);
    assert_true(told < others);
    assert_non_null(strstr(text_str(&t), "61 to 120")); /* days of the chards, and their litres: */
    assert_non_null(strstr(text_str(&t), "6.1 to 12.0"));
    json_decref(answer);
    text_deinit(&t);
}

#define TASK(kind, subjects, more)                                                                 \
    "{'id':'41','kind':'" kind "','what':'" kind "','subjects':" subjects                          \
    ",'latest':'2026-03-05','minutes':50,'why':'it is time','overdue':false" more "}"
#define TODAY(kind, subjects)                                                                      \
    "{'date':'2026-03-01','tasks':[" TASK(kind, subjects, "") "],'minutes':50,'budget_min':50}"

/* What the daemon asks for when such a task is told to be done (deed.h). */
static void the_hint_names_the_figures_that_a_task_wants(void **ctx)
{
    (void)ctx;
    assert_says(screen_today, TODAY("start", "['A1']"), "Done:   tarn ack 41 ec=…mS/cm\n");
    assert_says(screen_today, TODAY("check", "['A1']"), "Done:   tarn ack 41 float=yes\n");
    assert_says(screen_today, TODAY("change", "['A1']"),
                "Done:   tarn ack 41 was=…mS/cm ec=…mS/cm ph=… volume=…L added=…L\n");
    assert_says(screen_today, TODAY("bump", "['A1']"),
                "Done:   tarn ack 41 A1 was=…mS/cm ec=…mS/cm\n");
    assert_says(screen_today, TODAY("bump", "['A1','A2','A3']"),
                "Done:   tarn ack 41 A1 was=…mS/cm ec=…mS/cm A2 …\n");
    assert_says(screen_today, TODAY("bump", "[]"), "Done:   tarn ack 41 was=…mS/cm ec=…mS/cm\n");
    assert_says(screen_today, TODAY("ph", "['A1','A2']"), "Done:   tarn ack 41 ph=…\n");
    assert_says(screen_today, TODAY("read", "['A1','A2']"),
                "Done:   tarn ack 41 A1 ec=…mS/cm ph=… A2 …\n");
    assert_says(screen_today, TODAY("fill", "['reservoir']"),
                "Done:   tarn ack 41 volume=…L added=…L\n");
    assert_says(screen_today, TODAY("calibrate", "['ph-pen']"), "Done:   tarn ack 41 slope=…%\n");
    assert_says(screen_today, TODAY("harvest", "['A1']"), "Done:   tarn ack 41\n");
}

static void a_day_beyond_its_budget_says_so(void **ctx)
{
    (void)ctx;
    assert_says(screen_today, TODAY("ph", "['A1']"), " 50 min of the day's 50 min\n");
    assert_says(
        screen_today,
        "{'date':'2026-03-01','tasks':[" TASK("ph", "['A1']", "") "],'minutes':51,'budget_min':50}",
        " 51 min, more than the day's 50 min\n");
}

/* The filter is nobody's; a look has no "look first: … right?." behind its reason. */
static void care_of_the_room_and_looks_read_as_sentences(void **ctx)
{
    (void)ctx;
    assert_says(screen_today,
                "{'date':'2026-03-01','tasks':[{'id':'7','kind':'care','what':'care filter',"
                "'subjects':['room'],'latest':'2026-03-05','minutes':5,'why':'x','loss':'y'}]}",
                "   7  see to the filter   ");
    assert_says(screen_today,
                "{'date':'2026-03-01','tasks':[{'id':'7','kind':'look','what':'look',"
                "'subjects':['A1'],'latest':'2026-03-05','minutes':5,'why':'it drinks. Look first: "
                "is the crop right?','loss':'it goes on'}]}",
                "It drinks. Look first: is the crop right?\n"
                "      If it is left: it goes on.\n");
}

static void with_full_each_task_has_its_worksheet(void **ctx)
{
    (void)ctx;
    assert_shows(
        screen_today,
        "{'date':'2026-03-01','tasks':[" TASK("fill", "['reservoir']",
                                              ",'worksheet':[{'text':'Fill.','caution':'Watch.'}],'"
                                              "volume_l':0.0,'loss':''") "],'minutes':50,'budget_"
                                                                         "min':60}",
        "Cellar, Sun 1 Mar 2026                                50 min of the day's 60 min\n"
        "\n"
        "  41  fill: reservoir                                       by Thu 5 Mar, 50 min\n"
        "      It is time.\n"
        "\n"
        "   1. Fill.\n"
        "        Caution: Watch.\n"
        "\n"
        "Steps:  tarn show 41\n"
        "Done:   tarn ack 41 volume=…L added=…L\n"
        "Later:  tarn defer 41 --to tomorrow\n");
}

/* "by Thu 5 Mar, 50 min" takes 20 columns, number and word 12, the gap and the colon 4. */
static void names_go_to_a_line_of_their_own_when_they_do_not_fit(void **ctx)
{
    (void)ctx;
    assert_says(
        screen_today,
        "{'tasks':[" TASK("change", "['a-name-of-thirty-columns-or-so','of-twelve-co']", "") "]}",
        "\n  41  change: a-name-of-thirty-columns-or-so, of-twelve-co  by Thu 5 Mar, 50 "
        "min\n      It is time.\n");
    assert_says(
        screen_today,
        "{'tasks':[" TASK("change", "['a-name-of-thirty-columns-or-so','of-twelve-col']", "") "]}",
        "\n  41  change                                                by Thu 5 Mar, 50 "
        "min\n      a-name-of-thirty-columns-or-so, of-twelve-col\n      It is time.\n");
}

#define ENTRY(seq)                                                                                 \
    "{'seq':'" seq "','happened':'2026-03-01T07:05:00+01:00','text':'A3 cleaned','who':'anna'}"

static void an_acknowledgement_says_what_is_left_and_how_to_take_it_back(void **ctx)
{
    (void)ctx;
    assert_shows(screen_ack,
                 "{'task':'41','done':false,'entries':[" ENTRY("17") "," ENTRY(
                     "18") "],'left':['A4','A5','A6']}",
                 "Written down:\n"
                 "Sun 1 Mar 07:05      17  A3 cleaned (anna)\n"
                 "Sun 1 Mar 07:05      18  A3 cleaned (anna)\n"
                 "\n"
                 "Task 41 is done in part; still open for A4..A6.\n"
                 "\n"
                 "Mistaken?  tarn undo   (it takes back all of this)\n");
    assert_shows(screen_ack, "{'task':'41','done':true,'entries':[" ENTRY("17") "],'left':[]}",
                 "Written down:\n"
                 "Sun 1 Mar 07:05      17  A3 cleaned (anna)\n"
                 "\n"
                 "Task 41 is done.\n"
                 "\n"
                 "Mistaken?  tarn undo\n");
    assert_silent(screen_ack, "{'task':'41','done':true,'entries':[]}", "Mistaken");
}

/* The sheet asks for it, and nobody refuses what was told without. */
static void what_a_sheet_asked_for_and_nobody_told_is_said(void **ctx)
{
    (void)ctx;
    assert_says(screen_ack,
                "{'task':'5','done':true,'left':[],'entries':["
                "{'kind':'started','subject':'L1','figures':{'ec_ms_cm':0.9,'ph':5.8}},"
                "{'kind':'started','subject':'L2','figures':{'ec_ms_cm':0.9}},"
                "{'kind':'reading','subject':'reservoir','figures':{'volume_l':60}}]}",
                "Task 5 is done.\n"
                "Not told: pH of L2. Where it was measured: tarn record reading L2 ph=…\n");
}

static void an_entry_tells_its_doubt_and_no_empty_name(void **ctx)
{
    (void)ctx;
    assert_shows(screen_written,
                 "{'entries':[{'seq':'17','happened':'2026-03-01T07:05:00+01:00','text':'A3 "
                 "reading','who':'','doubt':'ph-pen was not calibrated yet','voided':false}]}",
                 "Written down:\n"
                 "Sun 1 Mar 07:05      17  A3 reading [ph-pen was not calibrated yet]\n");
}

static void an_empty_log_says_so_on_its_first_page_only(void **ctx)
{
    struct view v = a_view("L", "mS/cm");
    json_t *none = an_answer("{'entries':[],'next':null}");
    struct text t = {0};

    (void)ctx;
    screen_log(&v, none, &t);
    assert_string_equal(text_str(&t), "The journal has no such entries.\n");
    text_clear(&t);
    v.page = 1;
    screen_log(&v, none, &t);
    assert_string_equal(text_str(&t), "");
    text_deinit(&t);
    json_decref(none);
}

/* A table that is too wide cuts what it may: crops and stages, never names or figures. */
static void a_long_crop_is_cut_before_a_line_is_too_wide(void **ctx)
{
    (void)ctx;
    assert_says(
        screen_status,
        "{'containers':[{'name':'a-shelf-with-a-name','condition':'drawdown','crop':"
        "'a-crop-with-a-name-of-36-letters-or-so','stage':'vegetative','day':17,"
        "'volume_l':8.3,'ec_ms_cm':1.2,'float_on':'2026-03-14'}]}",
        "a-shelf-with-a-name\n"
        "                  a-crop-wit…  vegetative   17  drawdown  8.3   1.20  Sat 14 Mar\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_a_sheet_asked_for_and_nobody_told_is_said),
        cmocka_unit_test(notices_stand_above_all_with_a_mark),
        cmocka_unit_test(a_room_with_one_thing_of_each_is_told_in_the_singular),
        cmocka_unit_test(what_work_takes_is_told_of_the_kinds_that_were_told),
        cmocka_unit_test(containers_that_differ_in_anything_have_rows_of_their_own),
        cmocka_unit_test(a_large_room_is_a_page_and_what_is_off_stands_first),
        cmocka_unit_test(the_hint_names_the_figures_that_a_task_wants),
        cmocka_unit_test(a_day_beyond_its_budget_says_so),
        cmocka_unit_test(care_of_the_room_and_looks_read_as_sentences),
        cmocka_unit_test(with_full_each_task_has_its_worksheet),
        cmocka_unit_test(names_go_to_a_line_of_their_own_when_they_do_not_fit),
        cmocka_unit_test(an_acknowledgement_says_what_is_left_and_how_to_take_it_back),
        cmocka_unit_test(an_entry_tells_its_doubt_and_no_empty_name),
        cmocka_unit_test(an_empty_log_says_so_on_its_first_page_only),
        cmocka_unit_test(a_long_crop_is_cut_before_a_line_is_too_wide),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
