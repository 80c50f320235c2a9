/* What a container's nutrients say of one another. */
#include "daemon/core/tell/feed_notes.h"
#include "tests/unit/a_told_room.h"

static struct crop published(double k, double ca)
{
    struct crop c = {0};

    c.feed[FEED_K] = (struct span){k, k};
    c.feed[FEED_CA] = (struct span){ca - 20, ca + 20};
    return c;
}

/* Out of range by more than a factor of two: published is 200 over 150, 1.33. */
static void k_over_ca_is_told_where_it_is_far_from_what_was_published(void **ctx)
{
    static const struct {
        double k, ca;
        const char *says;
    } row[] = {
        {200, 150, NULL                                  },
        {200, 76,  NULL                                  },
        {200, 70,  "K is 2.9 times its Ca, where 1.3 was"},
        {100, 148, NULL                                  },
        {50,  150, "K is 0.3 times its Ca, where 1.3 was"},
        {0,   150, NULL                                  }, /* nobody knows */
        {200, 0,   NULL                                  },
    };
    struct crop tomato = published(200, 150);
    char out[FEED_NOTES_MAX][FEED_NOTE_LEN];

    (void)ctx;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct nutrients mg_l = {0};

        mg_l.mg[NUTRIENT_K] = row[i].k;
        mg_l.mg[NUTRIENT_CA] = row[i].ca;
        assert_int_equal(feed_notes(&tomato, 0, &mg_l, out), row[i].says != NULL);
        if (row[i].says) {
            assert_non_null(strstr(out[0], row[i].says));
            assert_non_null(strstr(out[0], "A change mends it, a bump does not."));
        }
    }
    tomato = published(0, 0);
    assert_int_equal(feed_notes(&tomato, 0, &(struct nutrients){0}, out), 0);
}

/* A fifth of all: Yafuso & Boldt 2024 (room_advice.h). */
static void much_ammonium_is_told(void **ctx)
{
    struct crop any = {0};
    struct nutrients mg_l = {0};
    char out[FEED_NOTES_MAX][FEED_NOTE_LEN];

    (void)ctx;
    mg_l.mg[NUTRIENT_NO3_N] = 81;
    mg_l.mg[NUTRIENT_NH4_N] = 19;
    assert_int_equal(feed_notes(&any, 0, &mg_l, out), 0);
    mg_l.mg[NUTRIENT_NH4_N] = 27;
    assert_int_equal(feed_notes(&any, 0, &mg_l, out), 1);
    assert_non_null(strstr(out[0], "25 % of its nitrogen is ammonium: from 20 % on "));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(k_over_ca_is_told_where_it_is_far_from_what_was_published),
        cmocka_unit_test(much_ammonium_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
