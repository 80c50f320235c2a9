/* notify_command.h - the room file's command that is told of the day's list and of new notices.
 *
 * It gets one JSON object on its standard input. One runs at a time; what comes
 * meanwhile waits, and only the latest is kept: it holds what is still true of the
 * others. How the last run went is said in `fault`. */
#ifndef TARN_SERVE_NET_NOTIFY_COMMAND_H
#define TARN_SERVE_NET_NOTIFY_COMMAND_H

#include <stdbool.h>
#include <stdint.h>
#include <uv.h>

#define NOTIFY_USUAL_MS 60000 /* chosen by us: longer than a mail takes to be handed over */

struct notify_command {
    uv_loop_t *loop;
    uint64_t timeout_ms; /* a run that takes longer is killed */
    uv_process_t process;
    uv_pipe_t input;
    uv_timer_t timer;
    uv_write_t write;
    char *text;          /* being written */
    char *waiting;       /* for the next run; NULL = none */
    char **argv_waiting; /* borrowed from the room: set it anew when the room is another */
    unsigned n_open;     /* handles not closed yet */
    bool running;
    bool stopping;
    char fault[200]; /* a sentence for a notice; "" = the last run went well */
};

/* Nothing runs yet. The loop must outlive it. */
void notify_init(struct notify_command *n, uv_loop_t *loop);

/* Runs argv (NULL = nothing) with the text (malloc'd, taken) on its input. argv must live until the
 * run. That it cannot be run is no failure of the daemon's: `fault` says so. */
void notify_run(struct notify_command *n, char **argv, char *text);

/* Ends what runs, and runs nothing more. Its handles are closed with the loop's next turns. */
void notify_stop(struct notify_command *n);

#endif
