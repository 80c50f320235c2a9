/* steps_writer.h - what the steps of a worksheet are written with: amounts, names, cautions.
 *
 * Inside this folder only. A writer holds what a worksheet is about and where its steps go.
 * Amounts are written in the room's units, the other system in brackets, since syringes and jugs
 * have either. */
#ifndef TARN_CORE_SHEET_STEPS_WRITER_H
#define TARN_CORE_SHEET_STEPS_WRITER_H

#include "daemon/base/text.h"
#include "daemon/core/sheet/worksheet.h"
#include "daemon/core/tasks/agenda.h"
#include "daemon/core/units/quantity.h"
#include "daemon/core/words/task_figures.h"

struct steps_writer {
    const struct room *room;
    const struct state *s;
    const struct task *t;
    int64_t now_s;
    struct worksheet *out;
};

/* More than this is not carried at once without a thought: then the weight is said. */
#define CANS_LEAST_L 0.5 /* less in the cans is not worth a word */
#define CARRIED_L    20.0

/* What to beware of, each in the same words wherever it stands: a person knows it at a glance. */
extern const char caution_drown[], caution_acid[], caution_concentrate[], caution_disposal[],
    caution_heavy[], caution_heavy_gal[], caution_air_gap[], caution_wet_hands[];

/* The caution of so much that is carried, in the room's units; NULL where it is little. */
const char *steps_heavy(const struct steps_writer *w, double volume_l);

/* Adds a step of any length; the caution is copied, NULL = none. */
void steps_add(const struct steps_writer *w, const char *caution, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));

/* "38.0 L (10.04 gal)"; "1.42 mS/cm". Return buf. */
char *steps_litres(char buf[QUANTITY_BOTH_MAX], const struct steps_writer *w, double volume_l);
/* The same, and what a ruler shows there where the room file gives a height: "9.5 L, 19.0 cm". */
#define STEPS_LEVEL_MAX (QUANTITY_BOTH_MAX + 16)
char *steps_level(char buf[STEPS_LEVEL_MAX], const struct steps_writer *w, struct subject at,
                  double volume_l);
char *steps_strength(char buf[QUANTITY_TEXT_MAX], const struct steps_writer *w, double ec_ms_cm);

/* Adds cells to the step's table: "EC mS/cm", and a strength below it without its unit. */
void steps_strength_head(const struct steps_writer *w);
void steps_strength_cell(const struct steps_writer *w, double ec_ms_cm);

/* What stands of each of the task's jobs in the table, behind its name: the first n_cells of each.
 * Adds the rows; those that follow each other and read the same share one. */
#define STEPS_CELLS_MAX 3
struct steps_row {
    char cell[STEPS_CELLS_MAX][STEPS_LEVEL_MAX];
};
void steps_rows(const struct steps_writer *w, const struct steps_row *rows, size_t n_cells);

/* "1.62 mS/cm, of it 0.55 mS/cm from the water"; the second only where it matters. Returns buf. */
#define STEPS_STRENGTHS_MAX (2 * QUANTITY_TEXT_MAX + 32)
char *steps_with_water(char buf[STEPS_STRENGTHS_MAX], const struct steps_writer *w,
                       struct liquid body);

/* ": first the 60.0 L (15.85 gal) from the cans", where more_l of water are to be let in and
 * there is some in them; else "". Returns buf. */
#define STEPS_CANS_MAX (QUANTITY_BOTH_MAX + 32)
char *steps_cans(char buf[STEPS_CANS_MAX], const struct steps_writer *w, double more_l);

/* What the task's job i is about; borrowed of the room. */
const char *steps_name(const struct steps_writer *w, size_t i);

/* Adds the step in which what is left in the reservoir, about left_l (0 = nobody says), goes, and
 * it and the line are rinsed. */
void steps_rinse(const struct steps_writer *w, double left_l);

/* Adds "A1..A3, B1" of all jobs. */
void steps_names(const struct steps_writer *w, struct text *out);

/* Adds the line to type, in words of the sheet's own: "Tell it: tarn ack 41 …". The last step, so
 * that what was done and what is told stay together. */
void steps_tell(const struct steps_writer *w, const char *figures);

/* "Tell it: tarn ack 41 ec=… ph=…": what the table (words/task_figures.h) asks for a task
 * of this kind, but for the FIGURE_BITs in `without`. Where the figures are of each thing
 * by itself, the first two are shown as an example. */
void steps_ask(const struct steps_writer *w, unsigned without);

/* The same with that job as the example, and another one, which goes without `without_2nd` too. */
void steps_ask_of(const struct steps_writer *w, size_t first, unsigned without,
                  unsigned without_2nd);

/* Adds " ec=… ph=…": those figures alone. */
void steps_figures(const struct steps_writer *w, unsigned without, struct text *out);

#endif
