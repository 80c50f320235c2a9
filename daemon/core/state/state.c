#include "daemon/core/state/state.h"

#include "daemon/base/mem.h"
#include "daemon/core/state/shape.h"

#include <assert.h>
#include <math.h>
#include <string.h>

const char *const condition_words[] = {"idle", "drawdown", "on float"};
static_assert(sizeof condition_words / sizeof *condition_words == CONDITION_N, "a word each");

/* What is believed of a recipe before any mix was measured, and by how much it and an acid's
 * effect wander from one dose to the next: bottles differ, and water more so. Common practice, no
 * source. */
#define GAIN_SD_FRAC        0.10
#define GUESS_SD_FRAC       0.15 /* where the EC was estimated from contents */
#define GAIN_DRIFT_FRAC     0.005
#define STRENGTH_SD_FRAC    0.25 /* a label, an alkalinity rounded to tens, what a syringe leaves */
#define STRENGTH_DRIFT_FRAC 0.03
#define REPORT_SD_FRAC      0.15 /* of an alkalinity: it moves with the season */
#define PACE_SD             0.5  /* minutes in a room file are guessed, and people grow quicker */
#define PACE_DRIFT_FRAC     0.05

static struct learned gain_told(const struct recipe *r)
{
    double sd = r->ec_gain_ms_cm * (r->ec_estimated ? GUESS_SD_FRAC : GAIN_SD_FRAC);

    return learned_from(r->ec_gain_ms_cm, sd, GAIN_DRIFT_FRAC);
}

static struct learned strength_told(const struct product *p)
{
    return learned_from(1, p->reagent == REAGENT_NONE ? INFINITY : STRENGTH_SD_FRAC,
                        STRENGTH_DRIFT_FRAC);
}

void state_learn_anew(struct state *s, const struct room *room, size_t product)
{
    s->product[product].strength = strength_told(&room->product[product]);
    for (size_t i = 0; i < s->n_recipes; i++) {
        bool has = false;

        for (size_t k = 0; k < room->recipe[i].n_doses; k++) {
            has = has || room->recipe[i].dose[k].product == product;
        }
        if (has) {
            s->recipe[i].gain = gain_told(&room->recipe[i]);
        }
    }
}

void state_init(struct state *s, const struct room *room)
{
    memset(s, 0, sizeof *s);
    s->n_containers = room->n_containers;
    s->n_products = room->n_products;
    s->n_meters = room->n_meters;
    s->container = mem_array(s->n_containers, sizeof *s->container);
    s->product = mem_array(s->n_products, sizeof *s->product);
    s->meter = mem_array(s->n_meters, sizeof *s->meter);
    s->n_recipes = room->n_recipes;
    s->n_sensors = 1 + room->n_containers;
    s->sensor = mem_array(s->n_sensors, sizeof *s->sensor);
    s->recipe = mem_array(s->n_recipes, sizeof *s->recipe);
    for (size_t i = 0; i < s->n_recipes; i++) {
        s->recipe[i].gain = gain_told(&room->recipe[i]);
    }
    for (size_t i = 0; i < s->n_containers; i++) {
        s->container[i].crop = -1;
        s->container[i].appetite = 1;
        s->container[i].drift = ph_drift_of_plant();
    }
    for (size_t i = 0; i < s->n_products; i++) {
        s->product[i].left = room->product[i].stock;
        s->product[i].strength = strength_told(&room->product[i]);
    }
    for (size_t i = 0; i < s->n_meters; i++) {
        s->meter[i].slope_pct = NAN;
        s->meter[i].offset_mv = NAN;
    }
    s->reservoir.recipe = -1;
    s->reservoir.buffer.alkalinity_meq_l = NAN;
    s->alkalinity =
        isfinite(room->source.alkalinity_mg_l)
            ? learned_from(room->source.alkalinity_mg_l / REAGENT_CACO3_MG_MEQ,
                           REPORT_SD_FRAC * room->source.alkalinity_mg_l / REAGENT_CACO3_MG_MEQ, 0)
            : learned_from(0, INFINITY, STRENGTH_DRIFT_FRAC);
    /* What no journal has told yet is what a room is like at large: the plants' beliefs begin
     * with their planting (observe_start). */
    s->common = belief_room();
    s->drift = ph_drift_room();
    for (int k = 0; k < TASK_KIND_N; k++) {
        s->pace[k] = learned_from(1, PACE_SD, PACE_DRIFT_FRAC);
    }
}

/* ---- The fields of the state, for shape.h.
 *
 * Each list stands once and is used twice: for the table, and for a value of the struct that is
 * initialised by position. There the compiler counts: a value too few is an error (-Wextra), and
 * so is one too many. Two neighbours swapped it does not see; test_shape looks at their
 * order.
 *
 *   ONE    a number, a bool or an enum         MANY   an array of numbers, and its first one
 *   PART   a struct within, and its list       PARTS  an array of them
 *   TEXT   an array of char
 *   OWNED  a pointer, and its count            GROWN  a pointer, its count and its capacity */

#define TYPE_OF(x)                                                                                 \
    _Generic((x), bool                                                                             \
             : FIELD_BOOL, int                                                                     \
             : FIELD_INT, unsigned                                                                 \
             : FIELD_ENUM, int64_t                                                                 \
             : FIELD_INT64, size_t                                                                 \
             : FIELD_SIZE, double                                                                  \
             : FIELD_DOUBLE)
#define MEMBER(T, m) (((struct T *)NULL)->m)

/* NOLINTBEGIN(bugprone-macro-parentheses): T is the name of a struct, m of a member */
/* clang-format off */
#define ROW(kind, ...) ROW_##kind(__VA_ARGS__)
#define ROW_ONE(T, m)                                                                              \
    {.name = #m, .type = TYPE_OF(MEMBER(T, m)), .at = offsetof(struct T, m),                       \
     .n = 1, .size = sizeof MEMBER(T, m)},
#define ROW_MANY(T, m, first)                                                                      \
    {.name = #m, .type = TYPE_OF(MEMBER(T, first)), .at = offsetof(struct T, m),                   \
     .n = sizeof MEMBER(T, m) / sizeof MEMBER(T, first), .size = sizeof MEMBER(T, first)},
#define ROW_TEXT(T, m)                                                                             \
    {.name = #m, .type = FIELD_TEXT, .at = offsetof(struct T, m),                                  \
     .n = 1, .size = sizeof MEMBER(T, m)},
#define ROW_PART(T, m, shape)                                                                      \
    {.name = #m, .type = FIELD_PART, .at = offsetof(struct T, m),                                  \
     .n = 1, .size = sizeof MEMBER(T, m), .of = &(shape)},
#define ROW_PARTS(T, m, shape)                                                                     \
    {.name = #m, .type = FIELD_PART, .at = offsetof(struct T, m),                                  \
     .n = sizeof MEMBER(T, m) / sizeof *MEMBER(T, m), .size = sizeof *MEMBER(T, m),                \
     .of = &(shape)},
#define ROW_OWNED(T, m, count, shape)                                                              \
    {.name = #m, .type = FIELD_OWNED, .at = offsetof(struct T, m),                                 \
     .n = 1, .size = sizeof MEMBER(T, m), .of = &(shape), .count_at = offsetof(struct T, count)},
#define ROW_GROWN(T, m, count, cap, shape)                                                         \
    {.name = #m, .type = FIELD_OWNED, .at = offsetof(struct T, m),                                 \
     .n = 1, .size = sizeof MEMBER(T, m), .of = &(shape), .count_at = offsetof(struct T, count),   \
     .cap_at = offsetof(struct T, cap)},

#define NONE(kind, ...) NONE_##kind
#define NONE_ONE        0,
#define NONE_MANY       {},
#define NONE_TEXT       "",
#define NONE_PART       {},
#define NONE_PARTS      {},
#define NONE_OWNED      NULL, 0,
#define NONE_GROWN      NULL, 0, 0,

/* `T` in a list stands for the struct's own name. */
#define SHAPE(name, T, LIST)                                                                       \
    __attribute__((unused)) static const struct T name##_none = {LIST(NONE, T)};                   \
    static const struct field name##_fields[] = {LIST(ROW, T)};                                    \
    SHAPE_SCOPE const struct shape name = {name##_fields,                                          \
                                           sizeof name##_fields / sizeof *name##_fields,           \
                                           sizeof(struct T)};
#define SHAPE_SCOPE static

/* ---- what other rooms made: the figures that are learned */

#define GAUSS(X, T) \
    X(ONE, T, mean) \
    X(ONE, T, var)
SHAPE(gauss_shape, gauss, GAUSS)

#define RECORD(X, T) \
    X(ONE, T, n)     \
    X(ONE, T, sum_z2) \
    X(ONE, T, made) \
    X(ONE, T, inside) \
    X(ONE, T, score) \
    X(ONE, T, beside) \
    X(ONE, T, score_beside) \
    X(ONE, T, line)
SHAPE(record_shape, record, RECORD)

#define CURVE(X, T)        \
    X(ONE, T, most_l_day)  \
    X(ONE, T, half_day)    \
    X(ONE, T, spread_day)
SHAPE(curve_shape, curve, CURVE)

#define BELIEF(X, T)              \
    X(MANY, T, a, a[0])           \
    X(MANY, T, b, b[0][0])        \
    X(MANY, T, v, v[0][0])        \
    X(PART, T, appetite, gauss_shape)
SHAPE(belief_shape, belief, BELIEF)

#define BELIEF_ROOM(X, T)         \
    X(MANY, T, mean, mean[0])     \
    X(MANY, T, var, var[0][0])
SHAPE(belief_room_shape, belief_room, BELIEF_ROOM)

#define LEARNED(X, T)     \
    X(ONE, T, value)      \
    X(ONE, T, var)        \
    X(ONE, T, n_used)     \
    X(ONE, T, n_aside)    \
    X(ONE, T, in_a_row)   \
    X(ONE, T, drift_frac)
SHAPE(learned_shape, learned, LEARNED)

#define PH_DRIFT(X, T)          \
    X(PART, T, own, gauss_shape) \
    X(ONE, T, from_s)           \
    X(ONE, T, from_turns)       \
    X(ONE, T, from_ph)
SHAPE(ph_drift_shape, ph_drift, PH_DRIFT)

#define LIQUID(X, T)     \
    X(ONE, T, volume_l)  \
    X(ONE, T, ec_ms_cm)  \
    X(ONE, T, water_ms_cm)
SHAPE(liquid_shape, liquid, LIQUID)

#define NUTRIENTS(X, T) X(MANY, T, mg, mg[0])
SHAPE(nutrients_shape, nutrients, NUTRIENTS)

#define SUBJECT(X, T) \
    X(ONE, T, kind)   \
    X(ONE, T, at)
SHAPE(subject_shape, subject, SUBJECT)

/* ---- the state's own */

#define MEASURED(X, T) \
    X(ONE, T, at_s)    \
    X(ONE, T, value)   \
    X(ONE, T, meter)
SHAPE(measured_shape, measured, MEASURED)

#define ALARM_STATE(X, T) \
    X(ONE, T, since_s)    \
    X(ONE, T, seen)       \
    X(ONE, T, expected)   \
    X(ONE, T, sure_pct)   \
    X(ONE, T, overnight)
SHAPE(alarm_state_shape, alarm_state, ALARM_STATE)

#define ALARM_STATES(X, T)              \
    X(PARTS, T, of, alarm_state_shape)  \
    X(ONE, T, opened)                   \
    X(ONE, T, seen)
SHAPE(alarm_states_shape, alarm_states, ALARM_STATES)

#define LEVEL_LOOK(X, T)   \
    X(ONE, T, at_s)        \
    X(ONE, T, told_l)      \
    X(ONE, T, expected_l)  \
    X(ONE, T, sd_l)
SHAPE(level_look_shape, level_look, LEVEL_LOOK)

#define LAST_TOLD(X, T)   \
    X(ONE, T, happened_s) \
    X(ONE, T, content)
SHAPE(last_told_shape, last_told, LAST_TOLD)

#define HOME(X, T)          \
    X(ONE, T, container)    \
    X(ONE, T, until_s)      \
    X(ONE, T, until_seq)
SHAPE(home_shape, home, HOME)

#define FALL_PLEDGE(X, T)  \
    X(ONE, T, from_s)      \
    X(ONE, T, ec_ms_cm)    \
    X(ONE, T, fall_day)    \
    X(ONE, T, share)       \
    X(ONE, T, line_day)
SHAPE(fall_pledge_shape, fall_pledge, FALL_PLEDGE)

#define CONTAINER_STATE(X, T)                \
    X(ONE, T, condition)                     \
    X(ONE, T, crop)                          \
    X(ONE, T, planting)                      \
    X(ONE, T, solution)                      \
    X(ONE, T, bumps)                         \
    X(ONE, T, looks)                         \
    X(ONE, T, readings)                      \
    X(ONE, T, drained)                       \
    X(ONE, T, needs_cleaning)                \
    X(ONE, T, started_s)                     \
    X(ONE, T, float_s)                       \
    X(ONE, T, reached_s)                     \
    X(ONE, T, looked_s)                      \
    X(ONE, T, not_float_s)                   \
    X(ONE, T, changed_s)                     \
    X(ONE, T, bumped_s)                      \
    X(ONE, T, cleaned_s)                     \
    X(ONE, T, harvested_s)                   \
    X(ONE, T, stage)                         \
    X(ONE, T, at_s)                          \
    X(PART, T, body, liquid_shape)           \
    X(PART, T, feed, nutrients_shape)        \
    X(ONE, T, drawn_l)                       \
    X(ONE, T, strength_ms_cm)                \
    X(PART, T, belief, belief_shape)         \
    X(ONE, T, wandered_s)                    \
    X(PART, T, curve, curve_shape)           \
    X(MANY, T, made_with, made_with[0])      \
    X(ONE, T, appetite)                      \
    X(ONE, T, level_s)                       \
    X(ONE, T, level_l)                       \
    X(ONE, T, drawn_seen_l)                  \
    X(ONE, T, ec_var)                        \
    X(MANY, T, ec_by, ec_by[0])              \
    X(ONE, T, odd_s)                         \
    X(ONE, T, odd_l)                         \
    X(ONE, T, odd_meant_l)                   \
    X(PART, T, look, level_look_shape)       \
    X(ONE, T, lost_l_day)                    \
    X(ONE, T, ec_line_day)                   \
    X(PART, T, falls, fall_pledge_shape)     \
    X(ONE, T, fast)                          \
    X(ONE, T, slow)                          \
    X(PART, T, alarms, alarm_states_shape)   \
    X(ONE, T, step_mood)                     \
    X(PART, T, ec, measured_shape)           \
    X(PART, T, ph, measured_shape)           \
    X(PART, T, temp, measured_shape)         \
    X(PART, T, volume, measured_shape)       \
    X(ONE, T, warm)                          \
    X(MANY, T, saw_s, saw_s[0])              \
    X(ONE, T, turns)                         \
    X(PART, T, drift, ph_drift_shape)        \
    X(ONE, T, ph_set_s)                      \
    X(ONE, T, stirred_s)                     \
    X(ONE, T, gas_mmol_l)                    \
    X(ONE, T, carbonate_mmol_l)              \
    X(ONE, T, phosphate_mmol_l)              \
    X(MANY, T, care_s, care_s[0])            \
    X(MANY, T, cares, cares[0])              \
    X(PART, T, last_told, last_told_shape)   \
    X(GROWN, T, home, n_homes, cap_homes, home_shape)
SHAPE(container_state_shape, container_state, CONTAINER_STATE)

#define PH_BUFFER(X, T)            \
    X(ONE, T, alkalinity_meq_l)    \
    X(ONE, T, carbonate_mmol_l)    \
    X(ONE, T, citrate_mmol_l)      \
    X(ONE, T, at_s)
SHAPE(ph_buffer_shape, ph_buffer, PH_BUFFER)

#define DRAWN_OFF(X, T)            \
    X(ONE, T, volume_l)            \
    X(PART, T, feed, nutrients_shape) \
    X(PART, T, buffer, ph_buffer_shape)
SHAPE(drawn_off_shape, drawn_off, DRAWN_OFF)

#define PLEDGE(X, T)    \
    X(ONE, T, from_s)   \
    X(ONE, T, lost_l)   \
    X(ONE, T, l_day)    \
    X(ONE, T, share)    \
    X(ONE, T, line_l_day)
SHAPE(pledge_shape, pledge, PLEDGE)

#define RESERVOIR_STATE(X, T)                \
    X(ONE, T, at_s)                          \
    X(PART, T, body, liquid_shape)           \
    X(PART, T, feed, nutrients_shape)        \
    X(PART, T, buffer, ph_buffer_shape)      \
    X(PART, T, let_in, ph_buffer_shape)      \
    X(PART, T, again, drawn_off_shape)       \
    X(PART, T, cans, drawn_off_shape)        \
    X(ONE, T, holds_mix)                     \
    X(ONE, T, recipe)                        \
    X(ONE, T, mix_task)                      \
    X(ONE, T, drawn_l)                       \
    X(ONE, T, fills)                         \
    X(ONE, T, readings)                      \
    X(ONE, T, rinsed_s)                      \
    X(ONE, T, filled_s)                      \
    X(PART, T, ec, measured_shape)           \
    X(PART, T, ph, measured_shape)           \
    X(PART, T, temp, measured_shape)         \
    X(ONE, T, warm)                          \
    X(MANY, T, saw_s, saw_s[0])              \
    X(ONE, T, seen_s)                        \
    X(ONE, T, seen_l)                        \
    X(ONE, T, let_in_l)                      \
    X(ONE, T, excess)                        \
    X(ONE, T, lack)                          \
    X(ONE, T, unease)                        \
    X(ONE, T, seeps)                         \
    X(ONE, T, stood_s)                       \
    X(ONE, T, nights)                        \
    X(ONE, T, lost_l_day)                    \
    X(ONE, T, expected_l_day)                \
    X(ONE, T, lost_l)                        \
    X(PART, T, pledge, pledge_shape)         \
    X(PART, T, alarms, alarm_states_shape)   \
    X(PART, T, last_told, last_told_shape)
SHAPE(reservoir_state_shape, reservoir_state, RESERVOIR_STATE)

#define ASIDE(X, T) \
    X(ONE, T, seq)  \
    X(TEXT, T, why)
SHAPE(aside_shape, aside, ASIDE)

#define CALIBRATED(X, T)  \
    X(ONE, T, at_s)       \
    X(ONE, T, slope_pct)  \
    X(ONE, T, offset_mv)
SHAPE(calibrated_shape, calibrated, CALIBRATED)

#define METER_STATE(X, T)                                                        \
    X(ONE, T, calibrated_s)                                                      \
    X(ONE, T, calibrations)                                                      \
    X(ONE, T, slope_pct)                                                         \
    X(ONE, T, offset_mv)                                                         \
    X(GROWN, T, calibrated, n_calibrated, cap_calibrated, calibrated_shape)      \
    X(ONE, T, odd)                                                               \
    X(PART, T, alarms, alarm_states_shape)
SHAPE(meter_state_shape, meter_state, METER_STATE)

#define PRODUCT_STATE(X, T)              \
    X(PART, T, strength, learned_shape)  \
    X(ONE, T, left)                      \
    X(ONE, T, receipts)                  \
    X(ONE, T, ordered)                   \
    X(PART, T, last_told, last_told_shape)
SHAPE(product_state_shape, product_state, PRODUCT_STATE)

#define RECIPE_STATE(X, T) X(PART, T, gain, learned_shape)
SHAPE(recipe_state_shape, recipe_state, RECIPE_STATE)

#define HOLD(X, T)                     \
    X(TEXT, T, what)                   \
    X(PART, T, subject, subject_shape) \
    X(ONE, T, cycle)                   \
    X(ONE, T, until_day)               \
    X(ONE, T, dropped)
SHAPE(hold_shape, hold, HOLD)

#define SENSOR_HOUR(X, T) \
    X(ONE, T, hour)       \
    X(ONE, T, told)
SHAPE(sensor_hour_shape, sensor_hour, SENSOR_HOUR)

#define STATE(X, T)                                                  \
    X(ONE, T, first_s)                                               \
    X(ONE, T, latest_s)                                              \
    X(ONE, T, n_entries)                                             \
    X(ONE, T, n_skipped)                                             \
    X(OWNED, T, container, n_containers, container_state_shape)      \
    X(OWNED, T, product, n_products, product_state_shape)            \
    X(OWNED, T, meter, n_meters, meter_state_shape)                  \
    X(OWNED, T, recipe, n_recipes, recipe_state_shape)               \
    X(OWNED, T, sensor, n_sensors, sensor_hour_shape)                \
    X(PART, T, reservoir, reservoir_state_shape)                     \
    X(ONE, T, wandered_s)                                            \
    X(PART, T, draws, record_shape)                                  \
    X(PART, T, levels, record_shape)                                 \
    X(PART, T, strengths, record_shape)                              \
    X(PART, T, surprise, gauss_shape)                                \
    X(ONE, T, surprised_s)                                           \
    X(PART, T, common, belief_room_shape)                            \
    X(PART, T, drift, gauss_shape)                                   \
    X(PART, T, alkalinity, learned_shape)                            \
    X(PARTS, T, pace, learned_shape)                                 \
    X(GROWN, T, aside, n_asides, cap_asides, aside_shape)            \
    X(MANY, T, care_s, care_s[0])                                    \
    X(MANY, T, cares, cares[0])                                      \
    X(GROWN, T, hold, n_holds, cap_holds, hold_shape)
#undef SHAPE_SCOPE
#define SHAPE_SCOPE
SHAPE(state_shape, state, STATE)
/* clang-format on */
/* NOLINTEND(bugprone-macro-parentheses) */

void state_deinit(struct state *s)
{
    shape_free_owned(s, &state_shape);
    memset(s, 0, sizeof *s);
}

/* Shares nothing with the original: deeds try their entries on a copy (deed_draft.c), and rooms
 * that are supposed live on one (what_if.c). */
void state_copy(struct state *to, const struct state *from)
{
    *to = *from;
    shape_own_copies(to, &state_shape);
}

bool state_equal(const struct state *a, const struct state *b, struct text *why)
{
    return shape_equal(a, b, &state_shape, why);
}

void state_write(const struct state *s, struct text *out)
{
    shape_write(s, &state_shape, out);
}

bool state_read(struct state *s, const struct room *room, const void *bytes, size_t len)
{
    struct shape_bytes from = {bytes, len};
    struct state fresh = {0};
    bool ok = shape_read(&fresh, &state_shape, &from) && from.left == 0 &&
              fresh.n_containers == room->n_containers && fresh.n_products == room->n_products &&
              fresh.n_meters == room->n_meters && fresh.n_recipes == room->n_recipes &&
              fresh.n_sensors == 1 + room->n_containers;

    if (ok) {
        *s = fresh;
    } else {
        state_deinit(&fresh);
    }
    return ok;
}
