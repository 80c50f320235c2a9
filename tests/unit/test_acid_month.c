/* A month in which a person does what the sheets say, on five waters with five acids.
 *
 * The water is that of tests/sim, which shares no line with the model; the bottle is not what its
 * label says, the report is rounded, the meter shows a twentieth. Once a week the reservoir is
 * filled up; twice there are two mixes on one morning, the second out of the water that made way
 * for the first; a container with roots that take nitrate stands beside it. A sheet's dose is set
 * beside what the water then truly needs. Acids and alkalinities are our own. */
#include "daemon/core/state/forecast.h"
#include "tests/sim/bottle.h"
#include "tests/unit/a_worksheet.h"

#include <math.h>

#define OFF_MOST       1.5 /* either way, of the reservoir and of mixes; … */
#define OFF_POT_MOST   1.8 /* … of a container: its carbonate and phosphate are guessed at first */
#define PH_LEAST       5.0  /* that any water may come to */
#define POT_WANTS      6.3  /* a dose from here on: its band ends at 6.5 */
#define SETTLED_DAY    10   /* gas of a hard water has left its start by then, in steps */
#define REST_LO        5.5  /* the container's pH, read: its band is 5.5 to 6.5, … */
#define REST_HI        6.9  /* … and it is read every third day */
#define SHOWS          0.05 /* of a meter */
#define SERVES         0.1  /* of a pH that is to be set */
#define STEP_SEEN      0.2  /* a smaller one is the meter's error, … */
#define DROPS_MMOL_L   0.02 /* … and less than this a matter of drops */
#define AIR_ATM        4.2e-4
#define ROOTS_ATM      1.3e-3 /* as in truth.c */
#define AIRED_DAY      1.2
#define POT_L          8.0
#define TANK_DRAW_L    8.0  /* a day */
#define RISES_MEQ_DAY  0.05 /* in a litre of the container: nitrate that is taken */
#define TAKES_P_MMOL   0.4  /* with a litre that is drunk */
#define CONCENTRATE_ML 4.0  /* of calcium-part in a litre of a mix */

/* A sheet's dose over the need, at the most and at the least. */
struct off {
    double most, least;
};

struct month {
    struct desk *d;
    struct water_body source, tank, cans, pot, jug;
    double again_l;  /* out of the cans, of what was let in last */
    double strength; /* of the bottle: true over its label */
    size_t n_doses;
    struct off of_tank, of_pot; /* of all doses but the first */
    double ph_least;
    double pot_lo, pot_hi; /* as read */
    bool again;            /* a step was not enough: it is read on the morrow */
};

/* What went in, and what the meter shows then. */
struct given {
    double ml, ph;
};

static double shown(const struct water_body *w)
{
    return SHOWS * round(water_ph(w) / SHOWS);
}

static void pour_acid(struct month *m, struct water_body *w, double ml)
{
    bottle_add(w, &m->d->room, PH_DOWN, ml * m->strength);
    m->ph_least = fmin(m->ph_least, water_ph(w));
}

static double needs_ml(const struct month *m, const struct water_body *w, double ph)
{
    double lo = 0;
    double hi = 1e4;

    for (int k = 0; k < 40; k++) {
        struct water_body trial = *w;
        double ml = (lo + hi) / 2;

        bottle_add(&trial, &m->d->room, PH_DOWN, ml * m->strength);
        if (water_ph(&trial) > ph) {
            lo = ml;
        } else {
            hi = ml;
        }
    }
    return lo;
}

static double drops_ml(const struct month *m, const struct water_body *w)
{
    return DROPS_MMOL_L * w->volume_l / (1e3 * m->d->room.product[PH_DOWN].mol_ml);
}

static void count(struct month *m, const struct water_body *w, double about_ml, double ph)
{
    double ratio = about_ml / needs_ml(m, w, ph);

    if (m->n_doses++ > 0 && water_ph(w) > ph + STEP_SEEN && needs_ml(m, w, ph) > drops_ml(m, w)) {
        struct off *off = w == &m->pot ? &m->of_pot : &m->of_tank;

        off->most = fmax(off->most, ratio);
        off->least = fmin(off->least, ratio);
    }
}

/* The number behind some words of a step; 0 where they do not stand there. */
static double behind(const struct step *s, const char *words)
{
    const char *found = strstr(s->text, words);

    return found ? strtod(found + strlen(words), NULL) : 0;
}

/* Half, measured; the rest, where it is wanted; the last of it, or what a sheet says of half a
 * unit, a little at a time. */
static struct given set_ph(struct month *m, struct water_body *w, const struct step *s)
{
    double of_cans_l = behind(s, "That is with ");
    double cans_ml = of_cans_l > 0 ? behind(s, "from the source instead, stir in ") *
                                         fmax(0, 1 - m->again_l / of_cans_l)
                                   : 0;
    double to =
        strstr(s->text, "today and no further") ? behind(s, ". To ") : behind(s, "Set the pH to ");
    double about_ml = behind(s, "it should take about ");
    double little_ml = behind(s, "For half a unit down it takes about ") / 4;
    double before_ph = shown(w);
    struct given g = {cans_ml, 0};

    if (cans_ml > 0) {
        pour_acid(m, w, cans_ml);
    }
    g.ph = shown(w);
    if (g.ph <= to + SERVES) {
        return g;
    }
    if (s->product) {
        double all = before_ph <= behind(s, "Where it shows ") ? 0.5 : 1;

        count(m, w, all * about_ml, to);
        little_ml = about_ml / 20;
        for (int half = 0; half < 2 && g.ph > to + SERVES; half++) {
            pour_acid(m, w, all * s->amount_ml / 2);
            g = (struct given){g.ml + all * s->amount_ml / 2, shown(w)};
        }
    }
    for (int k = 0; k < 40 && little_ml > 0 && g.ph > to + SERVES; k++) {
        pour_acid(m, w, little_ml);
        g = (struct given){g.ml + little_ml, shown(w)};
    }
    return g;
}

static const struct step *ph_step(struct month *m)
{
    write_sheet(m->d);
    for (size_t i = 0; i < m->d->sheet.n; i++) {
        if (strstr(m->d->sheet.step[i].text, "Set the pH to ")) {
            return &m->d->sheet.step[i];
        }
    }
    fail_msg("a sheet without a pH");
    return NULL;
}

/* "Acid first": what goes in before the nutrients, on the sheet that was written last; 0 mL
 * where it asks for none. */
static double pour_acid_first(struct month *m, struct water_body *w)
{
    for (size_t i = 0; i < m->d->sheet.n; i++) {
        const struct step *s = &m->d->sheet.step[i];

        if (s->product && strncmp(s->text, "Acid first: ", strlen("Acid first: ")) == 0) {
            double enough_ph = behind(s, "and measure: at ");
            double ml = 0;

            for (int half = 0; half < 2 && shown(w) > enough_ph; half++) {
                pour_acid(m, w, s->amount_ml / 2);
                ml += s->amount_ml / 2;
            }
            return ml;
        }
    }
    return 0;
}

static void tell(struct month *m, struct entry e, const struct given *g)
{
    if (g) {
        e = with(e, FIGURE_PH, g->ph);
        if (g->ml > 0) {
            e = with_amount(e, "ph-down", g->ml);
        }
    }
    fold_entry(&m->d->s, &m->d->room, &e);
}

static void task_is(struct month *m, enum task_kind kind, enum subject_kind on, double volume_l)
{
    m->d->task = (struct task){.id = 41, .job = m->d->job, .kind = kind, .recipe = LEAF_FEED};
    add_job(m->d, on, 0, volume_l);
}

static void let_in(struct month *m, double to_l)
{
    m->again_l = fmin(m->cans.volume_l, to_l - m->tank.volume_l);
    water_pour(&m->tank, &m->cans, to_l - m->tank.volume_l);
    water_pour_like(&m->tank, &m->source, to_l - m->tank.volume_l);
}

static void fill(struct month *m)
{
    double added_l = 100 - m->tank.volume_l;
    struct entry e = told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", m->d->now_s);
    const struct step *s;
    struct given g;

    task_is(m, TASK_FILL, SUBJECT_RESERVOIR, added_l);
    s = ph_step(m);
    let_in(m, 100);
    g = set_ph(m, &m->tank, s);
    tell(m, with(with(e, FIGURE_VOLUME_L, 100), FIGURE_ADDED_L, added_l), &g);
}

/* A mix of so many litres, poured away to soil; then the tank is rinsed. */
static void mix(struct month *m, double mix_l)
{
    struct entry e = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", m->d->now_s);
    const struct step *s;
    struct given g;
    double first_ml;

    task_is(m, TASK_CHANGE, SUBJECT_CONTAINER, 7.5);
    m->d->task.mix_ec_ms_cm = 2.0 + m->d->room.source.ec_ms_cm;
    m->d->task.mix_l = mix_l;
    s = ph_step(m);
    if (m->tank.volume_l > mix_l) {
        water_pour(&m->cans, &m->tank, m->tank.volume_l - mix_l);
    }
    let_in(m, mix_l);
    first_ml = pour_acid_first(m, &m->tank);
    bottle_add(&m->tank, &m->d->room, CALCIUM_PART, CONCENTRATE_ML * mix_l);
    g = set_ph(m, &m->tank, s);
    g.ml += first_ml;
    e = with(with(e, FIGURE_VOLUME_L, mix_l), FIGURE_EC_MS_CM, water_ec_ms_cm(&m->tank));
    tell(m, with_amount(e, "calcium-part", CONCENTRATE_ML * mix_l), &g);
    m->tank = (struct water_body){0};
    tell(m, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", m->d->now_s), NULL);
}

static void read_tank(struct month *m)
{
    struct given g = {0, shown(&m->tank)};
    struct entry e = told_at(ENTRY_READING, "reservoir", "", m->d->now_s);

    tell(m, with(e, FIGURE_VOLUME_L, m->tank.volume_l), &g);
    if (g.ph > m->d->room.reservoir.ph_target + m->d->room.reservoir.ph_tolerance) {
        task_is(m, TASK_PH, SUBJECT_RESERVOIR, m->tank.volume_l);
        g = set_ph(m, &m->tank, ph_step(m));
        tell(m, told_at(ENTRY_PH_ADJUSTED, "reservoir", "", m->d->now_s), &g);
    }
}

static void read_pot(struct month *m)
{
    struct given g = {0, shown(&m->pot)};

    if (m->d->now_s >= at(SETTLED_DAY, 0)) {
        m->pot_lo = fmin(m->pot_lo, g.ph);
        m->pot_hi = fmax(m->pot_hi, g.ph);
    }
    tell(m, told_at(ENTRY_READING, "A1", "", m->d->now_s), &g);
    if (g.ph > POT_WANTS) {
        task_is(m, TASK_PH, SUBJECT_CONTAINER, POT_L);
        g = set_ph(m, &m->pot, ph_step(m));
        tell(m, told_at(ENTRY_PH_ADJUSTED, "A1", "", m->d->now_s), &g);
    }
    m->again = g.ph > POT_WANTS;
}

/* Mixed in the tub itself, to its float line. */
static void start(struct month *m)
{
    struct entry e = told_at(ENTRY_STARTED, "A1", "vine", m->d->now_s);
    const struct step *s;
    struct given g;
    double first_ml;

    task_is(m, TASK_START, SUBJECT_CONTAINER, POT_L);
    m->d->task.mix_ec_ms_cm = 2.0 + m->d->room.source.ec_ms_cm;
    s = ph_step(m);
    water_pour_like(&m->pot, &m->source, POT_L);
    first_ml = pour_acid_first(m, &m->pot);
    bottle_add(&m->pot, &m->d->room, CALCIUM_PART, CONCENTRATE_ML * POT_L);
    g = set_ph(m, &m->pot, s);
    g.ml += first_ml;
    e = with(with(e, FIGURE_VOLUME_L, POT_L), FIGURE_EC_MS_CM, water_ec_ms_cm(&m->pot));
    tell(m, with_amount(e, "calcium-part", CONCENTRATE_ML * POT_L), &g);
    tell(m, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", m->d->now_s), NULL);
}

static void a_day_goes_by(struct month *m)
{
    double drinks_l =
        forecast_container(&m->d->room, &m->d->s, 0, m->d->now_s + DAY_S / 2).use_l_day;

    for (int k = 0; k < 4; k++) {
        water_breathe(&m->tank, 6, AIR_ATM, AIRED_DAY);
        water_breathe(&m->pot, 6, ROOTS_ATM, AIRED_DAY);
        m->pot.mmol[WATER_NO3] -= RISES_MEQ_DAY / 4 * m->pot.volume_l;
    }
    m->pot.mmol[WATER_P] = fmax(0, m->pot.mmol[WATER_P] - TAKES_P_MMOL * drinks_l);
    water_evaporate(&m->pot, drinks_l);
    water_pour(&m->pot, &m->tank, drinks_l);
    water_drain_to(&m->tank, m->tank.volume_l - TANK_DRAW_L + drinks_l);
}

struct trial {
    double meq_l, ph; /* of the source, truly */
    double reported;  /* over that: a report */
    enum reagent acid;
    double mol_ml;
    double strength;
};

static void assert_within(const struct off *off, double most)
{
    if (off->most > most || off->least < 1 / most) {
        fail_msg("doses of %.2f to %.2f of the need", off->least, off->most);
    }
}

static void live(struct desk *d, const struct trial *t)
{
    struct month m = {
        .d = d,
        .strength = t->strength,
        .of_tank = {1, 1},
        .of_pot = {1, 1},
        .ph_least = 14,
        .pot_lo = 14
    };

    d->room.source.ec_ms_cm = 0.1 + 0.09 * t->meq_l;
    the_water_is(d, t->meq_l, t->ph, t->acid, t->mol_ml);
    m.source = bottle_source(&d->room.source);
    the_water_is(d, t->meq_l * t->reported, t->ph, t->acid, t->mol_ml);
    feeds_as_the_program_did(d, 4);
    for (int day = 0; day < 30; day++) {
        d->now_s = at(day, 9);
        if (day == 10 || day == 20) {
            mix(&m, 40);
            mix(&m, 30);
        }
        if (day % 7 == 0 || day == 10 || day == 20) {
            fill(&m);
        } else if (day % 3 == 0) {
            read_tank(&m);
        }
        if (day == 0) {
            start(&m);
        } else if (day % 3 == 0 || m.again) {
            read_pot(&m);
        }
        a_day_goes_by(&m);
    }
    print_message("%.1f meq/L, %s: %zu doses; of the need %.2f to %.2f in the reservoir, %.2f to "
                  "%.2f in the container; pH %.2f at the least; the container read %.2f to %.2f\n",
                  t->meq_l, reagent_words[t->acid], m.n_doses, m.of_tank.least, m.of_tank.most,
                  m.of_pot.least, m.of_pot.most, m.ph_least, m.pot_lo, m.pot_hi);
    assert_true(m.n_doses > 8);
    assert_within(&m.of_tank, OFF_MOST);
    assert_within(&m.of_pot, OFF_POT_MOST);
    assert_true(m.ph_least >= PH_LEAST);
    assert_true(m.pot_lo >= REST_LO && m.pot_hi <= REST_HI);
}

#define MONTH(name, ...)                                                                           \
    static void name(void **ctx)                                                                   \
    {                                                                                              \
        live(*ctx, &(struct trial){__VA_ARGS__});                                                  \
    }

MONTH(on_soft_water_with_nitric_acid, 0.8, 6.9, 1.1, REAGENT_NITRIC, 0.002, 0.9)
MONTH(on_moorland_water_with_citric_acid, 1.3, 7.2, 0.95, REAGENT_CITRIC, 0.0015, 1.05)
MONTH(on_tap_water_with_phosphoric_acid, 2.4, 7.4, 0.95, REAGENT_PHOSPHORIC, 0.0036, 1.1)
MONTH(on_hard_water_with_sulfuric_acid, 3.6, 7.2, 1.05, REAGENT_SULFURIC, 0.0018, 0.92)
MONTH(on_lime_water_with_nitric_acid, 5.2, 7.1, 1.0, REAGENT_NITRIC, 0.0062, 1.12)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(on_soft_water_with_nitric_acid),    TEST(on_moorland_water_with_citric_acid),
        TEST(on_tap_water_with_phosphoric_acid), TEST(on_hard_water_with_sulfuric_acid),
        TEST(on_lime_water_with_nitric_acid),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
