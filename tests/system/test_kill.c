/* kill -9 at random instants: what was acknowledged is there, and what is told again is told once.
 *
 * system_kill [KILLS]; without a number, two hundred. */
#include "daemon/base/mem.h"
#include "daemon/base/num.h"
#include "tests/cmocka_all.h"
#include "tests/system/rig.h"

#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#define CLIENTS 4

static int64_t kills = 200;

/* Outside of the daemon: the number each acknowledged entry was given, by the key it was told with.
 */
struct ledger {
    struct told_line {
        unsigned key;
        long long seq;
    } * line;
    size_t n, cap;
    unsigned next_key;
};

static uint64_t random_state;

static unsigned draw(unsigned below)
{
    random_state = random_state * 6364136223846793005ULL + 1442695040888963407ULL;
    return (unsigned)(random_state >> 33) % below;
}

static void send_record(struct client *c, unsigned key)
{
    char line[256];
    int n = snprintf(
        line, sizeof line,
        "{\"jsonrpc\":\"2.0\",\"id\":%u,\"method\":\"record\",\"params\":{\"kind\":\"note\","
        "\"subjects\":{\"T1\":{}},\"note\":\"%u\",\"key\":\"k%u\"}}\n",
        key, key, key);

    client_send(c, line, (size_t)n);
}

/* Takes one answer into the ledger; false when the daemon is gone. */
static bool take_answer(struct ledger *l, struct client *c)
{
    char *line = client_line(c);
    json_t *reply = line ? json_loads(line, 0, NULL) : NULL;
    json_t *entry = json_array_get(json_object_get(json_object_get(reply, "result"), "entries"), 0);
    const char *seq = json_string_value(json_object_get(entry, "seq"));
    bool there = line != NULL;

    if (seq) {
        l->line = mem_grow(l->line, &l->cap, l->n + 1, sizeof *l->line);
        l->line[l->n].key = (unsigned)json_integer_value(json_object_get(reply, "id"));
        l->line[l->n++].seq = strtoll(seq, NULL, 10);
    } else if (line) {
        fail_msg("not acknowledged: %s", line);
    }
    json_decref(reply);
    free(line);
    return there;
}

/* A child that kills the daemon after a while: the clients below do not stop for it. */
static pid_t kill_later(pid_t daemon, unsigned after_us)
{
    pid_t pid = fork();

    if (pid == 0) {
        struct timespec t = {0, (long)after_us * 1000};

        (void)nanosleep(&t, NULL);
        (void)kill(daemon, SIGKILL);
        _exit(0);
    }
    return pid;
}

static unsigned tell_until_killed(struct rig *r, struct ledger *l)
{
    struct client c[CLIENTS];
    unsigned last = 0;
    bool alive = true;
    pid_t killer;
    int status;

    for (int i = 0; i < CLIENTS; i++) {
        client_open(&c[i], r);
    }
    killer = kill_later(r->pid, 200 + draw(12000));
    while (alive) {
        for (int i = 0; i < CLIENTS; i++) {
            last = ++l->next_key;
            send_record(&c[i], last);
        }
        for (int i = 0; i < CLIENTS && alive; i++) {
            alive = take_answer(l, &c[i]);
        }
    }
    (void)waitpid(killer, &status, 0);
    (void)waitpid(r->pid, &status, 0);
    r->pid = 0;
    for (int i = 0; i < CLIENTS; i++) {
        client_close(&c[i]);
    }
    return last;
}

/* What the journal has, by number: the key that its note says. */
static unsigned *read_journal(struct client *c, size_t *out_n)
{
    unsigned *key = NULL;
    size_t cap = 0;
    size_t n = 0;
    json_t *after = json_integer(0);

    while (json_is_integer(after)) {
        json_t *page = client_ask(c, "log", json_pack("{s:i,s:o}", "limit", 1000, "after", after));
        json_t *entry;
        size_t i;

        json_array_foreach(json_object_get(page, "entries"), i, entry)
        {
            size_t seq =
                (size_t)strtoll(json_string_value(json_object_get(entry, "seq")), NULL, 10);
            const char *note = json_string_value(json_object_get(entry, "note"));

            key = mem_grow(key, &cap, seq + 1, sizeof *key);
            key[seq] = (unsigned)strtoul(note, NULL, 10);
            n = seq + 1 > n ? seq + 1 : n;
        }
        after = json_incref(json_object_get(page, "next"));
        json_decref(page);
    }
    json_decref(after);
    *out_n = n;
    return key;
}

static void check_ledger(const struct ledger *l, struct client *c)
{
    size_t n = 0;
    unsigned *key = read_journal(c, &n);
    unsigned char *seen = mem_array(l->next_key + 1, 1);

    for (size_t i = 0; i < l->n; i++) {
        size_t seq = (size_t)l->line[i].seq;

        if (seq >= n || key[seq] != l->line[i].key) {
            fail_msg("entry %zu, acknowledged for key %u, is gone", seq, l->line[i].key);
        }
    }
    for (size_t seq = 1; seq < n; seq++) {
        if (seen[key[seq]]++) {
            fail_msg("key %u is told twice", key[seq]);
        }
    }
    free(seen);
    free(key);
}

static void nothing_acknowledged_is_lost_by_a_kill(void **ctx)
{
    struct ledger l = {0};
    struct rig r;
    struct client c;
    unsigned seed = (unsigned)time(NULL);

    int64_t often = kills > 1000 ? kills / 20 : 50; /* all of it is read each time */

    (void)ctx;
    random_state = seed;
    print_message("seed %u\n", seed);
    rig_make(&r, "config/rooms/demo.yaml", "2026-03-01T07:00");
    for (int64_t i = 0; i < kills; i++) {
        unsigned last;

        rig_start(&r);
        last = tell_until_killed(&r, &l);
        rig_start(&r);
        client_open(&c, &r);
        send_record(&c, last); /* told again after the crash: once is enough */
        assert_true(take_answer(&l, &c));
        if ((i + 1) % often == 0 || i + 1 == kills) {
            check_ledger(&l, &c);
        }
        client_close(&c);
        rig_stop(&r);
    }
    print_message("%zu entries acknowledged over %lld kills, none lost, none twice\n", l.n,
                  (long long)kills);
    assert_true(l.n > (size_t)kills);
    free(l.line);
    rig_remove(&r);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_acknowledged_is_lost_by_a_kill),
    };

    if (argc > 1 && num_parse_int(argv[1], 1, 1000000, &kills, NULL) < 0) {
        (void)fputs("system_kill [KILLS]\n", stderr);
        return 2;
    }
    return cmocka_run_group_tests(tests, NULL, NULL);
}
