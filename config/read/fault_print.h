/* fault_print.h - what is wrong with a room file, for a person: each fault with its line. */
#ifndef TARN_CONFIG_READ_FAULT_PRINT_H
#define TARN_CONFIG_READ_FAULT_PRINT_H

#include <stdio.h>

struct room_faults;

/* Prints every fault as file:line:column: …, then the line of the file that it names and a caret.
 * Reads those files again; one that is gone by now is told without its line. Writing that fails is
 * the caller's to see, by ferror. */
void fault_print(const struct room_faults *faults, FILE *to);

/* The same of the warnings, each with "warning: " before it. */
void fault_print_warnings(const struct room_faults *faults, FILE *to);

#endif
