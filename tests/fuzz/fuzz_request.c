/* Any bytes as a request line: a request or a refusal that can be sent, and what it tells is told
 * or refused as well. */
#include "tests/fuzz/fuzz_target.h"

#include "daemon/base/wire.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/tell/deed.h"
#include "daemon/serve/api/params.h"
#include "daemon/serve/net/rpc.h"
#include "tests/unit/a_room.h"

static const struct param params[] = {
    {"task",     PARAM_TEXT, false},
    {"kind",     PARAM_TEXT, false},
    {"figures",  PARAM_MAP,  false},
    {"subjects", PARAM_MAP,  false},
    {"only",     PARAM_LIST, false},
    {"at",       PARAM_TEXT, false},
    {"note",     PARAM_TEXT, false},
    {"sure",     PARAM_BOOL, false},
    {"days",     PARAM_INT,  false},
};

/* A reply is one line of JSON. */
static void check_line(char *line)
{
    size_t len = strlen(line);
    json_t *reply = json_loads(line, 0, NULL);

    FUZZ_HOLDS(len > 1 && line[len - 1] == '\n');
    FUZZ_HOLDS(memchr(line, '\n', len - 1) == NULL);
    FUZZ_HOLDS(json_is_object(reply));
    FUZZ_HOLDS(!json_object_get(reply, "error") ||
               json_is_string(json_object_get(json_object_get(reply, "error"), "message")));
    json_decref(reply);
    free(line);
}

static void check_refusal(const json_t *id, int code, const struct err *e)
{
    FUZZ_HOLDS(*e->msg != '\0');
    check_line(rpc_error(id, code, e));
}

static int tell(const struct room *room, const struct told_list *told, const char *kind_word,
                struct err *e)
{
    int kind = kind_word ? entry_kind_find(kind_word) : -1;
    struct deed d = {.now_s = at(1, 12),
                     .happened_s = at(1, 12),
                     .who = "fuzz",
                     .note = "",
                     .key = "",
                     .told = told->told,
                     .n_told = told->n};
    struct entries entries = {0};
    struct state state;
    int rc = 0;

    if (kind < 0) {
        return 0;
    }
    state_init(&state, room);
    rc = deed_record(room, &state, (enum entry_kind)kind, &d, &entries, e);
    for (size_t i = 0; i < entries.n; i++) {
        FUZZ_HOLDS(rc == 0);
        FUZZ_HOLDS(entry_check_form(room, &entries.entry[i], true, NULL) == 0);
        fold_entry(&state, room, &entries.entry[i]);
    }
    entries_deinit(&entries);
    state_deinit(&state);
    return rc;
}

static void take(const struct room *room, const struct request *r)
{
    struct told_list told = {0};
    struct err e = {0};
    int rc = rpc_check_params(r, params, sizeof params / sizeof *params, &e);

    if (rc == 0 && rpc_part(r, "figures")) {
        rc = told_read(room, "", rpc_part(r, "figures"), &told, &e);
    }
    if (rc == 0 && rpc_part(r, "subjects")) {
        rc = told_read_subjects(room, rpc_part(r, "subjects"), &told, &e);
    }
    if (rc == 0) {
        rc = tell(room, &told, rpc_text(r, "kind"), &e);
    }
    if (rc < 0) {
        check_refusal(r->id, rpc_wire_code(rc), &e);
    }
    told_list_deinit(&told);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct room room = a_room();
    struct request r;
    struct err e = {0};
    int rc;

    if (size < WIRE_LINE_MAX) { /* longer ones are not let this far: conn.h */
        rc = rpc_read((const char *)data, size, &r, &e);
        if (rc < 0) {
            check_refusal(r.id, rc, &e);
        } else {
            take(&room, &r);
        }
        request_deinit(&r);
    }
    room_deinit(&room);
    return 0;
}
