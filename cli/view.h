/* view.h - what the screens share: the room's units, today, and reading an answer.
 *
 * Pure. An answer is read leniently: a field that is missing counts as null, so that a newer or
 * older daemon never makes a screen fall over. */
#ifndef TARN_CLI_VIEW_H
#define TARN_CLI_VIEW_H

#include "daemon/base/text.h"
#include "daemon/core/units/quantity.h"

#include <jansson.h>
#include <stdint.h>

struct view {
    struct units units;
    char room[64];
    bool simulated;
    bool colour;    /* the page may be coloured; whoever prints it says */
    int32_t today;  /* DAY_NONE when the daemon did not say */
    size_t page;    /* of a listing that comes in several answers; 0 = the first */
    size_t n_shown; /* rows of the pages before */
};

/* From the answer to hello. */
void view_init(struct view *v, const json_t *hello);

/* Makes control characters of every string in an answer harmless to a terminal: notes and names
 * were typed by other people. */
void view_clean(json_t *answer);

/* Fields of an object. */
const char *view_text(const json_t *o, const char *key); /* "" = none */
double view_number(const json_t *o, const char *key);    /* NaN = none */
size_t view_whole(const json_t *o, const char *key);     /* 0 = none, or below 0 */
bool view_has(const json_t *o, const char *key);         /* there, and not null */

/* A quantity field, "8.3 L"; "?" when nobody knows. Returns buf. */
char *view_quantity(char buf[QUANTITY_TEXT_MAX], const struct view *v, enum quantity q,
                    const json_t *o, const char *key);
/* The same without its unit, for a column whose head names it. */
char *view_bare(char buf[QUANTITY_TEXT_MAX], const struct view *v, enum quantity q, const json_t *o,
                const char *key);
const char *view_volume_unit(const struct view *v); /* "L" */
const char *view_ec_unit(const struct view *v);     /* "mS/cm" */
const char *view_length_unit(const struct view *v); /* of a ruler: "cm", or "in" beside gallons */
/* A height in cm, as that ruler shows it: "14.5 cm"; "?" when nobody knows. Returns buf. */
char *view_height(char buf[QUANTITY_TEXT_MAX], const struct view *v, const json_t *o,
                  const char *key);

/* An amount of a product: its "unit" is mL or g. */
char *view_amount(char buf[QUANTITY_TEXT_MAX], const struct view *v, const json_t *o,
                  const char *key);

#define VIEW_DAY_MAX 48 /* bytes that hold any of the below */

/* Days and instants of a field, "-" for none; each returns buf. */

/* "Sun 1 Mar", with the year when it is not this one */
char *view_day(char buf[VIEW_DAY_MAX], const struct view *v, const json_t *o, const char *key);
/* "Sun 1 Mar (in 3 days)" */
char *view_day_far(char buf[VIEW_DAY_MAX], const struct view *v, const json_t *o, const char *key);
/* "Sun 1 Mar 2026", at the head of a page */
char *view_day_year(char buf[VIEW_DAY_MAX], const char *day);
/* "Sun 1 Mar 07:00" of an instant. */
char *view_instant(char buf[VIEW_DAY_MAX], const struct view *v, const json_t *o, const char *key);

/* Adds "! s", wrapped; in colour where the page has it. For what is wrong, and nothing else. */
void view_alarm(const struct view *v, const char *s, struct text *out);

/* Adds a heading: what stands left, and what stands at the right-hand edge. */
void view_heading(struct text *out, const char *left, const char *right);

/* "A1..A4, A7" of an array of names. */
void view_names(const json_t *names, struct text *out);

/* Adds a text as a sentence: a capital in front, a full stop behind. */
void view_sentence(const char *s, struct text *out);

/* Minutes of labour: "35 min", "2 h 10 min". */
char *view_minutes(char buf[QUANTITY_TEXT_MAX], double minutes);

/* "1 task", "3 tasks". */
void view_count(struct text *out, size_t n, const char *one, const char *many);

#endif
