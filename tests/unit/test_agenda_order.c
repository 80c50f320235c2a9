/* What stands before what on the list of a day, where it cannot wait or spares other work. */
#include "daemon/core/tasks/jobs.h"
#include "tests/unit/a_planned_room.h"

/* Whatever else there is to do, and however late. */
static void a_dry_reservoir_is_filled_before_all_else(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    fill(f, 31, 60);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(33, 9)), FIGURE_VOLUME_L, 9.4));
    plan(f, at(33, 10));
    assert_int_equal(f->agenda.task[0].kind, TASK_LOOK);
    tell(f, with(told_at(ENTRY_EMPTIED, "reservoir", "", at(33, 11)), FIGURE_VOLUME_L, 0));
    for (int day = 33; day < 40; day++) {
        plan(f, at(day, 12));
        assert_true(f->agenda.n > 2);
        assert_int_equal(f->agenda.task[0].kind, TASK_FILL);
        assert_false(f->agenda.task[1].pressing);
    }
    fill(f, 40, 60);
    plan(f, at(40, 10));
    assert_int_equal(f->agenda.task[0].kind, TASK_LOOK);
}

static bool is_about(const struct task *t, struct subject s)
{
    for (size_t k = 0; k < t->n_jobs; k++) {
        if (t->job[k].subject.kind == s.kind && t->job[k].subject.at == s.at) {
            return true;
        }
    }
    return false;
}

/* On each day of a season in which nobody harvests when it is asked: nothing but what is wrong
 * comes before the cut, and of a plant that is to be cut nothing else is asked that day. A change
 * that was planned for it is the exception: the cut comes before it, and takes it off the list. */
static void a_plant_is_cut_before_other_work_and_has_none_besides(void **ctx)
{
    struct fixture *f = *ctx;
    size_t n_cut = 0;
    size_t n_others = 0;

    f->room.care_every_day[CARE_VALVE] = 14;
    f->room.care_every_day[CARE_FLOAT] = 10;
    start(f, "A1", 0);
    start(f, "A2", 4);
    start(f, "L1", 9);
    for (int day = 10; day < 140; day++) {
        plan(f, at(day, 7));
        for (size_t i = 0; i < f->agenda.n; i++) {
            const struct task *cut = &f->agenda.task[i];

            if (cut->kind != TASK_HARVEST || !task_is_on(cut, 20513 + day, 20513 + day)) {
                continue;
            }
            n_cut++;
            for (size_t j = 0; j < f->agenda.n; j++) {
                const struct task *t = &f->agenda.task[j];

                if (j == i || !task_is_on(t, 20513 + day, 20513 + day)) {
                    continue;
                }
                n_others++;
                for (size_t k = 0; k < cut->n_jobs; k++) {
                    assert_false(t->kind != TASK_LOOK && t->kind != TASK_CHANGE &&
                                 is_about(t, cut->job[k].subject));
                }
                assert_true(j > i || t->kind == TASK_LOOK || t->kind == TASK_OVERNIGHT ||
                            t->kind == TASK_HARVEST || t->pressing || t->on < cut->on);
            }
        }
    }
    assert_true(n_cut > 20);
    assert_true(n_others > 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_dry_reservoir_is_filled_before_all_else),
        TEST(a_plant_is_cut_before_other_work_and_has_none_besides),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
