#include "daemon/core/words/entry_kind.h"

#include "daemon/core/words/subject.h"

#include <string.h>

#define ON(kind) (1U << (unsigned)(kind))
#define F(name)  FIGURE_BIT(FIGURE_##name)

enum {
    POT = ON(SUBJECT_CONTAINER),
    TANK = ON(SUBJECT_RESERVOIR),
    ANYTHING = ON(SUBJECT_ROOM) | TANK | POT | ON(SUBJECT_PRODUCT) | ON(SUBJECT_RECIPE) |
               ON(SUBJECT_METER),
};

/* By hand, so that a kind is read at a glance. */
/* clang-format off */
const struct entry_def entry_kinds[] = {
    [ENTRY_STARTED] = {
        .word = "started", .says = "started",
        .subjects = POT, .what = WHAT_CROP,
        .needs = F(EC_MS_CM), .takes = F(VOLUME_L) | F(WAS_MS_CM) | F(PH) | F(TEMP_C) | F(TOOK_MIN),
        .amounts = true, .recordable = true,
        .help = "a plant set into a container: started A1 ec=0.7mS/cm",
    },
    [ENTRY_READING] = {
        .word = "reading", .says = "reading",
        .subjects = POT | TANK, .what = WHAT_METER,
        .needs_one = F(VOLUME_L) | F(EC_MS_CM) | F(PH) | F(TEMP_C),
        .takes = F(TOOK_MIN),
        .recordable = true,
        .help = "what a meter or the level showed: reading A1 ec=1.2mS/cm ph=5.8",
    },
    [ENTRY_FLOAT_SEEN] = {
        .word = "float-seen", .says = "float seen",
        .subjects = POT, .what = WHAT_YES_NO,
        .takes = F(VOLUME_L) | F(TOOK_MIN),
        .recordable = true,
        .help = "is the float valve working yet: float-seen A1 float=yes",
    },
    [ENTRY_DRAINED] = {
        .word = "drained", .says = "drained",
        .subjects = POT,
        .takes = F(VOLUME_L) | F(WAS_MS_CM) | F(TEMP_C),
        .recordable = true,
        .help = "a container drained: drained A1",
    },
    [ENTRY_REFILLED] = {
        .word = "refilled", .says = "refilled",
        .subjects = POT, .what = WHAT_RECIPE,
        .needs = F(EC_MS_CM), .takes = F(VOLUME_L) | F(WAS_MS_CM) | F(PH) | F(TEMP_C) | F(TOOK_MIN),
        .amounts = true, .recordable = true,
        .help = "refilled to the float line: refilled A1 recipe=leaf ec=1.4mS/cm",
    },
    [ENTRY_BUMPED] = {
        .word = "bumped", .says = "bumped",
        .subjects = POT, .what = WHAT_RECIPE,
        .needs = F(EC_MS_CM), .takes = F(WAS_MS_CM) | F(PH) | F(TEMP_C) | F(TOOK_MIN),
        .amounts = true, .recordable = true,
        .help = "concentrate stirred in: bumped A1 was=1.1mS/cm ec=1.5mS/cm calcium-part=8mL",
    },
    [ENTRY_TOPPED_UP] = {
        .word = "topped-up", .says = "topped up by hand",
        .subjects = POT,
        .needs = F(ADDED_L), .takes = F(EC_MS_CM),
        .recordable = true,
        .help = "plain water by hand: topped-up A1 added=1L",
    },
    [ENTRY_RESERVOIR_FILLED] = {
        .word = "reservoir-filled", .says = "filled",
        .subjects = TANK,
        .needs_one = F(VOLUME_L) | F(ADDED_L),
        .takes = F(EC_MS_CM) | F(PH) | F(TEMP_C) | F(TOOK_MIN),
        .amounts = true, .recordable = true,
        .help = "plain water let in: reservoir-filled reservoir volume=90L added=30L",
    },
    [ENTRY_MIX_MADE] = {
        .word = "mix-made", .says = "mix made",
        .subjects = TANK, .what = WHAT_RECIPE,
        .needs = F(VOLUME_L) | F(EC_MS_CM), .takes = F(WAS_MS_CM) | F(PH) | F(TEMP_C),
        .amounts = true, .recordable = true,
        .help = "solution made: mix-made reservoir recipe=leaf volume=40L ec=1.4mS/cm",
    },
    [ENTRY_RESERVOIR_RINSED] = {
        .word = "reservoir-rinsed", .says = "emptied and rinsed",
        .subjects = TANK,
        .recordable = true,
        .help = "emptied and rinsed: reservoir-rinsed reservoir",
    },
    [ENTRY_PH_ADJUSTED] = {
        .word = "ph-adjusted", .says = "pH adjusted",
        .subjects = POT | TANK,
        .needs = F(PH), .takes = F(TEMP_C) | F(TOOK_MIN),
        .amounts = true, .recordable = true,
        .help = "acid or base stirred in: ph-adjusted A1 ph=5.8 ph-down=2mL",
    },
    [ENTRY_STAGE_SEEN] = {
        .word = "stage-seen", .says = "stage seen",
        .subjects = POT, .what = WHAT_STAGE,
        .recordable = true,
        .help = "a growth stage has begun: stage-seen A1 stage=flowering",
    },
    [ENTRY_OBSERVATION] = {
        .word = "observation", .says = "observation",
        .subjects = POT | TANK, .what = WHAT_OBSERVATION,
        .recordable = true,
        .help = "something seen: observation A1 saw=tip-burn",
    },
    [ENTRY_HARVESTED] = {
        .word = "harvested", .says = "harvested",
        .subjects = POT, .what = WHAT_PART_FINAL,
        .takes = F(YIELD_G) | F(TOOK_MIN),
        .recordable = true,
        .help = "harvested A1 what=part yield=400g; final ends the planting",
    },
    [ENTRY_CLEANED] = {
        .word = "cleaned", .says = "cleaned",
        .subjects = POT,
        .recordable = true,
        .help = "an emptied container cleaned: cleaned A1",
    },
    [ENTRY_CALIBRATED] = {
        .word = "calibrated", .says = "calibrated",
        .subjects = ON(SUBJECT_METER),
        .needs = F(SLOPE_PCT), .takes = F(OFFSET_MV) | F(TEMP_C) | F(TOOK_MIN),
        .recordable = true,
        .help = "a meter calibrated: calibrated ph-pen slope=97%",
    },
    [ENTRY_CARED_FOR] = {
        .word = "cared-for", .says = "cared for",
        .subjects = POT | TANK | ON(SUBJECT_ROOM), .what = WHAT_CARE,
        .takes = F(TOOK_MIN),
        .recordable = true,
        .help = "a float, valve or filter seen to: cared-for A1 what=float",
    },
    [ENTRY_STOCK_RECEIVED] = {
        .word = "stock-received", .says = "stock received",
        .subjects = ON(SUBJECT_PRODUCT), .what = WHAT_SAME_OTHER,
        .needs = F(AMOUNT),
        .recordable = true,
        .help = "a product came; of another strength with strength=other: "
                "stock-received calcium-part amount=5L",
    },
    [ENTRY_DIED] = {
        .word = "died", .says = "died",
        .subjects = POT,
        .recordable = true,
        .help = "the plant died, which ends its planting: died A1",
    },
    [ENTRY_MOVED] = {
        .word = "moved", .says = "moved to",
        .subjects = POT, .what = WHAT_CONTAINER,
        .recordable = true,
        .help = "a plant with its water changed places with another, or went to an idle one: moved "
                "A1 to=A3",
    },
    [ENTRY_EMPTIED] = {
        .word = "emptied", .says = "emptied by accident, now",
        .subjects = POT | TANK,
        .needs = F(VOLUME_L),
        .recordable = true,
        .help = "water ran out by accident; volume is what is left: emptied A1 volume=2L",
    },
    [ENTRY_SPILLED] = {
        .word = "spilled", .says = "spilled",
        .subjects = ON(SUBJECT_PRODUCT),
        .needs = F(AMOUNT),
        .recordable = true,
        .help = "a product was lost: spilled calcium-part amount=200mL",
    },
    [ENTRY_STOCK_COUNTED] = {
        .word = "stock-counted", .says = "counted",
        .subjects = ON(SUBJECT_PRODUCT),
        .needs = F(AMOUNT),
        .recordable = true,
        .help = "how much of a product there is: stock-counted calcium-part amount=3.2L",
    },
    [ENTRY_METER_NEW] = {
        .word = "meter-new", .says = "another meter of this name",
        .subjects = ON(SUBJECT_METER),
        .recordable = true,
        .help = "a new meter takes the place of the old one: meter-new ph-pen",
    },
    [ENTRY_NOTE] = {
        .word = "note", .says = "note",
        .subjects = ANYTHING,
        .recordable = true,
        .help = "a line for the record: note A1 --note \"moved to the window\"",
    },
    [ENTRY_DEFERRED] = {
        .word = "deferred", .says = "put off",
        .subjects = ANYTHING, .what = WHAT_JOB,
        .help = "",
    },
    [ENTRY_DROPPED] = {
        .word = "dropped", .says = "dropped",
        .subjects = ANYTHING, .what = WHAT_JOB,
        .help = "",
    },
    [ENTRY_ACKNOWLEDGED] = {
        .word = "acknowledged", .says = "acknowledged",
        .subjects = ANYTHING, .what = WHAT_JOB,
        .takes = F(TOOK_MIN) | F(JOBS),
        .help = "",
    },
    [ENTRY_VOIDED] = {
        .word = "voided", .says = "voided",
        .subjects = ANYTHING,
        .help = "",
    },
    [ENTRY_STOOD] = {
        .word = "stood", .says = "stood overnight",
        .subjects = TANK,
        .needs = F(ADDED_L),
        .recordable = true,
        .help = "a night with every shut-off closed: stood reservoir added=0L",
    },
};
/* clang-format on */

_Static_assert(sizeof entry_kinds / sizeof *entry_kinds == ENTRY_KIND_N,
               "a kind of entry without its row");

int entry_kind_find(const char *word)
{
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        if (strcmp(entry_kinds[k].word, word) == 0) {
            return k;
        }
    }
    return -1;
}
