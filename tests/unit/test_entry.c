/* What can be told: kinds, figures, and the words for them. */

#include "daemon/base/err.h"
#include "daemon/base/text.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <stdlib.h>

static int set_up(void **ctx)
{
    struct room *r = mem_array(1, sizeof *r);

    *r = a_room();
    *ctx = r;
    return 0;
}

static int tear_down(void **ctx)
{
    room_deinit(*ctx);
    free(*ctx);
    return 0;
}

static void assert_refused(const struct room *r, struct entry e, int code, const char *message)
{
    struct err err = {0};

    assert_int_equal(entry_check_form(r, &e, false, &err), code);
    assert_string_equal(err.msg, message);
}

static void every_kind_and_figure_is_found_by_its_word(void **ctx)
{
    (void)ctx;
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        assert_int_equal(entry_kind_find(entry_kinds[k].word), k);
    }
    for (int f = 0; f < FIGURE_N; f++) {
        assert_int_equal(figure_find(figure_defs[f].word), f);
        assert_int_equal(figure_find(figure_defs[f].key), f);
    }
    assert_int_equal(entry_kind_find("refiled"), -1);
    assert_int_equal(figure_find("ec_us_cm"), -1);
}

static void a_subject_of_the_wrong_kind_is_named_as_what_it_is(void **ctx)
{
    assert_refused(*ctx, with(told_at(ENTRY_CALIBRATED, "A1", "", at(0, 9)), FIGURE_SLOPE_PCT, 97),
                   ERR_UNKNOWN, "A1 is a container; 'calibrated' is about a meter");
}

static void an_unknown_subject_gives_the_nearest(void **ctx)
{
    struct err err = {0};
    struct entry e = with(told_at(ENTRY_CALIBRATED, "ph-pan", "", at(0, 9)), FIGURE_SLOPE_PCT, 97);

    assert_int_equal(entry_check_form(*ctx, &e, false, &err), ERR_UNKNOWN);
    assert_non_null(strstr(err.msg, "'ph-pen'"));
}

static void a_figure_the_kind_does_not_take_is_refused(void **ctx)
{
    assert_refused(*ctx, with(told_at(ENTRY_DRAINED, "A1", "", at(0, 9)), FIGURE_PH, 6),
                   ERR_UNKNOWN, "'drained' takes no ph");
}

static void a_figure_the_kind_needs_is_asked_for(void **ctx)
{
    assert_refused(*ctx, told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), ERR_MISSING,
                   "'started' of A1 needs ec=…");
    assert_refused(*ctx, told_at(ENTRY_READING, "A1", "", at(0, 9)), ERR_MISSING,
                   "'reading' of A1 needs at least one of volume, ec, ph, temp");
}

static void an_unknown_word_gives_the_nearest_or_all(void **ctx)
{
    assert_refused(*ctx, told_at(ENTRY_OBSERVATION, "A1", "tip-bum", at(0, 9)), ERR_UNKNOWN,
                   "an observation 'tip-bum' is not known; did you mean 'tip-burn'?");
    assert_refused(*ctx, told_at(ENTRY_FLOAT_SEEN, "A1", "perhaps", at(0, 9)), ERR_UNKNOWN,
                   "float 'perhaps' is not known; it is one of yes, no");
    assert_refused(*ctx, with(told_at(ENTRY_STARTED, "A1", "vino", at(0, 9)), FIGURE_EC_MS_CM, 1),
                   ERR_UNKNOWN, "the room has no crop 'vino'; did you mean 'vine'?");
}

static void no_number_that_is_none_gets_in(void **ctx)
{
    struct err err = {0};
    struct entry e = with(told_at(ENTRY_READING, "A1", "", at(0, 9)), FIGURE_PH, NAN);

    assert_int_equal(entry_check_form(*ctx, &e, true, &err), ERR_RANGE);
    e = with(e, FIGURE_PH, INFINITY);
    assert_int_equal(entry_check_form(*ctx, &e, true, &err), ERR_RANGE);
}

static void an_amount_is_of_a_product_and_not_below_nothing(void **ctx)
{
    struct err err = {0};
    struct entry e = with(told_at(ENTRY_BUMPED, "A1", "leaf", at(0, 9)), FIGURE_EC_MS_CM, 1.4);

    e.n_amounts = 1;
    e.amount[0] = (struct amount){.product = "A2", .amount = 5};
    assert_int_equal(entry_check_form(*ctx, &e, false, &err), ERR_UNKNOWN);
    assert_string_equal(err.msg, "'A2' is not a product");
    e.amount[0] = (struct amount){.product = "calcium-part", .amount = -5};
    assert_int_equal(entry_check_form(*ctx, &e, false, &err), ERR_RANGE);
}

static void an_entry_reads_as_a_line_for_a_person(void **ctx)
{
    struct entry e = with(told_at(ENTRY_BUMPED, "A1", "leaf", at(0, 9)), FIGURE_EC_MS_CM, 1.4);
    struct text line = {0};

    e.n_amounts = 1;
    e.amount[0] = (struct amount){.product = "calcium-part", .amount = 8};
    entry_describe(*ctx, &e, &line);
    assert_string_equal(text_str(&line), "A1 bumped leaf: EC 1.40 mS/cm, 8 mL calcium-part");
    text_deinit(&line);
}

static void assert_taken(const struct room *r, struct entry e)
{
    struct err err = {0};

    if (entry_check_form(r, &e, false, &err) != 0) {
        fail_msg("%s %s: %s", entry_kinds[e.kind].word, e.subject, err.msg);
    }
}

/* A figure of a kind that takes it, at its bounds and a little beyond: what cannot be is refused
 * whoever is sure, what is strange is asked about. */
static void a_figure_is_judged_by_what_can_be_and_what_is_usual(void **ctx)
{
    static const struct {
        enum entry_kind kind;
        const char *subject;
    } taker[] = {
        [FIGURE_VOLUME_L] = {ENTRY_READING,        "A1"          },
        [FIGURE_ADDED_L] = {ENTRY_TOPPED_UP,      "A1"          },
        [FIGURE_EC_MS_CM] = {ENTRY_READING,        "A1"          },
        [FIGURE_PH] = {ENTRY_READING,        "A1"          },
        [FIGURE_TEMP_C] = {ENTRY_READING,        "A1"          },
        [FIGURE_SLOPE_PCT] = {ENTRY_CALIBRATED,     "ph-pen"      },
        [FIGURE_OFFSET_MV] = {ENTRY_CALIBRATED,     "ph-pen"      },
        [FIGURE_AMOUNT] = {ENTRY_STOCK_RECEIVED, "calcium-part"},
        [FIGURE_YIELD_G] = {ENTRY_HARVESTED,      "A1"          },
        [FIGURE_WAS_MS_CM] = {ENTRY_DRAINED,        "A1"          },
        [FIGURE_TOOK_MIN] = {ENTRY_HARVESTED,      "A1"          },
        [FIGURE_JOBS] = {ENTRY_ACKNOWLEDGED,   "A1"          },
    };

    for (unsigned f = 0; f < FIGURE_N; f++) {
        const struct figure_def *d = &figure_defs[f];
        struct entry e = told_at(taker[f].kind, taker[f].subject, "", at(0, 9));
        const struct {
            double v;
            int plain, sure;
        } tries[] = {
            {d->usual_lo,        0,          0        },
            {d->usual_hi,        0,          0        },
            {d->usual_hi + 0.01, ERR_UNSURE, 0        },
            {d->hi,              ERR_UNSURE, 0        },
            {d->hi + 0.01,       ERR_RANGE,  ERR_RANGE},
            {d->lo - 0.01,       ERR_RANGE,  ERR_RANGE},
        };

        if (taker[f].kind == ENTRY_HARVESTED) {
            name_it(e.what, sizeof e.what, "part");
        }
        if (taker[f].kind == ENTRY_ACKNOWLEDGED) {
            name_it(e.what, sizeof e.what, "bump");
        }
        if (taker[f].kind == ENTRY_CALIBRATED) {
            e = with(e, FIGURE_SLOPE_PCT, 97);
        }
        for (size_t i = 0; i < sizeof tries / sizeof *tries; i++) {
            struct entry told = with(e, (enum figure)f, tries[i].v);
            struct err err = {0};

            assert_int_equal(entry_check_form(*ctx, &told, false, &err), tries[i].plain);
            assert_string_equal(err.field, tries[i].plain ? d->word : "");
            assert_int_equal(entry_check_form(*ctx, &told, true, NULL), tries[i].sure);
        }
        if (d->usual_lo > d->lo) {
            struct entry told = with(e, (enum figure)f, d->usual_lo - 0.01);

            assert_int_equal(entry_check_form(*ctx, &told, false, NULL), ERR_UNSURE);
        }
    }
}

static void what_is_wrong_with_a_figure_is_said_in_the_rooms_units(void **ctx)
{
    assert_refused(*ctx, with(told_at(ENTRY_READING, "A1", "", at(0, 9)), FIGURE_PH, 15), ERR_RANGE,
                   "ph 15.0 of A1 cannot be: it lies between 0.0 and 14.0");
    assert_refused(*ctx, with(told_at(ENTRY_READING, "A1", "", at(0, 9)), FIGURE_TEMP_C, 40),
                   ERR_UNSURE,
                   "temp 40.0 °C of A1 is strange: usual is 8.0 °C to 35.0 °C; say so if you are "
                   "sure");
    assert_refused(*ctx,
                   with(told_at(ENTRY_STOCK_RECEIVED, "salt", "", at(0, 9)), FIGURE_AMOUNT, 2e6),
                   ERR_UNSURE,
                   "amount 2000 kg of salt is strange: usual is 0 g to 1000 kg; say so if you are "
                   "sure");
    assert_refused(
        *ctx, with(told_at(ENTRY_STOCK_RECEIVED, "calcium-part", "", at(0, 9)), FIGURE_AMOUNT, 2e6),
        ERR_UNSURE,
        "amount 2000 L of calcium-part is strange: usual is 0 mL to 1000 L; say so if you are "
        "sure");
}

/* Each kind of word: one that serves, one that does not, and none. */
static void the_word_of_a_kind_is_one_that_the_room_knows(void **ctx)
{
    assert_taken(*ctx, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(0, 9)));
    assert_taken(*ctx, told_at(ENTRY_FLOAT_SEEN, "A1", "no", at(0, 9)));
    assert_refused(*ctx, told_at(ENTRY_FLOAT_SEEN, "A1", "", at(0, 9)), ERR_MISSING,
                   "float is needed: one of yes, no");
    assert_taken(*ctx, told_at(ENTRY_HARVESTED, "A1", "final", at(0, 9)));
    assert_refused(*ctx, told_at(ENTRY_HARVESTED, "A1", "some", at(0, 9)), ERR_UNKNOWN,
                   "the harvest 'some' is not known; it is one of part, final");
    assert_taken(*ctx, told_at(ENTRY_CARED_FOR, "room", "filter", at(0, 9)));
    assert_refused(*ctx, told_at(ENTRY_CARED_FOR, "room", "windows", at(0, 9)), ERR_UNKNOWN,
                   "the kind of care 'windows' is not known; it is one of float, valve, filter, "
                   "reservoir, read, overnight");
    for (const char *const *w = sighting_words; *w; w++) {
        assert_taken(*ctx, told_at(ENTRY_OBSERVATION, "A1", *w, at(0, 9)));
    }
    assert_taken(*ctx, told_at(ENTRY_OBSERVATION, "reservoir", "algae", at(0, 9)));
    assert_refused(*ctx, told_at(ENTRY_OBSERVATION, "reservoir", "wilting", at(0, 9)), ERR_UNKNOWN,
                   "'wilting' is seen on a plant, and reservoir has none");
    assert_refused(*ctx, told_at(ENTRY_OBSERVATION, "A1", "blossom-rot", at(0, 9)), ERR_UNKNOWN,
                   "an observation 'blossom-rot' is not known; it is one of tip-burn, pale-growth, "
                   "blossom-end-rot, wilting, brown-roots, pests, disease, algae, leak");
    assert_refused(*ctx, told_at(ENTRY_OBSERVATION, "A1", "", at(0, 9)), ERR_MISSING,
                   "an observation is needed: one of tip-burn, pale-growth, blossom-end-rot, "
                   "wilting, brown-roots, pests, disease, algae, leak");
    assert_refused(*ctx, with(told_at(ENTRY_STARTED, "A1", "", at(0, 9)), FIGURE_EC_MS_CM, 1),
                   ERR_MISSING, "a crop is needed");
    assert_taken(*ctx, with(told_at(ENTRY_STARTED, "A1", "leaf", at(0, 9)), FIGURE_EC_MS_CM, 1));
    assert_refused(*ctx, told_at(ENTRY_STAGE_SEEN, "A1", "", at(0, 9)), ERR_MISSING,
                   "a stage is needed");
    assert_refused(*ctx, told_at(ENTRY_DROPPED, "A1", "", at(0, 9)), ERR_MISSING,
                   "a task's kind is needed");
    assert_refused(*ctx, told_at(ENTRY_DRAINED, "A1", "half", at(0, 9)), ERR_UNKNOWN,
                   "'drained' takes no word 'half'");
}

static void a_recipe_or_a_meter_may_be_left_out_and_is_one_of_the_room(void **ctx)
{
    struct entry bumped = with(told_at(ENTRY_BUMPED, "A1", "", at(0, 9)), FIGURE_EC_MS_CM, 1.4);
    struct entry read = with(told_at(ENTRY_READING, "A1", "", at(0, 9)), FIGURE_PH, 6);

    assert_taken(*ctx, bumped);
    name_it(bumped.what, sizeof bumped.what, "fruit");
    assert_taken(*ctx, bumped);
    name_it(bumped.what, sizeof bumped.what, "A2");
    assert_refused(*ctx, bumped, ERR_UNKNOWN, "the room has no recipe 'A2'");
    assert_taken(*ctx, read);
    name_it(read.what, sizeof read.what, "ph-pen");
    assert_taken(*ctx, read);
    name_it(read.what, sizeof read.what, "leaf");
    assert_refused(*ctx, read, ERR_UNKNOWN, "the room has no meter 'leaf'");
}

static void amounts_are_told_where_something_is_poured_alone(void **ctx)
{
    struct entry e = told_at(ENTRY_DRAINED, "A1", "", at(0, 9));

    e.n_amounts = 1;
    e.amount[0] = (struct amount){.product = "calcium-part", .amount = 5};
    assert_refused(*ctx, e, ERR_UNKNOWN, "'drained' takes no amounts of products");
    e = with(told_at(ENTRY_BUMPED, "A1", "leaf", at(0, 9)), FIGURE_EC_MS_CM, 1.4);
    e.n_amounts = 2;
    e.amount[0] = (struct amount){.product = "calcium-part", .amount = 0};
    e.amount[1] = (struct amount){.product = "sulfate-part", .amount = 1e7};
    assert_taken(*ctx, e);
    e.amount[1].amount = 1.1e7;
    assert_refused(*ctx, e, ERR_RANGE, "an amount of 1.1e+07 of sulfate-part cannot be");
    e.amount[1] = (struct amount){.product = "calcium-port", .amount = 5};
    assert_refused(*ctx, e, ERR_UNKNOWN,
                   "the room has no 'calcium-port'; did you mean 'calcium-part'?");
    e = with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 9)), FIGURE_VOLUME_L, 90);
    assert_taken(*ctx, with_amount(e, "ph-down", 12)); /* water is let in with its acid */
}

static void a_note_has_its_text(void **ctx)
{
    struct entry e = told_at(ENTRY_NOTE, "A1", "", at(0, 9));

    assert_refused(*ctx, e, ERR_MISSING, "a note needs its text");
    name_it(e.note, sizeof e.note, "moved to the window");
    assert_taken(*ctx, e);
}

/* A meter without compensation shows the bare EC: it is worth nothing without its temperature. By
 * a straight line of 2 % a degree, 1.1 at 30 C is 1.0 at 25 C. */
static void a_bare_strength_is_brought_to_25_degrees(void **ctx)
{
    struct room *r = *ctx;
    struct entry e = with(told_at(ENTRY_READING, "A1", "", at(0, 9)), FIGURE_EC_MS_CM, 1.1);
    struct entry scratch;

    assert_ptr_equal(entry_at_25(r, &e, &scratch), &e); /* the meter does it by itself */
    r->meter[1].warmth = (struct warmth){WARMTH_BARE, 0, 25};
    assert_refused(r, e, ERR_MISSING,
                   "ec-pen shows the bare EC: tell temp=… too, to bring it to 25 °C");
    assert_ptr_equal(entry_at_25(r, &e, &scratch),
                     &e); /* an old entry without it is left as it is */
    e = with(e, FIGURE_TEMP_C, 30);
    assert_taken(r, e);
    assert_ptr_equal(entry_at_25(r, &e, &scratch), &scratch);
    assert_true(scratch.figure[FIGURE_EC_MS_CM] < 1.02 && scratch.figure[FIGURE_EC_MS_CM] > 0.98);
    assert_true(e.figure[FIGURE_EC_MS_CM] == 1.1); /* the journal keeps what was shown */
    e = with(e, FIGURE_WAS_MS_CM, 1.1);            /* by the same meter, at the same warmth */
    assert_ptr_equal(entry_at_25(r, &e, &scratch), &scratch);
    assert_true(scratch.figure[FIGURE_WAS_MS_CM] == scratch.figure[FIGURE_EC_MS_CM]);
    e.has &= ~FIGURE_BIT(FIGURE_WAS_MS_CM);
    assert_true(scratch.figure[FIGURE_TEMP_C] == 30);
    r->meter[1].kind = METER_PH; /* the same where the EC meter is the first in the room file */
    r->meter[0].kind = METER_EC;
    r->meter[0].warmth = r->meter[1].warmth;
    assert_ptr_equal(entry_at_25(r, &e, &scratch), &scratch);
    r->meter[0].kind = METER_PH; /* where there is none nothing is known of it */
    assert_ptr_equal(entry_at_25(r, &e, &scratch), &e);
    e = with(told_at(ENTRY_READING, "A1", "", at(0, 9)), FIGURE_PH, 6);
    assert_taken(r, e); /* no EC, no need */
    assert_ptr_equal(entry_at_25(r, &e, &scratch), &e);
}

static void what_an_entry_says_is_all_in_its_line(void **ctx)
{
    struct entry e = told_at(ENTRY_READING, "A1", "ec-pen", at(0, 9));
    struct text line = {0};

    e = with(with(with(with(e, FIGURE_VOLUME_L, 8.3), FIGURE_EC_MS_CM, 1.42), FIGURE_PH, 5.9),
             FIGURE_TEMP_C, 21);
    entry_describe(*ctx, &e, &line);
    assert_string_equal(text_str(&line),
                        "A1 reading ec-pen: 8.3 L, EC 1.42 mS/cm, pH 5.9, 21.0 °C");
    text_clear(&line);
    e = with(with(told_at(ENTRY_CALIBRATED, "ph-pen", "", at(0, 9)), FIGURE_SLOPE_PCT, 97),
             FIGURE_OFFSET_MV, -4);
    entry_describe(*ctx, &e, &line);
    assert_string_equal(text_str(&line), "ph-pen calibrated: slope 97 %, offset -4 mV");
    text_clear(&line);
    e = with(told_at(ENTRY_STOCK_RECEIVED, "salt", "", at(0, 9)), FIGURE_AMOUNT, 2000);
    entry_describe(*ctx, &e, &line);
    assert_string_equal(text_str(&line), "salt stock received: 2 kg");
    text_clear(&line);
    e = told_at(ENTRY_DEFERRED, "A1", "change", at(0, 9));
    e.until_day = 20516;
    name_it(e.note, sizeof e.note, "nobody is in");
    entry_describe(*ctx, &e, &line);
    assert_string_equal(text_str(&line), "A1 put off change to Wed 4 Mar (nobody is in)");
    text_clear(&line);
    e = told_at(ENTRY_VOIDED, "A1", "", at(0, 9));
    e.voids = 12;
    entry_describe(*ctx, &e, &line);
    assert_string_equal(text_str(&line), "A1 voided entry 12");
    text_clear(&line);
    e = with(with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(0, 9)), FIGURE_VOLUME_L, 40),
             FIGURE_EC_MS_CM, 1.4);
    e.n_amounts = 2;
    e.amount[0] = (struct amount){.product = "calcium-part", .amount = 80};
    e.amount[1] = (struct amount){.product = "salt", .amount = 20};
    entry_describe(*ctx, &e, &line);
    assert_string_equal(
        text_str(&line),
        "reservoir mix made leaf: 40.0 L, EC 1.40 mS/cm, 80 mL calcium-part, 20 g salt");
    text_deinit(&line);
}

static void a_subject_is_of_a_kind_that_fits(void **ctx)
{
    assert_refused(*ctx, with(told_at(ENTRY_READING, "leaf", "", at(0, 9)), FIGURE_PH, 6),
                   ERR_UNKNOWN,
                   "leaf is a recipe; 'reading' is about the reservoir or a container");
    assert_taken(*ctx, with(told_at(ENTRY_READING, "reservoir", "", at(0, 9)), FIGURE_PH, 6));
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_figure_is_judged_by_what_can_be_and_what_is_usual),
        TEST(what_is_wrong_with_a_figure_is_said_in_the_rooms_units),
        TEST(the_word_of_a_kind_is_one_that_the_room_knows),
        TEST(a_recipe_or_a_meter_may_be_left_out_and_is_one_of_the_room),
        TEST(amounts_are_told_where_something_is_poured_alone),
        TEST(a_note_has_its_text),
        TEST(a_bare_strength_is_brought_to_25_degrees),
        TEST(what_an_entry_says_is_all_in_its_line),
        TEST(a_subject_is_of_a_kind_that_fits),
        TEST(every_kind_and_figure_is_found_by_its_word),
        TEST(a_subject_of_the_wrong_kind_is_named_as_what_it_is),
        TEST(an_unknown_subject_gives_the_nearest),
        TEST(a_figure_the_kind_does_not_take_is_refused),
        TEST(a_figure_the_kind_needs_is_asked_for),
        TEST(an_unknown_word_gives_the_nearest_or_all),
        TEST(no_number_that_is_none_gets_in),
        TEST(an_amount_is_of_a_product_and_not_below_nothing),
        TEST(an_entry_reads_as_a_line_for_a_person),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
