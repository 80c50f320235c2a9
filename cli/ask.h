/* ask.h - what the words after a verb become in the params of its call.
 *
 * Pure. Judges how words are put together, never what they mean: names, units and rules
 * are the daemon's, so that another client cannot get around them and this one cannot
 * disagree. Every function adds to params and returns 0, or a negative code with *e filled
 * in; params then hold what was read before the fault, and the caller throws them away. */
#ifndef TARN_CLI_ASK_H
#define TARN_CLI_ASK_H

#include <jansson.h>
#include <stddef.h>

struct err;

/* The words of each verb of the table. n lies within the verb's min_words and max_words. */

/* WHAT, a name or the number of a task */
int ask_show(const char *const *word, size_t n, json_t *params, struct err *e);
/* TASK */
int ask_task(const char *const *word, size_t n, json_t *params, struct err *e);
/* TASK and figures, at large or by subject */
int ask_ack(const char *const *word, size_t n, json_t *params, struct err *e);
/* "all", or nothing */
int ask_round(const char *const *word, size_t n, json_t *params, struct err *e);
/* KIND, then subjects and their figures */
int ask_record(const char *const *word, size_t n, json_t *params, struct err *e);
/* ENTRY, the number of one, and the figures that are right */
int ask_fix(const char *const *word, size_t n, json_t *params, struct err *e);
/* ENTRY alone */
int ask_void(const char *const *word, size_t n, json_t *params, struct err *e);
/* a recipe, amounts that say by their unit what they are, bodies "10L@1.2mS/cm", and figures */
int ask_mix(const char *const *word, size_t n, json_t *params, struct err *e);
/* FILE, near at hand or by its whole path; or nothing */
int ask_backup(const char *const *word, size_t n, json_t *params, struct err *e);
/* "advance 7d", "advance 2 weeks", "to 2026-03-08 07:00", or nothing */
int ask_clock(const char *const *word, size_t n, json_t *params, struct err *e);

/* Sets a text that somebody typed. ERR_SYNTAX, naming the key, for bytes that are no UTF-8: jansson
 * refuses them, and a person should hear of it. */
int ask_set_text(json_t *o, const char *key, const char *value, struct err *e);

#endif
