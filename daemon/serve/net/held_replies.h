/* held_replies.h - replies that wait until the journal has what they tell of.
 *
 * No answer, not even to a question, may tell of something that a power cut could
 * take back. So a reply leaves only when all that was submitted to the journal's
 * thread before it is done. They leave in the order in which they came. */
#ifndef TARN_SERVE_NET_HELD_REPLIES_H
#define TARN_SERVE_NET_HELD_REPLIES_H

#include <jansson.h>
#include <stdint.h>

struct conn;
struct err;

struct held_replies {
    struct held_reply *first, *last;
    uint64_t n_submitted, n_done; /* writes and folds handed to the journal's thread, and done */
};

/* Sends the reply (a line, taken) to c once all that was submitted so far is done: at once when it
 * is. `id` is that of the request, copied; NULL = it answers none. */
void held_replies_add(struct held_replies *h, struct conn *c, const json_t *id, char *reply);

/* Lets go what may leave by now. */
void held_replies_release(struct held_replies *h);

/* What was submitted came to nothing: all who wait are told the error at once, instead of what they
 * would have been told. */
void held_replies_fail(struct held_replies *h, const struct err *e);

#endif
