/* What a change of solution becomes in the journal: one mix for all its containers, then each of
 * them drained and refilled, then the reservoir back on plain water. A change in parts leaves the
 * mix in the reservoir, and the last part rinses it. One container alone may be changed from a jug
 * ("by hand"): the reservoir has no part in it. */
#include "daemon/core/tell/deed_draft.h"

#include "daemon/base/err.h"
#include "daemon/core/state/dosing.h"

#include <math.h>

/* A mix this far from what it was to be is asked about: a slip of the finger moves a digit, no
 * meter or jug is off by a quarter (our own choice, no source). */
#define MIX_STRANGE_FRAC 0.25
#define MIX_MUCH         2.0 /* times what the sheet says: nobody mixes twice of it by mistake */

static double litres_wanted(const struct deed_draft *m, const bool *chosen)
{
    double sum = 0;

    for (size_t i = 0; i < m->task->n_jobs; i++) {
        sum += chosen[i] ? m->task->job[i].volume_l : 0;
    }
    return sum;
}

static int check_mix(const struct deed_draft *m, const struct told *t, const bool *chosen)
{
    double ec = t->figure[FIGURE_EC_MS_CM];
    double volume_l = t->figure[FIGURE_VOLUME_L];
    double wanted_l = litres_wanted(m, chosen);
    char got[QUANTITY_TEXT_MAX];
    char want[QUANTITY_TEXT_MAX];

    if (m->d->sure) {
        return 0;
    }
    if (fabs(ec - m->task->mix_ec_ms_cm) > MIX_STRANGE_FRAC * m->task->mix_ec_ms_cm) {
        quantity_format(got, QUANTITY_EC, ec, &m->room->units);
        quantity_format(want, QUANTITY_EC, m->task->mix_ec_ms_cm, &m->room->units);
        return err_field(m->err, ERR_UNSURE, "ec",
                         "the mix was to be %s, and %s is far from it; say so if you are sure",
                         want, got);
    }
    if (volume_l > MIX_MUCH * fmax(m->task->mix_l, wanted_l)) {
        quantity_format(got, QUANTITY_VOLUME, volume_l, &m->room->units);
        quantity_format(want, QUANTITY_VOLUME, fmax(m->task->mix_l, wanted_l), &m->room->units);
        return err_field(m->err, ERR_UNSURE, "volume",
                         "the mix was to be %s, and %s is far more; say so if you are sure", want,
                         got);
    }
    if (volume_l < wanted_l * (1 - MIX_STRANGE_FRAC)) {
        quantity_format(got, QUANTITY_VOLUME, volume_l, &m->room->units);
        quantity_format(want, QUANTITY_VOLUME, wanted_l, &m->room->units);
        return err_field(m->err, ERR_UNSURE, "volume",
                         "%s does not fill these containers, which take %s; say so if you are sure",
                         got, want);
    }
    return 0;
}

static int tell_mix(struct deed_draft *m, const bool *chosen)
{
    struct told t = deed_told_for(m->d, "");
    struct entry e = deed_draft_entry(m, ENTRY_MIX_MADE, "reservoir");
    int rc = deed_check_needs(m, &t);

    if (rc == 0) {
        rc = check_mix(m, &t, chosen);
    }
    if (rc < 0) {
        return rc;
    }
    deed_set_what(&e, m->room->recipe[m->task->recipe].name);
    deed_put_figures(&e, &t);
    e.has &= ~FIGURE_BIT(FIGURE_ADDED_L); /* told of the rinse */
    rc = deed_put_mix(
        m, m->task->recipe, (struct liquid){e.figure[FIGURE_VOLUME_L], m->task->mix_ec_ms_cm, 0},
        dosing_mix_base_ec(m->room, m->s, m->task->recipe, e.figure[FIGURE_VOLUME_L]), &t, &e);
    return rc < 0 ? rc : deed_draft_take(m, &e);
}

/* What was told at large is of the mix; mixed in a jug, there is but one container. */
static struct told told_of_drained(const struct deed_draft *m, const char *name)
{
    const struct told *own = deed_told_of(m->d, name);

    return m->task->by_hand ? deed_told_for(m->d, name) : own ? *own : (struct told){0};
}

static int tell_drained(struct deed_draft *m, const struct job *j)
{
    const struct container *c = &m->room->container[j->subject.at];
    struct told t = told_of_drained(m, c->name);
    struct entry drained = deed_draft_entry(m, ENTRY_DRAINED, c->name);
    bool seen = (t.has & FIGURE_BIT(FIGURE_WAS_MS_CM)) != 0;

    if (!m->s->container[j->subject.at].drained) {
        entry_set(&drained, FIGURE_VOLUME_L, c->remainder_l);
        if (seen) {
            entry_set(&drained, FIGURE_WAS_MS_CM, t.figure[FIGURE_WAS_MS_CM]);
        }
        if (seen && (t.has & FIGURE_BIT(FIGURE_TEMP_C))) { /* some meters want it */
            entry_set(&drained, FIGURE_TEMP_C, t.figure[FIGURE_TEMP_C]);
        }
        return deed_draft_take(m, &drained);
    }
    return seen ? err_field(m->err, ERR_REFUSED, figure_defs[FIGURE_WAS_MS_CM].word,
                            "%s was drained already; was=… is told when it is drained", c->name)
                : 0;
}

/* Drained; then, not taken yet, refilled to the float line with the mix: what stayed in it weakens
 * or strengthens it. */
static int draft_refilled(struct deed_draft *m, const struct job *j, double mix_ec_ms_cm,
                          struct entry *refilled)
{
    const struct container *c = &m->room->container[j->subject.at];
    const struct told *own = deed_told_of(m->d, c->name);
    struct liquid rest;
    struct liquid mix;
    int rc = tell_drained(m, j);

    if (rc < 0) {
        return rc;
    }
    *refilled = deed_draft_entry(m, ENTRY_REFILLED, c->name);
    deed_set_what(refilled, m->room->recipe[m->task->recipe].name);
    if (own) {
        deed_put_figures(refilled, own);
        refilled->has &= ~FIGURE_BIT(FIGURE_WAS_MS_CM); /* told of the drained solution */
    }
    if (m->task->by_hand && !entry_has(refilled, FIGURE_VOLUME_L)) { /* told of the one container */
        struct told t = deed_told_for(m->d, "");

        if (t.has & FIGURE_BIT(FIGURE_VOLUME_L)) {
            entry_set(refilled, FIGURE_VOLUME_L, t.figure[FIGURE_VOLUME_L]);
        }
    }
    if (!entry_has(refilled, FIGURE_VOLUME_L)) {
        entry_set(refilled, FIGURE_VOLUME_L, c->float_volume_l);
    }
    rest = m->s->container[j->subject.at].body;
    mix = (struct liquid){fmax(0, refilled->figure[FIGURE_VOLUME_L] - rest.volume_l), mix_ec_ms_cm,
                          m->room->source.ec_ms_cm};
    if (!entry_has(refilled, FIGURE_EC_MS_CM)) {
        entry_set(refilled, FIGURE_EC_MS_CM, solution_mix(rest, mix).ec_ms_cm);
    }
    return 0;
}

static int tell_drained_and_refilled(struct deed_draft *m, const struct job *j, double mix_ec_ms_cm)
{
    struct entry refilled;
    int rc = draft_refilled(m, j, mix_ec_ms_cm, &refilled);

    return rc < 0 ? rc : deed_draft_take(m, &refilled);
}

/* Mixed in a jug: the amounts belong to what was refilled, and so does what the jug showed. */
static int tell_change_by_hand(struct deed_draft *m, const struct job *j)
{
    struct told t = deed_told_for(m->d, "");
    double gain = m->task->mix_ec_ms_cm - m->room->source.ec_ms_cm;
    struct entry refilled;
    int rc = deed_check_needs(m, &t);

    if (rc == 0) {
        rc = draft_refilled(m, j, t.figure[FIGURE_EC_MS_CM], &refilled);
    }
    if (rc < 0) {
        return rc;
    }
    entry_set(&refilled, FIGURE_WAS_MS_CM, t.figure[FIGURE_EC_MS_CM]);
    for (unsigned f = 0; f < FIGURE_N; f++) { /* the jug's pH and warmth are the container's */
        if ((t.has & FIGURE_BIT(f)) && (f == FIGURE_PH || f == FIGURE_TEMP_C)) {
            entry_set(&refilled, (enum figure)f, t.figure[f]);
        }
    }
    deed_put_amounts(&refilled, &t);
    deed_put_planned(m, m->task->recipe,
                     &(struct dosing_rise){j->volume_l, m->room->source.ec_ms_cm, gain}, &refilled);
    return deed_draft_take(m, &refilled);
}

static int tell_back_to_water(struct deed_draft *m)
{
    struct told t = deed_told_for(m->d, "");
    struct entry rinsed = deed_draft_entry(m, ENTRY_RESERVOIR_RINSED, "reservoir");
    struct entry filled = deed_draft_entry(m, ENTRY_RESERVOIR_FILLED, "reservoir");
    int rc = deed_draft_take(m, &rinsed);

    if (rc < 0 || !(t.has & FIGURE_BIT(FIGURE_ADDED_L))) {
        return rc;
    }
    entry_set(&filled, FIGURE_ADDED_L, t.figure[FIGURE_ADDED_L]);
    deed_put_feed(m, &filled);
    return deed_draft_take(m, &filled);
}

int deed_tell_change(struct deed_draft *m, const bool *chosen)
{
    bool all = true;
    bool made = m->task->by_hand || task_mix_is_there(m->s, m->task, litres_wanted(m, chosen));
    int rc = made ? 0 : tell_mix(m, chosen);

    for (size_t i = 0; i < m->task->n_jobs && rc == 0; i++) {
        all = all && chosen[i];
        if (chosen[i] && m->task->by_hand) {
            rc = tell_change_by_hand(m, &m->task->job[i]);
        } else if (chosen[i]) {
            rc = tell_drained_and_refilled(m, &m->task->job[i], m->s->reservoir.body.ec_ms_cm);
        }
    }
    if (rc < 0 || !all || m->task->by_hand || m->task->leaves_rest) {
        return rc;
    }
    return tell_back_to_water(m);
}
