/* sheet.h - what the worksheets are written with.
 *
 * Inside worksheet.c and sheets_*.c only. A writing holds what a sheet is about and the steps so
 * far. Amounts are written in the room's units, the other system in brackets. */
#ifndef TARN_CORE_SHEET_H
#define TARN_CORE_SHEET_H

#include "daemon/base/text.h"
#include "daemon/core/dosing.h"
#include "daemon/core/worksheet.h"

#define SHEET_NAMES_SHOWN 24 /* a longer list of containers is cut; the task lists them all */

struct writing {
    const struct room *room;
    const struct state *s;
    const struct task *t;
    int64_t now_s;
    struct worksheet *out;
};

extern const char sheet_drown[], sheet_acid[], sheet_concentrate[], sheet_disposal[], sheet_heavy[],
    sheet_wet_hands[];

/* Adds a step; the caution is copied, NULL = none. */
void sheet_step(const struct writing *w, const char *caution, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));

/* "38.0 L (10.04 gal)"; "1.42 mS/cm". Return buf. */
char *sheet_litres(char buf[QUANTITY_BOTH_MAX], const struct writing *w, double volume_l);
char *sheet_strength(char buf[QUANTITY_TEXT_MAX], const struct writing *w, double ec_ms_cm);

/* Of the task's job i. */
const char *sheet_name(const struct writing *w, size_t i);

/* "A1, A2, A3"; a long list ends in how many more. */
void sheet_names(const struct writing *w, struct text *out);

/* One product a step, in the order of addition, as it can be measured; then by how much rounding
 * may move the EC. */
void sheet_doses(const struct writing *w, double volume_l, double gain_ms_cm, const char *into);

/* A pH that is to be set. */
struct ph_wanted {
    enum titrated in;
    double volume_l;
    double from;  /* as measured; NaN = not yet … */
    double water; /* … and the plain water's, from which it can be foretold */
    double to, lo, hi;
    double drifts_ph_day; /* it is set off the middle for that; 0 = it is not */
    const struct nutrients *feed_mg_l;
};
void sheet_ph(const struct writing *w, const struct ph_wanted *p);

/* "Tell it: tarn ack 41 …" */
void sheet_tell(const struct writing *w, const char *figures);

/* sheets_solution.c */
void sheet_start(const struct writing *w);
void sheet_change(const struct writing *w);
void sheet_bump(const struct writing *w);
void sheet_fill(const struct writing *w);
void sheet_adjust(const struct writing *w);

/* sheets_care.c */
void sheet_check(const struct writing *w);
void sheet_read(const struct writing *w);
void sheet_calibrate(const struct writing *w);
void sheet_care(const struct writing *w);
void sheet_reorder(const struct writing *w);
void sheet_harvest(const struct writing *w);
void sheet_look(const struct writing *w);

#endif
