/* What waits on a connection: lines while one is answered, answers that a client does not take, and
 * what becomes of them when it goes. */
#include "tests/unit/a_client.h"

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
    struct house *h = *ctx;
    int fd;

    h->conns.limits.stall_ms = 50;
    h->waits = true;
    fd = client_connect(h);
    client_say(h, fd, "all\n");
    AWAIT(h, h->n == 1);
    answer_line(h->asks, text);
    AWAIT(h, h->conns.n == 0);
    free(text);
    (void)close(fd);
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
    struct house *h = *ctx;
    struct reader r = {.left = (2 << 20) + 1};

    h->conns.limits.stall_ms = 300;
    h->waits = true;
    r.fd = client_connect(h);
    client_say(h, r.fd, "all\n");
    AWAIT(h, h->n == 1);
    answer_line(h->asks, text);
    (void)uv_timer_init(&h->loop, &r.timer);
    r.timer.data = &r;
    (void)uv_timer_start(&r.timer, on_tick, 20, 20);
    AWAIT(h, uv_is_closing((uv_handle_t *)&r.timer));
    assert_int_equal(r.left, 0);
    assert_int_equal(h->conns.n, 1);
    assert_int_equal(h->conns.first->n_owed, 0);
    assert_false(uv_is_active((uv_handle_t *)&h->conns.first->stall_timer));
    free(text);
    (void)close(r.fd);
    settle(h); /* its timer is closed while it stands */
}

static void the_end_of_input_ends_it_after_the_last_answer(void **ctx)
{
    struct house *h = *ctx;
    int fd;

    h->waits = true;
    fd = client_connect(h);
    client_say(h, fd, "one\ntwo\nlast");
    assert_int_equal(shutdown(fd, SHUT_WR), 0);
    AWAIT(h, h->n == 1 && h->conns.first->no_more);
    for (unsigned i = 0; i < 3; i++) {
        static const char *const lines[] = {"one", "two", "last"};

        assert_int_equal(h->n, i + 1);
        assert_string_equal(h->line[i], lines[i]); /* the last may do without its newline */
        settle(h);
        assert_int_equal(h->conns.n, 1); /* it is owed an answer */
        h->asks->busy = false;
        answer_line(h->asks, lines[i]);
        ASSERT_HEARS(h, fd, lines[i]);
        settle(h);
    }
    ASSERT_HEARS_THE_END(h, fd);
    assert_int_equal(h->conns.n, 0);
    (void)close(fd);
}

static void lines_wait_while_a_request_is_answered_and_no_more_are_read_than_may_wait(void **ctx)
{
    struct house *h = *ctx;
    int fd;

    h->conns.limits.lines = 3;
    h->waits = true;
    fd = client_connect(h);
    client_say(h, fd, "0\n");
    AWAIT(h, h->n == 1);
    client_say(h, fd, "1\n2\n");
    AWAIT(h, h->asks->n_lines == 2);
    assert_true(h->asks->reading);
    client_say(h, fd, "3\n");
    AWAIT(h, h->asks->n_lines == 3);
    assert_false(h->asks->reading);
    client_say(h, fd, "4\n");
    settle(h);
    assert_int_equal(h->asks->n_lines, 3);
    assert_int_equal(h->n, 1); /* one at a time */
    h->waits = false;
    h->asks->busy = false;
    answer_line(h->asks, "0");
    for (int i = 0; i < 5; i++) {
        char want[2] = {(char)('0' + i), '\0'};

        ASSERT_HEARS(h, fd, want);
    }
    (void)close(fd);
}

static void no_line_is_looked_at_while_too_much_waits_to_go_out(void **ctx)
{
    char *text = much(4 << 20);
    struct house *h = *ctx;
    char buf[65536];
    size_t left = (4 << 20) + 1;
    int fd;

    h->waits = true;
    fd = client_connect(h);
    client_say(h, fd, "all\n");
    AWAIT(h, h->n == 1);
    answer_line(h->asks, text);
    h->waits = false;
    h->asks->busy = false;
    client_say(h, fd, "next\n");
    settle(h);
    assert_int_equal(h->n, 1);
    while (left > 0) {
        ssize_t n = recv(fd, buf, left < sizeof buf ? left : sizeof buf, 0);

        if (n > 0) {
            left -= (size_t)n;
        } else {
            await_client(h, fd);
        }
    }
    ASSERT_HEARS(h, fd, "next");
    free(text);
    (void)close(fd);
}

static void answers_that_are_held_count_as_waiting_to_go_out(void **ctx)
{
    struct house *h = *ctx;
    struct line *line;
    int fd;

    h->waits = true;
    fd = client_connect(h);
    client_say(h, fd, "one\ntwo\n");
    AWAIT(h, h->n == 1 && h->asks->n_lines == 1);
    h->asks->busy = false;
    h->asks->held_len = h->conns.limits.out_len + 1;
    assert_null(conn_take_line(h->asks));
    h->asks->held_len = h->conns.limits.out_len;
    line = conn_take_line(h->asks);
    assert_non_null(line);
    line_free(line);
    (void)close(fd);
}

static void a_line_that_is_put_back_comes_again_before_the_others(void **ctx)
{
    struct house *h = *ctx;
    struct line *line;
    int fd;

    h->waits = true;
    fd = client_connect(h);
    client_say(h, fd, "0\n1\n2\n");
    AWAIT(h, h->n == 1 && h->asks->n_lines == 2);
    h->asks->busy = false;
    line = conn_take_line(h->asks);
    assert_string_equal(line->text, "1");
    conn_put_back(h->asks, line);
    assert_int_equal(h->asks->n_lines, 2);
    for (int i = 1; i <= 2; i++) {
        line = conn_take_line(h->asks);
        assert_int_equal(line->text[0], '0' + i);
        if (i == 2) { /* the only one: first and last */
            conn_put_back(h->asks, line);
            line = conn_take_line(h->asks);
        }
        line_free(line);
    }
    assert_null(conn_take_line(h->asks));
    assert_int_equal(h->asks->n_lines, 0);
    client_say(h, fd, "3\n"); /* the list is whole after it */
    AWAIT(h, h->n == 2);
    assert_string_equal(h->line[1], "3");
    (void)close(fd);
}

static void of_a_client_that_was_let_go_nothing_is_looked_at(void **ctx)
{
    struct house *h = *ctx;
    struct conn *c;
    int fd;

    h->waits = true;
    fd = client_connect(h);
    client_say(h, fd, "one\ntwo\n");
    AWAIT(h, h->n == 1 && h->asks->n_lines == 1);
    c = h->asks;
    conn_ref(c);
    conn_close(c);
    conn_close(c);
    c->busy = false;
    assert_null(conn_take_line(c));
    assert_int_equal(h->conns.n, 0);
    ASSERT_HEARS_THE_END(h, fd);
    answer_line(c, "too late"); /* no error, and nothing is owed */
    assert_int_equal(c->n_owed, 0);
    conn_resume(c);
    conn_unref(c); /* the last: it is freed */
    (void)close(fd);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        HOUSE(a_client_that_takes_no_byte_is_let_go),
        HOUSE(a_client_that_takes_its_time_is_not),
        HOUSE(the_end_of_input_ends_it_after_the_last_answer),
        HOUSE(lines_wait_while_a_request_is_answered_and_no_more_are_read_than_may_wait),
        HOUSE(no_line_is_looked_at_while_too_much_waits_to_go_out),
        HOUSE(answers_that_are_held_count_as_waiting_to_go_out),
        HOUSE(a_line_that_is_put_back_comes_again_before_the_others),
        HOUSE(of_a_client_that_was_let_go_nothing_is_looked_at),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
