#include "cli/bulk.h"

#include "cli/link.h"
#include "cli/plain.h"
#include "daemon/base/err.h"
#include "daemon/base/text.h"
#include "daemon/base/wire.h"

#include <errno.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define LINES_MAX   400
#define BATCH_BYTES (WIRE_LINE_MAX - 4096) /* of lines; the request around them is small */
#define CHUNK       65536

/* Lines on their way: those of one request, and their numbers. */
struct reading_batch {
    json_t *readings;
    unsigned long long line[LINES_MAX];
    size_t bytes;
};

struct stream {
    const struct bulk *b;
    struct bulk_sum *sum;
    struct link link;
    struct text in; /* bytes read and not used yet, from `at` on */
    size_t at;
    bool ended;
    unsigned long long n_lines;
    struct view view; /* once `greeted` */
    bool greeted;
    struct reading_batch batch;
};

static void verdict(const struct stream *s, unsigned long long line, const char *why)
{
    json_t *o;
    char *text;

    if (!s->b->json) {
        if (why) {
            (void)fprintf(s->b->errs, "line %llu: %s\n", line, why);
        }
        return;
    }
    o = json_pack("{s:I,s:b,s:s?}", "line", (json_int_t)line, "taken", !why, "why", why);
    text = json_dumps(o, JSON_COMPACT);
    (void)fprintf(s->b->out, "%s\n", text ? text : "{}");
    free(text);
    json_decref(o);
}

static void refuse(struct stream *s, unsigned long long line, const char *why)
{
    s->sum->refused++;
    verdict(s, line, why);
}

static int call_once(struct stream *s, json_t *params, json_t **out, struct err *e)
{
    int rc = s->link.fd < 0 ? link_open(&s->link, s->b->path, e) : 0;

    return rc < 0 ? rc : link_call(&s->link, "readings", params, out, e);
}

/* Once more where the connection broke: its key makes that safe. */
static int call(struct stream *s, json_t *params, json_t **out, struct err *e)
{
    int rc = call_once(s, params, out, e);

    if (rc == LINK_LOST) {
        link_close(&s->link);
        rc = call_once(s, params, out, e);
        if (rc == LINK_LOST || rc == LINK_NO_DAEMON) {
            err_prefix(e,
                       "nobody knows whether line %llu and those after it were written down; run "
                       "it again with --key %s, which is safe: ",
                       s->batch.line[0], s->b->key);
            rc = LINK_LOST;
        }
    }
    return rc;
}

static int send(struct stream *s, struct err *e)
{
    size_t n = json_array_size(s->batch.readings);
    json_t *params;
    json_t *answer = NULL;
    char key[64];
    int rc;

    if (n == 0) {
        return 0;
    }
    (void)snprintf(key, sizeof key, "%.40s-%llu", s->b->key, s->batch.line[0]);
    params = json_pack("{s:O,s:b,s:s}", "readings", s->batch.readings, "sure", (int)s->b->sure,
                       "key", key);
    if (s->b->sensor) {
        json_object_set_new(params, "sensor", json_true());
    }
    rc = call(s, params, &answer, e);
    for (size_t i = 0; i < n && rc == 0; i++) {
        const json_t *why = json_array_get(json_object_get(answer, "refused"), i);

        if (json_is_string(why)) {
            refuse(s, s->batch.line[i], json_string_value(why));
        } else {
            s->sum->taken++;
            verdict(s, s->batch.line[i], NULL);
        }
    }
    if (rc == 0 && fflush(s->b->out) != 0) {
        rc = err_set(e, -errno, "cannot write the verdicts: %s", strerror(errno));
    }
    json_decref(params);
    json_decref(answer);
    (void)json_array_clear(s->batch.readings);
    s->batch.bytes = 0;
    return rc;
}

/* The units of the room: a line in words has none. */
static int greet(struct stream *s, struct err *e)
{
    json_t *nothing = json_object();
    json_t *answer = NULL;
    int rc = 0;

    if (!s->greeted) {
        rc = s->link.fd < 0 ? link_open(&s->link, s->b->path, e) : 0;
        rc = rc < 0 ? rc : link_call(&s->link, "clock", nothing, &answer, e);
    }
    json_decref(answer);
    json_decref(nothing);
    if (rc == 0 && !s->greeted) {
        view_init(&s->view, s->link.hello);
        s->greeted = true;
    }
    return rc;
}

/* What stands in a line; *found stays empty, with *why, where it cannot be read. */
static int read_line(struct stream *s, const char *line, size_t len, json_t *found, struct err *why,
                     struct err *e)
{
    json_error_t fault;
    json_t *reading;
    struct text words = {0};
    int rc;

    if (strchr("{[", line[strspn(line, " \t")])) {
        reading = json_loadb(line, len, JSON_REJECT_DUPLICATES, &fault);
        if (json_is_object(reading)) {
            (void)json_array_append(found, reading);
        } else {
            (void)err_set(why, ERR_SYNTAX, "%s", reading ? "it is no JSON object" : fault.text);
        }
        json_decref(reading);
        return 0;
    }
    text_add_bytes(&words, line, len);
    rc = plain_readings(text_str(&words), &s->view, found, why); /* is it any? */
    (void)json_array_clear(found);
    rc = rc < 0 ? 0 : greet(s, e);
    if (rc == 0 && !why->code) {
        (void)plain_readings(text_str(&words), &s->view, found, why);
    }
    text_deinit(&words);
    return rc;
}

static int take_line(struct stream *s, const char *line, size_t len, struct err *e)
{
    size_t n = json_array_size(s->batch.readings);
    json_t *found;
    json_t *reading;
    struct err why = {0};
    size_t i;
    int rc = 0;

    s->n_lines++;
    if (len == 0) {
        return 0;
    }
    if (len > WIRE_LINE_MAX / 4) {
        refuse(s, s->n_lines, "the line is too long for a reading");
        return 0;
    }
    found = json_array();
    rc = read_line(s, line, len, found, &why, e);
    if (rc == 0 && why.code) {
        refuse(s, s->n_lines, why.msg);
    }
    if (rc == 0 && (n + json_array_size(found) > LINES_MAX || s->batch.bytes + len > BATCH_BYTES)) {
        rc = send(s, e);
        n = 0;
    }
    json_array_foreach(found, i, reading)
    {
        if (rc < 0) {
            break;
        }
        if (n == LINES_MAX) {
            rc = send(s, e);
            n = 0;
        }
        if (s->b->at && !json_object_get(reading, "at")) {
            (void)json_object_set_new(reading, "at", json_string(s->b->at));
        }
        s->batch.line[n++] = s->n_lines;
        s->batch.bytes += len;
        (void)json_array_append(s->batch.readings, reading);
    }
    json_decref(found);
    return rc;
}

/* Is there more to read without waiting? */
static bool is_ready(const struct stream *s)
{
    struct pollfd p = {.fd = s->b->in, .events = POLLIN};

    return poll(&p, 1, 0) > 0;
}

static int read_more(struct stream *s, struct err *e)
{
    char chunk[CHUNK];
    ssize_t n;

    do {
        n = read(s->b->in, chunk, sizeof chunk);
    } while (n < 0 && errno == EINTR);
    if (n < 0) {
        return err_set(e, -errno, "cannot read the readings: %s", strerror(errno));
    }
    s->ended = n == 0;
    text_add_bytes(&s->in, chunk, (size_t)n);
    return 0;
}

/* The lines that are whole; at the end of the input the last one is, too. */
static int take_lines(struct stream *s, struct err *e)
{
    struct text rest = {0};
    int rc = 0;

    while (rc == 0 && s->at < s->in.len) {
        const char *from = text_str(&s->in) + s->at;
        const char *end = memchr(from, '\n', s->in.len - s->at);
        size_t len = end ? (size_t)(end - from) : s->in.len - s->at;

        if (!end && !s->ended) {
            break;
        }
        rc = take_line(s, from, len, e);
        s->at += len + (end != NULL);
    }
    text_add_bytes(&rest, text_str(&s->in) + s->at, s->in.len - s->at);
    text_deinit(&s->in);
    s->in = rest;
    s->at = 0;
    return rc;
}

int bulk_readings(const struct bulk *b, struct bulk_sum *sum, struct err *e)
{
    struct stream s = {.b = b, .sum = sum, .link = {.fd = -1}, .batch.readings = json_array()};
    int rc = 0;

    if (b->text) {
        text_add(&s.in, "%s", b->text);
        s.ended = true;
        rc = take_lines(&s, e);
    }
    while (rc == 0 && !s.ended) {
        if (!b->whole && !is_ready(&s)) { /* nothing comes now: what is there goes out */
            rc = send(&s, e);
        }
        if (rc == 0) {
            rc = read_more(&s, e);
        }
        if (rc == 0) {
            rc = take_lines(&s, e);
        }
        if (rc == 0 && s.in.len > WIRE_LINE_MAX) {
            rc = err_set(e, ERR_SYNTAX, "line %llu does not end", s.n_lines + 1);
        }
    }
    rc = rc == 0 ? send(&s, e) : rc;
    link_close(&s.link);
    text_deinit(&s.in);
    json_decref(s.batch.readings);
    return rc;
}
