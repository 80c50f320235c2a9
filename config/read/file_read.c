#include "config/read/file_read.h"

#include "daemon/base/mem.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

bool file_read(struct faulty *f, const char *path, char **out, size_t *out_len)
{
    struct place nowhere = {0, 0};
    struct stat st;
    FILE *file = NULL;
    char *text = NULL;
    size_t n;

    if (stat(path, &st) == 0 && !S_ISREG(st.st_mode)) { /* a FIFO would be waited for */
        fault_at(f, nowhere, "it is not a file");
        return false;
    }
    file = fopen(path, "re");
    if (!file) {
        fault_at(f, nowhere, "it cannot be read: %s", strerror(errno));
        return false;
    }
    text = mem_array(ROOM_FILE_MAX + 1, 1); /* the one more shows that it is too large */
    n = fread(text, 1, ROOM_FILE_MAX + 1, file);
    if (ferror(file)) {
        fault_at(f, nowhere, "it cannot be read: %s", strerror(errno));
    } else if (n > ROOM_FILE_MAX) {
        fault_at(f, nowhere, "it is larger than the %d bytes that are read", ROOM_FILE_MAX);
    } else {
        *out = text;
        *out_len = n;
        (void)fclose(file);
        return true;
    }
    (void)fclose(file);
    free(text);
    return false;
}
