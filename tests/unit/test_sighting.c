/* What a person can see: each word known once, with what it does and what to check first. */
#include "daemon/core/words/sighting.h"
#include "tests/cmocka_all.h"

#include <string.h>

/* tarn.1 and people's own notes go by the words and by what each does. */
static void each_has_its_word_and_does_what_is_said_of_it(void **ctx)
{
    static const struct {
        enum sighting seen;
        const char *word;
        enum sighting_does does;
        bool plant;
        const char *check; /* a word that is in what to check */
    } rows[] = {
        {SIGHTING_TIP_BURN,    "tip-burn",        SIGHTING_HOLDS, true,  "move the air"  },
        {SIGHTING_PALE_GROWTH, "pale-growth",     SIGHTING_STEPS, true,  "pH first"      },
        {SIGHTING_BLOSSOM_ROT, "blossom-end-rot", SIGHTING_LOOKS, true,  "K to Ca"       },
        {SIGHTING_WILTING,     "wilting",         SIGHTING_LOOKS, true,  "is there water"},
        {SIGHTING_BROWN_ROOTS, "brown-roots",     SIGHTING_LOOKS, true,  "smell"         },
        {SIGHTING_PESTS,       "pests",           SIGHTING_TELLS, true,  "neighbours"    },
        {SIGHTING_DISEASE,     "disease",         SIGHTING_TELLS, true,  "wash hands"    },
        {SIGHTING_ALGAE,       "algae",           SIGHTING_TELLS, false, "light falls in"},
        {SIGHTING_LEAK,        "leak",            SIGHTING_TELLS, false, "fittings"      },
    };
    _Static_assert(sizeof rows / sizeof *rows == SIGHTING_N, "a sighting that nobody has tested");

    (void)ctx;
    for (int k = 0; k < SIGHTING_N; k++) {
        const struct sighting_def *d = &sightings[rows[k].seen];

        assert_string_equal(d->word, rows[k].word);
        assert_string_equal(sighting_words[rows[k].seen], rows[k].word);
        assert_int_equal(sighting_find(rows[k].word), rows[k].seen);
        assert_int_equal(d->does, rows[k].does);
        assert_int_equal(d->plant, rows[k].plant);
        assert_non_null(strstr(d->check, rows[k].check));
        assert_true(*d->says != '\0');
    }
    assert_null(sighting_words[SIGHTING_N]);
}

static void what_nobody_knows_is_none(void **ctx)
{
    (void)ctx;
    assert_int_equal(sighting_find("tip-bum"), -1);
    assert_int_equal(sighting_find("tip"), -1);
    assert_int_equal(sighting_find(""), -1);
}

/* Without days it would count for ever, unless the next solution answers it. */
static void each_ends_by_itself_or_with_the_next_solution(void **ctx)
{
    (void)ctx;
    for (int k = 0; k < SIGHTING_N; k++) {
        bool answered = sightings[k].does == SIGHTING_HOLDS || sightings[k].does == SIGHTING_STEPS;

        assert_int_equal(sightings[k].day == 0, answered);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_has_its_word_and_does_what_is_said_of_it),
        cmocka_unit_test(what_nobody_knows_is_none),
        cmocka_unit_test(each_ends_by_itself_or_with_the_next_solution),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
