/* The thread that keeps the journal: one that hangs at a disk is seen. */
#include "daemon/serve/live/journal_thread.h"
#include "tests/unit/a_journal.h"

#include <string.h>

static int entered[2];  /* a byte: a write has begun … */
static int released[2]; /* … and may go on */
static bool hangs;

static ssize_t hanging_pwrite(int fd, const void *bytes, size_t n, off64_t at)
{
    char byte = 0;

    if (hangs) {
        hangs = false;
        if (write(entered[1], &byte, 1) != 1 || read(released[0], &byte, 1) != 1) {
            errno = EIO;
            return -1;
        }
    }
    return pwrite64(fd, bytes, n, at);
}

static void hang_at_the_next_write(void)
{
    sqlite3_vfs *vfs = sqlite3_vfs_find(NULL);
    sqlite3_syscall_ptr to = (sqlite3_syscall_ptr)(void *)hanging_pwrite;

    hangs = true;
    assert_int_equal(vfs->xSetSystemCall(vfs, "pwrite", to), SQLITE_OK);
    assert_int_equal(vfs->xSetSystemCall(vfs, "pwrite64", to), SQLITE_OK);
}

static void on_done(struct journal_job *job)
{
    *(int *)job->owner = 1 + job->rc;
    journal_job_free(job);
}

static void a_disk_that_does_not_answer_shows(void **ctx)
{
    struct fixture *f = *ctx;
    struct journal_thread t;
    struct journal_job *job;
    uv_loop_t loop;
    int done = 0;
    char byte = 0;

    assert_int_equal(pipe(entered) + pipe(released), 0);
    assert_int_equal(uv_loop_init(&loop), 0);
    hang_at_the_next_write();
    assert_int_equal(journal_thread_start(&t, &loop, f->j, NULL, NULL, &f->e), 0);
    f->j = NULL;
    job = journal_job_new(JOURNAL_JOB_WRITE, on_done, &done);
    job->batch.day_started = 20513;
    journal_thread_submit(&t, job);
    assert_int_equal(read(entered[0], &byte, 1), 1);
    assert_true(journal_thread_busy_ns(&t) > 0);
    assert_int_equal(write(released[1], &byte, 1), 1);
    while (!done) {
        (void)uv_run(&loop, UV_RUN_ONCE);
    }
    assert_int_equal(done, 1);
    assert_int_equal(journal_thread_busy_ns(&t), 0);
    journal_thread_stop(&t);
    (void)uv_run(&loop, UV_RUN_DEFAULT);
    assert_int_equal(uv_loop_close(&loop), 0);
    for (int i = 0; i < 2; i++) {
        assert_int_equal(close(entered[i]) + close(released[i]), 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_disk_that_does_not_answer_shows),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
