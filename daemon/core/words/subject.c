#include "daemon/core/words/subject.h"

const char *subject_kind_word(enum subject_kind k)
{
    switch (k) {
    case SUBJECT_NONE:
        return "nothing";
    case SUBJECT_ROOM:
        return "the room";
    case SUBJECT_RESERVOIR:
        return "the reservoir";
    case SUBJECT_CONTAINER:
        return "a container";
    case SUBJECT_PRODUCT:
        return "a product";
    case SUBJECT_RECIPE:
        return "a recipe";
    case SUBJECT_METER:
        return "a meter";
    case SUBJECT_KIND_N:
        break;
    }
    return "";
}
