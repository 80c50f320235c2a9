/* Clients on the socket: who is let in, lines in and out, and who is sent away. */
#include "tests/unit/a_client.h"

#include "daemon/base/wire.h"

#include <pwd.h>

#define TOO_MANY                                                                                   \
    "{\"jsonrpc\":\"2.0\",\"id\":null,\"error\":{\"code\":-32003,\"message\":\"too many clients; " \
    "try again\"}}"
#define TOO_LONG                                                                                   \
    "{\"jsonrpc\":\"2.0\",\"id\":null,\"error\":{\"code\":-32600,\"message\":\"the line is "       \
    "longer than 65536 bytes\"}}"
#define TOO_SLOW                                                                                   \
    "{\"jsonrpc\":\"2.0\",\"id\":null,\"error\":{\"code\":-32600,\"message\":\"the line was not "  \
    "finished in 30 s\"}}"

static void two_lines_in_one_read_are_two_requests(void **ctx)
{
    struct house *h = *ctx;
    int fd;

    fd = client_connect(h);
    client_say(h, fd, "one\ntwo\n");
    ASSERT_HEARS(h, fd, "one");
    ASSERT_HEARS(h, fd, "two");
    assert_int_equal(h->n, 2);
    assert_int_equal(h->len[0], 3); /* without its newline */
    (void)close(fd);
}

static void a_line_in_pieces_is_one_request(void **ctx)
{
    struct house *h = *ctx;
    int fd;

    fd = client_connect(h);
    client_say(h, fd, "sta");
    AWAIT(h, h->conns.n == 1 && h->conns.first->in.len == 3);
    client_say(h, fd, "tu");
    AWAIT(h, h->conns.first->in.len == 5);
    assert_int_equal(h->n, 0);
    client_say(h, fd, "s\nne");
    ASSERT_HEARS(h, fd, "status");
    assert_int_equal(h->n, 1);
    client_say(h, fd, "xt\n");
    ASSERT_HEARS(h, fd, "next");
    (void)close(fd);
}

/* WIRE_LINE_MAX counts the newline. */
static void a_line_as_long_as_may_be_is_taken_whole(void **ctx)
{
    char *line = mem_array(WIRE_LINE_MAX + 1, 1);
    struct house *h = *ctx;
    int fd;

    h->waits = true;
    memset(line, 'x', WIRE_LINE_MAX - 1);
    line[WIRE_LINE_MAX - 1] = '\n';
    fd = client_connect(h);
    client_say(h, fd, line);
    AWAIT(h, h->n == 1);
    assert_int_equal(h->len[0], WIRE_LINE_MAX - 1);
    assert_false(h->asks->in_too_long);
    free(line);
    (void)close(fd);
}

static void a_line_over_the_limit_is_answered_and_ends_the_connection(void **ctx)
{
    char *line = mem_array(WIRE_LINE_MAX + 2, 1);
    struct house *h = *ctx;
    int fd;

    memset(line, 'x', WIRE_LINE_MAX);
    line[WIRE_LINE_MAX] = '\n';
    fd = client_connect(h);
    client_say(h, fd, "first\n");
    client_say(h, fd, line);
    ASSERT_HEARS(h, fd, "first"); /* what was asked before is answered before */
    ASSERT_HEARS(h, fd, TOO_LONG);
    ASSERT_HEARS_THE_END(h, fd);
    assert_int_equal(h->n, 1);
    assert_int_equal(h->conns.n, 0);
    free(line);
    (void)close(fd);
}

static void one_client_too_many_is_told_so_and_the_others_are_served(void **ctx)
{
    struct house *h = *ctx;
    int first;
    int second;
    int third;

    h->conns.limits.clients = 2;
    first = client_connect(h);
    second = client_connect(h);
    AWAIT(h, h->conns.n == 2);
    third = client_connect(h);
    ASSERT_HEARS(h, third, TOO_MANY);
    ASSERT_HEARS_THE_END(h, third);
    client_say(h, second, "two\n");
    ASSERT_HEARS(h, second, "two");
    (void)close(first);
    AWAIT(h, h->conns.n == 1);
    (void)close(third);
    third = client_connect(h); /* a place is free again */
    client_say(h, third, "three\n");
    ASSERT_HEARS(h, third, "three");
    (void)close(second);
    (void)close(third);
}

static void one_user_does_not_get_all_places(void **ctx)
{
    struct house *h = *ctx;
    int first;
    int second;

    h->conns.limits.clients_of_uid = 1;
    first = client_connect(h);
    AWAIT(h, h->conns.n == 1);
    second = client_connect(h);
    ASSERT_HEARS(h, second, TOO_MANY);
    ASSERT_HEARS_THE_END(h, second);
    client_say(h, first, "one\n");
    ASSERT_HEARS(h, first, "one");
    (void)close(first);
    (void)close(second);
}

/* Where all places are taken by clients that say nothing, the longest silent of them goes. */
static void who_says_nothing_gives_the_place_to_who_comes(void **ctx)
{
    struct house *h = *ctx;
    int silent;
    int second;

    h->conns.limits.clients = 1;
    h->conns.limits.idle_ms = 0;
    silent = client_connect(h);
    AWAIT(h, h->conns.n == 1);
    second = client_connect(h);
    ASSERT_HEARS_THE_END(h, silent);
    client_say(h, second, "two\n");
    ASSERT_HEARS(h, second, "two");
    (void)close(silent);
    (void)close(second);
}

/* One that waits for its answer is not silent. */
static void who_waits_for_an_answer_keeps_the_place(void **ctx)
{
    struct house *h = *ctx;
    int waits;
    int second;

    h->conns.limits.clients = 1;
    h->conns.limits.idle_ms = 0;
    h->waits = true;
    waits = client_connect(h);
    client_say(h, waits, "one\n");
    AWAIT(h, h->n == 1);
    second = client_connect(h);
    ASSERT_HEARS(h, second, TOO_MANY);
    (void)close(waits);
    (void)close(second);
}

/* Of clients that never read, who owes most goes; the daemon's memory stays bounded. */
static void who_owes_most_goes_when_all_owe_too_much(void **ctx)
{
    struct house *h = *ctx;
    char *answer = mem_array(1, 1 << 20);
    int deaf;
    int good;

    memset(answer, 'x', (1 << 20) - 1);
    h->conns.limits.all_out_len = 1 << 19;
    good = client_connect(h);
    deaf = client_connect(h);
    client_say(h, deaf, "one\n");
    AWAIT(h, h->n == 1 && h->conns.n == 2);
    answer_line(h->asks, answer);
    AWAIT(h, h->conns.n == 1);
    client_say(h, good, "two\n");
    ASSERT_HEARS(h, good, "two");
    free(answer);
    (void)close(deaf);
    (void)close(good);
}

static void the_usual_limits_are_those_that_are_documented(void **ctx)
{
    (void)ctx;
    assert_int_equal(conn_usual_limits.clients, 64); /* as many as the sentences say: conn.c */
    assert_int_equal(conn_usual_limits.clients_of_uid, 32);
    assert_int_equal(conn_usual_limits.lines, 32);
    assert_int_equal(conn_usual_limits.out_len, 262144);
    assert_int_equal(conn_usual_limits.all_out_len, 33554432);
    assert_int_equal(conn_usual_limits.idle_ms, 1000);
    assert_int_equal(conn_usual_limits.line_ms, 30000);
    assert_int_equal(conn_usual_limits.stall_ms, 30000);
}

static void who_comes_while_the_daemon_ends_is_told_so(void **ctx)
{
    struct house *h = *ctx;
    int fd;

    h->conns.turned_away = "tarnd is ending";
    fd = client_connect(h);
    ASSERT_HEARS(h, fd,
                 "{\"jsonrpc\":\"2.0\",\"id\":null,\"error\":{\"code\":-32003,\"message\":"
                 "\"tarnd is ending\"}}");
    ASSERT_HEARS_THE_END(h, fd);
    (void)close(fd);
}

static void a_line_that_is_not_finished_in_time_is_answered_and_ends_the_connection(void **ctx)
{
    struct house *h = *ctx;
    int fd;

    h->conns.limits.line_ms = 30;
    fd = client_connect(h);
    client_say(h, fd, "whole\nhal");
    ASSERT_HEARS(h, fd, "whole");
    ASSERT_HEARS(h, fd, TOO_SLOW);
    ASSERT_HEARS_THE_END(h, fd);
    assert_int_equal(h->n, 1);
    (void)close(fd);
}

static void the_time_of_a_line_ends_with_the_line(void **ctx)
{
    struct house *h = *ctx;
    int fd;

    fd = client_connect(h);
    client_say(h, fd, "hal");
    AWAIT(h, h->conns.n == 1 && uv_is_active((uv_handle_t *)&h->conns.first->line_timer));
    client_say(h, fd, "f\n");
    ASSERT_HEARS(h, fd, "half");
    assert_false(uv_is_active((uv_handle_t *)&h->conns.first->line_timer));
    client_say(h, fd, "one\ntw");
    ASSERT_HEARS(h, fd, "one");
    assert_true(uv_is_active((uv_handle_t *)&h->conns.first->line_timer));
    (void)close(fd);
}

static void who_asks_nothing_and_goes_is_forgotten(void **ctx)
{
    struct house *h = *ctx;
    int fd;

    fd = client_connect(h);
    AWAIT(h, h->conns.n == 1);
    (void)close(fd);
    AWAIT(h, h->conns.n == 0);
    assert_int_equal(h->n, 0);
}

static void clients_in_any_order_of_leaving_are_all_forgotten(void **ctx)
{
    struct house *h = *ctx;
    int fd[3];

    for (unsigned i = 0; i < 3; i++) {
        fd[i] = client_connect(h);
        AWAIT(h, h->conns.n == i + 1);
    }
    (void)close(fd[1]); /* the middle one, then the ends */
    AWAIT(h, h->conns.n == 2);
    client_say(h, fd[0], "a\n");
    client_say(h, fd[2], "c\n");
    ASSERT_HEARS(h, fd[0], "a");
    ASSERT_HEARS(h, fd[2], "c");
    (void)close(fd[2]);
    AWAIT(h, h->conns.n == 1);
    client_say(h, fd[0], "a\n");
    ASSERT_HEARS(h, fd[0], "a");
    (void)close(fd[0]);
    AWAIT(h, h->conns.n == 0);
    assert_null(h->conns.first);
}

/* The kernel says who it is: a client cannot pass for another. */
static void a_client_is_known_by_its_user(void **ctx)
{
    const struct passwd *self = getpwuid(getuid());
    char who[64];
    struct house *h = *ctx;
    int fd;

    fd = client_connect(h);
    AWAIT(h, h->conns.n == 1);
    assert_int_equal(h->conns.first->uid, getuid());
    if (self) {
        (void)snprintf(who, sizeof who, "%s", self->pw_name);
    } else {
        (void)snprintf(who, sizeof who, "uid %u", (unsigned)getuid());
    }
    assert_string_equal(h->conns.first->who, who);
    (void)close(fd);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        HOUSE(two_lines_in_one_read_are_two_requests),
        HOUSE(a_line_in_pieces_is_one_request),
        HOUSE(a_line_as_long_as_may_be_is_taken_whole),
        HOUSE(a_line_over_the_limit_is_answered_and_ends_the_connection),
        HOUSE(one_client_too_many_is_told_so_and_the_others_are_served),
        HOUSE(one_user_does_not_get_all_places),
        HOUSE(who_says_nothing_gives_the_place_to_who_comes),
        HOUSE(who_waits_for_an_answer_keeps_the_place),
        HOUSE(who_owes_most_goes_when_all_owe_too_much),
        cmocka_unit_test(the_usual_limits_are_those_that_are_documented),
        HOUSE(who_comes_while_the_daemon_ends_is_told_so),
        HOUSE(a_line_that_is_not_finished_in_time_is_answered_and_ends_the_connection),
        HOUSE(the_time_of_a_line_ends_with_the_line),
        HOUSE(who_asks_nothing_and_goes_is_forgotten),
        HOUSE(clients_in_any_order_of_leaving_are_all_forgotten),
        HOUSE(a_client_is_known_by_its_user),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
