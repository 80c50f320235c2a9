#include "daemon/serve/api/call.h"

#include "daemon/base/mem.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct call *call_new(struct server *s, struct conn *conn)
{
    struct call *c = mem_array(1, sizeof *c);

    c->s = s;
    c->conn = conn;
    conn_ref(conn);
    return c;
}

int call_take_key(struct call *c, const char *key, struct err *e)
{
    for (const struct call *o = c->s->keyed; o; o = o->next_keyed) {
        if (strcmp(o->key, key) == 0) {
            return err_field(e, ERR_BUSY, "key", "a request with this key is under way; try again");
        }
    }
    (void)snprintf(c->key, sizeof c->key, "%s", key);
    c->next_keyed = c->s->keyed;
    c->s->keyed = c;
    return 0;
}

static void give_key_back(struct call *c)
{
    for (struct call **at = &c->s->keyed; *at && *c->key; at = &(*at)->next_keyed) {
        if (*at == c) {
            *at = c->next_keyed;
            return;
        }
    }
}

void call_free(struct call *c)
{
    give_key_back(c);
    conn_unref(c->conn);
    request_deinit(&c->req);
    free(c);
}

void call_answer(struct call *c, json_t *result, const struct err *e)
{
    if (result) {
        server_answer(c->s, c->conn, c->req.id, result);
    } else {
        server_refuse(c->s, c->conn, c->req.id, e);
    }
    call_free(c);
}

void call_end(struct call *c, json_t *result, const struct err *e)
{
    struct server *s = c->s;
    struct conn *conn = c->conn;

    conn_ref(conn);
    conn->busy = false;
    call_answer(c, result, e);
    conn_resume(conn);
    conn_unref(conn);
    server_look_at_requests(s);
}
