/* No reply tells of what is not in the journal yet; they leave in their order. */
#include "tests/unit/a_client.h"

#include "daemon/serve/net/held_replies.h"

struct fixture {
    struct house house;
    struct held_replies held;
    struct conn *conn;
    int fd;
};

static int set_up(void **ctx)
{
    static struct fixture f;

    memset(&f, 0, sizeof f);
    house_open(&f.house);
    f.fd = client_connect(&f.house);
    AWAIT(&f.house, f.house.conns.n == 1);
    f.conn = f.house.conns.first;
    *ctx = &f;
    return 0;
}

static int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    assert_null(f->held.first);
    assert_null(f->held.last);
    (void)close(f->fd);
    house_close(&f->house);
    return 0;
}

static void reply(struct fixture *f, json_int_t id, const char *text)
{
    json_t *of = json_integer(id);
    char *line = mem_array(strlen(text) + 2, 1);

    (void)snprintf(line, strlen(text) + 2, "%s\n", text);
    held_replies_add(&f->held, f->conn, of, line);
    json_decref(of);
}

static void assert_silence(struct fixture *f)
{
    char byte;

    settle(&f->house);
    assert_int_equal(recv(f->fd, &byte, 1, MSG_DONTWAIT), -1);
}

static void a_reply_leaves_at_once_when_all_is_written(void **ctx)
{
    struct fixture *f = *ctx;

    reply(f, 1, "one");
    assert_int_equal(f->conn->held_len, 0);
    ASSERT_HEARS(&f->house, f->fd, "one");
    settle(&f->house);
    assert_int_equal(f->conn->n_owed, 0);
}

static void a_reply_waits_for_what_was_submitted_before_it(void **ctx)
{
    struct fixture *f = *ctx;

    f->held.n_submitted = 2;
    f->held.n_done = 1;
    reply(f, 1, "one");
    assert_silence(f);
    assert_int_equal(f->conn->held_len, 4);
    assert_int_equal(f->conn->n_owed, 1);
    f->held.n_submitted = 3; /* what comes after it does not matter to it */
    reply(f, 2, "two");
    f->held.n_done = 2;
    held_replies_release(&f->held);
    ASSERT_HEARS(&f->house, f->fd, "one");
    assert_silence(f);
    assert_int_equal(f->conn->held_len, 4);
    f->held.n_done = 3;
    held_replies_release(&f->held);
    ASSERT_HEARS(&f->house, f->fd, "two");
}

static void replies_leave_in_the_order_in_which_they_came(void **ctx)
{
    struct fixture *f = *ctx;

    f->held.n_submitted = 1;
    reply(f, 1, "one");
    reply(f, 2, "two");
    reply(f, 3, "three");
    f->held.n_done = 1;
    held_replies_release(&f->held);
    ASSERT_HEARS(&f->house, f->fd, "one");
    ASSERT_HEARS(&f->house, f->fd, "two");
    ASSERT_HEARS(&f->house, f->fd, "three");
}

/* The disk was full: nobody is told of what is not there. */
static void of_a_write_that_failed_all_who_wait_are_told(void **ctx)
{
    struct fixture *f = *ctx;
    struct err e = {0};

    (void)err_set(&e, ERR_FULL, "the disk is full; nothing was taken");
    f->held.n_submitted = 5;
    reply(f, 1, "taken as 17");
    reply(f, 2, "taken as 18");
    held_replies_fail(&f->held, &e);
    ASSERT_HEARS(&f->house, f->fd,
                 "{\"jsonrpc\":\"2.0\",\"id\":1,\"error\":{\"code\":-32002,\"message\":"
                 "\"the disk is full; nothing was taken\"}}");
    ASSERT_HEARS(&f->house, f->fd,
                 "{\"jsonrpc\":\"2.0\",\"id\":2,\"error\":{\"code\":-32002,\"message\":"
                 "\"the disk is full; nothing was taken\"}}");
    assert_int_equal(f->conn->held_len, 0);
}

static void of_a_client_that_has_gone_nothing_is_left(void **ctx)
{
    struct fixture *f = *ctx;

    f->held.n_submitted = 1;
    reply(f, 1, "one");
    conn_close(f->conn);
    settle(&f->house);
    assert_int_equal(f->conn->n_refs, 1); /* the reply's */
    f->held.n_done = 1;
    held_replies_release(&f->held);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_reply_leaves_at_once_when_all_is_written),
        TEST(a_reply_waits_for_what_was_submitted_before_it),
        TEST(replies_leave_in_the_order_in_which_they_came),
        TEST(of_a_write_that_failed_all_who_wait_are_told),
        TEST(of_a_client_that_has_gone_nothing_is_left),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
