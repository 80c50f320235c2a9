/* Clients on the socket: lines in, lines out, and what one that misbehaves may cost. */
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
    struct house h;
    int fd;

    (void)ctx;
    house_open(&h);
    fd = client_connect(&h);
    client_say(&h, fd, "one\ntwo\n");
    ASSERT_HEARS(&h, fd, "one");
    ASSERT_HEARS(&h, fd, "two");
    assert_int_equal(h.n, 2);
    assert_int_equal(h.len[0], 3); /* without its newline */
    (void)close(fd);
    house_close(&h);
}

static void a_line_in_pieces_is_one_request(void **ctx)
{
    struct house h;
    int fd;

    (void)ctx;
    house_open(&h);
    fd = client_connect(&h);
    client_say(&h, fd, "sta");
    AWAIT(&h, h.conns.n == 1 && h.conns.first->in.len == 3);
    client_say(&h, fd, "tu");
    AWAIT(&h, h.conns.first->in.len == 5);
    assert_int_equal(h.n, 0);
    client_say(&h, fd, "s\nne");
    ASSERT_HEARS(&h, fd, "status");
    assert_int_equal(h.n, 1);
    client_say(&h, fd, "xt\n");
    ASSERT_HEARS(&h, fd, "next");
    (void)close(fd);
    house_close(&h);
}

/* WIRE_LINE_MAX counts the newline. */
static void a_line_as_long_as_may_be_is_taken_whole(void **ctx)
{
    char *line = mem_array(WIRE_LINE_MAX + 1, 1);
    struct house h;
    int fd;

    (void)ctx;
    house_open(&h);
    h.waits = true;
    memset(line, 'x', WIRE_LINE_MAX - 1);
    line[WIRE_LINE_MAX - 1] = '\n';
    fd = client_connect(&h);
    client_say(&h, fd, line);
    AWAIT(&h, h.n == 1);
    assert_int_equal(h.len[0], WIRE_LINE_MAX - 1);
    assert_false(h.asks->in_too_long);
    free(line);
    (void)close(fd);
    house_close(&h);
}

static void a_line_over_the_limit_is_answered_and_ends_the_connection(void **ctx)
{
    char *line = mem_array(WIRE_LINE_MAX + 2, 1);
    struct house h;
    int fd;

    (void)ctx;
    house_open(&h);
    memset(line, 'x', WIRE_LINE_MAX);
    line[WIRE_LINE_MAX] = '\n';
    fd = client_connect(&h);
    client_say(&h, fd, "first\n");
    client_say(&h, fd, line);
    ASSERT_HEARS(&h, fd, "first"); /* what was asked before is answered before */
    ASSERT_HEARS(&h, fd, TOO_LONG);
    ASSERT_HEARS_THE_END(&h, fd);
    assert_int_equal(h.n, 1);
    assert_int_equal(h.conns.n, 0);
    free(line);
    (void)close(fd);
    house_close(&h);
}

static void one_client_too_many_is_told_so_and_the_others_are_served(void **ctx)
{
    struct house h;
    int first;
    int second;
    int third;

    (void)ctx;
    house_open(&h);
    h.conns.limits.clients = 2;
    first = client_connect(&h);
    second = client_connect(&h);
    AWAIT(&h, h.conns.n == 2);
    third = client_connect(&h);
    ASSERT_HEARS(&h, third, TOO_MANY);
    ASSERT_HEARS_THE_END(&h, third);
    client_say(&h, second, "two\n");
    ASSERT_HEARS(&h, second, "two");
    (void)close(first);
    AWAIT(&h, h.conns.n == 1);
    (void)close(third);
    third = client_connect(&h); /* a place is free again */
    client_say(&h, third, "three\n");
    ASSERT_HEARS(&h, third, "three");
    (void)close(second);
    (void)close(third);
    house_close(&h);
}

static void one_user_does_not_get_all_places(void **ctx)
{
    struct house h;
    int first;
    int second;

    (void)ctx;
    house_open(&h);
    h.conns.limits.clients_of_uid = 1;
    first = client_connect(&h);
    AWAIT(&h, h.conns.n == 1);
    second = client_connect(&h);
    ASSERT_HEARS(&h, second, TOO_MANY);
    ASSERT_HEARS_THE_END(&h, second);
    client_say(&h, first, "one\n");
    ASSERT_HEARS(&h, first, "one");
    (void)close(first);
    (void)close(second);
    house_close(&h);
}

static void the_usual_limits_are_those_that_are_documented(void **ctx)
{
    (void)ctx;
    assert_int_equal(conn_usual_limits.clients, 64); /* as many as the sentences say: conn.c */
    assert_int_equal(conn_usual_limits.clients_of_uid, 32);
    assert_int_equal(conn_usual_limits.lines, 32);
    assert_int_equal(conn_usual_limits.out_len, 262144);
    assert_int_equal(conn_usual_limits.line_ms, 30000);
    assert_int_equal(conn_usual_limits.stall_ms, 30000);
}

static void who_comes_while_the_daemon_ends_is_told_so(void **ctx)
{
    struct house h;
    int fd;

    (void)ctx;
    house_open(&h);
    h.conns.turned_away = "tarnd is ending";
    fd = client_connect(&h);
    ASSERT_HEARS(&h, fd,
                 "{\"jsonrpc\":\"2.0\",\"id\":null,\"error\":{\"code\":-32003,\"message\":"
                 "\"tarnd is ending\"}}");
    ASSERT_HEARS_THE_END(&h, fd);
    (void)close(fd);
    house_close(&h);
}

/* More than the kernel takes for a client that does not read. */
static char *much(size_t len)
{
    char *text = mem_array(len + 1, 1);

    memset(text, 'm', len);
    return text;
}

static void a_client_that_takes_no_byte_is_let_go(void **ctx)
{
    char *text = much(4 << 20);
    struct house h;
    int fd;

    (void)ctx;
    house_open(&h);
    h.conns.limits.stall_ms = 50;
    h.waits = true;
    fd = client_connect(&h);
    client_say(&h, fd, "all\n");
    AWAIT(&h, h.n == 1);
    answer_line(h.asks, text);
    AWAIT(&h, h.conns.n == 0);
    free(text);
    (void)close(fd);
    house_close(&h);
}

struct reader {
    uv_timer_t timer;
    int fd;
    size_t left;
};

static void on_tick(uv_timer_t *timer)
{
    struct reader *r = timer->data;
    char buf[65536];
    ssize_t n = recv(r->fd, buf, sizeof buf, 0);

    r->left -= n > 0 ? (size_t)n : 0;
    if (r->left == 0 || n == 0) {
        uv_close((uv_handle_t *)timer, NULL);
    }
}

/* In all it takes longer than a stall may last, and each time it takes a little. */
static void a_client_that_takes_its_time_is_not(void **ctx)
{
    char *text = much(2 << 20);
    struct house h;
    struct reader r = {.left = (2 << 20) + 1};

    (void)ctx;
    house_open(&h);
    h.conns.limits.stall_ms = 300;
    h.waits = true;
    r.fd = client_connect(&h);
    client_say(&h, r.fd, "all\n");
    AWAIT(&h, h.n == 1);
    answer_line(h.asks, text);
    (void)uv_timer_init(&h.loop, &r.timer);
    r.timer.data = &r;
    (void)uv_timer_start(&r.timer, on_tick, 20, 20);
    AWAIT(&h, uv_is_closing((uv_handle_t *)&r.timer));
    assert_int_equal(r.left, 0);
    assert_int_equal(h.conns.n, 1);
    assert_int_equal(h.conns.first->n_owed, 0);
    assert_false(uv_is_active((uv_handle_t *)&h.conns.first->stall_timer));
    free(text);
    (void)close(r.fd);
    house_close(&h);
}

static void a_line_that_is_not_finished_in_time_is_answered_and_ends_the_connection(void **ctx)
{
    struct house h;
    int fd;

    (void)ctx;
    house_open(&h);
    h.conns.limits.line_ms = 30;
    fd = client_connect(&h);
    client_say(&h, fd, "whole\nhal");
    ASSERT_HEARS(&h, fd, "whole");
    ASSERT_HEARS(&h, fd, TOO_SLOW);
    ASSERT_HEARS_THE_END(&h, fd);
    assert_int_equal(h.n, 1);
    (void)close(fd);
    house_close(&h);
}

static void the_time_of_a_line_ends_with_the_line(void **ctx)
{
    struct house h;
    int fd;

    (void)ctx;
    house_open(&h);
    fd = client_connect(&h);
    client_say(&h, fd, "hal");
    AWAIT(&h, h.conns.n == 1 && uv_is_active((uv_handle_t *)&h.conns.first->line_timer));
    client_say(&h, fd, "f\n");
    ASSERT_HEARS(&h, fd, "half");
    assert_false(uv_is_active((uv_handle_t *)&h.conns.first->line_timer));
    client_say(&h, fd, "one\ntw");
    ASSERT_HEARS(&h, fd, "one");
    assert_true(uv_is_active((uv_handle_t *)&h.conns.first->line_timer));
    (void)close(fd);
    house_close(&h);
}

static void the_end_of_input_ends_it_after_the_last_answer(void **ctx)
{
    struct house h;
    int fd;

    (void)ctx;
    house_open(&h);
    h.waits = true;
    fd = client_connect(&h);
    client_say(&h, fd, "one\ntwo\nlast");
    assert_int_equal(shutdown(fd, SHUT_WR), 0);
    AWAIT(&h, h.n == 1 && h.conns.first->no_more);
    for (unsigned i = 0; i < 3; i++) {
        static const char *const lines[] = {"one", "two", "last"};

        assert_int_equal(h.n, i + 1);
        assert_string_equal(h.line[i], lines[i]); /* the last may do without its newline */
        settle(&h);
        assert_int_equal(h.conns.n, 1); /* it is owed an answer */
        h.asks->busy = false;
        answer_line(h.asks, lines[i]);
        ASSERT_HEARS(&h, fd, lines[i]);
        settle(&h);
    }
    ASSERT_HEARS_THE_END(&h, fd);
    assert_int_equal(h.conns.n, 0);
    (void)close(fd);
    house_close(&h);
}

static void who_asks_nothing_and_goes_is_forgotten(void **ctx)
{
    struct house h;
    int fd;

    (void)ctx;
    house_open(&h);
    fd = client_connect(&h);
    AWAIT(&h, h.conns.n == 1);
    (void)close(fd);
    AWAIT(&h, h.conns.n == 0);
    assert_int_equal(h.n, 0);
    house_close(&h);
}

static void lines_wait_while_a_request_is_answered_and_no_more_are_read_than_may_wait(void **ctx)
{
    struct house h;
    int fd;

    (void)ctx;
    house_open(&h);
    h.conns.limits.lines = 3;
    h.waits = true;
    fd = client_connect(&h);
    client_say(&h, fd, "0\n");
    AWAIT(&h, h.n == 1);
    client_say(&h, fd, "1\n2\n");
    AWAIT(&h, h.asks->n_lines == 2);
    assert_true(h.asks->reading);
    client_say(&h, fd, "3\n");
    AWAIT(&h, h.asks->n_lines == 3);
    assert_false(h.asks->reading);
    client_say(&h, fd, "4\n");
    settle(&h);
    assert_int_equal(h.asks->n_lines, 3);
    assert_int_equal(h.n, 1); /* one at a time */
    h.waits = false;
    h.asks->busy = false;
    answer_line(h.asks, "0");
    for (int i = 0; i < 5; i++) {
        char want[2] = {(char)('0' + i), '\0'};

        ASSERT_HEARS(&h, fd, want);
    }
    (void)close(fd);
    house_close(&h);
}

static void no_line_is_looked_at_while_too_much_waits_to_go_out(void **ctx)
{
    char *text = much(4 << 20);
    struct house h;
    char buf[65536];
    size_t left = (4 << 20) + 1;
    int fd;

    (void)ctx;
    house_open(&h);
    h.waits = true;
    fd = client_connect(&h);
    client_say(&h, fd, "all\n");
    AWAIT(&h, h.n == 1);
    answer_line(h.asks, text);
    h.waits = false;
    h.asks->busy = false;
    client_say(&h, fd, "next\n");
    settle(&h);
    assert_int_equal(h.n, 1);
    while (left > 0) {
        ssize_t n = recv(fd, buf, left < sizeof buf ? left : sizeof buf, 0);

        if (n > 0) {
            left -= (size_t)n;
        } else {
            await_client(&h, fd);
        }
    }
    ASSERT_HEARS(&h, fd, "next");
    free(text);
    (void)close(fd);
    house_close(&h);
}

static void answers_that_are_held_count_as_waiting_to_go_out(void **ctx)
{
    struct house h;
    struct line *line;
    int fd;

    (void)ctx;
    house_open(&h);
    h.waits = true;
    fd = client_connect(&h);
    client_say(&h, fd, "one\ntwo\n");
    AWAIT(&h, h.n == 1 && h.asks->n_lines == 1);
    h.asks->busy = false;
    h.asks->held_len = h.conns.limits.out_len + 1;
    assert_null(conn_take_line(h.asks));
    h.asks->held_len = h.conns.limits.out_len;
    line = conn_take_line(h.asks);
    assert_non_null(line);
    line_free(line);
    (void)close(fd);
    house_close(&h);
}

static void a_line_that_is_put_back_comes_again_before_the_others(void **ctx)
{
    struct house h;
    struct line *line;
    int fd;

    (void)ctx;
    house_open(&h);
    h.waits = true;
    fd = client_connect(&h);
    client_say(&h, fd, "0\n1\n2\n");
    AWAIT(&h, h.n == 1 && h.asks->n_lines == 2);
    h.asks->busy = false;
    line = conn_take_line(h.asks);
    assert_string_equal(line->text, "1");
    conn_put_back(h.asks, line);
    assert_int_equal(h.asks->n_lines, 2);
    for (int i = 1; i <= 2; i++) {
        line = conn_take_line(h.asks);
        assert_int_equal(line->text[0], '0' + i);
        if (i == 2) { /* the only one: first and last */
            conn_put_back(h.asks, line);
            line = conn_take_line(h.asks);
        }
        line_free(line);
    }
    assert_null(conn_take_line(h.asks));
    assert_int_equal(h.asks->n_lines, 0);
    client_say(&h, fd, "3\n"); /* the list is whole after it */
    AWAIT(&h, h.n == 2);
    assert_string_equal(h.line[1], "3");
    (void)close(fd);
    house_close(&h);
}

static void of_a_client_that_was_let_go_nothing_is_looked_at(void **ctx)
{
    struct house h;
    struct conn *c;
    int fd;

    (void)ctx;
    house_open(&h);
    h.waits = true;
    fd = client_connect(&h);
    client_say(&h, fd, "one\ntwo\n");
    AWAIT(&h, h.n == 1 && h.asks->n_lines == 1);
    c = h.asks;
    conn_ref(c);
    conn_close(c);
    conn_close(c);
    c->busy = false;
    assert_null(conn_take_line(c));
    assert_int_equal(h.conns.n, 0);
    ASSERT_HEARS_THE_END(&h, fd);
    answer_line(c, "too late"); /* no error, and nothing is owed */
    assert_int_equal(c->n_owed, 0);
    conn_resume(c);
    conn_unref(c); /* the last: it is freed */
    (void)close(fd);
    house_close(&h);
}

static void clients_in_any_order_of_leaving_are_all_forgotten(void **ctx)
{
    struct house h;
    int fd[3];

    (void)ctx;
    house_open(&h);
    for (unsigned i = 0; i < 3; i++) {
        fd[i] = client_connect(&h);
        AWAIT(&h, h.conns.n == i + 1);
    }
    (void)close(fd[1]); /* the middle one, then the ends */
    AWAIT(&h, h.conns.n == 2);
    client_say(&h, fd[0], "a\n");
    client_say(&h, fd[2], "c\n");
    ASSERT_HEARS(&h, fd[0], "a");
    ASSERT_HEARS(&h, fd[2], "c");
    (void)close(fd[2]);
    AWAIT(&h, h.conns.n == 1);
    client_say(&h, fd[0], "a\n");
    ASSERT_HEARS(&h, fd[0], "a");
    (void)close(fd[0]);
    AWAIT(&h, h.conns.n == 0);
    assert_null(h.conns.first);
    house_close(&h);
}

/* The kernel says who it is: a client cannot pass for another. */
static void a_client_is_known_by_its_user(void **ctx)
{
    const struct passwd *self = getpwuid(getuid());
    char who[64];
    struct house h;
    int fd;

    (void)ctx;
    house_open(&h);
    fd = client_connect(&h);
    AWAIT(&h, h.conns.n == 1);
    assert_int_equal(h.conns.first->uid, getuid());
    if (self) {
        (void)snprintf(who, sizeof who, "%s", self->pw_name);
    } else {
        (void)snprintf(who, sizeof who, "uid %u", (unsigned)getuid());
    }
    assert_string_equal(h.conns.first->who, who);
    (void)close(fd);
    house_close(&h);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_lines_in_one_read_are_two_requests),
        cmocka_unit_test(a_line_in_pieces_is_one_request),
        cmocka_unit_test(a_line_as_long_as_may_be_is_taken_whole),
        cmocka_unit_test(a_line_over_the_limit_is_answered_and_ends_the_connection),
        cmocka_unit_test(one_client_too_many_is_told_so_and_the_others_are_served),
        cmocka_unit_test(one_user_does_not_get_all_places),
        cmocka_unit_test(the_usual_limits_are_those_that_are_documented),
        cmocka_unit_test(who_comes_while_the_daemon_ends_is_told_so),
        cmocka_unit_test(a_client_that_takes_no_byte_is_let_go),
        cmocka_unit_test(a_client_that_takes_its_time_is_not),
        cmocka_unit_test(a_line_that_is_not_finished_in_time_is_answered_and_ends_the_connection),
        cmocka_unit_test(the_time_of_a_line_ends_with_the_line),
        cmocka_unit_test(the_end_of_input_ends_it_after_the_last_answer),
        cmocka_unit_test(who_asks_nothing_and_goes_is_forgotten),
        cmocka_unit_test(lines_wait_while_a_request_is_answered_and_no_more_are_read_than_may_wait),
        cmocka_unit_test(no_line_is_looked_at_while_too_much_waits_to_go_out),
        cmocka_unit_test(answers_that_are_held_count_as_waiting_to_go_out),
        cmocka_unit_test(a_line_that_is_put_back_comes_again_before_the_others),
        cmocka_unit_test(of_a_client_that_was_let_go_nothing_is_looked_at),
        cmocka_unit_test(clients_in_any_order_of_leaving_are_all_forgotten),
        cmocka_unit_test(a_client_is_known_by_its_user),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
