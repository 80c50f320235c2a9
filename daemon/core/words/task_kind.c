#include "daemon/core/words/task_kind.h"

#include <string.h>

const struct task_kind_def task_kinds[TASK_KIND_N] = {
#define AS_ROW(kind, word, morning, waits, kills, recipe, rests, day)                              \
    [TASK_##kind] = {word, morning, waits, kills, recipe, rests, day},
    TASK_KINDS(AS_ROW)
#undef AS_ROW
};

const char *const task_words[TASK_KIND_N] = {
#define AS_WORD(kind, word, morning, waits, kills, recipe, rests, day) [TASK_##kind] = (word),
    TASK_KINDS(AS_WORD)
#undef AS_WORD
};

int task_kind_of_job(const char *word)
{
    size_t n = strcspn(word, " ");

    for (int k = 0; k < TASK_KIND_N; k++) {
        if (strlen(task_words[k]) == n && strncmp(task_words[k], word, n) == 0) {
            return k;
        }
    }
    return -1;
}
