/* rpc.h - a line from a client as a JSON-RPC 2.0 request, and replies as lines.
 *
 * Pure but for memory: no sockets, no loop. Limits of a line are checked before it is
 * parsed, so that a hostile one builds nothing: length is the reader's business
 * (conn.h), depth is checked here. */
#ifndef TARN_SERVE_NET_RPC_H
#define TARN_SERVE_NET_RPC_H

#include "daemon/base/err.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

#define RPC_DEPTH_MAX                                                                              \
    32 /* our deepest request has 5; the parser recurses, and the stack is finite */

enum param_type { PARAM_TEXT, PARAM_BOOL, PARAM_INT, PARAM_MAP, PARAM_LIST };

struct param {
    const char *name;
    enum param_type type;
    bool needed;
};

struct request {
    json_t *root;       /* owned */
    json_t *id;         /* borrowed from root: a string, an integer or null */
    const char *method; /* borrowed */
    json_t *params;     /* borrowed; NULL when there are none */
};

/* Once for the process, before its first JSON: where memory runs out it ends (mem.h), and no answer
 * goes out that lacks a part. */
void rpc_init(void);

/* 0, or a wire code (below 0) with the message; *out then has the id if one could be read. Deinit
 * in both cases. */
int rpc_read(const char *line, size_t len, struct request *out, struct err *e);

/* Frees what it owns; what was borrowed from it is gone. */
void request_deinit(struct request *r);

/* Are the params those of the method, each of its type? ERR_UNKNOWN, ERR_MISSING or ERR_SYNTAX. */
int rpc_check_params(const struct request *r, const struct param *param, size_t n, struct err *e);

/* Params by name, when rpc_check_params has passed: NULL, false or `otherwise` when not given. */
const char *rpc_text(const struct request *r, const char *name);
bool rpc_bool(const struct request *r, const char *name);
json_int_t rpc_int(const struct request *r, const char *name, json_int_t otherwise);
json_t *rpc_part(const struct request *r, const char *name);

/* Replies as lines with their newline, malloc'd. `result` is taken. */
char *rpc_result(const json_t *id, json_t *result);
char *rpc_error(const json_t *id, int wire_code, const struct err *e);

/* The wire code for one of our error codes. */
int rpc_wire_code(int code);

#endif
