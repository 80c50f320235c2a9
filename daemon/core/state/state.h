/* state.h - where the room stands: all that the journal has made of it, as one value.
 *
 * Pure, and only the value: fold.h makes it of the journal's entries, forecast.h and prediction.h
 * say what follows from it for any instant. Looking never changes a state.
 *
 * Invariants
 *  1. Each container has one anchor: an instant, and what it held then. All later values follow
 * from it.
 *  2. Volume on float is the float line; only a reading or an accident makes it otherwise.
 *  3. drawn_l is what the container has taken from the reservoir up to its anchor; it never falls.
 *  4. Times never run backwards: latest_s is the largest happened_s applied. */
#ifndef TARN_CORE_STATE_STATE_H
#define TARN_CORE_STATE_STATE_H

#include "daemon/core/model/belief.h"
#include "daemon/core/model/learning.h"
#include "daemon/core/model/ph_drift.h"
#include "daemon/core/model/record.h"
#include "daemon/core/model/solution.h"
#include "daemon/core/room/entry.h"
#include "daemon/core/room/room.h"
#include "daemon/core/room/sensor_hour.h"
#include "daemon/core/words/task_kind.h"

enum condition { CONDITION_IDLE, CONDITION_DRAWDOWN, CONDITION_ON_FLOAT, CONDITION_N };
extern const char
    *const condition_words[]; /* CONDITION_N of them: "idle", "drawdown", "on float" */

/* Last measured value; at_s = 0: never. */
struct measured {
    int64_t at_s;
    double value;
    int meter; /* with which; -1 = nobody knows */
};

/* What may be wrong, the gravest first (alarm.h). */
enum alarm_kind {
    ALARM_HIGH,   /* a level above the float line, or risen in drawdown: air roots drown */
    ALARM_LEAK,   /* the reservoir loses more than the plants drink */
    ALARM_LOW,    /* a level below the float line, with no water coming */
    ALARM_ODD,    /* a level in drawdown falls faster or slower than any plant explains */
    ALARM_SWAP,   /* the levels of two were told of each other */
    ALARM_WILT,   /* a plant was seen wilting … */
    ALARM_ROOTS,  /* … or with brown roots */
    ALARM_HOT,    /* a solution so warm that roots rot in it */
    ALARM_SALT,   /* the reservoir should hold plain water, and does not */
    ALARM_LACK,   /* the reservoir loses less than they drink: air, a clog, a closed valve */
    ALARM_STRONG, /* EC rises on float */
    ALARM_PH,     /* pH runs away */
    ALARM_ROT,    /* fruit was seen with blossom-end rot */
    ALARM_PACE,   /* a plant drinks out of character */
    ALARM_METER,  /* a meter cannot be believed */
    ALARM_KIND_N
};

struct alarm_state {
    int64_t since_s; /* 0 = nothing is wrong */
    double seen, expected, sure_pct;
    bool overnight; /* of a leak: it showed with every shut-off closed; seen is of that night */
};

struct alarm_states {
    struct alarm_state of[ALARM_KIND_N];
    int32_t opened; /* alarms so far … */
    int32_t seen;   /* … and up to which a person has looked */
};

/* The last level that was told in drawdown, beside what was expected of it: two that were swapped
 * show by this. */
struct level_look {
    int64_t at_s; /* 0 = none in this planting */
    double told_l, expected_l, sd_l;
};

/* The last entry of a kind that counts anew each time it is told (twice.h). */
struct last_told {
    int64_t happened_s; /* 0 = none yet */
    uint64_t content;   /* entry_content */
};

/* How a forecast EC leans on what is believed of the curve (belief.h), and on ln appetite. */
enum { EC_BY_APPETITE = BELIEF_N, EC_BY_N };

/* A vessel that a plant stood in before, up to the entry by which it left. */
struct home {
    size_t container;
    int64_t until_s, until_seq;
};

/* What a solution was foretold to lose of its strength when it was made. */
struct fall_pledge {
    int64_t from_s;  /* 0 = none */
    double ec_ms_cm; /* it was this then … */
    double fall_day; /* … was to fall by this a day … */
    double share;    /* … with this standard deviation of its log … */
    double line_day; /* … as the one before it did by this; 0 = nobody knows */
};

struct container_state {
    enum condition condition; /* at the anchor, as told or forecast; time may have moved on */
    int crop;                 /* index; -1 when idle */
    int32_t planting;         /* starts so far */
    int32_t solution;         /* solutions of this planting; 1 = the one it was started with */
    int32_t bumps;            /* of this solution */
    int32_t looks;            /* at float or level, of this planting */
    int32_t readings;         /* of EC or pH, of this planting */
    bool drained;             /* drained and not refilled yet: shut off, nothing flows */
    bool needs_cleaning;      /* harvested, not cleaned yet */
    int64_t started_s;        /* 0 = never */
    int64_t float_s;          /* first seen working in this planting; 0 = not yet */
    int64_t reached_s;        /* believed to be on float since: seen, or forecast; 0 = not yet */
    int64_t looked_s;         /* last look at float or level */
    int64_t not_float_s;      /* last seen not yet working; 0 = never */
    int64_t changed_s;        /* present solution put in, by start or change */
    int64_t bumped_s;
    int64_t cleaned_s;
    int64_t harvested_s;
    int stage;                /* highest stage seen by a person; 0 = the first */
    int64_t at_s;             /* the anchor … */
    struct liquid body;       /* … and what it held */
    struct nutrients feed;    /* mg/L in that, of products and of what the source's analysis names;
                              none = nobody knows */
    double drawn_l;           /* taken from the reservoir up to the anchor, over all plantings */
    double strength_ms_cm;    /* last strength made for it, before the plant drank of it */
    struct belief belief;     /* what was learned of its thirst and appetite … */
    int64_t wandered_s;       /* … to which it has wandered since, … */
    struct curve curve;       /* … as of its last observation: its own water-use curve … */
    double made_with[ROOM_N]; /* … made with this mean of the room … */
    double appetite;          /* … and the factor on its uptake concentration */
    int64_t level_s;          /* the level was last known for sure: filled, or read … */
    double level_l;           /* … at this, what was added by hand since put in */
    double drawn_seen_l;      /* drawn_l when the reservoir was last read */
    double ec_var;            /* of the EC at the anchor, for what it was measured with … */
    double ec_by[EC_BY_N];    /* … and how it leans on what is believed of the plant */
    int64_t odd_s;            /* a level far off was last told, and nothing learned yet … */
    double odd_l;             /* … it was this … */
    /* … and this was expected (NaN: it is only a little off); a second one on the same side is
     * learned from */
    double odd_meant_l;
    struct level_look look;
    double lost_l_day;        /* between the last two levels in drawdown; 0 = not two yet */
    double ec_line_day;       /* what the last two strengths of a solution fell in a day */
    struct fall_pledge falls; /* what its solution was foretold to lose of its strength */
    double fast, slow;        /* evidence that its level falls too fast, or too slowly (cusum.h) */
    struct alarm_states alarms;
    int step_mood; /* since the last change: -1 burnt tips (hold), +1 pale growth (step), 0 none */
    struct measured ec, ph, temp, volume;
    bool warm;                 /* by its last temperature (heat.h) */
    int64_t saw_s[SIGHTING_N]; /* when each was last seen on it; 0 = never on this plant */
    double turns;            /* litres drunk over litres held, up to the anchor, in this planting */
    struct ph_drift drift;   /* of its pH */
    int64_t ph_set_s;        /* its pH was last set with acid or base; 0 = never in this planting */
    int64_t stirred_s;       /* its solution was made or its pH set, last; 0 = nobody knows … */
    double gas_mmol_l;       /* … and it held so much carbon dioxide then, … */
    double carbonate_mmol_l; /* … and carbonate in all (waters.h) */
    double phosphate_mmol_l; /* of its solution, as a buffer of its pH (rooted.h) */
    int64_t care_s[CARE_KIND_N];
    int32_t cares[CARE_KIND_N];
    struct last_told last_told;
    struct home *home; /* the last comes last: what was told of it then stands under their names */
    size_t n_homes, cap_homes;
};

/* What holds the pH of the reservoir's water, as it was when it was last stirred (waters.h). */
struct ph_buffer {
    double alkalinity_meq_l; /* NaN = nobody knows */
    double carbonate_mmol_l;
    double citrate_mmol_l;
    int64_t at_s; /* 0 = never */
};

/* Plain water that made way for a mix and is kept in cans: acid was stirred into it already. The
 * next water that is let in is taken from there first. */
struct drawn_off {
    double volume_l;
    struct nutrients feed; /* as the reservoir's */
    struct ph_buffer buffer;
};

/* What the reservoir was foretold to lose, waiting for the day on which it is seen. */
struct pledge {
    int64_t from_s;    /* 0 = none */
    double lost_l;     /* reservoir_state.lost_l then */
    double l_day;      /* foretold … */
    double share;      /* … with this standard deviation of its log */
    double line_l_day; /* between the two looks before; 0 = nobody knows */
};

struct reservoir_state {
    int64_t at_s; /* anchor; 0 = never filled */
    struct liquid body;
    struct nutrients feed; /* mg/L that products brought */
    struct ph_buffer buffer;
    struct ph_buffer let_in; /* before acid that is taken for granted; at_s 0 = none is … */
    struct drawn_off again;  /* … and what of it came out of the cans, as far as anybody knows */
    struct drawn_off cans;
    bool holds_mix;
    int recipe;       /* of the mix; -1 = water … */
    int64_t mix_task; /* … and the task for which it was made; 0 = none */
    double drawn_l;   /* sum over the containers of what they had drawn at the anchor */
    int32_t fills;
    int32_t readings;
    int64_t rinsed_s; /* last emptied and rinsed; 0 = never … */
    int64_t filled_s; /* … and filled with plain water */
    struct measured ec, ph, temp;
    bool warm;                 /* by its last temperature (heat.h) */
    int64_t saw_s[SIGHTING_N]; /* when each was last seen in it or on it; 0 = never */
    int64_t seen_s;            /* its level was last seen; 0 = not since it last held a mix … */
    double seen_l;             /* … it was this … */
    double let_in_l;           /* … and so much was let in since */
    double excess;             /* evidence that more runs off than the plants drink … */
    double lack;               /* … or less: cusums of what was lost (cusum.h) … */
    double unease;             /* … and of the first where only plain days are allowed for */
    double seeps;              /* evidence that it loses water with every shut-off closed … */
    int64_t stood_s;           /* … told last; 0 = never (overnight.h) … */
    int32_t nights;            /* … so often */
    double lost_l_day, expected_l_day; /* between the last two looks */
    double lost_l;                     /* by all looks, since the journal began */
    struct pledge pledge;
    struct alarm_states alarms;
    struct last_told last_told;
};

/* A reading that was far off: what is asked about it. */
struct aside {
    int64_t seq;
    char why[160];
};

struct calibrated {
    int64_t at_s;
    double slope_pct, offset_mv; /* NaN = not told */
};

struct meter_state {
    int64_t calibrated_s;
    int32_t calibrations;
    double slope_pct, offset_mv;   /* NaN = not told */
    struct calibrated *calibrated; /* all of them, by time: a reading is judged by the one then */
    size_t n_calibrated, cap_calibrated;
    int32_t odd; /* readings in a row that were set aside */
    struct alarm_states alarms;
};

struct product_state {
    struct learned strength; /* of an acid or base: mL for each that label and balance ask for */
    double left;             /* below 0: more was used than was ever told of */
    int32_t receipts;
    bool ordered; /* a reorder was acknowledged, nothing received since */
    struct last_told last_told;
};

struct recipe_state {
    struct learned gain; /* mS/cm that the full dose adds; from the room file at first */
};

/* A job that a person put off or dropped; rests while its cycle lasts, until the day comes. */
struct hold {
    char what[ENTRY_WORD_MAX + 1]; /* the job's word */
    struct subject subject;
    int32_t cycle;
    int32_t until_day;
    bool dropped;
};

struct state {
    int64_t first_s; /* instant of the first entry; 0 = empty journal */
    int64_t latest_s;
    int64_t n_entries;
    int64_t n_skipped;                 /* entries about things that the room file no longer has */
    struct container_state *container; /* as many as the room has; likewise the others */
    size_t n_containers;
    struct product_state *product;
    size_t n_products;
    struct meter_state *meter;
    size_t n_meters;
    struct recipe_state *recipe;
    size_t n_recipes;
    struct sensor_hour *sensor; /* which readings count: of the reservoir, then of each container */
    size_t n_sensors;
    struct reservoir_state reservoir;
    int64_t wandered_s;        /* by when what follows has wandered */
    struct record draws;       /* how wrong forecasts were: of the reservoir's draw, litres … */
    struct record levels;      /* … of levels in drawdown, litres … */
    struct record strengths;   /* … and of strengths, mS/cm */
    struct gauss surprise;     /* ln of what all plants drank of late over what was expected */
    int64_t surprised_s;       /* at the last level; 0 = none yet */
    struct belief_room common; /* what all plants of the room have in common */
    struct gauss drift;        /* likewise, of their pH */
    struct learned alkalinity; /* of the source, meq/L; var infinite = nobody knows */
    struct learned pace[TASK_KIND_N]; /* minutes that work of a kind takes, over the file's */
    struct aside *aside;              /* by telling */
    size_t n_asides, cap_asides;
    int64_t care_s[CARE_KIND_N]; /* of the room and the reservoir */
    int32_t cares[CARE_KIND_N];
    struct hold *hold;
    size_t n_holds, cap_holds;
};

/* An empty journal's state. The caller ends it with state_deinit; {0} may be ended too. */
void state_init(struct state *s, const struct room *room);
void state_deinit(struct state *s);

/* What was learned of a product, and of the recipes that have it, is as the room file says. */
void state_learn_anew(struct state *s, const struct room *room, size_t product);

/* A copy that shares no memory with *from. *to must be uninitialised or deinited. */
void state_copy(struct state *to, const struct state *from);

/* Are they the same in every field, to the last bit (NaN is NaN)? What the daemon keeps by folding
 * entries in as they come must equal a fold of the whole journal. On false the first difference is
 * said in *why (NULL = not wanted): "container[2].body.volume_l: 8.3 and 8.1". */
struct text;
bool state_equal(const struct state *a, const struct state *b, struct text *why);

/* Adds the state to *out as bytes for a later run of the same program, and makes it of such bytes:
 * false, with *s left alone, where they are no state of this room. */
void state_write(const struct state *s, struct text *out);
bool state_read(struct state *s, const struct room *room, const void *bytes, size_t len);

/* By which list of fields these go (shape.h); for the test of the list. */
extern const struct shape state_shape;

#endif
