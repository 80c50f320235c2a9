/* The socket that clients connect to: whose it is, and what becomes of one that is
 * there already. */
#include "tests/unit/a_client.h"

#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <sys/wait.h>

static void assert_refused(struct house *h, const char *path, int code, const char *words)
{
    struct listener other = {0};
    struct err e = {0};

    assert_int_equal(listener_start(&other, &h->conns, path, &e), code);
    assert_string_equal(e.msg, words);
    listener_stop(&other); /* nothing: it does not listen */
}

static void the_socket_is_for_its_user_and_group_alone(void **ctx)
{
    struct house *h = *ctx;
    struct stat st;
    mode_t before = umask(022);

    assert_int_equal(stat(h->path, &st), 0);
    assert_int_equal(st.st_mode & 0777, 0660);
    assert_int_equal(umask(before), 022); /* the process's own is as it was */
}

static void the_path_goes_with_the_listener(void **ctx)
{
    struct house *h = *ctx;
    struct stat st;

    listener_stop(&h->listener);
    assert_int_equal(stat(h->path, &st), -1);
    listener_stop(&h->listener); /* twice is as once */
}

static void a_path_where_somebody_listens_is_left_alone(void **ctx)
{
    char words[200];
    struct house *h = *ctx;
    int fd;

    (void)snprintf(words, sizeof words, "another tarnd listens on %s", h->path);
    assert_refused(h, h->path, ERR_BUSY, words);
    fd = client_connect(h);
    client_say(h, fd, "still there\n");
    ASSERT_HEARS(h, fd, "still there");
    (void)close(fd);
}

static void a_file_that_is_no_socket_is_left_alone(void **ctx)
{
    char path[100];
    char words[200];
    struct house *h = *ctx;
    struct stat st;

    (void)snprintf(path, sizeof path, "%s/file", h->dir);
    (void)close(open(path, O_WRONLY | O_CREAT | O_CLOEXEC, 0600));
    (void)snprintf(words, sizeof words, "%s is there and is no socket; name another", path);
    assert_refused(h, path, ERR_REFUSED, words);
    assert_int_equal(stat(path, &st), 0);
    assert_int_equal(unlink(path), 0);
}

static void a_folder_that_is_not_there_is_said(void **ctx)
{
    struct house *h = *ctx;

    assert_refused(h, "/nobody/is/here", -ENOENT,
                   "cannot bind /nobody/is/here: No such file or directory");
}

/* An address has room for 108 bytes with the last zero (unix(7)): libuv would cut it,
 * and say nothing. */
static void a_path_that_no_address_has_room_for_is_refused_and_not_cut(void **ctx)
{
    char path[109];
    char words[200];
    struct house *h = *ctx;

    memset(path, '/', sizeof path); /* the root folder: there, and no socket */
    path[108] = '\0';
    assert_refused(h, path, ERR_RANGE, "the socket's path has 108 bytes; at most 107 serve");
    path[107] = '\0';
    (void)snprintf(words, sizeof words, "%s is there and is no socket; name another", path);
    assert_refused(h, path, ERR_REFUSED, words);
}

/* As a daemon that was killed leaves it: a path to which nobody listens any more. */
static void a_socket_left_by_a_crash_is_taken_over(void **ctx)
{
    struct sockaddr_un addr = {.sun_family = AF_UNIX};
    struct listener other = {0};
    struct err e = {0};
    struct house *h = *ctx;
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);

    (void)snprintf(addr.sun_path, sizeof addr.sun_path, "%s/left", h->dir);
    assert_int_equal(bind(fd, (struct sockaddr *)&addr, sizeof addr), 0);
    (void)close(fd);
    assert_int_equal(listener_start(&other, &h->conns, addr.sun_path, &e), 0);
    listener_stop(&other);
}

/* In a child, where descriptor 3 is free to be the one that the manager hands over. */
static int serve_what_is_handed(void)
{
    struct sockaddr_un addr = {.sun_family = AF_UNIX};
    char dir[] = "/tmp/tarn-handed-XXXXXX";
    struct listener l = {0};
    struct conns conns;
    struct err e = {0};
    char pid[24];
    uv_loop_t loop;
    struct stat st;

    if (!mkdtemp(dir)) {
        return 1;
    }
    (void)snprintf(addr.sun_path, sizeof addr.sun_path, "%s/sock", dir);
    for (int i = 3; i < 64; i++) {
        (void)close(i);
    }
    if (socket(AF_UNIX, SOCK_STREAM, 0) != 3 ||
        bind(3, (struct sockaddr *)&addr, sizeof addr) < 0 || uv_loop_init(&loop) < 0) {
        return 2;
    }
    (void)snprintf(pid, sizeof pid, "%d", (int)getpid());
    (void)setenv("LISTEN_PID", pid, 1);
    (void)setenv("LISTEN_FDS", "1", 1);
    conns_init(&conns, &loop, NULL, NULL, NULL);
    if (listener_start(&l, &conns, "/nobody/is/here", &e) < 0 || *l.path) {
        return 3;
    }
    if (connect(socket(AF_UNIX, SOCK_STREAM, 0), (struct sockaddr *)&addr, sizeof addr) < 0) {
        return 4;
    }
    listener_stop(&l);
    (void)uv_run(&loop, UV_RUN_DEFAULT);
    if (stat(addr.sun_path, &st) < 0) { /* it is the manager's, and stays */
        return 5;
    }
    (void)unlink(addr.sun_path);
    (void)rmdir(dir);
    return 0;
}

static void a_socket_that_is_handed_over_is_used_and_left(void **ctx)
{
    int status = 0;
    pid_t pid = fork();

    (void)ctx;
    assert_true(pid >= 0);
    if (pid == 0) {
        _exit(serve_what_is_handed());
    }
    assert_int_equal(waitpid(pid, &status, 0), pid);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        HOUSE(the_socket_is_for_its_user_and_group_alone),
        HOUSE(the_path_goes_with_the_listener),
        HOUSE(a_path_where_somebody_listens_is_left_alone),
        HOUSE(a_file_that_is_no_socket_is_left_alone),
        HOUSE(a_folder_that_is_not_there_is_said),
        HOUSE(a_path_that_no_address_has_room_for_is_refused_and_not_cut),
        HOUSE(a_socket_left_by_a_crash_is_taken_over),
        cmocka_unit_test(a_socket_that_is_handed_over_is_used_and_left),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
