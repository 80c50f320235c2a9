#include "tests/season/announce.h"

#include "daemon/base/text.h"
#include "daemon/core/units/day.h"

#include <errno.h>
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

int announce_days_off(const char *from, const char *to, const int32_t *day, size_t n,
                      struct err *err)
{
    FILE *f = fopen(from, "re");
    struct text out = {0};
    char line[LINE_MAX_LEN];
    bool told = n == 0;
    int rc = 0;

    if (!f) {
        return err_set(err, -errno, "cannot read %s: %s", from, strerror(errno));
    }
    while (fgets(line, sizeof line, f)) {
        text_add(&out, "%s", line);
        if (!told && strncmp(line, section, sizeof section - 1) == 0) {
            add_days(&out, day, n);
            told = true;
        } else if (n && strncmp(line, "  off:", 6) == 0) {
            rc = err_set(err, ERR_REFUSED, "%s has days off of its own", from);
        }
    }
    (void)fclose(f);
    if (!told) {
        text_add(&out, "\n%s\n", section);
        add_days(&out, day, n);
    }
    if (rc == 0) {
        rc = write_file(to, &out, err);
    }
    text_deinit(&out);
    return rc;
}
