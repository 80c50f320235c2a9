/* `tarn show`: one thing, with all that is known of it and nothing that is not. */
#include "tests/unit/a_screen.h"

#define FEED                                                                                       \
    "[{'of':'N','mg_l':112.4,'lo':null,'hi':null},{'of':'Fe','mg_l':1.26,'lo':null,'hi':null}]"

#define TUB                                                                                        \
    "'name':'A3','condition':'drawdown','crop':'lettuce','stage':'young','day':17,"                \
    "'volume_l':8.3,'ec_ms_cm':1.2,'float_on':'2026-03-04','float_seen':false,"                    \
    "'solution_days':3,'start_volume_l':18.9,'float_volume_l':7.6,'remainder_l':0.5,"              \
    "'safe_volume_l':9,'strength_ms_cm':1.1,'target_ec_ms_cm':1.4,'ph_min':5.5,'ph_max':6.5,"      \
    "'use_l_day':0.4,'solution':2"

static void a_container_is_told_from_its_water_to_its_harvest(void **ctx)
{
    (void)ctx;
    assert_shows(
        screen_show,
        "{'type':'container','container':{" TUB
        ",'spent_on':'2026-03-09','harvest_on':'2026-04-02','ph_drift_day':0.031,"
        "'measured':{'ec_ms_cm':{'value':1.25,'at':'2026-02-27T18:05:00+01:00','doubt':"
        "'ec-pen was not calibrated yet'},'ph':{'value':5.9,'at':"
        "'2026-02-27T18:06:00+01:00','doubt':null},'volume_l':null},'feed':" FEED "},"
        "'tasks':[{'id':'41','what':'check','due':'2026-03-04','latest':'2026-03-05',"
        "'subjects':['A3','A4']}],"
        "'entries':[{'seq':'17','happened':'2026-02-27T18:05:00+01:00','text':'A3 "
        "reading','who':'anna','voided':false}]}",
        "A3, lettuce, young, day 17                                              drawdown\n"
        "\n"
        "Water         8.3 L now; start line 18.9 L, float line 7.6 L, 0.5 L stays after\n"
        "              draining\n"
        "              never above 9.0 L: the air roots would drown\n"
        "Drinks        0.4 L a day\n"
        "Strength      1.20 mS/cm now, made to 1.10 mS/cm, the stage wants 1.40 mS/cm\n"
        "pH wanted     5.5 to 6.5; by itself it rises by about 0.03 a day\n"
        "Measured      EC 1.25 mS/cm on Fri 27 Feb 18:05 (ec-pen was not calibrated yet),\n"
        "              pH 5.9 on Fri 27 Feb 18:06\n"
        "Float line    about Wed 4 Mar (in 3 days)\n"
        "Solution      number 2 of this planting, 3 days old, spent on Mon 9 Mar\n"
        "              (in 8 days)\n"
        "Harvest       Thu 2 Apr (in 32 days)\n"
        "mg/L          N 112, Fe 1.3\n"
        "\n"
        "Task         Due        By         For\n"
        "  41  check  Wed 4 Mar  Thu 5 Mar  A3, A4\n"
        "\n"
        "The last entries, newest first:\n"
        "Fri 27 Feb 18:05     17  A3 reading (anna)\n");
}

static void an_empty_tub_has_lines_and_no_solution(void **ctx)
{
    (void)ctx;
    assert_shows(
        screen_show,
        "{'type':'container','container':{'name':'A3','condition':'idle','crop':null,"
        "'stage':null,'day':null,'volume_l':0,'start_volume_l':18.9,'float_volume_l':7.6,"
        "'remainder_l':0.5,'safe_volume_l':9,'use_l_day':0.4,'measured':null},"
        "'tasks':[],'entries':[]}",
        "A3                                                                          idle\n"
        "\n"
        "Water         start line 18.9 L, float line 7.6 L, 0.5 L stays after draining\n");
}

static void what_nobody_knows_of_a_container_is_left_out(void **ctx)
{
    static const char bare[] = "{'type':'container','container':{'name':'A3',"
                               "'condition':'drawdown','ec_ms_cm':1.2,'solution':1}}";

    (void)ctx;
    assert_silent(screen_show, bare, "never above");
    assert_silent(screen_show, bare, "Drinks");
    assert_silent(screen_show, bare, "made to");
    assert_silent(screen_show, bare, "pH wanted");
    assert_silent(screen_show, bare, "Float line");
    assert_silent(screen_show, bare, " old");
    assert_silent(screen_show, bare, "Harvest");
    assert_says(screen_show, bare, "Measured      never\n");
    assert_says(screen_show, bare, "Solution      number 1 of this planting\n");
}

static void what_was_seen_stands_below_what_was_measured(void **ctx)
{
    (void)ctx;
    assert_says(screen_show,
                "{'type':'container','container':{'condition':'on float','measured':{'temp_c':"
                "{'value':24.5,'at':'2026-02-27T09:00:00+01:00'}},'seen':[{'what':'tip-burn','at':"
                "'2026-02-28T09:00:00+01:00','says':'tips burn','check':'move the air'},"
                "{'what':'algae','at':'2026-02-26T09:00:00+01:00','says':'algae were seen',"
                "'check':'cover it'}]}}",
                "Measured      24.5 °C on Fri 27 Feb 09:00\n"
                "Seen          tips burn on Sat 28 Feb 09:00; check first: move the air\n"
                "              algae were seen on Thu 26 Feb 09:00; check first: cover it\n");
    assert_says(screen_show, "{'type':'reservoir','reservoir':{'temp_c':25}}",
                "Temperature   25.0 °C\n");
    assert_silent(screen_show, "{'type':'reservoir','reservoir':{'temp_c':null}}", "Temperature");
}

static void a_float_line_is_foreseen_reached_or_seen(void **ctx)
{
    (void)ctx;
    assert_says(screen_show,
                "{'type':'container','container':{'condition':'on float','float_on':'2026-02-27'}}",
                "Float line    since Fri 27 Feb (2 days ago) by the forecast; not seen yet\n");
    assert_says(screen_show,
                "{'type':'container','container':{'condition':'on float','float_seen':true,"
                "'float_on':'2026-02-28'}}",
                "Float line    since Sat 28 Feb (1 day ago), seen working\n");
    assert_says(screen_show,
                "{'type':'container','container':{'condition':'drawdown','float_on':'2026-03-02'}}",
                "Float line    about Mon 2 Mar (tomorrow)\n");
    assert_says(screen_show,
                "{'type':'container','container':{'condition':'drawdown','float_on':'2026-03-01'}}",
                "Float line    about Sun 1 Mar (today)\n");
}

/* Half of the last digit that is shown. */
static void a_drift_below_the_last_digit_is_none(void **ctx)
{
#define WITH_DRIFT(d)                                                                              \
    "{'type':'container','container':{'condition':'drawdown','ph_min':5.5,'ph_max':6.5,"           \
    "'ph_drift_day':" d "}}"
    (void)ctx;
    assert_silent(screen_show, WITH_DRIFT("0.0049"), "by itself");
    assert_says(screen_show, WITH_DRIFT("0.0051"), "by itself it rises by about 0.01 a day");
    assert_says(screen_show, WITH_DRIFT("-0.02"), "by itself it falls by about 0.02 a day");
    assert_silent(screen_show, WITH_DRIFT("null"), "by itself");
}

static void the_reservoir_tells_what_it_holds_and_gives(void **ctx)
{
    (void)ctx;
    assert_shows(screen_show,
                 "{'type':'reservoir','reservoir':{'volume_l':78,'capacity_l':120,'low_l':30,"
                 "'remainder_l':4,'ec_ms_cm':1.4,'holds':'mix','recipe':'leaf','low_on':null,"
                 "'empty_on':null,'draw_l_day':3.2,'ph':5.8},'tasks':[],'entries':[]}",
                 "Reservoir     78.0 L of 120 L (65 %), a mix of leaf, 1.40 mS/cm\n"
                 "              low mark 30.0 L\n"
                 "Drawn         3.2 L a day\n"
                 "pH            5.8\n"
                 "Unusable      4.0 L below the outlet\n");
    assert_says(screen_show, "{'type':'reservoir','reservoir':{'holds':'mix','ec_ms_cm':1}}",
                ", a mix, 1.00 mS/cm\n");
    assert_says(screen_show, "{'type':'reservoir','reservoir':{'holds':'water'}}",
                "? of ?, never filled yet\n");
    assert_says(screen_show,
                "{'type':'reservoir','reservoir':{'volume_l':0,'capacity_l':50,'ec_ms_cm':0.3}}",
                "0.0 L of 50.0 L (0 %), plain water, 0.30 mS/cm\n");
}

static void a_product_tells_what_is_left_and_what_it_does(void **ctx)
{
    (void)ctx;
    assert_shows(
        screen_show,
        "{'type':'product','product':{'name':'ph-down','kind':'acid','left':400,'unit':'mL',"
        "'reorder_at':100,'ordered':true,'recipes':['leaf','fruit'],'reagent':'phosphoric acid, "
        "10 %','contents':[{'of':'P','mg_l':31.6,'lo':null,'hi':null}],"
        "'strength':{'value':1.084,'sd':0.0523,'used':4,'aside':0}},'tasks':[],'entries':[]}",
        "ph-down, acid                                                            ordered\n"
        "\n"
        "Left          400 mL\n"
        "Reorder at    100 mL\n"
        "Used by       leaf, fruit\n"
        "It is         phosphoric acid, 10 %\n"
        "mg in a mL    P 32\n"
        "pH            it takes 1.08 times (give or take 0.05) what label and alkalinity\n"
        "              say, from 4 doses\n");
    assert_says(screen_show,
                "{'type':'product','product':{'name':'ph-down','kind':'acid','left':400,"
                "'unit':'mL','strength':{'value':0.8,'sd':0.1,'used':1,'aside':2}}}",
                "pH            it takes 0.80 times (give or take 0.10) what label and alkalinity\n"
                "              say, from 1 dose, 2 set aside as out of line\n");
    assert_silent(screen_show,
                  "{'type':'product','product':{'name':'ph-down','kind':'acid','left':400,"
                  "'unit':'mL','strength':null}}",
                  "pH  "); /* no dose was told yet */
    assert_shows(screen_show,
                 "{'type':'product','product':{'name':'salt','kind':'dry','left':80,'unit':'g',"
                 "'reorder_at':0,'contents':[{'of':'K','mg_l':380,'lo':null,'hi':null}]}}",
                 "salt, dry\n"
                 "\n"
                 "Left          80 g\n"
                 "mg in a g     K 380\n");
}

static void a_recipe_tells_its_strength_and_where_that_is_from(void **ctx)
{
    (void)ctx;
    assert_shows(screen_show,
                 "{'type':'recipe','recipe':{'name':'leaf','ec_gain_ms_cm':2.05,"
                 "'told_gain_ms_cm':2,'estimated':false,'learned':{'value':2.05,'sd':0.04,"
                 "'used':7,'aside':1},'estimate_ms_cm':2.2,'estimate_off_pct':10,'feed':" FEED
                 ",'doses':[{'product':'calcium-part','per_l':4,'unit':'mL'},{'product':'salt',"
                 "'per_l':0.5,'unit':'g'}]},'tasks':[],'entries':[]}",
                 "leaf: the full dose adds 2.05 mS/cm\n"
                 "\n"
                 "Learned       2.05 mS/cm give or take 0.04 mS/cm, from 7 measured mixes, 1 set\n"
                 "              aside as out of line\n"
                 "Room file     2.00 mS/cm\n"
                 "Estimated     2.20 mS/cm by what the products contain, within 10 %\n"
                 "In this order 4 mL/L calcium-part\n"
                 "              0.5 g/L salt\n"
                 "Gives, mg/L   N 112, Fe 1.3\n");
    assert_silent(screen_show,
                  "{'type':'recipe','recipe':{'name':'leaf','estimated':true,"
                  "'told_gain_ms_cm':2}}",
                  "Room file");
}

static void a_meter_tells_when_it_was_calibrated_and_whether_to_believe_it(void **ctx)
{
    (void)ctx;
    assert_shows(
        screen_show,
        "{'type':'meter','meter':{'name':'ph-pen','kind':'ph','calibrated_on':"
        "'2026-01-20','slope_pct':82,'offset_mv':4,'due_on':'2026-02-03','doubt':'its "
        "slope is off'}}",
        "ph-pen, pH meter, calibrated on Tue 20 Jan, slope 82 %, due Tue 3 Feb; not to be\n"
        "trusted: its slope is off\n");
    assert_shows(screen_show,
                 "{'type':'meter','meter':{'name':'ec-pen','kind':'ec','calibrated_on':null,"
                 "'doubt':'never calibrated'}}",
                 "ec-pen, EC meter, never calibrated\n");
}

#define A_TASK                                                                                     \
    "'id':'41','what':'change','kind':'change','subjects':['A1','A2'],'latest':'2026-03-05',"      \
    "'minutes':50,'why':'the solution is spent','loss':'growth stops','overdue':false,"            \
    "'recipe':'leaf','ec_ms_cm':1.4,'volume_l':30"

static void a_task_comes_with_who_wants_it_what_other_days_cost_and_its_steps(void **ctx)
{
    (void)ctx;
    assert_shows(
        screen_show,
        "{'type':'task','task':{" A_TASK "},"
        "'wants':[{'name':'A1','ec_ms_cm':1.4,'earliest':'2026-03-02','due':'2026-03-03','latest':"
        "'2026-03-05'},{'name':'A2','ec_ms_cm':1.4,'earliest':'2026-03-02','due':'2026-03-03',"
        "'latest':'2026-03-05'},{'name':'A4','ec_ms_cm':1.5,'earliest':'2026-03-02','due':"
        "'2026-03-03','latest':'2026-03-05'}],"
        "'other_days':[{'on':'2026-03-04','changeovers':1,'minutes':25}],"
        "'worksheet':[{'text':'Fill to 30 L.','caution':null}],"
        "'gives':{'crop':'lettuce','stage':'young','feed':[{'of':'N','mg_l':112,'lo':100,"
        "'hi':150}]}}",
        "  41  change: A1, A2                                        by Thu 5 Mar, 50 min\n"
        "      recipe leaf, 1.40 mS/cm, 30.0 L\n"
        "      The solution is spent.\n"
        "      If it is left: growth stops.\n"
        "Who wants it  A1, A2: 1.40 mS/cm, due Tue 3 Mar (Mon 2 Mar to Thu 5 Mar)\n"
        "              A4: 1.50 mS/cm, due Tue 3 Mar (Mon 2 Mar to Thu 5 Mar)\n"
        "Another day   Wed 4 Mar: 1 changeover more, 25 min more\n"
        "\n"
        "   1. Fill to 30 L.\n"
        "\n"
        "What it gives, beside what was published for lettuce, young, in mg/L:\n"
        "     mg/L   published\n"
        "  N   112  100 to 150\n");
}

/* Each of the four figures by itself keeps two containers apart. */
static void containers_share_a_line_only_when_they_want_the_same(void **ctx)
{
#define WANT(name, ec, from, due, to)                                                              \
    "{'name':'" name "','ec_ms_cm':" ec ",'earliest':'2026-03-0" from "','due':'2026-03-0" due     \
    "','latest':'2026-03-0" to "'}"
    (void)ctx;
    assert_says(screen_show,
                "{'type':'task','wants':[" WANT("A1", "1.4", "2", "3", "5") "," WANT(
                    "A2", "1.4", "2", "3", "6") "," WANT("A3", "1.4", "1", "3", "6") "," //
                WANT("A4", "1.4", "1", "2", "6") "," WANT("A5", "1.5", "1", "2", "6") "]}",
                "Who wants it  A1: 1.40 mS/cm, due Tue 3 Mar (Mon 2 Mar to Thu 5 Mar)\n"
                "              A2: 1.40 mS/cm, due Tue 3 Mar (Mon 2 Mar to Fri 6 Mar)\n"
                "              A3: 1.40 mS/cm, due Tue 3 Mar (Sun 1 Mar to Fri 6 Mar)\n"
                "              A4: 1.40 mS/cm, due Mon 2 Mar (Sun 1 Mar to Fri 6 Mar)\n"
                "              A5: 1.50 mS/cm, due Mon 2 Mar (Sun 1 Mar to Fri 6 Mar)\n");
}

/* The smaller the figure, the more digits: 1 in 20 or better of each. */
static void figures_of_nutrients_keep_what_can_be_told_apart(void **ctx)
{
    (void)ctx;
    assert_says(screen_show,
                "{'type':'recipe','recipe':{'feed':[{'of':'N','mg_l':9.51},{'of':'P','mg_l':9.44},"
                "{'of':'Fe','mg_l':0.951},{'of':'B','mg_l':0.944},{'of':'Cu','mg_l':0.0951},"
                "{'of':'Mo','mg_l':0.0944}]}}",
                "N 10, P 9.4, Fe 1.0, B 0.94, Cu 0.10, Mo 0.094\n");
}

static void a_crop_comes_with_its_schedule_and_its_sources(void **ctx)
{
    (void)ctx;
    assert_shows(
        screen_show,
        "{'type':'crop','crop':{'name':'lettuce','start_ec_ms_cm':0.8,'harvest_day':38,"
        "'harvest_window_day':5,'room_drinks':0.8,'room_days':1.25,'stages':[{'name':'young','from_"
        "day':0,'seen_only':false,"
        "'ec_ms_cm':0.8,'ph_min':5.6,'ph_max':6.5,'life_min_day':7,'life_max_day':14,"
        "'recipe':'leaf','source':'own estimate'}],'containers':['A1','A2','A3'],"
        "'source':'a handbook'}}",
        "lettuce: harvest at 38 days, 5 sooner or later\n"
        "\n"
        "Stage  From day  mS/cm  pH          Solution      Recipe\n"
        "young         0   0.80  5.6 to 6.5  7 to 14 days  leaf\n"
        "\n"
        "Starts with   0.80 mS/cm\n"
        "Grows in      A1..A3\n"
        "This room     plants drink 0.80 times what their crops say, and come to it in\n"
        "              1.25 times the days; a new planting is taken for such a one\n"
        "Sources       a handbook\n"
        "              young: own estimate\n");
}

static void without_a_word_there_is_a_list_of_what_there_is(void **ctx)
{
    (void)ctx;
    assert_shows(screen_show,
                 "{'type':'things','things':{'containers':['A1','A2','A3'],'products':[],"
                 "'recipes':['leaf'],'meters':[],'crops':['basil'],'tasks':['7','9']}}",
                 "The water     reservoir\n"
                 "Containers    A1..A3\n"
                 "Products      none\n"
                 "Recipes       leaf\n"
                 "Meters        none\n"
                 "Crops         basil\n"
                 "Tasks         7, 9\n"
                 "\n"
                 "One of them:  tarn show NAME\n");
}

static void a_task_that_is_over_says_how_and_what_was_told(void **ctx)
{
    (void)ctx;
    assert_shows(screen_show,
                 "{'type':'closed','closed':{'id':'44','outcome':'done','on':'2026-02-27','entry':"
                 "'812','reason':null},'worksheet':[{'text':'Look at the float.'}],"
                 "'entries':[{'seq':'812','happened':"
                 "'2026-02-27T18:05:00+01:00','text':'A3 acknowledged check','voided':false}]}",
                 "Task 44: done on Fri 27 Feb, by entry 812.\n"
                 "\n"
                 "Its sheet, worked out again from what was known before:\n"
                 "   1. Look at the float.\n"
                 "\n"
                 "What was told of it:\n"
                 "Fri 27 Feb 18:05    812  A3 acknowledged check\n");
    assert_says(screen_show,
                "{'type':'closed','closed':{'id':'44','outcome':'dropped','entry':'812'}}",
                "Its sheet cannot be worked out again");
    assert_says(screen_show,
                "{'type':'closed','closed':{'id':'45','outcome':'withdrawn','reason':'A1 was "
                "harvested'}}",
                "Task 45: withdrawn; A1 was harvested.\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_crop_comes_with_its_schedule_and_its_sources),
        cmocka_unit_test(without_a_word_there_is_a_list_of_what_there_is),
        cmocka_unit_test(a_task_that_is_over_says_how_and_what_was_told),
        cmocka_unit_test(a_container_is_told_from_its_water_to_its_harvest),
        cmocka_unit_test(an_empty_tub_has_lines_and_no_solution),
        cmocka_unit_test(what_nobody_knows_of_a_container_is_left_out),
        cmocka_unit_test(what_was_seen_stands_below_what_was_measured),
        cmocka_unit_test(a_float_line_is_foreseen_reached_or_seen),
        cmocka_unit_test(a_drift_below_the_last_digit_is_none),
        cmocka_unit_test(the_reservoir_tells_what_it_holds_and_gives),
        cmocka_unit_test(a_product_tells_what_is_left_and_what_it_does),
        cmocka_unit_test(a_recipe_tells_its_strength_and_where_that_is_from),
        cmocka_unit_test(a_meter_tells_when_it_was_calibrated_and_whether_to_believe_it),
        cmocka_unit_test(a_task_comes_with_who_wants_it_what_other_days_cost_and_its_steps),
        cmocka_unit_test(containers_share_a_line_only_when_they_want_the_same),
        cmocka_unit_test(figures_of_nutrients_keep_what_can_be_told_apart),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
