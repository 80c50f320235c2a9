/* What is to be ordered before it runs out. */
#include "tests/unit/a_working_room.h"

static void what_runs_out_is_ordered_once(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry mix = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(1, 9));

    mix = with(with(mix, FIGURE_VOLUME_L, 40), FIGURE_EC_MS_CM, 1.1);
    mix.amount[0] = (struct amount){.product = "calcium-part", .amount = 4600};
    mix.n_amounts = 1;
    tell(f, mix);
    assert_string_equal(job_of(f, at(1, 10), TASK_REORDER, "calcium-part")->why,
                        "400 mL left, and the next two weeks take 0 mL");
    tell(f, told_at(ENTRY_ACKNOWLEDGED, "calcium-part", "reorder", at(1, 11)));
    assert_null(job_of(f, at(1, 12), TASK_REORDER, "calcium-part"));
    assert_null(job_of(f, at(1, 12), TASK_REORDER, "sulfate-part"));
}

/* Half a litre is the mark (a_room.h): at it, it is ordered. */
static void a_product_is_ordered_at_its_mark(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    f->s.product[CALCIUM_PART].left = 501;
    assert_null(job_of(f, at(5, 7), TASK_REORDER, "calcium-part"));
    f->s.product[CALCIUM_PART].left = 500;
    j = job_of(f, at(5, 7), TASK_REORDER, "calcium-part");
    assert_window(j, day(5), day(5), day(8));
    assert_true(j->minutes == 2);
    assert_string_equal(j->loss, "a mix cannot be made when it is due");
    f->room.product[CALCIUM_PART].reorder_at = 0; /* which asks for nothing */
    f->s.product[CALCIUM_PART].left = -5;
    assert_null(job_of(f, at(5, 7), TASK_REORDER, "calcium-part"));
}

static void what_is_weighed_is_told_in_grams(void **ctx)
{
    struct fixture *f = *ctx;

    f->s.product[SALT].left = 300;
    assert_string_equal(job_of(f, at(5, 7), TASK_REORDER, "salt")->why,
                        "300 g left, and the next two weeks take 0 g");
}

/* A start of 18 L at 0.7 on water of 0.05: 0.325 of the dose that gives 2.0. Of
 * calcium-part 4 mL a litre are 23.4 mL, of sulfate-part 2 mL a litre 11.7 mL. */
static void the_mixes_of_the_next_two_weeks_are_counted_ahead(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.container[A1].start_on = day(13);
    f->s.product[CALCIUM_PART].left = 523;
    f->s.product[SULFATE_PART].left = 511;
    assert_string_equal(job_of(f, at(0, 7), TASK_REORDER, "calcium-part")->why,
                        "523 mL left, and the next two weeks take 23.4 mL");
    assert_string_equal(job_of(f, at(0, 7), TASK_REORDER, "sulfate-part")->why,
                        "511 mL left, and the next two weeks take 11.7 mL");
    f->s.product[CALCIUM_PART].left = 524;
    assert_null(job_of(f, at(0, 7), TASK_REORDER, "calcium-part"));
    f->s.product[CALCIUM_PART].left = 523;
    f->room.container[A1].start_on = day(14); /* in three weeks that is another matter */
    assert_null(job_of(f, at(0, 7), TASK_REORDER, "calcium-part"));
}

/* Two changes of 7.5 L at 1.05, which is 1.0 and half a tolerance: 0.5 of the dose. 4 mL a litre
 * are 15 mL each. */
static void each_change_takes_its_share(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    f->s.product[CALCIUM_PART].left = 500;
    assert_string_equal(job_of(f, at(31, 7), TASK_REORDER, "calcium-part")->why,
                        "500 mL left, and the next two weeks take 30 mL");
    assert_string_equal(job_of(f, at(30, 10), TASK_REORDER, "calcium-part")->why,
                        "500 mL left, and the next two weeks take 0 mL"); /* due in two weeks */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(what_runs_out_is_ordered_once),
        TEST(a_product_is_ordered_at_its_mark),
        TEST(what_is_weighed_is_told_in_grams),
        TEST(the_mixes_of_the_next_two_weeks_are_counted_ahead),
        TEST(each_change_takes_its_share),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
