#include "daemon/core/tell/feed_notes.h"

#include "daemon/core/tell/room_advice.h"

#include <math.h>
#include <stdio.h>

static double middle(struct span s)
{
    return (s.lo + s.hi) / 2;
}

/* NaN where one of the two is not known, or not published. */
static double over(double k, double ca)
{
    return k > 0 && ca > 0 ? k / ca : NAN;
}

static bool note_k_ca(const struct crop *crop, int stage, const struct nutrients *mg_l,
                      char out[FEED_NOTE_LEN])
{
    double is = over(nutrients_feed_mg(mg_l, FEED_K), nutrients_feed_mg(mg_l, FEED_CA));
    double published =
        over(middle(crop_feed(crop, stage, FEED_K)), middle(crop_feed(crop, stage, FEED_CA)));

    if (is > FEED_NOTES_K_CA_OFF * published) {
        (void)snprintf(out, FEED_NOTE_LEN,
                       "K is %.1f times its Ca, where %.1f was published: calcium comes short in "
                       "fruit and young leaves. A change mends it, a bump does not.",
                       is, published);
    } else if (is < published / FEED_NOTES_K_CA_OFF) {
        (void)snprintf(out, FEED_NOTE_LEN,
                       "K is %.1f times its Ca, where %.1f was published: calcium gathers and "
                       "keeps potassium out. A change mends it, a bump does not.",
                       is, published);
    } else {
        return false;
    }
    return true;
}

static bool note_ammonium(const struct nutrients *mg_l, char out[FEED_NOTE_LEN])
{
    double n = nutrients_feed_mg(mg_l, FEED_N);
    double ammonium = n > 0 ? mg_l->mg[NUTRIENT_NH4_N] / n : 0;

    if (ammonium > ROOM_AMMONIUM_FRAC) {
        (void)snprintf(out, FEED_NOTE_LEN,
                       "%.0f %% of its nitrogen is ammonium: from %.0f %% on it turns sour by "
                       "itself. Read its pH often, with a base at hand.",
                       100 * ammonium, 100 * ROOM_AMMONIUM_FRAC);
        return true;
    }
    return false;
}

size_t feed_notes(const struct crop *crop, int stage, const struct nutrients *mg_l,
                  char out[FEED_NOTES_MAX][FEED_NOTE_LEN])
{
    size_t n = 0;

    n += note_k_ca(crop, stage, mg_l, out[n]);
    n += note_ammonium(mg_l, out[n]);
    return n;
}
