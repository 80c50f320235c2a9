#include "daemon/store/standing.h"

#include <string.h>

/* "tarn", then the version of this form. Behind the last field are zeros, so that a later program
 * may put more there. */
static const unsigned char mark[8] = {'t', 'a', 'r', 'n', 1};

#define BODY_LEN (STANDING_LEN - SEAL_LEN)

static unsigned char *put(unsigned char *p, const void *bytes, size_t n)
{
    memcpy(p, bytes, n);
    return p + n;
}

static unsigned char *put_int(unsigned char *p, uint64_t v)
{
    for (unsigned i = 0; i < 8; i++) {
        *p++ = (unsigned char)(v >> (8 * i));
    }
    return p;
}

static const unsigned char *get(const unsigned char *p, void *bytes, size_t n)
{
    memcpy(bytes, p, n);
    return p + n;
}

static const unsigned char *get_int(const unsigned char *p, void *out)
{
    uint64_t v = 0;

    for (unsigned i = 0; i < 8; i++) {
        v |= (uint64_t)*p++ << (8 * i);
    }
    memcpy(out, &v, sizeof v);
    return p;
}

void standing_write(const struct standing *s, unsigned char out[STANDING_LEN])
{
    unsigned char *p = out;
    struct seal own;

    memset(out, 0, STANDING_LEN);
    p = put(p, mark, sizeof mark);
    p = put(p, s->id, sizeof s->id);
    p = put_int(p, s->written);
    p = put_int(p, (uint64_t)s->entries);
    p = put(p, s->last.byte, sizeof s->last.byte);
    p = put_int(p, (uint64_t)s->version);
    p = put_int(p, s->tables);
    p = put_int(p, s->tasks);
    p = put_int(p, s->keys);
    p = put_int(p, (uint64_t)s->last_task);
    p = put_int(p, (uint64_t)s->day_started);
    p = put_int(p, (uint64_t)s->clock);
    memcpy(p, s->room, strnlen(s->room, STANDING_ROOM_MAX)); /* no bytes behind the text's end */
    p = put_int(p + STANDING_ROOM_MAX, (uint64_t)s->latest_told_s);
    *p = s->meant;
    own = seal_of(out, BODY_LEN);
    memcpy(out + BODY_LEN, own.byte, sizeof own.byte);
}

bool standing_read(const unsigned char in[STANDING_LEN], struct standing *out)
{
    const unsigned char *p = in + sizeof mark;
    struct seal own = seal_of(in, BODY_LEN);
    uint64_t clock = 0;

    if (memcmp(in + BODY_LEN, own.byte, sizeof own.byte) != 0 ||
        memcmp(in, mark, sizeof mark) != 0) {
        return false;
    }
    *out = (struct standing){0};
    p = get(p, out->id, sizeof out->id);
    p = get_int(p, &out->written);
    p = get_int(p, &out->entries);
    p = get(p, out->last.byte, sizeof out->last.byte);
    p = get_int(p, &out->version);
    p = get_int(p, &out->tables);
    p = get_int(p, &out->tasks);
    p = get_int(p, &out->keys);
    p = get_int(p, &out->last_task);
    p = get_int(p, &out->day_started);
    p = get_int(p, &clock);
    out->clock = (enum standing_clock)clock;
    p = get(p, out->room, STANDING_ROOM_MAX);
    p = get_int(p, &out->latest_told_s);
    out->meant = *p != 0;
    return true;
}
