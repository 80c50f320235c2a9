#include "daemon/serve/api/methods.h"

#include "daemon/base/num.h"
#include "daemon/base/suggest.h"
#include "daemon/base/wire.h"
#include "daemon/serve/api/verbs.h"
#include "daemon/serve/live/planning.h"

#include <string.h>

static const struct param hello_params[] = {
    {"protocol", PARAM_INT, true},
};
static const struct param today_params[] = {
    {"on",   PARAM_TEXT, false},
    {"full", PARAM_BOOL, false},
};
static const struct param show_params[] = {
    {"what", PARAM_TEXT, false},
};
static const struct param ack_params[] = {
    {"task",     PARAM_TEXT, true },
    {"figures",  PARAM_MAP,  false},
    {"subjects", PARAM_MAP,  false},
    {"only",     PARAM_LIST, false},
    {"at",       PARAM_TEXT, false},
    {"note",     PARAM_TEXT, false},
    {"sure",     PARAM_BOOL, false},
    {"key",      PARAM_TEXT, false},
};
static const struct param defer_params[] = {
    {"task", PARAM_TEXT, true },
    {"to",   PARAM_TEXT, true },
    {"why",  PARAM_TEXT, false},
    {"only", PARAM_LIST, false},
    {"key",  PARAM_TEXT, false},
};
static const struct param drop_params[] = {
    {"task", PARAM_TEXT, true },
    {"why",  PARAM_TEXT, true },
    {"only", PARAM_LIST, false},
    {"key",  PARAM_TEXT, false},
};
static const struct param record_params[] = {
    {"kind",     PARAM_TEXT, true },
    {"subjects", PARAM_MAP,  true },
    {"at",       PARAM_TEXT, false},
    {"note",     PARAM_TEXT, false},
    {"sure",     PARAM_BOOL, false},
    {"sensor",   PARAM_BOOL, false},
    {"key",      PARAM_TEXT, false},
};
static const struct param readings_params[] = {
    {"readings", PARAM_LIST, true },
    {"sure",     PARAM_BOOL, false},
    {"sensor",   PARAM_BOOL, false},
    {"key",      PARAM_TEXT, false},
};
static const struct param void_params[] = {
    {"entry", PARAM_TEXT, true },
    {"why",   PARAM_TEXT, true },
    {"key",   PARAM_TEXT, false},
};
static const struct param undo_params[] = {
    {"why", PARAM_TEXT, false},
    {"key", PARAM_TEXT, false},
};
static const struct param fix_params[] = {
    {"entry",   PARAM_TEXT, true },
    {"figures", PARAM_MAP,  false},
    {"at",      PARAM_TEXT, false},
    {"why",     PARAM_TEXT, false},
    {"sure",    PARAM_BOOL, false},
    {"key",     PARAM_TEXT, false},
};
static const struct param log_params[] = {
    {"of",    PARAM_TEXT, false},
    {"since", PARAM_TEXT, false},
    {"until", PARAM_TEXT, false},
    {"limit", PARAM_INT,  false},
    {"after", PARAM_INT,  false},
};
static const struct param outlook_params[] = {
    {"days", PARAM_INT,  false},
    {"if",   PARAM_TEXT, false},
};
static const struct param mix_params[] = {
    {"recipe", PARAM_TEXT, false},
    {"crop",   PARAM_TEXT, false},
    {"volume", PARAM_TEXT, false},
    {"ec",     PARAM_TEXT, false},
    {"from",   PARAM_TEXT, false},
    {"water",  PARAM_TEXT, false},
    {"hard",   PARAM_TEXT, false},
    {"pour",   PARAM_LIST, false},
};
static const struct param backup_params[] = {
    {"file", PARAM_TEXT, false},
};
static const struct param clock_params[] = {
    {"advance", PARAM_TEXT, false},
    {"to",      PARAM_TEXT, false},
};

#define TAKES(params) params, sizeof(params) / sizeof *(params)
#define TAKES_NOTHING NULL, 0

/* clang-format off */
const struct method methods[] = {
    /* name       at once         later           tells  asks of       what it takes */
    {"hello",    answer_hello,   NULL,           false, ASKS_NOTHING, TAKES(hello_params)  },
    {"status",   answer_status,  NULL,           false, ASKS_LIST,    TAKES_NOTHING        },
    {"today",    answer_today,   NULL,           false, ASKS_LIST,    TAKES(today_params)  },
    {"show",     NULL,           begin_show,     false, ASKS_LIST,    TAKES(show_params)   },
    {"ack",      NULL,           begin_ack,      true,  ASKS_TASK,    TAKES(ack_params)    },
    {"defer",    NULL,           begin_defer,    true,  ASKS_LIST,    TAKES(defer_params)  },
    {"drop",     NULL,           begin_drop,     true,  ASKS_TASK,    TAKES(drop_params)   },
    {"record",   NULL,           begin_record,   true,  ASKS_NOTHING, TAKES(record_params) },
    {"readings", NULL,           begin_readings, true,  ASKS_NOTHING, TAKES(readings_params)},
    {"void",     NULL,           begin_void,     true,  ASKS_NOTHING, TAKES(void_params)   },
    {"undo",     NULL,           begin_undo,     true,  ASKS_NOTHING, TAKES(undo_params)   },
    {"fix",      NULL,           begin_fix,      true,  ASKS_NOTHING, TAKES(fix_params)    },
    {"log",      NULL,           begin_log,      false, ASKS_NOTHING, TAKES(log_params)    },
    {"outlook",  NULL,           begin_outlook,  false, ASKS_LIST,    TAKES(outlook_params)},
    {"advise",   NULL,           begin_advise,   false, ASKS_LIST,    TAKES_NOTHING        },
    {"stock",    answer_stock,   NULL,           false, ASKS_NOTHING, TAKES_NOTHING        },
    {"mix",      answer_mix,     NULL,           false, ASKS_NOTHING, TAKES(mix_params)    },
    {"clock",    answer_clock,   NULL,           false, ASKS_NOTHING, TAKES(clock_params)  },
    {"backup",   NULL,           begin_backup,   false, ASKS_NOTHING, TAKES(backup_params) },
    {"kinds",    answer_kinds,   NULL,           false, ASKS_NOTHING, TAKES_NOTHING        },
};
/* clang-format on */

#define N_METHODS (sizeof methods / sizeof *methods)

const size_t methods_n = N_METHODS;

static const struct method *find_method(const char *name, struct err *e)
{
    const char *names[N_METHODS];
    char tail[SUGGEST_TEXT_MAX];

    for (size_t i = 0; i < N_METHODS; i++) {
        if (strcmp(methods[i].name, name) == 0) {
            return &methods[i];
        }
        names[i] = methods[i].name;
    }
    (void)err_set(e, WIRE_METHOD, "there is no method '%.40s'%s", name,
                  suggest_tail(tail, name, names, N_METHODS, ""));
    return NULL;
}

/* The disk was full, and may have room by now: it is tried once for each request that needs it. */
static bool has_to_wait(struct server *s, struct conn *conn, const struct method *m)
{
    if (!m->tells || !s->full.code || conn->tried) {
        conn->tried = false;
        return false;
    }
    conn->tried = true;
    server_retry(s);
    return true;
}

static bool is_open(const struct server *s, const struct request *req)
{
    struct task t = {0};
    int64_t id;
    bool open = num_parse_int(rpc_text(req, "task"), 1, INT64_MAX, &id, NULL) == 0 &&
                live_room_open_task(&s->live, id, server_now_s(s), &t);

    live_room_drop_task(&t);
    return open;
}

static bool waits_for_plan(struct server *s, struct conn *conn, const struct method *m,
                           const struct request *req)
{
    bool asks = m->asks == ASKS_LIST || (m->asks == ASKS_TASK && !is_open(s, req));

    if (!asks) {
        conn->plan_due = 0;
    }
    return asks && !planning_is_done(s, &conn->plan_due);
}

bool methods_call(struct server *s, struct conn *conn, const char *line, size_t len)
{
    struct call *c = call_new(s, conn);
    const struct method *m = NULL;
    json_t *result = NULL;
    struct err e = {0};
    int rc;

    rc = rpc_read(line, len, &c->req, &e);
    if (rc == 0) {
        m = find_method(c->req.method, &e);
        rc = m ? rpc_check_params(&c->req, m->param, m->n_params, &e) : e.code;
    }
    if (rc == 0 && m && (has_to_wait(s, conn, m) || waits_for_plan(s, conn, m, &c->req))) {
        call_free(c);
        return false;
    }
    if (rc == 0 && m && m->begin) {
        conn->busy = true;
        rc = m->begin(c, &e);
        if (rc == 0) {
            return true;
        }
        conn->busy = false;
    } else if (rc == 0 && m) {
        result = m->answer(c, &e);
    }
    call_answer(c, result, &e);
    return true;
}
