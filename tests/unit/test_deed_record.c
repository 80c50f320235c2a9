/* Work that nobody had planned, told straight; and entries that are to count as never told. */
#include "tests/unit/a_deed.h"

static void no_one_tops_up_above_the_float_line_by_hand(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    say(f, "A1", FIGURE_ADDED_L, 1);
    f->d.sure = true;
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_TOPPED_UP, &f->d, &f->out, &f->err),
                     ERR_REFUSED);
    assert_non_null(strstr(f->err.msg, "drown its air roots"));
}

static void a_drawdown_is_not_topped_up_once_it_has_air_roots(void **ctx)
{
    struct deed_fixture *f = *ctx;

    tell(f, with(told_at(ENTRY_STARTED, "A1", "vine", at(20, 9)), FIGURE_EC_MS_CM, 0.7));
    say(f, "A1", FIGURE_ADDED_L, 0.5);
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_TOPPED_UP, &f->d, &f->out, &f->err),
                     ERR_REFUSED);
    assert_non_null(strstr(f->err.msg, "the level it has now"));
}

static void a_refill_without_a_drain_is_refused(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    say(f, "A1", FIGURE_EC_MS_CM, 1.1);
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_REFILLED, &f->d, &f->out, &f->err),
                     ERR_REFUSED);
    assert_string_equal(f->err.msg, "A1 was not drained since its last filling; tell that it was "
                                    "drained first");
}

static void what_cannot_be_is_refused_and_what_is_strange_is_asked_about(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    say(f, "A1", FIGURE_PH, 15);
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_READING, &f->d, &f->out, &f->err),
                     ERR_RANGE);
    say(f, "A1", FIGURE_PH, 9.4);
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_READING, &f->d, &f->out, &f->err),
                     ERR_UNSURE);
    assert_string_equal(f->err.field, "ph");
    f->d.sure = true;
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_READING, &f->d, &f->out, &f->err), 0);
}

static void a_void_is_not_voided_and_nothing_is_voided_twice(void **ctx)
{
    struct deed_fixture *f = *ctx;
    struct entry e = told_at(ENTRY_NOTE, "A1", "", at(1, 0));

    e.seq = 9;
    assert_int_equal(deed_void(&e, false, &f->d, &f->out, &f->err), ERR_MISSING);
    f->d.note = "wrong container";
    assert_int_equal(deed_void(&e, true, &f->d, &f->out, &f->err), ERR_REFUSED);
    assert_string_equal(f->err.msg, "entry 9 was voided already");
    assert_int_equal(deed_void(&e, false, &f->d, &f->out, &f->err), 0);
    assert_int_equal(f->out.entry[0].voids, 9);
    e.kind = ENTRY_VOIDED;
    entries_deinit(&f->out);
    assert_int_equal(deed_void(&e, false, &f->d, &f->out, &f->err), ERR_REFUSED);
}

static void an_entry_carries_who_told_it_and_when(void **ctx)
{
    struct deed_fixture *f = *ctx;
    const struct entry *e;

    on_float(f, "A1");
    f->d.happened_s = at(40, 7);
    f->d.key = "k-1";
    f->d.note = "by torchlight";
    say(f, "A1", FIGURE_PH, 6);
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_READING, &f->d, &f->out, &f->err), 0);
    assert_int_equal(f->out.n, 1);
    e = &f->out.entry[0];
    assert_int_equal(e->happened_s, at(40, 7));
    assert_int_equal(e->told_s, at(40, 10));
    assert_int_equal(e->uid, 1000);
    assert_int_equal(e->task, 0); /* nobody had planned it */
    assert_string_equal(e->who, "ana");
    assert_string_equal(e->key, "k-1");
    assert_string_equal(e->note, "by torchlight");
}

static void what_goes_without_saying_is_filled_in(void **ctx)
{
    struct deed_fixture *f = *ctx;

    say(f, "A1", FIGURE_EC_MS_CM, 0.7);
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_STARTED, &f->d, &f->out, &f->err), 0);
    assert_string_equal(f->out.entry[0].what, "vine");
    tell(f, f->out.entry[0]);
    entries_deinit(&f->out);
    f->told[0].has = 0;
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_FLOAT_SEEN, &f->d, &f->out, &f->err), 0);
    assert_string_equal(f->out.entry[0].what, "yes");
    entries_deinit(&f->out);
    f->d.sure = true; /* it was set in a moment ago */
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_HARVESTED, &f->d, &f->out, &f->err), 0);
    assert_string_equal(f->out.entry[0].what, "final");
    entries_deinit(&f->out);
    name_it(f->told[0].what, sizeof f->told[0].what, "part");
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_HARVESTED, &f->d, &f->out, &f->err), 0);
    assert_string_equal(f->out.entry[0].what, "part");
}

static void what_is_not_recorded_by_itself_is_said_so(void **ctx)
{
    struct deed_fixture *f = *ctx;

    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_READING, &f->d, &f->out, &f->err),
                     ERR_MISSING);
    assert_string_equal(f->err.msg, "say of what: 'reading' is about something");
    say(f, "A1", FIGURE_PH, 6);
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_VOIDED, &f->d, &f->out, &f->err),
                     ERR_REFUSED);
    assert_string_equal(f->err.msg,
                        "'voided' comes of a task or an entry; it is not recorded by itself");
}

/* One wrong thing, and nothing of the deed is told. */
static void a_deed_is_told_whole_or_not_at_all(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    on_float(f, "A2");
    say(f, "A1", FIGURE_PH, 6);
    say(f, "A2", FIGURE_PH, 15);
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_READING, &f->d, &f->out, &f->err),
                     ERR_RANGE);
    assert_null(f->out.entry);
    assert_int_equal(f->out.n, 0);
}

static void a_void_is_of_now_and_about_what_it_voids(void **ctx)
{
    struct deed_fixture *f = *ctx;
    struct entry e = told_at(ENTRY_NOTE, "A2", "", at(1, 0));

    e.seq = 9;
    f->d.happened_s = at(39, 0);
    f->d.note = "of another room";
    assert_int_equal(deed_void(&e, false, &f->d, &f->out, &f->err), 0);
    assert_int_equal(f->out.n, 1);
    assert_int_equal(f->out.entry[0].kind, ENTRY_VOIDED);
    assert_string_equal(f->out.entry[0].subject, "A2");
    assert_string_equal(f->out.entry[0].note, "of another room");
    assert_int_equal(f->out.entry[0].happened_s, at(40, 10));
    assert_string_equal(f->out.entry[0].who, "ana");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        DEED_TEST(no_one_tops_up_above_the_float_line_by_hand),
        DEED_TEST(a_drawdown_is_not_topped_up_once_it_has_air_roots),
        DEED_TEST(a_refill_without_a_drain_is_refused),
        DEED_TEST(what_cannot_be_is_refused_and_what_is_strange_is_asked_about),
        DEED_TEST(a_void_is_not_voided_and_nothing_is_voided_twice),
        DEED_TEST(an_entry_carries_who_told_it_and_when),
        DEED_TEST(what_goes_without_saying_is_filled_in),
        DEED_TEST(what_is_not_recorded_by_itself_is_said_so),
        DEED_TEST(a_deed_is_told_whole_or_not_at_all),
        DEED_TEST(a_void_is_of_now_and_about_what_it_voids),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
