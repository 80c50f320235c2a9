#include "tests/season/announce.h"

#include "daemon/base/text.h"
#include "daemon/core/units/day.h"

#include <errno.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#define LINE_MAX_LEN 4096

static const char section[] = "labour:";

static void add_days(struct text *out, const int32_t *day, size_t n)
{
    char buf[DAY_TEXT_MAX];

    text_add(out, "  off: [");
    for (size_t i = 0; i < n; i++) {
        text_add(out, "%s%s", i ? ", " : "", day_format(buf, day[i]));
    }
    text_add(out, "]\n");
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

/* The water stands right below its heading, and what the file says of it is left out. */
static void add_water(struct text *out, const struct announced *a)
{
    if (!isnan(a->source_ec_ms_cm)) {
        text_add(out, "  ec: %.4f mS/cm\n", a->source_ec_ms_cm);
    }
    if (!isnan(a->source_alkalinity_mg_l)) {
        text_add(out, "  alkalinity: %.2f mg/L\n", a->source_alkalinity_mg_l);
    }
}

static bool begins(const char *line, const char *with)
{
    return strncmp(line, with, strlen(with)) == 0;
}

static bool says_otherwise(const struct announced *a, const char *line)
{
    return (!isnan(a->source_ec_ms_cm) && begins(line, "  ec:")) ||
           (!isnan(a->source_alkalinity_mg_l) && begins(line, "  alkalinity:"));
}

int announce_room(const char *from, const char *to, const struct announced *a, struct err *err)
{
    FILE *f = fopen(from, "re");
    struct text out = {0};
    char line[LINE_MAX_LEN];
    bool told = a->n_off == 0;
    bool in_water = false;
    int rc = 0;

    if (!f) {
        return err_set(err, -errno, "cannot read %s: %s", from, strerror(errno));
    }
    while (fgets(line, sizeof line, f)) {
        in_water = line[0] == ' ' ? in_water : begins(line, "source_water:");
        text_add(&out, "%s", in_water && says_otherwise(a, line) ? "" : line);
        if (begins(line, "source_water:")) {
            add_water(&out, a);
        } else if (!told && begins(line, section)) {
            add_days(&out, a->off, a->n_off);
            told = true;
        } else if (a->n_off && begins(line, "  off:")) {
            rc = err_set(err, ERR_REFUSED, "%s has days off of its own", from);
        }
    }
    (void)fclose(f);
    if (!told) {
        text_add(&out, "\n%s\n", section);
        add_days(&out, a->off, a->n_off);
    }
    if (rc == 0) {
        rc = write_file(to, &out, err);
    }
    text_deinit(&out);
    return rc;
}
