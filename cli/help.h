/* help.h - help and shell completion, made from the tables of verbs, options and entry kinds.
 *
 * Pure: text out, nothing printed. */
#ifndef TARN_CLI_HELP_H
#define TARN_CLI_HELP_H

struct text;
struct verb;

/* Adds the list of verbs with the common options, as `tarn help` shows it. */
void help_all(struct text *out);
/* Adds all about one verb: usage, what it is for, examples, options. */
void help_verb(const struct verb *verb, struct text *out);

/* Adds a script for bash; task numbers and names are asked of the daemon when they are wanted. */
void help_completion_bash(struct text *out);

#endif
