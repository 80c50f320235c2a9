#include "daemon/core/tasks/what_if.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/base/num.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/units/quantity.h"
#include "daemon/core/units/when.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define WORD_MAX_LEN 64 /* bytes of one word of a supposition: longer than any name (names.h) */

/* Only what a supposition may change is copied, the rest is the room's own. */
void what_if_init(struct what_if *w, const struct room *room, const struct state *s)
{
    w->room = *room;
    w->room.labour.off = mem_copy(room->labour.off, room->labour.n_off, sizeof *room->labour.off);
    w->room.container = mem_copy(room->container, room->n_containers, sizeof *room->container);
    state_copy(&w->s, s);
}

void what_if_deinit(struct what_if *w)
{
    free(w->room.labour.off);
    free(w->room.container);
    state_deinit(&w->s);
}

/* "2026-04-03" or "2026-04-03..2026-04-05" */
static int suppose_off(struct what_if *w, const char *text, int32_t today, struct err *e)
{
    struct labour *l = &w->room.labour;
    const char *dots = strstr(text, "..");
    char first[WORD_MAX_LEN];
    struct days days;
    size_t cap = l->n_off;

    (void)snprintf(first, sizeof first, "%.*s", dots ? (int)(dots - text) : WORD_MAX_LEN, text);
    if (when_parse_day(first, today, &days.from, e) < 0 ||
        when_parse_day(dots ? dots + 2 : first, today, &days.to, e) < 0) {
        return e->code;
    }
    /* Nobody means no days at all by that. */
    if (days.to < days.from) {
        return err_set(e, ERR_RANGE, "off: the last day comes before the first");
    }
    l->off = mem_grow(l->off, &cap, l->n_off + 1, sizeof *l->off);
    l->off[l->n_off++] = days;
    return 0;
}

/* The level of today stays as it is: what is supposed is the vessel, from the next filling on. */
static int suppose_reservoir(struct what_if *w, const char *text, struct err *e)
{
    struct reservoir *v = &w->room.reservoir;
    double capacity_l;
    int rc = quantity_parse(QUANTITY_VOLUME, text, &capacity_l, e);

    if (rc < 0) {
        return rc;
    }
    /* What does not hold that has no room for a mix, and the planner no plan. */
    if (!(capacity_l > v->low_l && capacity_l > v->remainder_l + v->line_loss_l)) {
        return err_set(
            e, ERR_RANGE,
            "reservoir: it has to hold more than its low mark, what stays in it and what "
            "stays in the lines");
    }
    v->capacity_l = capacity_l;
    return 0;
}

/* Beyond 50 % the word has no meaning: a plant would be given half or three times what it wants. */
static int suppose_tolerance(struct what_if *w, const char *text, struct err *e)
{
    double pct;
    int rc = quantity_parse(QUANTITY_PERCENT, text, &pct, e);

    if (rc == 0 && !(pct >= 0 && pct <= 50)) {
        rc = err_set(e, ERR_RANGE, "tolerance: from 0 %% to 50 %%");
    }
    if (rc == 0) {
        w->room.tolerance_pct = pct;
    }
    return rc;
}

static int suppose_strength(struct what_if *w, const char *text, struct err *e)
{
    for (int k = 0; k < STRENGTH_DIAL_N; k++) {
        if (strcmp(text, strength_dial_words[k]) == 0) {
            w->room.strength = (enum strength_dial)k;
            return 0;
        }
    }
    return err_set(e, ERR_SYNTAX, "strength: usual, close or easy");
}

static int suppose_work(struct what_if *w, const char *text, struct err *e)
{
    static const char *const weekdays[] = {"monday", "tuesday",  "wednesday", "thursday",
                                           "friday", "saturday", "sunday"};
    double *budget = w->room.labour.budget_min;
    double longest = 0;

    for (int k = 0; k < 7; k++) {
        longest = fmax(longest, budget[k]);
    }
    for (int k = 0; k < 7; k++) {
        if (strcmp(text, weekdays[k]) == 0) {
            budget[k] = fmax(budget[k], longest);
            return 0;
        }
    }
    return err_set(e, ERR_SYNTAX, "work: on which day, as in 'work saturday'");
}

/* The twin stands as its model does, plant, belief and solution, so that its work comes with
 * that one's: the question is what more of the same would cost. Its name cannot be in a room
 * file and is unlike all others; a name that is too long is cut, which the number behind it
 * bears. */
static void add_twin(struct what_if *w, size_t of)
{
    size_t cap = w->room.n_containers;
    size_t cap_states = w->s.n_containers;
    struct container twin = w->room.container[of];

    (void)snprintf(twin.name, sizeof twin.name, "%.*s+%zu", NAME_LEN_MAX - 8,
                   w->room.container[of].name, w->room.n_containers);
    w->room.container = mem_grow(w->room.container, &cap, w->room.n_containers + 1, sizeof twin);
    w->room.container[w->room.n_containers++] = twin;
    w->s.container =
        mem_grow(w->s.container, &cap_states, w->s.n_containers + 1, sizeof *w->s.container);
    w->s.container[w->s.n_containers++] = w->s.container[of];
}

static int suppose_more(struct what_if *w, const char *text, struct err *e)
{
    char count[WORD_MAX_LEN];
    char name[WORD_MAX_LEN];
    struct subject like;
    int64_t n;

    /* The widths are those of the two arrays; the number is read by num_parse_int, which takes
     * no "4x". */
    if (sscanf(text, "%63s like %63s", count, name) != 2) {
        return err_set(e, ERR_SYNTAX,
                       "more: how many like which container, as in 'more 4 like A1'");
    }
    if (num_parse_int(count, 1, WHAT_IF_MORE_MAX, &n, NULL) < 0) {
        return err_set(e, ERR_RANGE, "more: 1 to %d containers can be supposed", WHAT_IF_MORE_MAX);
    }
    if (room_lookup(&w->room, name, &like, e) < 0) {
        return e->code;
    }
    if (like.kind != SUBJECT_CONTAINER) {
        return err_set(e, ERR_UNKNOWN, "more: '%s' is no container", name);
    }
    for (int64_t i = 0; i < n; i++) {
        add_twin(w, like.at);
    }
    return 0;
}

/* The recipe of most stages of what grows: a feed serves all alike. */
static size_t usual_recipe(const struct what_if *w)
{
    size_t best = 0;
    size_t most = 0;

    for (size_t k = 0; k < w->room.n_recipes; k++) {
        size_t n = 0;

        for (size_t i = 0; i < w->room.n_containers; i++) {
            const struct crop *crop = &w->room.crop[w->room.container[i].crop];

            n += crop->stage[crop->n_stages - 1].recipe_at == k;
        }
        best = n > most ? k : best;
        most = n > most ? n : most;
    }
    return best;
}

/* What the reservoir holds is supposed to be it already, or the next fortnight would be about the
 * changing over. */
static int suppose_feed(struct what_if *w, const char *text, struct err *e)
{
    struct reservoir *v = &w->room.reservoir;
    struct reservoir_state *r = &w->s.reservoir;
    double source = w->room.source.ec_ms_cm;
    double feed_ms_cm;
    int rc = quantity_parse(QUANTITY_EC, text, &feed_ms_cm, e);

    if (rc < 0) {
        return rc;
    }
    if (!(feed_ms_cm > source && feed_ms_cm <= WHAT_IF_FEED_MAX_MS_CM)) {
        return err_set(e, ERR_RANGE,
                       "feed: stronger than the source's water, %.2f mS/cm, and at most %.0f mS/cm",
                       source, WHAT_IF_FEED_MAX_MS_CM);
    }
    v->feed_at = room_feeds(&w->room) ? v->feed_at : usual_recipe(w);
    v->feed_ms_cm = feed_ms_cm;
    if (!r->holds_mix) {
        r->body.ec_ms_cm = feed_ms_cm;
        r->body.water_ms_cm = source;
        r->feed = dosing_feed(&w->room, &w->s, v->feed_at, feed_ms_cm - source);
    }
    return 0;
}

/* All containers that are as that one is get larger or smaller vessels, and what is in them with
 * those: as if it had been so from the start. */
static int suppose_float(struct what_if *w, const char *text, struct err *e)
{
    static const char between[] = " like ";
    const char *at = strstr(text, between);
    char litres[WORD_MAX_LEN];
    struct subject like;
    struct container was;
    double float_l;

    if (!at) {
        return err_set(e, ERR_SYNTAX,
                       "float: how much, in which containers, as in 'float 16 L like T1'");
    }
    (void)snprintf(litres, sizeof litres, "%.*s", (int)(at - text), text);
    if (quantity_parse(QUANTITY_VOLUME, litres, &float_l, e) < 0 ||
        room_lookup(&w->room, at + sizeof between - 1, &like, e) < 0) {
        return e->code;
    }
    if (like.kind != SUBJECT_CONTAINER) {
        return err_set(e, ERR_UNKNOWN, "float: '%s' is no container", at + sizeof between - 1);
    }
    was = w->room.container[like.at];
    if (!(float_l > was.remainder_l && float_l <= WHAT_IF_FLOAT_MAX_L)) {
        return err_set(e, ERR_RANGE, "float: more than the %.1f L that stay, and at most %.0f L",
                       was.remainder_l, WHAT_IF_FLOAT_MAX_L);
    }
    for (size_t i = 0; i < w->room.n_containers; i++) {
        struct container *c = &w->room.container[i];

        if (c->crop == was.crop && c->float_volume_l == was.float_volume_l &&
            c->start_volume_l == was.start_volume_l) {
            double times = float_l / was.float_volume_l;

            c->float_volume_l *= times;
            c->start_volume_l *= times;
            w->s.container[i].body.volume_l *= times;
            w->s.container[i].level_l *= times;
        }
    }
    return 0;
}

/* By words as a person says them, and one supposition a call: several are several calls, on the
 * same copy. */
int what_if_suppose(struct what_if *w, const char *text, int32_t today, struct err *e)
{
    char word[WORD_MAX_LEN] = "";
    int len = 0; /* of the word and the blanks after it; 0 where there is none */
    const char *rest;

    (void)sscanf(text, "%63s %n", word, &len);
    rest = text + len;
    if (strcmp(word, "off") == 0) {
        return suppose_off(w, rest, today, e);
    }
    if (strcmp(word, "reservoir") == 0) {
        return suppose_reservoir(w, rest, e);
    }
    if (strcmp(word, "tolerance") == 0) {
        return suppose_tolerance(w, rest, e);
    }
    if (strcmp(word, "strength") == 0) {
        return suppose_strength(w, rest, e);
    }
    if (strcmp(word, "work") == 0) {
        return suppose_work(w, rest, e);
    }
    if (strcmp(word, "more") == 0) {
        return suppose_more(w, rest, e);
    }
    if (strcmp(word, "feed") == 0) {
        return suppose_feed(w, rest, e);
    }
    if (strcmp(word, "float") == 0) {
        return suppose_float(w, rest, e);
    }
    return err_set(
        e, ERR_SYNTAX,
        "'%.40s' cannot be supposed; what can: off DAY..DAY, reservoir VOLUME, tolerance "
        "PERCENT, strength usual|close|easy, work WEEKDAY, more NUMBER like CONTAINER, feed "
        "STRENGTH, float "
        "VOLUME like CONTAINER",
        text);
}
