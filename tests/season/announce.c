#include "tests/season/announce.h"

#include "daemon/base/text.h"
#include "daemon/core/units/day.h"

#include <errno.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#define LINE_MAX_LEN 4096

#define WEEKDAYS 7

static const char *const weekday[WEEKDAYS] = {"monday", "tuesday",  "wednesday", "thursday",
                                              "friday", "saturday", "sunday"};

/* What the file itself says is off, in its words, comes first. */
static void add_labour(struct text *out, const struct announced *a, const char *own_off)
{
    char buf[DAY_TEXT_MAX];

    if (a->n_off) {
        text_add(out, "  off: [%s", own_off);
        for (size_t i = 0; i < a->n_off; i++) {
            text_add(out, "%s%s", i || *own_off ? ", " : "", day_format(buf, a->off[i]));
        }
        text_add(out, "]\n");
    }
    for (int k = 0; k < WEEKDAYS && a->works; k++) {
        if (!a->works[k]) {
            text_add(out, "  %s: 0 min\n", weekday[k]);
        }
    }
}

static int write_file(const char *path, const struct text *t, struct err *err)
{
    FILE *f = fopen(path, "we");
    bool written = f && fputs(text_str(t), f) >= 0;

    if (f && fclose(f) != 0) {
        written = false;
    }
    return written ? 0 : err_set(err, -EIO, "cannot write %s", path);
}

/* What is announced stands right below its heading, and what the file says of it is left out. */
static void add_water(struct text *out, const struct announced *a)
{
    if (!isnan(a->source_ec_ms_cm)) {
        text_add(out, "  ec: %.4f mS/cm\n", a->source_ec_ms_cm);
    }
    if (!isnan(a->source_alkalinity_mg_l)) {
        text_add(out, "  alkalinity: %.2f mg/L\n", a->source_alkalinity_mg_l);
    }
}

static void add_feed(struct text *out, const struct announced *a)
{
    if (a->feed_recipe) {
        text_add(out, "  feed: %.4f mS/cm\n  feed_recipe: %s\n", a->feed_ms_cm, a->feed_recipe);
    }
}

static const char off_key[] = "  off:";
enum section { OTHER, WATER, RESERVOIR, LABOUR, SECTION_N };
static const char *const heading[SECTION_N] = {
    [WATER] = "source_water:", [RESERVOIR] = "reservoir:", [LABOUR] = "labour:"};

static bool begins(const char *line, const char *with)
{
    return strncmp(line, with, strlen(with)) == 0;
}

static enum section section_of(const char *line)
{
    for (int k = OTHER + 1; k < SECTION_N; k++) {
        if (begins(line, heading[k])) {
            return (enum section)k;
        }
    }
    return OTHER;
}

static void add_announced(struct text *out, const struct announced *a, enum section in,
                          const char *own_off)
{
    if (in == WATER) {
        add_water(out, a);
    } else if (in == RESERVOIR) {
        add_feed(out, a);
    } else if (in == LABOUR) {
        add_labour(out, a, own_off);
    }
}

static bool is_day_off_now(const struct announced *a, const char *line)
{
    for (int k = 0; k < WEEKDAYS && a->works; k++) {
        if (!a->works[k] && begins(line, "  ") && begins(line + 2, weekday[k])) {
            return true;
        }
    }
    return false;
}

static bool says_otherwise(const struct announced *a, enum section in, const char *line)
{
    switch (in) {
    case WATER:
        return (!isnan(a->source_ec_ms_cm) && begins(line, "  ec:")) ||
               (!isnan(a->source_alkalinity_mg_l) && begins(line, "  alkalinity:"));
    case RESERVOIR:
        return a->feed_recipe && begins(line, "  feed");
    case LABOUR:
        return is_day_off_now(a, line) || (a->n_off && begins(line, off_key));
    default:
        return false;
    }
}

static void copy_lines(FILE *f, const struct announced *a, const char *own_off, struct text *out)
{
    char line[LINE_MAX_LEN];
    bool told = a->n_off == 0 && !a->works;
    enum section in = OTHER;

    while (fgets(line, sizeof line, f)) {
        bool heads = line[0] != ' ' && line[0] != '\n' && line[0] != '#';

        in = heads ? section_of(line) : in;
        text_add(out, "%s", says_otherwise(a, in, line) ? "" : line);
        if (heads) {
            add_announced(out, a, in, own_off);
            told = told || in == LABOUR;
        }
    }
    if (!told) {
        text_add(out, "\n%s\n", heading[LABOUR]);
        add_labour(out, a, own_off);
    }
}

/* The days off of the file, as they stand between their brackets; "" = none. */
static void read_own_off(FILE *f, char own_off[LINE_MAX_LEN])
{
    char line[LINE_MAX_LEN];

    own_off[0] = '\0';
    while (fgets(line, sizeof line, f)) {
        if (begins(line, off_key) && strchr(line, '[') && strchr(line, ']')) {
            *strchr(line, ']') = '\0';
            (void)snprintf(own_off, LINE_MAX_LEN, "%s", strchr(line, '[') + 1);
        }
    }
    rewind(f);
}

int announce_room(const char *from, const char *to, const struct announced *a, struct err *err)
{
    FILE *f = fopen(from, "re");
    struct text out = {0};
    char own_off[LINE_MAX_LEN];
    int rc;

    if (!f) {
        return err_set(err, -errno, "cannot read %s: %s", from, strerror(errno));
    }
    read_own_off(f, own_off);
    copy_lines(f, a, own_off, &out);
    (void)fclose(f);
    rc = write_file(to, &out, err);
    text_deinit(&out);
    return rc;
}
