#include "config/read/fault_print.h"

#include "config/read/fault.h"
#include "config/read/file_read.h"
#include "daemon/base/mem.h"
#include "daemon/base/text.h"

#include <stdlib.h>
#include <string.h>

/* Fills buf with the start of a file; a file that cannot be read is as an empty one: the fault says
 * so itself. */
static size_t read_start(const char *path, char *buf, size_t len)
{
    FILE *f = fopen(path, "re");
    size_t n = f ? fread(buf, 1, len, f) : 0;

    if (f) {
        (void)fclose(f);
    }
    return n;
}

static void print_all(const struct err *all, size_t n, const char *head, FILE *to)
{
    char *buf = mem_array(ROOM_FILE_MAX, 1);
    const char *file = "";
    size_t len = 0;

    for (size_t i = 0; i < n; i++) {
        const struct err *fault = &all[i];
        struct text shown = {0};

        if (fault->line && strcmp(file, fault->file) != 0) { /* they come sorted by file */
            file = fault->file;
            len = read_start(file, buf, ROOM_FILE_MAX);
        }
        room_fault_format(fault, fault->line ? buf : NULL, len, &shown);
        (void)fprintf(to, "%s%s", head, text_str(&shown));
        text_deinit(&shown);
    }
    free(buf);
}

void fault_print(const struct room_faults *faults, FILE *to)
{
    print_all(faults->fault, faults->n, "", to);
    if (faults->n_more) {
        (void)fprintf(to, "and %zu more\n", faults->n_more);
    }
}

void fault_print_warnings(const struct room_faults *faults, FILE *to)
{
    print_all(faults->warning, faults->n_warnings, "warning: ", to);
}
