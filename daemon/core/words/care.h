/* care.h - the kinds of care that things want at intervals.
 *
 * Pure. */
#ifndef TARN_CORE_WORDS_CARE_H
#define TARN_CORE_WORDS_CARE_H

enum care_kind {
    CARE_FLOAT,     /* of each container */
    CARE_VALVE,     /* of each container */
    CARE_FILTER,    /* of the room */
    CARE_RESERVOIR, /* of the reservoir */
    CARE_READ,      /* of each container and the reservoir: how often it is measured */
    CARE_OVERNIGHT, /* of the reservoir: how often a night is seen with every shut-off closed */
    CARE_KIND_N
};

/* "float", "valve", "filter", "reservoir", "read", "overnight": in the room file, in
 * the journal and on the list. */
const char *care_word(enum care_kind k);

#endif
