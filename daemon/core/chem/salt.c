#include "daemon/core/chem/salt.h"

#include <math.h>
#include <stddef.h>

/* Activities at such strengths are guessed, so that it is told from twice the saturation only. */
#define OVER_BY 2

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

/* A salt of one anion and n cations, dissolved. */
struct two_ions {
    const char *formula;
    enum ion cation, anion;
    int n_cations;
};

/* The product of its ions that float by themselves. */
static double product_of(const struct two_ions *salt, const struct ions *all)
{
    struct ions alone = ions_alone(all);

    return pow(alone.mmol_l[salt->cation], salt->n_cations) * alone.mmol_l[salt->anion];
}

static double saturated_product(const struct two_ions *salt)
{
    struct ions ions = {0};
    struct formula f;
    double mmol_l;

    if (formula_parse(salt->formula, &f, NULL) < 0) {
        return INFINITY; /* unreachable: the table's own */
    }
    mmol_l = 1000 * salt_dissolves_g_l(&f) / formula_molar_mass_g(&f);
    ions.mmol_l[salt->cation] = salt->n_cations * mmol_l;
    ions.mmol_l[salt->anion] = mmol_l;
    return product_of(salt, &ions);
}

/* Where cations have more charge than the anions told, phosphate bears it: there is so much less of
 * the dihydrogen. */
static struct ions with_dihydrogen(const struct ions *i)
{
    struct ions out = *i;

    out.mmol_l[ION_H2PO4] = fmax(0, out.mmol_l[ION_H2PO4] - out.mmol_l[ION_HCO3]);
    return out;
}

const char *salt_over(const struct ions *i)
{
    /* clang-format off */
    static const struct two_ions salts[] = {
        {"K2SO4",      ION_K,   ION_SO4,   2},
        {"KH2PO4",     ION_K,   ION_H2PO4, 1},
        {"KNO3",       ION_K,   ION_NO3,   1},
        {"KCl",        ION_K,   ION_CL,    1},
        {"NH4H2PO4",   ION_NH4, ION_H2PO4, 1},
        {"MgSO4.7H2O", ION_MG,  ION_SO4,   1},
    };
    /* clang-format on */
    struct ions dissolved = with_dihydrogen(i);

    for (size_t k = 0; k < sizeof salts / sizeof *salts; k++) {
        if (product_of(&salts[k], &dissolved) > OVER_BY * saturated_product(&salts[k])) {
            return salts[k].formula;
        }
    }
    return NULL;
}
