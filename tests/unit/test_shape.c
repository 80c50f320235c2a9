/* No field of the state is forgotten where states are copied, compared, written and read. The test
 * goes by the same lists as state.c; that they are whole is the compiler's business (state.c). */
#include "daemon/base/text.h"
#include "daemon/core/state/shape.h"
#include "tests/unit/a_story.h"

/* A state in which nothing that it can own is missing. */
static void fill(struct fixture *f)
{
    struct state *s = &f->s;

    start(f, "A1");
    tell(f, told_at(ENTRY_MOVED, "A2", "A3", at(1, 8)));
    tell(f, told_at(ENTRY_MOVED, "A1", "L1", at(1, 8)));
    tell(f, told_at(ENTRY_MOVED, "L1", "A1", at(1, 8))); /* and back */
    tell(f, with(told_at(ENTRY_CALIBRATED, "ph-pen", "", at(1, 9)), FIGURE_SLOPE_PCT, 97));
    tell(f, with(told_at(ENTRY_CALIBRATED, "ec-pen", "", at(1, 9)), FIGURE_SLOPE_PCT, 99));
    tell(f, told_at(ENTRY_DEFERRED, "A1", "change", at(2, 9)));
    tell(f, told_at(ENTRY_DROPPED, "A2", "change", at(2, 9)));
    reads(f, "A1", 20, FIGURE_VOLUME_L, 4);
    reads(f, "A1", 21, FIGURE_EC_MS_CM, 5);
    assert_true(s->container[A1].n_homes == 2 && s->container[A2].n_homes == 1);
    assert_true(s->n_asides == 2 && s->n_holds == 2 && s->meter[1].n_calibrated == 1);
}

struct walk_of_fields {
    struct state *s;
    const struct state *other; /* is the same, but for what the walk changes in *s */
    size_t n;                  /* changed so far */
};

static void change(void *p, enum field_type type)
{
    switch (type) {
    case FIELD_BOOL:
        *(bool *)p = !*(bool *)p;
        return;
    case FIELD_INT:
    case FIELD_ENUM:
        *(unsigned *)p ^= 1;
        return;
    case FIELD_INT64:
        *(int64_t *)p ^= 1;
        return;
    case FIELD_SIZE:
        *(size_t *)p ^= 1;
        return;
    case FIELD_DOUBLE: /* by its last bit */
        *(double *)p = isnan(*(double *)p) ? 1 : nextafter(*(double *)p, 1e6);
        return;
    case FIELD_TEXT:
        *(char *)p ^= 1;
        return;
    case FIELD_PART:
    case FIELD_OWNED:
        break;
    }
    fail_msg("a kind of field that this test does not know");
}

static bool read_back(struct state *to, const struct text *bytes, size_t len)
{
    struct shape_bytes from = {(const unsigned char *)bytes->s, len};

    return shape_read(to, &state_shape, &from) && from.left == 0;
}

static void comes_back(const struct state *s)
{
    struct text bytes = {0};
    struct text why = {0};
    struct state back = {0};

    state_write(s, &bytes);
    assert_true(read_back(&back, &bytes, bytes.len));
    if (!state_equal(&back, s, &why)) {
        fail_msg("read from its bytes it is another: %s", text_str(&why));
    }
    state_deinit(&back);
    text_deinit(&bytes);
}

static void notices(struct walk_of_fields *w, const struct field *field)
{
    struct text why = {0};

    if (state_equal(w->s, w->other, &why)) {
        fail_msg("%s can change and nobody sees it", field->name);
    }
    if (!strstr(text_str(&why), field->name)) {
        fail_msg("'%s' does not say that %s differs", text_str(&why), field->name);
    }
    text_deinit(&why);
    w->n++;
    comes_back(w->s);
}

static void change_each(struct walk_of_fields *w, char *in, const struct shape *shape)
{
    for (size_t i = 0; i < shape->n_fields; i++) {
        const struct field *f = &shape->field[i];
        char *part = in + f->at;
        size_t n = f->n;

        if (f->type == FIELD_OWNED) {
            size_t *count = (size_t *)(void *)(in + f->count_at);

            memcpy(&part, in + f->at, sizeof part);
            n = *count;
            --*count;
            notices(w, f);
            ++*count;
        }
        for (size_t k = 0; k < n; k++) {
            if (f->of) {
                change_each(w, part + k * f->of->size, f->of);
            } else {
                char before[512];

                assert_true(f->size <= sizeof before);
                memcpy(before, part + k * f->size, f->size);
                change(part + k * f->size, f->type);
                notices(w, f);
                memcpy(part + k * f->size, before, f->size);
            }
        }
    }
}

static void every_field_that_changes_is_noticed(void **ctx)
{
    struct fixture *f = *ctx;
    struct state copy;
    struct walk_of_fields w = {.s = &f->s, .other = &copy};

    fill(f);
    state_copy(&copy, &f->s);
    change_each(&w, (char *)&f->s, &state_shape);
    assert_true(w.n > 500); /* four containers of a hundred fields are among them */
    assert_true(state_equal(&f->s, &copy, NULL));
    state_deinit(&copy);
}

/* A state that is cut off anywhere is none, and what was read of it can be freed (the sanitizers
 * look at that). */
static void bytes_that_end_early_are_no_state(void **ctx)
{
    struct fixture *f = *ctx;
    struct text bytes = {0};
    struct state back;

    fill(f);
    state_write(&f->s, &bytes);
    for (size_t len = 0; len < bytes.len; len += 1 + len / 64) {
        back = (struct state){0};
        assert_false(read_back(&back, &bytes, len));
        state_deinit(&back);
        assert_false(state_read(&back, &f->room, bytes.s, len));
    }
    assert_true(state_read(&back, &f->room, bytes.s, bytes.len));
    assert_true(state_equal(&back, &f->s, NULL));
    state_deinit(&back);
    text_deinit(&bytes);
}

static void a_state_of_another_room_is_not_taken(void **ctx)
{
    struct fixture *f = *ctx;
    struct text bytes = {0};
    struct state back;

    fill(f);
    state_write(&f->s, &bytes);
    f->room.n_containers--;
    assert_false(state_read(&back, &f->room, bytes.s, bytes.len));
    f->room.n_containers++;
    text_deinit(&bytes);
}

/* What the copy owns is its own: whatever is changed in it stands as it was in the other. */
static void a_copy_shares_nothing_with_its_original(void **ctx)
{
    struct fixture *f = *ctx;
    struct state copy;
    struct state second;

    fill(f);
    state_copy(&copy, &f->s);
    state_copy(&second, &f->s);
    copy.container[A1].crop = LEAF;
    copy.product[SALT].left = 0;
    copy.meter[0].calibrated[0].slope_pct = 50;
    copy.recipe[LEAF_FEED].gain.value = 9;
    copy.aside[0].why[0] = '\0';
    copy.hold[0].cycle = 77;
    assert_true(state_equal(&f->s, &second, NULL));
    fold_entry(&copy, &f->room, &(struct entry){.kind = ENTRY_CALIBRATED, .subject = "ph-pen"});
    assert_int_equal(copy.meter[0].n_calibrated, 2);
    assert_int_equal(f->s.meter[0].n_calibrated, 1);
    state_deinit(&copy);
    assert_true(state_equal(&f->s, &second, NULL));
    state_deinit(&second);
}

/* Named one by one, and not by the list: what an earlier comparison left out. */
static void what_is_believed_and_what_is_wrong_is_compared(void **ctx)
{
    struct fixture *f = *ctx;
    struct state o;
    struct container_state *a1;
    struct text why = {0};

    fill(f);
    state_copy(&o, &f->s);
    a1 = &o.container[A1];
#define DIFFERS(place, value)                                                                      \
    do {                                                                                           \
        __typeof__(place) was = (place);                                                           \
        (place) = (value);                                                                         \
        assert_false(state_equal(&f->s, &o, NULL));                                                \
        (place) = was;                                                                             \
    } while (0)
    DIFFERS(a1->alarms.of[ALARM_PACE].since_s, 5);
    DIFFERS(a1->alarms.of[ALARM_HIGH].seen, 5);
    DIFFERS(a1->alarms.opened, 5);
    DIFFERS(a1->belief.b[1][1], 5);
    DIFFERS(a1->falls.share, 5);
    DIFFERS(o.common.var[1][0], 5);
    DIFFERS(a1->belief.v[0][2], 5);
    DIFFERS(a1->curve.spread_day, 5);
    DIFFERS(a1->made_with[0], 5);
    DIFFERS(a1->odd_l, 5);
    DIFFERS(a1->ec_by[BELIEF_LN_HALF], 5);
    DIFFERS(a1->ec.meter, 5);
    DIFFERS(o.reservoir.alarms.of[ALARM_LEAK].sure_pct, 5);
    DIFFERS(o.reservoir.lost_l_day, 5);
    DIFFERS(o.meter[1].odd, 5);
    DIFFERS(o.meter[1].alarms.of[ALARM_METER].since_s, 5);
    DIFFERS(o.meter[1].calibrated[0].slope_pct, 5);
    DIFFERS(o.meter[1].n_calibrated, 0);
    DIFFERS(o.recipe[LEAF_FEED].gain.drift_frac, 5);
    DIFFERS(o.aside[0].seq, 5);
    DIFFERS(o.aside[0].why[0], '!');
    DIFFERS(o.hold[1].dropped, false);
#undef DIFFERS
    assert_true(state_equal(&f->s, &o, &why));
    assert_string_equal(text_str(&why), "");
    text_deinit(&why);
    state_deinit(&o);
}

static void a_difference_is_said_with_its_place(void **ctx)
{
    struct fixture *f = *ctx;
    struct state o;
    struct text why = {0};

    fill(f);
    state_copy(&o, &f->s);
    o.container[A2].alarms.of[ALARM_LOW].since_s = 7;
    assert_false(state_equal(&f->s, &o, &why));
    assert_string_equal(text_str(&why), "container[1].alarms.of[2].since_s: 0 and 7");
    o.container[A2].alarms.of[ALARM_LOW].since_s = 0;
    text_clear(&why);
    o.meter[0].n_calibrated = 0;
    assert_false(state_equal(&f->s, &o, &why));
    assert_string_equal(text_str(&why), "meter[0].calibrated: 1 and 0 of them");
    o.meter[0].n_calibrated = 1;
    text_clear(&why);
    name_it(o.hold[0].what, sizeof o.hold[0].what, "bump");
    assert_false(state_equal(&f->s, &o, &why));
    assert_string_equal(text_str(&why), "hold[0].what: 'change' and 'bump'");
    text_deinit(&why);
    state_deinit(&o);
}

static void follows_its_struct(const struct shape *shape)
{
    size_t end = 0;

    for (size_t i = 0; i < shape->n_fields; i++) {
        const struct field *f = &shape->field[i];

        if (f->at < end) {
            fail_msg("%s stands out of order in its list", f->name);
        }
        end = f->at + f->n * f->size;
        if (f->type == FIELD_OWNED) {
            assert_true(f->count_at == end && (!f->cap_at || f->cap_at == end + sizeof(size_t)));
            end = f->count_at + sizeof(size_t);
        }
        if (f->of) {
            follows_its_struct(f->of);
        }
    }
    assert_true(end <= shape->size);
}

static void each_list_has_the_order_of_its_struct(void **ctx)
{
    (void)ctx;
    follows_its_struct(&state_shape);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(every_field_that_changes_is_noticed),
        TEST(bytes_that_end_early_are_no_state),
        TEST(a_state_of_another_room_is_not_taken),
        TEST(a_copy_shares_nothing_with_its_original),
        TEST(what_is_believed_and_what_is_wrong_is_compared),
        TEST(a_difference_is_said_with_its_place),
        cmocka_unit_test(each_list_has_the_order_of_its_struct),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
