/* day.h - civil days, as a number of days since 1970-01-01 in the proleptic Gregorian calendar.
 *
 * Pure. A day here has no hour and no zone; zone.h ties days to instants. */
#ifndef TARN_CORE_UNITS_DAY_H
#define TARN_CORE_UNITS_DAY_H

#include <stdint.h>

struct err;

#define DAY_NONE      INT32_MIN
#define DAY_NEVER     INT32_MAX /* after all days: the day of what never comes (zone_day) */
#define DAY_TEXT_MAX  16
#define DAY_WORDS_MAX 24

/* Of a date of the proleptic Gregorian calendar, month 1 .. 12; a day that the month has not
 * counts on into the next. */
int32_t day_of(int year, int month, int mday);

/* And back. Any day serves, DAY_NONE too (which is just far away). */
void day_split(int32_t day, int *out_year, int *out_month, int *out_mday);

/* 0 = Monday … 6 = Sunday. */
int day_weekday(int32_t day);
const char *day_weekday_name(int weekday); /* "Monday" */

/* "2026-03-01", years 1970 to 9999, a day that exists. ERR_SYNTAX or ERR_RANGE. */
int day_parse(const char *text, int32_t *out, struct err *e);

/* Writes "2026-03-01"; DAY_NONE is written as "". Returns buf. */
char *day_format(char buf[DAY_TEXT_MAX], int32_t day);

/* Writes a day as people are told of it, "Thu 16 Apr"; "Thu 16 Apr 2027" where its year is not that
 * of `today` (DAY_NONE: the year is never said). DAY_NONE is written as "". Returns buf. */
char *day_words(char buf[DAY_WORDS_MAX], int32_t day, int32_t today);

#endif
