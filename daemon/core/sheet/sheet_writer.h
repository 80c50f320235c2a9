/* sheet_writer.h - what the worksheets are written with.
 *
 * Inside worksheet.c and sheets_*.c only. A writing holds what a sheet is about and the steps so
 * far. Amounts are written in the room's units, the other system in brackets. */
#ifndef TARN_CORE_SHEET_SHEET_WRITER_H
#define TARN_CORE_SHEET_SHEET_WRITER_H

#include "daemon/base/text.h"
#include "daemon/core/sheet/worksheet.h"
#include "daemon/core/state/dosing.h"

#define SHEET_NAMES_SHOWN 24 /* a longer list of containers is cut; the task lists them all */

struct sheet_writer {
    const struct room *room;
    const struct state *s;
    const struct task *t;
    int64_t now_s;
    struct worksheet *out;
};

extern const char sheet_drown[], sheet_acid[], sheet_concentrate[], sheet_disposal[], sheet_heavy[],
    sheet_wet_hands[];

/* Adds a step; the caution is copied, NULL = none. */
void sheet_step(const struct sheet_writer *w, const char *caution, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));

/* "38.0 L (10.04 gal)"; "1.42 mS/cm". Return buf. */
char *sheet_litres(char buf[QUANTITY_BOTH_MAX], const struct sheet_writer *w, double volume_l);
char *sheet_strength(char buf[QUANTITY_TEXT_MAX], const struct sheet_writer *w, double ec_ms_cm);

/* Of the task's job i. */
const char *sheet_name(const struct sheet_writer *w, size_t i);

/* "A1, A2, A3"; a long list ends in how many more. */
void sheet_names(const struct sheet_writer *w, struct text *out);

/* One product a step, in the order of addition, as it can be measured; then by how much rounding
 * may move the EC. */
void sheet_doses(const struct sheet_writer *w, double volume_l, double gain_ms_cm,
                 const char *into);

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
void sheet_ph(const struct sheet_writer *w, const struct ph_wanted *p);

/* "Tell it: tarn ack 41 …" */
void sheet_tell(const struct sheet_writer *w, const char *figures);

/* steps_solution.c */
void sheet_start(const struct sheet_writer *w);
void sheet_change(const struct sheet_writer *w);
void sheet_bump(const struct sheet_writer *w);
void sheet_fill(const struct sheet_writer *w);
void sheet_adjust(const struct sheet_writer *w);

/* steps_care.c */
void sheet_check(const struct sheet_writer *w);
void sheet_read(const struct sheet_writer *w);
void sheet_calibrate(const struct sheet_writer *w);
void sheet_care(const struct sheet_writer *w);
void sheet_reorder(const struct sheet_writer *w);
void sheet_harvest(const struct sheet_writer *w);
void sheet_look(const struct sheet_writer *w);

#endif
