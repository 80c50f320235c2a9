/* The tables of keys, laid out by hand: a row a key, its help below it. Ranges are what can be;
 * what is strange but possible is the owner's business, so most upper ends are far above any
 * room that we heard of (common practice, no source) and are there to catch a slipped digit or
 * unit. */
#include "config/read/sections.h"

#include <assert.h>
#include <stddef.h>

/* What the rows of a kind have in common. What is special to a row is written out in it.
 *
 * AMOUNT and ABOVE: a quantity from `least` to `most`, in the unit inside (quantity.h); ABOVE
 * says that `least` itself is too little. PART: the row makes the key known, and code of its own
 * reads it. */
/* clang-format off */
#define TO(of, member)                                                                             \
    .offset = offsetof(struct of, member), .size = sizeof(((struct of *)0)->member)
#define AMOUNT(word, what, least, most, of, member)                                                \
    .name = (word), .type = KEY_QUANTITY, .quantity = QUANTITY_##what, .lo = (least),              \
    .hi = (most), TO(of, member)
#define ABOVE(word, what, least, most, of, member)                                                 \
    AMOUNT(word, what, least, most, of, member), .above_lo = true
#define VALUE(word, kind, of, member)   .name = (word), .type = KEY_##kind, TO(of, member)
#define ONE_OF(word, known, of, member) VALUE(word, WORD, of, member), .words = (known)
#define PART(word, what)                .name = (word), .type = KEY_PART, .form = (what)
#define LEN(array)                      (sizeof(array) / sizeof *(array))

/* A word's place in its list is the value of the enum; a value without its word does not
 * compile. */
static const char *const product_words[] = {"liquid", "dry", "acid", "base", NULL};
static_assert(LEN(product_words) == PRODUCT_KIND_N + 1, "each kind of product has its word");
static const char *const meter_words[] = {"ph", "ec", NULL};
static_assert(LEN(meter_words) == METER_KIND_N + 1, "each kind of meter has its word");
static const char *const basis_words[] = {"w/w", "w/v", NULL};
static_assert(LEN(basis_words) == LABEL_BASIS_N + 1, "each basis of a label has its word");
static const char *const warmth_words[] = {"automatic", "linear", "natural", "none", NULL};
static_assert(LEN(warmth_words) == WARMTH_RULE_N + 1, "each rule of compensation has its word");
static const struct key file_keys[] = {
    {PART("room", "a map"), .needed = true,
     .help = "name and time zone of the room"},
    {PART("units", "a map"),
     .help = "how figures are shown"},
    {PART("source_water", "a map"), .needed = true,
     .help = "the plain water that there is"},
    {PART("reservoir", "a map"), .needed = true,
     .help = "the shared tank"},
    {PART("labour", "a map"),
     .help = "minutes a day, and minutes for each kind of work"},
    {PART("care", "a map"),
     .help = "what is seen to, and how often"},
    {PART("measures", "a map"),
     .help = "what amounts are measured with"},
    {PART("backup", "a map"),
     .help = "copies of the journal"},
    {PART("sensors", "a map"),
     .help = "how long all that sensors tell is kept"},
    {PART("products", "maps by name"), .needed = true,
     .help = "nutrients, acids and bases"},
    {PART("recipes", "maps by name"), .needed = true,
     .help = "products and doses"},
    {PART("crops", "maps by name"),
     .help = "figures that differ from those of a shipped crop, or a crop of your own"},
    {PART("containers", "maps by name"), .needed = true,
     .help = "one by one, or by pattern (A1..A12)"},
    {PART("meters", "maps by name"),
     .help = "pH and EC meters"},
    {PART("notify", "a list of words"),
     .help = "a command and its words, told of the day's list and of notices"},
};

static const struct key room_keys[] = {
    {VALUE("name",      TEXT,  room, name), .needed = true,
     .help = "what the room is called"},
    {VALUE("zone",      TEXT,  room, zone_name), .needed = true,
     .help = "its time zone, such as Europe/Vienna"},
    {VALUE("day_start", CLOCK, room, day_start_s), .preset = "07:00",
     .help = "when the day's list is made"},
    {AMOUNT("tolerance", PERCENT, 0, 50, room, tolerance_pct), .preset = "10 %",
     .help = "how far a shared mix may lie from what a container wants"},
    {ONE_OF("strength", strength_dial_words, room, strength), .preset = "usual",
     .help = "how close strengths are held: 'close' bumps sooner, 'easy' later, for less work"},
    {AMOUNT("ballast", PERCENT, 1, 100, room, ballast_pct), .preset = "30 %",
     .help = "of a solution's strength, how much may gather from the water before it is changed"},
};

static const struct key units_keys[] = {
    {ONE_OF("volume", quantity_volume_words, units, volume), .preset = "L",
     .help = "volumes are shown in it"},
    {ONE_OF("ec",     quantity_ec_words,     units, ec), .preset = "mS/cm",
     .help = "strengths are shown in it"},
    {ONE_OF("temp",   quantity_temp_words,   units, temp), .preset = "C",
     .help = "temperatures are shown in it"},
    {VALUE("both",    BOOL,                  units, both), .preset = "false",
     .help = "worksheets and mixes tell amounts in the other system too, in brackets"},
};

static const struct key source_keys[] = {
    {AMOUNT("ec",         EC,         0, 5,    source, water.ec_ms_cm),
     .help = "its strength; needed unless feed_ec and rejection are told"},
    {AMOUNT("ph",         PH,         3, 11,   source, water.ph), .needed = true,
     .help = "its pH"},
    {AMOUNT("alkalinity", ALKALINITY, 0, 1000, source, water.alkalinity_mg_l),
     .help = "as CaCO3; from the water report"},
    {PART("analysis", "a map of Ca, Mg, Na, K, NO3, SO4, Cl, HCO3 and PO4 to mg/L"),
     .help = "from the water report, mg/L of each ion: what feeds is counted"},
    {AMOUNT("rate",       FLOW,       0.01, 1000, source, water.rate_l_h), .needed = true,
     .help = "how fast it is made or runs"},
    {AMOUNT("feed_temp",  TEMP,       1, 45,   source, feed_c),
     .help = "temperature of what feeds a reverse-osmosis unit: its rate is given for another"},
    {AMOUNT("rated_at",   TEMP,       1, 45,   source, rated_c), .preset = "25 C",
     .help = "temperature for which the rate is given"},
    {ABOVE ("feed_ec",    EC,         0, 10,   source, feed_ms_cm),
     .help = "strength of the feed: with the rejection, 'ec' is reckoned from it"},
    {AMOUNT("rejection",  PERCENT,    0, 100,  source, rejection_pct),
     .help = "of the salts that the unit keeps back"},
    {ABOVE ("recovery",   PERCENT,    0, 99,   source, recovery_pct),
     .help = "of the feed that becomes water; the rest goes to the drain"},
    {AMOUNT("stored",     VOLUME,     0, 1e5,  source, water.stored_l), .preset = "0 L",
     .help = "what its own tank holds ready"},
};

static const struct key reservoir_keys[] = {
    {ABOVE ("capacity",     VOLUME, 0,    1e5,  reservoir, capacity_l), .needed = true,
     .help = "what it holds full"},
    {AMOUNT("remainder",    VOLUME, 0,    1e5,  reservoir, remainder_l), .needed = true,
     .help = "what stays below the outlet"},
    {AMOUNT("low",          VOLUME, 0,    1e5,  reservoir, low_l), .needed = true,
     .help = "the low mark: fill it before it falls to this"},
    {AMOUNT("ph",           PH,     4,    8,    reservoir, ph_target), .preset = "5.8",
     .help = "kept at this pH"},
    {AMOUNT("ph_tolerance", PH,     0.05, 2,    reservoir, ph_tolerance), .preset = "0.3",
     .help = "how far the pH may lie from that"},
    {ABOVE ("feed",         EC,     0,    5,    reservoir, feed_ms_cm),
     .help = "a weak solution of this strength is kept in it, and not plain water"},
    {VALUE("feed_recipe",   NAME, reservoir, feed_recipe),
     .help = "the recipe of the room that it is made by; needed with 'feed'"},
    {AMOUNT("cans",         VOLUME, 0,    1e5,  reservoir, cans_l), .preset = "100 L",
     .help = "what cans there are for its plain water when that makes way for a mix: so much is "
             "kept and let in again"},
    {AMOUNT("line_loss",    VOLUME, 0,    1000, reservoir, line_loss_l), .preset = "0 L",
     .help = "what stays in the lines at each load of solution"},
    {AMOUNT("flow",         FLOW,   0.01, 1000, reservoir, flow_l_min),
     .help = "by gravity to the containers, measured with a bucket and a watch; 4 L/min when "
             "neither it nor the outlet is told"},
    {ABOVE ("outlet",       LENGTH, 0,    0.2,  reservoir, outlet_m),
     .help = "inner diameter of its outlet: with the head, the flow is reckoned from it"},
    {ABOVE ("head",         LENGTH, 0,    20,   reservoir, head_m),
     .help = "height of the water over the end of the line, when half full"},
    {ABOVE ("full_height",   LENGTH, 0,   20,   reservoir, full_height_m),
     .help = "what a ruler shows when it is full: its level may be told in cm or inches then"},
    {ABOVE ("outlet_height", LENGTH, 0,   20,   reservoir, outlet_height_m),
     .help = "what it shows where the remainder ends; without it the walls are straight, and the "
             "ruler stands on the floor"},
};

/* The minutes are common practice, no source: a grower puts own ones in once they were timed. */
#define WORK_DAY(word, index)                                                                      \
    {AMOUNT(word, MINUTES, 0, 1440, labour, budget_min[index]), .preset = "60 min",                \
     .help = "work on this day; 0 min is a day off"}
#define WORK(word, member, minutes, text)                                                          \
    {AMOUNT(word, MINUTES, 0, 1440, labour, member), .preset = (minutes), .help = (text)}

static const struct key labour_keys[] = {
    WORK_DAY("monday",    0),
    WORK_DAY("tuesday",   1),
    WORK_DAY("wednesday", 2),
    WORK_DAY("thursday",  3),
    WORK_DAY("friday",    4),
    WORK_DAY("saturday",  5),
    WORK_DAY("sunday",    6),
    {PART("off", "a list of days"),
     .help = "days on which nobody works: 2026-05-01, or 2026-05-01..2026-05-03"},
    {PART("days", "a list of weekdays"),
     .help = "on which work is best: [monday, thursday]; what cannot wait is done on others"},
    {AMOUNT("visits", NUMBER, 0, 7, labour, visits_week), .preset = "0",
     .help = "days of work that are wished for in a week; 0 = as many as serve"},
    WORK("visit",      visit_min,      "10 min",
         "each day of work, beside what is done on it: the way there, and setting out"),
    WORK("changeover", changeover_min, "25 min", "reservoir from water to a mix and back"),
    WORK("load",       load_min,       "15 min", "each mix made"),
    WORK("change",     change_min,     "6 min",  "each container drained and refilled"),
    WORK("pour",       pour_min,       "10 min",
         "each solution mixed in a jug and poured, beside the change"),
    WORK("start",      start_min,      "10 min", "each container started"),
    WORK("bump",       bump_min,       "4 min",  "each container bumped"),
    WORK("check",      check_min,      "2 min",  "each look at a level"),
    WORK("read",       read_min,       "3 min",  "each reading"),
    WORK("ph",         ph_min,         "5 min",  "each pH set right"),
    WORK("fill",       fill_min,       "15 min", "each fill of the reservoir"),
    WORK("calibrate",  calibrate_min,  "10 min", "each meter"),
    WORK("care",       care_min,       "3 min",  "each thing seen to"),
    WORK("reorder",    reorder_min,    "5 min",  "each order"),
    WORK("harvest",    harvest_min,    "15 min", "each container harvested and cleaned"),
};

/* How often is common practice, no source. */
#define CARE(word, kind, interval, text)                                                           \
    {AMOUNT(word, SPAN, 0, 3650, room, care_every_day[kind]), .preset = (interval), .help = (text)}

static const struct key care_keys[] = {
    CARE("float",     CARE_FLOAT,     "30 days", "each float valve"),
    CARE("valve",     CARE_VALVE,     "60 days", "each shut-off valve"),
    CARE("filter",    CARE_FILTER,    "30 days", "the filter in the line"),
    CARE("reservoir", CARE_RESERVOIR, "60 days", "the reservoir itself"),
    CARE("read",      CARE_READ,      "7 days",  "EC and pH of each container and the reservoir"),
    CARE("overnight", CARE_OVERNIGHT, "10 days",
         "a night with every shut-off closed, to see whether the reservoir loses water; sooner "
         "when it lost more than the plants explain"),
};
static_assert(LEN(care_keys) == CARE_KIND_N, "each thing that is seen to has its key");

static const struct key backup_keys[] = {
    {AMOUNT("keep",   NUMBER, 0, 1000, backups, keep), .preset = "7",
     .help = "how many of them stay; 0 makes none"},
    {VALUE ("folder", TEXT,   backups, folder),
     .help = "where, as a whole path that tarnd may write to; 'backups' in its state folder "
             "if not said"},
};

static const struct key sensors_keys[] = {
    {AMOUNT("keep_all", SPAN, 7, 36500, sensors, keep_all_day),
     .help = "how long each reading is kept; of what is older, one an hour. For ever if not said"},
};

static const struct key measures_keys[] = {
    {ABOVE ("syringe",       LIQUID, 0, 1000,  measures, syringe_ml), .preset = "20 mL",
     .help = "amounts up to two of these are measured with it"},
    {ABOVE ("syringe_step",  LIQUID, 0, 100,   measures, syringe_step_ml), .preset = "0.2 mL",
     .help = "the finest amount it shows"},
    {ABOVE ("cylinder",      LIQUID, 0, 10000, measures, cylinder_ml), .preset = "250 mL",
     .help = "a measuring cylinder or jug, for what is more"},
    {ABOVE ("cylinder_step", LIQUID, 0, 1000,  measures, cylinder_step_ml), .preset = "2 mL",
     .help = "the finest amount it shows"},
    {ABOVE ("scale_step",    DRY,    0, 1000,  measures, scale_step_g), .preset = "0.1 g",
     .help = "the finest weight that the scale shows"},
    {AMOUNT("jug",           VOLUME, 0, 100,   measures, jug_l), .preset = "0 L",
     .help = "a change that takes no more may be mixed in a jug or bucket and poured by hand"},
};

static const struct key product_keys[] = {
    {ONE_OF("kind",     product_words, labelled, product.kind), .needed = true,
     .help = "what it is"},
    {PART("stock", "an amount: mL, L, floz, qt, gal or impgal of a liquid, acid or base; g, kg, "
                   "mg, oz or lb of a dry one"),
     .help = "what is there when the journal begins"},
    {PART("reorder_at", "an amount, as for stock"),
     .help = "order more when this much is left"},
    {AMOUNT("density",  NUMBER,  0.5, 3,   labelled, product.density_g_ml),
     .help = "g/mL of a liquid, acid or base"},
    {PART("contents", "a map of label words (N, NO3-N, NH4-N, urea-N, P2O5, K2O, CaO, MgO, S, "
                      "SO3, Fe …) to percentages, or g/L of a liquid"),
     .help = "what the label says is in it"},
    {ONE_OF("basis",    basis_words,   labelled, basis), .preset = "w/w",
     .help = "percentages of a liquid are by weight (w/w, needs the density) or g in 100 mL (w/v)"},
    {PART("salts", "a map of formulas to g/L"),
     .help = "of a concentrate that you dissolved yourself"},
    {VALUE("formula",  TEXT,          labelled, formula),
     .help = "of a dry salt, its water included: Ca(NO3)2.4H2O"},
    {ABOVE ("purity",   PERCENT, 0,   100, labelled, purity_pct), .preset = "100 %",
     .help = "of a dry salt"},
    {AMOUNT("ph",       PH,     0.5, 14,  labelled, product.ph),
     .help = "of a liquid in its bottle: what an acid one keeps dissolved falls out of another"},
    {PART("accepted", "a list of gypsum, phosphate, lime, silicate and salt"),
     .help = "what may fall out of it, by tarnd --check, and is known not to"},
    {ONE_OF("reagent",  reagent_words, labelled, reagent), .preset = "none",
     .help = "which acid or base it is"},
    {ABOVE ("strength", PERCENT, 0,   100, labelled, strength_pct),
     .help = "of an acid or base, by weight"},
};

static const struct key recipe_keys[] = {
    {ABOVE ("ec", EC, 0, 20, recipe, ec_gain_ms_cm),
     .help = "what the full dose adds to the EC of the water; without it, it is estimated from "
             "what the products contain"},
    {PART("doses", "a list of maps"), .needed = true,
     .help = "products, in the order of addition"},
    {PART("accepted", "a list of gypsum, phosphate, lime, silicate and salt"),
     .help = "what may fall out of its full dose, by tarnd --check, and is known not to"},
};

static const struct key dose_keys[] = {
    {PART("product", "the name of a product"), .needed = true,
     .help = "a liquid or dry product"},
    {PART("dose", "a dose: mL/L, mL/gal, floz/gal or tsp/gal of a liquid; g/L, mg/L, "
                  "g/gal or oz/gal of a dry product"), .needed = true,
     .help = "for each litre, or gallon, of water"},
};

static const struct key crop_keys[] = {
    {ABOVE ("drinks",         VOLUME, 0, 50,   crop, use.most_l_day), .needed = true,
     .help = "in a day, when full-grown"},
    {ABOVE ("half_at",        SPAN,   0, 1000, crop, use.half_day), .needed = true,
     .help = "age at which it drinks half of that"},
    {ABOVE ("spread",         SPAN,   0, 1000, crop, use.spread_day), .needed = true,
     .help = "how slowly it comes to it: a quarter at half_at less 1.1 of this"},
    {ABOVE ("start_ec",       EC,     0, 10,   crop, start_ec_ms_cm), .needed = true,
     .help = "the weak solution it starts with"},
    {VALUE("above_water",    BOOL, crop, above_water), .preset = "false",
     .help = "true: its strengths are what is added to the water, as where they were published"},
    {VALUE("cut_again",      BOOL, crop, cut_again), .preset = "false",
     .help = "true where it is cut again and again, as basil is: a harvest of part is meant where "
             "nobody says that it is the final one"},
    {ABOVE ("step",           EC,     0, 5,    crop, step_ec_ms_cm), .needed = true,
     .help = "largest rise at one change"},
    {ABOVE ("harvest",        SPAN,   0, 3650, crop, harvest_day), .needed = true,
     .help = "age at which it is taken out"},
    {AMOUNT("harvest_window", SPAN,   0, 365,  crop, harvest_window_day), .preset = "7 days",
     .help = "before and after that it still serves"},
    {ABOVE ("warm",           TEMP,   0, 45,   crop, warm_c),
     .help = "a solution this warm is told of; 24 C where it is not told"},
    {ABOVE ("hot",            TEMP,   0, 45,   crop, hot_c),
     .help = "a solution this warm asks for a look at the roots; 28 C where it is not told"},
    {PART("feed", "a map of N, P, K, Ca, Mg, S, Fe, Mn, Zn, Cu, B and Mo to mg/L, or to a list "
                  "of two"),
     .help = "what plants like it were fed in published work"},
    {PART("takes", "a map of N, P, K, Ca, Mg, S, Fe, Mn, Zn, Cu, B and Mo to mg/L"),
     .help = "in what proportion it takes them; without it, all alike"},
    {VALUE("source",         TEXT, crop, source),
     .help = "where the figures come from"},
    {PART("stages", "a list of maps"), .needed = true,
     .help = "growth stages, in their order"},
};

static const struct key stage_keys[] = {
    {VALUE("name",      NAME, stage, name), .needed = true,
     .help = "what the stage is called"},
    {AMOUNT("from",      SPAN,    0, 3650, stage, from_day), .needed = true,
     .help = "age at which it begins"},
    {VALUE("seen_only", BOOL, stage, seen_only), .preset = "false",
     .help = "true: it begins only when a person has seen it"},
    {ABOVE ("ec",        EC,      0, 10,   stage, ec_ms_cm), .needed = true,
     .help = "strength wanted"},
    {AMOUNT("ph_min",    PH,      4, 8,    stage, ph_min), .needed = true,
     .help = "pH wanted, from"},
    {AMOUNT("ph_max",    PH,      4, 8,    stage, ph_max), .needed = true,
     .help = "pH wanted, to"},
    {ABOVE ("uptake",    EC,      0, 10,   stage, uptake_ms_cm), .needed = true,
     .help = "EC of the nutrients it takes with a litre it drinks"},
    {ABOVE ("life_min",  SPAN,    0, 365,  stage, life_min_day), .needed = true,
     .help = "a solution on float lasts at least this"},
    {ABOVE ("life_max",  SPAN,    0, 365,  stage, life_max_day), .needed = true,
     .help = "and at most this"},
    {AMOUNT("bump",      PERCENT, 1, 100,  stage, bump_frac), .preset = "75 %",
     .help = "below this share of the strength a bump is worth its while"},
    {AMOUNT("spent",     PERCENT, 1, 100,  stage, spent_frac), .needed = true,
     .help = "below this share it is spent, and the plant suffers"},
    {VALUE("recipe",    NAME, stage, recipe), .needed = true,
     .help = "a recipe of the room"},
    {PART("feed", "a map of N, P, K, Ca, Mg, S, Fe, Mn, Zn, Cu, B and Mo to mg/L, or to a list "
                  "of two"),
     .help = "what plants like it were fed in published work; without it, the crop's"},
    {PART("takes", "a map of N, P, K, Ca, Mg, S, Fe, Mn, Zn, Cu, B and Mo to mg/L"),
     .help = "in what proportion it takes them; without it, the crop's"},
    {VALUE("source",    TEXT, stage, source),
     .help = "where the figures come from"},
};

static const struct key container_keys[] = {
    {PART("crop", "the name of a crop"), .needed = true,
     .help = "what is started in it"},
    {PART("was", "a name"),
     .help = "what it was called before it was renamed: its history goes along"},
    {ABOVE ("start_volume", VOLUME, 0, 2000, container, start_volume_l), .needed = true,
     .help = "what it holds up to the start line"},
    {ABOVE ("float_volume", VOLUME, 0, 2000, container, float_volume_l), .needed = true,
     .help = "what it holds up to the float line"},
    {AMOUNT("remainder",    VOLUME, 0, 2000, container, remainder_l), .needed = true,
     .help = "what stays after draining"},
    {ABOVE ("start_height", LENGTH, 0, 5,    container, start_height_m),
     .help = "what a ruler shows at the start line: levels may be told in cm or inches then"},
    {ABOVE ("float_height", LENGTH, 0, 5,    container, float_height_m),
     .help = "what it shows at the float line; without it the walls are straight, and the ruler "
             "stands on the floor"},
    {VALUE("start",        DAY,  container, start_on),
     .help = "day of the first start; none: when you say so"},
    {VALUE("replant",      BOOL, container, replant), .preset = "true",
     .help = "start again after harvest and cleaning"},
};

static const struct key meter_keys[] = {
    {ONE_OF("kind",         meter_words,  meter, kind), .needed = true,
     .help = "what it measures"},
    {ABOVE ("calibrate",    SPAN,    0,  3650, meter, calibrate_every_day), .needed = true,
     .help = "how often"},
    {ONE_OF("compensation", warmth_words, meter, warmth.rule), .preset = "automatic",
     .help = "of an EC meter: its readings are EC at 25 C (automatic), or brought to it by a "
             "straight line or by the curve of natural waters, or bare (none)"},
    {ABOVE ("coefficient",  PERCENT, 0,  5,    meter, warmth.per_degree), .preset = "2 %",
     .help = "of a straight line, for each degree C"},
    {AMOUNT("reference",    TEMP,    15, 30,   meter, warmth.reference_c), .preset = "25 C",
     .help = "the temperature for which the meter shows its readings"},
};

/* One list, in sections.h: a section in it without its table, or a table that no section has (an
 * unused static), does not compile. */
#define SECTION(id, word, text)                                                                    \
    const struct key_section section_##id = {word, id##_keys, LEN(id##_keys), text};
#define LISTED(id, word, text) &section_##id,

ROOM_SECTIONS(SECTION)

const struct key_section *const room_sections[] = {ROOM_SECTIONS(LISTED) NULL};

/* keys_read looks for what was meant among so many words at most. */
#define SHORT_ENOUGH(id, word, text)                                                               \
    static_assert(LEN(id##_keys) <= KEYS_MAX, "KEYS_MAX is too small for a section");
ROOM_SECTIONS(SHORT_ENOUGH)
/* clang-format on */
