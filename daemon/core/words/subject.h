/* subject.h - the kinds of things that an entry or a task can be about.
 *
 * Pure. */
#ifndef TARN_CORE_WORDS_SUBJECT_H
#define TARN_CORE_WORDS_SUBJECT_H

enum subject_kind {
    SUBJECT_NONE, /* nothing has this name */
    SUBJECT_ROOM,
    SUBJECT_RESERVOIR,
    SUBJECT_CONTAINER,
    SUBJECT_PRODUCT,
    SUBJECT_RECIPE,
    SUBJECT_METER,
    SUBJECT_KIND_N
};

const char *subject_kind_word(enum subject_kind k); /* in a sentence: "a container" */

#endif
