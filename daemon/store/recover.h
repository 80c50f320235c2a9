/* recover.h - a new journal from what can be read of a damaged one and of copies of it.
 *
 * An entry is taken from the first of the files in which it is as it was told, by its seal. Where
 * none has it, its number is kept by a note that says so, since entries, keys and people refer to
 * numbers. Nothing is deleted: what was there is moved into a folder beside it. */
#ifndef TARN_STORE_RECOVER_H
#define TARN_STORE_RECOVER_H

#include "daemon/base/text.h"

#include <stdbool.h>
#include <stdint.h>

struct err;

#define RECOVER_COPIES_MAX 16

struct recovery {
    bool whole;        /* nothing is wrong, and nothing was changed */
    int64_t entries;   /* of the new journal … */
    int64_t from_copy; /* … those taken from a copy, since the journal did not have them … */
    int64_t thinned;   /* … those that were sensors' readings, and were thinned before … */
    int64_t lost;      /* … and those that no file has */
    struct text says;  /* lines for a person: what is missing, and where the old files are */
};

/* Makes the journal in DIR anew: from itself, and from the copies that the backup folder in it
 * holds, newest first; with `from` (NULL = none) from that file before all others. ERR_BUSY while a
 * daemon has it; ERR_STORE, with nothing changed, where no file holds anything. The caller ends
 * out->says with text_deinit, also after a failure. */
int journal_recover(const char *dir, const char *from, struct recovery *out, struct err *e);

#endif
