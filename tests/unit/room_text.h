/* room_text.h - for the tests of the room file: good rooms read, and all that is said of a text. */
#ifndef TARN_TESTS_UNIT_ROOM_TEXT_H
#define TARN_TESTS_UNIT_ROOM_TEXT_H

#include "tests/cmocka_all.h"

#include "config/read/file_read.h"
#include "config/read/room_read.h"
#include "daemon/base/mem.h"
#include "daemon/base/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define ROOMS TARN_SOURCE_DIR "/config/rooms/"
#define DATA  TARN_SOURCE_DIR "/tests/data/"
#define BAD   DATA "rooms-bad/"

/* The room of a file, with the crops built in; the caller deinits it. Fails with the reader's
 * first fault. */
static inline struct room read_good(const char *path)
{
    struct room_faults faults;
    struct room r;

    if (room_read(path, NULL, &r, &faults) < 0) {
        fail_msg("%s:%u:%u: %s", faults.fault[0].file, faults.fault[0].line, faults.fault[0].column,
                 faults.fault[0].msg);
    }
    return r;
}

/* The whole of a file; the caller frees it. */
static inline char *slurp(const char *path, size_t *out_len)
{
    FILE *f = fopen(path, "re");
    char *text = mem_array(ROOM_FILE_MAX, 1);

    if (!f) {
        fail_msg("there is no %s", path);
    }
    *out_len = fread(text, 1, ROOM_FILE_MAX - 1, f);
    (void)fclose(f);
    return text;
}

/* All that is said about a text, a line each; the caller frees it. */
static inline char *said_about(const char *name, const char *text, size_t len)
{
    struct room_faults faults;
    struct room r;
    struct text said = {0};

    if (room_read_text(name, text, len, NULL, &r, &faults) == 0) {
        room_deinit(&r);
    }
    for (size_t i = 0; i < faults.n; i++) {
        room_fault_format(&faults.fault[i], NULL, 0, &said);
    }
    if (faults.n_more) {
        text_add(&said, "and %zu more\n", faults.n_more);
    }
    for (size_t i = 0; i < faults.n_warnings; i++) {
        text_add(&said, "warning: ");
        room_fault_format(&faults.warning[i], NULL, 0, &said);
    }
    return text_take(&said);
}

/* Fails unless just this is said of the text, as x.yaml; expected is "" for a good one. */
static inline void assert_said(const char *text, size_t len, const char *expected)
{
    char *said = said_about("x.yaml", text, len);

    assert_string_equal(said, expected);
    free(said);
}

/* n times `what` between two texts; the caller frees it. */
static inline char *repeat(const char *before, const char *what, size_t n, const char *after)
{
    struct text t = {0};

    text_add(&t, "%s", before);
    for (size_t i = 0; i < n; i++) {
        text_add(&t, "%s", what);
    }
    text_add(&t, "%s", after);
    return text_take(&t);
}

/* The small room with one piece of its text changed; the caller frees it. */
static inline char *small_with(const char *old, const char *new)
{
    size_t len;
    char *small = slurp(DATA "rooms/small.yaml", &len);
    char *at = strstr(small, old);
    struct text t = {0};

    if (!at || strstr(at + 1, old)) {
        fail_msg("the small room has '%s' not just once", old);
    }
    text_add(&t, "%.*s%s%s", (int)(at - small), small, new, at + strlen(old));
    free(small);
    return text_take(&t);
}

/* A change to the small room, and all that is said of it; "" = it is as good as before. */
struct edge {
    const char *old, *new, *said;
};

/* Fails unless each of the n changes, made to the small room by itself, meets what it says. */
static inline void assert_edges(const struct edge *edge, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        char *text = small_with(edge[i].old, edge[i].new);
        char *said = said_about("x", text, strlen(text));

        if (strcmp(said, edge[i].said) != 0) {
            fail_msg("'%s' says:\n%sand not:\n%s", edge[i].new, said, edge[i].said);
        }
        free(said);
        free(text);
    }
}

/* The small room so changed, which is good; the caller deinits it. */
static inline struct room good_with(const char *old, const char *new)
{
    char *text = small_with(old, new);
    struct room_faults faults;
    struct room r;

    if (room_read_text("x", text, strlen(text), NULL, &r, &faults) < 0) {
        fail_msg("'%s': %s", new, faults.fault[0].msg);
    }
    free(text);
    return r;
}

#endif
