#include "tests/fault/folder.h"

#include "daemon/base/err.h"
#include "tests/cmocka_all.h"

#include <dirent.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

void folder_make(char path[FOLDER_MOST])
{
    const char *parent = access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp";

    (void)snprintf(path, FOLDER_MOST, "%s/tarn-fault-XXXXXX", parent);
    assert_non_null(mkdtemp(path));
}

void folder_empty(const char *path)
{
    DIR *dir = opendir(path);
    struct dirent *name;

    assert_non_null(dir);
    while ((name = readdir(dir)) != NULL) {
        if (name->d_name[0] != '.') {
            assert_int_equal(unlinkat(dirfd(dir), name->d_name, 0), 0);
        }
    }
    (void)closedir(dir);
}

void folder_remove(const char *path)
{
    folder_empty(path);
    assert_int_equal(rmdir(path), 0);
}

struct journal *folder_open(const char *path)
{
    struct journal *j = NULL;
    struct err e = {0};

    if (journal_open(path, &j, &e) < 0) {
        fail_msg("%s", e.msg);
    }
    return j;
}

bool folder_is_empty_at(const unsigned char *bytes, size_t n, size_t at)
{
    size_t from = at / 64 * 64;

    for (size_t i = from; i < from + 64 && i < n; i++) {
        if (bytes[i]) {
            return false;
        }
    }
    return true;
}
