/* Plain water: enough, in time, or heard of while there is time. */
#include "daemon/core/room/water_source.h"
#include "daemon/core/tasks/notice.h"
#include "daemon/core/tasks/water_need.h"
#include "tests/unit/a_told_room.h"

static const struct source_water unit = {.rate_l_h = 8, .stored_l = 20, .recovery_frac = 0.25};

static void making_begins_so_that_it_is_there_in_time(void **state)
{
    (void)state;
    /* 60 L: 20 are stored, 40 take five hours */
    assert_true(water_source_start_s(&unit, 60, at(2, 9), at(0, 9)) == at(2, 4));
    assert_true(water_source_start_s(&unit, 15, at(2, 9), at(0, 9)) == at(2, 9));
    assert_true(water_source_start_s(&unit, 500, at(2, 9), at(2, 7)) ==
                at(2, 7)); /* too late as it is */
}

static void what_it_can_have_is_what_is_stored_and_made(void **state)
{
    (void)state;
    assert_true(water_source_has_l(&unit, at(0, 9), at(0, 14)) == 60);
    assert_true(water_source_has_l(&unit, at(0, 9), at(0, 9)) == 20);
    assert_true(water_source_drain_l(&unit, 10) == 30);
}

static bool is_told_of(const struct notices *n, const char *key)
{
    for (size_t i = 0; i < n->n; i++) {
        if (strncmp(n->notice[i].key, key, strlen(key)) == 0) {
            return true;
        }
    }
    return false;
}

/* Three tubs of 18 L are to be started in two days, with a source of half a litre an hour. */
static void a_source_that_is_too_weak_is_told_of(void **ctx)
{
    struct fixture *f = *ctx;
    struct room *room = &f->room;
    struct agenda agenda;
    struct notices notices;

    for (size_t i = 0; i < room->n_containers; i++) {
        room->container[i].start_on = i <= A3 ? 20513 + 2 : DAY_NONE;
    }
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 7)), FIGURE_VOLUME_L, 100));
    room->source.stored_l = 5;
    for (int weak = 0; weak < 2; weak++) {
        room->source.rate_l_h = weak ? 0.5 : 8;
        agenda_derive(room, &f->s, at(0, 8), 28, NULL, false, &agenda);
        notices_derive(room, &f->s, &agenda, at(0, 8), &notices);
        assert_int_equal(is_told_of(&notices, "source-weak"), weak);
        notices_deinit(&notices);
        agenda_deinit(&agenda);
    }
}

/* A plan of one task of 12 L a container for two of them, on day 2. */
struct one_task {
    struct job job[2];
    struct task task;
    struct agenda agenda;
};

static void one_task(struct one_task *o, enum task_kind kind)
{
    *o = (struct one_task){0};
    o->job[0].volume_l = o->job[1].volume_l = 12;
    o->task = (struct task){.kind = kind, .on = 20513 + 2, .mix_l = 31, .job = o->job, .n_jobs = 2};
    o->agenda = (struct agenda){.task = &o->task, .n = 1};
}

/* A fill takes what it lets in, starts take the solution of each, a change its mix
 * and a reservoir of water after it. Nothing else takes plain water worth making. */
static void each_kind_of_work_takes_its_water(void **ctx)
{
    struct fixture *f = *ctx;
    struct water_need need;
    struct one_task o;

    for (int k = 0; k < TASK_KIND_N; k++) {
        double litres = k == TASK_FILL ? 12 : k == TASK_START ? 24 : k == TASK_CHANGE ? 131 : 0;

        one_task(&o, (enum task_kind)k);
        assert_int_equal(water_need_next(&f->room, &f->s, &o.agenda, at(1, 8), &need), litres > 0);
        if (litres > 0) {
            assert_true(need.need_l == litres);
            assert_ptr_equal(need.task, &o.task);
            assert_true(need.by_s == at(2, 7)); /* when the day's work begins */
            assert_true(need.has_l == 100 + 23 * 8);
            assert_true(
                need.start_s ==
                (litres > 100 ? at(2, 7) - (int64_t)((litres - 100) / 8 * 3600) : at(2, 7)));
        }
    }
}

/* What stands in the reservoir is mixed with; a jug takes its own, and a mix that
 * leaves its rest to the next is not followed by water. */
static void a_change_takes_what_the_reservoir_has_not(void **ctx)
{
    struct fixture *f = *ctx;
    struct water_need need;
    struct one_task o;
    struct entry fill = told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 8));

    tell(f, with(fill, FIGURE_VOLUME_L, 20));
    one_task(&o, TASK_CHANGE);
    assert_true(water_need_next(&f->room, &f->s, &o.agenda, at(1, 8), &need));
    assert_true(need.need_l == 31 - 20 + 100);
    o.task.mix_l = 15; /* there is more than enough for that */
    assert_true(water_need_next(&f->room, &f->s, &o.agenda, at(1, 8), &need));
    assert_true(need.need_l == 100);
    o.task.by_hand = true;
    assert_true(water_need_next(&f->room, &f->s, &o.agenda, at(1, 8), &need));
    assert_true(need.need_l == 15);
    o.task.by_hand = false;
    o.task.leaves_rest = true;
    assert_true(water_need_next(&f->room, &f->s, &o.agenda, at(1, 8), &need));
    assert_true(need.need_l == 15);
}

/* Work of yesterday that is still open needs its water this morning; the first that
 * needs any is told. */
static void the_first_task_that_takes_water_is_told(void **ctx)
{
    struct fixture *f = *ctx;
    struct job j = {.volume_l = 12};
    struct task t[] = {
        {.kind = TASK_CHECK, .on = 20513 + 1, .job = &j, .n_jobs = 1},
        {.kind = TASK_FILL,  .on = 20513 + 2, .job = &j, .n_jobs = 1},
        {.kind = TASK_START, .on = 20513 + 3, .job = &j, .n_jobs = 1},
    };
    struct agenda a = {.task = t, .n = 3};
    struct water_need need;

    assert_true(water_need_next(&f->room, &f->s, &a, at(5, 8), &need));
    assert_ptr_equal(need.task, &t[1]);
    assert_true(need.by_s == at(5, 7));
    assert_true(need.start_s == at(5, 8)); /* never before now */
    assert_false(water_need_next(&f->room, &f->s, &(struct agenda){0}, at(5, 8), &need));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(making_begins_so_that_it_is_there_in_time),
        cmocka_unit_test(what_it_can_have_is_what_is_stored_and_made),
        TEST(a_source_that_is_too_weak_is_told_of),
        TEST(each_kind_of_work_takes_its_water),
        TEST(a_change_takes_what_the_reservoir_has_not),
        TEST(the_first_task_that_takes_water_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
