/* deed.h - from what a person says was done to the entries that tell it.
 *
 * Pure. A deed is checked whole before a single entry of it is told: figures in range, plausible or
 * sure, and by the rules of rules.h, entry after entry, on a copy of the state where one needs the
 * other. On failure nothing comes out. */
#ifndef TARN_CORE_TELL_DEED_H
#define TARN_CORE_TELL_DEED_H

#include "daemon/core/room/entry.h"
#include "daemon/core/work/agenda.h"

/* Figures told of one subject, or ("" as subject) of the task at large. */
struct told {
    char subject[NAME_LEN_MAX + 1];
    char what[ENTRY_WORD_MAX + 1];
    unsigned has;
    double figure[FIGURE_N];
    struct amount amount[ROOM_DOSES_MAX];
    size_t n_amounts;
};

struct deed {
    int64_t now_s;
    int64_t happened_s;
    bool sure;
    uint32_t uid;
    const char *who;  /* never NULL */
    const char *note; /* never NULL; "" = none */
    const char *key;  /* never NULL; "" = none */
    const struct told *told;
    size_t n_told;
    const char *const *only; /* names of the jobs' subjects that this is about; NULL = all */
    size_t n_only;
};

struct entries {
    struct entry *entry;
    size_t n, cap;
};
void entries_deinit(struct entries *es);

/* The entries of an acknowledgement. What each kind needs (figures at large go for every subject):
 *   start      ec; volume = start line, ph optional
 *   check      what = "yes" or "no" for the float, or volume
 *   change     ec, ph and volume of the mix; added = plain water let in after the rinse; was = the
 *              EC of what was drained, optional
 *   bump       ec afterwards; was = before it, optional
 *   ph         ph afterwards; amounts
 *   read       ec or ph or both, for each subject by itself
 *   fill       volume afterwards, or added; ec, ph optional; a mix that is left is told as rinsed
 * out calibrate  slope; offset, temp optional care       nothing reorder    nothing: it was
 * ordered; amount: it is there harvest    yield optional; it is told as cleaned as well Amounts
 * that are not told are taken to be those of the recipe. Where figures are told of some subjects
 * and none at large, the others stay open. A change in parts leaves the mix in the reservoir, so
 * that the next part needs no figures again; with the last part it is told as rinsed. ERR_MISSING
 * names the figure; ERR_UNKNOWN a name in `only` or `told` that the task has not. */
int deed_ack(const struct room *room, const struct state *s, const struct task *t,
             const struct deed *d, struct entries *out, struct err *err);

/* One entry per subject told of (told[].subject), all of one kind: work nobody had planned. */
int deed_record(const struct room *room, const struct state *s, enum entry_kind kind,
                const struct deed *d, struct entries *out, struct err *err);

/* Put off to a day: today or later; beyond the window (latest) only with a note that says why. */
int deed_defer(const struct room *room, const struct state *s, const struct task *t, int32_t to_day,
               const struct deed *d, struct entries *out, struct err *err);

/* Not done at all this time; the note says why and is needed. */
int deed_drop(const struct room *room, const struct state *s, const struct task *t,
              const struct deed *d, struct entries *out, struct err *err);

/* One entry that makes another count as never told; the note says why and is needed. */
int deed_void(const struct entry *target, bool voided_already, const struct deed *d,
              struct entries *out, struct err *err);

#endif
