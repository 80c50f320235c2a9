#include "daemon/serve/net/rpc.h"

#include "daemon/base/mem.h"
#include "daemon/base/suggest.h"
#include "daemon/base/wire.h"

#include <stdlib.h>
#include <string.h>

#define DUMP_FLAGS (JSON_COMPACT | JSON_ENSURE_ASCII | JSON_REAL_PRECISION(15))

/* Brackets outside of strings, counted before the parser builds anything. */
static bool is_too_deep(const char *line, size_t len)
{
    bool in_string = false;
    int depth = 0;

    for (size_t i = 0; i < len; i++) {
        char c = line[i];

        if (in_string) {
            i += c == '\\';
            in_string = c != '"';
        } else if (c == '"') {
            in_string = true;
        } else if (c == '{' || c == '[') {
            if (++depth > RPC_DEPTH_MAX) {
                return true;
            }
        } else if (c == '}' || c == ']') {
            depth--;
        }
    }
    return false;
}

static int check_envelope(struct request *r, struct err *e)
{
    json_t *version = json_object_get(r->root, "jsonrpc");
    json_t *id = json_object_get(r->root, "id");
    json_t *method = json_object_get(r->root, "method");
    const char *key;
    json_t *value;

    if (json_is_string(id) || json_is_integer(id)) {
        r->id = id;
    }
    if (!json_is_string(version) || strcmp(json_string_value(version), "2.0") != 0) {
        return err_set(e, WIRE_REQUEST, "\"jsonrpc\" has to be \"2.0\"");
    }
    if (!r->id) {
        return err_set(e, WIRE_REQUEST,
                       "\"id\" has to be a string or a whole number; every request is answered");
    }
    if (!json_is_string(method)) {
        return err_set(e, WIRE_REQUEST, "\"method\" has to be a string");
    }
    json_object_foreach(r->root, key, value)
    {
        if (strcmp(key, "jsonrpc") != 0 && strcmp(key, "id") != 0 && strcmp(key, "method") != 0 &&
            strcmp(key, "params") != 0) {
            return err_set(e, WIRE_REQUEST, "a request has no member '%.40s'", key);
        }
    }
    r->params = json_object_get(r->root, "params");
    if (r->params && !json_is_object(r->params)) {
        return err_set(e, WIRE_PARAMS, "\"params\" has to be an object");
    }
    r->method = json_string_value(method);
    return 0;
}

void rpc_init(void)
{
    json_set_alloc_funcs(mem_bytes, free);
}

int rpc_read(const char *line, size_t len, struct request *out, struct err *e)
{
    json_error_t bad;

    *out = (struct request){0};
    if (is_too_deep(line, len)) {
        return err_set(e, WIRE_PARSE, "the line is nested more than %d deep", RPC_DEPTH_MAX);
    }
    out->root = json_loadb(line, len, JSON_REJECT_DUPLICATES | JSON_DECODE_ANY, &bad);
    if (!out->root) {
        return err_set(e, WIRE_PARSE, "the line is not JSON: %.120s (column %d)", bad.text,
                       bad.column);
    }
    if (json_is_array(out->root)) {
        return err_set(e, WIRE_REQUEST, "batches are not taken; send one request a line");
    }
    if (!json_is_object(out->root)) {
        return err_set(e, WIRE_REQUEST, "a request is an object");
    }
    return check_envelope(out, e);
}

void request_deinit(struct request *r)
{
    json_decref(r->root);
    *r = (struct request){0};
}

static bool has_type(const json_t *v, enum param_type type)
{
    switch (type) {
    case PARAM_TEXT:
        return json_is_string(v);
    case PARAM_BOOL:
        return json_is_boolean(v);
    case PARAM_INT:
        return json_is_integer(v);
    case PARAM_MAP:
        return json_is_object(v);
    case PARAM_LIST:
        return json_is_array(v);
    }
    return false;
}

static const struct param *find_param(const struct param *param, size_t n, const char *name)
{
    for (size_t i = 0; i < n; i++) {
        if (strcmp(param[i].name, name) == 0) {
            return &param[i];
        }
    }
    return NULL;
}

static int unknown_param(const char *name, const char *method, const struct param *param, size_t n,
                         struct err *e)
{
    const char *names[16];
    char tail[SUGGEST_TEXT_MAX];

    for (size_t i = 0; i < n && i < 16; i++) {
        names[i] = param[i].name;
    }
    return err_field(e, ERR_UNKNOWN, "params", "'%s' takes no '%.40s'%s", method, name,
                     suggest_tail(tail, name, names, n < 16 ? n : 16, ""));
}

int rpc_check_params(const struct request *r, const struct param *param, size_t n, struct err *e)
{
    static const char *const wants[] = {"a string", "true or false", "a whole number", "an object",
                                        "a list"};
    const char *key;
    json_t *value;

    json_object_foreach(r->params, key, value)
    {
        const struct param *p = find_param(param, n, key);

        if (!p) {
            return unknown_param(key, r->method, param, n, e);
        }
        if (!has_type(value, p->type)) {
            return err_field(e, ERR_SYNTAX, key, "'%s' has to be %s", key, wants[p->type]);
        }
    }
    for (size_t i = 0; i < n; i++) {
        if (param[i].needed && !json_object_get(r->params, param[i].name)) {
            return err_field(e, ERR_MISSING, param[i].name, "'%s' needs '%s'", r->method,
                             param[i].name);
        }
    }
    return 0;
}

json_t *rpc_part(const struct request *r, const char *name)
{
    return json_object_get(r->params, name);
}

const char *rpc_text(const struct request *r, const char *name)
{
    return json_string_value(rpc_part(r, name));
}

bool rpc_bool(const struct request *r, const char *name)
{
    return json_is_true(rpc_part(r, name));
}

json_int_t rpc_int(const struct request *r, const char *name, json_int_t otherwise)
{
    json_t *v = rpc_part(r, name);

    return v ? json_integer_value(v) : otherwise;
}

static char *as_line(json_t *reply)
{
    size_t len = json_dumpb(reply, NULL, 0, DUMP_FLAGS);
    char *line = mem_array(len + 2, 1);

    (void)json_dumpb(reply, line, len, DUMP_FLAGS);
    line[len] = '\n';
    json_decref(reply);
    return line;
}

static json_t *envelope(const json_t *id)
{
    json_t *reply = json_object();

    json_object_set_new(reply, "jsonrpc", json_string("2.0"));
    json_object_set_new(reply, "id", id ? json_deep_copy(id) : json_null());
    return reply;
}

char *rpc_result(const json_t *id, json_t *result)
{
    json_t *reply = envelope(id);

    json_object_set_new(reply, "result", result);
    return as_line(reply);
}

char *rpc_error(const json_t *id, int wire_code, const struct err *e)
{
    json_t *reply = envelope(id);
    json_t *error = json_object();

    json_object_set_new(error, "code", json_integer(wire_code));
    json_object_set_new(error, "message", json_string(e->msg));
    if (*e->field) {
        json_object_set_new(error, "data", json_pack("{s:s}", "field", e->field));
    }
    json_object_set_new(reply, "error", error);
    return as_line(reply);
}

int rpc_wire_code(int code)
{
    switch (code) {
    case ERR_SYNTAX:
    case ERR_RANGE:
    case ERR_UNKNOWN:
    case ERR_MISSING:
        return WIRE_PARAMS;
    case ERR_REFUSED:
        return WIRE_REFUSED;
    case ERR_UNSURE:
        return WIRE_UNSURE;
    case ERR_STORE:
    case ERR_FULL:
        return WIRE_STORE;
    case ERR_BUSY:
        return WIRE_BUSY;
    default:
        return code <= WIRE_REFUSED + 100 && code >= WIRE_PARSE ? code : WIRE_INTERNAL;
    }
}
