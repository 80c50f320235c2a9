#include "tests/bench/plan_instance.h"

#include "daemon/base/mem.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

double instance_number(const json_t *o, const char *key)
{
    const json_t *v = json_object_get(o, key);

    return json_is_number(v) ? json_number_value(v) : NAN;
}

int instance_wrong(char why[200], const char *what, const char *where)
{
    (void)snprintf(why, 200, "%s: %s", where, what);
    return -1;
}

static size_t recipe_of(struct instance *in, const char *name)
{
    for (size_t k = 0; k < in->n_recipes; k++) {
        if (strcmp(in->recipe[k], name) == 0) {
            return k;
        }
    }
    (void)snprintf(in->recipe[in->n_recipes], INSTANCE_NAME, "%.63s", name);
    return in->n_recipes++;
}

static int read_day(const json_t *o, const char *key, int32_t *out, char why[200])
{
    double v = instance_number(o, key);

    if (!(v >= -100000 && v <= 100000 && v == floor(v))) {
        return instance_wrong(why, "a whole number of days is wanted", key);
    }
    *out = (int32_t)v;
    return 0;
}

/* Cut to what is kept of it: an answer names its jobs by that. */
static bool has_id(const struct instance *in, const char *id)
{
    for (size_t i = 0; i < in->n; i++) {
        if (strncmp(in->id[i], id, INSTANCE_NAME - 1) == 0) {
            return true;
        }
    }
    return false;
}

static int read_job(struct instance *in, const json_t *o, char why[200])
{
    struct plan_job *j = &in->job[in->n];
    const char *id = json_string_value(json_object_get(o, "id"));
    const char *recipe = json_string_value(json_object_get(o, "recipe"));

    if (!id || !recipe) {
        return instance_wrong(why, "a job has an id and a recipe", "jobs");
    }
    if (strlen(id) >= INSTANCE_NAME || strlen(recipe) >= INSTANCE_NAME) {
        return instance_wrong(why, "a name of at most 63 characters", "jobs");
    }
    if (has_id(in, id)) {
        return instance_wrong(why, "two jobs have one id", id);
    }
    j->kept = PLAN_UNPLANNED;
    if (read_day(o, "earliest", &j->earliest, why) < 0 || read_day(o, "due", &j->due, why) < 0 ||
        read_day(o, "latest", &j->latest, why) < 0) {
        return -1;
    }
    j->ec_ms_cm = instance_number(o, "ec");
    j->tolerance_pct = instance_number(o, "tolerance_pct");
    j->volume_l = instance_number(o, "volume_l");
    j->minutes = instance_number(o, "minutes");
    if (!(j->earliest <= j->latest) || !(j->ec_ms_cm > 0 && j->ec_ms_cm < 1e3) ||
        !(j->tolerance_pct >= 0 && j->tolerance_pct <= 100) ||
        !(j->volume_l > 0 && j->volume_l < 1e9) || !(j->minutes >= 0 && j->minutes < 1e9)) {
        return instance_wrong(why, "a window, strength, tolerance, volume or time that cannot be",
                              id);
    }
    j->recipe = recipe_of(in, recipe);
    (void)snprintf(in->id[in->n++], INSTANCE_NAME, "%.63s", id);
    return 0;
}

/* "visit": what each day with a load costs besides; it may be left out. */
static int read_visits(struct instance *in, const json_t *labour, char why[200])
{
    const json_t *visit = json_object_get(labour, "visit");

    if (!visit) {
        return 0;
    }
    if (json_array_size(visit) != in->room.n_days) {
        return instance_wrong(why, "one number for each day is wanted", "labour.visit");
    }
    in->visit = mem_array(in->room.n_days, sizeof *in->visit);
    for (size_t d = 0; d < in->room.n_days; d++) {
        const json_t *v = json_array_get(visit, d);

        in->visit[d] = json_is_number(v) ? json_number_value(v) : NAN;
        if (!(in->visit[d] >= 0)) {
            return instance_wrong(why, "a number that is not below 0 is wanted", "labour.visit");
        }
    }
    in->room.visit = in->visit;
    return 0;
}

static int read_room(struct instance *in, const json_t *o, char why[200])
{
    const json_t *reservoir = json_object_get(o, "reservoir");
    const json_t *labour = json_object_get(o, "labour");
    const json_t *cost = json_object_get(o, "cost");
    const json_t *budget = json_object_get(labour, "budget_min");
    double days = instance_number(o, "days");
    struct plan_room *r = &in->room;

    if (!(days >= 1 && days <= INSTANCE_DAYS && days == floor(days))) {
        return instance_wrong(why, "1 to 366 days are planned", "days");
    }
    *r = (struct plan_room){
        .usable_l = instance_number(reservoir, "usable_l"),
        .line_loss_l = instance_number(reservoir, "line_loss_l"),
        .changeover_min = instance_number(labour, "open_min"),
        .load_min = instance_number(labour, "load_min"),
        .n_days = (size_t)days,
        .horizon = (int32_t)days,
        .cost = {.open = instance_number(cost, "open"),
                 .load = instance_number(cost, "load"),
                 .early_per_day = instance_number(cost, "early_per_day"),
                 .late_per_day = instance_number(cost, "late_per_day"),
                 .deviation_per_pct = instance_number(cost, "deviation_per_pct"),
                 .overtime_per_min = instance_number(labour, "overtime_cost_per_min"),
                 .unplanned = instance_number(cost, "unplanned")}
    };
    if (!(r->usable_l >= 0 && r->line_loss_l >= 0 && r->changeover_min >= 0 && r->load_min >= 0 &&
          r->cost.open >= 0 && r->cost.load >= 0 && r->cost.early_per_day >= 0 &&
          r->cost.late_per_day >= 0 && r->cost.deviation_per_pct >= 0 &&
          r->cost.overtime_per_min >= 0 && r->cost.unplanned >= 0)) {
        return instance_wrong(why, "a figure is missing or below 0", "reservoir, labour or cost");
    }
    if (json_array_size(budget) != r->n_days) {
        return instance_wrong(why, "one number for each day is wanted", "labour.budget_min");
    }
    in->budget = mem_array(r->n_days, sizeof *in->budget);
    for (size_t d = 0; d < r->n_days; d++) {
        const json_t *v = json_array_get(budget, d);

        in->budget[d] = json_is_number(v) ? json_number_value(v) : NAN;
        if (!(in->budget[d] >= 0)) {
            return instance_wrong(why, "a number that is not below 0 is wanted",
                                  "labour.budget_min");
        }
    }
    r->budget_min = in->budget;
    return read_visits(in, labour, why);
}

int instance_read(const char *path, struct instance *out, char why[200])
{
    json_error_t fault;
    json_t *o = json_load_file(path, 0, &fault);
    const json_t *jobs = json_object_get(o, "jobs");
    const json_t *job;
    size_t i;
    int rc = 0;

    *out = (struct instance){0};
    if (!o) {
        (void)snprintf(why, 200, "%.40s:%d:%d: %.120s", path, fault.line, fault.column, fault.text);
        return -1;
    }
    if (!json_is_array(jobs)) {
        rc = instance_wrong(why, "a list is wanted", "jobs");
    }
    rc = rc == 0 ? read_room(out, o, why) : rc;
    if (rc == 0) {
        out->job = mem_array(json_array_size(jobs), sizeof *out->job);
        out->id = mem_array(json_array_size(jobs), sizeof *out->id);
        out->recipe = mem_array(json_array_size(jobs), sizeof *out->recipe);
    }
    json_array_foreach(jobs, i, job)
    {
        rc = rc == 0 ? read_job(out, job, why) : rc;
    }
    json_decref(o);
    if (rc < 0) {
        instance_deinit(out);
    }
    return rc;
}

void instance_deinit(struct instance *in)
{
    free(in->budget);
    free(in->visit);
    free(in->job);
    free(in->id);
    free(in->recipe);
    *in = (struct instance){0};
}

/* Where a job stands in an answer. */
struct standing {
    int32_t day;
    uint32_t load;
    size_t at;
};

static int by_standing(const void *pa, const void *pb)
{
    const struct standing *a = pa;
    const struct standing *b = pb;

    if (a->day != b->day) {
        return a->day < b->day ? -1 : 1;
    }
    if (a->load != b->load) {
        return a->load < b->load ? -1 : 1;
    }
    return a->at < b->at ? -1 : a->at > b->at;
}

/* The load of the first of n jobs in standing, and how many are in it. */
static json_t *answer_load(const struct instance *in, const struct plan_slot *slot,
                           const struct standing *of, size_t n, size_t *out_n)
{
    json_t *names = json_array();
    double each_l = in->room.usable_l - in->room.line_loss_l;
    double volume_l = 0;

    for (*out_n = 0; *out_n < n && of[*out_n].load == of->load; ++*out_n) {
        json_array_append_new(names, json_string(in->id[of[*out_n].at]));
        volume_l += in->job[of[*out_n].at].volume_l;
    }
    return json_pack("{s:s,s:f,s:i,s:o}", "recipe", in->recipe[in->job[of->at].recipe], "ec",
                     slot[of->at].ec_ms_cm, "count", (int)fmax(1, ceil(volume_l / each_l - 1e-9)),
                     "jobs", names);
}

json_t *instance_answer(const struct instance *in, const struct plan_slot *slot, double cost,
                        double bound, double seconds)
{
    json_t *days = json_array();
    json_t *loads = NULL;
    json_t *unplanned = json_array();
    struct standing *of = mem_array(in->n, sizeof *of);

    for (size_t i = 0; i < in->n; i++) {
        of[i] = (struct standing){slot[i].day, slot[i].load, i};
    }
    if (in->n > 1) {
        qsort(of, in->n, sizeof *of, by_standing);
    }
    for (size_t i = 0, k; i < in->n; i += k) {
        if (of[i].day == PLAN_UNPLANNED) {
            json_array_append_new(unplanned, json_string(in->id[of[i].at]));
            k = 1;
            continue;
        }
        if (i == 0 || of[i].day != of[i - 1].day) {
            loads = json_array();
            json_array_append_new(days, json_pack("{s:i,s:o}", "day", of[i].day, "loads", loads));
        }
        json_array_append_new(loads, answer_load(in, slot, of + i, in->n - i, &k));
    }
    free(of);
    return json_pack("{s:f,s:f,s:f,s:o,s:o}", "cost", cost, "bound", bound, "seconds", seconds,
                     "days", days, "unplanned", unplanned);
}
