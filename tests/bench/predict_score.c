#include "tests/bench/predict_score.h"

#include "daemon/base/mem.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

const char *const fault_words[FAULT_N] = {"none",         "leak of 5 %",   "leak of 10 %",
                                          "leak of 20 %", "clog",          "stuck float",
                                          "wrong refill", "bucket's leak", "swapped readings"};
const char *const truth_words[TRUTH_N] = {"drawn", "evaporation", "spreads",
                                          "crop",  "heat",        "greenhouse"};
static const double quantile[FORETOLD_N] = {0.05, 0.25, 0.50, 0.75, 0.95};
static const double weight[FORETOLD_N] = {0.15, 0.225, 0.25, 0.225, 0.15};

static double capped(double off, double far)
{
    return fmax(-far, fmin(off, far));
}

/* The CRPS is twice the integral of the quantile score over p (Gneiting & Raftery 2007, J. Amer.
 * Stat. Assoc. 102:359); here by five of its points. */
static double crps_of(const struct foretold *f, double truth, double far)
{
    double sum = 0;

    for (int k = 0; k < FORETOLD_N; k++) {
        double off = capped(truth - f->at[k], far);

        sum += 2 * weight[k] * off * (off > 0 ? quantile[k] : quantile[k] - 1);
    }
    return sum;
}

void score_note(struct score *s, const struct foretold *f, double truth, double far)
{
    double crps = crps_of(f, truth, far);
    size_t n = s->n;

    s->off = mem_grow(s->off, &s->cap, n + 1, sizeof *s->off);
    s->width = mem_grow(s->width, &s->cap_width, n + 1, sizeof *s->width);
    s->off[n] = fabs(capped(truth - f->at[FORETOLD_N / 2], far));
    s->width[n] = f->at[FORETOLD_N - 1] - f->at[0];
    s->n++;
    s->inside += truth >= f->at[0] && truth <= f->at[FORETOLD_N - 1];
    s->crps += crps;
    if (!isnan(f->line)) {
        s->n_line++;
        s->crps_beside += crps;
        s->line += fabs(capped(truth - f->line, far));
    }
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

void found_note(struct found *f, double delay_day, double soon)
{
    f->rooms++;
    f->soon += delay_day <= soon;
    if (isfinite(delay_day)) {
        f->delay = mem_grow(f->delay, &f->cap, f->noticed + 1, sizeof *f->delay);
        f->delay[f->noticed++] = delay_day;
    }
}

static double inside_pct(const struct score *s)
{
    return s->n ? 100.0 * (double)s->inside / (double)s->n : NAN;
}

struct row {
    const char *text, *json;
    struct score *s;
};

enum { ROWS_N = WORST_ROWS };

static void rows_of(struct bench *b, struct row out[ROWS_N])
{
    const struct row rows[ROWS_N] = {
        {"float day, at the start",   "float_start",   &b->float_day[0]},
        {"… of the planting after", "float_again",   &b->float_again },
        {"float day, halfway",        "float_halfway", &b->float_day[1]},
        {"float day, 3 days before",  "float_3_days",  &b->float_day[2]},
        {"reservoir empty, day",      "reservoir",     &b->reservoir   },
        {"reservoir tonight, L",      "tonight",       &b->tonight     },
        {"EC at the change, mS/cm",   "ec",            &b->ec          },
        {"… from the last reading", "ec_near",       &b->ec_near     },
    };

    for (int k = 0; k < ROWS_N; k++) {
        out[k] = rows[k];
    }
}

void bench_print_text(struct bench *b)
{
    struct row rows[ROWS_N];

    rows_of(b, rows);
    printf("truth: %s\n%-26s %6s %8s %8s %8s %8s | %8s %8s\n", truth_words[b->truth], "foretold",
           "n", "inside", "off", "width", "CRPS", "CRPS", "line");
    for (int k = 0; k < ROWS_N; k++) {
        struct score *s = rows[k].s;

        printf("%-26s %6zu %6.1f %% %8.3f %8.3f %8.3f | %8.3f %8.3f\n", rows[k].text, s->n,
               inside_pct(s), median(s->off, s->n), median(s->width, s->n), s->crps / (double)s->n,
               s->crps_beside / (double)s->n_line, s->line / (double)s->n_line);
    }
    for (int k = 1; k < FAULT_N; k++) {
        struct found *f = &b->found[k];

        if (f->rooms) {
            printf("%-26s noticed in %zu of %zu, %zu of them soon, after %.1f %s\n", fault_words[k],
                   f->noticed, f->rooms, f->soon, median(f->delay, f->noticed),
                   k == FAULT_BUCKET || k == FAULT_SWAP ? "readings" : "days");
        }
    }
    printf("false alarms: %.3f in a room and month (%zu in %.0f)",
           (double)b->false_alarms / b->room_months, b->false_alarms, b->room_months);
    for (int k = 0; k < ALARM_KIND_N; k++) {
        if (b->false_of[k]) {
            printf(", %s %zu", alarm_words[k], b->false_of[k]);
        }
    }
    printf("\nnights with every shut-off closed: %.1f in a room and month\n\n",
           (double)b->nights / b->room_months);
}

static void print_number(const char *name, double v)
{
    if (isfinite(v)) {
        printf("\"%s\":%.4f,", name, v);
    } else {
        printf("\"%s\":null,", name);
    }
}

void bench_print_json(struct bench *b)
{
    struct row rows[ROWS_N];

    rows_of(b, rows);
    printf("{\"truth\":\"%s\",", truth_words[b->truth]);
    for (int k = 0; k < ROWS_N; k++) {
        struct score *s = rows[k].s;

        printf("\"%s\":{\"n\":%zu,", rows[k].json, s->n);
        print_number("inside_pct", inside_pct(s));
        print_number("median_off", median(s->off, s->n));
        print_number("median_width", median(s->width, s->n));
        print_number("crps", s->crps / (double)s->n);
        print_number("crps_beside", s->crps_beside / (double)s->n_line);
        print_number("line", s->line / (double)s->n_line);
        printf("\"n_line\":%zu},", s->n_line);
    }
    for (int k = 1; k < FAULT_N; k++) {
        struct found *f = &b->found[k];

        printf("\"%s\":{\"rooms\":%zu,\"noticed\":%zu,\"soon\":%zu,\"median_delay\":%.2f},",
               fault_words[k], f->rooms, f->noticed, f->soon,
               f->noticed ? median(f->delay, f->noticed) : -1);
    }
    printf("\"nights_room_month\":%.2f,", (double)b->nights / b->room_months);
    printf("\"false_alarms_room_month\":%.4f}\n", (double)b->false_alarms / b->room_months);
}

static void note_worse(double *figure, enum truths *in, bool *any, double now, bool higher,
                       enum truths truth)
{
    if (isfinite(now) && (!*any || (higher ? now > *figure : now < *figure))) {
        *figure = now;
        *in = truth;
        *any = true;
    }
}

void worst_note(struct worst *w, struct bench *b)
{
    struct row rows[ROWS_N];

    rows_of(b, rows);
    for (int k = 0; k < ROWS_N; k++) {
        note_worse(&w->inside[k].figure, &w->inside[k].in, &w->inside[k].any, inside_pct(rows[k].s),
                   false, b->truth);
    }
    for (int k = 1; k < FAULT_N; k++) {
        const struct found *f = &b->found[k];

        note_worse(&w->soon[k].figure, &w->soon[k].in, &w->soon[k].any,
                   f->rooms ? 100.0 * (double)f->soon / (double)f->rooms : NAN, false, b->truth);
    }
    note_worse(&w->wrong.figure, &w->wrong.in, &w->wrong.any,
               (double)b->false_alarms / b->room_months, true, b->truth);
}

void worst_print(const struct worst *w)
{
    struct bench none = {0};
    struct row rows[ROWS_N];

    rows_of(&none, rows);
    printf("the worst of all truths\n");
    for (int k = 0; k < ROWS_N; k++) {
        if (w->inside[k].any) {
            printf("%-26s %6.1f %% inside, %s\n", rows[k].text, w->inside[k].figure,
                   truth_words[w->inside[k].in]);
        }
    }
    for (int k = 1; k < FAULT_N; k++) {
        if (w->soon[k].any) {
            printf("%-26s %6.1f %% noticed soon, %s\n", fault_words[k], w->soon[k].figure,
                   truth_words[w->soon[k].in]);
        }
    }
    if (w->wrong.any) {
        printf("%-26s %6.3f in a room and month, %s\n", "false alarms", w->wrong.figure,
               truth_words[w->wrong.in]);
    }
}

void bench_clear(struct bench *b)
{
    struct row rows[ROWS_N];

    rows_of(b, rows);
    for (int k = 0; k < ROWS_N; k++) {
        free(rows[k].s->off);
        free(rows[k].s->width);
        *rows[k].s = (struct score){0};
    }
    for (int k = 0; k < FAULT_N; k++) {
        free(b->found[k].delay);
        b->found[k] = (struct found){0};
    }
    b->false_alarms = 0;
    b->room_months = 0;
    for (int k = 0; k < ALARM_KIND_N; k++) {
        b->false_of[k] = 0;
    }
}
