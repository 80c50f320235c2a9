/* predictbench --rooms N --seed S [--truth NAME] [--fault NAME] [--room FILE]
 *     [--crops DIR] [--overnight DAYS] [--json]
 *
 * Draws N simulated rooms whose truth differs from what the crops say, lets a grower read them
 * as growers do (a level a week, now and then a day forgotten, the reservoir every three days),
 * and sets what the core foretold beside what came: are the true days and strengths inside the
 * 90 % intervals, how far off is the median, are leaks, clogs and wrong refills noticed, and how
 * often is there a false alarm. In six truths, or the one that is named: a core that is only right
 * about plants as it imagines them is right about none. Every room is lived without a fault, and
 * again with one, in turn, or with the one that is named (none: without only). */
#include "config/read/room_read.h"
#include "daemon/base/num.h"
#include "tests/bench/predict_score.h"
#include "tests/bench/predict_trial.h"

#include <jansson.h>
#include <stdio.h>
#include <string.h>

static int usage(void)
{
    (void)fputs("predictbench --rooms N --seed S [--truth NAME] [--fault NAME] [--room FILE] "
                "[--crops DIR] [--overnight DAYS] [--json]\n",
                stderr);
    return 2;
}

static int read_greenhouse(struct bench *b)
{
    json_t *root = json_load_file(TARN_SOURCE_DIR "/tests/data/greenhouse-cucumber.json", 0, NULL);
    const json_t *rows = json_object_get(root, "cucumber_l_m2_day");

    for (size_t i = 0; i < GREENHOUSE_N; i++) {
        for (size_t day = 0; day < GREENHOUSE_DAYS; day++) {
            b->greenhouse[i][day] = json_number_value(json_array_get(json_array_get(rows, i), day));
        }
    }
    json_decref(root);
    return b->greenhouse[GREENHOUSE_N - 1][GREENHOUSE_DAYS - 1] > 0 ? 0 : -1;
}

static void run(struct bench *b, int64_t rooms, int64_t seed, int fault, bool json,
                struct worst *worst)
{
    for (int64_t k = 0; k < rooms; k++) {
        trial_run(b, FAULT_NONE, (uint64_t)(seed + k));
        if (fault != FAULT_NONE) {
            int one = fault < FAULT_N ? fault : (int)(1 + k % (FAULT_N - 1));

            trial_run(b, (enum faults)one, (uint64_t)(seed + k));
        }
    }
    if (json) {
        bench_print_json(b);
    } else {
        bench_print_text(b);
    }
    worst_note(worst, b);
    bench_clear(b);
}

static int find_word(const char *const *words, int n, const char *word)
{
    for (int k = 0; k < n; k++) {
        if (strcmp(words[k], word) == 0) {
            return k;
        }
    }
    return -1;
}

int main(int argc, char **argv)
{
    const char *room = TARN_SOURCE_DIR "/config/rooms/twelve.yaml";
    const char *crops = TARN_SOURCE_DIR "/config/crops";
    struct room_faults faults = {0};
    struct bench b = {0};
    struct worst worst = {0};
    int64_t rooms = 100;
    int64_t seed = 1;
    bool json = false;
    int only = TRUTH_N;
    int fault = FAULT_N; /* in turn */
    int64_t overnight = -1;

    for (int i = 1; i < argc; i++) {
        bool more = i + 1 < argc;

        if (strcmp(argv[i], "--json") == 0) {
            json = true;
        } else if (more && strcmp(argv[i], "--room") == 0) {
            room = argv[++i];
        } else if (more && strcmp(argv[i], "--truth") == 0) {
            only = find_word(truth_words, TRUTH_N, argv[++i]);
            if (only < 0) {
                return usage();
            }
        } else if (more && strcmp(argv[i], "--fault") == 0) {
            fault = find_word(fault_words, FAULT_N, argv[++i]);
            if (fault < 0) {
                return usage();
            }
        } else if (more && strcmp(argv[i], "--crops") == 0) {
            crops = argv[++i];
        } else if (more && strcmp(argv[i], "--overnight") == 0) {
            if (num_parse_int(argv[++i], 0, 365, &overnight, NULL) < 0) {
                return usage();
            }
        } else if (more && strcmp(argv[i], "--rooms") == 0) {
            if (num_parse_int(argv[++i], 1, 1000000, &rooms, NULL) < 0) {
                return usage();
            }
        } else if (more && strcmp(argv[i], "--seed") == 0) {
            if (num_parse_int(argv[++i], 0, INT64_MAX, &seed, NULL) < 0) {
                return usage();
            }
        } else {
            return usage();
        }
    }
    if (room_read(room, crops, &b.room, &faults) < 0) {
        (void)fprintf(stderr, "%s has faults; see tarnd --check\n", room);
        return 1;
    }
    if (overnight >= 0) {
        b.room.care_every_day[CARE_OVERNIGHT] = (double)overnight;
    }
    if (read_greenhouse(&b) < 0) {
        (void)fputs("tests/data/greenhouse-cucumber.json cannot be read\n", stderr);
        return 1;
    }
    for (int k = 0; k < TRUTH_N; k++) {
        if (only == TRUTH_N || only == k) {
            b.truth = (enum truths)k;
            run(&b, rooms, seed, fault, json, &worst);
            (void)fflush(stdout);
        }
    }
    if (only == TRUTH_N && !json) {
        worst_print(&worst);
    }
    room_deinit(&b.room);
    return 0;
}
