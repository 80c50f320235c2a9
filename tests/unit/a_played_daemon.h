/* a_played_daemon.h - a daemon that plays a part on a socket, and `tarn` run against it.
 *
 * What it answers to each call is written down before, and what it was asked can be
 * read afterwards: so that retries, lost connections and odd answers can be tried one
 * at a time. It ends with the test, also with one that fails. */
#ifndef TARN_TESTS_A_PLAYED_DAEMON_H
#define TARN_TESTS_A_PLAYED_DAEMON_H

#include "cli/run.h"
#include "daemon/base/text.h"
#include "tests/cmocka_all.h"

#include <jansson.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

#define HELLO                                                                                      \
    "{\"protocol\":1,\"version\":\"0.1.0\",\"room\":\"Cellar\",\"simulated\":false,"               \
    "\"now\":\"2026-03-01T07:00:00+01:00\",\"units\":{\"volume\":\"L\",\"ec\":\"mS/cm\","          \
    "\"temp\":\"C\"}}"

/* What the played daemon says to each call but hello, in turn: "result" or "error"
 * and its value; "@" and a line that is sent as it stands; NULL = it hangs up. */
struct script {
    const char *hello;
    const char *answer[4];
    size_t n_answers;
};

/* A folder with the socket, and what a run of `tarn` gave. */
struct scene {
    char folder[32];
    char path[64];
    char heard[64]; /* a file with the calls that were heard */
    pid_t daemon;
    char *out, *errs;
    int code;
};

/* Sends one reply to the call `id`, in two writes: a client that reads half a line
 * waits for more. */
static inline void reply(FILE *to, json_int_t id, const char *said)
{
    if (*said == '@') {
        (void)fprintf(to, "%s\n", said + 1);
    } else {
        (void)fprintf(to, "{\"jsonrpc\":\"2.0\",");
        (void)fflush(to);
        (void)fprintf(to, "\"id\":%lld,%s}\n", (long long)id, said);
    }
    (void)fflush(to);
}

/* Plays until the client hangs up, or until the part says to. Returns how many answers are used. */
static inline size_t play_connection(int fd, const struct script *part, size_t at, FILE *heard)
{
    FILE *from = fdopen(fd, "r");
    FILE *to = fdopen(dup(fd), "w");
    char *line = NULL;
    size_t cap = 0;
    bool on = true;

    while (on && getline(&line, &cap, from) > 0) {
        json_t *call = json_loads(line, 0, NULL);
        const char *method = json_string_value(json_object_get(call, "method"));
        json_int_t id = json_integer_value(json_object_get(call, "id"));

        if (strcmp(method, "hello") == 0) {
            reply(to, id, part->hello);
        } else {
            char *params =
                json_dumps(json_object_get(call, "params"), JSON_COMPACT | JSON_REAL_PRECISION(15));

            (void)fprintf(heard, "%s %s\n", method, params);
            (void)fflush(heard);
            free(params);
            on = at < part->n_answers && part->answer[at] != NULL;
            if (on) {
                reply(to, id, part->answer[at]);
            }
            at++;
        }
        json_decref(call);
    }
    free(line);
    (void)fclose(from);
    (void)fclose(to);
    return at;
}

/* Plays to one client after the other, and never returns. */
static inline void play(int listener, const struct script *part, const char *heard_path)
{
    FILE *heard = fopen(heard_path, "we");
    size_t at = 0;

    while (true) {
        int fd = accept(listener, NULL, NULL);

        if (fd < 0) {
            _exit(1);
        }
        at = play_connection(fd, part, at, heard);
    }
}

/* Makes the folder, and starts the daemon in a child; NULL = there is none. */
static inline void scene_open(struct scene *s, const struct script *part)
{
    struct sockaddr_un to = {.sun_family = AF_UNIX};
    int listener;

    *s = (struct scene){0};
    (void)snprintf(s->folder, sizeof s->folder, "/tmp/tarn-cli-XXXXXX");
    assert_non_null(mkdtemp(s->folder));
    (void)snprintf(s->path, sizeof s->path, "%s/sock", s->folder);
    (void)snprintf(s->heard, sizeof s->heard, "%s/heard", s->folder);
    if (!part) {
        return;
    }
    memcpy(to.sun_path, s->path, strlen(s->path));
    listener = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_true(listener >= 0);
    assert_int_equal(bind(listener, (struct sockaddr *)&to, sizeof to), 0);
    assert_int_equal(listen(listener, 8), 0);
    s->daemon = fork();
    assert_true(s->daemon >= 0);
    if (s->daemon == 0) {
        /* A test that fails never closes the scene: the daemon ends with it all the same. */
        (void)prctl(PR_SET_PDEATHSIG, SIGKILL);
        play(listener, part, s->heard);
    }
    assert_int_equal(close(listener), 0);
}

/* Runs the words (split at blanks) with --socket in front. */
static inline void tarn(struct scene *s, const char *line)
{
    char words[400];
    char *argv[20] = {words};
    char *rest = NULL;
    int argc = 0;
    size_t len;
    FILE *out = open_memstream(&s->out, &len);
    FILE *errs = open_memstream(&s->errs, &len);

    (void)snprintf(words, sizeof words, "tarn --socket %s %s", s->path, line);
    for (char *w = strtok_r(words, " ", &rest); w; w = strtok_r(NULL, " ", &rest)) {
        assert_true(argc < 20);
        argv[argc++] = w;
    }
    s->code = run(argc, argv, out, errs);
    assert_int_equal(fclose(out), 0);
    assert_int_equal(fclose(errs), 0);
}

/* The same without a daemon, for what needs none. */
static inline void tarn_alone(struct scene *s, const char *line)
{
    scene_open(s, NULL);
    tarn(s, line);
}

/* The calls but hello, a line each: "method params". The caller frees it. */
static inline char *heard(const struct scene *s)
{
    FILE *f = fopen(s->heard, "re");
    struct text t = {0};
    int c;

    assert_non_null(f);
    while ((c = fgetc(f)) != EOF) {
        text_add(&t, "%c", c);
    }
    (void)fclose(f);
    return text_take(&t);
}

/* Ends the daemon, removes the folder and frees what the run gave. */
static inline void scene_close(struct scene *s)
{
    if (s->daemon) {
        assert_int_equal(kill(s->daemon, SIGKILL), 0);
        assert_int_equal(waitpid(s->daemon, NULL, 0), s->daemon);
    }
    (void)unlink(s->path);
    (void)unlink(s->heard);
    assert_int_equal(rmdir(s->folder), 0);
    free(s->out);
    free(s->errs);
}

#endif
