/* Instants, days, quantities and suppositions, as people and programs write them. What is taken is
 * finite and in range, and a day that was taken is that day; what is not, is said why.
 *
 * The first byte chooses which, the next eight are the instant at which it is read. */
#include "tests/fuzz/fuzz_target.h"

#include "config/read/zone_read.h"
#include "daemon/base/err.h"
#include "daemon/core/tasks/agenda.h"
#include "daemon/core/tasks/what_if.h"
#include "daemon/core/units/quantity.h"
#include "daemon/core/units/when.h"
#include "tests/unit/a_room.h"

#define HEAD        9
#define TEXT_MOST   4000
#define LATEST_S    20000000000LL /* some time in the year 2603 */
#define HALF_DAY_S  43200
#define PLANNED_FOR 14

static void try_instant(const char *text, const struct zone *z, int64_t now_s, bool past)
{
    struct err e = {0};
    int64_t at_s = 0;
    char shown[ZONE_TEXT_MAX];
    int rc =
        past ? when_parse_past(text, z, now_s, &at_s, &e) : when_parse(text, z, now_s, &at_s, &e);

    if (rc < 0) {
        FUZZ_HOLDS(*e.msg);
        return;
    }
    FUZZ_HOLDS(zone_second_of_day(z, at_s) >= 0 && zone_second_of_day(z, at_s) < DAY_S);
    FUZZ_HOLDS(strlen(zone_format(shown, z, at_s)) < sizeof shown);
}

static void try_day(const char *text, const struct zone *z, int64_t now_s)
{
    struct err e = {0};
    int32_t day = 0;

    if (when_parse_day(text, (int32_t)(now_s / DAY_S), &day, &e) < 0) {
        FUZZ_HOLDS(*e.msg);
    } else {
        FUZZ_HOLDS(zone_day(z, zone_instant_s(z, day, HALF_DAY_S)) == day);
    }
}

static void try_quantity(const char *text, unsigned which)
{
    enum quantity q = which % QUANTITY_N;
    char shown[QUANTITY_BOTH_MAX];
    struct units units = {0};
    struct err e = {0};
    double v = 0;

    if (quantity_parse(q, text, &v, &e) < 0) {
        FUZZ_HOLDS(*e.msg);
    } else {
        FUZZ_HOLDS(isfinite(v));
        FUZZ_HOLDS(strlen(quantity_format_both(shown, q, v, &units)) < sizeof shown);
    }
}

/* A room that is supposed can be planned for. */
static void try_supposition(const char *text)
{
    struct room room = a_room();
    struct state s;
    struct what_if w;
    struct err e = {0};

    state_init(&s, &room);
    what_if_init(&w, &room, &s);
    if (what_if_suppose(&w, text, 20513, &e) < 0) {
        FUZZ_HOLDS(*e.msg);
    } else {
        struct agenda a = {0};

        agenda_derive(&w.room, &w.s, at(0, 8), PLANNED_FOR, NULL, false, &a);
        agenda_deinit(&a);
    }
    what_if_deinit(&w);
    state_deinit(&s);
    room_deinit(&room);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct zone zone;
    char *text;
    int64_t now_s;

    if (size <= HEAD || size > TEXT_MOST) {
        return 0;
    }
    if (zone.n == 0) {
        FUZZ_HOLDS(zone_read("Europe/Vienna", &zone, NULL) == 0);
    }
    memcpy(&now_s, data + 1, sizeof now_s);
    now_s = llabs(now_s % LATEST_S);
    text = mem_array(size, 1);
    memcpy(text, data + HEAD, size - HEAD);
    switch (data[0] % 5) {
    case 0:
        try_instant(text, &zone, now_s, false);
        break;
    case 1:
        try_instant(text, &zone, now_s, true);
        break;
    case 2:
        try_day(text, &zone, now_s);
        break;
    case 3:
        try_quantity(text, data[1]);
        break;
    default:
        try_supposition(text);
        break;
    }
    free(text);
    return 0;
}
