/* What would fall out of a bottle or a solution is warned of, and not refused. */
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
        cmocka_unit_test(an_unknown_word_is_refused),
        cmocka_unit_test(shipped_rooms_give_no_warning),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
