/* What the service manager is told, on a socket of the test's own. */
#include "tests/cmocka_all.h"

#include "daemon/serve/net/sd.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

struct manager {
    int fd;
    char dir[64];
    char path[108];
};

/* Listens on a path, or in the abstract space on @NAME. */
static void listen_on(struct manager *m, bool abstract)
{
    struct sockaddr_un addr = {.sun_family = AF_UNIX};
    socklen_t len;

    (void)snprintf(m->dir, sizeof m->dir, "/tmp/tarn-sd-XXXXXX");
    assert_non_null(mkdtemp(m->dir));
    (void)snprintf(m->path, sizeof m->path, "%s%s/notify", abstract ? "@" : "", m->dir);
    memcpy(addr.sun_path, m->path, strlen(m->path));
    if (abstract) {
        addr.sun_path[0] = '\0';
    }
    len = (socklen_t)(offsetof(struct sockaddr_un, sun_path) + strlen(m->path));
    m->fd = socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    assert_true(m->fd >= 0);
    assert_int_equal(bind(m->fd, (struct sockaddr *)&addr, len), 0);
    assert_int_equal(setenv("NOTIFY_SOCKET", m->path, 1), 0);
}

static void assert_heard(const struct manager *m, const char *state)
{
    char buf[256] = "";
    ssize_t n = recv(m->fd, buf, sizeof buf - 1, 0);

    assert_true(n > 0);
    assert_string_equal(buf, state);
}

static void leave(struct manager *m)
{
    (void)unsetenv("NOTIFY_SOCKET");
    (void)close(m->fd);
    (void)unlink(m->path);
    assert_int_equal(rmdir(m->dir), 0);
}

static void a_state_reaches_a_socket_with_a_path(void **ctx)
{
    struct manager m;

    (void)ctx;
    listen_on(&m, false);
    sd_notify("READY=1");
    assert_heard(&m, "READY=1");
    sd_notify("STOPPING=1");
    assert_heard(&m, "STOPPING=1");
    leave(&m);
}

static void a_state_reaches_an_abstract_socket(void **ctx)
{
    struct manager m;

    (void)ctx;
    listen_on(&m, true);
    sd_notify("WATCHDOG=1");
    assert_heard(&m, "WATCHDOG=1");
    leave(&m);
}

static void a_reload_comes_with_its_time(void **ctx)
{
    struct manager m;
    char buf[256] = "";

    (void)ctx;
    listen_on(&m, false);
    sd_notify_reloading();
    assert_true(recv(m.fd, buf, sizeof buf - 1, 0) > 0);
    assert_int_equal(strncmp(buf, "RELOADING=1\nMONOTONIC_USEC=", 27), 0);
    assert_true(strtoll(buf + 27, NULL, 10) > 0);
    leave(&m);
}

static void nothing_happens_where_nobody_listens(void **ctx)
{
    char far[200];

    (void)ctx;
    (void)unsetenv("NOTIFY_SOCKET");
    sd_notify("READY=1");
    memset(far, 'x', sizeof far - 1);
    far[0] = '/';
    far[sizeof far - 1] = '\0';
    assert_int_equal(setenv("NOTIFY_SOCKET", far, 1), 0); /* longer than an address */
    sd_notify("READY=1");
    assert_int_equal(setenv("NOTIFY_SOCKET", "relative", 1), 0);
    sd_notify("READY=1");
    assert_int_equal(setenv("NOTIFY_SOCKET", "/nobody/listens/here", 1), 0);
    sd_notify("READY=1");
    (void)unsetenv("NOTIFY_SOCKET");
}

static void set_own_pid(const char *name)
{
    char pid[24];

    (void)snprintf(pid, sizeof pid, "%d", (int)getpid());
    assert_int_equal(setenv(name, pid, 1), 0);
}

static void the_watchdog_is_fed_twice_in_its_time(void **ctx)
{
    (void)ctx;
    assert_int_equal(sd_watchdog_ms(), 0);
    assert_int_equal(setenv("WATCHDOG_USEC", "30000000", 1), 0);
    assert_int_equal(sd_watchdog_ms(), 15000);
    set_own_pid("WATCHDOG_PID");
    assert_int_equal(sd_watchdog_ms(), 15000);
    assert_int_equal(setenv("WATCHDOG_PID", "1", 1), 0); /* meant for another process */
    assert_int_equal(sd_watchdog_ms(), 0);
    (void)unsetenv("WATCHDOG_PID");
    assert_int_equal(setenv("WATCHDOG_USEC", "soon", 1), 0);
    assert_int_equal(sd_watchdog_ms(), 0);
    (void)unsetenv("WATCHDOG_USEC");
}

static void a_socket_handed_to_another_process_is_not_ours(void **ctx)
{
    (void)ctx;
    assert_int_equal(sd_listen_fd(), -1);
    assert_int_equal(setenv("LISTEN_FDS", "1", 1), 0);
    assert_int_equal(sd_listen_fd(), -1);
    assert_int_equal(setenv("LISTEN_PID", "1", 1), 0);
    assert_int_equal(sd_listen_fd(), -1);
    set_own_pid("LISTEN_PID");
    assert_int_equal(sd_listen_fd(), 3);
    assert_int_equal(setenv("LISTEN_FDS", "0", 1), 0);
    assert_int_equal(sd_listen_fd(), -1);
    (void)unsetenv("LISTEN_PID");
    (void)unsetenv("LISTEN_FDS");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_state_reaches_a_socket_with_a_path),
        cmocka_unit_test(a_state_reaches_an_abstract_socket),
        cmocka_unit_test(a_reload_comes_with_its_time),
        cmocka_unit_test(nothing_happens_where_nobody_listens),
        cmocka_unit_test(the_watchdog_is_fed_twice_in_its_time),
        cmocka_unit_test(a_socket_handed_to_another_process_is_not_ours),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
