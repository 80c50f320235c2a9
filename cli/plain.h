/* plain.h - readings as a person writes them down: "A1 1.2 5.8", a container after the other.
 *
 * Pure. A name, then EC, pH and level, as far as they were measured, in that order and without a
 * unit, which is the room's; "-" passes one over. A figure may have its key or unit too:
 * "A1 ph=5.8", "A1 1.2mS/cm". The next name begins the next reading. */
#ifndef TARN_CLI_PLAIN_H
#define TARN_CLI_PLAIN_H

#include "cli/view.h"

struct err;

/* Adds the readings of a line, as the method "readings" takes them, to an array. ERR_SYNTAX for
 * a line that is none; then the array may hold those before the fault. */
int plain_readings(const char *line, const struct view *v, json_t *readings, struct err *e);

/* Figures by their place in a row: EC, pH, level; and a level off a ruler, which has none. The text
 * with the room's unit where it has none of its own ("8.3" -> "8.3 L"); to be freed. NULL where it
 * is no figure at all. */
enum plain_figure { PLAIN_EC, PLAIN_PH, PLAIN_LEVEL, PLAIN_N, PLAIN_HEIGHT = PLAIN_N };
extern const char *const plain_keys[]; /* "ec", "ph", "volume", "volume" */
char *plain_figure(const struct view *v, enum plain_figure figure, const char *said);

#endif
