/* The tables of keys. Ranges are what can be; what is strange but possible is the owner's business.
 */
#include "config/read/sections.h"

#include "config/read/building.h"

#include <stddef.h>

/* A row; then what its kinds have in common. What is special to it is written out. */
#define KEY(...)                                                                                   \
    {                                                                                              \
        __VA_ARGS__                                                                                \
    }
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
#define NEEDED                          .needed = true

static const char *const product_words[] = {"liquid", "dry", "acid", "base", NULL};
static const char *const meter_words[] = {"ph", "ec", NULL};
static const char *const basis_words[] = {"w/w", "w/v", NULL};
static const char *const warmth_words[] = {"automatic", "linear", "natural", "none", NULL};

static const struct key file_keys[] = {
    KEY(PART("room", "a map"), NEEDED, .help = "name and time zone of the room"),
    KEY(PART("units", "a map"), .help = "how figures are shown"),
    KEY(PART("source_water", "a map"), NEEDED, .help = "the plain water that there is"),
    KEY(PART("reservoir", "a map"), NEEDED, .help = "the shared tank"),
    KEY(PART("labour", "a map"), .help = "minutes a day, and minutes for each kind of work"),
    KEY(PART("care", "a map"), .help = "what is seen to, and how often"),
    KEY(PART("measures", "a map"), .help = "what amounts are measured with"),
    KEY(PART("products", "maps by name"), NEEDED, .help = "nutrients, acids and bases"),
    KEY(PART("recipes", "maps by name"), NEEDED, .help = "products and doses"),
    KEY(PART("crops", "maps by name"),
        .help = "figures that differ from those of a shipped crop, or a crop of your own"),
    KEY(PART("containers", "maps by name"), NEEDED, .help = "one by one, or by pattern (A1..A12)"),
    KEY(PART("meters", "maps by name"), .help = "pH and EC meters"),
    KEY(PART("notify", "a list of words"),
        .help = "a command and its words, told of the day's list and of notices"),
};

static const struct key room_keys[] = {
    KEY(VALUE("name", TEXT, room, name), NEEDED, .help = "what the room is called"),
    KEY(VALUE("zone", TEXT, room, zone_name), NEEDED,
        .help = "its time zone, such as Europe/Vienna"),
    KEY(VALUE("day_start", CLOCK, room, day_start_s), .preset = "07:00",
        .help = "when the day's list is made"),
    KEY(AMOUNT("tolerance", PERCENT, 0, 50, room, tolerance_pct), .preset = "10 %",
        .help = "how far a shared mix may lie from what a container wants"),
};

static const struct key units_keys[] = {
    KEY(ONE_OF("volume", quantity_volume_words, units, volume), .preset = "L",
        .help = "volumes are shown in it"),
    KEY(ONE_OF("ec", quantity_ec_words, units, ec), .preset = "mS/cm",
        .help = "strengths are shown in it"),
    KEY(ONE_OF("temp", quantity_temp_words, units, temp), .preset = "C",
        .help = "temperatures are shown in it"),
};

static const struct key source_keys[] = {
    KEY(AMOUNT("ec", EC, 0, 5, source, water.ec_ms_cm),
        .help = "its strength; needed unless feed_ec and rejection are told"),
    KEY(AMOUNT("ph", PH, 3, 11, source, water.ph), NEEDED, .help = "its pH"),
    KEY(AMOUNT("alkalinity", ALKALINITY, 0, 1000, source, water.alkalinity_mg_l),
        .help = "as CaCO3; from the water report"),
    KEY(ABOVE("rate", FLOW, 0, 1000, source, water.rate_l_h), NEEDED,
        .help = "how fast it is made or runs"),
    KEY(AMOUNT("feed_temp", TEMP, 1, 45, source, feed_c),
        .help = "temperature of what feeds a reverse-osmosis unit: its rate is given for another"),
    KEY(AMOUNT("rated_at", TEMP, 1, 45, source, rated_c), .preset = "25 C",
        .help = "temperature for which the rate is given"),
    KEY(ABOVE("feed_ec", EC, 0, 10, source, feed_ms_cm),
        .help = "strength of the feed: with the rejection, 'ec' is reckoned from it"),
    KEY(AMOUNT("rejection", PERCENT, 0, 100, source, rejection_pct),
        .help = "of the salts that the unit keeps back"),
    KEY(ABOVE("recovery", PERCENT, 0, 99, source, recovery_pct),
        .help = "of the feed that becomes water; the rest goes to the drain"),
    KEY(AMOUNT("stored", VOLUME, 0, 1e5, source, water.stored_l), .preset = "0 L",
        .help = "what its own tank holds ready"),
};

static const struct key reservoir_keys[] = {
    KEY(ABOVE("capacity", VOLUME, 0, 1e5, reservoir, capacity_l), NEEDED,
        .help = "what it holds full"),
    KEY(AMOUNT("remainder", VOLUME, 0, 1e5, reservoir, remainder_l), NEEDED,
        .help = "what stays below the outlet"),
    KEY(AMOUNT("low", VOLUME, 0, 1e5, reservoir, low_l), NEEDED,
        .help = "the low mark: fill it before it falls to this"),
    KEY(AMOUNT("ph", PH, 4, 8, reservoir, ph_target), .preset = "5.8", .help = "kept at this pH"),
    KEY(AMOUNT("ph_tolerance", PH, 0.05, 2, reservoir, ph_tolerance), .preset = "0.3",
        .help = "how far the pH may lie from that"),
    KEY(AMOUNT("line_loss", VOLUME, 0, 1000, reservoir, line_loss_l), .preset = "0 L",
        .help = "what stays in the lines at each load of solution"),
    KEY(AMOUNT("flow", FLOW, 0.01, 1000, reservoir, flow_l_min),
        .help = "by gravity to the containers, measured with a bucket and a watch; 4 L/min when "
                "neither it nor the outlet is told"),
    KEY(ABOVE("outlet", LENGTH, 0, 0.2, reservoir, outlet_m),
        .help = "inner diameter of its outlet: with the head, the flow is reckoned from it"),
    KEY(ABOVE("head", LENGTH, 0, 20, reservoir, head_m),
        .help = "height of the water over the end of the line, when half full"),
};

#define WORK_DAY(word, index)                                                                      \
    KEY(AMOUNT(word, MINUTES, 0, 1440, labour, budget_min[index]), .preset = "60 min",             \
        .help = "work on this day; 0 min is a day off")
#define WORK(word, member, minutes, text)                                                          \
    KEY(AMOUNT(word, MINUTES, 0, 1440, labour, member), .preset = (minutes), .help = (text))

static const struct key labour_keys[] = {
    WORK_DAY("monday", 0),
    WORK_DAY("tuesday", 1),
    WORK_DAY("wednesday", 2),
    WORK_DAY("thursday", 3),
    WORK_DAY("friday", 4),
    WORK_DAY("saturday", 5),
    WORK_DAY("sunday", 6),
    KEY(PART("off", "a list of days"),
        .help = "days on which nobody works: 2026-05-01, or 2026-05-01..2026-05-03"),
    WORK("changeover", changeover_min, "25 min", "reservoir from water to a mix and back"),
    WORK("load", load_min, "15 min", "each mix made"),
    WORK("change", change_min, "6 min", "each container drained and refilled"),
    WORK("pour", pour_min, "10 min", "each solution mixed in a jug and poured, beside the change"),
    WORK("start", start_min, "10 min", "each container started"),
    WORK("bump", bump_min, "4 min", "each container bumped"),
    WORK("check", check_min, "2 min", "each look at a level"),
    WORK("read", read_min, "3 min", "each reading"),
    WORK("ph", ph_min, "5 min", "each pH set right"),
    WORK("fill", fill_min, "15 min", "each fill of the reservoir"),
    WORK("calibrate", calibrate_min, "10 min", "each meter"),
    WORK("care", care_min, "3 min", "each thing seen to"),
    WORK("reorder", reorder_min, "5 min", "each order"),
    WORK("harvest", harvest_min, "15 min", "each container harvested and cleaned"),
};

#define CARE(word, kind, interval, text)                                                           \
    KEY(AMOUNT(word, SPAN, 0, 3650, room, care_every_day[kind]), .preset = (interval),             \
        .help = (text))

static const struct key care_keys[] = {
    CARE("float", CARE_FLOAT, "30 days", "each float valve"),
    CARE("valve", CARE_VALVE, "60 days", "each shut-off valve"),
    CARE("filter", CARE_FILTER, "30 days", "the filter in the line"),
    CARE("reservoir", CARE_RESERVOIR, "60 days", "the reservoir itself"),
    CARE("read", CARE_READ, "7 days", "EC and pH of each container and the reservoir"),
};

static const struct key measures_keys[] = {
    KEY(ABOVE("syringe", LIQUID, 0, 1000, measures, syringe_ml), .preset = "20 mL",
        .help = "amounts up to two of these are measured with it"),
    KEY(ABOVE("syringe_step", LIQUID, 0, 100, measures, syringe_step_ml), .preset = "0.2 mL",
        .help = "the finest amount it shows"),
    KEY(ABOVE("cylinder", LIQUID, 0, 10000, measures, cylinder_ml), .preset = "250 mL",
        .help = "a measuring cylinder or jug, for what is more"),
    KEY(ABOVE("cylinder_step", LIQUID, 0, 1000, measures, cylinder_step_ml), .preset = "2 mL",
        .help = "the finest amount it shows"),
    KEY(ABOVE("scale_step", DRY, 0, 1000, measures, scale_step_g), .preset = "0.1 g",
        .help = "the finest weight that the scale shows"),
    KEY(AMOUNT("jug", VOLUME, 0, 100, measures, jug_l), .preset = "0 L",
        .help = "a change that takes no more may be mixed in a jug or bucket and poured by hand"),
};

static const struct key product_keys[] = {
    KEY(ONE_OF("kind", product_words, labelled, product.kind), NEEDED, .help = "what it is"),
    KEY(PART("stock", "an amount: mL, L, floz, qt, gal or impgal of a liquid, acid or base; g, kg, "
                      "mg, oz or lb of a dry one"),
        .help = "what is there when the journal begins"),
    KEY(PART("reorder_at", "an amount, as for stock"), .help = "order more when this much is left"),
    KEY(AMOUNT("density", NUMBER, 0.5, 3, labelled, product.density_g_ml),
        .help = "g/mL of a liquid, acid or base"),
    KEY(PART("contents", "a map of label words (N, NO3-N, NH4-N, urea-N, P2O5, K2O, CaO, MgO, S, "
                         "SO3, Fe …) to percentages, or g/L of a liquid"),
        .help = "what the label says is in it"),
    KEY(ONE_OF("basis", basis_words, labelled, basis), .preset = "w/w",
        .help = "percentages of a liquid are by weight (w/w, needs the density) or g in 100 mL "
                "(w/v)"),
    KEY(PART("salts", "a map of formulas to g/L"),
        .help = "of a concentrate that you dissolved yourself"),
    KEY(VALUE("formula", TEXT, labelled, formula),
        .help = "of a dry salt, its water included: Ca(NO3)2.4H2O"),
    KEY(ABOVE("purity", PERCENT, 0, 100, labelled, purity_pct), .preset = "100 %",
        .help = "of a dry salt"),
    KEY(ONE_OF("reagent", reagent_words, labelled, reagent), .preset = "none",
        .help = "which acid or base it is"),
    KEY(ABOVE("strength", PERCENT, 0, 100, labelled, strength_pct),
        .help = "of an acid or base, by weight"),
};

static const struct key recipe_keys[] = {
    KEY(ABOVE("ec", EC, 0, 20, recipe, ec_gain_ms_cm),
        .help = "what the full dose adds to the EC of the water; without it, it is estimated from "
                "what the products contain"),
    KEY(PART("doses", "a list of maps"), NEEDED, .help = "products, in the order of addition"),
};

static const struct key dose_keys[] = {
    KEY(PART("product", "the name of a product"), NEEDED, .help = "a liquid or dry product"),
    KEY(PART("dose", "a dose: mL/L, mL/gal, floz/gal or tsp/gal of a liquid; g/L, mg/L, g/gal or "
                     "oz/gal of a dry product"),
        NEEDED, .help = "for each litre, or gallon, of water"),
};

static const struct key crop_keys[] = {
    KEY(ABOVE("drinks", VOLUME, 0, 50, crop, use.most_l_day), NEEDED,
        .help = "in a day, when full-grown"),
    KEY(ABOVE("half_at", SPAN, 0, 1000, crop, use.half_day), NEEDED,
        .help = "age at which it drinks half of that"),
    KEY(ABOVE("spread", SPAN, 0, 1000, crop, use.spread_day), NEEDED,
        .help = "how slowly it comes to it: a quarter at half_at less 1.1 of this"),
    KEY(ABOVE("start_ec", EC, 0, 10, crop, start_ec_ms_cm), NEEDED,
        .help = "the weak solution it starts with"),
    KEY(ABOVE("step", EC, 0, 5, crop, step_ec_ms_cm), NEEDED, .help = "largest rise at one change"),
    KEY(ABOVE("harvest", SPAN, 0, 3650, crop, harvest_day), NEEDED,
        .help = "age at which it is taken out"),
    KEY(AMOUNT("harvest_window", SPAN, 0, 365, crop, harvest_window_day), .preset = "7 days",
        .help = "before and after that it still serves"),
    KEY(PART("feed", "a map of N, P, K, Ca, Mg, S, Fe, Mn, Zn, Cu, B and Mo to mg/L, or to a list "
                     "of two"),
        .help = "what plants like it were fed in published work"),
    KEY(VALUE("source", TEXT, crop, source), .help = "where the figures come from"),
    KEY(PART("stages", "a list of maps"), NEEDED, .help = "growth stages, in their order"),
};

static const struct key stage_keys[] = {
    KEY(VALUE("name", NAME, stage, name), NEEDED, .help = "what the stage is called"),
    KEY(AMOUNT("from", SPAN, 0, 3650, stage, from_day), NEEDED, .help = "age at which it begins"),
    KEY(VALUE("seen_only", BOOL, stage, seen_only), .preset = "false",
        .help = "true: it begins only when a person has seen it"),
    KEY(ABOVE("ec", EC, 0, 10, stage, ec_ms_cm), NEEDED, .help = "strength wanted"),
    KEY(AMOUNT("ph_min", PH, 4, 8, stage, ph_min), NEEDED, .help = "pH wanted, from"),
    KEY(AMOUNT("ph_max", PH, 4, 8, stage, ph_max), NEEDED, .help = "pH wanted, to"),
    KEY(ABOVE("uptake", EC, 0, 10, stage, uptake_ms_cm), NEEDED,
        .help = "EC of the nutrients it takes with a litre it drinks"),
    KEY(ABOVE("life_min", SPAN, 0, 365, stage, life_min_day), NEEDED,
        .help = "a solution on float lasts at least this"),
    KEY(ABOVE("life_max", SPAN, 0, 365, stage, life_max_day), NEEDED, .help = "and at most this"),
    KEY(AMOUNT("spent", PERCENT, 1, 100, stage, spent_frac), NEEDED,
        .help = "below this share of the strength it is spent"),
    KEY(VALUE("recipe", NAME, stage, recipe), NEEDED, .help = "a recipe of the room"),
    KEY(PART("feed", "a map of N, P, K, Ca, Mg, S, Fe, Mn, Zn, Cu, B and Mo to mg/L, or to a list "
                     "of two"),
        .help = "what plants like it were fed in published work; without it, the crop's"),
    KEY(VALUE("source", TEXT, stage, source), .help = "where the figures come from"),
};

static const struct key container_keys[] = {
    KEY(PART("crop", "the name of a crop"), NEEDED, .help = "what is started in it"),
    KEY(ABOVE("start_volume", VOLUME, 0, 2000, container, start_volume_l), NEEDED,
        .help = "what it holds up to the start line"),
    KEY(ABOVE("float_volume", VOLUME, 0, 2000, container, float_volume_l), NEEDED,
        .help = "what it holds up to the float line"),
    KEY(AMOUNT("remainder", VOLUME, 0, 2000, container, remainder_l), NEEDED,
        .help = "what stays after draining"),
    KEY(VALUE("start", DAY, container, start_on),
        .help = "day of the first start; none: when you say so"),
    KEY(VALUE("replant", BOOL, container, replant), .preset = "true",
        .help = "start again after harvest and cleaning"),
};

static const struct key meter_keys[] = {
    KEY(ONE_OF("kind", meter_words, meter, kind), NEEDED, .help = "what it measures"),
    KEY(ABOVE("calibrate", SPAN, 0, 3650, meter, calibrate_every_day), NEEDED, .help = "how often"),
    KEY(ONE_OF("compensation", warmth_words, meter, warmth.rule), .preset = "automatic",
        .help = "of an EC meter: its readings are EC at 25 C (automatic), or brought to it by a "
                "straight line or by the curve of natural waters, or bare (none)"),
    KEY(ABOVE("coefficient", PERCENT, 0, 5, meter, warmth.per_degree), .preset = "2 %",
        .help = "of a straight line, for each degree C"),
    KEY(AMOUNT("reference", TEMP, 15, 30, meter, warmth.reference_c), .preset = "25 C",
        .help = "the temperature for which the meter shows its readings"),
};

#define SECTION(word, keys, text)                                                                  \
    {                                                                                              \
        word, keys, sizeof(keys) / sizeof *(keys), text                                            \
    }

const struct key_section section_file =
    SECTION("the room file", file_keys, "The sections of the file, in any order.");
const struct key_section section_room = SECTION("room", room_keys, "The room at large.");
const struct key_section section_units =
    SECTION("units", units_keys,
            "How figures are shown. What is written in this file and on the command line has its "
            "own unit each time.");
const struct key_section section_source =
    SECTION("source_water", source_keys, "The plain water, before anything is added.");
const struct key_section section_reservoir =
    SECTION("reservoir", reservoir_keys,
            "The shared tank. Its low mark lies above the remainder and below the capacity.");
const struct key_section section_labour =
    SECTION("labour", labour_keys, "Minutes of work that a day has, and minutes that each takes.");
const struct key_section section_care =
    SECTION("care", care_keys, "How often a thing is seen to; 0 days is never.");
const struct key_section section_measures = SECTION(
    "measures", measures_keys, "What amounts are measured with. Doses are rounded to its steps.");
const struct key_section section_product =
    SECTION("products.NAME", product_keys, "One nutrient, acid or base.");
const struct key_section section_recipe =
    SECTION("recipes.NAME", recipe_keys,
            "What makes a solution. Crops name the recipe that each of their stages wants.");
const struct key_section section_dose =
    SECTION("recipes.NAME.doses", dose_keys, "One product of a recipe.");
const struct key_section section_crop =
    SECTION("crops.NAME", crop_keys,
            "A crop. What is said of a shipped one changes just that; the rest stays.");
const struct key_section section_stage =
    SECTION("crops.NAME.stages", stage_keys,
            "A growth stage. One that the shipped crop has is changed in what is said; a new one "
            "takes its place by its age. The first begins at 0 days.");
const struct key_section section_container =
    SECTION("containers.NAME", container_keys,
            "A container, or as many as a pattern stands for. The start line lies above the float "
            "line, and the float line above the remainder.");
const struct key_section section_meter = SECTION("meters.NAME", meter_keys, "One meter.");

const struct key_section *const room_sections[] = {
    &section_file,      &section_room,      &section_units, &section_source,
    &section_reservoir, &section_labour,    &section_care,  &section_measures,
    &section_product,   &section_recipe,    &section_dose,  &section_crop,
    &section_stage,     &section_container, &section_meter, NULL,
};
