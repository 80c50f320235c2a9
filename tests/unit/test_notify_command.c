/* The room file's command: what it is told, one at a time, and how its failure is said. */
#include "tests/cmocka_all.h"

#include "daemon/base/mem.h"
#include "daemon/serve/net/notify_command.h"

#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

struct fixture {
    uv_loop_t loop;
    uv_timer_t guard;
    struct notify_command notify;
    char dir[64], told[96], go[96];
};

static void on_too_late(uv_timer_t *timer)
{
    (void)timer;
    fail_msg("the command did not end");
}

static int set_up(void **ctx)
{
    static struct fixture f;

    memset(&f, 0, sizeof f);
    (void)snprintf(f.dir, sizeof f.dir, "/tmp/tarn-notify-XXXXXX");
    assert_non_null(mkdtemp(f.dir));
    (void)snprintf(f.told, sizeof f.told, "%s/told", f.dir);
    (void)snprintf(f.go, sizeof f.go, "%s/go", f.dir);
    assert_int_equal(mkfifo(f.go, 0600), 0);
    assert_int_equal(uv_loop_init(&f.loop), 0);
    (void)uv_timer_init(&f.loop, &f.guard);
    (void)uv_timer_start(&f.guard, on_too_late, 60000, 0);
    uv_unref((uv_handle_t *)&f.guard);
    notify_init(&f.notify, &f.loop);
    *ctx = &f;
    return 0;
}

static int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    notify_stop(&f->notify);
    uv_close((uv_handle_t *)&f->guard, NULL);
    assert_int_equal(uv_run(&f->loop, UV_RUN_DEFAULT), 0);
    assert_int_equal(uv_loop_close(&f->loop), 0);
    (void)unlink(f->told);
    (void)unlink(f->go);
    assert_int_equal(rmdir(f->dir), 0);
    return 0;
}

/* Until nothing runs any more. */
static void await_end(struct fixture *f)
{
    while (f->notify.running) {
        (void)uv_run(&f->loop, UV_RUN_ONCE);
    }
}

/* sh -c SCRIPT TOLD GO: $0 is the file to tell in, $1 a fifo that is opened to let it go on. */
static void run(struct fixture *f, const char *script, const char *text)
{
    static char *argv[6];
    static char sh[] = "/bin/sh";
    static char c[] = "-c";
    static char words[200];

    (void)snprintf(words, sizeof words, "%s", script);
    argv[0] = sh;
    argv[1] = c;
    argv[2] = words;
    argv[3] = f->told;
    argv[4] = f->go;
    notify_run(&f->notify, argv, mem_strdup(text));
}

static void assert_told(const struct fixture *f, const char *text)
{
    char buf[1024] = "";
    FILE *in = fopen(f->told, "re");

    assert_non_null(in);
    buf[fread(buf, 1, sizeof buf - 1, in)] = 0;
    (void)fclose(in);
    assert_string_equal(buf, text);
}

#define TELL "cat >>\"$0\"; echo >>\"$0\""

static void the_command_gets_the_text_on_its_standard_input_and_then_its_end(void **ctx)
{
    struct fixture *f = *ctx;

    run(f, TELL, "{\"event\":\"day\"}"); /* cat ends only at the end of its input */
    assert_true(f->notify.running);
    await_end(f);
    assert_told(f, "{\"event\":\"day\"}\n");
    assert_string_equal(f->notify.fault, "");
}

/* Nor does it get what would let it speak to the service manager in the daemon's name. */
static void the_command_gets_the_environment_but_for_what_is_the_daemons(void **ctx)
{
    struct fixture *f = *ctx;

    assert_int_equal(setenv("NOTIFY_SOCKET", "/nowhere", 1), 0);
    assert_int_equal(setenv("WATCHDOG_USEC", "5", 1), 0);
    assert_int_equal(setenv("LISTEN_FDS", "1", 1), 0);
    assert_int_equal(setenv("TARN_TEST_MARK", "here", 1), 0);
    run(f, "echo \"$NOTIFY_SOCKET|$WATCHDOG_USEC|$LISTEN_FDS|$TARN_TEST_MARK\" >\"$0\"", "x");
    await_end(f);
    assert_told(f, "|||here\n");
    (void)unsetenv("NOTIFY_SOCKET");
    (void)unsetenv("WATCHDOG_USEC");
    (void)unsetenv("LISTEN_FDS");
}

static void one_runs_at_a_time_and_of_what_waits_the_latest_is_kept(void **ctx)
{
    struct fixture *f = *ctx;
    int fd;

    run(f, "read -r x <\"$1\"; " TELL, "first");
    run(f, TELL, "second");
    run(f, TELL, "third");
    assert_int_equal(access(f->told, F_OK), -1); /* the first has not been let go */
    fd = open(f->go, O_RDWR | O_CLOEXEC);
    assert_int_equal(write(fd, "\n", 1), 1);
    await_end(f);
    (void)close(fd);
    assert_told(f, "first\nthird\n");
}

static void a_failure_is_said_until_a_run_goes_well(void **ctx)
{
    struct fixture *f = *ctx;

    run(f, "exit 3", "x");
    await_end(f);
    assert_string_equal(f->notify.fault, "the notify command failed with exit code 3");
    run(f, "kill -15 $$", "x");
    await_end(f);
    assert_string_equal(f->notify.fault, "the notify command was ended by signal 15");
    run(f, "exit 0", "x");
    await_end(f);
    assert_string_equal(f->notify.fault, "");
}

static void a_command_that_cannot_be_run_is_said(void **ctx)
{
    static char name[] = "/nobody/is/here";
    static char *argv[] = {name, NULL};
    struct fixture *f = *ctx;

    notify_run(&f->notify, argv, mem_strdup("x"));
    await_end(f);
    assert_string_equal(
        f->notify.fault,
        "the notify command /nobody/is/here cannot be run: no such file or directory");
    run(f, TELL, "after");
    await_end(f);
    assert_told(f, "after\n");
}

static void a_command_that_does_not_end_is_killed(void **ctx)
{
    struct fixture *f = *ctx;

    assert_int_equal(f->notify.timeout_ms, 60000);
    f->notify.timeout_ms = 50;
    run(f, "read -r x <\"$1\"", "x"); /* nobody opens the other end */
    await_end(f);
    assert_string_equal(f->notify.fault, "the notify command was ended by signal 9");
}

static void more_than_a_pipe_takes_arrives_whole(void **ctx)
{
    struct fixture *f = *ctx;
    char *text = mem_array(300001, 1);
    char buf[32] = "";
    FILE *in;

    memset(text, 'x', 300000);
    run(f, "wc -c >\"$0\"", text);
    await_end(f);
    in = fopen(f->told, "re");
    assert_non_null(in);
    assert_non_null(fgets(buf, sizeof buf, in));
    (void)fclose(in);
    assert_int_equal(strtol(buf, NULL, 10), 300000);
    free(text);
}

static void a_command_may_leave_its_input_unread(void **ctx)
{
    struct fixture *f = *ctx;
    char *text = mem_array(300001, 1);

    memset(text, 'x', 300000);
    run(f, "exec <&-; exit 0", text);
    await_end(f);
    assert_string_equal(f->notify.fault, "");
    free(text);
}

static void a_room_without_a_command_runs_nothing(void **ctx)
{
    struct fixture *f = *ctx;

    notify_run(&f->notify, NULL, mem_strdup("x"));
    assert_false(f->notify.running);
}

static void at_the_end_what_runs_is_ended_and_what_waits_is_not_begun(void **ctx)
{
    struct fixture *f = *ctx;

    run(f, "read -r x <\"$1\"", "first");
    run(f, TELL, "second");
    notify_stop(&f->notify);
    await_end(f);
    run(f, TELL, "third");
    assert_false(f->notify.running);
    assert_int_equal(access(f->told, F_OK), -1);
}

/* Its number is 0, which would mean our own group. */
static void at_the_end_nobody_is_signalled_for_a_command_that_never_ran(void **ctx)
{
    static char name[] = "/nobody/is/here";
    static char *argv[] = {name, NULL};
    struct fixture *f = *ctx;

    notify_run(&f->notify, argv, mem_strdup("x"));
    notify_stop(&f->notify);
    await_end(f);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(the_command_gets_the_text_on_its_standard_input_and_then_its_end),
        TEST(the_command_gets_the_environment_but_for_what_is_the_daemons),
        TEST(one_runs_at_a_time_and_of_what_waits_the_latest_is_kept),
        TEST(a_failure_is_said_until_a_run_goes_well),
        TEST(a_command_that_cannot_be_run_is_said),
        TEST(a_command_that_does_not_end_is_killed),
        TEST(more_than_a_pipe_takes_arrives_whole),
        TEST(a_command_may_leave_its_input_unread),
        TEST(a_room_without_a_command_runs_nothing),
        TEST(at_the_end_what_runs_is_ended_and_what_waits_is_not_begun),
        TEST(at_the_end_nobody_is_signalled_for_a_command_that_never_ran),
    };

    (void)signal(SIGPIPE, SIG_IGN); /* as tarnd has it */
    return cmocka_run_group_tests(tests, NULL, NULL);
}
