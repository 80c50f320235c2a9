/* care.h - the kinds of care that things want at intervals.
 *
 * Pure. */
#ifndef TARN_CORE_WORDS_CARE_H
#define TARN_CORE_WORDS_CARE_H

/* Things that want care at intervals. `each` means container by container, else once for the room.
 */
enum care_kind { CARE_FLOAT, CARE_VALVE, CARE_FILTER, CARE_RESERVOIR, CARE_READ, CARE_KIND_N };
const char *care_word(enum care_kind k); /* "float", "valve", "filter", "reservoir", "read" */

#endif
