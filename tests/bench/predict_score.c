#include "tests/bench/predict_score.h"

#include "daemon/base/mem.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static const char *const fault_words[FAULT_N] = {"none",         "leak of 2 %", "leak of 5 %",
                                                 "leak of 20 %", "clog",        "wrong refill"};

void score_note(struct score *s, bool inside, double off)
{
    s->off = mem_grow(s->off, &s->cap, s->n + 1, sizeof *s->off);
    s->off[s->n++] = fabs(off);
    s->inside += inside;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a;
    double y = *(const double *)b;

    return (x > y) - (x < y);
}

static double median(double *v, size_t n)
{
    if (n == 0) {
        return NAN;
    }
    qsort(v, n, sizeof *v, by_size);
    return v[n / 2];
}

void found_note(struct found *f, double delay_day)
{
    f->rooms++;
    if (isfinite(delay_day)) {
        f->delay = mem_grow(f->delay, &f->cap, f->noticed + 1, sizeof *f->delay);
        f->delay[f->noticed++] = delay_day;
    }
}

static double inside_pct(const struct score *s)
{
    return s->n ? 100.0 * (double)s->inside / (double)s->n : NAN;
}

void bench_print_text(struct bench *b)
{
    static const char *const when[] = {"float day, at the start", "float day, halfway",
                                       "float day, 3 days before"};

    printf("%-28s %8s %10s %14s\n", "foretold", "n", "inside", "median off");
    for (int k = 0; k < 3; k++) {
        printf("%-28s %8zu %8.1f %% %9.2f days\n", when[k], b->float_day[k].n,
               inside_pct(&b->float_day[k]), median(b->float_day[k].off, b->float_day[k].n));
    }
    printf("%-28s %8zu %8.1f %% %9.2f days\n", "reservoir empty", b->reservoir.n,
           inside_pct(&b->reservoir), median(b->reservoir.off, b->reservoir.n));
    printf("%-28s %8zu %8.1f %% %8.3f mS/cm\n", "EC at the change", b->ec.n, inside_pct(&b->ec),
           median(b->ec.off, b->ec.n));
    printf("\n%-28s %8s %10s %14s\n", "fault", "rooms", "noticed", "median delay");
    for (int k = 1; k < FAULT_N; k++) {
        struct found *f = &b->found[k];

        printf("%-28s %8zu %8.1f %% %9.1f days\n", fault_words[k], f->rooms,
               100.0 * (double)f->noticed / (double)f->rooms, median(f->delay, f->noticed));
    }
    printf("\nfalse alarms: %.3f in a room and month (%zu in %.0f)",
           (double)b->false_alarms / b->room_months, b->false_alarms, b->room_months);
    for (int k = 0; k < ALARM_KIND_N; k++) {
        if (b->false_of[k]) {
            printf(", %s %zu", alarm_words[k], b->false_of[k]);
        }
    }
    printf("\n");
}

void bench_print_json(struct bench *b)
{
    static const char *const when[] = {"float_start", "float_halfway", "float_3_days"};

    printf("{");
    for (int k = 0; k < 3; k++) {
        printf("\"%s\":{\"n\":%zu,\"inside_pct\":%.2f,\"median_off_day\":%.3f},", when[k],
               b->float_day[k].n, inside_pct(&b->float_day[k]),
               median(b->float_day[k].off, b->float_day[k].n));
    }
    printf("\"reservoir\":{\"n\":%zu,\"inside_pct\":%.2f,\"median_off_day\":%.3f},", b->reservoir.n,
           inside_pct(&b->reservoir), median(b->reservoir.off, b->reservoir.n));
    printf("\"ec\":{\"n\":%zu,\"inside_pct\":%.2f,\"median_off_ms_cm\":%.4f},", b->ec.n,
           inside_pct(&b->ec), median(b->ec.off, b->ec.n));
    for (int k = 1; k < FAULT_N; k++) {
        struct found *f = &b->found[k];

        printf("\"%s\":{\"rooms\":%zu,\"noticed\":%zu,\"median_delay_day\":%.2f},", fault_words[k],
               f->rooms, f->noticed, f->noticed ? median(f->delay, f->noticed) : -1);
    }
    printf("\"false_alarms_room_month\":%.4f}\n", (double)b->false_alarms / b->room_months);
}

void bench_deinit(struct bench *b)
{
    for (int k = 0; k < 3; k++) {
        free(b->float_day[k].off);
    }
    free(b->reservoir.off);
    free(b->ec.off);
    for (int k = 0; k < FAULT_N; k++) {
        free(b->found[k].delay);
    }
    room_deinit(&b->room);
}
