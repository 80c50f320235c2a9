#include "daemon/serve/net/held_replies.h"

#include "daemon/base/mem.h"
#include "daemon/base/wire.h"
#include "daemon/serve/net/conn.h"
#include "daemon/serve/net/rpc.h"

#include <stdlib.h>
#include <string.h>

struct held_reply {
    struct conn *conn;
    json_t *id; /* of the request; NULL = none */
    char *line;
    uint64_t after; /* that many have to be done */
    struct held_reply *next;
};

void held_replies_release(struct held_replies *h)
{
    while (h->first && h->first->after <= h->n_done) {
        struct held_reply *r = h->first;

        h->first = r->next;
        h->last = r->next ? h->last : NULL;
        r->conn->held_len -= strlen(r->line);
        conn_send(r->conn, r->line);
        conn_unref(r->conn);
        json_decref(r->id);
        free(r);
    }
}

/* NOLINTNEXTLINE(readability-non-const-parameter): the line is taken, and freed when it was sent */
void held_replies_add(struct held_replies *h, struct conn *c, const json_t *id, char *reply)
{
    struct held_reply *r = mem_array(1, sizeof *r);

    *r = (struct held_reply){
        .conn = c, .id = id ? json_deep_copy(id) : NULL, .line = reply, .after = h->n_submitted};
    conn_ref(c);
    c->n_owed++;
    c->held_len += strlen(reply);
    if (h->last) {
        h->last->next = r;
    } else {
        h->first = r;
    }
    h->last = r;
    held_replies_release(h);
}

void held_replies_fail(struct held_replies *h, const struct err *e)
{
    for (struct held_reply *r = h->first; r; r = r->next) {
        r->conn->held_len -= strlen(r->line);
        free(r->line);
        r->line = rpc_error(r->id, WIRE_STORE, e);
        r->conn->held_len += strlen(r->line);
        r->after = h->n_done;
    }
    held_replies_release(h);
}
