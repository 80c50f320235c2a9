#include "daemon/core/state/state_diff.h"

#include "daemon/base/text.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

enum field_type { FIELD_INT, FIELD_INT32, FIELD_INT64, FIELD_BOOL, FIELD_DOUBLE };

struct field {
    const char *name;
    enum field_type type;
    size_t offset;
};

#define FIELD(of, member, type)                                                                    \
    {                                                                                              \
#member, type, offsetof(struct of, member)                                                 \
    }
/* NOLINTBEGIN(bugprone-macro-parentheses): `member` is the name of a member */
#define MEASURED(of, member)                                                                       \
    FIELD(of, member.at_s, FIELD_INT64), FIELD(of, member.value, FIELD_DOUBLE)
#define LEARNED(of, member)                                                                        \
    FIELD(of, member.value, FIELD_DOUBLE), FIELD(of, member.var, FIELD_DOUBLE),                    \
        FIELD(of, member.n_used, FIELD_INT32), FIELD(of, member.n_aside, FIELD_INT32),             \
        FIELD(of, member.in_a_row, FIELD_INT32)
#define FEED(of)                                                                                   \
    FIELD(of, feed.mg[NUTRIENT_NO3_N], FIELD_DOUBLE),                                              \
        FIELD(of, feed.mg[NUTRIENT_NH4_N], FIELD_DOUBLE),                                          \
        FIELD(of, feed.mg[NUTRIENT_P], FIELD_DOUBLE),                                              \
        FIELD(of, feed.mg[NUTRIENT_K], FIELD_DOUBLE),                                              \
        FIELD(of, feed.mg[NUTRIENT_CA], FIELD_DOUBLE),                                             \
        FIELD(of, feed.mg[NUTRIENT_MG], FIELD_DOUBLE),                                             \
        FIELD(of, feed.mg[NUTRIENT_S], FIELD_DOUBLE)
/* NOLINTEND(bugprone-macro-parentheses) */
#define CARES(of)                                                                                  \
    FIELD(of, care_s[CARE_FLOAT], FIELD_INT64), FIELD(of, care_s[CARE_VALVE], FIELD_INT64),        \
        FIELD(of, care_s[CARE_FILTER], FIELD_INT64),                                               \
        FIELD(of, care_s[CARE_RESERVOIR], FIELD_INT64), FIELD(of, care_s[CARE_READ], FIELD_INT64), \
        FIELD(of, cares[CARE_FLOAT], FIELD_INT32), FIELD(of, cares[CARE_VALVE], FIELD_INT32),      \
        FIELD(of, cares[CARE_FILTER], FIELD_INT32), FIELD(of, cares[CARE_RESERVOIR], FIELD_INT32), \
        FIELD(of, cares[CARE_READ], FIELD_INT32)

#define POT(member, type) FIELD(container_state, member, type)
static const struct field container_fields[] = {
    POT(condition, FIELD_INT),
    POT(crop, FIELD_INT),
    POT(planting, FIELD_INT32),
    POT(solution, FIELD_INT32),
    POT(bumps, FIELD_INT32),
    POT(looks, FIELD_INT32),
    POT(readings, FIELD_INT32),
    POT(drained, FIELD_BOOL),
    POT(needs_cleaning, FIELD_BOOL),
    POT(started_s, FIELD_INT64),
    POT(float_s, FIELD_INT64),
    POT(reached_s, FIELD_INT64),
    POT(looked_s, FIELD_INT64),
    POT(not_float_s, FIELD_INT64),
    POT(changed_s, FIELD_INT64),
    POT(bumped_s, FIELD_INT64),
    POT(cleaned_s, FIELD_INT64),
    POT(harvested_s, FIELD_INT64),
    POT(stage, FIELD_INT),
    POT(at_s, FIELD_INT64),
    POT(body.volume_l, FIELD_DOUBLE),
    POT(body.ec_ms_cm, FIELD_DOUBLE),
    POT(drawn_l, FIELD_DOUBLE),
    POT(strength_ms_cm, FIELD_DOUBLE),
    POT(belief.a[0], FIELD_DOUBLE),
    POT(belief.a[1], FIELD_DOUBLE),
    POT(belief.b[0], FIELD_DOUBLE),
    POT(belief.v[0][0], FIELD_DOUBLE),
    POT(belief.v[1][1], FIELD_DOUBLE),
    POT(belief.appetite.mean, FIELD_DOUBLE),
    POT(belief.appetite.var, FIELD_DOUBLE),
    POT(curve.most_l_day, FIELD_DOUBLE),
    POT(curve.half_day, FIELD_DOUBLE),
    POT(appetite, FIELD_DOUBLE),
    POT(level_s, FIELD_INT64),
    POT(level_l, FIELD_DOUBLE),
    POT(drawn_seen_l, FIELD_DOUBLE),
    POT(ec_var, FIELD_DOUBLE),
    POT(ec_by[BELIEF_LN_THETA], FIELD_DOUBLE),
    POT(ec_by[EC_BY_APPETITE], FIELD_DOUBLE),
    POT(odd_s, FIELD_INT64),
    POT(step_mood, FIELD_INT),
    POT(drift.own.mean, FIELD_DOUBLE),
    POT(drift.own.var, FIELD_DOUBLE),
    POT(drift.from_s, FIELD_INT64),
    POT(drift.from_ph, FIELD_DOUBLE),
    FEED(container_state),
    MEASURED(container_state, ec),
    MEASURED(container_state, ph),
    MEASURED(container_state, temp),
    MEASURED(container_state, volume),
    CARES(container_state),
};

#define TANK(member, type) FIELD(reservoir_state, member, type)
static const struct field reservoir_fields[] = {
    TANK(at_s, FIELD_INT64),           TANK(body.volume_l, FIELD_DOUBLE),
    TANK(body.ec_ms_cm, FIELD_DOUBLE), TANK(holds_mix, FIELD_BOOL),
    TANK(recipe, FIELD_INT),           TANK(drawn_l, FIELD_DOUBLE),
    TANK(fills, FIELD_INT32),          TANK(readings, FIELD_INT32),
    MEASURED(reservoir_state, ec),     MEASURED(reservoir_state, ph),
    MEASURED(reservoir_state, temp),   FEED(reservoir_state),
    TANK(seen_s, FIELD_INT64),         TANK(seen_l, FIELD_DOUBLE),
    TANK(let_in_l, FIELD_DOUBLE),      TANK(excess, FIELD_DOUBLE),
    TANK(lack, FIELD_DOUBLE),          TANK(mix_task, FIELD_INT64),
    TANK(rinsed_s, FIELD_INT64),       TANK(filled_s, FIELD_INT64),
};

static const struct field product_fields[] = {
    FIELD(product_state, left, FIELD_DOUBLE),
    LEARNED(product_state, per_ph[TITRATED_WATER]),
    LEARNED(product_state, per_ph[TITRATED_SOLUTION]),
    FIELD(product_state, receipts, FIELD_INT32),
    FIELD(product_state, ordered, FIELD_BOOL),
};

static const struct field meter_fields[] = {
    FIELD(meter_state, calibrated_s, FIELD_INT64),
    FIELD(meter_state, calibrations, FIELD_INT32),
    FIELD(meter_state, slope_pct, FIELD_DOUBLE),
    FIELD(meter_state, offset_mv, FIELD_DOUBLE),
};

static const struct field recipe_fields[] = {
    LEARNED(recipe_state, gain),
};

static const struct field room_fields[] = {
    FIELD(state, first_s, FIELD_INT64),
    FIELD(state, latest_s, FIELD_INT64),
    FIELD(state, n_entries, FIELD_INT64),
    FIELD(state, n_skipped, FIELD_INT64),
    FIELD(state, factor.mean, FIELD_DOUBLE),
    FIELD(state, factor.var, FIELD_DOUBLE),
    FIELD(state, drift.mean, FIELD_DOUBLE),
    FIELD(state, drift.var, FIELD_DOUBLE),
    CARES(state),
};

static double number_at(const void *p, const struct field *f)
{
    const char *at = (const char *)p + f->offset;

    switch (f->type) {
    case FIELD_INT:
        return *(const int *)(const void *)at;
    case FIELD_INT32:
        return *(const int32_t *)(const void *)at;
    case FIELD_INT64:
        return (double)*(const int64_t *)(const void *)at;
    case FIELD_BOOL:
        return *(const bool *)(const void *)at;
    case FIELD_DOUBLE:
        return *(const double *)(const void *)at;
    }
    return NAN;
}

static bool same(const char *name, const void *a, const void *b, const struct field *f, size_t n,
                 struct text *why)
{
    for (size_t i = 0; i < n; i++) {
        double x = number_at(a, &f[i]);
        double y = number_at(b, &f[i]);

        if (x == y || (isnan(x) && isnan(y))) {
            continue;
        }
        if (why) {
            text_add(why, "%s.%s: %.17g and %.17g", name, f[i].name, x, y);
        }
        return false;
    }
    return true;
}

#define SAME(name, a, b, fields) same(name, a, b, fields, sizeof(fields) / sizeof *(fields), why)

static bool has_hold(const struct state *s, const struct hold *h)
{
    for (size_t i = 0; i < s->n_holds; i++) {
        const struct hold *o = &s->hold[i];

        if (strcmp(o->what, h->what) == 0 && o->subject.kind == h->subject.kind &&
            o->subject.at == h->subject.at) {
            return o->cycle == h->cycle && o->until_day == h->until_day && o->dropped == h->dropped;
        }
    }
    return false;
}

static bool same_holds(const struct state *a, const struct state *b, struct text *why)
{
    bool equal = a->n_holds == b->n_holds;

    for (size_t i = 0; equal && i < a->n_holds; i++) {
        equal = has_hold(b, &a->hold[i]);
    }
    if (!equal && why) {
        text_add(why, "what is put off or dropped");
    }
    return equal;
}

bool state_equal(const struct state *a, const struct state *b, const struct room *room,
                 struct text *why)
{
    bool equal = SAME("room", a, b, room_fields) &&
                 SAME("reservoir", &a->reservoir, &b->reservoir, reservoir_fields);

    for (size_t i = 0; equal && i < a->n_containers; i++) {
        equal = SAME(room->container[i].name, &a->container[i], &b->container[i], container_fields);
    }
    for (size_t i = 0; equal && i < a->n_products; i++) {
        equal = SAME(room->product[i].name, &a->product[i], &b->product[i], product_fields);
    }
    for (size_t i = 0; equal && i < a->n_meters; i++) {
        equal = SAME(room->meter[i].name, &a->meter[i], &b->meter[i], meter_fields);
    }
    for (size_t i = 0; equal && i < a->n_recipes; i++) {
        equal = SAME(room->recipe[i].name, &a->recipe[i], &b->recipe[i], recipe_fields);
    }
    return equal && same_holds(a, b, why);
}
