/* What falls out of water: solubilities beside handbooks.
 *
 * SA-PPT   Gypsum: its solubility at 25 C, 2.4 to 2.6 g/L (CRC Handbook, from memory); a
 *          hundredfold Hoagland solution in one tank falls out, a single one does not (University
 *          of California, Agriculture and Natural Resources, on clogging by injected chemicals:
 *          never combine them; read). The conductivity of its saturated water: 2.2 dS/m (USDA
 *          Handbook 60, Richards 1954, from memory).
 * SA-LIME  Calcite in balance with the air: pH 8.2 to 8.4, calcium 0.45 to 0.55 mmol/L (Stumm &
 *          Morgan, Aquatic Chemistry, chapter 4; from memory).
 * SA-PHOS  CaHPO4 2H2O in water at 25 C: 0.1 to 0.2 g/L (handbooks have 0.02 g in 100 mL; from
 *          memory); an acid bottle of a calcium and phosphate feed stays
 *          clear, a neutral one does not (common practice, no source).
 * SA-SI    Silica gel: 120 mg/L of SiO2 at 25 C (Iler 1979, Chemistry of Silica; from memory). */
#include "daemon/core/chem/salt.h"
#include "daemon/core/chem/saturation.h"
#include "tests/published/check.h"

#define GYPSUM_G_MOL   172.17
#define BRUSHITE_G_MOL 172.09

/* mmol/L at which the salt of calcium is just saturated, by halving. */
static double solubility_mmol_l(struct dissolved (*water)(double), double (*ph)(double),
                                enum solid solid)
{
    double lo = 0;
    double hi = 100;

    for (int i = 0; i < 60; i++) {
        double c = (lo + hi) / 2;
        struct dissolved w = water(c);

        if (saturation_log(&w, ph(c), solid) < 0) {
            lo = c;
        } else {
            hi = c;
        }
    }
    return (lo + hi) / 2;
}

static struct dissolved of_gypsum(double mmol_l)
{
    return (struct dissolved){
        .temp_c = 25, .ions.mmol_l = {[ION_CA] = mmol_l, [ION_SO4] = mmol_l}
    };
}

static double neutral(double mmol_l)
{
    (void)mmol_l;
    return 7;
}

static void gypsum_dissolves_as_the_handbook_says(void **state)
{
    double mmol_l = solubility_mmol_l(of_gypsum, neutral, SOLID_GYPSUM);
    struct ions saturated = {
        {[ION_CA] = mmol_l, [ION_SO4] = mmol_l}
    };

    (void)state;
    check_between("SA-PPT", "gypsum in water, g/L", 2.4, 2.6, mmol_l * GYPSUM_G_MOL / 1000);
    check_near("SA-PPT", "  its conductivity, dS/m", 2.2, ions_ec_ms_cm(&saturated), 0.1);
}

static struct dissolved of_calcite(double mmol_l)
{
    struct dissolved w = {
        .temp_c = 25, .alkalinity_meq_l = 2 * mmol_l, .ions.mmol_l = {[ION_CA] = mmol_l}};

    w.carbonate_mmol_l = balance_carbonate_open_mmol_l(&w, balance_ph_open(&w));
    return w;
}

static double ph_of_calcite(double mmol_l)
{
    struct dissolved w = of_calcite(mmol_l);

    return balance_ph_open(&w);
}

static void calcite_in_the_open_dissolves_as_the_textbook_says(void **state)
{
    double mmol_l = solubility_mmol_l(of_calcite, ph_of_calcite, SOLID_LIME);

    (void)state;
    check_between("SA-LIME", "calcite in the open, mmol/L", 0.45, 0.55, mmol_l);
    check_between("SA-LIME", "  pH of that", 8.2, 8.4, ph_of_calcite(mmol_l));
}

/* Hydrogen phosphate counts as one of alkalinity. */
static struct dissolved of_brushite(double mmol_l)
{
    return (struct dissolved){
        .temp_c = 25,
        .alkalinity_meq_l = mmol_l,
        .ions.mmol_l = {[ION_CA] = mmol_l, [ION_H2PO4] = mmol_l}
    };
}

static double ph_of_brushite(double mmol_l)
{
    struct dissolved w = of_brushite(mmol_l);

    return balance_ph_closed(&w);
}

static void calcium_phosphate_dissolves_as_was_measured(void **state)
{
    double mmol_l = solubility_mmol_l(of_brushite, ph_of_brushite, SOLID_PHOSPHATE);

    (void)state;
    check_between("SA-PHOS", "CaHPO4 2H2O in water, g/L", 0.1, 0.2, mmol_l * BRUSHITE_G_MOL / 1000);
}

/* Hoagland & Arnon 1, so many times, mg/L. */
static struct nutrients hoagland(double times)
{
    struct nutrients n = {
        {[NUTRIENT_NO3_N] = 210.1,
         [NUTRIENT_P] = 31.0,
         [NUTRIENT_K] = 234.6,
         [NUTRIENT_CA] = 200.4,
         [NUTRIENT_MG] = 48.6,
         [NUTRIENT_S] = 64.1}
    };

    nutrients_scale(&n, times);
    return n;
}

static void what_is_clear_when_thin_falls_out_of_a_tank(void **state)
{
    struct nutrients once = hoagland(1);
    struct nutrients hundred = hoagland(100);

    (void)state;
    check_near("SA-PPT", "Hoagland & Arnon 1 at pH 6, solids", 0,
               saturation_of_solution(&once, NULL, 6), 0);
    check_near("SA-PPT", "  a hundredfold: gypsum", SOLID_BIT(SOLID_GYPSUM),
               saturation_of_bottle(&hundred, 4.5) & SOLID_BIT(SOLID_GYPSUM), 0);
    check_near("SA-PHOS", "  and phosphate at pH 6", SOLID_BIT(SOLID_PHOSPHATE),
               saturation_of_bottle(&hundred, 6) & SOLID_BIT(SOLID_PHOSPHATE), 0);
    hundred.mg[NUTRIENT_S] = 0;
    check_near("SA-PHOS", "  without sulfate, at pH 2.5, solids", 0,
               saturation_of_bottle(&hundred, 2.5), 0);
}

static void silica_falls_out_above_120_mg(void **state)
{
    struct nutrients below = {{[NUTRIENT_SI] = 0.46744 * 110}};
    struct nutrients above = {{[NUTRIENT_SI] = 0.46744 * 130}};

    (void)state;
    check_near("SA-SI", "110 mg/L of SiO2, solids", 0, saturation_of_solution(&below, NULL, 6), 0);
    check_near("SA-SI", "130 mg/L of SiO2", SOLID_BIT(SOLID_SILICATE),
               saturation_of_solution(&above, NULL, 6), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gypsum_dissolves_as_the_handbook_says),
        cmocka_unit_test(calcite_in_the_open_dissolves_as_the_textbook_says),
        cmocka_unit_test(calcium_phosphate_dissolves_as_was_measured),
        cmocka_unit_test(what_is_clear_when_thin_falls_out_of_a_tank),
        cmocka_unit_test(silica_falls_out_above_120_mg),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
