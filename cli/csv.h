/* csv.h - entries of the log as comma-separated values (RFC 4180: CRLF, quotes doubled).
 *
 * Pure. Fields are those of the protocol, figures one column each. */
#ifndef TARN_CLI_CSV_H
#define TARN_CLI_CSV_H

#include "daemon/base/text.h"

#include <jansson.h>

/* Adds a field, behind a comma when n_before came before it: in quotes where it holds
 * a comma, a quote or a line end. */
void csv_field(struct text *out, size_t n_before, const char *s);

/* Adds the line of column names. */
void csv_head(struct text *out);
/* Adds an ENTRY of the protocol as a line; a field that it lacks is empty. */
void csv_entry(struct text *out, const json_t *entry);

#endif
