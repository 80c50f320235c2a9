#include "config/read/analysis_read.h"

#include "config/read/keys.h"
#include "daemon/base/suggest.h"
#include "daemon/core/chem/ions.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define MOST_MG_L     5000 /* far above any supply: it catches a slipped digit */
#define CHARGES_FRAC  0.10
#define EC_FRAC       0.25 /* and by as much as this its EC may differ … */
#define EC_MS_CM      0.05 /* … or this */
#define ALKALI_FRAC   0.15 /* two figures of one report: another day, another laboratory … */
#define ALKALI_MG_L   10.0 /* … or rounding */
#define CACO3_OF_HCO3 (50.04 / 61.017)

/* As reports have them, mg/L of the ion: its molar mass (IUPAC 2021, abridged), and its charge. */
static const struct {
    const char *word;
    enum ion ion;
    double g_mol;
    int charge;
    enum nutrient nutrient;
    double element_g_mol;
} known[] = {
    {"Ca",   ION_CA,    40.078, 2,  NUTRIENT_CA,    40.078},
    {"Mg",   ION_MG,    24.305, 2,  NUTRIENT_MG,    24.305},
    {"Na",   ION_NA,    22.990, 1,  NUTRIENT_NA,    22.990},
    {"K",    ION_K,     39.098, 1,  NUTRIENT_K,     39.098},
    {"NO3",  ION_NO3,   62.004, -1, NUTRIENT_NO3_N, 14.007},
    {"SO4",  ION_SO4,   96.06,  -2, NUTRIENT_S,     32.06 },
    {"Cl",   ION_CL,    35.45,  -1, NUTRIENT_CL,    35.45 },
    {"HCO3", ION_HCO3,  61.017, -1, NUTRIENT_COUNT, 0     },
    {"PO4",  ION_H2PO4, 94.97,  -1, NUTRIENT_P,     30.974},
};
#define KNOWN_N (sizeof known / sizeof *known)

static const char *const words[] = {"Ca", "Mg", "Na", "K", "NO3", "SO4", "Cl", "HCO3", "PO4"};
_Static_assert(sizeof words / sizeof *words == KNOWN_N, "an ion of the report without its word");

static int find(const char *word)
{
    for (size_t i = 0; i < KNOWN_N; i++) {
        if (strcmp(known[i].word, word) == 0) {
            return (int)i;
        }
    }
    return -1;
}

/* One ion into both: what conducts, and what feeds. False, with the fault noted, when it is
 * none. */
static bool read_ion(struct building *b, const struct pair *p, struct ions *ions,
                     struct nutrients *brings)
{
    int i = find(p->key);
    char tail[SUGGEST_TEXT_MAX];
    double mg_l;

    if (i < 0) {
        fault_at(&b->f, p->at, "analysis: '%.40s' is not looked at%s", p->key,
                 suggest_tail(tail, p->key, words, KNOWN_N,
                              "; Ca, Mg, Na, K, NO3, SO4, Cl, HCO3 or PO4, mg/L of the ion"));
        return false;
    }
    if (!quantity_read(&b->f, &p->value, p->key, QUANTITY_CONTENT, 0, MOST_MG_L, true, &mg_l)) {
        return false;
    }
    ions->mmol_l[known[i].ion] = mg_l / known[i].g_mol;
    if (known[i].nutrient != NUTRIENT_COUNT) {
        brings->mg[known[i].nutrient] = mg_l * known[i].element_g_mol / known[i].g_mol;
    }
    return true;
}

static void take_alkalinity(struct building *b, struct place at, double hco3_mmol_l,
                            struct source_water *water)
{
    double mg_l = hco3_mmol_l * 61.017 * CACO3_OF_HCO3;

    if (!(hco3_mmol_l > 0)) {
        return;
    }
    if (isfinite(water->alkalinity_mg_l) &&
        fabs(water->alkalinity_mg_l - mg_l) > ALKALI_MG_L + ALKALI_FRAC * mg_l) {
        fault_at(&b->f, at,
                 "source_water: HCO3 is an alkalinity of %.0f mg/L as CaCO3, and 'alkalinity' says "
                 "%.0f; one of them is a slip",
                 mg_l, water->alkalinity_mg_l);
    } else if (isnan(water->alkalinity_mg_l)) {
        water->alkalinity_mg_l = mg_l;
    }
}

/* A report that lacks an ion is one with a hole; bicarbonate is the one that is left out most. */
static void judge(struct building *b, struct place at, const struct ions *ions,
                  const struct source_water *water)
{
    double plus = 0;
    double minus = 0;
    double ec = ions_ec_ms_cm(ions);

    for (size_t i = 0; i < KNOWN_N; i++) {
        double meq_l = known[i].charge * ions->mmol_l[known[i].ion];

        *(meq_l > 0 ? &plus : &minus) += fabs(meq_l);
    }
    if (fabs(plus - minus) > CHARGES_FRAC * (plus + minus)) {
        fault_warn(
            &b->f, at,
            "source_water: the analysis has %.1f meq/L of cations and %.1f of anions; an ion "
            "is missing, or a slip",
            plus, minus);
    } else if (fabs(ec - water->ec_ms_cm) > EC_MS_CM + EC_FRAC * water->ec_ms_cm) {
        fault_warn(&b->f, at,
                   "source_water: what the analysis names conducts about %.2f mS/cm, and 'ec' says "
                   "%.2f; one of them is of another water",
                   ec, water->ec_ms_cm);
    }
}

void analysis_read(struct building *b, const struct node *map, struct source_water *water)
{
    const struct node *list = node_get(map, "analysis");
    struct ions ions = {0};
    bool good = true;

    if (!list) {
        return;
    }
    if (list->kind != NODE_MAP) {
        fault_at(&b->f, list->at, "'analysis' is %s; a map is wanted", node_kind_word(list));
        return;
    }
    for (size_t i = 0; i < list->n; i++) {
        good = read_ion(b, &list->pair[i], &ions, &water->brings) && good;
    }
    if (good) {
        take_alkalinity(b, list->at, ions.mmol_l[ION_HCO3], water);
        judge(b, list->at, &ions, water);
    }
}
