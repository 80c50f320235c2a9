/* upkeep.h - what the daemon does unasked: the day's list, what is new to know, and sleeping until
 * something is due. */
#ifndef TARN_SERVE_API_UPKEEP_H
#define TARN_SERVE_API_UPKEEP_H

#include <stdint.h>

struct notices;
struct server;

/* Does what is due now, tells the notify command, and sets the clock for the next time. Puts it off
 * while the state is folded anew: the end of the fold calls it again. */
void upkeep_run(struct server *s);

/* Moves the simulated clock, through every instant at which something is due. */
void upkeep_until(struct server *s, int64_t to_s);

/* All notices as of now; the caller deinits. */
void upkeep_notices(const struct server *s, struct notices *out);

#endif
