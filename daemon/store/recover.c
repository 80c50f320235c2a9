#include "daemon/store/recover.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/store/chain.h"
#include "daemon/store/head.h"
#include "daemon/store/journal.h"
#include "daemon/store/recover_sources.h"
#include "daemon/store/rows.h"
#include "daemon/store/schema.h"
#include "daemon/store/sql.h"

#include <errno.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define PATH_LEN 4096

/* The work: the files that are read, and the journal that is written. */
struct work {
    const char *dir;
    struct sources from;
    struct recovery *out;
    sqlite3 *db;
    sqlite3_stmt *entry, *amount;
    struct standing best; /* what is known of how far the journal went */
    int64_t last;         /* number of the last entry that there was */
    struct seal at;       /* of the entry before, as it was told … */
    bool known;           /* … if that is known */
    int64_t happened_s;   /* of the entry before */
    int64_t lost_from;    /* first of the run of lost ones; 0 = none is open */
};

static void path_in(const struct work *w, const char *name, char path[PATH_LEN])
{
    (void)snprintf(path, PATH_LEN, "%.3900s/%s", w->dir, name);
}

/* ---- entries */

static int put(struct work *w, const struct entry *entry, struct err *e)
{
    int bad = rows_bind(w->entry, entry);
    int rc = bad == SQLITE_OK ? sql_step(w->entry, e) : sql_fail(w->db, e);

    (void)sqlite3_reset(w->entry);
    (void)sqlite3_clear_bindings(w->entry);
    for (size_t i = 0; i < entry->n_amounts && rc == 0; i++) {
        (void)sqlite3_bind_int64(w->amount, 1, entry->seq);
        (void)sqlite3_bind_int64(w->amount, 2, (int64_t)i);
        (void)sqlite3_bind_text(w->amount, 3, entry->amount[i].product, -1, SQLITE_STATIC);
        (void)sqlite3_bind_double(w->amount, 4, entry->amount[i].amount);
        rc = sql_step(w->amount, e);
        (void)sqlite3_reset(w->amount);
        (void)sqlite3_clear_bindings(w->amount);
    }
    return rc;
}

static int put_note(struct work *w, int64_t seq, struct err *e)
{
    struct entry note = entry_of(ENTRY_NOTE, "room", w->happened_s, w->happened_s);

    note.seq = seq;
    (void)snprintf(note.who, sizeof note.who, "tarnd --recover");
    (void)snprintf(note.note, sizeof note.note, "an entry stood here, and no file had it");
    return put(w, &note, e);
}

static void close_run(struct work *w, int64_t seq)
{
    if (w->lost_from && w->lost_from == seq - 1) {
        text_add(&w->out->says, "entry %lld is lost\n", (long long)w->lost_from);
    } else if (w->lost_from) {
        text_add(&w->out->says, "entries %lld to %lld are lost\n", (long long)w->lost_from,
                 (long long)seq - 1);
    }
    w->lost_from = 0;
}

/* As it was told: its seal follows from the one before. Where that is not known the file's own
 * account of it serves, if the file is of this journal. */
static bool is_as_told(const struct work *w, const struct source *s, const struct found *f)
{
    struct seal seal;

    if (w->known) {
        seal = seal_of_entry(&w->at, &f->entry);
        if (memcmp(&seal, &f->seal, sizeof seal) == 0) {
            return true;
        }
    }
    if (!s->has_standing || memcmp(s->standing.id, w->best.id, sizeof w->best.id) != 0) {
        return false;
    }
    seal = seal_of_entry(&f->before, &f->entry);
    return memcmp(&seal, &f->seal, sizeof seal) == 0;
}

static bool find(struct work *w, int64_t seq, struct found *out)
{
    for (size_t i = 0; i < w->from.n; i++) {
        if (source_find(&w->from.source[i], seq, out) && is_as_told(w, &w->from.source[i], out)) {
            w->out->from_copy += !w->from.source[i].is_journal;
            return true;
        }
    }
    return false;
}

/* A run that was thinned, from seq on: 1 = it is brought, 0 = no file says so. The entry behind it
 * is held to its seal. */
static int bring_thinned(struct work *w, int64_t seq, int64_t *out_last, struct err *e)
{
    struct chain_run run;
    bool found = false;
    sqlite3_stmt *stmt = NULL;
    int rc;

    for (size_t i = 0; i < w->from.n && !found; i++) {
        const struct source *s = &w->from.source[i];

        found = s->has_standing && memcmp(s->standing.id, w->best.id, sizeof w->best.id) == 0 &&
                source_thinned(s, seq, &run) && run.last < w->last;
    }
    if (!found) {
        return 0;
    }
    rc = sql_prepare(w->db, "INSERT INTO thinned VALUES (?, ?, ?)", &stmt, e);
    if (rc == 0) {
        (void)sqlite3_bind_int64(stmt, 1, seq);
        (void)sqlite3_bind_int64(stmt, 2, run.last);
        (void)sqlite3_bind_blob(stmt, 3, run.seal.byte, SEAL_LEN, SQLITE_STATIC);
        rc = sql_step(stmt, e);
    }
    (void)sqlite3_finalize(stmt);
    w->out->thinned += run.last - seq + 1;
    w->at = run.seal;
    w->known = true;
    *out_last = run.last;
    return rc < 0 ? rc : 1;
}

static int bring_entries(struct work *w, struct err *e)
{
    int rc = 0;

    w->known = true; /* of nothing, before the first */
    for (int64_t seq = 1; seq <= w->last && rc == 0; seq++) {
        struct found f;
        int64_t last;

        if (find(w, seq, &f) && put(w, &f.entry, e) == 0) {
            close_run(w, seq);
            w->at = f.seal;
            w->known = true;
            w->happened_s = f.entry.happened_s;
        } else if ((rc = bring_thinned(w, seq, &last, e)) == 1) {
            close_run(w, seq);
            seq = last;
            rc = 0;
        } else if (rc == 0) {
            w->lost_from = w->lost_from ? w->lost_from : seq;
            w->out->lost++;
            w->known = false;
            rc = put_note(w, seq, e);
        }
    }
    close_run(w, w->last + 1);
    w->out->entries = w->last;
    return rc;
}

/* ---- the rest */

/* Copies from an attached file; what cannot be read is left out. */
static bool copy_from(struct work *w, const struct source *s, const char *sql)
{
    char attach[PATH_LEN + 64];
    bool done;

    (void)sqlite3_snprintf(sizeof attach, attach, "ATTACH %Q AS other", s->path);
    if (sql_run(w->db, attach, NULL) < 0) {
        return false;
    }
    done = sql_run(w->db, "SAVEPOINT copying", NULL) == 0 && sql_run(w->db, sql, NULL) == 0;
    if (!done) {
        (void)sql_run(w->db, "ROLLBACK TO copying", NULL);
    }
    (void)sql_run(w->db, "RELEASE copying", NULL);
    (void)sql_run(w->db, "DETACH other", NULL);
    return done;
}

static bool has_sum(const struct source *s, uint64_t want,
                    int (*sum)(sqlite3 *db, uint64_t *out, struct err *e))
{
    uint64_t got = 0;

    return s->has_standing && sum(s->db, &got, NULL) == 0 && got == want;
}

/* Keys of what is there, so that a request that is repeated is still told once. A file that has
 * them all comes before one that has some. */
static void bring_keys(struct work *w)
{
    static const char copy[] =
        "INSERT OR IGNORE INTO client_key SELECT key, first_seq, last_seq FROM other.client_key"
        " WHERE first_seq BETWEEN 1 AND last_seq"
        " AND last_seq <= (SELECT max(seq) FROM main.entry)";
    bool sound = false;

    for (size_t i = 0; i < w->from.n; i++) {
        const struct source *s = &w->from.source[i];

        if (has_sum(s, s->standing.keys, chain_sum_keys)) {
            sound = copy_from(w, s, copy) || sound;
        }
    }
    for (size_t i = 0; i < w->from.n && !sound; i++) {
        sound = copy_from(w, &w->from.source[i], copy);
    }
    if (!sound) {
        text_add(&w->out->says,
                 "the marks of requests are lost: one that a program repeats is told "
                 "twice\n");
    }
}

/* The list of tasks is made anew in any case; with those that were open they keep their numbers. */
static void bring_tasks(struct work *w)
{
    static const char copy[] =
        "INSERT OR IGNORE INTO task (id, kind, care, earliest, due, latest, planned)"
        " SELECT id, kind, care, earliest, due, latest, planned FROM other.task"
        " WHERE outcome IS NULL;"
        "INSERT OR IGNORE INTO task_job SELECT task, subject, cycle FROM other.task_job"
        " WHERE task IN (SELECT id FROM main.task)";
    char last[160];

    for (size_t i = 0; i < w->from.n; i++) {
        const struct source *s = &w->from.source[i];

        if (has_sum(s, s->standing.tasks, chain_sum_tasks) && copy_from(w, s, copy)) {
            break;
        }
        if (i + 1 == w->from.n) {
            text_add(&w->out->says, "the open tasks are lost: they come again under new numbers\n");
        }
    }
    (void)snprintf(last, sizeof last,
                   "INSERT OR IGNORE INTO task VALUES (%lld, 'read', 0, 0, 0, 0, 0, 'withdrawn',"
                   " 'recovered', 0)",
                   (long long)w->best.last_task);
    if (w->best.last_task > 0) {
        (void)sql_run(w->db, last, NULL);
    }
}

static int bring_day(struct work *w, struct err *e)
{
    char sql[80];

    (void)snprintf(sql, sizeof sql, "INSERT INTO day_started VALUES (1, %lld)",
                   (long long)w->best.day_started);
    return w->best.written ? sql_run(w->db, sql, e) : 0;
}

/* ---- the new file */

static int make_new(struct work *w, struct err *e)
{
    char path[PATH_LEN];
    bool sealed;
    int64_t version = 0;
    int rc;

    path_in(w, "tarn.db.recovered", path);
    (void)unlink(path);
    if (sqlite3_open_v2(path, &w->db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, NULL) !=
        SQLITE_OK) {
        return sql_fail(w->db, e);
    }
    rc = schema_migrate(w->db, &sealed, e);
    rc = rc < 0 ? rc : sql_int(w->db, "PRAGMA user_version", &version, e);
    rc = rc < 0
             ? rc
             : sql_prepare(w->db, "INSERT INTO entry (" ROWS_COLUMNS ") VALUES (" ROWS_PLACES ")",
                           &w->entry, e);
    rc = rc < 0 ? rc
                : sql_prepare(w->db,
                              "INSERT INTO amount (entry, place, product, amount) VALUES"
                              " (?, ?, ?, ?)",
                              &w->amount, e);
    rc = rc < 0 ? rc : sql_run(w->db, "BEGIN IMMEDIATE", e);
    rc = rc < 0 ? rc : bring_entries(w, e);
    rc = rc < 0 ? rc : sql_run(w->db, "COMMIT", e); /* no file is attached within a transaction */
    if (rc == 0) {
        bring_keys(w);
        bring_tasks(w);
        rc = bring_day(w, e);
    }
    rc = rc < 0 ? rc : sql_run(w->db, "BEGIN IMMEDIATE", e);
    rc = rc < 0 ? rc : chain_make(w->db, version, e);
    return rc < 0 ? rc : sql_run(w->db, "COMMIT", e);
}

static int put_aside(const struct work *w, struct err *e)
{
    static const char *const names[] = {"tarn.db", "tarn.db-wal", "tarn.db-head"};
    char folder[32];
    char from[PATH_LEN];
    char to[PATH_LEN];
    int n = 1;

    do {
        (void)snprintf(folder, sizeof folder, "damaged-%d", n++);
        path_in(w, folder, to);
    } while (mkdir(to, 0700) < 0 && errno == EEXIST);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char name[64];

        path_in(w, names[i], from);
        (void)snprintf(name, sizeof name, "%s/%s", folder, names[i]);
        path_in(w, name, to);
        if (rename(from, to) < 0 && errno != ENOENT) {
            return err_set(e, -errno, "cannot move %.150s to %.150s: %s", from, to,
                           strerror(errno));
        }
    }
    text_add(&w->out->says, "what was there before lies in %s/%s\n", w->dir, folder);
    path_in(w, "tarn.db.recovered", from);
    path_in(w, "tarn.db", to);
    return rename(from, to) < 0
               ? err_set(e, -errno, "cannot rename %.150s: %s", from, strerror(errno))
               : 0;
}

static void sum_up(struct work *w)
{
    const struct recovery *r = w->out;

    text_add(&w->out->says, "%lld of %lld entries are there as they were told",
             (long long)(r->entries - r->lost - r->thinned), (long long)r->entries);
    if (r->thinned) {
        text_add(&w->out->says, ", %lld were sensors' readings and are thinned",
                 (long long)r->thinned);
    }
    if (r->from_copy) {
        text_add(&w->out->says, ", %lld of them from a copy", (long long)r->from_copy);
    }
    text_add(&w->out->says, "%s\n",
             r->lost ? "; a note stands in the place of each of the others" : "");
}

/* How far did it go? The head record knows; else the file that goes furthest. */
static void look_for_best(struct work *w)
{
    const struct sources *from = &w->from;

    if (from->has_head) {
        w->best = from->head;
    }
    for (size_t i = 0; i < from->n; i++) {
        const struct source *s = &from->source[i];
        bool ours =
            !from->has_head || memcmp(s->standing.id, from->head.id, sizeof from->head.id) == 0;

        if (s->has_standing && ours && s->standing.written > w->best.written) {
            w->best = s->standing;
        }
    }
    w->last = w->best.entries;
    for (size_t i = 0; i < from->n && w->last == 0; i++) {
        w->last = source_last(&from->source[i]);
    }
}

static int recover(struct work *w, struct err *e)
{
    int rc;

    look_for_best(w);
    if (w->from.n == 0) {
        return err_set(
            e, ERR_STORE,
            "no file of %.150s can be read, and there is no copy of it in %.150s/backups; "
            "name one with --from",
            w->dir, w->dir);
    }
    rc = make_new(w, e);
    (void)sqlite3_finalize(w->entry);
    (void)sqlite3_finalize(w->amount);
    if (sqlite3_close(w->db) != SQLITE_OK && rc == 0) {
        rc = err_set(e, ERR_STORE, "the new journal could not be closed");
    }
    if (rc == 0) {
        sum_up(w);
        rc = put_aside(w, e);
    }
    return rc;
}

static bool is_whole(const char *dir, struct err *e)
{
    char path[PATH_LEN];
    struct journal *j = NULL;
    bool done = false;
    struct stat st;
    int rc;

    (void)snprintf(path, sizeof path, "%.3900s/tarn.db", dir);
    if (stat(path, &st) < 0) {
        return false;
    }
    rc = journal_open(dir, &j, e);
    while (rc == 0 && !done) {
        rc = journal_check_some(j, 4096, &done, e);
    }
    journal_close(j);
    return rc == 0;
}

int journal_recover(const char *dir, const char *from, struct recovery *out, struct err *e)
{
    struct work *w = mem_array(1, sizeof *w);
    struct journal *j = NULL;
    int rc = 0;

    *out = (struct recovery){0};
    w->dir = dir;
    w->out = out;
    out->whole = is_whole(dir, e);
    if (out->whole) {
        text_add(&out->says, "the journal is whole; nothing was changed\n");
    } else if (e->code == ERR_BUSY) {
        rc = ERR_BUSY;
    } else {
        if (e->code) {
            text_add(&out->says, "%s\n", e->msg);
        }
        rc = sources_open(&w->from, dir, from, e);
        rc = rc < 0 ? rc : recover(w, e);
        sources_close(&w->from);
        if (rc == 0) { /* whoever starts next finds it sound, or hears of it now */
            rc = journal_open(dir, &j, e);
            journal_close(rc < 0 ? NULL : j);
        }
    }
    free(w);
    return rc;
}
