/* What a thing looks like has one seal, and whatever is changed in it gives another. */
#include "daemon/store/seal.h"
#include "daemon/store/standing.h"

#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <stdio.h>
#include <string.h>

static void assert_hex(const char *text, const char *want)
{
    struct seal s = seal_of(text, strlen(text));
    char got[2 * SEAL_LEN + 1];

    for (size_t i = 0; i < SEAL_LEN; i++) {
        (void)snprintf(got + 2 * i, 3, "%02x", s.byte[i]);
    }
    assert_string_equal(got, want);
}

/* NIST, "SHA-256 examples" for FIPS 180-4, and the digest of no bytes (both from memory). */
static void it_is_sha_256(void **ctx)
{
    (void)ctx;
    assert_hex("", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    assert_hex("abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    assert_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
               "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
}

static bool differ(const struct entry *a, const struct entry *b)
{
    struct seal before = {{0}};
    struct seal sa = seal_of_entry(&before, a);
    struct seal sb = seal_of_entry(&before, b);

    return memcmp(&sa, &sb, sizeof sa) != 0;
}

static struct entry an_entry(void)
{
    struct entry e = entry_of(ENTRY_READING, "A1", 1000, 2000);

    entry_set(&e, FIGURE_PH, 5.8);
    e.seq = 7;
    e.amount[0] = (struct amount){.product = "calcium-part", .amount = 4.5};
    e.n_amounts = 1;
    (void)snprintf(e.what, sizeof e.what, "lettuce");
    (void)snprintf(e.who, sizeof e.who, "ada");
    (void)snprintf(e.note, sizeof e.note, "at noon");
    return e;
}

static void every_field_of_an_entry_is_in_its_seal(void **ctx)
{
    const struct entry e = an_entry();
    struct entry o = e;

    (void)ctx;
    assert_false(differ(&e, &o));
#define OTHER(field, value)                                                                        \
    do {                                                                                           \
        o = e;                                                                                     \
        o.field = (value);                                                                         \
        assert_true(differ(&e, &o));                                                               \
    } while (0)
    OTHER(seq, 8);
    OTHER(happened_s, 1001);
    OTHER(told_s, 2001);
    OTHER(kind, ENTRY_NOTE);
    OTHER(subject[1], '2');
    OTHER(what[0], 'L');
    OTHER(has, 0);
    OTHER(figure[FIGURE_PH], 5.9);
    OTHER(amount[0].amount, 4.6);
    OTHER(amount[0].product[0], 'G');
    OTHER(n_amounts, 0);
    OTHER(until_day, 20000);
    OTHER(cycle, 1);
    OTHER(task, 3);
    OTHER(voids, 3);
    OTHER(sensor, true);
    OTHER(uid, 1000);
    OTHER(who[0], 'A');
    OTHER(note[0], 'A');
}

/* A figure is told from another of the same value, and a text's end from the next one's start. */
static void nothing_runs_into_what_stands_beside_it(void **ctx)
{
    struct entry a = an_entry();
    struct entry b = a;

    (void)ctx;
    b.has = FIGURE_BIT(FIGURE_EC_MS_CM);
    b.figure[FIGURE_EC_MS_CM] = a.figure[FIGURE_PH];
    assert_true(differ(&a, &b));
    b = a;
    (void)snprintf(a.subject, sizeof a.subject, "AB");
    (void)snprintf(a.what, sizeof a.what, "C");
    (void)snprintf(b.subject, sizeof b.subject, "A");
    (void)snprintf(b.what, sizeof b.what, "BC");
    assert_true(differ(&a, &b));
}

/* What was told before is in the seal of what comes after. */
static void a_seal_stands_for_all_before_it(void **ctx)
{
    struct entry e = an_entry();
    struct seal one = {{1}};
    struct seal two = {{2}};

    (void)ctx;
    one = seal_of_entry(&one, &e);
    two = seal_of_entry(&two, &e);
    assert_memory_not_equal(&one, &two, sizeof one);
}

static void a_standing_is_read_back_or_not_at_all(void **ctx)
{
    struct standing s = {
        .id = {1,  2, 3},
        .written = 5,
        .entries = 77,
        .last = {{9}},
        .version = 3,
        .tables = UINT64_MAX,
        .tasks = 4,
        .keys = 6,
        .last_task = 12,
        .day_started = -5,
        .clock = STANDING_SIMULATED,
        .room = "cellar"
    };
    unsigned char bytes[STANDING_LEN];
    struct standing got;

    (void)ctx;
    standing_write(&s, bytes);
    assert_true(standing_read(bytes, &got));
    assert_int_equal(got.written, 5);
    assert_int_equal(got.entries, 77);
    assert_memory_equal(&got.last, &s.last, sizeof s.last);
    assert_true(got.tables == UINT64_MAX && got.tasks == 4 && got.keys == 6 && got.version == 3);
    assert_int_equal(got.last_task, 12);
    assert_int_equal(got.day_started, -5);
    assert_int_equal(got.clock, STANDING_SIMULATED);
    assert_string_equal(got.room, "cellar");
    for (size_t bit = 0; bit < 8 * sizeof bytes; bit++) {
        bytes[bit / 8] ^= (unsigned char)(1U << bit % 8);
        assert_false(standing_read(bytes, &got));
        bytes[bit / 8] ^= (unsigned char)(1U << bit % 8);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_is_sha_256),
        cmocka_unit_test(every_field_of_an_entry_is_in_its_seal),
        cmocka_unit_test(nothing_runs_into_what_stands_beside_it),
        cmocka_unit_test(a_seal_stands_for_all_before_it),
        cmocka_unit_test(a_standing_is_read_back_or_not_at_all),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
