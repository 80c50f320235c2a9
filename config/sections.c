/* The tables of keys. Ranges are what can be; what is strange but possible is the owner's business.
 */
#include "config/sections.h"

#include "daemon/core/room.h"

#include <stddef.h>

#define Q(of, member, key, quantity, lo, hi, help)                                                 \
    {                                                                                              \
        key, KEY_QUANTITY, quantity, NULL, offsetof(struct of, member), 0, lo, hi, false, true,    \
            NULL, help                                                                             \
    }
#define Q_ABOVE(of, member, key, quantity, hi, help)                                               \
    {                                                                                              \
        key, KEY_QUANTITY, quantity, NULL, offsetof(struct of, member), 0, 0, hi, true, true,      \
            NULL, help                                                                             \
    }
#define Q_PRESET(of, member, key, quantity, lo, hi, preset, help)                                  \
    {                                                                                              \
        key, KEY_QUANTITY, quantity, NULL, offsetof(struct of, member), 0, lo, hi, false, false,   \
            preset, help                                                                           \
    }
#define TEXT(of, member, key, needed, help)                                                        \
    {                                                                                              \
        key, KEY_TEXT, QUANTITY_NUMBER, NULL, offsetof(struct of, member),                         \
            sizeof(((struct of *)0)->member), 0, 0, false, needed, NULL, help                      \
    }
#define WORD(of, member, key, words, needed, preset, help)                                         \
    {                                                                                              \
        key, KEY_WORD, QUANTITY_NUMBER, words, offsetof(struct of, member), 0, 0, 0, false,        \
            needed, preset, help                                                                   \
    }
#define PART(key, needed, help)                                                                    \
    {                                                                                              \
        key, KEY_PART, QUANTITY_NUMBER, NULL, 0, 0, 0, 0, false, needed, NULL, help                \
    }
#define SECTION(name, keys)                                                                        \
    {                                                                                              \
        name, keys, sizeof(keys) / sizeof *(keys)                                                  \
    }

static const char *const product_words[] = {"liquid", "dry", "acid", "base", NULL};
static const char *const meter_words[] = {"ph", "ec", NULL};

static const struct key file_keys[] = {
    PART("room", true, "name and time zone of the room"),
    PART("units", false, "how figures are shown"),
    PART("source_water", true, "the plain water that there is"),
    PART("reservoir", true, "the shared tank"),
    PART("labour", false, "minutes a day, and minutes for each kind of work"),
    PART("care", false, "what is seen to, and how often"),
    PART("products", true, "nutrients, acids and bases"),
    PART("recipes", true, "products and doses"),
    PART("crops", false,
         "figures of a crop that differ from the shipped ones, or a crop of your own"),
    PART("containers", true, "one by one, or by pattern (A1..A12)"),
    PART("meters", false, "pH and EC meters"),
    PART("notify", false, "a command and its words, told of the day's list and of notices"),
};

static const struct key room_keys[] = {
    TEXT(room, name, "name", true, "what the room is called"),
    TEXT(room, zone_name, "zone", true, "its time zone, as Europe/Vienna"),
    {"day_start", KEY_CLOCK, QUANTITY_NUMBER, NULL, offsetof(struct room, day_start_s), 0, 0, 0,
                                                                        false, false, "07:00", "when the day's list is made"},
    Q_PRESET(room, tolerance_pct, "tolerance", QUANTITY_PERCENT, 0, 50, "10 %",
             "how far a shared mix may lie from what a container wants"),
};

static const struct key units_keys[] = {
    WORD(units, volume, "volume", quantity_volume_words, false, "L", "L or gal"),
    WORD(units, ec, "ec", quantity_ec_words, false, "mS/cm", "mS/cm, ppm500, ppm640 or ppm700"),
    WORD(units, temp, "temp", quantity_temp_words, false, "C", "C or F"),
};

static const struct key source_keys[] = {
    Q(source_water, ec_ms_cm, "ec", QUANTITY_EC, 0, 5, "its strength"),
    Q(source_water, ph, "ph", QUANTITY_PH, 3, 11, "its pH"),
    Q_PRESET(source_water, alkalinity_mg_l, "alkalinity", QUANTITY_ALKALINITY, 0, 1000, NULL,
             "as CaCO3; from the water report"),
    {"rate", KEY_QUANTITY, QUANTITY_FLOW, NULL, offsetof(struct source_water, rate_l_h), 0, 0, 1000,
       true, true, NULL, "how fast it is made or runs"},
    Q_PRESET(source_water, stored_l, "stored", QUANTITY_VOLUME, 0, 1e5, "0 L",
             "what its own tank holds ready"),
};

static const struct key reservoir_keys[] = {
    Q_ABOVE(reservoir, capacity_l, "capacity", QUANTITY_VOLUME, 1e5, "litres when full"),
    Q(reservoir, remainder_l, "remainder", QUANTITY_VOLUME, 0, 1e5, "what stays below the outlet"),
    Q(reservoir, low_l, "low", QUANTITY_VOLUME, 0, 1e5, "fill it before it falls to this"),
    Q_PRESET(reservoir, ph_target, "ph", QUANTITY_PH, 4, 8, "5.8", "kept at this pH"),
    Q_PRESET(reservoir, ph_tolerance, "ph_tolerance", QUANTITY_PH, 0.05, 2, "0.3", "within this"),
    Q_PRESET(reservoir, line_loss_l, "line_loss", QUANTITY_VOLUME, 0, 1000, "0 L",
             "stays in the lines at each load of solution"),
    Q_PRESET(reservoir, flow_l_min, "flow", QUANTITY_FLOW, 0.01, 1000, "4 L/min",
             "by gravity to the containers"),
};

#define DAY_OF(index, name)                                                                        \
    {                                                                                              \
        name, KEY_QUANTITY, QUANTITY_MINUTES, NULL,                                                \
            offsetof(struct labour, budget_min) + (index) * sizeof(double), 0, 0, 1440, false,     \
            false, "60 min", "work on this day; 0 min is a day off"                                \
    }
#define WORK(member, name, preset, help)                                                           \
    Q_PRESET(labour, member, name, QUANTITY_MINUTES, 0, 1440, preset, help)

static const struct key labour_keys[] = {
    DAY_OF(0, "monday"),
    DAY_OF(1, "tuesday"),
    DAY_OF(2, "wednesday"),
    DAY_OF(3, "thursday"),
    DAY_OF(4, "friday"),
    DAY_OF(5, "saturday"),
    DAY_OF(6, "sunday"),
    WORK(changeover_min, "changeover", "25 min", "reservoir from water to a mix and back"),
    WORK(load_min, "load", "15 min", "each mix made"),
    WORK(change_min, "change", "6 min", "each container drained and refilled"),
    WORK(start_min, "start", "10 min", "each container started"),
    WORK(bump_min, "bump", "4 min", "each container bumped"),
    WORK(check_min, "check", "2 min", "each look at a level"),
    WORK(read_min, "read", "3 min", "each reading"),
    WORK(ph_min, "ph", "5 min", "each pH set right"),
    WORK(fill_min, "fill", "15 min", "each fill of the reservoir"),
    WORK(calibrate_min, "calibrate", "10 min", "each meter"),
    WORK(care_min, "care", "3 min", "each thing seen to"),
    WORK(reorder_min, "reorder", "5 min", "each order"),
    WORK(harvest_min, "harvest", "15 min", "each container harvested and cleaned"),
};

#define CARE(kind, name, preset, help)                                                             \
    {                                                                                              \
        name, KEY_QUANTITY, QUANTITY_SPAN, NULL,                                                   \
            offsetof(struct room, care_every_day) + (kind) * sizeof(double), 0, 0, 3650, false,    \
            false, preset, help                                                                    \
    }

static const struct key care_keys[] = {
    CARE(CARE_FLOAT, "float", "30 days", "each float valve"),
    CARE(CARE_VALVE, "valve", "60 days", "each shut-off valve"),
    CARE(CARE_FILTER, "filter", "30 days", "the filter in the line"),
    CARE(CARE_RESERVOIR, "reservoir", "60 days", "the reservoir itself"),
    CARE(CARE_READ, "read", "7 days", "EC and pH of each container and the reservoir"),
};

static const struct key product_keys[] = {
    WORD(product, kind, "kind", product_words, true, NULL, "liquid, dry, acid or base"),
    PART("stock", false, "what is there when the journal begins"),
    PART("reorder_at", false, "order more when this much is left"),
    {"density", KEY_QUANTITY, QUANTITY_NUMBER, NULL, offsetof(struct product, density_g_ml), 0, 0.5,
                                                                3, false, false, NULL, "g/mL of a liquid"},
};

static const struct key recipe_keys[] = {
    Q_ABOVE(recipe, ec_gain_ms_cm, "ec", QUANTITY_EC, 20,
            "what the full dose adds to the water's EC"),
    PART("doses", true, "a list of {product, dose}, in the order of addition"),
};

static const struct key dose_keys[] = {
    PART("product", true, "its name"),
    PART("dose", true, "per litre, or per gallon, of water"),
};

static const struct key crop_keys[] = {
    Q_ABOVE(crop, use.most_l_day, "drinks", QUANTITY_VOLUME, 50, "a day, when full-grown"),
    Q_ABOVE(crop, use.half_day, "half_at", QUANTITY_SPAN, 1000,
            "age at which it drinks half of that"),
    Q_ABOVE(crop, use.spread_day, "spread", QUANTITY_SPAN, 1000,
            "how slowly it comes to it: a quarter at half_at less 1.1 of this"),
    Q_ABOVE(crop, start_ec_ms_cm, "start_ec", QUANTITY_EC, 10, "the weak solution it starts with"),
    Q_ABOVE(crop, step_ec_ms_cm, "step", QUANTITY_EC, 5, "largest rise at one change"),
    Q_ABOVE(crop, harvest_day, "harvest", QUANTITY_SPAN, 3650, "age at which it is taken out"),
    Q_PRESET(crop, harvest_window_day, "harvest_window", QUANTITY_SPAN, 0, 365, "7 days",
             "before and after that it still serves"),
    TEXT(crop, source, "source", false, "where the figures come from"),
    PART("stages", true, "a list of growth stages, in their order"),
};

static const struct key stage_keys[] = {
    {"name",      KEY_NAME,     QUANTITY_NUMBER,  NULL, offsetof(struct stage, name),       ROOM_NAME_MAX + 1, 0, 0,
     false,                                                                                                                   true,  NULL,    "what the stage is called"                      },
    Q(stage, from_day, "from", QUANTITY_SPAN, 0, 3650, "age at which it begins"),
    {"seen_only", KEY_BOOL,     QUANTITY_NUMBER,  NULL, offsetof(struct stage, seen_only),  0,                 0, 0,
     false,                                                                                                                   false, "false", "true: it begins only when a person has seen it"},
    Q_ABOVE(stage, ec_ms_cm, "ec", QUANTITY_EC, 10, "strength wanted"),
    Q(stage, ph_min, "ph_min", QUANTITY_PH, 4, 8, "pH wanted, from"),
    Q(stage, ph_max, "ph_max", QUANTITY_PH, 4, 8, "pH wanted, to"),
    Q_ABOVE(stage, uptake_ms_cm, "uptake", QUANTITY_EC, 10,
            "EC of the nutrients it takes with a litre it drinks"),
    Q_ABOVE(stage, life_min_day, "life_min", QUANTITY_SPAN, 365,
            "a solution on float lasts at least"),
    Q_ABOVE(stage, life_max_day, "life_max", QUANTITY_SPAN, 365, "… and at most"),
    {"spent",     KEY_QUANTITY, QUANTITY_PERCENT, NULL, offsetof(struct stage, spent_frac), 0,                 1, 100,
     false,                                                                                                                   true,  NULL,    "below this share of the strength it is spent"  },
    {"recipe",    KEY_NAME,     QUANTITY_NUMBER,  NULL, offsetof(struct stage, recipe),     ROOM_NAME_MAX + 1,
     0,                                                                                                           0,   false, true,  NULL,    "a recipe of the room"                          },
    TEXT(stage, source, "source", false, "where the figures come from"),
};

static const struct key container_keys[] = {
    PART("crop", true, "what is started in it"),
    Q_ABOVE(container, start_volume_l, "start_volume", QUANTITY_VOLUME, 2000,
            "up to the start line"),
    Q_ABOVE(container, float_volume_l, "float_volume", QUANTITY_VOLUME, 2000,
            "up to the float line"),
    Q(container, remainder_l, "remainder", QUANTITY_VOLUME, 0, 2000, "what stays after draining"),
    {"start",   KEY_DAY,  QUANTITY_NUMBER, NULL, offsetof(struct container, start_on), 0, 0, 0, false,
                                                                                                  false,                                                                                                   NULL,   "day of the first start; none: when you say so"},
    {"replant", KEY_BOOL, QUANTITY_NUMBER, NULL, offsetof(struct container, replant),  0, 0, 0,
                                                                                                  false,                                                                                            false, "true", "start again after harvest and cleaning"       },
};

static const struct key meter_keys[] = {
    WORD(meter, kind, "kind", meter_words, true, NULL, "ph or ec"),
    Q_ABOVE(meter, calibrate_every_day, "calibrate", QUANTITY_SPAN, 3650, "how often"),
};

const struct section section_file = SECTION("file", file_keys);
const struct section section_room = SECTION("room", room_keys);
const struct section section_units = SECTION("units", units_keys);
const struct section section_source = SECTION("source_water", source_keys);
const struct section section_reservoir = SECTION("reservoir", reservoir_keys);
const struct section section_labour = SECTION("labour", labour_keys);
const struct section section_care = SECTION("care", care_keys);
const struct section section_product = SECTION("products.NAME", product_keys);
const struct section section_recipe = SECTION("recipes.NAME", recipe_keys);
const struct section section_dose = SECTION("recipes.NAME.doses", dose_keys);
const struct section section_crop = SECTION("crops.NAME", crop_keys);
const struct section section_stage = SECTION("crops.NAME.stages", stage_keys);
const struct section section_container = SECTION("containers.NAME", container_keys);
const struct section section_meter = SECTION("meters.NAME", meter_keys);

const struct section *const room_sections[] = {
    &section_file,   &section_room,  &section_units,     &section_source, &section_reservoir,
    &section_labour, &section_care,  &section_product,   &section_recipe, &section_dose,
    &section_crop,   &section_stage, &section_container, &section_meter,  NULL,
};
