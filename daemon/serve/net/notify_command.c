#include "daemon/serve/net/notify_command.h"

#include "daemon/base/mem.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

void notify_init(struct notify_command *n, uv_loop_t *loop)
{
    *n = (struct notify_command){.loop = loop, .timeout_ms = NOTIFY_USUAL_MS};
}

static void on_closed(uv_handle_t *handle)
{
    struct notify_command *n = handle->data;
    char *next = n->waiting;

    if (--n->n_open > 0) {
        return;
    }
    free(n->text);
    n->text = NULL;
    n->running = false;
    n->waiting = NULL;
    if (next && !n->stopping) {
        notify_run(n, n->argv_waiting, next);
    } else {
        free(next);
    }
}

static void close_all(struct notify_command *n)
{
    uv_handle_t *all[] = {(uv_handle_t *)&n->process, (uv_handle_t *)&n->input,
                          (uv_handle_t *)&n->timer};

    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        if (!uv_is_closing(all[i])) {
            uv_close(all[i], on_closed);
        }
    }
}

static void on_ended(uv_process_t *process, int64_t status, int signal_number)
{
    struct notify_command *n = process->data;

    n->fault[0] = '\0';
    if (signal_number) {
        (void)snprintf(n->fault, sizeof n->fault, "the notify command was ended by signal %d",
                       signal_number);
    } else if (status != 0) {
        (void)snprintf(n->fault, sizeof n->fault, "the notify command failed with exit code %lld",
                       (long long)status);
    }
    close_all(n);
}

static void on_timeout(uv_timer_t *timer)
{
    struct notify_command *n = timer->data;

    (void)uv_process_kill(&n->process, SIGKILL); /* on_ended says what became of it */
}

static void on_written(uv_write_t *req, int status)
{
    struct notify_command *n = req->data;

    (void)status; /* a command that does not read its input is its own affair */
    if (!uv_is_closing((uv_handle_t *)&n->input)) {
        uv_close((uv_handle_t *)&n->input, on_closed);
    }
}

/* What the service manager tells this process is not for others: with the socket's name one could
 * say that the daemon is well, or ends. */
static bool is_for_us(const char *variable)
{
    static const char *const ours[] = {"NOTIFY_SOCKET=",  "WATCHDOG_",         "LISTEN_",
                                       "MAINPID=",        "MANAGERPID=",       "INVOCATION_ID=",
                                       "JOURNAL_STREAM=", "SYSTEMD_EXEC_PID=", "CREDENTIALS_"};

    for (size_t i = 0; i < sizeof ours / sizeof *ours; i++) {
        if (strncmp(variable, ours[i], strlen(ours[i])) == 0) {
            return true;
        }
    }
    return false;
}

/* The environment without those; the texts are borrowed. */
static char **environment(void)
{
    size_t n = 0;
    size_t kept = 0;
    char **env;

    while (environ && environ[n]) {
        n++;
    }
    env = mem_array(n + 1, sizeof *env);
    for (size_t i = 0; i < n; i++) {
        if (!is_for_us(environ[i])) {
            env[kept++] = environ[i];
        }
    }
    return env;
}

static void start_command(struct notify_command *n, char **argv)
{
    uv_stdio_container_t io[3] = {
        {.flags = UV_CREATE_PIPE | UV_READABLE_PIPE, .data.stream = (uv_stream_t *)&n->input},
        {.flags = UV_INHERIT_FD,                     .data.fd = 2                           },
        {.flags = UV_INHERIT_FD,                     .data.fd = 2                           },
    };
    uv_process_options_t options = {
        .exit_cb = on_ended, .file = argv[0], .args = argv, .stdio = io, .stdio_count = 3};
    uv_buf_t buf = uv_buf_init(n->text, (unsigned)strlen(n->text));
    int rc;

    options.env = environment();
    rc = uv_spawn(n->loop, &n->process, &options);
    free(options.env);
    if (rc < 0) {
        (void)snprintf(n->fault, sizeof n->fault, "the notify command %.80s cannot be run: %s",
                       argv[0], uv_strerror(rc));
        close_all(n);
        return;
    }
    n->write.data = n;
    (void)uv_timer_start(&n->timer, on_timeout, n->timeout_ms, 0);
    if (uv_write(&n->write, (uv_stream_t *)&n->input, &buf, 1, on_written) < 0) {
        uv_close((uv_handle_t *)&n->input, on_closed);
    }
}

void notify_run(struct notify_command *n, char **argv, char *text)
{
    if (!argv || n->stopping) {
        free(text);
        return;
    }
    if (n->running) {
        free(n->waiting);
        n->waiting = text;
        n->argv_waiting = argv;
        return;
    }
    n->running = true;
    n->n_open = 3; /* process, input and timer: the next run waits until all are closed */
    n->text = text;
    (void)uv_pipe_init(n->loop, &n->input, 0);
    (void)uv_timer_init(n->loop, &n->timer);
    n->process.data = n;
    n->input.data = n;
    n->timer.data = n;
    start_command(n, argv);
}

void notify_stop(struct notify_command *n)
{
    n->stopping = true;
    free(n->waiting);
    n->waiting = NULL;
    if (n->running) {
        if (!uv_is_closing(
                (uv_handle_t *)&n->process)) { /* else its number is another's, or 0: us */
            (void)uv_process_kill(&n->process, SIGTERM);
        }
        close_all(n);
    }
}
