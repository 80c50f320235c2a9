/* Entries as a journal may give them: any kind, thing, word and figure, at any instant. The fold,
 * the plan, the alarms and the notices stand them; and the state can be written and read back.
 * Where the figures are such as the daemon takes, what a container holds is a number and not below
 * nothing.
 *
 * The first byte is odd for figures beyond all limits; each entry is ENTRY_LEN bytes. */
#include "tests/fuzz/fuzz_target.h"

#include "daemon/base/text.h"
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/tasks/notice.h"
#include "tests/unit/a_room.h"

#define ENTRY_LEN    24
#define ENTRIES_MOST 400
#define PLANNED_FOR  28

static const char *const things[] = {"A1",     "A2",     "A3",   "L1",      "reservoir",
                                     "room",   "grow-a", "salt", "ph-down", "ph-pen",
                                     "ec-pen", "grow",   "gone"};
static const char *const words[] = {"",      "vine",  "leaf",  "yes",      "no",
                                    "grow",  "fruit", "young", "fruiting", "part",
                                    "final", "float", "valve", "tip-burn", "change",
                                    "start", "fill",  "read",  "ec-pen",   "pale-growth"};
#define N_OF(list) (sizeof(list) / sizeof *(list))

static double figure_of(const uint8_t *bytes, enum figure f, bool wild)
{
    const struct figure_def *def = &figure_defs[f];
    uint32_t u;

    memcpy(&u, bytes, sizeof u);
    if (!wild) {
        return def->lo + (def->hi - def->lo) * (u / 4294967295.0);
    }
    return bytes[0] & 1 ? ldexp((double)(int32_t)u, (int)(bytes[1] % 64) * 32 - 1024)
                        : (double)(int32_t)u / 1000;
}

static struct entry entry_from(const uint8_t *d, bool wild, int64_t seq, int64_t *at_s)
{
    struct entry e = entry_of(d[0] % ENTRY_KIND_N, things[d[1] % N_OF(things)], 0, 0);
    int32_t number;

    memcpy(&number, d + 2, sizeof number);
    *at_s += (int64_t)((uint32_t)number % 400000);
    e.seq = seq;
    e.happened_s = *at_s;
    e.told_s = *at_s;
    e.task = d[6] % 4;
    e.cycle = wild ? number : d[7] % 3;
    e.until_day = wild ? number : 20513 + d[7] % 60;
    name_it(e.what, sizeof e.what, words[d[8] % N_OF(words)]);
    for (size_t k = 0; k < 2; k++) {
        double v = figure_of(d + 11 + 4 * k, d[9 + k] % FIGURE_N, wild);

        entry_set(&e, d[9 + k] % FIGURE_N, isnan(v) ? 0 : v);
    }
    if (d[20] & 3) {
        e.n_amounts = 1;
        name_it(e.amount[0].product, sizeof e.amount[0].product, things[6 + d[20] % 4]);
        e.amount[0].amount = d[19] * (wild ? 1e300 : 1.0);
    }
    return e;
}

static void look(const struct room *room, const struct state *s, int64_t now_s, bool wild)
{
    struct agenda a = {0};
    struct alarms alarms = {0};
    struct notices notices = {0};

    agenda_derive(room, s, now_s, PLANNED_FOR, NULL, false, &a);
    alarms_derive(room, s, now_s, &alarms);
    notices_derive(room, s, &a, now_s, &notices);
    for (size_t i = 0; i < room->n_containers && !wild; i++) {
        struct forecast f = forecast_container(room, s, i, now_s);

        FUZZ_HOLDS(isfinite(f.body.volume_l) && f.body.volume_l >= -1e-9);
        FUZZ_HOLDS(!isinf(f.body.ec_ms_cm));
    }
    notices_deinit(&notices);
    alarms_deinit(&alarms);
    agenda_deinit(&a);
}

static void write_and_read(const struct room *room, const struct state *s)
{
    struct text bytes = {0};
    struct state back = {0};

    state_write(s, &bytes);
    FUZZ_HOLDS(state_read(&back, room, bytes.s, bytes.len));
    FUZZ_HOLDS(state_equal(&back, s, NULL));
    state_deinit(&back);
    text_deinit(&bytes);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    int64_t at_s = at(0, 8);
    struct room room;
    struct state s;
    bool wild;

    if (size < 1 + ENTRY_LEN || size > 1 + (size_t)ENTRY_LEN * ENTRIES_MOST) {
        return 0;
    }
    wild = data[0] & 1;
    room = a_room();
    state_init(&s, &room);
    for (size_t at = 1; at + ENTRY_LEN <= size; at += ENTRY_LEN) {
        struct entry e = entry_from(data + at, wild, (int64_t)(at / ENTRY_LEN) + 1, &at_s);

        if (wild || entry_check_form(&room, &e, true, NULL) == 0) {
            fold_entry(&s, &room, &e);
        }
    }
    look(&room, &s, at_s + 3600, wild);
    write_and_read(&room, &s);
    state_deinit(&s);
    room_deinit(&room);
    return 0;
}
