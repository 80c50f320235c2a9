/* What would fall out of a bottle or a solution is warned of, and not refused. */
#include "config/read/fault_print.h"
#include "daemon/core/chem/saturation.h"
#include "tests/unit/room_text.h"

#define SALT "salt: {kind: dry, stock: 1 kg}"
#define WITH SALT "\n  it: "

#define EDGES(...)                                                                                 \
    do {                                                                                           \
        static const struct edge edge[] = {__VA_ARGS__};                                           \
                                                                                                   \
        assert_edges(edge, sizeof edge / sizeof *edge);                                            \
    } while (0)

#define GYPSUM                                                                                     \
    "warning: x:15:3: 'it': calcium and sulfate, as gypsum, would fall out; keep them in two "     \
    "bottles, or 'accepted: [gypsum]' if it is clear\n"
#define PHOSPHATE                                                                                  \
    "warning: x:15:3: 'it': calcium and phosphate, as calcium phosphate, would fall out; keep "    \
    "them in two bottles or tell its 'ph' if it is acid, or 'accepted: [phosphate]' if it is "     \
    "clear\n"

static void calcium_and_sulfate_in_one_bottle_are_warned_of(void **state)
{
    (void)state;
    EDGES(
        {SALT, WITH "{kind: liquid, salts: {Ca(NO3)2.4H2O: 200 g/L, MgSO4.7H2O: 100 g/L}}", GYPSUM},
        {SALT,
         WITH "{kind: liquid, accepted: [gypsum], salts: {Ca(NO3)2.4H2O: 200 g/L, MgSO4.7H2O: "
              "100 g/L}}",
         ""},
        {SALT,
         WITH "{kind: liquid, accepted: [lime], salts: {Ca(NO3)2.4H2O: 200 g/L, MgSO4.7H2O: 100 "
              "g/L}}",
         GYPSUM},
        /* dry they lie side by side, and a thin one stays in solution */
        {SALT, WITH "{kind: dry, contents: {Ca: 10 %, S: 5 %}}", ""},
        {SALT, WITH "{kind: liquid, salts: {Ca(NO3)2.4H2O: 1.2 g/L, MgSO4.7H2O: 0.5 g/L}}", ""});
}

/* An acid bottle keeps hydrogen phosphate rare. */
static void an_acid_bottle_may_hold_calcium_and_phosphate(void **state)
{
    (void)state;
    EDGES(
        {SALT, WITH "{kind: liquid, salts: {Ca(NO3)2.4H2O: 100 g/L, KH2PO4: 15 g/L}}", PHOSPHATE},
        {SALT, WITH "{kind: liquid, ph: 2.5, salts: {Ca(NO3)2.4H2O: 100 g/L, KH2PO4: 15 g/L}}", ""},
        {SALT, WITH "{kind: liquid, ph: 6, salts: {Ca(NO3)2.4H2O: 100 g/L, KH2PO4: 15 g/L}}",
         PHOSPHATE});
}

static void silicate_and_calcium_do_not_share_a_bottle(void **state)
{
    (void)state;
    EDGES(
        {SALT, WITH "{kind: liquid, contents: {SiO2: 80 g/L, K2O: 40 g/L}}", ""},
        {SALT, WITH "{kind: liquid, contents: {SiO2: 80 g/L, CaO: 40 g/L}}",
         "warning: x:15:3: 'it': silicate, as a gel, would fall out; keep them in two bottles, or "
         "'accepted: [silicate]' if it is clear\n"});
}

/* Each by itself dissolves in a litre: 111 and 316 g (CRC Handbook, from memory). */
static void salts_that_share_potassium_are_warned_of(void **state)
{
    (void)state;
    EDGES({SALT, WITH "{kind: liquid, salts: {K2SO4: 100 g/L}}", ""},
          {SALT, WITH "{kind: liquid, salts: {KNO3: 300 g/L}}", ""},
          {SALT, WITH "{kind: liquid, salts: {K2SO4: 100 g/L, KNO3: 200 g/L}}",
           "warning: x:15:3: 'it': salts that share an ion, as the one that dissolves least, would "
           "fall out; keep them in two bottles, or 'accepted: [salt]' if it is clear\n"});
}

/* What tarnd --check prints: each with its line, and the room is good all the same. */
static void a_warning_is_printed_with_its_line(void **state)
{
    char *text = small_with(SALT, WITH
                            "{kind: liquid, salts: {Ca(NO3)2.4H2O: 200 g/L, MgSO4.7H2O: 100 g/L}}");
    struct room_faults faults;
    struct room r;
    char *printed = NULL;
    size_t len = 0;
    FILE *to = open_memstream(&printed, &len);

    (void)state;
    assert_int_equal(room_read_text("no/such.yaml", text, strlen(text), NULL, &r, &faults), 0);
    assert_int_equal(faults.n_warnings, 1);
    fault_print_warnings(&faults, to);
    (void)fclose(to);
    assert_int_equal(strncmp(printed, "warning: no/such.yaml:15:3: 'it': calcium and sulfate", 53),
                     0);
    room_deinit(&r);
    free(printed);
    free(text);
}

/* One beyond what is kept is dropped. */
static void very_many_warnings_are_cut(void **state)
{
    struct text with = {0};
    char *text;
    struct room_faults faults;
    struct room r;

    (void)state;
    text_add(&with, SALT);
    for (int i = 0; i <= ROOM_WARNINGS_MAX; i++) {
        text_add(&with, "\n  it%d: {kind: liquid, contents: {Ca: 50 g/L, S: 50 g/L}}", i);
    }
    text = small_with(SALT, text_str(&with));
    assert_int_equal(room_read_text("x", text, strlen(text), NULL, &r, &faults), 0);
    assert_int_equal(faults.n_warnings, ROOM_WARNINGS_MAX);
    assert_int_equal(faults.warning[0].line, 15);
    room_deinit(&r);
    free(text);
    text_deinit(&with);
}

/* 6 and 8 mmol/L; a dry product lies well by itself. */
static void a_recipe_that_clouds_is_warned_of(void **state)
{
    (void)state;
    EDGES(
        {SALT, "salt: {kind: dry, contents: {Ca: 30 %, P: 30 %}}",
         "warning: x:16:3: the full dose of 'leaf': calcium and phosphate, as calcium phosphate, "
         "would fall out; give less of them in it, or 'accepted: [phosphate]' if it is clear\n"},
        {"ec: 1.0 mS/cm\n    doses:", "ec: 1.0 mS/cm\n    accepted: [phosphate]\n    doses:", ""});
}

static void an_unknown_word_is_refused(void **state)
{
    (void)state;
    EDGES({SALT, WITH "{kind: liquid, accepted: [gipsum]}",
           "x:15:33: accepted: 'gipsum' is nothing that falls out; did you mean 'gypsum'?\n"},
          {SALT, WITH "{kind: liquid, accepted: [pebbles]}",
           "x:15:33: accepted: 'pebbles' is nothing that falls out; gypsum, phosphate, lime, "
           "silicate "
           "or salt\n"},
          {SALT, WITH "{kind: liquid, accepted: gypsum}",
           "x:15:32: 'accepted' is a single value; a list of words is wanted\n"});
}

static void shipped_rooms_give_no_warning(void **state)
{
    static const char *const rooms[] = {ROOMS "demo.yaml", ROOMS "forty.yaml", ROOMS "twelve.yaml"};

    (void)state;
    for (size_t i = 0; i < sizeof rooms / sizeof *rooms; i++) {
        size_t len;
        char *text = slurp(rooms[i], &len);
        char *said = said_about(rooms[i], text, len);

        assert_string_equal(said, "");
        free(said);
        free(text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(calcium_and_sulfate_in_one_bottle_are_warned_of),
        cmocka_unit_test(an_acid_bottle_may_hold_calcium_and_phosphate),
        cmocka_unit_test(silicate_and_calcium_do_not_share_a_bottle),
        cmocka_unit_test(salts_that_share_potassium_are_warned_of),
        cmocka_unit_test(a_warning_is_printed_with_its_line),
        cmocka_unit_test(very_many_warnings_are_cut),
        cmocka_unit_test(a_recipe_that_clouds_is_warned_of),
        cmocka_unit_test(an_unknown_word_is_refused),
        cmocka_unit_test(shipped_rooms_give_no_warning),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
