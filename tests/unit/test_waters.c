/* What is dissolved in each water of the room: from the source, after acid, after days in the open,
 * mixed and poured. The chemistry itself is held to a program's in check_balance.c; here the right
 * water, litres and days have to reach it. */
#include "daemon/core/state/dosed_water.h"
#include "daemon/core/state/waters.h"
#include "tests/unit/a_story.h"

#define GAS_OF_AIR_MMOL_L 0.0136 /* 0.04 % of an atmosphere, 34 mmol/L for each: from memory */

/* A source of 3 meq/L that shows 7.3, and nitric acid of 5 mol/L. */
static int set_up_hard(void **ctx)
{
    int rc = set_up(ctx);
    struct fixture *f = *ctx;

    report_water(&f->room, 3, 7.3);
    label_bottle(&f->room, PH_DOWN, REAGENT_NITRIC, 0.005);
    begin_again(f);
    return rc;
}
#define HARD(name) cmocka_unit_test_setup_teardown(name, set_up_hard, tear_down)

static struct dissolved water(double meq_l, double carbonate_mmol_l)
{
    return (struct dissolved){
        .alkalinity_meq_l = meq_l, .carbonate_mmol_l = carbonate_mmol_l, .temp_c = 25};
}

static void assert_same_water(const struct dissolved *got, const struct dissolved *want)
{
    assert_near(got->alkalinity_meq_l, want->alkalinity_meq_l, 1e-9);
    assert_near(got->carbonate_mmol_l, want->carbonate_mmol_l, 1e-9);
    assert_near(got->citrate_mmol_l, want->citrate_mmol_l, 1e-9);
    for (int i = 0; i < ION_COUNT; i++) {
        assert_near(got->ions.mmol_l[i], want->ions.mmol_l[i], 1e-9);
    }
}

/* Four tenths calcium, one tenth magnesium for each meq (waters.h). */
static void the_source_is_what_its_report_says(void **ctx)
{
    struct fixture *f = *ctx;
    struct dissolved w = waters_source(&f->room, &f->s);

    assert_true(waters_known(&w));
    assert_near(w.alkalinity_meq_l, 3, 1e-9);
    assert_near(w.ions.mmol_l[ION_CA], 1.2, 1e-9);
    assert_near(w.ions.mmol_l[ION_MG], 0.3, 1e-9);
    assert_near(w.temp_c, 25, 0);
    assert_near(balance_ph_closed(&w), 7.3, 1e-6);
    f->room.source.ph = NAN; /* most supplies lie near 7.5 (common practice, no source) */
    w = waters_source(&f->room, &f->s);
    assert_near(balance_ph_closed(&w), 7.5, 0.3);
    f->s.alkalinity.value = -0.1; /* learned from a dose that did next to nothing */
    w = waters_source(&f->room, &f->s);
    assert_near(w.alkalinity_meq_l, 0, 0);
    assert_near(w.ions.mmol_l[ION_CA], 0, 0);
}

static void without_a_report_nothing_is_known_of_it(void **ctx)
{
    struct fixture *f = *ctx;
    struct dissolved w = waters_source(&f->room, &f->s);

    assert_false(waters_known(&w));
    assert_near(w.ions.mmol_l[ION_CA], 0, 0);
    w = waters_reservoir(&f->room, &f->s, at(1, 9));
    assert_false(waters_known(&w));
}

static void a_bottle_without_a_name_counts_as_one_mmol_in_a_ml(void **ctx)
{
    struct product p = {.kind = PRODUCT_ACID, .reagent = REAGENT_NONE, .mol_ml = 0.005};

    (void)ctx;
    assert_near(waters_ml_mmol(&p), 1, 0);
    assert_int_equal(waters_reagent(&p), REAGENT_NITRIC);
    p.kind = PRODUCT_BASE;
    assert_int_equal(waters_reagent(&p), REAGENT_KOH);
    p.reagent = REAGENT_KHCO3;
    assert_int_equal(waters_reagent(&p), REAGENT_KHCO3);
    assert_near(waters_ml_mmol(&p), 0.2, 1e-12); /* 5 mmol in a mL */
    p.mol_ml = 0;
    assert_near(waters_ml_mmol(&p), 1, 0);
    p.mol_ml = NAN;
    assert_near(waters_ml_mmol(&p), 1, 0);
}

static void nutrients_stay_salts(void **ctx)
{
    struct dissolved w = water(2, 2.2);
    struct nutrients mg_l = {.mg[NUTRIENT_K] = 39.098, .mg[NUTRIENT_CA] = 80.156};

    (void)ctx;
    w.ions.mmol_l[ION_CA] = 0.5;
    waters_feed(&w, &mg_l);
    assert_near(w.ions.mmol_l[ION_CA], 2.5, 1e-3); /* 40.078 g/mol */
    assert_near(w.ions.mmol_l[ION_K], 1, 1e-3);
    assert_near(w.alkalinity_meq_l, 2, 0);
    assert_near(w.carbonate_mmol_l, 2.2, 0);
}

static void a_mixture_holds_of_each_by_its_litres(void **ctx)
{
    struct dissolved a = water(4, 5);
    struct dissolved b = water(0, 1);
    struct dissolved mixed;

    (void)ctx;
    a.citrate_mmol_l = 0.4;
    a.ions.mmol_l[ION_CA] = 2;
    b.ions.mmol_l[ION_K] = 4;
    mixed = waters_mixed(&a, 30, &b, 10);
    assert_near(mixed.alkalinity_meq_l, 3, 1e-12);
    assert_near(mixed.carbonate_mmol_l, 4, 1e-12);
    assert_near(mixed.citrate_mmol_l, 0.3, 1e-12);
    assert_near(mixed.ions.mmol_l[ION_CA], 1.5, 1e-12);
    assert_near(mixed.ions.mmol_l[ION_K], 1, 1e-12);
    b.alkalinity_meq_l = NAN; /* nobody knows: of nothing of it that is no matter … */
    mixed = waters_mixed(&a, 30, &b, 0);
    assert_same_water(&mixed, &a);
    mixed = waters_mixed(&b, 0, &a, 30);
    assert_same_water(&mixed, &a);
    mixed = waters_mixed(&a, 30, &b, 10); /* … and of some of it nobody knows the mixture */
    assert_false(waters_known(&mixed));
}

static void cans_take_what_they_hold_and_no_more(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.reservoir.cans_l = 30;
    f->s.reservoir.cans.volume_l = 10;
    assert_near(waters_drawn_off(&f->room, &f->s, at(2, 9), 15).volume_l, 25, 1e-9);
    assert_near(waters_drawn_off(&f->room, &f->s, at(2, 9), 50).volume_l, 30, 1e-9);
    f->room.reservoir.cans_l = 5; /* there were more once */
    assert_near(waters_drawn_off(&f->room, &f->s, at(2, 9), 50).volume_l, 10, 1e-9);
}

/* 8 mL of 5 mol/L are 40 mmol: 1 mmol/L in 40 L, a meq/L less. */
static void acid_takes_alkalinity_and_nothing_else_does(void **ctx)
{
    struct fixture *f = *ctx;
    struct dissolved w = water(3, 3.3);

    waters_dose(&w, &f->room, &f->s, PH_DOWN, 8, 40);
    assert_near(w.alkalinity_meq_l, 2, 1e-9);
    assert_near(w.carbonate_mmol_l, 3.3, 0);
    waters_dose(&w, &f->room, &f->s, CALCIUM_PART, 80, 40);
    assert_near(w.alkalinity_meq_l, 2, 1e-9);
    waters_dose(&w, &f->room, &f->s, PH_DOWN, 8, 0); /* into nothing */
    assert_near(w.alkalinity_meq_l, 2, 1e-9);
    f->s.product[PH_DOWN].strength.value = 2; /* twice as much of it is needed as it says */
    waters_dose(&w, &f->room, &f->s, PH_DOWN, 8, 40);
    assert_near(w.alkalinity_meq_l, 1.5, 1e-9);
    label_bottle(&f->room, SALT, REAGENT_KOH, 0.001);
    f->s.product[SALT].strength.value = 1;
    waters_dose(&w, &f->room, &f->s, SALT, 20, 40);
    assert_near(w.alkalinity_meq_l, 2, 1e-9);
}

static void the_acid_of_an_entry_is_the_only_one_in_it(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = with_amount(told_at(ENTRY_PH_ADJUSTED, "reservoir", "", at(1, 9)), "tea", 3);
    size_t product = 99;

    assert_int_equal(waters_acid_of(&f->room, &e, &product), -1);
    e = with_amount(with_amount(e, "calcium-part", 3), "A1", 3);
    assert_int_equal(waters_acid_of(&f->room, &e, &product), -1);
    e = with_amount(e, "ph-down", 3);
    assert_int_equal(waters_acid_of(&f->room, &e, &product), 3);
    assert_int_equal(product, PH_DOWN);
    f->room.product[SALT].kind = PRODUCT_BASE;
    e = with_amount(e, "salt", 3); /* which of the two did what nobody knows */
    assert_int_equal(waters_acid_of(&f->room, &e, &product), -1);
    e.amount[3].product[0] = '\0';
    assert_int_equal(waters_acid_of(&f->room, &e, &product), 4);
    assert_int_equal(product, SALT);
}

static void what_shows_a_ph_has_the_alkalinity_of_it(void **ctx)
{
    struct dissolved w = water(3, 3.3);

    (void)ctx;
    waters_show(&w, 6.2);
    assert_near(balance_ph_closed(&w), 6.2, 1e-6);
    assert_near(w.carbonate_mmol_l, 3.3, 0);
    w = water(NAN, 99);
    waters_show(&w, 7.9); /* nothing is known of it: then the air made it so */
    assert_near(balance_ph_open(&w), 7.9, 1e-6);
    assert_near(balance_ph_closed(&w), 7.9, 1e-6);
}

/* The reservoir as it stood when it was filled, so many days before. */
static struct dissolved stood(const struct fixture *f, double days)
{
    struct dissolved w = waters_reservoir(&f->room, &f->s, at(1, 9));

    balance_stand(&w, days);
    return w;
}

static void fill_dosed(struct fixture *f)
{
    tell(f,
         with(with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(1, 9)), FIGURE_VOLUME_L, 80),
              FIGURE_PH, 5.8));
}

static void a_reservoir_loses_its_gas_day_by_day(void **ctx)
{
    struct fixture *f = *ctx;
    struct dissolved now;
    struct dissolved want;

    fill_dosed(f);
    for (int days = 0; days < 4; days++) {
        now = waters_reservoir(&f->room, &f->s, at(1 + days, 9));
        want = stood(f, days);
        assert_same_water(&now, &want);
    }
    want = waters_reservoir(&f->room, &f->s, at(1, 9));
    assert_near(balance_ph_closed(&want), 5.8, 1e-6);
    now = waters_reservoir(&f->room, &f->s, at(0, 9)); /* before it was filled nothing had left */
    assert_same_water(&now, &want);
    assert_near(balance_gas_mmol_l(&now) - balance_gas_mmol_l(&want), 0, 1e-9);
}

/* Between what it showed when it was stirred and the balance with the air a reading says how much
 * gas has left, give or take two meters; beyond that the alkalinity is another. */
static void a_reading_says_what_gas_has_left_or_else_what_the_alkalinity_is(void **ctx)
{
    struct fixture *f = *ctx;
    double open_ph;
    double meq_l;
    struct dissolved w;

    fill_dosed(f);
    w = waters_reservoir(&f->room, &f->s, at(1, 9));
    meq_l = w.alkalinity_meq_l;
    open_ph = balance_ph_open(&w);
    for (int k = 0; k < 5; k++) {
        const double shown[] = {5.8 - 0.4, 5.8 - 0.2, 6.6, open_ph + 0.2, open_ph + 0.4};
        bool believed = k > 0 && k < 4;

        begin_again(f);
        fill_dosed(f);
        reads(f, "reservoir", 3, FIGURE_PH, shown[k]);
        w = waters_reservoir(&f->room, &f->s, at(3, 9));
        assert_near(balance_ph_closed(&w), shown[k], 1e-6);
        assert_int_equal(fabs(w.alkalinity_meq_l - meq_l) < 1e-6, believed);
        assert_true(believed || (w.alkalinity_meq_l > meq_l) == (k == 4));
        if (k == 0) { /* two days of the gas have left all the same */
            assert_near(w.carbonate_mmol_l, stood(f, 2).carbonate_mmol_l, 1e-9);
        }
    }
    /* It stands on from the reading, and is as it was before the reading. */
    w = waters_reservoir(&f->room, &f->s, at(3, 9));
    balance_stand(&w, 2);
    assert_near(waters_reservoir(&f->room, &f->s, at(5, 9)).carbonate_mmol_l, w.carbonate_mmol_l,
                1e-9);
    assert_near(waters_reservoir(&f->room, &f->s, at(2, 9)).alkalinity_meq_l, meq_l, 1e-9);
}

/* Half a meter of water a day through 0.4 m of it (balance.h): in two days all but exp(-2.5),
 * down to what roots keep up, four times the air's (rooted.h). */
static void a_container_has_the_gas_that_is_left_since_it_was_stirred(void **ctx)
{
    struct fixture *f = *ctx;
    struct container_state *cs = &f->s.container[A1];
    double carbonate;
    double roots = 4 * GAS_OF_AIR_MMOL_L;
    double left = roots + (1.0 - roots) * exp(-2.5);
    struct dissolved w = waters_container(&f->room, &f->s, A1, 6.3, at(4, 9));

    assert_near(balance_gas_mmol_l(&w), roots, 0.004); /* it was never stirred */
    cs->stirred_s = at(2, 9);
    cs->gas_mmol_l = 1.0;
    cs->carbonate_mmol_l = 2.0;
    w = waters_container(&f->room, &f->s, A1, 6.3, at(4, 9));
    assert_near(balance_ph_closed(&w), 6.3, 1e-6);
    assert_near(balance_gas_mmol_l(&w), left, 0.006);
    w = waters_container(&f->room, &f->s, A1, 6.3, at(2, 9));
    assert_near(balance_gas_mmol_l(&w), 1.0, 1e-6);
    w = waters_container(&f->room, &f->s, A1, 6.3, at(1, 9)); /* before that nobody knows */
    assert_near(balance_gas_mmol_l(&w), roots, 0.004);
    /* Above 7.5 it shows what it shows, and holds no more carbonate than it would there: what lacks
     * is gas, and takes no acid (rooted.h). */
    w = waters_container(&f->room, &f->s, A1, 7.5, at(8, 9));
    carbonate = w.carbonate_mmol_l;
    w = waters_container(&f->room, &f->s, A1, 9, at(8, 9));
    assert_near(balance_ph_closed(&w), 9, 1e-6);
    assert_near(w.carbonate_mmol_l, carbonate, 1e-9);
    /* A pH that climbs within hours makes bicarbonate of the gas that has not left, 1.0 of 2.0
     * mmol/L, and of what comes through the surface at that rate; none from anywhere else. */
    left = roots + (1.0 - roots) * exp(-0.5 / 0.4 / 8);
    w = waters_container(&f->room, &f->s, A1, 7.5, at(2, 12));
    assert_near(balance_ph_closed(&w), 7.5, 1e-6);
    assert_near(w.carbonate_mmol_l, 2.0 - 1.0 + left + roots * 0.5 / 0.4 / 8, 1e-3);
    cs->feed.mg[NUTRIENT_K] = 39.098;
    w = waters_container(&f->room, &f->s, A1, 6.3, at(2, 9));
    assert_near(w.ions.mmol_l[ION_K], 1, 1e-3);
    assert_near(w.ions.mmol_l[ION_CA], 1.2, 1e-9); /* of the source */
}

static void acid_goes_into_what_the_container_showed_within_half_a_day(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_PH_ADJUSTED, "A1", "", at(40, 9));
    struct dissolved w;
    struct dissolved want;
    double volume_l;

    on_float(f, "A1");
    w = dosed_water(&f->room, &f->s, &e, &volume_l);
    assert_false(waters_known(&w));
    assert_near(volume_l, 8, 1e-6);
    reads(f, "A1", 40, FIGURE_PH, 6.9);
    w = dosed_water(&f->room, &f->s, &e, &volume_l);
    want = waters_container(&f->room, &f->s, A1, 6.9, at(40, 9));
    assert_same_water(&w, &want);
    e.happened_s = at(40, 9) + WATERS_READ_BEFORE_S;
    w = dosed_water(&f->room, &f->s, &e, &volume_l);
    assert_same_water(&w, &want);
    e.happened_s += 1;
    w = dosed_water(&f->room, &f->s, &e, &volume_l);
    assert_false(waters_known(&w));
    e.happened_s = at(40, 9) - 1; /* told late: that reading came after it */
    w = dosed_water(&f->room, &f->s, &e, &volume_l);
    assert_false(waters_known(&w));
    e = told_at(ENTRY_REFILLED, "A1", "leaf", at(40, 9)); /* such an entry's acid is the mix's */
    w = dosed_water(&f->room, &f->s, &e, &volume_l);
    assert_false(waters_known(&w));
    assert_near(volume_l, 0, 0);
}

/* 80 L of the source, dosed; then so much more of it. */
static void acid_goes_into_the_reservoir_as_it_was_filled(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(1, 9));
    struct dissolved source = waters_source(&f->room, &f->s);
    struct dissolved was;
    struct dissolved w;
    struct dissolved want;
    double volume_l;

    w = dosed_water(&f->room, &f->s, &e, &volume_l); /* nothing into nothing */
    assert_same_water(&w, &source);
    assert_near(volume_l, 0, 0);
    fill_dosed(f);
    was = waters_reservoir(&f->room, &f->s, at(1, 9));
    e = with(e, FIGURE_ADDED_L, 20);
    w = dosed_water(&f->room, &f->s, &e, &volume_l); /* so many litres let in */
    want = waters_mixed(&was, 80, &source, 20);
    assert_near(volume_l, 100, 1e-9);
    assert_same_water(&w, &want);
    e = with(e, FIGURE_VOLUME_L, 50); /* … up to a mark: 30 L of the old were left */
    w = dosed_water(&f->room, &f->s, &e, &volume_l);
    want = waters_mixed(&was, 30, &source, 20);
    assert_near(volume_l, 50, 0);
    assert_same_water(&w, &want);
    e = with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(1, 9)), FIGURE_VOLUME_L, 100);
    w = dosed_water(&f->room, &f->s, &e, &volume_l); /* a mark alone */
    want = waters_mixed(&was, 80, &source, 20);
    assert_same_water(&w, &want);
    e = with(e, FIGURE_VOLUME_L, 60); /* below what was in it: some was let out */
    w = dosed_water(&f->room, &f->s, &e, &volume_l);
    assert_same_water(&w, &was);
    assert_near(volume_l, 60, 0);
    e.kind = ENTRY_PH_ADJUSTED;
    w = dosed_water(&f->room, &f->s, &e, &volume_l);
    assert_same_water(&w, &was);
    assert_near(volume_l, 80, 1e-9);
    e.kind = ENTRY_READING;
    w = dosed_water(&f->room, &f->s, &e, &volume_l);
    assert_false(waters_known(&w));
}

/* A mix's nutrients are in it when its acid is; the acid's own the balance knows. */
static void acid_goes_into_a_mix_with_its_nutrients(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(1, 9));
    struct dissolved w;
    double volume_l;

    f->room.product[CALCIUM_PART].contents.mg[NUTRIENT_K] = 39.098;
    f->room.product[PH_DOWN].contents.mg[NUTRIENT_K] = 39.098;
    fill_dosed(f);
    e = with_amount(with_amount(with(e, FIGURE_VOLUME_L, 100), "calcium-part", 200), "ph-down", 10);
    e = with_amount(e, "tea", 4);
    w = dosed_water(&f->room, &f->s, &e, &volume_l);
    assert_near(volume_l, 100, 0);
    assert_near(w.ions.mmol_l[ION_K], 2, 1e-3); /* 200 mL of a mmol each in 100 L */
    assert_near(w.alkalinity_meq_l,
                (80 * waters_reservoir(&f->room, &f->s, at(1, 9)).alkalinity_meq_l + 20 * 3) / 100,
                1e-9);
    e = with(e, FIGURE_VOLUME_L, 0); /* a slip: nothing is divided by it */
    w = dosed_water(&f->room, &f->s, &e, &volume_l);
    assert_near(w.ions.mmol_l[ION_K], 0, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        HARD(the_source_is_what_its_report_says),
        TEST(without_a_report_nothing_is_known_of_it),
        TEST(cans_take_what_they_hold_and_no_more),
        HARD(a_bottle_without_a_name_counts_as_one_mmol_in_a_ml),
        HARD(nutrients_stay_salts),
        HARD(a_mixture_holds_of_each_by_its_litres),
        HARD(acid_takes_alkalinity_and_nothing_else_does),
        HARD(the_acid_of_an_entry_is_the_only_one_in_it),
        HARD(what_shows_a_ph_has_the_alkalinity_of_it),
        HARD(a_reservoir_loses_its_gas_day_by_day),
        HARD(a_reading_says_what_gas_has_left_or_else_what_the_alkalinity_is),
        HARD(a_container_has_the_gas_that_is_left_since_it_was_stirred),
        HARD(acid_goes_into_what_the_container_showed_within_half_a_day),
        HARD(acid_goes_into_the_reservoir_as_it_was_filled),
        HARD(acid_goes_into_a_mix_with_its_nutrients),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
