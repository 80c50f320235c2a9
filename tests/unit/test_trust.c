/* Readings are kept, and those of a meter that was not to be trusted are marked. */
#include "daemon/base/err.h"
#include "daemon/core/state/trust.h"
#include "tests/unit/a_told_room.h"

enum { PH_PEN, EC_PEN };

static void calibrate(struct fixture *f, const char *meter, int day, double slope_pct)
{
    tell(f, with(told_at(ENTRY_CALIBRATED, meter, "", at(day, 9)), FIGURE_SLOPE_PCT, slope_pct));
}

static enum trust of_reading(struct fixture *f, int day, char why[TRUST_WHY_MAX])
{
    struct entry e = with(told_at(ENTRY_READING, "A1", "", at(day, 12)), FIGURE_PH, 5.9);

    return trust_of_entry(&f->room, &f->s, &e, why);
}

static void a_meter_is_good_until_it_is_due(void **ctx)
{
    struct fixture *f = *ctx;
    char why[TRUST_WHY_MAX];

    assert_int_equal(of_reading(f, 1, why), TRUST_UNCALIBRATED);
    assert_string_equal(why, "ph-pen was not calibrated yet");
    calibrate(f, "ph-pen", 1, 97);
    assert_int_equal(of_reading(f, 2, why), TRUST_GOOD);
    assert_string_equal(why, "");
    assert_int_equal(of_reading(f, 15, why), TRUST_GOOD); /* due that day */
    assert_int_equal(of_reading(f, 16, why), TRUST_EXPIRED);
    assert_string_equal(why, "ph-pen was to be calibrated by Mon 16 Mar");
}

static void a_reading_is_judged_by_the_calibration_of_its_day(void **ctx)
{
    struct fixture *f = *ctx;
    char why[TRUST_WHY_MAX];

    calibrate(f, "ph-pen", 1, 82);
    calibrate(f, "ph-pen", 5, 98);
    assert_int_equal(of_reading(f, 3, why), TRUST_BAD);
    assert_string_equal(why, "ph-pen was unfit: its slope of 82.0 % is not within 85 to 105 %: "
                             "clean or replace it");
    assert_int_equal(of_reading(f, 6, why), TRUST_GOOD);
}

static void the_worst_of_the_meters_counts(void **ctx)
{
    struct fixture *f = *ctx;
    char why[TRUST_WHY_MAX];
    struct entry e = with(with(told_at(ENTRY_READING, "A1", "", at(2, 12)), FIGURE_PH, 5.9),
                          FIGURE_EC_MS_CM, 1.2);

    calibrate(f, "ph-pen", 1, 97);
    assert_int_equal(trust_of_entry(&f->room, &f->s, &e, why), TRUST_UNCALIBRATED);
    assert_string_equal(why, "ec-pen was not calibrated yet");
    calibrate(f, "ec-pen", 1, 112);
    assert_int_equal(trust_of_entry(&f->room, &f->s, &e, why), TRUST_BAD);
}

static void what_is_not_measured_with_a_meter_is_not_doubted(void **ctx)
{
    struct fixture *f = *ctx;
    char why[TRUST_WHY_MAX];
    struct entry e = with(told_at(ENTRY_READING, "A1", "", at(2, 12)), FIGURE_VOLUME_L, 9);

    assert_int_equal(trust_of_entry(&f->room, &f->s, &e, why), TRUST_GOOD);
}

/* The journal keeps what the meter showed; the state has it at 25 C. */
static void a_bare_reading_is_brought_to_25_degrees(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry started =
        with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7);
    struct entry cold = with(with(told_at(ENTRY_READING, "A1", "", at(1, 9)), FIGURE_EC_MS_CM, 1.0),
                             FIGURE_TEMP_C, 10);
    struct err e;

    f->room.meter[EC_PEN].warmth = (struct warmth){WARMTH_BARE, 0, 25};
    tell(f, started);
    tell(f, cold);
    assert_true(fabs(f->s.container[A1].ec.value - 1.428) < 1e-9); /* ISO 7888 at 10 C */
    cold.has &= ~FIGURE_BIT(FIGURE_TEMP_C);
    assert_int_equal(entry_check_form(&f->room, &cold, false, &e), ERR_MISSING);
    assert_string_equal(e.msg, "ec-pen shows the bare EC: tell temp=… too, to bring it to 25 °C");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_meter_is_good_until_it_is_due),
        TEST(a_reading_is_judged_by_the_calibration_of_its_day),
        TEST(the_worst_of_the_meters_counts),
        TEST(what_is_not_measured_with_a_meter_is_not_doubted),
        TEST(a_bare_reading_is_brought_to_25_degrees),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
