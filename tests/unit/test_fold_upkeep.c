/* What is put off, dropped and cared for, what meters and stock come to, and what doses teach. */
#include "tests/unit/a_story.h"

static struct entry put_off(const char *subject, const char *job, int32_t cycle, int32_t until_day)
{
    struct entry e = told_at(ENTRY_DEFERRED, subject, job, at(30, 9));

    e.cycle = cycle;
    e.until_day = until_day;
    return e;
}

static void a_job_is_held_once_and_by_the_last_word(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = put_off("A1", "change", 3, 20545);

    tell(f, e);
    tell(f, put_off("A2", "change", 1, 20546));
    tell(f, put_off("A1", "bump", 1, 20547));
    tell(f, put_off("reservoir", "change", 2, 20550));
    assert_int_equal(f->s.n_holds, 4); /* another job, or another subject */
    assert_string_equal(f->s.hold[2].what, "bump");
    assert_int_equal(f->s.hold[1].subject.at, A2);
    assert_int_equal(f->s.hold[3].subject.kind, SUBJECT_RESERVOIR);
    e.kind = ENTRY_DROPPED;
    e.cycle = 4;
    tell(f, e);
    assert_int_equal(f->s.n_holds, 4);
    assert_string_equal(f->s.hold[0].what, "change");
    assert_int_equal(f->s.hold[0].cycle, 4);
    assert_true(f->s.hold[0].dropped);
    assert_int_equal(f->s.hold[0].until_day, 20545);
    e.until_day = DAY_NONE;
    tell(f, e);
    assert_int_equal(f->s.hold[0].until_day, INT32_MAX); /* for good */
    tell(f, put_off("A1", "change", 5, 20549));
    assert_false(f->s.hold[0].dropped);
    assert_int_equal(f->s.hold[0].until_day, 20549);
    assert_int_equal(f->s.hold[0].cycle, 5);
}

static void care_is_counted_where_it_was_given(void **ctx)
{
    struct fixture *f = *ctx;
    struct state *s = &f->s;

    tell(f, told_at(ENTRY_CARED_FOR, "A1", "float", at(1, 9)));
    tell(f, told_at(ENTRY_CARED_FOR, "A1", "float", at(2, 9)));
    tell(f, told_at(ENTRY_CARED_FOR, "A2", "valve", at(3, 9)));
    tell(f, told_at(ENTRY_CARED_FOR, "room", "filter", at(4, 9)));
    tell(f, told_at(ENTRY_CARED_FOR, "reservoir", "reservoir", at(5, 9)));
    tell(f, told_at(ENTRY_CARED_FOR, "room", "read", at(6, 9)));
    assert_int_equal(s->container[A1].cares[CARE_FLOAT], 2);
    assert_int_equal(s->container[A1].care_s[CARE_FLOAT], at(2, 9));
    assert_int_equal(s->container[A2].cares[CARE_VALVE], 1);
    assert_int_equal(s->container[A2].cares[CARE_FLOAT], 0);
    assert_int_equal(s->cares[CARE_FLOAT], 0);
    assert_int_equal(s->cares[CARE_FILTER], 1);
    assert_int_equal(s->care_s[CARE_FILTER], at(4, 9));
    assert_int_equal(s->cares[CARE_RESERVOIR], 1);
    assert_int_equal(s->cares[CARE_READ], 1);
    assert_int_equal(s->care_s[CARE_READ], at(6, 9));
}

static void a_meter_keeps_all_its_calibrations(void **ctx)
{
    struct fixture *f = *ctx;
    const struct meter_state *m = &f->s.meter[0];

    assert_true(isnan(m->slope_pct) && isnan(m->offset_mv));
    for (int i = 0; i < 20; i++) {
        struct entry e =
            with(told_at(ENTRY_CALIBRATED, "ph-pen", "", at(i, 9)), FIGURE_SLOPE_PCT, 98 - i);

        tell(f, i % 2 ? with(e, FIGURE_OFFSET_MV, 3 + i) : e);
    }
    assert_int_equal(m->calibrations, 20);
    assert_int_equal(m->n_calibrated, 20);
    assert_int_equal(m->calibrated_s, at(19, 9));
    assert_near(m->slope_pct, 79, 0);
    assert_near(m->offset_mv, 22, 0);
    for (int i = 0; i < 20; i++) {
        assert_int_equal(m->calibrated[i].at_s, at(i, 9));
        assert_near(m->calibrated[i].slope_pct, 98 - i, 0);
        assert_true(i % 2 ? m->calibrated[i].offset_mv == 3 + i
                          : isnan(m->calibrated[i].offset_mv));
    }
    assert_int_equal(f->s.meter[1].n_calibrated, 0);
}

static void what_was_ordered_is_ordered_until_it_comes(void **ctx)
{
    struct fixture *f = *ctx;
    const struct product_state *p = &f->s.product[SALT];

    tell(f, told_at(ENTRY_ACKNOWLEDGED, "salt", "reorder", at(1, 9)));
    assert_true(p->ordered);
    assert_false(f->s.product[CALCIUM_PART].ordered);
    tell(f, with(told_at(ENTRY_STOCK_RECEIVED, "salt", "", at(5, 9)), FIGURE_AMOUNT, 500));
    assert_near(p->left, 1500, 0);
    assert_int_equal(p->receipts, 1);
    assert_false(p->ordered);
    tell(f, told_at(ENTRY_ACKNOWLEDGED, "salt", "look", at(6, 9)));
    tell(f, told_at(ENTRY_ACKNOWLEDGED, "A1", "reorder", at(6, 9)));
    assert_false(p->ordered);
}

/* Half of a recipe's full dose of 4 and 2 mL/L in 50 L. */
static struct entry mix(double a_ml, double b_ml, double ec)
{
    struct entry e = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(1, 9));

    e = with(with(e, FIGURE_VOLUME_L, 50), FIGURE_EC_MS_CM, ec);
    return with_amount(with_amount(e, "calcium-part", a_ml), "sulfate-part", b_ml);
}

static int32_t learned_of(struct fixture *f, struct entry e)
{
    int32_t before = f->s.recipe[LEAF_FEED].gain.n_used;

    tell(f, e);
    tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", e.happened_s));
    return f->s.recipe[LEAF_FEED].gain.n_used - before;
}

/* Products dosed within a tenth of each other are the recipe; less than 2 % of a dose shows
 * nothing. */
static void a_mix_teaches_when_it_is_the_recipe(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry without_b = mix(100, 50, 1.05);

    without_b.n_amounts = 1;
    assert_int_equal(learned_of(f, mix(100, 50, 1.05)), 1);
    assert_near(f->s.recipe[LEAF_FEED].gain.value, 2.0, 1e-9); /* 1.0 for half a dose */
    assert_int_equal(learned_of(f, mix(100, 45.1, 1.05)), 1);
    assert_int_equal(learned_of(f, mix(100, 44.9, 1.05)), 0);
    assert_int_equal(learned_of(f, mix(89.9, 50, 1.05)), 0);
    assert_int_equal(learned_of(f, without_b), 0);
    assert_int_equal(learned_of(f, mix(4.1, 2.05, 0.09)), 1);
    assert_int_equal(learned_of(f, mix(3.9, 1.95, 0.09)), 0);
    assert_int_equal(learned_of(f, mix(100, 50, 0.05)), 0); /* no rise: nobody stirred */
}

/* What a measured mix is worth: 0.02 mS/cm and 3 % of its rise, beside the 10 % (15 % where the EC
 * was estimated) that a recipe's figure is taken for at first. */
static void a_measured_mix_weighs_what_its_meter_is_worth(void **ctx)
{
    struct fixture *f = *ctx;
    const struct learned *l = &f->s.recipe[LEAF_FEED].gain;
    double wander = 0.005 * 2; /* from one mix to the next */
    double prior = 0.2 * 0.2 + wander * wander;
    double noise = (0.02 + 0.03 * 2.2) * (0.02 + 0.03 * 2.2);

    assert_near(learned_sd(l), 0.2, 1e-12);
    tell(f, mix(200, 100, 2.25)); /* a whole dose: 2.2 where 2.0 was said */
    assert_near(l->value, 2 + 0.2 * prior / (prior + noise), 1e-9);
    assert_near(l->var, prior * noise / (prior + noise), 1e-9);
    f->room.recipe[FRUIT].ec_estimated = true;
    begin_again(f);
    assert_near(learned_sd(&f->s.recipe[FRUIT].gain), 0.3, 1e-12);
}

/* A dose of acid an hour after a reading of 6.8. */
static struct entry acid(double to_ph, const char *product, double ml, int64_t after_s)
{
    return with_amount(
        with(told_at(ENTRY_PH_ADJUSTED, "A1", "", at(2, 9) + after_s), FIGURE_PH, to_ph), product,
        ml);
}

/* What roots did to the alkalinity of a container nobody knows, so its acid teaches nothing of the
 * bottle; it is used, and the pH is set. */
static void acid_in_a_container_sets_its_ph_and_teaches_nothing(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.source.alkalinity_mg_l = 50;
    f->room.product[PH_DOWN].reagent = REAGENT_NITRIC;
    f->room.product[PH_DOWN].mol_ml = 0.001;
    begin_again(f);
    start(f, "A1");
    reads(f, "A1", 2, FIGURE_PH, 6.8);
    tell(f, acid(5.8, "ph-down", 5.5, 3600));
    assert_int_equal(f->s.product[PH_DOWN].strength.n_used, 0);
    assert_near(f->s.container[A1].ph.value, 5.8, 0);
    assert_true(f->s.container[A1].drift.from_ph > 5.8); /* gas leaves: no drift of the plant's */
    assert_near(f->s.product[PH_DOWN].left, 994.5, 0);
    assert_int_equal(f->s.container[A1].at_s, at(2, 10));
    assert_int_equal(f->s.container[A1].stirred_s, at(2, 10));
}

static void a_dose_without_a_reading_before_teaches_nothing(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1");
    tell(f, acid(5.8, "ph-down", 9, 3600));
    assert_int_equal(f->s.product[PH_DOWN].strength.n_used, 0);
    assert_near(f->s.product[PH_DOWN].left, 991, 0); /* used it is */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_job_is_held_once_and_by_the_last_word),
        TEST(care_is_counted_where_it_was_given),
        TEST(a_meter_keeps_all_its_calibrations),
        TEST(what_was_ordered_is_ordered_until_it_comes),
        TEST(a_mix_teaches_when_it_is_the_recipe),
        TEST(a_measured_mix_weighs_what_its_meter_is_worth),
        TEST(acid_in_a_container_sets_its_ph_and_teaches_nothing),
        TEST(a_dose_without_a_reading_before_teaches_nothing),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
