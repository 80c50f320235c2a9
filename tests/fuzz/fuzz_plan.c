/* A planning problem as a file: it is refused with a reason, or it is planned; then the plan obeys
 * the problem's rules as a second program has them (bench/plan_check.h), costs what that program
 * reckons, and no less than the planner's own bound. */
#include "tests/fuzz/fuzz_target.h"

#include "tests/bench/plan_check.h"
#include "tests/bench/plan_instance.h"

#include <math.h>
#include <string.h>
#include <unistd.h>

#define SIZE_MOST 4000 /* bytes: some thirty jobs, planned in a moment */
#define JOBS_MOST 24
#define EFFORT    4

static void write_file(const char *path, const uint8_t *data, size_t size)
{
    FILE *file = fopen(path, "we");

    FUZZ_HOLDS(file && fwrite(data, 1, size, file) == size);
    FUZZ_HOLDS(fclose(file) == 0);
}

static void plan(const struct instance *in, const json_t *problem)
{
    struct plan_slot *slot = calloc(in->n + 1, sizeof *slot);
    struct plan_sum sum;
    json_t *answer;
    char why[200] = "";
    double cost;

    FUZZ_HOLDS(slot);
    sum = plan_mixes(&in->room, in->job, in->n, EFFORT, slot);
    answer = instance_answer(in, slot, sum.cost, sum.bound, 0);
    cost = plan_check_answer(problem, answer, why);
    if (isnan(cost)) {
        (void)fprintf(stderr, "%s\n", why);
    }
    FUZZ_HOLDS(!isnan(cost));
    FUZZ_HOLDS(fabs(cost - sum.cost) <= 1e-6 * fmax(1, cost));
    FUZZ_HOLDS(sum.bound <= sum.cost + 1e-6 * fmax(1, cost));
    json_decref(answer);
    free(slot);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static char path[64];
    struct instance in;
    char why[200] = "";

    if (size > SIZE_MOST) {
        return 0;
    }
    if (!*path) {
        (void)snprintf(path, sizeof path, "%s/tarn-fuzz-plan-%d",
                       access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp", (int)getpid());
    }
    write_file(path, data, size);
    if (instance_read(path, &in, why) < 0) {
        FUZZ_HOLDS(*why);
    } else {
        json_t *problem = json_load_file(path, 0, NULL);

        if (problem && in.n <= JOBS_MOST) {
            plan(&in, problem);
        }
        json_decref(problem);
        instance_deinit(&in);
    }
    (void)unlink(path);
    return 0;
}
