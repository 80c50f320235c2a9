/* terminal.h - what a stream is written to: how wide it is, and whether it shows colour. */
#ifndef TARN_CLI_TERMINAL_H
#define TARN_CLI_TERMINAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

/* Columns of a page on this stream: COLUMNS where it is set to a number, else what the terminal
 * says, else those of a page that does not say (layout.h); brought into what a page can be. */
size_t terminal_columns(FILE *stream);

/* Only a terminal that can show it, and nobody who set NO_COLOR, gets colour. */
bool terminal_has_colour(FILE *stream);

#endif
