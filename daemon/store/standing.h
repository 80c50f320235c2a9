/* standing.h - what the journal is and how far it goes, in 256 bytes.
 *
 * The same bytes lie in the journal, changed in every transaction, and after its commit in a file
 * of their own (head.h). Who has both knows whether the journal is the one that was left, and
 * whether all that was acknowledged is in it. */
#ifndef TARN_STORE_STANDING_H
#define TARN_STORE_STANDING_H

#include "daemon/store/seal.h"

#include <stdbool.h>
#include <stdint.h>

#define STANDING_LEN      256
#define STANDING_ID_LEN   16
#define STANDING_ROOM_MAX 63

enum standing_clock { STANDING_NOT_SAID, STANDING_REAL, STANDING_SIMULATED };

struct standing {
    unsigned char id[STANDING_ID_LEN]; /* drawn when the journal was made */
    uint64_t written;                  /* transactions; 0: made, and nothing told yet */
    int64_t entries;                   /* the number of the last entry … */
    struct seal last;                  /* … and its seal, which stands for all before it */
    int64_t version;                   /* of the tables */
    uint64_t tables;                   /* sum of the seals of what the tables are … */
    uint64_t tasks;                    /* … of the open tasks and their jobs … */
    uint64_t keys;                     /* … of the clients' keys */
    int64_t last_task;                 /* highest number of a task */
    int64_t day_started;
    enum standing_clock clock;        /* does it go by the real clock or a simulated one? */
    char room[STANDING_ROOM_MAX + 1]; /* the room's name; "" = not said yet */
    int64_t latest_told_s;            /* when the latest entry was told; 0 = not written down yet */
    bool meant;                       /* of a head record: written before the commit (head.h) */
};

/* To bytes that end with their own seal, and back: false where that does not fit them. */
void standing_write(const struct standing *s, unsigned char out[STANDING_LEN]);
bool standing_read(const unsigned char in[STANDING_LEN], struct standing *out);

#endif
