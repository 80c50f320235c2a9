#include "daemon/core/words/care.h"

const char *care_word(enum care_kind k)
{
    static const char *const words[CARE_KIND_N] = {"float", "valve", "filter", "reservoir", "read"};

    return words[k];
}
