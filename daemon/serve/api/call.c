#include "daemon/serve/api/call.h"

#include "daemon/base/mem.h"

#include <stdlib.h>

struct call *call_new(struct server *s, struct conn *conn)
{
    struct call *c = mem_array(1, sizeof *c);

    c->s = s;
    c->conn = conn;
    conn_ref(conn);
    return c;
}

void call_free(struct call *c)
{
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
    conn->key[0] = '\0';
    call_answer(c, result, e);
    conn_resume(conn);
    conn_unref(conn);
    server_look_at_requests(s);
}
