/* Runs a fuzz target over the files of the folders that are named, in order: what was found once
 * is looked at in every run of the tests, without a fuzzer. */
#include "tests/fuzz/fuzz_target.h"

#include <dirent.h>
#include <errno.h>
#include <string.h>
#include <sys/stat.h>

#define INPUT_MAX (1024 * 1024)

/* Each input stands alone in memory of its own size, so that a read beyond it is seen. */
static int replay_file(const char *path)
{
    static uint8_t whole[INPUT_MAX];
    FILE *f = fopen(path, "re");
    uint8_t *input;
    size_t n;

    if (!f) {
        (void)fprintf(stderr, "%s: %s\n", path, strerror(errno));
        return -1;
    }
    n = fread(whole, 1, sizeof whole, f);
    (void)fclose(f);
    input = malloc(n ? n : 1);
    if (!input) {
        return -1;
    }
    memcpy(input, whole, n);
    (void)LLVMFuzzerTestOneInput(input, n);
    free(input);
    return 0;
}

static int replay_folder(const char *dir)
{
    struct dirent **name = NULL;
    int n = scandir(dir, &name, NULL, alphasort);
    int n_files = 0;
    char path[4096];
    struct stat st;

    for (int i = 0; i < n; i++) {
        (void)snprintf(path, sizeof path, "%s/%s", dir, name[i]->d_name);
        free(name[i]);
        if (stat(path, &st) == 0 && S_ISREG(st.st_mode) && replay_file(path) == 0) {
            n_files++;
        }
    }
    free(name);
    return n_files;
}

int main(int argc, char **argv)
{
    int n_files = 0;

    for (int i = 1; i < argc; i++) {
        n_files += replay_folder(argv[i]);
    }
    printf("%d inputs\n", n_files);
    return n_files > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
