/* hook.h - the room file's command that is told of the day's list and of new notices.
 *
 * It gets one JSON object on its standard input. One runs at a time; what comes meanwhile waits,
 * and only the latest is kept. It is ended after HOOK_MS. How it went is said in `fault`. */
#ifndef TARN_SERVE_HOOK_H
#define TARN_SERVE_HOOK_H

#include <stdbool.h>
#include <uv.h>

#define HOOK_MS 60000

struct hook {
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

void hook_init(struct hook *h, uv_loop_t *loop);

/* Runs argv (NULL = nothing) with the text (taken) on its input. argv must live until the run. */
void hook_run(struct hook *h, char **argv, char *text);
void hook_stop(struct hook *h);

#endif
