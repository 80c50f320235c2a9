/* FNV-1a of 64 bits, against the test vectors that its authors published (fnv64a of "", "a", "b",
 * "foo", "foobar" and "chongo was here!\n"; from memory). */
#include "tests/cmocka_all.h"

#include "daemon/base/hash.h"

static void the_hash_is_the_one_that_was_published(void **state)
{
    static const struct {
        const char *text;
        uint64_t hash;
    } published[] = {
        {"",                   0xcbf29ce484222325ULL},
        {"a",                  0xaf63dc4c8601ec8cULL},
        {"b",                  0xaf63df4c8601f1a5ULL},
        {"foo",                0xdcb27518fed9d577ULL},
        {"foobar",             0x85944171f73967e8ULL},
        {"chongo was here!\n", 0x46810940eff5f915ULL},
    };

    (void)state;
    for (size_t i = 0; i < sizeof published / sizeof *published; i++) {
        assert_true(hash_text(published[i].text) == published[i].hash);
    }
}

static void a_text_in_parts_has_the_hash_of_the_whole(void **state)
{
    (void)state;
    assert_true(hash_add(hash_add(HASH_START, "foo"), "bar") == 0x85944171f73967e8ULL);
    assert_true(hash_add(hash_text("foobar"), "") == 0x85944171f73967e8ULL);
}

/* A char may be signed: a letter beyond ASCII must not drag a row of ones into the sum. "\xff" by
 * hand: (0xcbf29ce484222325 ^ 0xff) * 0x100000001b3. */
static void a_byte_above_127_counts_as_itself(void **state)
{
    uint64_t by_hand = (0xcbf29ce484222325ULL ^ 0xffULL) * 0x100000001b3ULL;

    (void)state;
    assert_true(hash_text("\xff") == by_hand);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_hash_is_the_one_that_was_published),
        cmocka_unit_test(a_text_in_parts_has_the_hash_of_the_whole),
        cmocka_unit_test(a_byte_above_127_counts_as_itself),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
