#include "daemon/core/words/subject.h"

const char *const subject_kind_words[SUBJECT_KIND_N] = {
    [SUBJECT_NONE] = "nothing",
    [SUBJECT_ROOM] = "the room",
    [SUBJECT_RESERVOIR] = "the reservoir",
    [SUBJECT_CONTAINER] = "a container",
    [SUBJECT_PRODUCT] = "a product",
    [SUBJECT_RECIPE] = "a recipe",
    [SUBJECT_METER] = "a meter",
};
