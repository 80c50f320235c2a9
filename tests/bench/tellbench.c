/* tellbench --socket PATH [--clients N] [--seconds S] [--subjects T1,T2] [--at TIME]
 * tellbench --socket PATH --readings N [--clients N] [--seconds S]
 * tellbench --socket PATH --look [--seconds S]
 * tellbench --socket PATH --line REQUEST [--queue N] [--clients N] [--seconds S]
 * tellbench --socket PATH --idle [--clients N] [--seconds S]
 *
 * What a running tarnd does for clients that each wait for their answer before they ask again. The
 * first form tells readings, each with a key of its own, and prints how many a second were
 * acknowledged; --at tells them as of that instant, so late. The second is a sensor's script that
 * hands in so many readings at once. The third is one person who looks at the status ten times a
 * second, and prints how long it took: half of the answers, 99 of 100, the longest. The others load
 * the daemon meanwhile: with a request of one's own, so many of it sent at once; or with
 * connections on which nothing is said. */
#include "daemon/base/num.h"

#include <getopt.h>
#include <poll.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <time.h>
#include <unistd.h>

#define CLIENTS_MAX 64
#define TIMES_MAX   200000
#define LOOK_MS     100
#define REQUEST_MAX 65536 /* tarnd takes no longer one */

struct client {
    int fd;
    int n_due; /* answers */
    double asked_s;
};

struct bench {
    const char *socket, *at, *line;
    int queue;
    int n_readings; /* in a request; 0 = one is told by itself */
    bool idle;
    char subject[32][32];
    int n_subjects;
    struct client client[CLIENTS_MAX];
    int n;
    double seconds;
    bool looks;
    double took_s[TIMES_MAX];
    int n_took;
    long n_refused, n_asked;
};

static double now_s(void)
{
    struct timespec t;

    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static bool join(struct bench *b, struct client *c)
{
    struct sockaddr_un to = {.sun_family = AF_UNIX};

    (void)snprintf(to.sun_path, sizeof to.sun_path, "%s", b->socket);
    c->fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    return c->fd >= 0 && connect(c->fd, (const struct sockaddr *)&to, sizeof to) == 0;
}

static const char *next_subject(const struct bench *b, long i)
{
    return b->subject[b->n_subjects ? i % b->n_subjects : 0];
}

static int write_readings(const struct bench *b, char line[REQUEST_MAX])
{
    int n = snprintf(line, REQUEST_MAX,
                     "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"readings\",\"params\":{"
                     "\"readings\":[");

    for (int i = 0; i < b->n_readings && n < REQUEST_MAX; i++) {
        n += snprintf(line + n, (size_t)(REQUEST_MAX - n),
                      "%s{\"subject\":\"%s\",\"ph\":\"5.9\",\"ec\":\"1.6 mS/cm\"}", i ? "," : "",
                      next_subject(b, i));
    }
    return n < REQUEST_MAX ? n + snprintf(line + n, (size_t)(REQUEST_MAX - n), "]}}\n") : n;
}

static int write_reading(const struct bench *b, char line[REQUEST_MAX])
{
    static unsigned long key;

    return snprintf(line, REQUEST_MAX,
                    "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"record\",\"params\":{\"kind\":"
                    "\"reading\",\"key\":\"bench-%d-%lu\",\"sure\":true%s%s%s,"
                    "\"subjects\":{\"%s\":{\"ph\":\"5.9\"}}}}\n",
                    (int)getpid(), key++, b->at ? ",\"at\":\"" : "", b->at ? b->at : "",
                    b->at ? "\"" : "", next_subject(b, b->n_asked));
}

static int write_request(const struct bench *b, char line[REQUEST_MAX])
{
    if (b->line) {
        return snprintf(line, REQUEST_MAX, "%s\n", b->line);
    }
    if (b->looks) {
        return snprintf(line, REQUEST_MAX,
                        "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"status\",\"params\":{}}\n");
    }
    return b->n_readings ? write_readings(b, line) : write_reading(b, line);
}

static bool ask(struct bench *b, struct client *c)
{
    static char line[REQUEST_MAX];
    int n = write_request(b, line);

    if (n >= REQUEST_MAX) {
        (void)fputs("tellbench: the request is longer than 65536 bytes\n", stderr);
        return false;
    }
    b->n_asked++;
    c->n_due = b->queue;
    c->asked_s = now_s();
    for (int i = 1; i < b->queue; i++) {
        if (write(c->fd, line, (size_t)n) != n) {
            return false;
        }
    }
    return write(c->fd, line, (size_t)n) == n;
}

/* An error, or words where null says that a reading was taken. */
static bool is_refused(const char *answer)
{
    const char *verdict = strstr(answer, "\"refused\":[");

    verdict = verdict ? strpbrk(strchr(verdict, '['), "\"]") : NULL;
    return strstr(answer, "\"error\"") || (verdict && *verdict == '"');
}

/* 1 = the last answer is whole, 0 = there is more to come, -1 = it hung up. */
static int hear(struct bench *b, struct client *c)
{
    char got[65536];
    ssize_t n = read(c->fd, got, sizeof got - 1);

    if (n <= 0) {
        return -1;
    }
    got[n] = '\0';
    if (is_refused(got) && b->n_refused++ == 0) {
        (void)fprintf(stderr, "tellbench: %.200s\n", got);
    }
    for (ssize_t i = 0; i < n; i++) {
        c->n_due -= got[i] == '\n';
    }
    if (c->n_due > 0) {
        return 0;
    }
    if (b->n_took < TIMES_MAX) {
        b->took_s[b->n_took++] = now_s() - c->asked_s;
    }
    return 1;
}

static int by_size(const void *a, const void *b)
{
    double d = *(const double *)a - *(const double *)b;

    return (d > 0) - (d < 0);
}

static void print(struct bench *b, double took_s)
{
    qsort(b->took_s, (size_t)b->n_took, sizeof *b->took_s, by_size);
    if (b->n_took == 0) {
        (void)puts("no answer");
        return;
    }
    (void)printf("%7d answers of %d client%s, %8.0f a second; ms: half %.1f, 99 of 100 %.1f, "
                 "longest %.1f; refused %ld\n",
                 b->n_took, b->n, b->n == 1 ? "" : "s", b->n_took / took_s,
                 1e3 * b->took_s[b->n_took / 2], 1e3 * b->took_s[b->n_took * 99 / 100],
                 1e3 * b->took_s[b->n_took - 1], b->n_refused);
    if (b->n_readings) {
        (void)printf("%7d readings in each, %8.0f readings a second\n", b->n_readings,
                     (double)b->n_readings * b->n_took / took_s);
    }
}

static int run(struct bench *b)
{
    struct pollfd p[CLIENTS_MAX];
    double from_s = now_s();
    double to_s = from_s + b->seconds;

    for (int i = 0; i < b->n; i++) {
        if (!join(b, &b->client[i]) || (!b->idle && !ask(b, &b->client[i]))) {
            perror("tellbench: no daemon");
            return 1;
        }
        p[i] = (struct pollfd){.fd = b->client[i].fd, .events = POLLIN};
    }
    while (now_s() < to_s) {
        int n = poll(p, (nfds_t)b->n, 1000);

        for (int i = 0; i < b->n && n > 0; i++) {
            int rc = p[i].revents ? hear(b, &b->client[i]) : 0;

            if (rc == 1 && b->looks) {
                (void)usleep(LOOK_MS * 1000);
            }
            if (rc < 0 && b->idle) {
                p[i].fd = -1; /* it may let go of who says nothing */
            } else if (rc < 0 || (rc == 1 && !ask(b, &b->client[i]))) {
                (void)fputs("tellbench: the daemon hung up\n", stderr);
                return 1;
            }
        }
    }
    if (b->idle) {
        return 0;
    }
    if (b->looks) { /* the one that is still open counts as well */
        b->took_s[b->n_took++] = now_s() - b->client[0].asked_s;
    }
    print(b, now_s() - from_s);
    return 0;
}

static void read_subjects(struct bench *b, char *list)
{
    char *rest = list;

    for (char *name; (name = strtok_r(rest, ",", &rest)) != NULL && b->n_subjects < 32;) {
        (void)snprintf(b->subject[b->n_subjects++], sizeof *b->subject, "%s", name);
    }
}

int main(int argc, char **argv)
{
    static const struct option options[] = {
        {"socket",   required_argument, NULL, 's'},
        {"clients",  required_argument, NULL, 'n'},
        {"seconds",  required_argument, NULL, 't'},
        {"subjects", required_argument, NULL, 'o'},
        {"at",       required_argument, NULL, 'a'},
        {"line",     required_argument, NULL, 'r'},
        {"queue",    required_argument, NULL, 'q'},
        {"idle",     no_argument,       NULL, 'i'},
        {"look",     no_argument,       NULL, 'l'},
        {"readings", required_argument, NULL, 'm'},
        {NULL,       0,                 NULL, 0  }
    };
    static struct bench b = {.n = 1, .seconds = 5, .queue = 1};
    int64_t n = 0;
    int c;

    while ((c = getopt_long(argc, argv, "", options, NULL)) != -1) {
        if (c == 's') {
            b.socket = optarg;
        } else if (c == 'a') {
            b.at = optarg;
        } else if (c == 'o') {
            read_subjects(&b, optarg);
        } else if (c == 'r') {
            b.line = optarg;
        } else if (c == 'i') {
            b.idle = true;
        } else if (c == 'q' && num_parse_int(optarg, 1, 1000, &n, NULL) == 0) {
            b.queue = (int)n;
        } else if (c == 'm' && num_parse_int(optarg, 1, 1000, &n, NULL) == 0) {
            b.n_readings = (int)n;
        } else if (c == 'l') {
            b.looks = true;
        } else if (c == 'n' && num_parse_int(optarg, 1, CLIENTS_MAX, &n, NULL) == 0) {
            b.n = (int)n;
        } else if (c == 't' && num_parse_int(optarg, 1, 3600, &n, NULL) == 0) {
            b.seconds = (double)n;
        } else {
            b.socket = NULL;
            break;
        }
    }
    if (!b.socket) {
        (void)fputs("tellbench --socket PATH [--clients N] [--seconds S] [--look]\n", stderr);
        return 2;
    }
    if (b.n_subjects == 0) {
        (void)snprintf(b.subject[0], sizeof b.subject[0], "reservoir");
        b.n_subjects = 1;
    }
    b.n = b.looks ? 1 : b.n;
    return run(&b);
}
