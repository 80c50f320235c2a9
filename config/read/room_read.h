/* room_read.h - the room file: YAML to a checked room, with every fault at its place.
 *
 * The only code that includes yaml.h. Reads the room file and the crops shipped beside it; touches
 * nothing else. All faults of a file are found (at most ROOM_FAULTS_MAX are kept), each as
 * file:line:column: what is wrong; what was expected. A file with a fault gives no room at all. */
#ifndef TARN_CONFIG_READ_ROOM_READ_H
#define TARN_CONFIG_READ_ROOM_READ_H

#include "daemon/base/err.h"
#include "daemon/core/room/room.h"

#define ROOM_FAULTS_MAX 20
#define ROOM_FILE_MAX   262144 /* bytes */

struct room_faults {
    struct err fault[ROOM_FAULTS_MAX]; /* by line, then column */
    size_t n;
    size_t n_more; /* found beyond those kept */
};

/* Reads `path`. Shipped crops are the *.yaml files in crops_dir (NULL = none). 0 with *out filled,
 * or ERR_CONFIG with at least one fault and *out untouched. */
int room_read(const char *path, const char *crops_dir, struct room *out,
              struct room_faults *faults);

/* The same from memory; `name` stands for the file in messages. */
int room_read_text(const char *name, const char *text, size_t len, const char *crops_dir,
                   struct room *out, struct room_faults *faults);

/* Adds "room.yaml:14:5: unknown key 'strat' in 'containers.A1'; did you mean 'start'?", then the
 * line and a caret below the column. `text` is that of the file which the fault names (a shipped
 * crop has its own); NULL leaves the line out. The line is cut to fit 80 columns. */
struct text;
void room_fault_format(const struct err *fault, const char *text, size_t len, struct text *out);

#endif
