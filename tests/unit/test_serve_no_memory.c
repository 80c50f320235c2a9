/* The daemon where memory runs out: a whole answer, an error or its end, and nothing is lost or
 * told twice. Each allocation of a request fails in its turn: ours, the JSON's, SQLite's, and the
 * loop's. */
#include "tests/unit/a_daemon.h"

#include <sqlite3.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <uv.h>

static struct daemon d;

/* ---- allocations that fail */

static atomic_long *left; /* shared by the test and its child: the one that takes it to 0 fails */
static pid_t tester;      /* has memory */
static sqlite3_mem_methods of_sqlite;

static bool fails(void)
{
    return left && getpid() != tester && atomic_load(left) > 0 && atomic_fetch_sub(left, 1) == 1;
}

/* The linker puts these in the place of the calls in our own libraries. */
void *__real_malloc(size_t size);
void *__real_calloc(size_t n, size_t size);
void *__real_realloc(void *p, size_t size);
void *__real_reallocarray(void *p, size_t n, size_t size);
char *__real_strdup(const char *s);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t n, size_t size);
void *__wrap_realloc(void *p, size_t size);
void *__wrap_reallocarray(void *p, size_t n, size_t size);
char *__wrap_strdup(const char *s);

void *__wrap_malloc(size_t size)
{
    return fails() ? NULL : __real_malloc(size);
}

void *__wrap_calloc(size_t n, size_t size)
{
    return fails() ? NULL : __real_calloc(n, size);
}

void *__wrap_realloc(void *p, size_t size)
{
    return fails() ? NULL : __real_realloc(p, size);
}

void *__wrap_reallocarray(void *p, size_t n, size_t size)
{
    return fails() ? NULL : __real_reallocarray(p, n, size);
}

char *__wrap_strdup(const char *s)
{
    return fails() ? NULL : __real_strdup(s);
}

static void *sqlite_malloc(int size)
{
    return fails() ? NULL : of_sqlite.xMalloc(size);
}

static void *sqlite_realloc(void *p, int size)
{
    return fails() ? NULL : of_sqlite.xRealloc(p, size);
}

static int set_up(void **ctx)
{
    static sqlite3_mem_methods failing;

    (void)ctx;
    tester = getpid();
    assert_int_equal(sqlite3_config(SQLITE_CONFIG_GETMALLOC, &of_sqlite), SQLITE_OK);
    failing = of_sqlite;
    failing.xMalloc = sqlite_malloc;
    failing.xRealloc = sqlite_realloc;
    assert_int_equal(sqlite3_config(SQLITE_CONFIG_MALLOC, &failing), SQLITE_OK);
    json_set_alloc_funcs(malloc, free);
    assert_int_equal(uv_replace_allocator(malloc, realloc, calloc, free), 0);
    left = mmap(NULL, sizeof *left, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    assert_true(left != MAP_FAILED);
    daemon_make(&d, "backup: {keep: 0}\n"); /* a copy would take its memory meanwhile */
    do_ask(&d, "clock", "{}");
    return 0;
}

static int tear_down(void **ctx)
{
    int rc = daemon_end(&d);

    (void)ctx;
    daemon_remove(&d);
    (void)munmap(left, sizeof *left);
    left = NULL;
    return rc;
}

/* ---- asking */

/* The next reply; NULL: it ended before there was one. */
static json_t *hear_or_end(void)
{
    while (!memchr(d.in, '\n', d.n_in)) {
        struct pollfd p = {.fd = d.fd, .events = POLLIN};
        ssize_t n;

        assert_int_equal(poll(&p, 1, REPLY_MS), 1);
        n = recv(d.fd, d.in + d.n_in, sizeof d.in - d.n_in, 0);
        if (n <= 0) {
            return NULL;
        }
        d.n_in += (size_t)n;
    }
    return daemon_hear(&d);
}

static void log_says_why(void)
{
    char said[4096] = "";
    FILE *f = fopen(d.log, "re");

    assert_non_null(f);
    said[fread(said, 1, sizeof said - 1, f)] = '\0';
    (void)fclose(f);
    (void)unlink(d.log);
    if (!strstr(said, "out of memory") && !strstr(said, "not enough memory")) {
        fail_msg("it ended with these words: %s", said);
    }
}

/* It said why, it did not crash, and it starts again. */
static void start_again(void)
{
    int status = 0;

    (void)close(d.fd);
    assert_int_equal(waitpid(d.pid, &status, 0), d.pid);
    assert_true((WIFSIGNALED(status) && WTERMSIG(status) == SIGABRT) ||
                (WIFEXITED(status) && WEXITSTATUS(status) == 1));
    log_says_why();
    daemon_start(&d);
    do_ask(&d, "clock", "{}"); /* it is up */
}

/* Does it end, after an answer that told of a fault? */
static bool is_gone(void)
{
    static const char line[] =
        "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"clock\",\"params\":{}}\n";
    json_t *reply = NULL;

    if (send(d.fd, line, sizeof line - 1, MSG_NOSIGNAL) > 0) {
        reply = hear_or_end();
    }
    json_decref(reply);
    return !reply;
}

static json_t *call_or_end(const char *method, const char *params)
{
    char line[1024];

    (void)snprintf(line, sizeof line,
                   "{\"jsonrpc\":\"2.0\",\"id\":%d,\"method\":\"%s\",\"params\":%s}\n", ++d.id,
                   method, params);
    for (char *p = line; *p; p++) {
        if (*p == '\'') {
            *p = '"';
        }
    }
    daemon_send(&d, line);
    return hear_or_end();
}

/* With the n-th allocation failing. Gives the result, or NULL. */
static json_t *call_short_of_memory(const char *method, const char *params, long n, bool *out_met)
{
    json_t *reply, *result, *error;

    atomic_store(left, n);
    reply = call_or_end(method, params);
    *out_met = atomic_exchange(left, 0) <= 0;
    result = json_incref(json_object_get(reply, "result"));
    error = json_object_get(reply, "error");
    if (reply) {
        assert_true((result != NULL) != (error != NULL));
        assert_int_equal(json_integer_value(json_object_get(reply, "id")), d.id);
    }
    if (error) {
        assert_true(json_string_length(json_object_get(error, "message")) > 0);
    }
    json_decref(reply);
    if (*out_met && is_gone()) {
        start_again();
    }
    return result;
}

/* Each of the first, then ever fewer. */
static long next_of(long n)
{
    return n + 1 + n / 8;
}

/* ---- what holds */

static void answers_are_whole(const char *method, const char *params)
{
    bool met = true;

    for (long n = 1; met; n = next_of(n)) {
        json_t *got = call_short_of_memory(method, params, n, &met);
        json_t *again = ask(&d, method, params);

        if (got && !json_equal(got, again)) {
            fail_msg("%s with allocation %ld failing: %s", method, n, json_dumps(got, 0));
        }
        json_decref(got);
        json_decref(again);
    }
}

static void an_answer_is_whole_or_none(void **ctx)
{
    (void)ctx;
    answers_are_whole("status", "{}");
    answers_are_whole("show", "{'what':'T1'}");
    answers_are_whole("log", "{}");
}

static json_int_t entries(void)
{
    json_t *status = ask(&d, "status", "{}");
    json_int_t n = json_integer_value(json_object_get(status, "entries"));

    json_decref(status);
    return n;
}

static void what_is_told_is_told_once(void **ctx)
{
    json_int_t told = entries();
    bool met = true;

    (void)ctx;
    for (long n = 1; met; n = next_of(n)) {
        char params[256];
        json_t *got;

        (void)snprintf(params, sizeof params,
                       "{'kind':'note','subjects':{'T1':{}},'note':'n','key':'short-%ld'}", n);
        got = call_short_of_memory("record", params, n, &met);
        assert_true(entries() == told + 1 || (!got && entries() == told));
        do_ask(&d, "record", params); /* the client asks again */
        assert_int_equal(entries(), ++told);
        json_decref(got);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_answer_is_whole_or_none),
        cmocka_unit_test(what_is_told_is_told_once),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
