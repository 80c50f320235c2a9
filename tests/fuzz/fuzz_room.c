/* Any bytes as a room file: a whole room or faults, and each fault can be shown. */
#include "tests/fuzz/fuzz_target.h"

#include "config/read/room_read.h"
#include "daemon/base/text.h"
#include "daemon/base/utf8.h"

#include <string.h>

static void check_text(const char *s)
{
    size_t left = strlen(s);
    unsigned code = 0;

    while (left > 0) {
        size_t n = utf8_at(s, left, &code);

        FUZZ_HOLDS(n > 0); /* else no JSON could be made of it */
        FUZZ_HOLDS(code >= 0x20 && !utf8_is_hidden(code));
        s += n;
        left -= n;
    }
}

static void check_fault(const struct err *fault, const char *text, size_t len)
{
    struct text shown = {0};

    FUZZ_HOLDS(fault->code == ERR_CONFIG && fault->line > 0 && fault->column > 0);
    check_text(fault->msg);
    room_fault_format(fault, text, len, &shown);
    text_deinit(&shown);
}

static void check_room(const struct room *r)
{
    check_text(r->name);
    for (size_t i = 0; i < r->n_containers; i++) {
        const struct container *c = &r->container[i];
        struct subject s = room_find(r, c->name);

        FUZZ_HOLDS(s.kind == SUBJECT_CONTAINER && s.at == i);
        FUZZ_HOLDS(c->crop < r->n_crops);
        FUZZ_HOLDS(c->remainder_l < c->float_volume_l && c->float_volume_l < c->start_volume_l);
    }
    for (size_t i = 0; i < r->n_crops; i++) {
        FUZZ_HOLDS(r->crop[i].n_stages >= 1 && r->crop[i].stage[0].from_day == 0);
        for (size_t k = 0; k < r->crop[i].n_stages; k++) {
            FUZZ_HOLDS(r->crop[i].stage[k].recipe_at < r->n_recipes);
        }
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const char *text = (const char *)data;
    struct room_faults faults;
    struct room r = {0};
    int rc = room_read_text("fuzz", text, size, NULL, &r, &faults);

    FUZZ_HOLDS((rc == 0) == (faults.n == 0));
    FUZZ_HOLDS(faults.n_more == 0 || faults.n == ROOM_FAULTS_MAX);
    for (size_t i = 0; i < faults.n; i++) {
        check_fault(&faults.fault[i], text, size);
    }
    if (rc == 0) {
        check_room(&r);
    }
    room_deinit(&r);
    return 0;
}
