#include "tests/bench/plan_check.h"

#include "tests/bench/plan_instance.h"

#include <math.h>
#include <string.h>

struct checking {
    const json_t *instance;
    json_t *job; /* by id; each is taken out as it is met */
    double cost;
    char why[200];
};

static bool check_job(struct checking *c, const json_t *load, double day, const char *id,
                      double *volume_l, double *minutes)
{
    const json_t *cost = json_object_get(c->instance, "cost");
    const json_t *j = json_object_get(c->job, id ? id : "");
    double ec = instance_number(load, "ec");
    double off = 100 * fabs(ec - instance_number(j, "ec")) / instance_number(j, "ec");
    double due = instance_number(j, "due");

    if (!j) {
        return instance_wrong(c->why, "a job that is unknown, or planned twice", id ? id : "?") ==
               0;
    }
    if (strcmp(json_string_value(json_object_get(j, "recipe")),
               json_string_value(json_object_get(load, "recipe"))) != 0 ||
        day < instance_number(j, "earliest") || day > instance_number(j, "latest") ||
        off > instance_number(j, "tolerance_pct") + 1e-6) {
        return instance_wrong(c->why, "another recipe, outside of its window, or of its tolerance",
                              id) == 0;
    }
    c->cost += instance_number(cost, "deviation_per_pct") * off +
               (day < due ? instance_number(cost, "early_per_day") * (due - day)
                          : instance_number(cost, "late_per_day") * (day - due));
    *volume_l += instance_number(j, "volume_l");
    *minutes += instance_number(j, "minutes");
    return json_object_del(c->job, id) == 0;
}

static bool check_day(struct checking *c, const json_t *day)
{
    const json_t *labour = json_object_get(c->instance, "labour");
    const json_t *cost = json_object_get(c->instance, "cost");
    const json_t *reservoir = json_object_get(c->instance, "reservoir");
    double on = instance_number(day, "day");
    double minutes = instance_number(labour, "open_min");
    double budget =
        json_number_value(json_array_get(json_object_get(labour, "budget_min"), (size_t)on));
    const json_t *loads = json_object_get(day, "loads");
    const json_t *load;
    size_t i;

    if (!(on >= 0 && on < instance_number(c->instance, "days")) || json_array_size(loads) == 0) {
        return instance_wrong(c->why, "a day outside of the horizon, or without loads", "days") ==
               0;
    }
    json_array_foreach(loads, i, load)
    {
        double count = instance_number(load, "count");
        double volume_l = 0;
        const json_t *id;
        size_t k;

        json_array_foreach(json_object_get(load, "jobs"), k, id)
        {
            if (!check_job(c, load, on, json_string_value(id), &volume_l, &minutes)) {
                return false;
            }
        }
        if (!(count >= 1) || volume_l > count * (instance_number(reservoir, "usable_l") -
                                                 instance_number(reservoir, "line_loss_l")) +
                                            1e-6) {
            return instance_wrong(c->why, "a load that is too large for its fillings", "loads") ==
                   0;
        }
        c->cost += instance_number(cost, "load") * count;
        minutes += instance_number(labour, "load_min") * count;
    }
    c->cost += instance_number(cost, "open") +
               json_number_value(json_array_get(json_object_get(labour, "visit"), (size_t)on)) +
               instance_number(labour, "overtime_cost_per_min") * fmax(0, minutes - budget);
    return true;
}

double plan_check_answer(const json_t *instance, const json_t *answer, char why[200])
{
    struct checking c = {.instance = instance, .job = json_object()};
    const json_t *day;
    json_t *job;
    bool fine = true;
    size_t i;

    json_array_foreach(json_object_get(instance, "jobs"), i, job)
    {
        const char *id = json_string_value(json_object_get(job, "id"));

        if (!id || json_object_get(c.job, id) || json_object_set(c.job, id, job) < 0) {
            (void)instance_wrong(c.why, "a job without an id, or with that of another", "jobs");
            fine = false;
        }
    }
    json_array_foreach(json_object_get(answer, "days"), i, day)
    {
        fine = fine && check_day(&c, day);
    }
    c.cost += (double)json_object_size(c.job) *
              instance_number(json_object_get(instance, "cost"), "unplanned");
    json_decref(c.job);
    memcpy(why, c.why, sizeof c.why);
    return fine ? c.cost : NAN;
}
