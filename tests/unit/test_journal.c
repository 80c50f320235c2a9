/* The record of what happened: nothing told is lost, changed or told twice. */
#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/core/units/day.h"
#include "daemon/store/journal.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"
#include "tests/unit/same_entry.h"

#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

struct fixture {
    struct room room;
    char dir[64];
    char file[96];
    struct journal *j;
    struct err e;
};

static int set_up(void **ctx)
{
    struct fixture *f = mem_array(1, sizeof *f);

    f->room = a_room();
    (void)snprintf(f->dir, sizeof f->dir, "/tmp/tarn-test-XXXXXX");
    if (!mkdtemp(f->dir)) {
        return -1;
    }
    (void)snprintf(f->file, sizeof f->file, "%s/tarn.db", f->dir);
    *ctx = f;
    return journal_open(f->dir, &f->j, &f->e);
}

static int tear_down(void **ctx)
{
    struct fixture *f = *ctx;
    char command[128];

    journal_close(f->j);
    room_deinit(&f->room);
    (void)snprintf(command, sizeof command, "rm -rf '%s'", f->dir);
    free(f);
    return system(command); /* NOLINT(cert-env33-c): a folder that mkdtemp named */
}

static void reopen(struct fixture *f)
{
    journal_close(f->j);
    f->j = NULL;
    assert_int_equal(journal_open(f->dir, &f->j, &f->e), 0);
}

static int write_entries(struct fixture *f, struct entry *e, size_t n)
{
    struct journal_batch b = {.entry = e, .n_entries = n, .day_started = DAY_NONE};

    return journal_write(f->j, &b, &f->e);
}

struct kept {
    struct entry entry[64];
    size_t n;
};

static bool keep(void *ctx, const struct entry *e)
{
    struct kept *k = ctx;

    k->entry[k->n++] = *e;
    return k->n < 64;
}

static struct kept *fold(struct fixture *f)
{
    struct kept *k = mem_array(1, sizeof *k);

    assert_int_equal(journal_fold(f->j, keep, k, &f->e), 0);
    return k;
}

/* An entry of a kind with everything in it that an entry can have. */
static struct entry a_full_entry(int kind)
{
    struct entry e = told_at((enum entry_kind)kind, "A1", "grow", at(kind, 9));

    for (unsigned i = 0; i < FIGURE_N; i++) {
        e = with(e, (enum figure)i, 0.1 + i * 1.7);
    }
    e.amount[0] = (struct amount){.product = "grow-a", .amount = 48.4};
    e.amount[1] = (struct amount){.product = "grow-b", .amount = 0.1};
    e.n_amounts = 2;
    e.until_day = 20550;
    e.cycle = 3;
    e.task = 41;
    e.uid = 4294967294U;
    name_it(e.who, sizeof e.who, "ana");
    name_it(e.note, sizeof e.note, "leaves pale, 3 × so groß wie gestern 🌱");
    return e;
}

static void every_kind_comes_back_as_it_was_told(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry told[ENTRY_KIND_N];
    struct kept *k;
    size_t n = 0;

    for (int kind = 0; kind < ENTRY_KIND_N; kind++) {
        if (kind != ENTRY_VOIDED) {
            told[n++] = a_full_entry(kind);
        }
    }
    assert_int_equal(write_entries(f, told, n), 0);
    reopen(f);
    k = fold(f);
    assert_int_equal(k->n, n);
    for (size_t i = 0; i < n; i++) {
        assert_int_equal(told[i].seq, i + 1);
        assert_same(&told[i], &k->entry[i]);
    }
    assert_int_equal(journal_last_seq(f->j), n);
    free(k);
}

static void the_fold_goes_by_when_it_happened(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[3] = {told_at(ENTRY_NOTE, "A1", "", at(5, 9)),
                         told_at(ENTRY_NOTE, "A1", "", at(2, 9)), /* told late */
                         told_at(ENTRY_NOTE, "A1", "", at(5, 9))};
    struct kept *k;

    assert_int_equal(write_entries(f, e, 3), 0);
    k = fold(f);
    assert_int_equal(k->entry[0].seq, 2);
    assert_int_equal(k->entry[1].seq, 1);
    assert_int_equal(k->entry[2].seq, 3);
    free(k);
}

static void a_voided_entry_is_listed_and_left_out_of_the_fold(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[3] = {told_at(ENTRY_NOTE, "A1", "", at(1, 9)),
                         told_at(ENTRY_NOTE, "A2", "", at(2, 9)),
                         told_at(ENTRY_VOIDED, "A1", "", at(3, 9))};
    struct journal_query all = {.since_s = INT64_MIN, .until_s = INT64_MAX, .limit = 10};
    struct journal_row *row = NULL;
    struct kept *k;
    size_t n = 0;

    e[2].voids = 1;
    assert_int_equal(write_entries(f, e, 3), 0);
    k = fold(f);
    assert_int_equal(k->n, 1);
    assert_int_equal(k->entry[0].seq, 2);
    assert_int_equal(journal_list(f->j, &all, &row, &n, &f->e), 0);
    assert_int_equal(n, 3);
    assert_true(row[0].voided);
    assert_false(row[1].voided);
    assert_int_equal(row[2].entry.voids, 1);
    free(row);
    free(k);
}

static void a_list_is_read_page_by_page(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[7];
    struct journal_query q = {.since_s = INT64_MIN, .until_s = INT64_MAX, .limit = 3};
    struct journal_row *row = NULL;
    int64_t next = 1;
    size_t n = 3;

    for (int i = 0; i < 7; i++) {
        e[i] = told_at(ENTRY_NOTE, "A1", "", at(1, 9)); /* all at one instant: the number decides */
    }
    assert_int_equal(write_entries(f, e, 7), 0);
    while (n == 3) {
        assert_int_equal(journal_list(f->j, &q, &row, &n, &f->e), 0);
        for (size_t i = 0; i < n; i++) {
            assert_int_equal(row[i].entry.seq, next++);
        }
        q.after_happened_s = row[n - 1].entry.happened_s;
        q.after_seq = row[n - 1].entry.seq;
        free(row);
    }
    assert_int_equal(next, 8);
}

static void a_list_is_of_one_thing_and_a_span(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[4] = {
        told_at(ENTRY_NOTE, "A1", "", at(1, 9)), told_at(ENTRY_NOTE, "A2", "", at(2, 9)),
        told_at(ENTRY_NOTE, "A1", "", at(3, 9)), told_at(ENTRY_NOTE, "A1", "", at(4, 9))};
    struct journal_query q = {
        .of = "A1", .since_s = at(1, 9), .until_s = at(4, 9), .limit = 9, .newest_first = true};
    struct journal_row *row = NULL;
    size_t n = 0;

    assert_int_equal(write_entries(f, e, 4), 0);
    assert_int_equal(journal_list(f->j, &q, &row, &n, &f->e), 0);
    assert_int_equal(n, 2); /* the end of the span is not in it */
    assert_int_equal(row[0].entry.seq, 3);
    assert_int_equal(row[1].entry.seq, 1);
    free(row);
}

static void a_clients_key_finds_what_was_told_with_it(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[3] = {told_at(ENTRY_NOTE, "A1", "", at(1, 9)),
                         told_at(ENTRY_NOTE, "A2", "", at(1, 9)),
                         told_at(ENTRY_NOTE, "A3", "", at(1, 9))};
    int64_t first = 0;
    int64_t last = 0;

    name_it(e[1].key, sizeof e[1].key, "k1");
    name_it(e[2].key, sizeof e[2].key, "k1");
    assert_int_equal(write_entries(f, e, 3), 0);
    reopen(f);
    assert_int_equal(journal_find_key(f->j, "k1", &first, &last, &f->e), 1);
    assert_int_equal(first, 2);
    assert_int_equal(last, 3);
    assert_int_equal(journal_find_key(f->j, "k2", &first, &last, &f->e), 0);
}

static void tasks_keep_their_numbers_and_jobs(void **ctx)
{
    struct fixture *f = *ctx;
    struct job job[2] = {
        {.kind = TASK_CHANGE, .subject = {SUBJECT_CONTAINER, A1}, .cycle = 2},
        {.kind = TASK_CHANGE, .subject = {SUBJECT_CONTAINER, A3}, .cycle = 5}
    };
    struct task task[2] = {
        {.id = 7,
         .kind = TASK_CHANGE,
         .earliest = 20550,
         .due = 20552,
         .latest = 20555,
         .on = 20551,
         .job = job,
         .n_jobs = 2},
        {.id = 8, .kind = TASK_BUMP,          .job = job,       .n_jobs = 1}
    };
    struct task_end end = {.id = 8, .outcome = OUTCOME_WITHDRAWN, .reason = "A1 was changed"};
    struct journal_batch b = {.room = &f->room,
                              .task = task,
                              .n_tasks = 2,
                              .end = &end,
                              .n_ends = 1,
                              .day_started = 20551};
    struct agenda a;

    assert_int_equal(journal_write(f->j, &b, &f->e), 0);
    reopen(f);
    assert_int_equal(journal_day_started(f->j), 20551);
    assert_int_equal(journal_load_agenda(f->j, &f->room, &a, &f->e), 0);
    assert_int_equal(a.n, 1);
    assert_int_equal(a.next_id, 9);
    assert_int_equal(a.task[0].id, 7);
    assert_int_equal(a.task[0].latest, 20555);
    assert_int_equal(a.task[0].n_jobs, 2);
    assert_int_equal(job_compare_keys(&a.task[0].job[0], &job[0]), 0);
    assert_int_equal(job_compare_keys(&a.task[0].job[1], &job[1]), 0);
    agenda_deinit(&a);
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

static void a_number_out_of_turn_is_refused_and_nothing_is_written(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_NOTE, "A1", "", at(1, 9));

    e.seq = 5;
    assert_int_equal(write_entries(f, &e, 1), ERR_STORE);
    assert_string_equal(f->e.msg, "entry 5 comes where 1 is due");
    e.seq = 1;
    assert_int_equal(write_entries(f, &e, 1), ERR_STORE); /* it has failed: open anew */
    reopen(f);
    assert_int_equal(journal_last_seq(f->j), 0);
    assert_int_equal(write_entries(f, &e, 1), 0);
}

static int run_sql(const struct fixture *f, const char *sql, char *out_said, size_t len)
{
    sqlite3 *db = NULL;
    char *said = NULL;
    int rc;

    assert_int_equal(sqlite3_open(f->file, &db), SQLITE_OK);
    rc = sqlite3_exec(db, sql, NULL, NULL, &said);
    (void)snprintf(out_said, len, "%s", said ? said : "");
    sqlite3_free(said);
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
    return rc;
}

static void what_was_told_is_neither_changed_nor_deleted(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = a_full_entry(ENTRY_MIX_MADE);
    char said[160];

    assert_int_equal(write_entries(f, &e, 1), 0);
    journal_close(f->j);
    f->j = NULL;
    assert_int_not_equal(run_sql(f, "UPDATE entry SET ph = 5", said, sizeof said), SQLITE_OK);
    assert_string_equal(said, "an entry is never changed; void it");
    assert_int_not_equal(run_sql(f, "DELETE FROM entry", said, sizeof said), SQLITE_OK);
    assert_string_equal(said, "an entry is never deleted; void it");
    assert_int_not_equal(run_sql(f, "DELETE FROM amount", said, sizeof said), SQLITE_OK);
    assert_int_not_equal(run_sql(f, "UPDATE amount SET amount = 1", said, sizeof said), SQLITE_OK);
}

/* The bytes of the file before and after an open that has to fail. */
static void assert_refused_untouched(struct fixture *f, int code, const char *words)
{
    char before[65536];
    char after[65536];
    FILE *file = fopen(f->file, "re");
    size_t n = fread(before, 1, sizeof before, file);

    (void)fclose(file);
    assert_int_equal(journal_open(f->dir, &f->j, &f->e), code);
    if (!strstr(f->e.msg, words)) {
        fail_msg("wanted '%s', got '%s'", words, f->e.msg);
    }
    file = fopen(f->file, "re");
    assert_int_equal(fread(after, 1, sizeof after, file), n);
    (void)fclose(file);
    assert_memory_equal(before, after, n);
}

static void start_over(struct fixture *f)
{
    journal_close(f->j);
    f->j = NULL;
    assert_int_equal(unlink(f->file), 0);
}

static void a_database_of_another_program_is_left_alone(void **ctx)
{
    struct fixture *f = *ctx;
    char said[160];

    start_over(f);
    assert_int_equal(
        run_sql(f, "PRAGMA journal_mode=WAL; CREATE TABLE bird (name TEXT)", said, sizeof said),
        SQLITE_OK);
    assert_refused_untouched(f, ERR_STORE, "it is a database of some other program");
}

static void a_file_of_a_newer_tarn_is_left_alone(void **ctx)
{
    struct fixture *f = *ctx;
    char said[160];

    journal_close(f->j);
    f->j = NULL;
    assert_int_equal(run_sql(f, "PRAGMA user_version=99", said, sizeof said), SQLITE_OK);
    assert_refused_untouched(f, ERR_STORE, "it was written by a newer tarn (version 99");
}

static void a_file_of_the_first_version_is_brought_up(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry old = a_full_entry(ENTRY_READING);
    struct entry new = a_full_entry(ENTRY_DRAINED);
    char said[160];
    struct kept *k;

    old.has &= ~FIGURE_BIT(FIGURE_WAS_MS_CM); /* which the first version had no place for */
    assert_int_equal(write_entries(f, &old, 1), 0);
    journal_close(f->j);
    f->j = NULL;
    assert_int_equal(run_sql(f, "ALTER TABLE entry DROP COLUMN was_ms_cm; PRAGMA user_version=1",
                             said, sizeof said),
                     SQLITE_OK);
    assert_int_equal(journal_open(f->dir, &f->j, &f->e), 0);
    assert_int_equal(write_entries(f, &new, 1), 0);
    reopen(f);
    k = fold(f);
    assert_int_equal(k->n, 2);
    assert_same(&old, &k->entry[0]);
    assert_same(&new, &k->entry[1]);
    free(k);
}

static void an_emptied_file_is_not_taken_for_a_new_one(void **ctx)
{
    struct fixture *f = *ctx;

    journal_close(f->j);
    f->j = NULL;
    assert_int_equal(truncate(f->file, 0), 0);
    assert_refused_untouched(f, ERR_STORE, "is empty, and a journal never is; restore a backup");
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
    assert_int_equal(journal_open(f->dir, &f->j, &f->e), ERR_STORE);
    assert_non_null(strstr(f->e.msg, "its log is there, and the journal itself is gone"));
    assert_int_equal(access(log, F_OK), 0);
}

static void bytes_that_are_no_database_are_told_as_damage(void **ctx)
{
    struct fixture *f = *ctx;
    FILE *file;

    start_over(f);
    file = fopen(f->file, "we");
    for (int i = 0; i < 5000; i++) {
        (void)fputc(i * 7 % 251, file);
    }
    (void)fclose(file);
    assert_refused_untouched(f, ERR_STORE, "the journal is damaged");
}

static void a_state_folder_is_for_its_owner_alone(void **ctx)
{
    struct fixture *f = *ctx;
    char dir[80];
    struct journal *j = NULL;
    struct stat st;

    (void)snprintf(dir, sizeof dir, "%s/room", f->dir);
    assert_int_equal(journal_open(dir, &j, &f->e), 0);
    journal_close(j);
    assert_int_equal(stat(dir, &st), 0);
    assert_int_equal(st.st_mode & 0777, 0700);
}

static void a_backup_is_whole_and_overwrites_nothing(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_NOTE, "A1", "", at(1, 9));
    char copy[96];
    struct kept *k;

    (void)snprintf(copy, sizeof copy, "%s/copy.db", f->dir);
    assert_int_equal(write_entries(f, &e, 1), 0);
    assert_int_equal(journal_backup(f->j, copy, &f->e), 0);
    assert_int_equal(journal_backup(f->j, copy, &f->e), ERR_REFUSED);
    start_over(f);
    assert_int_equal(rename(copy, f->file), 0);
    reopen(f);
    k = fold(f);
    assert_int_equal(k->n, 1);
    free(k);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(every_kind_comes_back_as_it_was_told),
        TEST(the_fold_goes_by_when_it_happened),
        TEST(a_voided_entry_is_listed_and_left_out_of_the_fold),
        TEST(a_list_is_read_page_by_page),
        TEST(a_list_is_of_one_thing_and_a_span),
        TEST(a_clients_key_finds_what_was_told_with_it),
        TEST(tasks_keep_their_numbers_and_jobs),
        TEST(a_second_daemon_is_kept_out),
        TEST(a_number_out_of_turn_is_refused_and_nothing_is_written),
        TEST(what_was_told_is_neither_changed_nor_deleted),
        TEST(a_database_of_another_program_is_left_alone),
        TEST(a_file_of_a_newer_tarn_is_left_alone),
        TEST(a_file_of_the_first_version_is_brought_up),
        TEST(an_emptied_file_is_not_taken_for_a_new_one),
        TEST(a_log_without_its_file_is_left_alone),
        TEST(bytes_that_are_no_database_are_told_as_damage),
        TEST(a_state_folder_is_for_its_owner_alone),
        TEST(a_backup_is_whole_and_overwrites_nothing),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
