#include "daemon/core/units/quantity.h"

#include "daemon/base/err.h"
#include "daemon/base/num.h"
#include "daemon/base/suggest.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

const char *const quantity_volume_words[] = {"L", "gal", NULL};
const char *const quantity_ec_words[] = {"mS/cm", "ppm500", "ppm640", "ppm700", NULL};
const char *const quantity_temp_words[] = {"C", "F", NULL};

/* Exact by definition (NIST Handbook 44, Appendix C; NIST SP 811 for the imperial gallon): all
 * digits, so that a unit read and shown again is the same. check_units.c holds them to it. */
#define GAL_L    3.785411784 /* 231 cubic inches */
#define IMPGAL_L 4.54609
#define FLOZ_ML  29.5735295625 /* a 128th of a gallon */
#define TSP_ML   4.92892159375 /* a sixth of a fluid ounce */
#define OZ_G     28.349523125  /* a 16th of a pound */
#define LB_G     453.59237
#define MEQ_MG_L 50.04 /* CaCO3, 100.09 g/mol (IUPAC, from memory) of two charges, to 0.01 mg */

/* value inside = number * factor + offset */
struct unit {
    enum quantity quantity;
    const char *word;
    double factor;
    double offset;
    bool shown; /* named in messages; the others are other spellings */
};

static const struct unit units_known[] = {
    {QUANTITY_PERCENT,     "%",        1,               0,          true },
    {QUANTITY_VOLUME,      "L",        1,               0,          true },
    {QUANTITY_VOLUME,      "mL",       1e-3,            0,          true },
    {QUANTITY_VOLUME,      "gal",      GAL_L,           0,          true },
    {QUANTITY_VOLUME,      "impgal",   IMPGAL_L,        0,          true },
    {QUANTITY_VOLUME,      "qt",       GAL_L / 4,       0,          true },
    {QUANTITY_VOLUME,      "floz",     FLOZ_ML * 1e-3,  0,          true },
    {QUANTITY_VOLUME,      "m3",       1000,            0,          true },
    {QUANTITY_VOLUME,      "litres",   1,               0,          false},
    {QUANTITY_EC,          "mS/cm",    1,               0,          true },
    {QUANTITY_EC,          "dS/m",     1,               0,          true },
    {QUANTITY_EC,          "uS/cm",    1e-3,            0,          true },
    {QUANTITY_EC,          "µS/cm",   1e-3,            0,          false},
    {QUANTITY_EC,          "CF",       0.1,             0,          false}, /* a factor */
    {QUANTITY_EC,          "ppm500",   1.0 / 500,       0,          true },
    {QUANTITY_EC,          "ppm640",   1.0 / 640,       0,          true },
    {QUANTITY_EC,          "ppm700",   1.0 / 700,       0,          true },
    {QUANTITY_TEMP,        "C",        1,               0,          true },
    {QUANTITY_TEMP,        "°C",      1,               0,          false},
    {QUANTITY_TEMP,        "F",        5.0 / 9,         -160.0 / 9, true },
    {QUANTITY_TEMP,        "°F",      5.0 / 9,         -160.0 / 9, false},
    {QUANTITY_SPAN,        "days",     1,               0,          true },
    {QUANTITY_SPAN,        "weeks",    7,               0,          true },
    {QUANTITY_SPAN,        "hours",    1.0 / 24,        0,          true },
    {QUANTITY_SPAN,        "minutes",  1.0 / 1440,      0,          true },
    {QUANTITY_SPAN,        "day",      1,               0,          false},
    {QUANTITY_SPAN,        "d",        1,               0,          false},
    {QUANTITY_SPAN,        "week",     7,               0,          false},
    {QUANTITY_SPAN,        "w",        7,               0,          false},
    {QUANTITY_SPAN,        "hour",     1.0 / 24,        0,          false},
    {QUANTITY_SPAN,        "h",        1.0 / 24,        0,          false},
    {QUANTITY_SPAN,        "min",      1.0 / 1440,      0,          false},
    {QUANTITY_MINUTES,     "min",      1,               0,          true },
    {QUANTITY_MINUTES,     "h",        60,              0,          true },
    {QUANTITY_MINUTES,     "minutes",  1,               0,          false},
    {QUANTITY_MINUTES,     "hours",    60,              0,          false},
    {QUANTITY_FLOW,        "L/min",    1,               0,          true },
    {QUANTITY_FLOW,        "L/h",      1.0 / 60,        0,          true },
    {QUANTITY_FLOW,        "L/day",    1.0 / 1440,      0,          true },
    {QUANTITY_FLOW,        "gal/min",  GAL_L,           0,          true },
    {QUANTITY_FLOW,        "gal/h",    GAL_L / 60,      0,          true },
    {QUANTITY_FLOW,        "gal/day",  GAL_L / 1440,    0,          true },
    {QUANTITY_CONTENT,     "mg/L",     1,               0,          true },
    {QUANTITY_CONTENT,     "ppm",      1,               0,          true },
    {QUANTITY_CONTENT,     "g/L",      1000,            0,          true },
    {QUANTITY_ALKALINITY,  "mg/L",     1,               0,          true },
    {QUANTITY_ALKALINITY,  "ppm",      1,               0,          true },
    {QUANTITY_ALKALINITY,  "meq/L",    MEQ_MG_L,        0,          true },
    {QUANTITY_ALKALINITY,  "mmol/L",   MEQ_MG_L,        0,          true },
    {QUANTITY_DOSE_LIQUID, "mL/L",     1,               0,          true },
    {QUANTITY_DOSE_LIQUID, "mL/gal",   1 / GAL_L,       0,          true },
    {QUANTITY_DOSE_LIQUID, "floz/gal", FLOZ_ML / GAL_L, 0,          true },
    {QUANTITY_DOSE_LIQUID, "tsp/gal",  TSP_ML / GAL_L,  0,          true },
    {QUANTITY_DOSE_DRY,    "g/L",      1,               0,          true },
    {QUANTITY_DOSE_DRY,    "mg/L",     1e-3,            0,          true },
    {QUANTITY_DOSE_DRY,    "g/gal",    1 / GAL_L,       0,          true },
    {QUANTITY_DOSE_DRY,    "oz/gal",   OZ_G / GAL_L,    0,          true },
    {QUANTITY_LIQUID,      "mL",       1,               0,          true },
    {QUANTITY_LIQUID,      "L",        1000,            0,          true },
    {QUANTITY_LIQUID,      "floz",     FLOZ_ML,         0,          true },
    {QUANTITY_LIQUID,      "qt",       GAL_L * 250,     0,          true },
    {QUANTITY_LIQUID,      "gal",      GAL_L * 1000,    0,          true },
    {QUANTITY_LIQUID,      "impgal",   IMPGAL_L * 1000, 0,          true },
    {QUANTITY_DRY,         "g",        1,               0,          true },
    {QUANTITY_DRY,         "kg",       1000,            0,          true },
    {QUANTITY_DRY,         "mg",       1e-3,            0,          true },
    {QUANTITY_DRY,         "oz",       OZ_G,            0,          true },
    {QUANTITY_DRY,         "lb",       LB_G,            0,          true },
    {QUANTITY_MILLIVOLT,   "mV",       1,               0,          true },
    {QUANTITY_LENGTH,      "m",        1,               0,          true },
    {QUANTITY_LENGTH,      "cm",       1e-2,            0,          true },
    {QUANTITY_LENGTH,      "mm",       1e-3,            0,          true },
    {QUANTITY_LENGTH,      "in",       0.0254,          0,          true },
    {QUANTITY_LENGTH,      "ft",       0.3048,          0,          true },
};

#define N_UNITS (sizeof units_known / sizeof *units_known)

static const char *const quantity_names[] = {
    "a number",      "a pH",           "a percentage",   "a volume",        "a strength",
    "a temperature", "a span of time", "a working time", "a flow",          "a content",
    "an alkalinity", "a liquid dose",  "a dry dose",     "a liquid amount", "a dry amount",
    "a voltage",     "a length",
};
_Static_assert(sizeof quantity_names / sizeof *quantity_names == QUANTITY_N,
               "a quantity without its name for messages");

/* The units of q that messages name, in the order of the table. Returns how many. */
static size_t shown_units(enum quantity q, const char *out[N_UNITS])
{
    size_t n = 0;

    for (size_t i = 0; i < N_UNITS; i++) {
        if (units_known[i].quantity == q && units_known[i].shown) {
            out[n++] = units_known[i].word;
        }
    }
    return n;
}

char *quantity_units(char buf[QUANTITY_UNITS_MAX], enum quantity q)
{
    const char *word[N_UNITS];
    size_t n = shown_units(q, word);
    size_t len = (size_t)snprintf(buf, QUANTITY_UNITS_MAX, "%s", n ? word[0] : "no unit");

    for (size_t i = 1; i < n && len < QUANTITY_UNITS_MAX; i++) {
        len += (size_t)snprintf(buf + len, QUANTITY_UNITS_MAX - len, "%s%s",
                                i + 1 < n ? ", " : " or ", word[i]);
    }
    return buf;
}

static const struct unit *find_unit(enum quantity q, const char *word)
{
    for (size_t i = 0; i < N_UNITS; i++) {
        if (units_known[i].quantity == q && strcasecmp(units_known[i].word, word) == 0) {
            return &units_known[i];
        }
    }
    return NULL;
}

static int unknown_unit(enum quantity q, const char *text, const char *word, struct err *e)
{
    const char *serve[N_UNITS];
    size_t n = shown_units(q, serve);
    char units[QUANTITY_UNITS_MAX];
    char tail[SUGGEST_TEXT_MAX];
    char otherwise[QUANTITY_UNITS_MAX + 8];

    quantity_units(units, q);
    if (q == QUANTITY_EC && strcasecmp(word, "ppm") == 0) {
        return err_set(e, ERR_SYNTAX,
                       "'%.40s' does not say which ppm: use ppm500, ppm640 or ppm700, as the meter "
                       "does, or mS/cm",
                       text);
    }
    for (size_t i = 0; i < N_UNITS; i++) {
        if (strcasecmp(units_known[i].word, word) ==
            0) { /* of another quantity, or it would serve */
            return err_set(e, ERR_SYNTAX, "'%.40s' is %s, and %s is wanted: use %s", text,
                           quantity_names[units_known[i].quantity], quantity_names[q], units);
        }
    }
    (void)snprintf(otherwise, sizeof otherwise, "; use %s", units);
    return err_set(e, ERR_SYNTAX, "'%.40s' has an unknown unit '%.20s'%s", text, word,
                   suggest_tail(tail, word, serve, n, otherwise));
}

int quantity_parse(enum quantity q, const char *text, double *out, struct err *e)
{
    unsigned span = num_span(text);
    bool bare = q == QUANTITY_NUMBER || q == QUANTITY_PH;
    const char *word = text + span;
    const struct unit *unit;
    char units[QUANTITY_UNITS_MAX];
    char number[64];
    double v;
    int rc;

    quantity_units(units, q);
    if (span == 0 || span >= sizeof number) {
        return err_set(e, ERR_SYNTAX, "'%.40s' is not a number%s%s", text,
                       bare ? "" : " with a unit: use ", bare ? "" : units);
    }
    memcpy(number, text, span);
    number[span] = '\0';
    if (text[span] == ',' && isdigit((unsigned char)text[span + 1])) {
        return err_set(e, ERR_SYNTAX, "'%.40s' has a comma: write it with a point, %s.%.20s", text,
                       number, text + span + 1);
    }
    rc = num_parse(number, &v, e);
    if (rc < 0) {
        return rc;
    }
    word += strspn(word, " ");
    if (bare) {
        if (*word) {
            return err_set(e, ERR_SYNTAX, "'%.40s' has a unit; %s has none", text,
                           quantity_names[q]);
        }
        *out = v;
        return 0;
    }
    if (!*word) {
        return err_set(e, ERR_SYNTAX, "'%.40s' needs a unit: %s", text, units);
    }
    unit = find_unit(q, word);
    if (!unit) {
        return unknown_unit(q, text, word, e);
    }
    v = v * unit->factor + unit->offset;
    if (!isfinite(v)) {
        return err_set(e, ERR_SYNTAX, "'%.40s' is too large a number", text);
    }
    *out = v;
    return 0;
}

/* v, or 0 when that many decimals show nothing of it: "-0.0" tells a person nothing. */
static double plain(double v, int decimals)
{
    return fabs(v) < 0.5 * pow(10, -decimals) ? 0 : v;
}

/* Three significant digits of what a scale or a pipette can show, and never an exponent: 0.486,
 * 4.86, 48.6, 486. */
static void three_digits(char *buf, double v, const char *unit)
{
    double size = fabs(v);
    int decimals = size < 0.9995 ? 3 : size < 9.995 ? 2 : size < 99.95 ? 1 : 0;
    char number[48];
    size_t len;

    (void)snprintf(number, sizeof number, "%.*f", decimals, plain(v, decimals));
    len = strlen(number);
    while (decimals > 0 && number[len - 1] == '0') {
        number[--len] = '\0';
        decimals--;
    }
    if (number[len - 1] == '.') {
        number[--len] = '\0';
    }
    (void)snprintf(buf, QUANTITY_TEXT_MAX, "%.20s %s", number, unit);
}

/* The larger unit from where the smaller one would show 1000. */
static void format_amount(char *buf, double v, const char *unit, const char *thousand)
{
    bool large = fabs(v) >= 999.5;

    three_digits(buf, large ? v / 1000 : v, large ? thousand : unit);
}

static void format_dose(char *buf, double v, const char *per_l, const char *per_gal,
                        const struct units *u)
{
    bool gallons = u->volume == VOLUME_SHOW_GAL;

    three_digits(buf, gallons ? v * GAL_L : v, gallons ? per_gal : per_l);
}

static void format_volume(char *buf, double v, const struct units *u)
{
    if (u->volume == VOLUME_SHOW_GAL) {
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "%.2f gal", plain(v / GAL_L, 2));
    } else {
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "%.*f L", fabs(v) < 99.95 ? 1 : 0, plain(v, 1));
    }
}

static void format_ec(char *buf, double v, const struct units *u)
{
    static const double scale[] = {1, 500, 640, 700};

    if (u->ec == EC_SHOW_MS_CM) {
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "%.2f mS/cm", plain(v, 2));
    } else {
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "%.0f %s", 5 * plain(round(v * scale[u->ec] / 5), 0),
                       quantity_ec_words[u->ec]);
    }
}

static void format_temp(char *buf, double v, const struct units *u)
{
    if (u->temp == TEMP_SHOW_F) {
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "%.1f °F", plain(v * 9 / 5 + 32, 1));
    } else {
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "%.1f °C", plain(v, 1));
    }
}

char *quantity_format(char buf[QUANTITY_TEXT_MAX], enum quantity q, double value,
                      const struct units *units)
{
    if (!isfinite(value)) {
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "?");
        return buf;
    }
    value = value == 0 ? 0 : value; /* no minus before nothing */
    switch (q) {
    case QUANTITY_VOLUME:
        format_volume(buf, value, units);
        break;
    case QUANTITY_EC:
        format_ec(buf, value, units);
        break;
    case QUANTITY_TEMP:
        format_temp(buf, value, units);
        break;
    case QUANTITY_PH:
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "%.1f", plain(value, 1));
        break;
    case QUANTITY_PERCENT:
        three_digits(buf, value, "%");
        break;
    case QUANTITY_SPAN:
        three_digits(buf, value, "days");
        break;
    case QUANTITY_MINUTES:
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "%.0f min", plain(value, 0));
        break;
    case QUANTITY_FLOW:
        three_digits(buf, value, "L/min");
        break;
    case QUANTITY_CONTENT:
    case QUANTITY_ALKALINITY:
        three_digits(buf, value, "mg/L");
        break;
    case QUANTITY_DOSE_LIQUID:
        format_dose(buf, value, "mL/L", "mL/gal", units);
        break;
    case QUANTITY_DOSE_DRY:
        format_dose(buf, value, "g/L", "g/gal", units);
        break;
    case QUANTITY_LIQUID:
        format_amount(buf, value, "mL", "L");
        break;
    case QUANTITY_DRY:
        format_amount(buf, value, "g", "kg");
        break;
    case QUANTITY_MILLIVOLT:
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "%.0f mV", plain(value, 0));
        break;
    case QUANTITY_LENGTH:
        three_digits(buf, fabs(value) < 0.9995 ? 100 * value : value,
                     fabs(value) < 0.9995 ? "cm" : "m");
        break;
    case QUANTITY_NUMBER:
    case QUANTITY_N:
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "%.6g", value);
        break;
    }
    return buf;
}

/* The amount in the system that the room does not use; false where nothing is gained by it. */
static bool format_other(char buf[QUANTITY_TEXT_MAX], enum quantity q, double v,
                         const struct units *u)
{
    struct units other = *u;

    switch (q) {
    case QUANTITY_VOLUME:
        other.volume = u->volume == VOLUME_SHOW_L ? VOLUME_SHOW_GAL : VOLUME_SHOW_L;
        quantity_format(buf, q, v, &other);
        return true;
    case QUANTITY_TEMP:
        other.temp = u->temp == TEMP_SHOW_C ? TEMP_SHOW_F : TEMP_SHOW_C;
        quantity_format(buf, q, v, &other);
        return true;
    case QUANTITY_LIQUID:
        three_digits(buf, v / FLOZ_ML, "fl oz");
        return fabs(v) >= FLOZ_ML;
    case QUANTITY_DRY:
        three_digits(buf, v / OZ_G, "oz");
        return fabs(v) >= OZ_G;
    default:
        return false;
    }
}

char *quantity_format_both(char buf[QUANTITY_BOTH_MAX], enum quantity q, double value,
                           const struct units *units)
{
    char own[QUANTITY_TEXT_MAX];
    char other[QUANTITY_TEXT_MAX];

    quantity_format(own, q, value, units);
    if (units->both && isfinite(value) && format_other(other, q, value, units)) {
        (void)snprintf(buf, QUANTITY_BOTH_MAX, "%s (%s)", own, other);
    } else {
        (void)snprintf(buf, QUANTITY_BOTH_MAX, "%s", own);
    }
    return buf;
}

double quantity_two_digits(double value)
{
    double unit = value > 0 ? pow(10, floor(log10(value)) - 1) : 1;

    return round(value / unit) * unit;
}
