/* ackbench [--n N] [--dir DIR] - acknowledged entries a second beside bare SQLite on the same disk.
 * ackbench --fill N --dir STATE - starts T1 to T6 in a state folder, and adds N readings of
 * them, a minute apart.
 *
 * Prints commits a second of a bare SQLite database in WAL mode with synchronous=FULL, a row each;
 * of the journal, an entry each; and entries a second where 32 come together, as from 32 clients at
 * once. The three take turns, so that a disk whose speed drifts does it to all. */
#include "daemon/base/err.h"
#include "daemon/base/num.h"
#include "daemon/core/units/day.h"
#include "daemon/store/journal.h"

#include <getopt.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#define ROUNDS   5
#define TOGETHER 32

static double now_s(void)
{
    struct timespec t;

    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static double bare(sqlite3 *db, int64_t n)
{
    double from = now_s();

    for (int64_t i = 0; i < n; i++) {
        if (sqlite3_exec(db, "INSERT INTO told (what) VALUES ('a reading of pH and EC, noon')",
                         NULL, NULL, NULL) != SQLITE_OK) {
            return 0;
        }
    }
    return (double)n / (now_s() - from);
}

static double tell(struct journal *j, int64_t n, size_t together)
{
    static int64_t at_s = 1772350000;
    static int64_t key;
    double from = now_s();

    for (int64_t i = 0; i < n; i += (int64_t)together) {
        struct entry entry[TOGETHER];
        struct journal_batch b = {.entry = entry, .n_entries = together, .day_started = DAY_NONE};
        struct err e = {0};

        for (size_t k = 0; k < together; k++) {
            entry[k] = entry_of(ENTRY_READING, "A1", at_s, at_s);
            entry_set(&entry[k], FIGURE_PH, 5.8);
            entry_set(&entry[k], FIGURE_EC_MS_CM, 1.4);
            (void)snprintf(entry[k].key, sizeof entry[k].key, "bench-%lld", (long long)key++);
            at_s += 60;
        }
        if (journal_write(j, &b, &e) < 0) {
            (void)fprintf(stderr, "%s\n", e.msg);
            return 0;
        }
    }
    return (double)n / (now_s() - from);
}

/* The tomatoes of config/rooms/demo.yaml are there: what is read of them is more than words. */
static int start_plants(struct journal *j, struct err *e)
{
    struct entry entry[6];
    struct journal_batch b = {.entry = entry, .n_entries = 6, .day_started = DAY_NONE};

    for (int i = 0; i < 6; i++) {
        char name[] = "T1";

        name[1] = (char)('1' + i);
        entry[i] = entry_of(ENTRY_STARTED, name, 1776232000, 1776232000);
        (void)snprintf(entry[i].what, sizeof entry[i].what, "tomato");
        entry_set(&entry[i], FIGURE_EC_MS_CM, 0.8);
    }
    return journal_write(j, &b, e);
}

/* A journal as long as one likes, to measure starts and listings with. */
static int fill(const char *dir, int64_t n)
{
    struct journal *j = NULL;
    struct err e = {0};
    struct entry entry[TOGETHER * 32];
    size_t most = sizeof entry / sizeof *entry;
    int rc = journal_open(dir, &j, &e);

    rc = rc < 0 ? rc : start_plants(j, &e);
    for (int64_t i = 0; i < n && rc == 0;) {
        struct journal_batch b = {.entry = entry, .day_started = DAY_NONE};

        for (; b.n_entries < most && i < n; i++) {
            struct entry *to = &entry[b.n_entries++];
            char name[] = "T1";

            name[1] = (char)('1' + i % 6);
            *to = entry_of(ENTRY_READING, name, 1776232800 + 60 * i, 1776232800 + 60 * i);
            entry_set(to, i % 2 ? FIGURE_EC_MS_CM : FIGURE_PH, i % 2 ? 1.4 : 5.9);
        }
        rc = journal_write(j, &b, &e);
    }
    if (rc < 0) {
        (void)fprintf(stderr, "ackbench: %s\n", e.msg);
    }
    journal_close(rc < 0 && !j ? NULL : j);
    return rc < 0;
}

static int by_size(const void *a, const void *b)
{
    double d = *(const double *)a - *(const double *)b;

    return (d > 0) - (d < 0);
}

static double median(double *v)
{
    qsort(v, ROUNDS, sizeof *v, by_size);
    return v[ROUNDS / 2];
}

static int run(const char *dir, int64_t n)
{
    double rate[3][ROUNDS];
    double of[3];
    char path[256];
    struct journal *j = NULL;
    sqlite3 *db = NULL;
    struct err e = {0};

    (void)snprintf(path, sizeof path, "%s/bare.db", dir);
    if (journal_open(dir, &j, &e) < 0 || sqlite3_open(path, &db) != SQLITE_OK) {
        (void)fprintf(stderr, "ackbench: %s\n", e.msg);
        return 1;
    }
    (void)sqlite3_exec(db,
                       "PRAGMA locking_mode=EXCLUSIVE; PRAGMA journal_mode=WAL;"
                       "PRAGMA synchronous=FULL; CREATE TABLE IF NOT EXISTS told (what TEXT)",
                       NULL, NULL, NULL);
    for (int r = 0; r < ROUNDS; r++) {
        rate[0][r] = bare(db, n);
        rate[1][r] = tell(j, n, 1);
        rate[2][r] = tell(j, n * 8 / TOGETHER * TOGETHER, TOGETHER);
    }
    for (int i = 0; i < 3; i++) {
        of[i] = median(rate[i]);
    }
    (void)printf("bare SQLite, a commit each     %8.0f /s\n"
                 "the journal, an entry each     %8.0f /s  %5.2f of it\n"
                 "the journal, %d together       %8.0f /s  %5.2f of it\n",
                 of[0], of[1], of[1] / of[0], TOGETHER, of[2], of[2] / of[0]);
    (void)sqlite3_close(db);
    journal_close(j);
    return 0;
}

int main(int argc, char **argv)
{
    static const struct option options[] = {
        {"fill", required_argument, NULL, 'f'},
        {"n",    required_argument, NULL, 'n'},
        {"dir",  required_argument, NULL, 'd'},
        {NULL,   0,                 NULL, 0  }
    };
    char dir[256] = "";
    const char *given = NULL;
    int64_t n = 1000;
    int64_t n_fill = 0;
    int c;
    int rc;

    while ((c = getopt_long(argc, argv, "", options, NULL)) != -1) {
        if (c == 'd') {
            given = optarg;
        } else if (c == 'f' && num_parse_int(optarg, 1, 100000000, &n_fill, NULL) == 0) {
            continue;
        } else if (c != 'n' || num_parse_int(optarg, 1, 1000000, &n, NULL) < 0) {
            (void)fputs("ackbench [--n N] [--dir DIR]\n", stderr);
            return 2;
        }
    }
    if (n_fill) {
        return fill(given ? given : ".", n_fill);
    }
    (void)snprintf(dir, sizeof dir, "%s/tarn-bench-XXXXXX", given ? given : ".");
    if (!mkdtemp(dir)) {
        (void)fputs("ackbench: the folder cannot be made\n", stderr);
        return 1;
    }
    rc = run(dir, n);
    (void)printf("(what it wrote is in %s)\n", dir);
    return rc;
}
