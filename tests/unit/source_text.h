/* source_text.h - the text of our own sources, for tests that hold two places to one list. */
#ifndef TARN_TESTS_SOURCE_TEXT_H
#define TARN_TESTS_SOURCE_TEXT_H

#include "daemon/base/text.h"

#include <glob.h>
#include <stdio.h>

/* Adds all files that match the pattern (below the source tree) to *out; returns how many. */
static inline size_t source_text(const char *pattern, struct text *out)
{
    char path[512];
    char buf[4096];
    glob_t found = {0};
    size_t n = 0;

    (void)snprintf(path, sizeof path, "%s/%s", TARN_SOURCE_DIR, pattern);
    (void)glob(path, 0, NULL, &found);
    for (size_t i = 0; i < found.gl_pathc; i++) {
        FILE *f = fopen(found.gl_pathv[i], "re");
        size_t len;

        while (f && (len = fread(buf, 1, sizeof buf, f)) > 0) {
            text_add_bytes(out, buf, len);
        }
        n += f && fclose(f) == 0;
    }
    globfree(&found);
    return n;
}

#endif
