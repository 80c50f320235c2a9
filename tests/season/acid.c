#include "tests/season/acid.h"

#include <math.h>

#define SERVES         0.1  /* pH: what a pen can tell apart */
#define TENTH          0.1  /* of a guess goes in at a time … */
#define GROWS          1.5  /* … and more each time while the meter hardly moves */
#define HARDLY         0.05 /* pH */
#define A_LITTLE       4    /* of what a sheet leaves to the meter goes in at a time */
#define REST_LEAST     0.2  /* of the rest, whatever the half did */
#define TIMES_MOST     60   /* nobody goes on for ever */
#define MG_CACO3_MEQ   50.04
#define PURE_MEQ_L     0.1  /* that a guess reckons with in the purest of waters */
#define UNKNOWN_MOL_ML 1e-3 /* of a bottle that does not say */
#define RATIO_MOST     99.0 /* of a dose that the water did not need at all */

static size_t bottle_for(const struct room *room, bool down)
{
    for (size_t i = 0; i < room->n_products; i++) {
        if (room->product[i].kind == (down ? PRODUCT_ACID : PRODUCT_BASE)) {
            return i;
        }
    }
    return SIZE_MAX;
}

/* mL that use up all the alkalinity that the source is said to have. */
static double guess_ml(struct hands *h, size_t vessel, size_t product)
{
    const struct source_water *source = &h->room->source;
    double mol_ml = h->room->product[product].mol_ml;
    double meq_l = isfinite(source->alkalinity_mg_l) ? source->alkalinity_mg_l / MG_CACO3_MEQ : 0;

    return hands_water(h, vessel)->volume_l * fmax(PURE_MEQ_L, meq_l) /
           (1e3 * (mol_ml > 0 ? mol_ml : UNKNOWN_MOL_ML));
}

/* So much at a time, and more where the meter hardly moves. */
static void go_on(struct hands *h, size_t vessel, double ph, double step_ml,
                  struct acid_given *given)
{
    bool down = given->ph > ph;
    double most_ml = guess_ml(h, vessel, given->product);

    for (int k = 0; k < TIMES_MOST; k++) {
        double was = given->ph;

        given->ph = hands_dose(h, vessel, given->product, step_ml);
        given->ml += step_ml;
        if (down ? given->ph <= ph + SERVES : given->ph >= ph - SERVES) {
            break;
        }
        step_ml *= fabs(given->ph - was) < HARDLY && step_ml < most_ml ? GROWS : 1;
    }
}

/* half_unit_ml: what a sheet says of half a unit down, and up; half of that at a time. */
static struct acid_given by_hand(struct hands *h, size_t vessel, double ph,
                                 const double half_unit_ml[2])
{
    struct acid_given given = {SIZE_MAX, 0, hands_ph(h, hands_water(h, vessel))};
    bool down = given.ph > ph;
    size_t product = bottle_for(h->room, down);

    if (fabs(given.ph - ph) <= SERVES || product == SIZE_MAX) {
        return given;
    }
    given.product = product;
    go_on(h, vessel, ph,
          half_unit_ml[!down] > 0 ? half_unit_ml[!down] / 2 : TENTH * guess_ml(h, vessel, product),
          &given);
    return given;
}

struct acid_given acid_by_hand(struct hands *h, size_t vessel, double ph)
{
    return by_hand(h, vessel, ph, (const double[]){0, 0});
}

/* Beside what it needed before that for the cans went in. */
static void book(struct hands *h, size_t vessel, double ml, double needs_ml)
{
    double ratio = needs_ml > 0 ? fmin(RATIO_MOST, ml / needs_ml) : RATIO_MOST;

    ledger_dose(h->l, ratio, hands_is_dosed(h, vessel));
}

/* All of the other half where the meter shows what the sheet foretold, half of it where it shows
 * what the sheet warns of, and who sees it past that gives less still. */
static double rest_of(const struct acid_sheet *sheet, double shows)
{
    double warned = sheet->quick_ph - sheet->half_ph;
    double past = sheet->quick_ph > 0 && warned != 0 ? (shows - sheet->half_ph) / warned : 0;

    return sheet->ml / 2 * fmax(REST_LEAST, fmin(1, 1 - past / 2));
}

/* Whoever let the water in saw how much came out of the cans, and whether there was enough. */
static double for_cans_ml(struct hands *h, size_t vessel, const struct acid_sheet *sheet)
{
    double lacks_l = fmax(0, sheet->full_l - hands_water(h, vessel)->volume_l);

    return vessel == HANDS_TANK ? sheet->each_ml * fmax(0, sheet->cans_l - h->again_l - lacks_l)
                                : 0;
}

/* By halves. What is in it already is in given. */
static struct acid_given by_sheet(struct hands *h, size_t vessel, const struct acid_sheet *sheet,
                                  struct acid_given given)
{
    bool down = h->room->product[sheet->product].kind == PRODUCT_ACID;
    double short_by;

    given.product = sheet->product;
    given.ml += sheet->ml / 2;
    given.ph = hands_dose(h, vessel, sheet->product, sheet->ml / 2);
    short_by = down ? given.ph - sheet->ph : sheet->ph - given.ph;
    if (short_by > SERVES) {
        double rest_ml = rest_of(sheet, given.ph);

        given.ph = hands_dose(h, vessel, sheet->product, rest_ml);
        given.ml += rest_ml;
    }
    short_by = down ? given.ph - sheet->ph : sheet->ph - given.ph;
    if (short_by > SERVES) {
        go_on(h, vessel, sheet->ph,
              (sheet->last_ml > 0 ? sheet->last_ml : sheet->ml / A_LITTLE) / A_LITTLE, &given);
    }
    return given;
}

/* Stirred in before anything is measured. All is told as one, where it is of one bottle. */
static void pour(struct hands *h, size_t vessel, size_t product, double ml,
                 struct acid_given *given)
{
    if (ml > 0) {
        (void)hands_dose(h, vessel, product, ml);
        given->ml = given->product == product ? given->ml + ml : ml;
        given->product = product;
    }
}

/* A little at a time, where the sheet gives no amount; what was poured before counts too. */
static struct acid_given rest_by_hand(struct hands *h, size_t vessel,
                                      const struct acid_sheet *sheet, struct acid_given before)
{
    struct acid_given given = by_hand(h, vessel, sheet->ph, sheet->half_unit_ml);

    if (before.ml > 0 && (given.product == SIZE_MAX || given.product == before.product)) {
        given.product = before.product;
        given.ml += before.ml;
    }
    return given;
}

struct acid_given acid_by_sheet(struct hands *h, size_t vessel, const struct acid_sheet *sheet)
{
    struct acid_given given = {.product = SIZE_MAX};
    struct acid_sheet then = *sheet;
    bool told = sheet->product != SIZE_MAX && sheet->ml > 0;
    double cans_ml = for_cans_ml(h, vessel, sheet);
    double before_ph;
    double needs_ml;
    bool down;

    for (int half = 0;
         half < 2 && sheet->first_ml > 0 && hands_ph(h, hands_water(h, vessel)) > sheet->first_ph;
         half++) {
        pour(h, vessel, sheet->first, sheet->first_ml / 2, &given);
    }
    before_ph = hands_ph(h, hands_water(h, vessel));
    needs_ml = told ? hands_needs_ml(h, vessel, sheet->product, sheet->ph) : 0;
    pour(h, vessel, told ? sheet->product : bottle_for(h->room, true), cans_ml, &given);
    if (!told) {
        return rest_by_hand(h, vessel, sheet, given);
    }
    down = h->room->product[sheet->product].kind == PRODUCT_ACID;
    given.ph = hands_ph(h, hands_water(h, vessel));
    if (down ? given.ph <= sheet->ph + SERVES : given.ph >= sheet->ph - SERVES) {
        return given; /* measured first: it serves already */
    }
    if (sheet->less_ph > 0 && down && before_ph <= sheet->less_ph) {
        then.ml /= 2;
        then.last_ml /= 2;
    }
    book(h, vessel, then.ml + cans_ml, needs_ml);
    return by_sheet(h, vessel, &then, given);
}
