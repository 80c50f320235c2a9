/* Opening the journal: what is not ours, damaged, newer or lost is told and left as it is. */
#include "daemon/base/num.h"
#include "daemon/store/journal_inside.h"
#include "daemon/store/rows.h"
#include "daemon/store/schema.h"
#include "tests/unit/a_journal.h"

#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>

#define FILE_MOST (1 << 20)

static size_t read_file(const struct fixture *f, char *to)
{
    FILE *file = fopen(f->file, "re");
    size_t n = fread(to, 1, FILE_MOST, file);

    (void)fclose(file);
    return n;
}

static void assert_fails(struct fixture *f, const char *dir, int code, const char *words)
{
    assert_int_equal(journal_open(dir, &f->j, &f->e), code);
    assert_null(f->j);
    if (!strstr(f->e.msg, words)) {
        fail_msg("wanted '%s', got '%s'", words, f->e.msg);
    }
}

/* The bytes of the file before and after an open that has to fail. */
static void assert_refused_untouched(struct fixture *f, const char *words)
{
    static char before[FILE_MOST];
    static char after[FILE_MOST];
    size_t n = read_file(f, before);

    assert_fails(f, f->dir, ERR_STORE, words);
    assert_int_equal(strncmp(f->e.msg, f->file, strlen(f->file)), 0); /* which file it is about */
    assert_int_equal(read_file(f, after), n);
    assert_memory_equal(before, after, n);
}

/* Closes it and takes away what makes the folder one that has a journal. */
static void start_over(struct fixture *f)
{
    char head[sizeof f->file + 8];

    close_it(f);
    (void)snprintf(head, sizeof head, "%s-head", f->file);
    assert_int_equal(unlink(f->file), 0);
    assert_int_equal(unlink(head), 0);
}

/* Takes back what versions 4 and 5 of the tables brought. */
#define NO_SENSORS                                                                                 \
    "DROP INDEX entry_of_task; DROP INDEX key_of_entry;"                                           \
    "DROP TABLE thinned; DROP INDEX entry_of_sensor; DROP TRIGGER entry_is_kept;"                  \
    "ALTER TABLE entry DROP COLUMN source;"                                                        \
    "CREATE TRIGGER entry_is_kept BEFORE DELETE ON entry"                                          \
    "  BEGIN SELECT RAISE(ABORT, 'an entry is never deleted; void it'); END;"

/* The closed journal becomes what the tarn of version 2 of the tables left, which made no seals. */
static void unseal(struct fixture *f)
{
    char head[sizeof f->file + 8];

    (void)snprintf(head, sizeof head, "%s-head", f->file);
    assert_int_equal(unlink(head), 0);
    assert_sql_says(f,
                    NO_SENSORS
                    "DROP TABLE standing; DROP TRIGGER entry_stays;"
                    "ALTER TABLE entry DROP COLUMN hash; ALTER TABLE task DROP COLUMN seal;"
                    "CREATE TRIGGER entry_stays BEFORE UPDATE ON entry"
                    "  BEGIN SELECT RAISE(ABORT, 'an entry is never changed; void it'); END;"
                    "PRAGMA user_version=2",
                    "");
}

static void a_second_daemon_is_kept_out(void **ctx)
{
    struct fixture *f = *ctx;
    struct journal *second = NULL;
    char words[128];

    assert_int_equal(journal_open(f->dir, &second, &f->e), ERR_BUSY);
    (void)snprintf(words, sizeof words, "another tarnd looks after %s already", f->dir);
    assert_string_equal(f->e.msg, words);
    assert_null(second);
}

static void any_other_program_is_kept_out_as_long_as_it_is_open(void **ctx)
{
    struct fixture *f = *ctx;
    char said[160];

    assert_int_equal(run_sql(f, "SELECT count(*) FROM entry", said), SQLITE_BUSY);
    close_it(f);
    assert_sql_says(f, "SELECT count(*) FROM entry", "0");
}

static void an_open_that_failed_leaves_the_place_free(void **ctx)
{
    struct fixture *f = *ctx;

    close_it(f);
    assert_sql_says(f, "PRAGMA user_version=99", "");
    assert_fails(f, f->dir, ERR_STORE, "newer tarn");
    assert_sql_says(f, "PRAGMA user_version=6", "");
    reopen(f);
}

static void a_database_of_another_program_is_left_alone(void **ctx)
{
    struct fixture *f = *ctx;
    char said[160];

    start_over(f);
    assert_int_equal(run_sql(f, "PRAGMA journal_mode=WAL; CREATE TABLE bird (name TEXT)", said),
                     SQLITE_OK);
    assert_refused_untouched(f, "it is a database of some other program");
}

/* A mark or a version alone makes a file somebody's. */
static void an_empty_database_with_a_mark_of_its_own_is_not_ours(void **ctx)
{
    static const char *const marks[] = {"PRAGMA application_id=1", "PRAGMA user_version=1"};
    struct fixture *f = *ctx;
    char said[160];

    close_it(f);
    for (size_t i = 0; i < sizeof marks / sizeof *marks; i++) {
        assert_int_equal(unlink(f->file), 0);
        assert_int_equal(run_sql(f, "PRAGMA journal_mode=WAL", said), SQLITE_OK);
        assert_int_equal(run_sql(f, marks[i], said), SQLITE_OK);
        assert_refused_untouched(f, "it is a database of some other program");
    }
}

static void a_file_of_a_newer_tarn_is_left_alone(void **ctx)
{
    struct fixture *f = *ctx;

    close_it(f);
    assert_sql_says(f, "PRAGMA user_version=7", "");
    assert_refused_untouched(f,
                             "it was written by a newer tarn (version 7 of the file, this program "
                             "knows 6)");
}

static void a_file_of_the_first_version_is_brought_up(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry old = a_full_entry(ENTRY_READING);
    struct entry new = a_full_entry(ENTRY_DRAINED);
    struct kept *k;

    /* What the first version had no place for: these, and who told it. */
    old.has &=
        ~(FIGURE_BIT(FIGURE_WAS_MS_CM) | FIGURE_BIT(FIGURE_TOOK_MIN) | FIGURE_BIT(FIGURE_JOBS));
    old.sensor = new.sensor = false;
    assert_int_equal(write_entries(f, &old, 1), 0);
    close_it(f);
    unseal(f);
    assert_sql_says(f,
                    "ALTER TABLE entry DROP COLUMN was_ms_cm; "
                    "ALTER TABLE entry DROP COLUMN took_min; "
                    "ALTER TABLE entry DROP COLUMN jobs; PRAGMA user_version=1",
                    "");
    reopen(f);
    assert_int_equal(write_entries(f, &new, 1), 0);
    reopen(f);
    k = fold(f);
    assert_int_equal(k->n, 2);
    assert_same(&old, &k->entry[0]);
    assert_same(&new, &k->entry[1]);
    free(k);
    close_it(f);
    assert_sql_says(f, "PRAGMA user_version", "6");
}

/* A step that cannot be made, here since its column is there already, leaves the file at its
 * version. */
static void a_step_that_fails_changes_nothing(void **ctx)
{
    struct fixture *f = *ctx;

    close_it(f);
    unseal(f);
    assert_sql_says(f, "PRAGMA user_version=1", "");
    assert_refused_untouched(f, "duplicate column name: was_ms_cm");
    assert_sql_says(f, "PRAGMA user_version", "1");
}

static void a_new_file_bears_our_mark_and_version(void **ctx)
{
    struct fixture *f = *ctx;

    close_it(f);
    assert_sql_says(f, "PRAGMA application_id", "1952543342"); /* "tarn" in ASCII, 0x7461726E */
    assert_sql_says(f, "PRAGMA user_version", "6");
    assert_sql_says(f, "PRAGMA journal_mode", "wal");
}

static void an_emptied_file_is_not_taken_for_a_new_one(void **ctx)
{
    struct fixture *f = *ctx;
    char words[160];
    struct stat st;

    close_it(f);
    assert_int_equal(truncate(f->file, 0), 0);
    (void)snprintf(words, sizeof words, "%s is empty, and a journal never is; restore a backup",
                   f->file);
    assert_fails(f, f->dir, ERR_STORE, words);
    assert_int_equal(stat(f->file, &st), 0);
    assert_int_equal(st.st_size, 0);
}

/* What is only in the log is not thrown away, nor poured into a new file. */
static void a_log_without_its_file_is_left_alone(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_NOTE, "A1", "", at(1, 9));
    char log[sizeof f->file + 8];
    char kept[sizeof f->file + 8];

    (void)snprintf(log, sizeof log, "%s-wal", f->file);
    (void)snprintf(kept, sizeof kept, "%s-kept", f->file);
    assert_int_equal(write_entries(f, &e, 1), 0);
    assert_int_equal(link(log, kept), 0); /* as after a kill */
    start_over(f);
    assert_int_equal(rename(kept, log), 0);
    assert_fails(f, f->dir, ERR_STORE, "its log is there, and the journal itself is gone");
    assert_int_equal(access(log, F_OK), 0);
    assert_int_equal(access(f->file, F_OK), -1);
}

static void write_bytes(const char *path, size_t at, size_t n)
{
    int fd = open(path, O_WRONLY | O_CREAT | O_CLOEXEC, 0600);

    for (size_t i = 0; i < n; i++) {
        unsigned char byte = (unsigned char)(i * 7 % 251);

        assert_int_equal(pwrite(fd, &byte, 1, (off_t)(at + i)), 1);
    }
    (void)close(fd);
}

static void bytes_that_are_no_database_are_told_as_damage(void **ctx)
{
    struct fixture *f = *ctx;

    start_over(f);
    write_bytes(f->file, 0, 5000);
    assert_refused_untouched(f, "the journal is damaged");
}

/* In a table that opening has no need of: it would come up in the middle of the season. */
static void a_damaged_page_is_found_at_the_start(void **ctx)
{
    struct fixture *f = *ctx;
    char at[160];
    int64_t byte = 0;

    close_it(f);
    assert_int_equal(run_sql(f,
                             "SELECT (rootpage - 1) * page_size FROM sqlite_schema,"
                             " pragma_page_size WHERE name = 'client_key'",
                             at),
                     SQLITE_OK);
    assert_int_equal(num_parse_int(at, 1, FILE_MOST, &byte, NULL), 0);
    write_bytes(f->file, (size_t)byte, 200);
    assert_refused_untouched(f, "the journal is damaged (");
    assert_non_null(strstr(f->e.msg, "); restore a backup"));
}

/* A first start that was cut off leaves a file without the name; it does not stand in the way. */
static void what_a_first_start_left_is_cleared_away(void **ctx)
{
    struct fixture *f = *ctx;
    char left[2][sizeof f->file + 16];

    start_over(f);
    (void)snprintf(left[0], sizeof left[0], "%s.new", f->file);
    (void)snprintf(left[1], sizeof left[1], "%s.new-journal", f->file);
    write_bytes(left[0], 0, 5000);
    write_bytes(left[1], 0, 700);
    reopen(f);
    assert_int_equal(access(left[0], F_OK), -1);
    assert_int_equal(access(left[1], F_OK), -1);
}

static void what_cannot_be_cleared_away_is_told(void **ctx)
{
    struct fixture *f = *ctx;
    char left[sizeof f->file + 16];
    char words[160];

    start_over(f);
    (void)snprintf(left, sizeof left, "%s.new", f->file);
    (void)snprintf(words, sizeof words, "cannot remove %s: ", left);
    assert_int_equal(mkdir(left, 0700), 0);
    assert_int_equal(journal_open(f->dir, &f->j, &f->e), -EISDIR);
    assert_non_null(strstr(f->e.msg, words));
}

/* A disk that is full at the first start leaves no journal that would look like a lost one. */
static void a_first_start_on_a_full_disk_leaves_no_journal(void **ctx)
{
    struct fixture *f = *ctx;

    start_over(f);
    break_writes(ENOSPC);
    assert_fails(f, f->dir, ERR_FULL, "the disk is full");
    break_writes(0);
    assert_int_equal(access(f->file, F_OK), -1);
    reopen(f);
}

static void a_journal_on_a_full_disk_can_be_read(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = a_full_entry(ENTRY_STARTED);
    struct kept *k;

    assert_int_equal(write_entries(f, &e, 1), 0);
    close_it(f);
    break_writes(ENOSPC);
    assert_int_equal(journal_open(f->dir, &f->j, &f->e), 0);
    assert_int_equal(journal_last_seq(f->j), 1);
    k = fold(f);
    assert_int_equal(k->n, 1);
    free(k);
    assert_int_equal(write_entries(f, &e, 1), ERR_STORE); /* number 1 again */
    break_writes(0);
}

static void a_journal_on_a_disk_that_takes_no_writes_is_not_opened(void **ctx)
{
    struct fixture *f = *ctx;

    close_it(f);
    break_writes(EIO);
    assert_fails(f, f->dir, ERR_STORE, "the disk failed");
    break_writes(0);
}

static int64_t pragma(struct fixture *f, const char *name)
{
    sqlite3_stmt *stmt = NULL;
    char sql[64];
    int64_t got;

    (void)snprintf(sql, sizeof sql, "PRAGMA %s", name);
    assert_int_equal(sqlite3_prepare_v2(f->j->db, sql, -1, &stmt, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(stmt), SQLITE_ROW);
    got = sqlite3_column_int64(stmt, 0);
    (void)sqlite3_finalize(stmt);
    return got;
}

/* 2 is FULL: the log is synced at each commit. */
static void a_commit_is_synced(void **ctx)
{
    struct fixture *f = *ctx;

    assert_int_equal(pragma(f, "synchronous"), 2);
    assert_int_equal(pragma(f, "foreign_keys"), 1);
    assert_int_equal(pragma(f, "trusted_schema"), 0);
    assert_int_equal(pragma(f, "cell_size_check"), 1);
}

static void a_state_folder_is_for_its_owner_alone(void **ctx)
{
    struct fixture *f = *ctx;
    static const char *const files[] = {"lock", "tarn.db", "tarn.db-wal", "tarn.db-head"};
    mode_t before = umask(0022);
    char dir[80];
    char path[112];
    struct journal *j = NULL;
    struct stat st;

    (void)snprintf(dir, sizeof dir, "%s/room", f->dir);
    assert_int_equal(journal_open(dir, &j, &f->e), 0);
    (void)umask(before);
    assert_int_equal(stat(dir, &st), 0);
    assert_int_equal(st.st_mode & 0777, 0700);
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        (void)snprintf(path, sizeof path, "%s/%s", dir, files[i]);
        assert_int_equal(stat(path, &st), 0);
        assert_int_equal(st.st_mode & 0777, 0600);
    }
    journal_close(j);
}

static void a_folder_that_does_not_serve_is_told(void **ctx)
{
    static const char *const odd[] = {"a?b", "a#b", "a%41"};
    int input = open("/dev/null", O_RDONLY | O_CLOEXEC);
    static char longest[4096 - 16 - sizeof "/tarn.db" + 1];
    struct fixture *f = *ctx;
    char path[128];

    close_it(f);
    assert_int_equal(dup2(input, STDIN_FILENO), STDIN_FILENO);
    for (size_t i = 0; i < sizeof odd / sizeof *odd; i++) {
        (void)snprintf(path, sizeof path, "%s/%s", f->dir, odd[i]);
        assert_fails(f, path, ERR_RANGE, "does not serve as a state folder: too long, or with one");
        assert_int_equal(access(path, F_OK), -1);
    }
    assert_true(fcntl(STDIN_FILENO, F_GETFD) >= 0); /* no lock was held that could be let go */
    (void)close(input);
    memset(longest, 'a', sizeof longest - 1);
    longest[0] = '/';
    assert_fails(f, longest, -ENAMETOOLONG, "cannot make the state folder /aaa");
    (void)snprintf(path, sizeof path, "%s/no/room", f->dir);
    assert_fails(f, path, -ENOENT, "cannot make the state folder /tmp/");
    assert_fails(f, f->file, -ENOTDIR, "/lock: ");
}

static void a_path_beyond_what_the_system_takes_is_told(void **ctx)
{
    static char too_long[4096 - 16 - sizeof "/tarn.db" + 2];
    struct fixture *f = *ctx;

    close_it(f);
    memset(too_long, 'a', sizeof too_long - 1);
    assert_fails(f, too_long, ERR_RANGE, "does not serve as a state folder: too long");
}

/* Who can write into the folder cannot make the daemon write elsewhere. */
static void links_are_not_followed(void **ctx)
{
    struct fixture *f = *ctx;
    char lock[96];
    char elsewhere[sizeof f->file + 8];

    close_it(f);
    (void)snprintf(lock, sizeof lock, "%s/lock", f->dir);
    (void)snprintf(elsewhere, sizeof elsewhere, "%s-moved", f->file);
    assert_int_equal(rename(f->file, elsewhere), 0);
    assert_int_equal(symlink(elsewhere, f->file), 0);
    assert_fails(f, f->dir, ERR_STORE, "the journal cannot be written (");
    assert_int_equal(unlink(lock), 0);
    assert_int_equal(symlink("/tmp", lock), 0);
    assert_fails(f, f->dir, -ELOOP, "cannot open ");
}

/* What a half-added figure lacks, in a sentence each. */
static void every_figure_has_a_column_under_its_key(void **ctx)
{
    static const char *const name[] = {
#define NAME(id, text) (text),
        ROWS_LIST(NAME, NAME)};
    struct fixture *f = *ctx;
    char sql[160];
    char n[160];

    for (unsigned i = 0; i < FIGURE_N; i++) {
        if (strcmp(name[ROWS_OF_FIGURE(i)], figure_defs[i].key) != 0) {
            fail_msg("the figure '%s' has the column '%s' in rows.h", figure_defs[i].key,
                     name[ROWS_OF_FIGURE(i)]);
        }
    }
    close_it(f);
    for (size_t i = 0; i < sizeof name / sizeof *name; i++) {
        (void)snprintf(sql, sizeof sql,
                       "SELECT count(*) FROM pragma_table_info('entry') WHERE name = '%s'",
                       name[i]);
        assert_int_equal(run_sql(f, sql, n), SQLITE_OK);
        if (strcmp(n, "1") != 0) {
            fail_msg("rows.h has the column '%s', and no step of schema.c makes it", name[i]);
        }
    }
    (void)snprintf(n, sizeof n, "%d", ROWS_N + 1); /* … and the seal, and none that nobody reads */
    assert_sql_says(f, "SELECT count(*) FROM pragma_table_info('entry')", n);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_second_daemon_is_kept_out),
        TEST(any_other_program_is_kept_out_as_long_as_it_is_open),
        TEST(an_open_that_failed_leaves_the_place_free),
        TEST(a_database_of_another_program_is_left_alone),
        TEST(an_empty_database_with_a_mark_of_its_own_is_not_ours),
        TEST(a_file_of_a_newer_tarn_is_left_alone),
        TEST(a_file_of_the_first_version_is_brought_up),
        TEST(a_step_that_fails_changes_nothing),
        TEST(a_new_file_bears_our_mark_and_version),
        TEST(an_emptied_file_is_not_taken_for_a_new_one),
        TEST(a_log_without_its_file_is_left_alone),
        TEST(bytes_that_are_no_database_are_told_as_damage),
        TEST(a_damaged_page_is_found_at_the_start),
        TEST(what_a_first_start_left_is_cleared_away),
        TEST(what_cannot_be_cleared_away_is_told),
        TEST(a_first_start_on_a_full_disk_leaves_no_journal),
        TEST(a_journal_on_a_full_disk_can_be_read),
        TEST(a_journal_on_a_disk_that_takes_no_writes_is_not_opened),
        TEST(a_commit_is_synced),
        TEST(a_state_folder_is_for_its_owner_alone),
        TEST(a_folder_that_does_not_serve_is_told),
        TEST(a_path_beyond_what_the_system_takes_is_told),
        TEST(links_are_not_followed),
        TEST(every_figure_has_a_column_under_its_key),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
