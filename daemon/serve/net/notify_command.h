/* notify_command.h - the room file's command that is told of the day's list and of new notices.
 *
 * It gets one JSON object on its standard input. One runs at a time; what comes meanwhile waits,
 * and only the latest is kept. It is ended after NOTIFY_MS. How it went is said in `fault`. */
#ifndef TARN_SERVE_NET_NOTIFY_COMMAND_H
#define TARN_SERVE_NET_NOTIFY_COMMAND_H

#include <stdbool.h>
#include <uv.h>

#define NOTIFY_MS 60000

struct notify_command {
    uv_loop_t *loop;
    uv_process_t process;
    uv_pipe_t input;
    uv_timer_t timer;
    uv_write_t write;
    char *text;          /* being written */
    char *waiting;       /* for the next run; NULL = none */
    char **argv_waiting; /* borrowed from the room */
    unsigned n_open;     /* handles not closed yet */
    bool running;
    bool stopping;
    char fault[200]; /* "" = the last run went well */
};

void notify_init(struct notify_command *h, uv_loop_t *loop);

/* Runs argv (NULL = nothing) with the text (taken) on its input. argv must live until the run. */
void notify_run(struct notify_command *h, char **argv, char *text);
void notify_stop(struct notify_command *h);

#endif
