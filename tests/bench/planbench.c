/* planbench [--time-limit MS] FILE plans an instance, and prints the answer as JSON planbench
 * --check ANSWER FILE recomputes an answer's cost, and whether it keeps the rules planbench --lp
 * FILE writes the exact model as CPLEX LP planbench --generate N DAYS SEED draws an instance */
#include "daemon/base/mem.h"
#include "daemon/base/num.h"
#include "tests/bench/plan_check.h"
#include "tests/bench/plan_draw.h"
#include "tests/bench/plan_instance.h"
#include "tests/bench/plan_model.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define EFFORT_USUAL 16
#define EFFORT_MOST  100000

static double seconds_now(void)
{
    struct timespec t;

    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static int complain(const char *what)
{
    (void)fprintf(stderr, "planbench: %s\n", what);
    return 1;
}

static int solve(const char *path, int64_t limit_ms)
{
    struct instance in;
    char why[200];
    struct plan_sum best;
    double took = 0;
    double start;
    struct plan_slot *slot;
    json_t *answer;

    if (instance_read(path, &in, why) < 0) {
        return complain(why);
    }
    slot = mem_array(in.n, sizeof *slot);
    start = seconds_now();
    if (limit_ms == 0) {
        best = plan_mixes(&in.room, in.job, in.n, EFFORT_USUAL, slot);
    } else { /* twice the effort, as long as what it took says that it fits */
        struct plan_slot *other = mem_array(in.n, sizeof *other);
        best = plan_mixes(&in.room, in.job, in.n, 1, slot);
        for (unsigned effort = 2; effort < EFFORT_MOST; effort *= 2) {
            double before = seconds_now();
            struct plan_sum r;

            if (before - start + 2.2 * took > (double)limit_ms / 1000) {
                break;
            }
            r = plan_mixes(&in.room, in.job, in.n, effort, other);
            took = seconds_now() - before;
            best.bound = fmax(best.bound, r.bound);
            if (r.cost < best.cost) {
                best.cost = r.cost;
                memcpy(slot, other, in.n * sizeof *slot);
            }
        }
        free(other);
    }
    took = seconds_now() - start;
    answer = instance_answer(&in, slot, best.cost, best.bound, took);
    (void)json_dumpf(answer, stdout, JSON_COMPACT | JSON_REAL_PRECISION(12));
    printf("\n");
    json_decref(answer);
    free(slot);
    instance_deinit(&in);
    return 0;
}

static int check(const char *answer_path, const char *path)
{
    json_error_t fault;
    json_t *answer = json_load_file(answer_path, 0, &fault);
    json_t *instance = json_load_file(path, 0, &fault);
    char why[200] = "";
    double cost = answer && instance ? plan_check_answer(instance, answer, why) : NAN;
    double said = json_number_value(json_object_get(answer, "cost"));

    if (isnan(cost)) {
        (void)complain(*why ? why : "a file cannot be read");
    } else {
        printf("{\"cost\":%.9g,\"said\":%.9g,\"same\":%s}\n", cost, said,
               fabs(cost - said) < 1e-6 * fmax(1, cost) ? "true" : "false");
    }
    json_decref(answer);
    json_decref(instance);
    return isnan(cost) || fabs(cost - said) >= 1e-6 * fmax(1, cost);
}

static int write_lp(const char *path)
{
    struct instance in;
    char why[200];

    if (instance_read(path, &in, why) < 0) {
        return complain(why);
    }
    plan_model_write(&in);
    instance_deinit(&in);
    return 0;
}

int main(int argc, char **argv)
{
    int64_t a;
    int64_t b;
    int64_t c;

    if (argc == 2) {
        return solve(argv[1], 0);
    }
    if (argc == 4 && strcmp(argv[1], "--time-limit") == 0 &&
        num_parse_int(argv[2], 1, 3600000, &a, NULL) == 0) {
        return solve(argv[3], a);
    }
    if (argc == 4 && strcmp(argv[1], "--check") == 0) {
        return check(argv[2], argv[3]);
    }
    if (argc == 3 && strcmp(argv[1], "--lp") == 0) {
        return write_lp(argv[2]);
    }
    if (argc == 5 && strcmp(argv[1], "--generate") == 0 &&
        num_parse_int(argv[2], 0, 2000000, &a, NULL) == 0 &&
        num_parse_int(argv[3], 1, INSTANCE_DAYS, &b, NULL) == 0 &&
        num_parse_int(argv[4], 0, INT64_MAX, &c, NULL) == 0) {
        plan_draw_instance((long)a, (long)b, (uint64_t)c);
        return 0;
    }
    (void)fputs("planbench [--time-limit MS] FILE | --check ANSWER FILE | --lp FILE | "
                "--generate N DAYS SEED\n",
                stderr);
    return 2;
}
