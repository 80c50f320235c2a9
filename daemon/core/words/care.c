#include "daemon/core/words/care.h"

const char *care_word(enum care_kind k)
{
    switch (k) {
    case CARE_FLOAT:
        return "float";
    case CARE_VALVE:
        return "valve";
    case CARE_FILTER:
        return "filter";
    case CARE_RESERVOIR:
        return "reservoir";
    case CARE_READ:
        return "read";
    case CARE_OVERNIGHT:
        return "overnight";
    case CARE_KIND_N:
        break;
    }
    return "";
}
