/* story.h - what is told to a journal that is broken meanwhile, and what must be left of it.
 *
 * The kth transaction is always the same: one to three entries, the first with the
 * client's key, and product amounts now and then. */
#ifndef TARN_TESTS_FAULT_STORY_H
#define TARN_TESTS_FAULT_STORY_H

#include "daemon/store/journal.h"

#include <stddef.h>
#include <stdint.h>

#define STORY_MOST_ENTRIES 3

/* Writes the entries of a transaction, and how many there are. */
size_t story_entries(size_t k, struct entry out[STORY_MOST_ENTRIES]);

/* Tells it. */
int story_tell(struct journal *j, size_t k, struct err *e);

/* 1 = the journal has it, 0 = it does not, < 0 = it cannot say. */
int story_has(struct journal *j, size_t k, struct err *e);

/* Asserts that the journal holds just the first transactions, each whole, as it was
 * told and once; at least `least` of them. Returns how many. */
size_t story_assert_kept(struct journal *j, size_t least);

#endif
