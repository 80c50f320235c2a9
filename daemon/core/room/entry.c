#include "daemon/core/room/entry.h"

#include "daemon/base/err.h"
#include "daemon/base/hash.h"
#include "daemon/base/suggest.h"
#include "daemon/base/text.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *const yes_no_words[] = {"yes", "no", NULL};
static const char *const same_other_words[] = {"same", "other", NULL};
static const char *const part_final_words[] = {"part", "final", NULL};

struct entry entry_of(enum entry_kind kind, const char *subject, int64_t happened_s, int64_t told_s)
{
    struct entry e = {0};

    e.kind = kind;
    e.happened_s = happened_s;
    e.told_s = told_s;
    e.until_day = DAY_NONE;
    (void)snprintf(e.subject, sizeof e.subject, "%s", subject);
    return e;
}

double entry_figure_or(const struct entry *e, enum figure f, double otherwise)
{
    return entry_has(e, f) ? e->figure[f] : otherwise;
}

void entry_set(struct entry *e, enum figure f, double value)
{
    e->has |= FIGURE_BIT(f);
    e->figure[f] = value;
}

uint64_t entry_content(const struct entry *e)
{
    char buf[64];
    uint64_t h = hash_add(hash_text(e->subject), "/");

    (void)snprintf(buf, sizeof buf, "%d/%u/", (int)e->kind, e->has);
    h = hash_add(hash_add(hash_add(h, buf), e->what), "/");
    for (unsigned f = 0; f < FIGURE_N; f++) {
        if (entry_has(e, (enum figure)f)) {
            (void)snprintf(buf, sizeof buf, "%.17g/", e->figure[f]);
            h = hash_add(h, buf);
        }
    }
    for (size_t i = 0; i < e->n_amounts; i++) {
        (void)snprintf(buf, sizeof buf, "=%.17g/", e->amount[i].amount);
        h = hash_add(hash_add(h, e->amount[i].product), buf);
    }
    return hash_add(h, e->note);
}

static size_t n_words(const char *const *words)
{
    size_t n = 0;

    while (words[n]) {
        n++;
    }
    return n;
}

static int check_word(const char *word, const char *const *known, const char *of, struct err *err)
{
    size_t n = n_words(known);
    char tail[SUGGEST_TEXT_MAX];
    struct text list = {0};
    int rc;

    for (size_t i = 0; i < n; i++) {
        if (strcmp(word, known[i]) == 0) {
            return 0;
        }
    }
    text_add(&list, "%s", *word ? "; it is one of " : ": one of ");
    for (size_t i = 0; i < n; i++) {
        text_add_listed(&list, i, known[i]);
    }
    if (*word == '\0') {
        rc = err_field(err, ERR_MISSING, "what", "%s is needed%s", of, text_str(&list));
    } else {
        rc = err_field(err, ERR_UNKNOWN, "what", "%s '%s' is not known%s", of, word,
                       suggest_tail(tail, word, known, n, text_str(&list)));
    }
    text_deinit(&list);
    return rc;
}

static int check_crop(const struct room *room, const char *word, struct err *err)
{
    const char *names[64];
    size_t n = 0;
    char tail[SUGGEST_TEXT_MAX];

    if (*word == '\0') {
        return err_field(err, ERR_MISSING, "what", "a crop is needed");
    }
    if (room_find_crop(room, word) >= 0) {
        return 0;
    }
    for (size_t i = 0; i < room->n_crops && n < 64; i++) {
        names[n++] = room->crop[i].name;
    }
    return err_field(err, ERR_UNKNOWN, "what", "the room has no crop '%s'%s", word,
                     suggest_tail(tail, word, names, n, ""));
}

static int check_care(const char *word, struct err *err)
{
    const char *known[CARE_KIND_N + 1] = {0};

    for (int k = 0; k < CARE_KIND_N; k++) {
        known[k] = care_word((enum care_kind)k);
    }
    return check_word(word, known, "the kind of care", err);
}

static int check_sighting(const struct room *room, const struct entry *e, struct err *err)
{
    int rc = check_word(e->what, sighting_words, "an observation", err);

    if (rc == 0 && sightings[sighting_find(e->what)].plant &&
        room_find(room, e->subject).kind != SUBJECT_CONTAINER) {
        return err_field(err, ERR_UNKNOWN, "what", "'%s' is seen on a plant, and %s has none",
                         e->what, e->subject);
    }
    return rc;
}

static int check_what(const struct room *room, const struct entry *e, struct err *err)
{
    switch (entry_kinds[e->kind].what) {
    case WHAT_NONE:
        return *e->what == '\0' ? 0
                                : err_field(err, ERR_UNKNOWN, "what", "'%s' takes no word '%s'",
                                            entry_kinds[e->kind].word, e->what);
    case WHAT_CROP:
        return check_crop(room, e->what, err);
    case WHAT_RECIPE:
        if (*e->what != '\0' && room_find(room, e->what).kind != SUBJECT_RECIPE) {
            return err_field(err, ERR_UNKNOWN, "what", "the room has no recipe '%s'", e->what);
        }
        return 0;
    case WHAT_OBSERVATION:
        return check_sighting(room, e, err);
    case WHAT_CARE:
        return check_care(e->what, err);
    case WHAT_YES_NO:
        return check_word(e->what, yes_no_words, "float", err);
    case WHAT_PART_FINAL:
        return check_word(e->what, part_final_words, "the harvest", err);
    case WHAT_SAME_OTHER:
        return *e->what ? check_word(e->what, same_other_words, "the strength", err) : 0;
    case WHAT_CONTAINER:
        if (room_find(room, e->what).kind != SUBJECT_CONTAINER ||
            strcmp(e->what, e->subject) == 0) {
            return err_field(err, *e->what ? ERR_UNKNOWN : ERR_MISSING, "to",
                             "'%s' needs to=…, the name of another container%s%s%s",
                             entry_kinds[e->kind].word, *e->what ? ", not '" : "", e->what,
                             *e->what ? "'" : "");
        }
        return 0;
    case WHAT_STAGE:
        return *e->what ? 0 : err_field(err, ERR_MISSING, "what", "a stage is needed");
    case WHAT_METER:
        if (*e->what != '\0' && room_find(room, e->what).kind != SUBJECT_METER) {
            return err_field(err, ERR_UNKNOWN, "what", "the room has no meter '%s'", e->what);
        }
        return 0;
    case WHAT_JOB:
        return *e->what ? 0 : err_field(err, ERR_MISSING, "what", "a task's kind is needed");
    }
    return 0;
}

/* The units in which this room shows a figure of e; FIGURE_AMOUNT goes by the product. */
static enum quantity figure_quantity(const struct room *room, const struct entry *e, enum figure f)
{
    struct subject s = room_find(room, e->subject);

    if (f == FIGURE_AMOUNT && s.kind == SUBJECT_PRODUCT &&
        room->product[s.at].kind == PRODUCT_DRY) {
        return QUANTITY_DRY;
    }
    return figure_defs[f].quantity;
}

static int check_figure(const struct room *room, const struct entry *e, enum figure f, bool sure,
                        struct err *err)
{
    const struct figure_def *d = &figure_defs[f];
    enum quantity q = figure_quantity(room, e, f);
    double v = e->figure[f];
    char got[QUANTITY_TEXT_MAX];
    char lo[QUANTITY_TEXT_MAX];
    char hi[QUANTITY_TEXT_MAX];

    quantity_format(got, q, v, &room->units);
    if (!(v >= d->lo && v <= d->hi)) {
        return err_field(err, ERR_RANGE, d->word,
                         "%s %s of %s cannot be: it lies between %s and %s", d->word, got,
                         e->subject, quantity_format(lo, q, d->lo, &room->units),
                         quantity_format(hi, q, d->hi, &room->units));
    }
    if (!sure && !(v >= d->usual_lo && v <= d->usual_hi)) {
        return err_field(err, ERR_UNSURE, d->word,
                         "%s %s of %s is strange: usual is %s to %s; say so if you are sure",
                         d->word, got, e->subject,
                         quantity_format(lo, q, d->usual_lo, &room->units),
                         quantity_format(hi, q, d->usual_hi, &room->units));
    }
    return 0;
}

static int check_figures(const struct room *room, const struct entry *e, bool sure, struct err *err)
{
    const struct entry_def *d = &entry_kinds[e->kind];
    unsigned known = d->needs | d->needs_one | d->takes;
    struct text list = {0};
    size_t n = 0;
    int rc = 0;

    for (unsigned f = 0; f < FIGURE_N && rc == 0; f++) {
        bool has = entry_has(e, f);

        if (has && !(known & FIGURE_BIT(f))) {
            rc = err_field(err, ERR_UNKNOWN, figure_defs[f].word, "'%s' takes no %s", d->word,
                           figure_defs[f].word);
        } else if (!has && (d->needs & FIGURE_BIT(f))) {
            rc = err_field(err, ERR_MISSING, figure_defs[f].word, "'%s' of %s needs %s=…", d->word,
                           e->subject, figure_defs[f].word);
        } else if (has) {
            rc = check_figure(room, e, f, sure, err);
        }
    }
    if (rc == 0 && d->needs_one && !(e->has & d->needs_one)) {
        for (unsigned f = 0; f < FIGURE_N; f++) {
            if (d->needs_one & FIGURE_BIT(f)) {
                text_add_listed(&list, n++, figure_defs[f].word);
            }
        }
        rc = err_field(err, ERR_MISSING, "figures", "'%s' of %s needs at least one of %s", d->word,
                       e->subject, text_str(&list));
    }
    text_deinit(&list);
    return rc;
}

static int check_amounts(const struct room *room, const struct entry *e, struct err *err)
{
    if (e->n_amounts && !entry_kinds[e->kind].amounts) {
        return err_field(err, ERR_UNKNOWN, e->amount[0].product,
                         "'%s' takes no amounts of products", entry_kinds[e->kind].word);
    }
    for (size_t i = 0; i < e->n_amounts; i++) {
        const struct amount *a = &e->amount[i];
        struct subject s;

        if (room_lookup(room, a->product, &s, err) < 0) {
            return err ? err->code : ERR_UNKNOWN;
        }
        if (s.kind != SUBJECT_PRODUCT) {
            return err_field(err, ERR_UNKNOWN, a->product, "'%s' is not a product", a->product);
        }
        if (!(a->amount >= 0 && a->amount <= figure_defs[FIGURE_AMOUNT].hi)) {
            return err_field(err, ERR_RANGE, a->product, "an amount of %g of %s cannot be",
                             a->amount, a->product);
        }
    }
    return 0;
}

/* How the meter that showed an EC, now or before (was=), brings it to 25 C; NULL when there is
 * no EC, or no meter. */
static const struct warmth *warmth_of(const struct room *room, const struct entry *e)
{
    bool shown = entry_has(e, FIGURE_EC_MS_CM) || entry_has(e, FIGURE_WAS_MS_CM);
    int meter = shown ? room_meter_used(room, METER_EC, e->what) : -1;

    return meter < 0 ? NULL : &room->meter[meter].warmth;
}

static bool needs_temp(const struct warmth *w)
{
    return w && (w->rule == WARMTH_BARE || w->rule == WARMTH_LINEAR);
}

/* A straight line is corrected where the temperature is known; a bare reading is worth nothing
 * without it. */
static int check_warmth(const struct room *room, const struct entry *e, struct err *err)
{
    const struct warmth *w = warmth_of(room, e);

    if (w && w->rule == WARMTH_BARE && !entry_has(e, FIGURE_TEMP_C)) {
        return err_field(err, ERR_MISSING, "temp",
                         "%s shows the bare EC: tell temp=… too, to bring it to 25 °C",
                         room->meter[room_meter_used(room, METER_EC, e->what)].name);
    }
    return 0;
}

const struct entry *entry_at_25(const struct room *room, const struct entry *e,
                                struct entry *scratch)
{
    const struct warmth *w = warmth_of(room, e);

    if (!w || w->rule == WARMTH_AT_25 || (needs_temp(w) && !entry_has(e, FIGURE_TEMP_C))) {
        return e;
    }
    *scratch = *e;
    scratch->figure[FIGURE_EC_MS_CM] =
        warmth_ec_25(w, e->figure[FIGURE_EC_MS_CM], e->figure[FIGURE_TEMP_C]);
    scratch->figure[FIGURE_WAS_MS_CM] = /* by the same meter, in the same hour */
        warmth_ec_25(w, e->figure[FIGURE_WAS_MS_CM], e->figure[FIGURE_TEMP_C]);
    return scratch;
}

int entry_check_form(const struct room *room, const struct entry *e, bool sure, struct err *err)
{
    struct subject s;
    int rc = room_lookup(room, e->subject, &s, err);

    if (rc < 0) {
        return rc;
    }
    if (!(entry_kinds[e->kind].subjects & (1U << (unsigned)s.kind))) {
        struct text list = {0};
        size_t n = 0;

        for (unsigned k = SUBJECT_ROOM; k < SUBJECT_KIND_N; k++) {
            if (entry_kinds[e->kind].subjects & (1U << k)) {
                text_add(&list, "%s%s", n++ ? " or " : "", subject_kind_word((enum subject_kind)k));
            }
        }
        rc = err_field(err, ERR_UNKNOWN, "subject", "%s is %s; '%s' is about %s", e->subject,
                       subject_kind_word(s.kind), entry_kinds[e->kind].word, text_str(&list));
        text_deinit(&list);
        return rc;
    }
    rc = check_what(room, e, err);
    if (rc == 0) {
        rc = check_figures(room, e, sure, err);
    }
    if (rc == 0) {
        rc = check_amounts(room, e, err);
    }
    if (rc == 0) {
        rc = check_warmth(room, e, err);
    }
    if (rc == 0 && e->kind == ENTRY_NOTE && *e->note == '\0') {
        rc = err_field(err, ERR_MISSING, "note", "a note needs its text");
    }
    return rc;
}

static void describe_amounts(const struct room *room, const struct entry *e, struct text *out)
{
    char buf[QUANTITY_TEXT_MAX];

    for (size_t i = 0; i < e->n_amounts; i++) {
        struct subject s = room_find(room, e->amount[i].product);
        bool dry = s.kind == SUBJECT_PRODUCT && room->product[s.at].kind == PRODUCT_DRY;

        text_add(out, ", %s %s",
                 quantity_format(buf, dry ? QUANTITY_DRY : QUANTITY_LIQUID, e->amount[i].amount,
                                 &room->units),
                 e->amount[i].product);
    }
}

void entry_describe(const struct room *room, const struct entry *e, struct text *out)
{
    static const char *const said[FIGURE_N] = {
        [FIGURE_EC_MS_CM] = "EC ",      [FIGURE_PH] = "pH ",
        [FIGURE_ADDED_L] = "added ",    [FIGURE_SLOPE_PCT] = "slope ",
        [FIGURE_OFFSET_MV] = "offset ", [FIGURE_WAS_MS_CM] = "was ",
        [FIGURE_TOOK_MIN] = "took ",
    };
    char buf[QUANTITY_TEXT_MAX];
    char day[DAY_WORDS_MAX];
    size_t n = 0;

    text_add(out, "%s %s", e->subject, entry_kinds[e->kind].says);
    if (*e->what && entry_kinds[e->kind].what == WHAT_SAME_OTHER) {
        text_add(out, " of %s strength", strcmp(e->what, "other") == 0 ? "another" : "the same");
    } else if (*e->what) {
        text_add(out, " %s", e->what);
    }
    for (unsigned f = 0; f < FIGURE_N; f++) {
        if (f != FIGURE_JOBS && entry_has(e, f)) { /* that is for learning, and nobody told it */
            quantity_format(buf, figure_quantity(room, e, f), e->figure[f], &room->units);
            text_add(out, "%s%s%s", n++ ? ", " : ": ", said[f] ? said[f] : "", buf);
        }
    }
    describe_amounts(room, e, out);
    if (e->until_day != DAY_NONE) {
        text_add(out, " to %s", day_words(day, e->until_day, DAY_NONE));
    }
    if (e->voids) {
        text_add(out, " entry %lld", (long long)e->voids);
    }
    if (*e->note) {
        text_add(out, " (%s)", e->note);
    }
}
