/* help.h - help and shell completion, made from the tables of verbs, options and entry kinds.
 *
 * Pure: text out, nothing printed. */
#ifndef TARN_CLI_HELP_H
#define TARN_CLI_HELP_H

struct text;
struct verb;

void help_all(struct text *out);
void help_verb(const struct verb *verb, struct text *out);

/* A script for bash; task numbers and names are asked of the daemon when they are wanted. */
void help_completion_bash(struct text *out);

#endif
