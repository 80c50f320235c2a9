/* What is coming: days, mixes and what they cost, water, floats, strengths, products;
 * and the stock. */
#include "tests/unit/a_screen.h"

static void a_day_ahead_has_its_work_its_budget_and_its_tasks(void **ctx)
{
    (void)ctx;
    assert_shows(
        screen_outlook,
        "{'from':'2026-03-01','days':["
        "{'date':'2026-03-01','tasks':[],'minutes':0,'budget_min':60,'draw_l':3.2},"
        "{'date':'2026-03-02','tasks':[{'id':'41','what':'change','subjects':['A1','A2','A3']},"
        "{'id':'42','what':'check','subjects':['B1']}],'minutes':130,'budget_min':60,"
        "'draw_l':3.4}],"
        "'water':{'draw_l':6.6,'draw_lo_l':5,'draw_hi_l':8.1,'mix_l':30,'source':null},"
        "'reservoir':{'capacity_l':null,'low':{'from':'2026-03-05','on':'2026-03-06','to':"
        "'2026-03-08'},'empty':{'from':'2026-03-20','on':null,'to':null}},"
        "'floats':[{'name':'A1','from':'2026-03-09','on':'2026-03-10','to':'2026-03-12'},"
        "{'name':'A2','from':null,'on':null,'to':null}]}",
        "Cellar, 2 days from Sun 1 Mar 2026\n"
        "\n"
        "Day              Work  Budget  Drawn  Tasks\n"
        "Sun 1 Mar           -  60 min  3.2 L  -\n"
        "Mon 2 Mar  2 h 10 min  60 min  3.4 L  41 change A1..A3; 42 check B1\n"
        "\n"
        "Water         6.6 L (5.0 to 8.1) from the reservoir by the floats, 30.0 L for\n"
        "              mixes\n"
        "Reservoir     at its low mark Fri 6 Mar (Thu 5 Mar to Sun 8 Mar), empty not\n"
        "              foreseen (Fri 20 Mar to later), if nobody fills it\n"
        "Float line    A1: Tue 10 Mar (Mon 9 Mar to Thu 12 Mar)\n"
        "              A2: not foreseen\n");
}

/* 50 signs are the whole reservoir: 60 L of 120 L are 25 of them. */
static void the_chart_shows_what_is_sure_and_what_may_be(void **ctx)
{
    (void)ctx;
    assert_says(screen_outlook,
                "{'reservoir':{'capacity_l':120},'days':["
                "{'date':'2026-03-01','reservoir_l':{'lo':60,'mid':72,'hi':96}},"
                "{'date':'2026-03-02','reservoir_l':{'lo':-4,'mid':null,'hi':200}},"
                "{'date':'2026-03-03','reservoir_l':{'lo':null,'mid':0,'hi':null}}]}",
                "\nThe reservoir at the end of each day, if nobody fills it; # is sure, : may be:\n"
                "Sun 1 Mar   |#########################:::::::::::::::          | 72.0 L\n"
                "Mon 2 Mar   |::::::::::::::::::::::::::::::::::::::::::::::::::| ?\n"
                "Tue 3 Mar   |                                                  | 0.0 L\n");
    assert_silent(screen_outlook, "{'reservoir':{'capacity_l':0},'days':[{'date':'2026-03-01'}]}",
                  "# is sure");
}

static void the_source_starts_in_time_or_cannot_make_enough(void **ctx)
{
    (void)ctx;
    assert_says(screen_outlook,
                "{'water':{'source':{'task':'41','on':'2026-03-04','need_l':80,'has_l':80,"
                "'start':'2026-03-03T21:30:00+01:00','drain_l':12}}}",
                "Source        80.0 L for task 41 on Wed 4 Mar: start making it by Tue 3 Mar\n"
                "              21:30; 12.0 L go to the drain\n");
    assert_says(screen_outlook,
                "{'water':{'source':{'task':'41','on':'2026-03-04','need_l':80,'has_l':79,"
                "'start':null,'drain_l':0}}}",
                "Source        80.0 L for task 41 on Wed 4 Mar: too much, the source can have\n"
                "              79.0 L by then\n");
    assert_silent(screen_outlook, "{'water':{'source':null}}", "Source");
}

static void strengths_come_with_their_nine_in_ten(void **ctx)
{
    (void)ctx;
    assert_says(
        screen_outlook,
        "{'containers':[{'name':'A1','ec_tomorrow':{'lo':1.1,'mid':1.2,'hi':1.3},'spent':{'from':"
        "'2026-03-05','on':'2026-03-07','to':'2026-03-09'},'change_on':'2026-03-06','ec_then':"
        "{'lo':0.8,'mid':0.9,'hi':1.05}},{'name':'A2','ec_tomorrow':null,'spent':null,"
        "'change_on':null,'ec_then':null},{'name':'A3','ec_tomorrow':null,'spent':null,"
        "'change_on':null,'ec_then':null}]}",
        "\nStrengths in mS/cm if nothing is stirred in; nine times in ten as in brackets:\n"
        "             EC tomorrow  spent      change              EC then\n"
        "A1      1.20 (1.10-1.30)  Sat 7 Mar  Fri 6 Mar  0.90 (0.80-1.05)\n"
        "A2, A3                 -  -          -                         -\n");
    assert_silent(screen_outlook, "{'containers':[]}", "Strengths");
}

static void a_product_that_will_not_do_is_told(void **ctx)
{
    (void)ctx;
    assert_says(screen_outlook,
                "{'products':[{'name':'calcium-part','need':240,'left':240,'unit':'mL'},"
                "{'name':'salt','need':60,'left':59,'unit':'g'},"
                "{'name':'ph-down','need':0,'left':10,'unit':'mL'}]}",
                "\nProduct       Needed    Left\n"
                "calcium-part  240 mL  240 mL\n"
                "salt            60 g    59 g  not enough\n");
    assert_silent(screen_outlook, "{'products':[{'name':'ph-down','need':0,'left':10}]}", "Needed");
}

#define MIXES                                                                                      \
    "'mixes':[{'on':'2026-03-04','id':'41','recipe':'leaf','ec_ms_cm':1.4,'volume_l':30,"          \
    "'minutes':50,'subjects':['A1','A2'],'by_hand':false},{'on':'2026-03-06','id':'44','recipe':"  \
    "'fruit','ec_ms_cm':1.8,'volume_l':8,'minutes':12,'subjects':['A4'],'by_hand':true}]"

static void the_plan_lists_its_mixes_and_what_they_come_to(void **ctx)
{
    (void)ctx;
    assert_says(screen_outlook,
                "{" MIXES ",'plan':{'changeovers':1,'mixes':2,'mixed_l':38,'jugs':1,'minutes':62,"
                "'gap_pct':25}}",
                "\nDay        Task  Mix                        Litres    Time  Containers\n"
                "Wed 4 Mar    41  leaf 1.40 mS/cm            30.0 L  50 min  A1, A2\n"
                "Fri 6 Mar    44  fruit 1.80 mS/cm, by hand   8.0 L  12 min  A4\n"
                "In all that is planned: 1 changeover, 2 mixes of 38.0 L together, 1 jug, 62 min\n"
                "of work. No plan costs less by more than 20.0 %.\n");
    assert_silent(screen_outlook, "{'mixes':[],'plan':{'changeovers':1}}", "In all");
}

/* The bound lies gap_pct below the plan in parts of the bound: 25 over 100 is 20 less than 125. */
static void the_gap_to_the_best_is_told_in_parts_of_the_plan(void **ctx)
{
    (void)ctx;
    assert_says(screen_outlook, "{" MIXES ",'plan':{'mixes':1,'gap_pct':0.049}}",
                " No\nplan costs less.\n");
    assert_says(screen_outlook, "{" MIXES ",'plan':{'mixes':1,'gap_pct':0.06}}",
                " No\nplan costs less by more than 0.1 %.\n");
    assert_silent(screen_outlook, "{" MIXES ",'plan':{'mixes':1,'gap_pct':null}}", "No plan");
    assert_silent(screen_outlook, "{" MIXES ",'plan':{'mixes':1,'jugs':0}}", "jug");
}

static void what_keeping_solutions_up_takes_stands_beside_what_it_takes_now(void **ctx)
{
    (void)ctx;
    assert_says(screen_outlook,
                "{'feeding':{'days':28,'bumps':36,'changes':8,'minutes':192,'short_days':44}}",
                "Feeding       36 bumps and 8 changes, 3 h 12 min without the mixing; solutions\n"
                "              spent or short on 44 mornings in 28 days\n");
    assert_says(screen_outlook,
                "{'feeding':{'days':28,'bumps':20,'changes':8,'minutes':126,'short_days':28},"
                "'feeding_now':{'days':28,'bumps':36,'changes':8,'minutes':192,'short_days':44}}",
                "in 28 days\n"
                "              as it is: 36 bumps and 8 changes, 3 h 12 min without the mixing;\n");
    assert_silent(screen_outlook, "{'feeding':null}", "Feeding");
}

static void what_would_be_differs_from_what_is_by_its_words(void **ctx)
{
    (void)ctx;
    assert_shows(screen_deferred,
                 "{'differs':{'changeovers':2,'mixes':-1,'jugs':1,'mixed_l':-12,'minutes':130,"
                 "'overtime_min':-5,'late_days':1,'early_days':3}}",
                 "Written down:\n"
                 "\n"
                 "What it costs: 2 changeovers more, 1 mix fewer, 1 jug more, 12.0 L less of\n"
                 "solution, 2 h 10 min more, 5 min less beyond the day's time, 1 container-day\n"
                 "later than due, 3 container-days earlier than due.\n");
}

static void what_differs_by_less_than_can_be_seen_does_not(void **ctx)
{
    (void)ctx;
    assert_shows(screen_differs,
                 "{'changeovers':0,'mixes':0.4,'jugs':-0.4,'mixed_l':0.49,'minutes':-0.9,"
                 "'overtime_min':0.9,'late_days':0.4,'early_days':-3}",
                 "the changes take no more work, and no less");
    assert_shows(screen_differs, "{}", "the changes take no more work, and no less");
    assert_shows(screen_differs, "{'mixed_l':0.5,'minutes':1,'late_days':0.5}",
                 "0.5 L more of solution, 1 min more, 1 container-day later than due");
    assert_shows(screen_differs, "{'mixed_l':-0.5,'minutes':-1,'early_days':0.5}",
                 "0.5 L less of solution, 1 min less, 1 container-day earlier than due");
}

static void a_room_that_is_only_supposed_is_called_that(void **ctx)
{
    (void)ctx;
    assert_says(screen_outlook,
                "{'from':'2026-03-01','days':[{}],'if':'off 2026-04-03..2026-04-05',"
                "'differs':{'mixes':1}}",
                "Cellar, 1 day from Sun 1 Mar 2026\n"
                "Supposed: off 2026-04-03..2026-04-05. Nothing was touched. Against the plan as\n"
                "it stands: 1 mix more.\n");
    assert_silent(screen_outlook, "{'if':null}", "Supposed");
}

static void a_task_that_was_put_off_says_what_that_costs(void **ctx)
{
    (void)ctx;
    assert_shows(screen_deferred,
                 "{'task':'41','entries':[{'seq':'9','happened':'2026-03-01T07:05:00+01:00',"
                 "'text':'change put off to 2026-03-04','who':'anna'}],'differs':{'minutes':5}}",
                 "Written down:\n"
                 "Sun 1 Mar 07:05       9  change put off to 2026-03-04 (anna)\n"
                 "\n"
                 "What it costs: 5 min more.\n");
    assert_shows(screen_deferred, "{'task':'41','entries':[],'differs':null}", "Written down:\n");
}

static void the_stock_says_what_to_do_about_a_product(void **ctx)
{
    (void)ctx;
    assert_shows(
        screen_stock,
        "{'products':["
        "{'name':'a','kind':'liquid','left':101,'unit':'mL','reorder_at':100,'ordered':false},"
        "{'name':'b','kind':'liquid','left':100,'unit':'mL','reorder_at':100,'ordered':false},"
        "{'name':'c','kind':'dry','left':99,'unit':'g','reorder_at':100,'ordered':true},"
        "{'name':'d','kind':'acid','left':-5,'unit':'mL','reorder_at':0,'ordered':false},"
        "{'name':'e','kind':'acid','left':0,'unit':'mL','reorder_at':0,'ordered':false}]}",
        "Product  Kind      Left  Reorder at\n"
        "a        liquid  101 mL      100 mL\n"
        "b        liquid  100 mL      100 mL  reorder\n"
        "c        dry       99 g       100 g  ordered\n"
        "d        acid     -5 mL           -  more was used than was ever told of\n"
        "e        acid      0 mL           -\n"
        "\n"
        "Came in?  tarn record stock-received PRODUCT amount=…\n");
    assert_shows(screen_stock, "{'products':[]}", "The room file names no products.\n");
}

static void the_clock_says_whose_time_it_is(void **ctx)
{
    (void)ctx;
    assert_shows(screen_clock, "{'now':'2026-03-01T07:05:00+01:00','simulated':false}",
                 "It is Sun 1 Mar 2026, 07:05.\n");
    assert_shows(screen_clock, "{'now':'2026-03-01T07:05:00+01:00','simulated':true}",
                 "It is Sun 1 Mar 2026, 07:05 on the simulated clock.\n");
    assert_shows(screen_clock, "{'now':'2026-03-01'}", "It is Sun 1 Mar 2026.\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_day_ahead_has_its_work_its_budget_and_its_tasks),
        cmocka_unit_test(the_chart_shows_what_is_sure_and_what_may_be),
        cmocka_unit_test(the_source_starts_in_time_or_cannot_make_enough),
        cmocka_unit_test(strengths_come_with_their_nine_in_ten),
        cmocka_unit_test(a_product_that_will_not_do_is_told),
        cmocka_unit_test(the_plan_lists_its_mixes_and_what_they_come_to),
        cmocka_unit_test(the_gap_to_the_best_is_told_in_parts_of_the_plan),
        cmocka_unit_test(what_keeping_solutions_up_takes_stands_beside_what_it_takes_now),
        cmocka_unit_test(what_would_be_differs_from_what_is_by_its_words),
        cmocka_unit_test(what_differs_by_less_than_can_be_seen_does_not),
        cmocka_unit_test(a_room_that_is_only_supposed_is_called_that),
        cmocka_unit_test(a_task_that_was_put_off_says_what_that_costs),
        cmocka_unit_test(the_stock_says_what_to_do_about_a_product),
        cmocka_unit_test(the_clock_says_whose_time_it_is),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
