/* A room file that tells other contents of a product: what was learned of it is begun anew. 4 mL/L
 * of calcium-part and 2 mL/L of sulfate-part give 2.0 mS/cm. */
#include "daemon/core/tell/strength_changed.h"
#include "tests/unit/a_story.h"

struct change {
    struct room now;
    struct entries out;
};

static struct change changed_to(const struct fixture *f, double ca_before, double ca_now)
{
    struct change c = {.now = a_room()};
    struct room before = f->room; /* borrows all that it points to */

    before.product[CALCIUM_PART].contents.mg[NUTRIENT_CA] = ca_before;
    c.now.product[CALCIUM_PART].contents.mg[NUTRIENT_CA] = ca_now;
    strength_changed(&before, &c.now, &f->room, &f->s, at(9, 9), 0, &c.out);
    return c;
}

static void end(struct change *c)
{
    room_deinit(&c->now);
    entries_deinit(&c->out);
}

static void a_mix_was_measured(struct fixture *f)
{
    struct entry mix =
        with(with(with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(1, 9)), FIGURE_VOLUME_L, 20),
                  FIGURE_EC_MS_CM, 1.25),
             FIGURE_WAS_MS_CM, 1.25);

    tell(f, with_amount(with_amount(mix, "calcium-part", 40), "sulfate-part", 20));
}

static void contents_that_changed_are_told_as_a_bottle_of_another_strength(void **ctx)
{
    struct fixture *f = *ctx;
    struct change c;

    a_mix_was_measured(f);
    assert_true(f->s.recipe[LEAF_FEED].gain.n_used > 0);
    c = changed_to(f, 60, 120);
    assert_int_equal(c.out.n, 1);
    if (!c.out.entry) {
        fail();
        return;
    }
    assert_string_equal(c.out.entry[0].subject, "calcium-part");
    assert_int_equal(c.out.entry[0].kind, ENTRY_STOCK_RECEIVED);
    assert_int_equal(entry_check_form(&f->room, &c.out.entry[0], false, NULL), 0);
    tell(f, c.out.entry[0]);
    assert_int_equal(f->s.recipe[LEAF_FEED].gain.n_used, 0);
    end(&c);
}

static void what_stays_or_was_never_learned_is_left_alone(void **ctx)
{
    struct fixture *f = *ctx;
    struct change c = changed_to(f, 60, 120);

    assert_int_equal(c.out.n, 0); /* nothing was learned yet */
    end(&c);
    a_mix_was_measured(f);
    c = changed_to(f, 60, 60);
    assert_int_equal(c.out.n, 0);
    end(&c);
    c = changed_to(f, 0, 60); /* told for the first time, of the bottle that there is */
    assert_int_equal(c.out.n, 0);
    end(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(contents_that_changed_are_told_as_a_bottle_of_another_strength),
        TEST(what_stays_or_was_never_learned_is_left_alone),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
