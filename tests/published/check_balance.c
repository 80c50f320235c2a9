/* The charges of a water in balance, beside a reference program.
 *
 * OD-PHREEQC  36 titrations computed with PHREEQC 3 (Parkhurst & Appelo 2013, USGS; phreeqc.dat,
 *             citric acid with minteq.v4.dat), tests/data/phreeqc.json: acids into plain water and
 *             into nutrient solutions, closed; the pH once the water stood open; the second dose;
 *             and what holds the pH in the open.
 * AC-LINES    A water of alkalinity A and no other weak acid: pH in the open by the textbook's
 *             closed form, [HCO3] = A, pH = pK1 + pKH + log A - log pCO2 (Stumm & Morgan, Aquatic
 *             Chemistry, chapter 4; from memory). */
#include "daemon/base/err.h"
#include "daemon/core/chem/balance.h"
#include "tests/published/check.h"

#include <jansson.h>

static double number(const json_t *o, const char *key)
{
    const json_t *v = json_object_get(o, key);

    return json_is_number(v) ? json_number_value(v) : NAN;
}

/* Salts as the file names them: what a mol of each brings. */
static void add_salt(struct ions *to, const char *name, double mmol_l)
{
    static const struct {
        const char *name;
        struct {
            enum ion ion;
            int n;
        } part[2];
    } salts[] = {
        {"Ca(NO3)2", {{ION_CA, 1}, {ION_NO3, 2}} },
        {"KNO3",     {{ION_K, 1}, {ION_NO3, 1}}  },
        {"KH2PO4",   {{ION_K, 1}, {ION_H2PO4, 1}}},
        {"MgSO4",    {{ION_MG, 1}, {ION_SO4, 1}} },
        {"K2SO4",    {{ION_K, 2}, {ION_SO4, 1}}  },
    };

    for (size_t i = 0; i < sizeof salts / sizeof *salts; i++) {
        if (strcmp(salts[i].name, name) == 0) {
            for (int k = 0; k < 2; k++) {
                to->mmol_l[salts[i].part[k].ion] += salts[i].part[k].n * mmol_l;
            }
            return;
        }
    }
    fail_msg("%s is a salt that this check does not know", name);
}

static enum reagent reagent_of(const char *word)
{
    for (int r = 0; r < REAGENT_COUNT; r++) {
        if (strcmp(reagent_words[r], word) == 0) {
            return (enum reagent)r;
        }
    }
    fail_msg("%s is a reagent that this check does not know", word);
    return REAGENT_NONE;
}

/* The source water of the file: its head says what is in it. */
static struct dissolved water_of(const json_t *t)
{
    double a = number(t, "alkalinity_meq_l");
    struct dissolved w = {.alkalinity_meq_l = a, .temp_c = 25};
    const char *name;
    json_t *mmol_l;

    w.ions.mmol_l[ION_CA] = 0.4 * a + 0.1;
    w.ions.mmol_l[ION_MG] = 0.1 * a + 0.02;
    w.ions.mmol_l[ION_NA] = 0.2 * a + 0.3;
    w.ions.mmol_l[ION_CL] = 0.56;
    w.carbonate_mmol_l = balance_carbonate_mmol_l(&w, number(t, "ph_source"));
    json_object_foreach(json_object_get(t, "nutrients_mmol_l"), name, mmol_l)
    {
        add_salt(&w.ions, name, json_number_value(mmol_l));
    }
    return w;
}

static json_t *titrations(json_t **root)
{
    json_error_t e;

    *root = json_load_file(TARN_SOURCE_DIR "/tests/data/phreeqc.json", 0, &e);
    assert_non_null(*root);
    assert_int_equal(json_array_size(json_object_get(*root, "titrations")), 36);
    return json_object_get(*root, "titrations");
}

static double dose(const struct dissolved *w, enum reagent r, double to, bool open)
{
    struct err e = {0};
    double mmol_l = NAN;

    if ((open ? balance_dose_open : balance_dose_closed)(w, r, to, &mmol_l, &e) < 0) {
        fail_msg("%s", e.msg);
    }
    return mmol_l;
}

static void name_row(char row[64], const json_t *t, const char *what)
{
    (void)snprintf(row, 64, "%s, %.4s, %g meq/L%s", what,
                   json_string_value(json_object_get(t, "reagent")), number(t, "alkalinity_meq_l"),
                   json_object_get(t, "nutrients_mmol_l") ? ", fed" : "");
}

/* Within 5 %, or 0.02 mmol/L: a drop of acid in a bucket. */
static void a_dose_is_what_the_program_says(void **state)
{
    json_t *root;
    json_t *all = titrations(&root); /* not in the loop's head, which is asked anew each time */
    json_t *t;
    size_t i;

    (void)state;
    json_array_foreach(all, i, t)
    {
        struct dissolved w = water_of(t);
        enum reagent r = reagent_of(json_string_value(json_object_get(t, "reagent")));
        double want = number(t, "dose_closed_mmol_l");
        double open = number(t, "dose_open_mmol_l");
        char row[64];

        if (json_object_get(t, "ph_with_nutrients")) {
            name_row(row, t, "pH");
            check_near("PHREEQC", row, number(t, "ph_with_nutrients"), balance_ph_closed(&w), 0.02);
        }
        name_row(row, t, "closed");
        check_near("PHREEQC", row, want, dose(&w, r, number(t, "ph_target"), false),
                   fmax(0.05 * want, 0.02));
        name_row(row, t, "open");
        check_near("PHREEQC", row, open, dose(&w, r, number(t, "ph_target"), true),
                   fmax(0.05 * open, 0.02));
    }
    json_decref(root);
}

/* A second dose must not be reckoned from the whole alkalinity again: most of it is gone. */
static void what_is_left_after_a_dose_holds_when_the_gas_has_gone(void **state)
{
    json_t *root;
    json_t *all = titrations(&root); /* not in the loop's head, which is asked anew each time */
    json_t *t;
    size_t i;

    (void)state;
    json_array_foreach(all, i, t)
    {
        struct dissolved w = water_of(t);
        enum reagent r = reagent_of(json_string_value(json_object_get(t, "reagent")));
        double to = number(t, "ph_target");
        double want_left = number(t, "alkalinity_left_meq_l");
        double want_second = number(t, "second_dose_mmol_l");
        double first = dose(&w, r, to, false);
        double ph;
        char row[64];

        balance_add(&w, r, first);
        /* The database of citrate counts alkalinity from dihydrogen citrate, we from
         * citric acid. */
        name_row(row, t, "left");
        check_near("PHREEQC", row, want_left,
                   w.alkalinity_meq_l - (r == REAGENT_CITRIC ? first : 0), 0.05 * want_left);
        ph = balance_ph_open(&w);
        name_row(row, t, "aired");
        check_near("PHREEQC", row, number(t, "ph_after_air"), ph, 0.15);
        w.carbonate_mmol_l = balance_carbonate_open_mmol_l(&w, ph);
        name_row(row, t, "second");
        check_near("PHREEQC", row, want_second, dose(&w, r, to, false),
                   fmax(0.1 * want_second, 0.02));
    }
    json_decref(root);
}

static void a_dilute_water_in_the_open_follows_the_closed_form(void **state)
{
    static const double alkalinity_meq_l[] = {0.02, 0.05, 0.1};

    (void)state;
    for (size_t i = 0; i < 3; i++) {
        struct dissolved w = {.alkalinity_meq_l = alkalinity_meq_l[i], .temp_c = 25};
        char row[64];

        w.ions.mmol_l[ION_NA] = alkalinity_meq_l[i];
        (void)snprintf(row, sizeof row, "pH in the open, %g meq/L", alkalinity_meq_l[i]);
        check_near("AC-LINES", row, 6.352 + 1.468 + log10(alkalinity_meq_l[i] * 1e-3) + 3.38,
                   balance_ph_open(&w), 0.02);
    }
}

/* Mixed, waters add up: alkalinity and carbonate are both conserved. */
static void a_dose_in_two_goes_is_the_dose_in_one(void **state)
{
    struct dissolved w = {.alkalinity_meq_l = 2, .temp_c = 25, .ions.mmol_l = {[ION_NA] = 2}};
    double whole;

    (void)state;
    w.carbonate_mmol_l = balance_carbonate_mmol_l(&w, 7.6);
    check_near("AC-LINES", "the carbonate gives the pH back", 7.6, balance_ph_closed(&w), 1e-6);
    whole = dose(&w, REAGENT_NITRIC, 5.8, false);
    balance_add(&w, REAGENT_NITRIC, whole / 2);
    check_near("AC-LINES", "half, then the other half", whole / 2,
               dose(&w, REAGENT_NITRIC, 5.8, false), 1e-6);
    balance_add(&w, REAGENT_NITRIC, whole / 2);
    balance_add(&w, REAGENT_KOH, whole);
    check_near("AC-LINES", "a base takes the acid back", 7.6, balance_ph_closed(&w), 0.01);
}

static void what_a_reagent_cannot_do_is_said(void **state)
{
    struct dissolved w = {.alkalinity_meq_l = 1, .temp_c = 25, .ions.mmol_l = {[ION_NA] = 1}};
    struct err e = {0};
    double mmol_l = 7;

    (void)state;
    w.carbonate_mmol_l = balance_carbonate_mmol_l(&w, 7);
    assert_int_equal(balance_dose_closed(&w, REAGENT_KHCO3, 8.5, &mmol_l, &e), ERR_RANGE);
    assert_string_equal(e.msg, "potassium bicarbonate does not take a water above pH 8.0");
    assert_int_equal(balance_dose_closed(&w, REAGENT_CITRIC, 2.5, &mmol_l, &e), ERR_RANGE);
    assert_string_equal(e.msg, "citric acid does not take a water below pH 3.0");
    assert_int_equal(balance_dose_closed(&w, REAGENT_NITRIC, 8, &mmol_l, &e), 0);
    assert_true(mmol_l == 0); /* an acid takes nothing up */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_dose_is_what_the_program_says),
        cmocka_unit_test(what_is_left_after_a_dose_holds_when_the_gas_has_gone),
        cmocka_unit_test(a_dilute_water_in_the_open_follows_the_closed_form),
        cmocka_unit_test(a_dose_in_two_goes_is_the_dose_in_one),
        cmocka_unit_test(what_a_reagent_cannot_do_is_said),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
