#include "daemon/core/words/hint.h"

#include "daemon/core/words/figure.h"

#include <stddef.h>
#include <strings.h>

struct pair {
    const char *word;
    const char *says;
};

#define DIED "a plant that died ends its planting: tarn record died A1"
#define EMPTY                                                                                      \
    "what ran out by accident: tarn record emptied A1 volume=0L; what was poured away is "         \
    "tarn record drained A1"
#define MEASURED "what was measured is a reading: tarn record reading A1 ec=1.2mS/cm ph=5.8"
#define STARTED  "a plant that was set in is started: tarn record started A1 ec=0.7mS/cm"
#define TOPPED   "plain water by hand is topped up: tarn record topped-up A1 added=1L"
#define CHANGED                                                                                    \
    "a change is two entries: tarn record drained A1, then tarn record refilled A1 ec=1.4mS/cm"
#define RECEIVED "what came is stock: tarn record stock-received PRODUCT amount=5L"
#define SAW      "what was seen is an observation: tarn record observation A1 saw=wilting"
#define RINSED   "tarn record reservoir-rinsed reservoir"
#define FILLED   "a fill is of the reservoir: tarn record reservoir-filled reservoir volume=90L"
#define MOVED    "plants that changed places: tarn record moved A1 to=A3"
#define COUNTED  "what is on the shelf: tarn record stock-counted PRODUCT amount=3L"
#define PICKED   "tarn record harvested A1 what=part yield=40g; what=final ends the planting"
#define METER    "another meter that takes its name: tarn record meter-new ph-pen"
#define LOST     "a product that was lost: tarn record spilled PRODUCT amount=200mL"
#define THROWN                                                                                     \
    "a mix that was thrown away: tarn record reservoir-rinsed reservoir; a vessel goes out of "    \
    "the "                                                                                         \
    "room file"
#define UNDONE "tarn undo takes back what was told last, tarn void ENTRY --why TEXT one entry"
#define DONE   "a task is acknowledged by its number: tarn ack 41"

static const struct pair hints[] = {
    {"dead",     DIED    },
    {"empty",    EMPTY   },
    {"measured", MEASURED},
    {"measure",  MEASURED},
    {"read",     MEASURED},
    {"level",    MEASURED},
    {"plant",    STARTED },
    {"planted",  STARTED },
    {"sown",     STARTED },
    {"added",    TOPPED  },
    {"add",      TOPPED  },
    {"topup",    TOPPED  },
    {"top-up",   TOPPED  },
    {"change",   CHANGED },
    {"changed",  CHANGED },
    {"bought",   RECEIVED},
    {"came",     RECEIVED},
    {"received", RECEIVED},
    {"seen",     SAW     },
    {"saw",      SAW     },
    {"wilting",  SAW     },
    {"rinse",    RINSED  },
    {"rinsed",   RINSED  },
    {"fill",     FILLED  },
    {"filled",   FILLED  },
    {"move",     MOVED   },
    {"swap",     MOVED   },
    {"swapped",  MOVED   },
    {"count",    COUNTED },
    {"counted",  COUNTED },
    {"cut",      PICKED  },
    {"picked",   PICKED  },
    {"harvest",  PICKED  },
    {"broken",   METER   },
    {"replaced", METER   },
    {"spill",    LOST    },
    {"lost",     LOST    },
    {"thrown",   THROWN  },
    {"delete",   UNDONE  },
    {"remove",   UNDONE  },
    {"revert",   UNDONE  },
    {"done",     DONE    },
    {"finish",   DONE    },
    {"finished", DONE    },
    {"complete", DONE    },
};

static const struct pair figures[] = {
    {"level",       "volume"},
    {"temperature", "temp"  },
};

static const char *find(const struct pair *p, size_t n, const char *word)
{
    for (size_t i = 0; i < n; i++) {
        if (strcasecmp(p[i].word, word) == 0) {
            return p[i].says;
        }
    }
    return NULL;
}

const char *hint_of(const char *word)
{
    return find(hints, sizeof hints / sizeof *hints, word);
}

const char *hint_figure(const char *word)
{
    for (int f = 0; f < FIGURE_N; f++) {
        if (strcasecmp(figure_defs[f].word, word) == 0) {
            return figure_defs[f].word;
        }
    }
    return find(figures, sizeof figures / sizeof *figures, word);
}
