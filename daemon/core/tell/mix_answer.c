#include "daemon/core/tell/mix_answer.h"

#include "daemon/base/err.h"
#include "daemon/core/chem/ions.h"
#include "daemon/core/model/solution.h"

#include <math.h>

const char *const mix_answer_words[] = {"full", "dose", "add", "dilute", "pour", "blend", NULL};

/* What is asked, of what. */
struct reckoning {
    const struct room *room;
    const struct state *s;
    const struct mix_question *q;
    struct mix_answer *out;
    struct err *e;
};

static double water_ec(const struct reckoning *r)
{
    return isfinite(r->q->water_ms_cm) ? r->q->water_ms_cm : r->room->source.ec_ms_cm;
}

static int need(const struct reckoning *r, double figure, const char *key, const char *says)
{
    return isfinite(figure) ? 0 : err_field(r->e, ERR_MISSING, key, "say %s: %s=…", says, key);
}

/* No dose makes water weaker: what blend of it would do. */
static int too_hard(const struct reckoning *r, double ec_water)
{
    double hard_l = solution_blend_share(r->q->ec_ms_cm / 2, ec_water, 0) * r->q->volume_l;
    char is[QUANTITY_TEXT_MAX];
    char want[QUANTITY_TEXT_MAX];
    char base[QUANTITY_TEXT_MAX];
    char hard[QUANTITY_TEXT_MAX];
    char soft[QUANTITY_TEXT_MAX];
    const struct units *u = &r->room->units;

    return err_field(r->e, ERR_REFUSED, "ec",
                     "the water reads %s by itself, and %s is wanted: no dose makes that; blend %s "
                     "of it with %s of low-EC water, which reads about %s",
                     quantity_format(is, QUANTITY_EC, ec_water, u),
                     quantity_format(want, QUANTITY_EC, r->q->ec_ms_cm, u),
                     quantity_format(hard, QUANTITY_VOLUME, hard_l, u),
                     quantity_format(soft, QUANTITY_VOLUME, r->q->volume_l - hard_l, u),
                     quantity_format(base, QUANTITY_EC, r->q->ec_ms_cm / 2, u));
}

static void dose(const struct reckoning *r, double from_ms_cm)
{
    struct dosing_rise rise = {r->q->volume_l, from_ms_cm, r->q->ec_ms_cm - from_ms_cm};
    struct mix_answer *a = r->out;
    size_t recipe = (size_t)r->q->recipe;

    a->n_portions = dosing_portions(r->room, r->s, recipe, &rise, a->portion);
    a->off_frac = dosing_off_frac(a->portion, a->n_portions);
    a->result = (struct liquid){r->q->volume_l, r->q->ec_ms_cm, water_ec(r)};
}

/* What the recipe gives at the strength it is brought to from a plain water. */
static void feed(const struct reckoning *r, double from_ms_cm, double gain_ms_cm)
{
    struct mix_answer *a = r->out;
    struct ions ions;

    a->feed = dosing_feed_from(r->room, r->s, (size_t)r->q->recipe, from_ms_cm, gain_ms_cm);
    if (!nutrients_none(&a->feed)) {
        ions = ions_of_nutrients(&a->feed);
        a->estimate_ms_cm = water_ec(r) + ions_ec_ms_cm(&ions);
        a->estimate_off = ions_ec_off_frac(&a->feed);
        nutrients_add(&a->feed, &r->room->source.brings, 1); /* what the water brings feeds too */
    }
}

static int reckon_full(const struct reckoning *r)
{
    double gain = r->s->recipe[r->q->recipe].gain.value;
    const struct recipe *recipe = &r->room->recipe[r->q->recipe];

    r->out->kind = MIX_ANSWER_FULL;
    r->out->n_portions = recipe->n_doses;
    for (size_t i = 0; i < recipe->n_doses; i++) {
        r->out->portion[i] = (struct portion){
            .product = recipe->dose[i].per_l, .amount = recipe->dose[i].per_l, .thin = 1};
    }
    r->out->result = (struct liquid){1, water_ec(r) + gain, water_ec(r)};
    feed(r, r->room->source.ec_ms_cm, gain);
    return 0;
}

static int reckon_dose(const struct reckoning *r)
{
    double gain = r->q->ec_ms_cm - water_ec(r);

    if (gain < 0) {
        return too_hard(r, water_ec(r));
    }
    r->out->kind = MIX_ANSWER_DOSE;
    r->out->water_l = r->q->volume_l;
    dose(r, water_ec(r));
    feed(r, water_ec(r), gain);
    return 0;
}

static int reckon_correction(const struct reckoning *r)
{
    const struct mix_question *q = r->q;
    char want[QUANTITY_TEXT_MAX];

    if (q->from_ms_cm <= q->ec_ms_cm) {
        if (q->recipe < 0) {
            return err_field(r->e, ERR_MISSING, "recipe",
                             "say with which recipe it is to be made stronger");
        }
        r->out->kind = MIX_ANSWER_ADD;
        dose(r, q->from_ms_cm);
        feed(r, water_ec(r), fmax(0, q->ec_ms_cm - water_ec(r)));
        return 0;
    }
    r->out->kind = MIX_ANSWER_DILUTE;
    r->out->water_l = solution_dilution_l(q->from_ms_cm, q->ec_ms_cm, water_ec(r), q->volume_l);
    if (!isfinite(r->out->water_l)) {
        return err_field(r->e, ERR_REFUSED, "water",
                         "the plain water is no weaker than %s: it cannot thin the solution to "
                         "that; use low-EC water",
                         quantity_format(want, QUANTITY_EC, q->ec_ms_cm, &r->room->units));
    }
    r->out->result = (struct liquid){q->volume_l + r->out->water_l, q->ec_ms_cm, water_ec(r)};
    if (q->recipe >= 0) {
        feed(r, water_ec(r), fmax(0, q->ec_ms_cm - water_ec(r)));
    }
    return 0;
}

static int reckon_blend(const struct reckoning *r)
{
    const struct mix_question *q = r->q;
    double share = solution_blend_share(q->ec_ms_cm, q->hard_ms_cm, water_ec(r));
    char a[QUANTITY_TEXT_MAX];
    char b[QUANTITY_TEXT_MAX];

    if (!isfinite(share)) {
        return err_field(r->e, ERR_REFUSED, "ec", "waters of %s and %s blend to what lies between",
                         quantity_format(a, QUANTITY_EC, q->hard_ms_cm, &r->room->units),
                         quantity_format(b, QUANTITY_EC, water_ec(r), &r->room->units));
    }
    r->out->kind = MIX_ANSWER_BLEND;
    r->out->hard_l = share * q->volume_l;
    r->out->water_l = q->volume_l - r->out->hard_l;
    r->out->result = (struct liquid){q->volume_l, q->ec_ms_cm, q->ec_ms_cm};
    return 0;
}

static int reckon_pour(const struct reckoning *r)
{
    r->out->kind = MIX_ANSWER_POUR;
    for (size_t i = 0; i < r->q->n_poured; i++) {
        r->out->result = solution_mix(r->out->result, r->q->poured[i]);
    }
    return 0;
}

/* Within what an entry may tell, too. NaN is not asked. */
static int check_figure(const struct reckoning *r, double v, enum figure f, const char *key)
{
    const struct figure_def *d = &figure_defs[f];
    bool above = f == FIGURE_VOLUME_L;
    char lo[QUANTITY_TEXT_MAX];
    char hi[QUANTITY_TEXT_MAX];

    if (isnan(v) || (v <= d->hi && (above ? v > d->lo : v >= d->lo))) {
        return 0;
    }
    return err_field(r->e, ERR_RANGE, key, "%s lies between %s and %s", key,
                     quantity_format(lo, d->quantity, d->lo, &r->room->units),
                     quantity_format(hi, d->quantity, d->hi, &r->room->units));
}

static int check(const struct reckoning *r)
{
    const struct mix_question *q = r->q;
    int rc = check_figure(r, q->volume_l, FIGURE_VOLUME_L, "volume");

    rc = rc < 0 ? rc : check_figure(r, q->ec_ms_cm, FIGURE_EC_MS_CM, "ec");
    rc = rc < 0 ? rc : check_figure(r, q->from_ms_cm, FIGURE_EC_MS_CM, "from");
    rc = rc < 0 ? rc : check_figure(r, q->water_ms_cm, FIGURE_EC_MS_CM, "water");
    rc = rc < 0 ? rc : check_figure(r, q->hard_ms_cm, FIGURE_EC_MS_CM, "hard");
    for (size_t i = 0; i < q->n_poured && rc == 0; i++) {
        rc = check_figure(r, q->poured[i].volume_l, FIGURE_VOLUME_L, "pour");
        rc = rc < 0 ? rc : check_figure(r, q->poured[i].ec_ms_cm, FIGURE_EC_MS_CM, "pour");
    }
    return rc;
}

static int reckon(const struct reckoning *r)
{
    const struct mix_question *q = r->q;
    int rc = check(r);

    if (rc < 0 || q->n_poured) {
        return rc < 0 ? rc : reckon_pour(r);
    }
    if (q->recipe >= 0 && isnan(q->volume_l) && isnan(q->ec_ms_cm) && isnan(q->from_ms_cm)) {
        return reckon_full(r);
    }
    rc = need(r, q->volume_l, "volume", "how much");
    if (rc == 0) {
        rc = need(r, q->ec_ms_cm, "ec", "which strength is wanted");
    }
    if (rc < 0) {
        return rc;
    }
    if (isfinite(q->hard_ms_cm)) {
        return reckon_blend(r);
    }
    if (isfinite(q->from_ms_cm)) {
        return reckon_correction(r);
    }
    return q->recipe >= 0 ? reckon_dose(r)
                          : err_field(r->e, ERR_MISSING, "recipe",
                                      "say with which recipe, as in 'tarn mix leaf'");
}

int mix_answer_reckon(const struct room *room, const struct state *s, const struct mix_question *q,
                      struct mix_answer *out, struct err *e)
{
    struct reckoning r = {room, s, q, out, e};
    int rc;

    *out = (struct mix_answer){.estimate_ms_cm = NAN};
    rc = reckon(&r);
    if (rc == 0) {
        mix_notes_write(room, s, q, out);
    }
    return rc;
}

int mix_answer_stage(const struct crop *c, int recipe, double ec_ms_cm)
{
    int best = (int)c->n_stages - 1;
    double nearest = INFINITY;

    for (size_t k = 0; k < c->n_stages; k++) {
        double off = fabs(c->stage[k].ec_ms_cm - ec_ms_cm);

        if (c->stage[k].recipe_at == (size_t)recipe && off < nearest) {
            nearest = off;
            best = (int)k;
        }
    }
    return best;
}
