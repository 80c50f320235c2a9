#include "daemon/core/chem/saturation.h"

#include "daemon/core/chem/salt.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>

#define LOG_KSP_GYPSUM    (-4.60)
#define LOG_KSP_PHOSPHATE (-6.59)
#define LOG_KSP_LIME      (-8.48)
#define SILICA_MMOL_L     1.95
#define LOG_SLOW          0.3   /* common practice, no source */
#define CONCENTRATE_MG_L  500.0 /* below it is no concentrate; common practice, no source */
#define WATER_TEMP_C      25

/* clang-format off */
const char *const solid_words[] = {"gypsum", "phosphate", "lime", "silicate", "salt", NULL};
const char *const solid_says[] = {
    [SOLID_GYPSUM]    = "calcium and sulfate, as gypsum",
    [SOLID_PHOSPHATE] = "calcium and phosphate, as calcium phosphate",
    [SOLID_LIME]      = "calcium and carbonate, as lime",
    [SOLID_SILICATE]  = "silicate, as a gel",
    [SOLID_SALT]      = "salts that share an ion, as the one that dissolves least",
};
/* clang-format on */
static_assert(sizeof solid_words / sizeof *solid_words == SOLID_COUNT + 1, "a solid has no word");
static_assert(sizeof solid_says / sizeof *solid_says == SOLID_COUNT, "a solid has no sentence");

double saturation_log(const struct dissolved *w, double ph, enum solid solid)
{
    struct balance_active a = balance_active(w, ph);

    switch (solid) {
    case SOLID_GYPSUM:
        return log10(a.ca * a.so4) - LOG_KSP_GYPSUM;
    case SOLID_PHOSPHATE:
        return log10(a.ca * a.hpo4) - LOG_KSP_PHOSPHATE;
    case SOLID_LIME:
        return log10(a.ca * a.co3) - LOG_KSP_LIME;
    case SOLID_SILICATE:
    case SOLID_SALT:
    case SOLID_COUNT:
        break;
    }
    return -INFINITY;
}

static unsigned of_calcium(const struct dissolved *w, double ph)
{
    unsigned out = 0;

    out |= saturation_log(w, ph, SOLID_GYPSUM) > 0 ? SOLID_BIT(SOLID_GYPSUM) : 0;
    out |= saturation_log(w, ph, SOLID_PHOSPHATE) > LOG_SLOW ? SOLID_BIT(SOLID_PHOSPHATE) : 0;
    out |= saturation_log(w, ph, SOLID_LIME) > LOG_SLOW ? SOLID_BIT(SOLID_LIME) : 0;
    return out;
}

/* Bicarbonate that the label's gap was filled with is nobody's. */
static struct dissolved dissolve(const struct nutrients *mg_l, const struct dissolved *water)
{
    struct dissolved w = water ? *water : (struct dissolved){.temp_c = WATER_TEMP_C};
    struct ions more = ions_of_nutrients(mg_l);

    for (int i = 0; i < ION_COUNT; i++) {
        w.ions.mmol_l[i] += i == ION_HCO3 ? 0 : more.mmol_l[i];
    }
    return w;
}

static unsigned salts_over(const struct nutrients *mg_l)
{
    struct ions ions = ions_of_nutrients(mg_l);

    return salt_over(&ions) ? SOLID_BIT(SOLID_SALT) : 0;
}

unsigned saturation_of_solution(const struct nutrients *mg_l, const struct dissolved *water,
                                double ph)
{
    struct dissolved w = dissolve(mg_l, water);
    unsigned out = of_calcium(&w, ph);

    if (mg_l->mg[NUTRIENT_SI] / element_molar_mass_g(ELEMENT_SI) > SILICA_MMOL_L) {
        out |= SOLID_BIT(SOLID_SILICATE);
    }
    return out | salts_over(mg_l);
}

unsigned saturation_of_bottle(const struct nutrients *mg_l, double ph)
{
    struct dissolved w = dissolve(mg_l, NULL);
    unsigned out = of_calcium(&w, ph) | salts_over(mg_l);

    if (mg_l->mg[NUTRIENT_CA] >= CONCENTRATE_MG_L && mg_l->mg[NUTRIENT_SI] >= CONCENTRATE_MG_L) {
        out |= SOLID_BIT(SOLID_SILICATE);
    }
    return out;
}
