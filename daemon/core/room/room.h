/* room.h - the room as its owner describes it: what there is, and what it should be.
 *
 * Pure values, built and checked by config/room_read.h, read by everyone, changed by no one. Names
 * are 1 to 31 bytes: a letter, then letters, digits, '-', '_' or '.'; the names of containers,
 * products, recipes and meters share one space, and the words "reservoir" and "room" are taken.
 * Crops have a space of their own. Indexes point into the arrays of the same room. */
#ifndef TARN_CORE_ROOM_ROOM_H
#define TARN_CORE_ROOM_ROOM_H

#include "daemon/base/names.h"
#include "daemon/core/chem/nutrient.h"
#include "daemon/core/chem/reagent.h"
#include "daemon/core/chem/warmth.h"
#include "daemon/core/model/curve.h"
#include "daemon/core/units/quantity.h"
#include "daemon/core/units/zone.h"
#include "daemon/core/words/care.h"
#include "daemon/core/words/subject.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Our own choice, no source; a file with more of them is refused. */
#define ROOM_STAGES_MAX     8
#define ROOM_DOSES_MAX      12 /* the journal's tables check it (store/schema.c) */
#define ROOM_CONTAINERS_MAX 20000
#define ROOM_SOURCE_MAX     160 /* bytes of a citation: a line of a screen or two */

/* How close strengths are held: close bumps sooner, easy later (strength.h). */
enum strength_dial { STRENGTH_USUAL, STRENGTH_CLOSE, STRENGTH_EASY, STRENGTH_DIAL_N };
extern const char *const strength_dial_words[]; /* NULL-terminated */

enum product_kind { PRODUCT_LIQUID, PRODUCT_DRY, PRODUCT_ACID, PRODUCT_BASE, PRODUCT_KIND_N };

/* Amounts of a product are mL when it is a liquid (acids and bases too), grams when it is dry. */
struct product {
    char name[NAME_LEN_MAX + 1];
    enum product_kind kind;
    double stock;                      /* what was there when the journal began */
    double reorder_at;                 /* order more when this much is left; 0 = never asked for */
    double density_g_ml;               /* of a liquid; 0 = not given */
    struct nutrients contents;         /* mg in a mL or in a g; none = not told */
    char formula[FORMULA_LEN_MAX + 1]; /* of a dry salt; "" = not told */
    double dissolves_g_l;              /* of a dry salt in cold water; NaN = nobody knows */
    enum reagent reagent;              /* of an acid or base; REAGENT_NONE = not told */
    double mol_ml;                     /* moles of it in a mL */
    double ph;                         /* of a liquid in its bottle; 0 = not told */
    unsigned accepted;                 /* SOLID_BITs that are not warned of */
};

struct dose {
    size_t product;
    double per_l; /* mL/L or g/L at the strength `ec_gain_ms_cm` of the recipe */
};

struct recipe {
    char name[NAME_LEN_MAX + 1];
    struct dose dose[ROOM_DOSES_MAX]; /* in the order of addition */
    size_t n_doses;
    double ec_gain_ms_cm; /* what the full dose adds to the EC of the water */
    bool ec_estimated;    /* nobody measured it: estimated from what the products contain */
    unsigned accepted;    /* SOLID_BITs (saturation.h) that are not warned of */
};

/* What plants of this kind were fed in published work, mg/L; lo 0 and hi 0 = nothing was said. */
struct span {
    double lo, hi;
};

struct stage {
    char name[NAME_LEN_MAX + 1];
    double from_day; /* begins this many days after the start, unless it is seen earlier */
    bool seen_only;  /* begins only when a person has seen it; from_day is then when to look */
    double ec_ms_cm; /* target */
    double ph_min, ph_max;
    double uptake_ms_cm;    /* uptake concentration kappa */
    struct nutrients takes; /* mg/L that go with 1 mS/cm; none = as the crop's */
    double life_min_day;    /* a solution on float is changed no sooner than this … */
    double life_max_day;    /* … and no later */
    double bump_frac;       /* below this share of the target a bump is worth its while … */
    double spent_frac;      /* … and below this one the solution is spent, and harms */
    char recipe[NAME_LEN_MAX + 1]; /* a recipe's name; resolved per room in recipe_at */
    size_t recipe_at;
    struct span feed[FEED_COUNT];     /* of the solution; where nothing is said, the crop's */
    char source[ROOM_SOURCE_MAX + 1]; /* where the figures were published; "" = none given */
};

struct crop {
    char name[NAME_LEN_MAX + 1];
    struct curve use;          /* prior of the water-use curve */
    double start_ec_ms_cm;     /* the weak solution it starts with */
    bool cut_again;            /* a harvest is of part, again and again, until the last one */
    bool above_water;          /* its strengths are what is added to the water, not in total */
    double step_ec_ms_cm;      /* largest rise of strength at one change or bump */
    double harvest_day;        /* age at which it is taken out */
    double harvest_window_day; /* days before and after that still serve */
    double warm_c;             /* a solution this warm is told of … */
    double hot_c;              /* … and this warm its roots rot; each 0 = the usual (heat.h) */
    struct stage stage[ROOM_STAGES_MAX];
    size_t n_stages; /* >= 1 */
    struct span feed[FEED_COUNT];
    /* What goes with an uptake of 1 mS/cm, mg/L; all nitrogen stands as nitrate. None: of all that
     * is in a solution alike. */
    struct nutrients takes;
    char source[ROOM_SOURCE_MAX + 1];
};

struct container {
    char name[NAME_LEN_MAX + 1];
    char was[NAME_LEN_MAX + 1]; /* what it was called before; "" = nothing else */
    double start_volume_l;      /* filled to the start line */
    double float_volume_l;      /* at the float line; < start_volume_l */
    double remainder_l;         /* stays after draining; < float_volume_l */
    double start_height_m;      /* what a ruler shows at the start line; 0 = not told … */
    double float_height_m;      /* … and at the float line; 0 = straight walls (ruler.h) */
    size_t crop;                /* what is started in it */
    int32_t start_on;           /* day of the first start; DAY_NONE = when a person says so */
    bool replant;               /* start again after harvest and cleaning */
};

enum meter_kind { METER_PH, METER_EC, METER_KIND_N };

struct meter {
    char name[NAME_LEN_MAX + 1];
    enum meter_kind kind;
    double calibrate_every_day;
    struct warmth warmth; /* of an EC meter: how it brings its reading to 25 C */
};

/* What amounts are measured with: up to how much, and the finest step that can be told apart. */
struct measures {
    double syringe_ml, syringe_step_ml;
    double cylinder_ml, cylinder_step_ml;
    double scale_step_g;
    double jug_l; /* a solution of up to so much is mixed in it and poured by hand; 0 = none is */
};

struct reservoir {
    double capacity_l;
    double remainder_l; /* cannot be used: below the outlet */
    double low_l;       /* the low mark: fill before it falls to this */
    double ph_target;
    double ph_tolerance;
    double feed_ms_cm; /* a weak solution is kept in it, of this strength; 0 = plain water … */
    char feed_recipe[NAME_LEN_MAX + 1]; /* … made by this recipe … */
    size_t feed_at;                     /* … which is here */
    double cans_l;          /* plain water that makes way for a mix is kept, up to so much in all */
    double line_loss_l;     /* stays in the lines at each load of solution */
    double flow_l_min;      /* by gravity to the containers; told, or reckoned from these: */
    double outlet_m;        /* inner diameter of its outlet; 0 = not told */
    double head_m;          /* from the outlet's end up to the water, half full; 0 = not told */
    double full_height_m;   /* what a ruler shows when it is full; 0 = not told … */
    double outlet_height_m; /* … and where the remainder ends; 0 = straight walls (ruler.h) */
};

struct source_water {
    double ec_ms_cm;
    double ph;
    double alkalinity_mg_l;  /* as CaCO3; NaN = not given */
    struct nutrients brings; /* mg/L, by its analysis; none = not given */
    double rate_l_h;         /* at the temperature of its feed */
    double stored_l;         /* what its own tank can hold ready */
    double recovery_frac;    /* of the feed that becomes water; 0 = not told */
};

/* Civil days, both included. */
struct days {
    int32_t from, to;
};

/* Minutes of labour, for the day's budget. */
struct labour {
    double budget_min[7]; /* Monday first; 0 = a day off … */
    struct days *off;     /* … as these are; owned */
    size_t n_off;
    bool wished[7];        /* days on which work is best, Monday first; none = no wish … */
    double visits_week;    /* … and how often a week; 0 = no wish */
    double visit_min;      /* each day of work, beside what is done: the way, and setting out */
    double changeover_min; /* reservoir from plain water to a mix and back, once a day */
    double load_min;       /* each mix made */
    double change_min;     /* each container drained and refilled */
    double pour_min;       /* each solution mixed in a jug and poured, beside the change itself */
    double start_min, bump_min, check_min, read_min, ph_min, fill_min, calibrate_min, care_min,
        reorder_min, harvest_min;
};

/* Copies of the journal, one a day. */
struct backups {
    double keep;      /* 0 = none are made */
    char folder[256]; /* a whole path; "" = in the state folder */
};

/* Readings that a sensor tells. */
struct sensors {
    double keep_all_day; /* so long all of them are kept, then one an hour; 0 = for ever */
};

struct room {
    char name[64];
    char zone_name[64];
    struct zone zone;
    int32_t day_start_s; /* second of the local day at which the day's list is made */
    struct units units;
    struct source_water source;
    struct reservoir reservoir;
    struct labour labour;
    struct measures measures;
    struct backups backup;
    struct sensors sensors;
    double care_every_day[CARE_KIND_N]; /* 0 = not asked for */
    enum strength_dial strength;        /* how close it is held, against how much work */
    double tolerance_pct; /* how far a shared mix may lie from what a container wants */
    double ballast_pct;   /* of its EC, what may gather from the water until it is changed */

    struct product *product;
    size_t n_products;
    struct recipe *recipe;
    size_t n_recipes;
    struct crop *crop;
    size_t n_crops;
    struct container *container;
    size_t n_containers;
    struct meter *meter;
    size_t n_meters;

    char **notify; /* argv of the command that is told of the day's list; NULL = none */

    uint64_t made_of; /* hash of all that it was read from: rooms of one hash are the same room */

    struct room_name *names; /* the index of room_find; built by room_index */
    size_t n_slots;
};

struct subject {
    enum subject_kind kind;
    size_t at; /* index into the room's array of that kind */
};

/* Builds the index of names. 0, or ERR_CONFIG with the name that two things have as its field. */
int room_index(struct room *r, struct err *e);

/* What a name stands for; SUBJECT_NONE when nothing. Letter case matters. */
const char *room_subject_was(const struct room *r,
                             struct subject s); /* before; "" = nothing else */
struct subject room_find(const struct room *r, const char *name);
const char *room_subject_name(const struct room *r, struct subject s);

/* The meter with which EC or pH is measured: the one of that name if it is of that kind, else the
 * first of that kind in the room file. -1 when the room has none. */
int room_meter_used(const struct room *r, enum meter_kind kind, const char *name);

/* Does nobody work on that day? And the minutes that it has. */
bool room_is_off(const struct room *r, int32_t day);
double room_budget_min(const struct room *r, int32_t day);

/* What it costs to come on that day, in minutes: the way, and more on one that is not wished. */
double room_visit_min(const struct room *r, int32_t day);

/* What was published of a feed for a stage: the stage's own figures, else the crop's. */
struct span crop_feed(const struct crop *c, int stage, enum feed f);

/* What a plant takes in a stage: the stage's own figures, else the crop's. Borrowed. */
const struct nutrients *crop_takes(const struct crop *c, int stage);

/* The strength that a fresh solution is made to where a crop's figures say ec_ms_cm: above the
 * source's water; or in total, where at least ROOM_FOOD_LEAST_FRAC of it is food: salts that come
 * with the water feed little. */
#define ROOM_FOOD_LEAST_FRAC 0.75
double room_fresh_ms_cm(const struct room *r, const struct crop *c, double ec_ms_cm);

/* Is a weak solution kept in the reservoir, and not plain water? And what it reads then, or the
 * water does. */
bool room_feeds(const struct room *r);
double room_kept_ms_cm(const struct room *r);

/* From when a solution is warm, or hot, for a crop: as it says, or as is usual (heat.h). NULL = the
 * reservoir, which goes by what is usual. */
#define ROOM_WARM_C 24.0
#define ROOM_HOT_C  28.0
double crop_warm_c(const struct crop *c);
double crop_hot_c(const struct crop *c);

/* Index of a crop, or of a stage in a crop, by name; -1 when there is none. */
int room_find_crop(const struct room *r, const char *name);
int crop_find_stage(const struct crop *c, const char *name);

/* Looks a name up for a person: ERR_UNKNOWN with the nearest known one when nothing has it. */
int room_lookup(const struct room *r, const char *name, struct subject *out, struct err *e);

/* Frees all that the room owns and leaves it empty; {0} is fine. */
void room_deinit(struct room *r);

#endif
