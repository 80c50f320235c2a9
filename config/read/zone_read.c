#include "config/read/zone_read.h"

#include "daemon/base/mem.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

#define ZONE_DIR      "/usr/share/zoneinfo/"
#define FIRST_S       0LL           /* 1970-01-01 */
#define LAST_S        4102444800LL  /* 2100-01-01 */
#define STRIDE_S      (5 * 86400LL) /* no zone changes its clock twice within so few days */
#define ZONE_NAME_MAX 63

/* A time that cannot be told has offset 0; none lies between the bounds on a 64-bit time_t. */
static int32_t offset_at(int64_t t_s)
{
    time_t t = (time_t)t_s;
    struct tm tm;

    return localtime_r(&t, &tm) ? (int32_t)tm.tm_gmtoff : 0;
}

static void add_step(struct zone *z, size_t *cap, int64_t from_s, int32_t offset_s)
{
    z->step = mem_grow(z->step, cap, z->n + 1, sizeof *z->step);
    z->step[z->n++] = (struct zone_step){from_s, offset_s};
}

/* The first second in (before, after] that shows the offset of `after`. */
static int64_t find_step(int64_t before_s, int64_t after_s)
{
    int32_t offset = offset_at(after_s);

    while (after_s - before_s > 1) {
        int64_t middle_s = before_s + (after_s - before_s) / 2;

        if (offset_at(middle_s) == offset) {
            after_s = middle_s;
        } else {
            before_s = middle_s;
        }
    }
    return after_s;
}

/* All changes of offset, found by striding and then halving the stride in which one lies: the C
 * library answers for instants, and not with its table. */
static struct zone scan(void)
{
    struct zone z = {0};
    size_t cap = 0;
    int32_t offset = offset_at(FIRST_S);

    add_step(&z, &cap, FIRST_S, offset);
    for (int64_t t = FIRST_S + STRIDE_S; t <= LAST_S; t += STRIDE_S) {
        if (offset_at(t) != offset) {
            offset = offset_at(t);
            add_step(&z, &cap, find_step(t - STRIDE_S, t), offset);
        }
    }
    return z;
}

static bool name_is_safe(const char *name)
{
    static const char allowed[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
                                  "_+-/";

    return *name && strlen(name) <= ZONE_NAME_MAX && name[0] != '/' &&
           strspn(name, allowed) == strlen(name) && !strstr(name, "//");
}

/* Zone files begin with "TZif" (RFC 8536); the folder holds other files too. */
static bool is_zone_file(const char *path)
{
    FILE *f = fopen(path, "re");
    char magic[4];
    bool is;

    if (!f) {
        return false;
    }
    is = fread(magic, 1, sizeof magic, f) == sizeof magic && memcmp(magic, "TZif", 4) == 0;
    (void)fclose(f);
    return is;
}

/* The C library takes an unknown name for UTC and says nothing, so the file is looked for first.
 * The zones below right/ count leap seconds, which no civil clock shows. */
static bool is_known(const char *name)
{
    char path[sizeof ZONE_DIR + ZONE_NAME_MAX];
    struct stat st;

    if (!name_is_safe(name) || strncmp(name, "right/", 6) == 0) {
        return false;
    }
    (void)snprintf(path, sizeof path, "%s%s", ZONE_DIR, name);
    return stat(path, &st) == 0 && S_ISREG(st.st_mode) && is_zone_file(path);
}

int zone_read(const char *name, struct zone *out, struct err *e)
{
    char *before;

    if (!is_known(name)) {
        return err_set(e, ERR_UNKNOWN,
                       "the time zone '%.40s' is not known; it is a name such as Europe/Vienna or "
                       "UTC",
                       name);
    }
    before = mem_strdup(getenv("TZ")); /* setenv may overwrite what getenv points at */
    if (setenv("TZ", name, 1) < 0) {
        free(before);
        return err_set(e, ERR_UNKNOWN, "the time zone cannot be set");
    }
    tzset();
    *out = scan();
    if (before) {
        (void)setenv("TZ", before, 1);
    } else {
        (void)unsetenv("TZ");
    }
    tzset();
    free(before);
    return 0;
}
