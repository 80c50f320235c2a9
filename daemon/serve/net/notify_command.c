#include "daemon/serve/net/notify_command.h"

#include "daemon/base/mem.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void notify_init(struct notify_command *h, uv_loop_t *loop)
{
    memset(h, 0, sizeof *h);
    h->loop = loop;
}

static void on_closed(uv_handle_t *handle)
{
    struct notify_command *h = handle->data;
    char *next = h->waiting;

    if (--h->n_open > 0) {
        return;
    }
    free(h->text);
    h->text = NULL;
    h->running = false;
    h->waiting = NULL;
    if (next && !h->stopping) {
        notify_run(h, h->argv_waiting, next);
    } else {
        free(next);
    }
}

static void close_all(struct notify_command *h)
{
    uv_handle_t *all[] = {(uv_handle_t *)&h->process, (uv_handle_t *)&h->input,
                          (uv_handle_t *)&h->timer};

    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        if (!uv_is_closing(all[i])) {
            uv_close(all[i], on_closed);
        }
    }
}

static void on_exit_(uv_process_t *process, int64_t status, int signal_number)
{
    struct notify_command *h = process->data;

    h->fault[0] = '\0';
    if (signal_number) {
        (void)snprintf(h->fault, sizeof h->fault, "the notify command was ended by signal %d",
                       signal_number);
    } else if (status != 0) {
        (void)snprintf(h->fault, sizeof h->fault, "the notify command failed with exit code %lld",
                       (long long)status);
    }
    close_all(h);
}

static void on_timeout(uv_timer_t *timer)
{
    struct notify_command *h = timer->data;

    (void)uv_process_kill(&h->process, SIGKILL);
}

static void on_written(uv_write_t *req, int status)
{
    struct notify_command *h = req->data;

    (void)status; /* a command that does not read its input is its own affair */
    if (!uv_is_closing((uv_handle_t *)&h->input)) {
        uv_close((uv_handle_t *)&h->input, on_closed);
    }
}

static void start(struct notify_command *h, char **argv)
{
    uv_stdio_container_t io[3] = {
        {.flags = UV_CREATE_PIPE | UV_READABLE_PIPE, .data.stream = (uv_stream_t *)&h->input},
        {.flags = UV_INHERIT_FD,                     .data.fd = 2                           },
        {.flags = UV_INHERIT_FD,                     .data.fd = 2                           },
    };
    uv_process_options_t options = {
        .exit_cb = on_exit_, .file = argv[0], .args = argv, .stdio = io, .stdio_count = 3};
    uv_buf_t buf = uv_buf_init(h->text, (unsigned)strlen(h->text));
    int rc = uv_spawn(h->loop, &h->process, &options);

    if (rc < 0) {
        (void)snprintf(h->fault, sizeof h->fault, "the notify command %.80s cannot be run: %s",
                       argv[0], uv_strerror(rc));
        close_all(h);
        return;
    }
    h->write.data = h;
    (void)uv_timer_start(&h->timer, on_timeout, NOTIFY_MS, 0);
    if (uv_write(&h->write, (uv_stream_t *)&h->input, &buf, 1, on_written) < 0) {
        uv_close((uv_handle_t *)&h->input, on_closed);
    }
}

void notify_run(struct notify_command *h, char **argv, char *text)
{
    if (!argv || h->stopping) {
        free(text);
        return;
    }
    if (h->running) {
        free(h->waiting);
        h->waiting = text;
        h->argv_waiting = argv;
        return;
    }
    h->running = true;
    h->n_open = 3;
    h->text = text;
    (void)uv_pipe_init(h->loop, &h->input, 0);
    (void)uv_timer_init(h->loop, &h->timer);
    h->process.data = h;
    h->input.data = h;
    h->timer.data = h;
    start(h, argv);
}

void notify_stop(struct notify_command *h)
{
    h->stopping = true;
    free(h->waiting);
    h->waiting = NULL;
    if (h->running) {
        (void)uv_process_kill(&h->process, SIGTERM);
        close_all(h);
    }
}
