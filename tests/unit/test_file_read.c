/* A small file into memory: whole, or a fault that says why not. */
#include "tests/unit/room_text.h"

#include <unistd.h>

static char path[] = "/tmp/tarn-file-XXXXXX";

static int make_file(void **state)
{
    int fd = mkstemp(path);

    (void)state;
    return fd < 0 ? -1 : close(fd);
}

static int remove_file(void **state)
{
    (void)state;
    return unlink(path);
}

static void fill_file(size_t len)
{
    FILE *f = fopen(path, "we");

    assert_non_null(f);
    for (size_t i = 0; i < len; i++) {
        assert_true(fputc('a' + (int)(i % 26), f) != EOF);
    }
    assert_int_equal(fclose(f), 0);
}

static void a_file_of_the_largest_size_is_read_whole(void **state)
{
    struct room_faults faults = {0};
    struct faulty f = {path, &faults};
    char *text = NULL;
    size_t len = 0;

    (void)state;
    fill_file(262144);
    assert_true(file_read(&f, path, &text, &len));
    assert_int_equal(len, 262144);
    assert_int_equal(text[0], 'a');
    assert_int_equal(text[262143], 'a' + 262143 % 26);
    assert_int_equal(faults.n, 0);
    free(text);
}

static void an_empty_file_is_read_too(void **state)
{
    struct room_faults faults = {0};
    struct faulty f = {path, &faults};
    char *text = NULL;
    size_t len = 1;

    (void)state;
    fill_file(0);
    assert_true(file_read(&f, path, &text, &len));
    assert_int_equal(len, 0);
    free(text);
}

static void assert_not_read(const char *which, const char *expected)
{
    struct room_faults faults = {0};
    struct faulty f = {which, &faults};
    char *text = NULL;
    size_t len = 7;

    assert_false(file_read(&f, which, &text, &len));
    assert_null(text);
    assert_int_equal(len, 7);
    assert_int_equal(faults.n, 1);
    assert_string_equal(faults.fault[0].msg, expected);
    assert_string_equal(faults.fault[0].file, which);
    assert_int_equal(faults.fault[0].line, 0);
}

static void what_is_no_file_or_too_large_is_a_fault(void **state)
{
    (void)state;
    fill_file(262145);
    assert_not_read(path, "it is larger than the 262144 bytes that are read");
    assert_not_read("/nowhere/x", "it cannot be read: No such file or directory");
    assert_not_read("/tmp", "it is not a file");
    assert_not_read("/dev/zero", "it is not a file");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_file_of_the_largest_size_is_read_whole),
        cmocka_unit_test(an_empty_file_is_read_too),
        cmocka_unit_test(what_is_no_file_or_too_large_is_a_fault),
    };

    return cmocka_run_group_tests(tests, make_file, remove_file);
}
