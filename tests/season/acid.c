#include "tests/season/acid.h"

#include <math.h>

#define SERVES         0.1  /* pH: what a pen can tell apart */
#define TENTH          0.1  /* of a guess goes in at a time … */
#define GROWS          1.5  /* … and more each time while the meter hardly moves */
#define HARDLY         0.05 /* pH */
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

struct acid_given acid_by_hand(struct hands *h, size_t vessel, double ph)
{
    struct acid_given given = {SIZE_MAX, 0, hands_ph(h, hands_water(h, vessel))};
    bool down = given.ph > ph;
    size_t product = bottle_for(h->room, down);
    double step_ml;
    double most_ml;

    if (fabs(given.ph - ph) <= SERVES || product == SIZE_MAX) {
        return given;
    }
    given.product = product;
    most_ml = guess_ml(h, vessel, product);
    step_ml = TENTH * most_ml;
    for (int k = 0; k < TIMES_MOST; k++) {
        double was = given.ph;

        given.ph = hands_dose(h, vessel, product, step_ml);
        given.ml += step_ml;
        if (down ? given.ph <= ph + SERVES : given.ph >= ph - SERVES) {
            break;
        }
        step_ml *= fabs(given.ph - was) < HARDLY && step_ml < most_ml ? GROWS : 1;
    }
    return given;
}

static void book(struct hands *h, size_t vessel, const struct acid_sheet *sheet)
{
    double needs_ml = hands_needs_ml(h, vessel, sheet->product, sheet->ph);
    double ratio = needs_ml > 0 ? fmin(RATIO_MOST, sheet->ml / needs_ml) : RATIO_MOST;

    ledger_dose(h->l, ratio, hands_is_dosed(h, vessel));
}

struct acid_given acid_by_sheet(struct hands *h, size_t vessel, const struct acid_sheet *sheet)
{
    struct acid_given given = {sheet->product, sheet->ml / 2, 0};
    bool down;
    double short_by;

    if (sheet->product == SIZE_MAX || !(sheet->ml > 0)) {
        return acid_by_hand(h, vessel, sheet->ph);
    }
    down = h->room->product[sheet->product].kind == PRODUCT_ACID;
    given.ph = hands_ph(h, hands_water(h, vessel));
    if (down ? given.ph <= sheet->ph + SERVES : given.ph >= sheet->ph - SERVES) {
        return (struct acid_given){SIZE_MAX, 0, given.ph}; /* measured first: it serves already */
    }
    book(h, vessel, sheet);
    given.ph = hands_dose(h, vessel, sheet->product, sheet->ml / 2);
    short_by = down ? given.ph - sheet->ph : sheet->ph - given.ph;
    if (short_by > SERVES) {
        given.ph = hands_dose(h, vessel, sheet->product, sheet->ml / 2);
        given.ml = sheet->ml;
    }
    return given;
}
