#include "tests/bench/plan_instance.h"

#include "daemon/base/mem.h"
#include "tests/sim/truth.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static double number(const json_t *o, const char *key)
{
    const json_t *v = json_object_get(o, key);

    return json_is_number(v) ? json_number_value(v) : NAN;
}

static int wrong(char why[200], const char *what, const char *where)
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
    double v = number(o, key);

    if (!(v >= -100000 && v <= 100000 && v == floor(v))) {
        return wrong(why, "a whole number of days is wanted", key);
    }
    *out = (int32_t)v;
    return 0;
}

static int read_job(struct instance *in, const json_t *o, char why[200])
{
    struct plan_job *j = &in->job[in->n];
    const char *id = json_string_value(json_object_get(o, "id"));
    const char *recipe = json_string_value(json_object_get(o, "recipe"));

    if (!id || !recipe) {
        return wrong(why, "a job has an id and a recipe", "jobs");
    }
    j->kept = PLAN_UNPLANNED;
    if (read_day(o, "earliest", &j->earliest, why) < 0 || read_day(o, "due", &j->due, why) < 0 ||
        read_day(o, "latest", &j->latest, why) < 0) {
        return -1;
    }
    j->ec_ms_cm = number(o, "ec");
    j->tolerance_pct = number(o, "tolerance_pct");
    j->volume_l = number(o, "volume_l");
    j->minutes = number(o, "minutes");
    if (!(j->earliest <= j->latest) || !(j->ec_ms_cm > 0 && j->ec_ms_cm < 1e3) ||
        !(j->tolerance_pct >= 0 && j->tolerance_pct <= 100) ||
        !(j->volume_l >= 0 && j->volume_l < 1e9) || !(j->minutes >= 0 && j->minutes < 1e9)) {
        return wrong(why, "a window, strength, tolerance, volume or time that cannot be", id);
    }
    j->recipe = recipe_of(in, recipe);
    (void)snprintf(in->id[in->n++], INSTANCE_NAME, "%.63s", id);
    return 0;
}

static int read_room(struct instance *in, const json_t *o, char why[200])
{
    const json_t *reservoir = json_object_get(o, "reservoir");
    const json_t *labour = json_object_get(o, "labour");
    const json_t *cost = json_object_get(o, "cost");
    const json_t *budget = json_object_get(labour, "budget_min");
    double days = number(o, "days");
    struct plan_room *r = &in->room;

    if (!(days >= 1 && days <= INSTANCE_DAYS && days == floor(days))) {
        return wrong(why, "1 to 366 days are planned", "days");
    }
    *r = (struct plan_room){
        .usable_l = number(reservoir, "usable_l"),
        .line_loss_l = number(reservoir, "line_loss_l"),
        .changeover_min = number(labour, "open_min"),
        .load_min = number(labour, "load_min"),
        .n_days = (size_t)days,
        .horizon = (int32_t)days,
        .cost = {.open = number(cost, "open"),
                 .load = number(cost, "load"),
                 .early_per_day = number(cost, "early_per_day"),
                 .late_per_day = number(cost, "late_per_day"),
                 .deviation_per_pct = number(cost, "deviation_per_pct"),
                 .overtime_per_min = number(labour, "overtime_cost_per_min"),
                 .unplanned = number(cost, "unplanned")}
    };
    if (!(r->usable_l >= 0 && r->line_loss_l >= 0 && r->changeover_min >= 0 && r->load_min >= 0 &&
          r->cost.open >= 0 && r->cost.load >= 0 && r->cost.early_per_day >= 0 &&
          r->cost.late_per_day >= 0 && r->cost.deviation_per_pct >= 0 &&
          r->cost.overtime_per_min >= 0 && r->cost.unplanned >= 0)) {
        return wrong(why, "a figure is missing or below 0", "reservoir, labour or cost");
    }
    if (json_array_size(budget) != r->n_days) {
        return wrong(why, "one number for each day is wanted", "labour.budget_min");
    }
    in->budget = mem_array(r->n_days, sizeof *in->budget);
    for (size_t d = 0; d < r->n_days; d++) {
        const json_t *v = json_array_get(budget, d);

        in->budget[d] = json_is_number(v) ? json_number_value(v) : NAN;
        if (!(in->budget[d] >= 0)) {
            return wrong(why, "a number that is not below 0 is wanted", "labour.budget_min");
        }
    }
    r->budget_min = in->budget;
    return 0;
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
        rc = wrong(why, "a list is wanted", "jobs");
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

/* ---- drawing one */

void instance_generate(long n, long days, uint64_t seed)
{
    static const char *const recipes[] = {"grow", "fruit", "herb"};
    static const double volumes[] = {1.6, 1.8, 8.3, 9.0};
    struct dice dice = {seed};

    printf("{\"days\":%ld,\"reservoir\":{\"usable_l\":100.0,\"line_loss_l\":2.0},\n"
           " \"labour\":{\"budget_min\":[",
           days);
    for (long d = 0; d < days; d++) {
        double u = dice_even(&dice);

        printf("%s%d", d ? "," : "", u < 0.15 ? 0 : u < 0.4 ? 60 : 90);
    }
    printf("],\"open_min\":25,\"load_min\":15,\"overtime_cost_per_min\":1.0},\n"
           " \"cost\":{\"open\":10,\"load\":5,\"early_per_day\":0.6,\"late_per_day\":2.0,"
           "\"deviation_per_pct\":0.1,\"unplanned\":200},\n \"jobs\":[");
    for (long i = 0; i < n; i++) {
        long due = (long)(dice_even(&dice) * (double)days);
        long early = 1 + (long)(dice_even(&dice) * 4);
        long late = 1 + (long)(dice_even(&dice) * 3);
        double ec = 0.8 + 1.2 * dice_even(&dice);
        const char *recipe = recipes[(size_t)(dice_even(&dice) * 2.6)];

        printf("%s\n  {\"id\":\"c%02ld\",\"earliest\":%ld,\"due\":%ld,\"latest\":%ld,"
               "\"recipe\":\"%s\",\"ec\":%.2f,\"tolerance_pct\":10,\"volume_l\":%.1f,"
               "\"minutes\":6}",
               i ? "," : "", i + 1, due - early > 0 ? due - early : 0, due,
               due + late < days ? due + late : days - 1, recipe, ec,
               volumes[(size_t)(dice_even(&dice) * 4)]);
    }
    printf("]}\n");
}

/* ---- the exact model */

static int ascending(const void *pa, const void *pb)
{
    double a = *(const double *)pa;
    double b = *(const double *)pb;

    return (a > b) - (a < b);
}

static bool serves(const struct plan_job *j, double ec)
{
    return 100 * fabs(ec - j->ec_ms_cm) / j->ec_ms_cm <= j->tolerance_pct * (1 + 1e-12);
}

static size_t strengths(const struct instance *in, size_t recipe, double *out)
{
    size_t n = 0;
    size_t kept = 0;

    for (size_t i = 0; i < in->n; i++) {
        const struct plan_job *j = &in->job[i];

        if (j->recipe == recipe) {
            out[n++] = j->ec_ms_cm;
            out[n++] = j->ec_ms_cm * (1 - j->tolerance_pct / 100);
            out[n++] = j->ec_ms_cm * (1 + j->tolerance_pct / 100);
        }
    }
    if (n) {
        qsort(out, n, sizeof *out, ascending);
    }
    for (size_t k = 0; k < n; k++) {
        if (kept == 0 || out[k] > out[kept - 1]) {
            out[kept++] = out[k];
        }
    }
    return kept;
}

static bool on_day(const struct plan_job *j, long d)
{
    return d >= j->earliest && d <= j->latest;
}

/* Writes one kind of row for every x of job i on day d at strength s of its recipe. */
struct lp {
    const struct instance *in;
    double **ec;
    size_t *n_ec;
};

static void lp_objective(const struct lp *lp)
{
    const struct instance *in = lp->in;
    const struct plan_cost *c = &in->room.cost;

    printf("Minimize\n cost: 0 zero");
    for (size_t d = 0; d < in->room.n_days; d++) {
        printf("\n + %.9g z%zu + %.9g o%zu", c->open, d, c->overtime_per_min, d);
        for (size_t r = 0; r < in->n_recipes; r++) {
            for (size_t s = 0; s < lp->n_ec[r]; s++) {
                printf("\n + %.9g n%zu_%zu_%zu", c->load, d, r, s);
            }
        }
    }
    for (size_t i = 0; i < in->n; i++) {
        const struct plan_job *j = &in->job[i];

        printf("\n + %.9g u%zu", c->unplanned, i);
        for (size_t d = 0; d < in->room.n_days; d++) {
            for (size_t s = 0; on_day(j, (long)d) && s < lp->n_ec[j->recipe]; s++) {
                double ec = lp->ec[j->recipe][s];
                double wait = (long)d < j->due ? c->early_per_day * (double)(j->due - (long)d)
                                               : c->late_per_day * (double)((long)d - j->due);

                if (serves(j, ec)) {
                    printf("\n + %.9g x%zu_%zu_%zu",
                           wait + c->deviation_per_pct * 100 * fabs(ec - j->ec_ms_cm) / j->ec_ms_cm,
                           i, d, s);
                }
            }
        }
    }
    printf("\nSubject To\n");
}

static void lp_jobs(const struct lp *lp)
{
    for (size_t i = 0; i < lp->in->n; i++) {
        const struct plan_job *j = &lp->in->job[i];

        printf(" once%zu: u%zu", i, i);
        for (size_t d = 0; d < lp->in->room.n_days; d++) {
            for (size_t s = 0; on_day(j, (long)d) && s < lp->n_ec[j->recipe]; s++) {
                if (serves(j, lp->ec[j->recipe][s])) {
                    printf("\n + x%zu_%zu_%zu", i, d, s);
                }
            }
        }
        printf(" = 1\n");
    }
}

static void lp_loads(const struct lp *lp)
{
    const struct instance *in = lp->in;
    double each_l = in->room.usable_l - in->room.line_loss_l;

    for (size_t d = 0; d < in->room.n_days; d++) {
        for (size_t r = 0; r < in->n_recipes; r++) {
            for (size_t s = 0; s < lp->n_ec[r]; s++) {
                printf(" cap%zu_%zu_%zu: - %.9g n%zu_%zu_%zu", d, r, s, each_l, d, r, s);
                for (size_t i = 0; i < in->n; i++) {
                    if (in->job[i].recipe == r && on_day(&in->job[i], (long)d) &&
                        serves(&in->job[i], lp->ec[r][s])) {
                        printf("\n + %.9g x%zu_%zu_%zu", in->job[i].volume_l, i, d, s);
                    }
                }
                printf(" <= 0\n");
                for (size_t i = 0; i < in->n; i++) {
                    if (in->job[i].recipe == r && on_day(&in->job[i], (long)d) &&
                        serves(&in->job[i], lp->ec[r][s])) {
                        printf(" in%zu_%zu_%zu: x%zu_%zu_%zu - n%zu_%zu_%zu <= 0\n", i, d, s, i, d,
                               s, d, r, s);
                    }
                }
            }
        }
    }
}

static void lp_days(const struct lp *lp)
{
    const struct instance *in = lp->in;

    for (size_t d = 0; d < in->room.n_days; d++) {
        for (size_t i = 0; i < in->n; i++) {
            const struct plan_job *j = &in->job[i];
            bool any = false;

            for (size_t s = 0; on_day(j, (long)d) && s < lp->n_ec[j->recipe]; s++) {
                if (serves(j, lp->ec[j->recipe][s])) {
                    printf("%s x%zu_%zu_%zu", any ? "\n +" : " ", i, d, s);
                    any = true;
                }
            }
            if (any) {
                printf(" - z%zu <= 0\n", d);
            }
        }
        printf(" work%zu: %.9g z%zu - o%zu", d, in->room.changeover_min, d, d);
        for (size_t r = 0; r < in->n_recipes; r++) {
            for (size_t s = 0; s < lp->n_ec[r]; s++) {
                printf("\n + %.9g n%zu_%zu_%zu", in->room.load_min, d, r, s);
            }
        }
        for (size_t i = 0; i < in->n; i++) {
            const struct plan_job *j = &in->job[i];

            for (size_t s = 0; on_day(j, (long)d) && s < lp->n_ec[j->recipe]; s++) {
                if (serves(j, lp->ec[j->recipe][s])) {
                    printf("\n + %.9g x%zu_%zu_%zu", j->minutes, i, d, s);
                }
            }
        }
        printf(" <= %.9g\n", in->room.budget_min[d]);
    }
}

static void lp_kinds(const struct lp *lp)
{
    const struct instance *in = lp->in;

    printf("Bounds\n zero = 0\nBinaries\n");
    for (size_t d = 0; d < in->room.n_days; d++) {
        printf(" z%zu\n", d);
    }
    for (size_t i = 0; i < in->n; i++) {
        const struct plan_job *j = &in->job[i];

        printf(" u%zu\n", i);
        for (size_t d = 0; d < in->room.n_days; d++) {
            for (size_t s = 0; on_day(j, (long)d) && s < lp->n_ec[j->recipe]; s++) {
                if (serves(j, lp->ec[j->recipe][s])) {
                    printf(" x%zu_%zu_%zu\n", i, d, s);
                }
            }
        }
    }
    printf("Generals\n");
    for (size_t d = 0; d < in->room.n_days; d++) {
        for (size_t r = 0; r < in->n_recipes; r++) {
            for (size_t s = 0; s < lp->n_ec[r]; s++) {
                printf(" n%zu_%zu_%zu\n", d, r, s);
            }
        }
    }
    printf("End\n");
}

void instance_write_lp(const struct instance *in)
{
    struct lp lp = {.in = in,
                    .ec = mem_array(in->n_recipes, sizeof(double *)),
                    .n_ec = mem_array(in->n_recipes, sizeof(size_t))};

    for (size_t r = 0; r < in->n_recipes; r++) {
        lp.ec[r] = mem_array(3 * in->n, sizeof *lp.ec[r]);
        lp.n_ec[r] = strengths(in, r, lp.ec[r]);
    }
    lp_objective(&lp);
    lp_jobs(&lp);
    lp_loads(&lp);
    lp_days(&lp);
    lp_kinds(&lp);
    for (size_t r = 0; r < in->n_recipes; r++) {
        free(lp.ec[r]);
    }
    free(lp.ec);
    free(lp.n_ec);
}

/* ---- the check: from the two JSON files alone */

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
    double ec = number(load, "ec");
    double off = 100 * fabs(ec - number(j, "ec")) / number(j, "ec");
    double due = number(j, "due");

    if (!j) {
        return wrong(c->why, "a job that is unknown, or planned twice", id ? id : "?") == 0;
    }
    if (strcmp(json_string_value(json_object_get(j, "recipe")),
               json_string_value(json_object_get(load, "recipe"))) != 0 ||
        day < number(j, "earliest") || day > number(j, "latest") ||
        off > number(j, "tolerance_pct") + 1e-6) {
        return wrong(c->why, "another recipe, outside of its window, or of its tolerance", id) == 0;
    }
    c->cost += number(cost, "deviation_per_pct") * off +
               (day < due ? number(cost, "early_per_day") * (due - day)
                          : number(cost, "late_per_day") * (day - due));
    *volume_l += number(j, "volume_l");
    *minutes += number(j, "minutes");
    return json_object_del(c->job, id) == 0;
}

static bool check_day(struct checking *c, const json_t *day)
{
    const json_t *labour = json_object_get(c->instance, "labour");
    const json_t *cost = json_object_get(c->instance, "cost");
    const json_t *reservoir = json_object_get(c->instance, "reservoir");
    double on = number(day, "day");
    double minutes = number(labour, "open_min");
    double budget =
        json_number_value(json_array_get(json_object_get(labour, "budget_min"), (size_t)on));
    const json_t *loads = json_object_get(day, "loads");
    const json_t *load;
    size_t i;

    if (!(on >= 0 && on < number(c->instance, "days")) || json_array_size(loads) == 0) {
        return wrong(c->why, "a day outside of the horizon, or without loads", "days") == 0;
    }
    json_array_foreach(loads, i, load)
    {
        double count = number(load, "count");
        double volume_l = 0;
        const json_t *id;
        size_t k;

        json_array_foreach(json_object_get(load, "jobs"), k, id)
        {
            if (!check_job(c, load, on, json_string_value(id), &volume_l, &minutes)) {
                return false;
            }
        }
        if (!(count >= 1) ||
            volume_l >
                count * (number(reservoir, "usable_l") - number(reservoir, "line_loss_l")) + 1e-6) {
            return wrong(c->why, "a load that is too large for its fillings", "loads") == 0;
        }
        c->cost += number(cost, "load") * count;
        minutes += number(labour, "load_min") * count;
    }
    c->cost +=
        number(cost, "open") + number(labour, "overtime_cost_per_min") * fmax(0, minutes - budget);
    return true;
}

double instance_check(const json_t *instance, const json_t *answer, char why[200])
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
            (void)wrong(c.why, "a job without an id, or with that of another", "jobs");
            fine = false;
        }
    }
    json_array_foreach(json_object_get(answer, "days"), i, day)
    {
        fine = fine && check_day(&c, day);
    }
    c.cost +=
        (double)json_object_size(c.job) * number(json_object_get(instance, "cost"), "unplanned");
    json_decref(c.job);
    memcpy(why, c.why, sizeof c.why);
    return fine ? c.cost : NAN;
}
