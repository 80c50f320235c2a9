/* hint.h - what to type instead of a word that people say and the programs do not have.
 *
 * Pure. One table; the command line asks it for verbs, the daemon for kinds of entries. */
#ifndef TARN_CORE_WORDS_HINT_H
#define TARN_CORE_WORDS_HINT_H

/* A sentence that says what to type, without its full stop: "a plant that died ends its planting:
 * tarn record harvested …" of "died". NULL for a word of which the table has nothing. */
const char *hint_of(const char *word);

/* The word of a figure that people call so, "volume" of "level" or "Litres"; NULL for none. Large
 * and small letters are the same. */
const char *hint_figure(const char *word);

#endif
