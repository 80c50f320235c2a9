#include "daemon/core/chem/salt.h"

#include <math.h>
#include <stddef.h>

#define CONCENTRATE_MG_ML 0.5 /* a strong solution has 0.2 of each; common practice, no source */

static bool same_atoms(const struct formula *a, const struct formula *b)
{
    for (int i = 0; i < ELEMENT_COUNT; i++) {
        if (a->atoms[i] != b->atoms[i]) {
            return false;
        }
    }
    return true;
}

double salt_dissolves_g_l(const struct formula *f)
{
    static const struct {
        const char *formula;
        double g_l;
    } salts[] = {
        {"KNO3",          316 },
        {"Ca(NO3)2.4H2O", 1290},
        {"MgSO4.7H2O",    710 },
        {"KH2PO4",        226 },
        {"K2SO4",         111 },
        {"NH4H2PO4",      374 },
        {"Mg(NO3)2.6H2O", 1250},
        {"NH4NO3",        1900},
        {"KCl",           342 },
        {"CaCl2.2H2O",    986 },
        {"CaSO4.2H2O",    2.6 },
        {"H3BO3",         47  },
        {"ZnSO4.7H2O",    965 },
        {"CuSO4.5H2O",    320 },
        {"MnSO4.H2O",     520 },
        {"FeSO4.7H2O",    480 },
        {"Na2MoO4.2H2O",  650 },
    };

    for (size_t i = 0; i < sizeof salts / sizeof *salts; i++) {
        struct formula known;

        if (formula_parse(salts[i].formula, &known, NULL) == 0 && same_atoms(&known, f)) {
            return salts[i].g_l;
        }
    }
    return NAN;
}

const char *salt_falls_out(const struct nutrients *mg_ml)
{
    if (mg_ml->mg[NUTRIENT_CA] < CONCENTRATE_MG_ML) {
        return NULL;
    }
    if (mg_ml->mg[NUTRIENT_S] >= CONCENTRATE_MG_ML) {
        return "gypsum";
    }
    return mg_ml->mg[NUTRIENT_P] >= CONCENTRATE_MG_ML ? "calcium phosphate" : NULL;
}
