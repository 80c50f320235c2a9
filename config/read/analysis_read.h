/* analysis_read.h - the water report: what the source brings, ion by ion.
 *
 * Optional. With it calcium, magnesium and the like that come with the water are known and
 * counted as food; without it they are guessed from the alkalinity. Where it gives bicarbonate,
 * that is the alkalinity, and both may be told if they agree. */
#ifndef TARN_CONFIG_READ_ANALYSIS_READ_H
#define TARN_CONFIG_READ_ANALYSIS_READ_H

#include "config/read/building.h"

/* Reads 'analysis' in the map of source_water into *water. Warns where the ions' charges do not
 * even out by a tenth, as reports are held to (Standard Methods 1030E, from memory), or where
 * they conduct otherwise than its strength says. */
void analysis_read(struct building *b, const struct node *map, struct source_water *water);

#endif
