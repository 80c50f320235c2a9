/* task_kind.h - the kinds of tasks: each with its word and all that is said once about a kind.
 *
 * Pure. One list: the enum, the words of journal and protocol, the order of a morning and
 * the rest of a dropped task are made from it, so that a kind that lacks a column does
 * not compile. What is done for a kind (derived, bundled, told, written out) are switches
 * without a default elsewhere. A word that is in a journal never changes its meaning. */
#ifndef TARN_CORE_WORDS_TASK_KIND_H
#define TARN_CORE_WORDS_TASK_KIND_H

#include <stdbool.h>

/* How long a task rests that a person dropped, before it may be asked for again. */
enum task_rest {
    TASK_RESTS_DAYS,     /* the days of its row */
    TASK_RESTS_INTERVAL, /* as long as the room lets pass between two of its kind */
    TASK_RESTS_CYCLE, /* for this cycle: it is asked for again only after it was done otherwise */
};

/* By hand, so that a kind is one line. The order is that of the keys in which jobs are compared,
 * and that in which tasks are bundled: changes before what a change makes needless. The words and
 * the ranks are unique. A look is at what an alarm says.
 *
 * morning     The order in which a morning is worked: what is wrong first, then what stood
 *             overnight; the harvest while it is cool and the leaves are full; then the meters,
 *             since readings need them; then what readings may move; the long work; walks through
 *             the room at the end. Common practice, no source. A reservoir that is dry is filled
 *             before all that (agenda.h).
 * waits       May days off put it off beyond its window? What keeps plants alive may not.
 * kills       Left undone for long it loses plants: it is told of when it is overdue.
 * recipe      A solution is made or strengthened after a recipe.
 * rests, day  Of a dropped one. Days: common practice, no source; an empty reservoir cannot be let
 *             be for more than one, a plant that is ripe stands a week. */
/* clang-format off */
#define TASK_KINDS(ROW)                                                                         \
    /*   kind       word         morning  waits  kills  recipe  rests                 day */    \
    ROW( START,     "start",     10,      true,  false, true,   TASK_RESTS_CYCLE,     0 )       \
    ROW( CHECK,     "check",      6,      true,  true,  false,  TASK_RESTS_DAYS,      3 )       \
    ROW( CHANGE,    "change",     8,      true,  true,  true,   TASK_RESTS_INTERVAL,  0 )       \
    ROW( BUMP,      "bump",       7,      true,  false, true,   TASK_RESTS_CYCLE,     0 )       \
    ROW( PH,        "ph",         5,      true,  false, false,  TASK_RESTS_DAYS,      2 )       \
    ROW( READ,      "read",       4,      true,  false, false,  TASK_RESTS_INTERVAL,  0 )       \
    ROW( FILL,      "fill",       9,      false, true,  false,  TASK_RESTS_DAYS,      1 )       \
    ROW( CALIBRATE, "calibrate",  3,      true,  false, false,  TASK_RESTS_INTERVAL,  0 )       \
    ROW( CARE,      "care",      11,      true,  false, false,  TASK_RESTS_INTERVAL,  0 )       \
    ROW( REORDER,   "reorder",   12,      true,  false, false,  TASK_RESTS_CYCLE,     0 )       \
    ROW( HARVEST,   "harvest",    2,      true,  false, false,  TASK_RESTS_DAYS,      7 )       \
    ROW( LOOK,      "look",       0,      false, false, false,  TASK_RESTS_DAYS,      3 )       \
    ROW( OVERNIGHT, "overnight",  1,      true,  false, false,  TASK_RESTS_INTERVAL,  0 )
/* clang-format on */

enum task_kind {
/* clang-format off */
#define AS_ENUM(kind, word, morning, waits, kills, recipe, rests, day) TASK_##kind,
    TASK_KINDS(AS_ENUM)
#undef AS_ENUM
    TASK_KIND_N
    /* clang-format on */
};

struct task_kind_def {
    const char *word; /* in JSON, SQL and on the command line: "change" */
    int morning_rank; /* 0 = done first */
    bool waits_for_days_off;
    bool loses_plants;
    bool has_recipe;
    enum task_rest rest;
    int rest_day; /* of TASK_RESTS_DAYS */
};

/* By enum task_kind. */
extern const struct task_kind_def task_kinds[TASK_KIND_N];

extern const char *const task_words[TASK_KIND_N]; /* the words alone: "start", "check", … */

/* The kind of a job by its word, of a care with what it is of ("care float"); -1 when there is
 * none. */
int task_kind_of_job(const char *word);

#endif
