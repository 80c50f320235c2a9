/* screen.h - the answers of the daemon, laid out for a person, as wide as the page is.
 *
 * Pure: text out, nothing printed. An answer was cleaned by view_clean before; a
 * field that it lacks counts as unknown. Functions add to `out` and cannot fail. */
#ifndef TARN_CLI_SCREEN_H
#define TARN_CLI_SCREEN_H

#include "cli/view.h"

/* One for each answer that a verb of the table shows. */

/* of `status`: notices, alarms, reservoir, containers, meters */
void screen_status(const struct view *v, const json_t *answer, struct text *out);
/* of `today`: the day's tasks in their order */
void screen_today(const struct view *v, const json_t *answer, struct text *out);
/* of `show`: one thing with all that is known of it */
void screen_show(const struct view *v, const json_t *answer, struct text *out);
/* of `ack`: what was written down, and what of the task is left */
void screen_ack(const struct view *v, const json_t *answer, struct text *out);
/* of `undo` and `void`: what counts no more, and which task is open again */
void screen_taken_back(const struct view *v, const json_t *answer, struct text *out);
/* of `record`, `drop` and `fix`: the entries that were made */
void screen_written(const struct view *v, const json_t *answer, struct text *out);
/* a page of `log` */
void screen_log(const struct view *v, const json_t *answer, struct text *out);
/* of `defer`: the day it is on now */
void screen_deferred(const struct view *v, const json_t *answer, struct text *out);
/* of `outlook`: days, mixes, water, floats, products to come */
void screen_outlook(const struct view *v, const json_t *answer, struct text *out);
void screen_advise(const struct view *v, const json_t *answer, struct text *out);
/* … of it: "Sat 7 Mar (Thu 5 Mar to Mon 9 Mar)" … */
void screen_by_when(const struct view *v, const json_t *when, struct text *out);
/* … and the strengths to come, a row for containers alike */
void screen_strengths(const struct view *v, const json_t *answer, struct text *out);
/* of `mix`: amounts in the order of addition */
void screen_mix(const struct view *v, const json_t *answer, struct text *out);
/* of `stock`: what is left of each product */
void screen_stock(const struct view *v, const json_t *answer, struct text *out);
/* of `backup`: where the copy is */
void screen_backup(const struct view *v, const json_t *answer, struct text *out);
/* of `clock`: the daemon's time */
void screen_clock(const struct view *v, const json_t *answer, struct text *out);

/* Pieces that several screens are made of. */

/* A task with all that the list of the day says of it, and its worksheet when it has one. */
void screen_task(const struct view *v, const json_t *task, struct text *out);

/* Parts of `show`: a crop with its schedule and sources; how forecasts came true; the names of all
 * there is. */
void screen_crop(const struct view *v, const json_t *crop, struct text *out);
void screen_forecasts(const struct view *v, const json_t *forecasts, struct text *out);
void screen_things(const json_t *things, struct text *out);

/* What it is about, "A1..A4"; nothing where it is about the room as a whole. */
void screen_task_names(const json_t *task, struct text *out);
/* What it is: "change", "see to the filter". */
void screen_task_what(const json_t *task, struct text *out);

/* The steps of a task, numbered, each with its caution. */
void screen_worksheet(const json_t *worksheet, struct text *out);

/* The mixes to come, and what they come to. */
void screen_plan(const struct view *v, const json_t *answer, struct text *out);
/* Of a change: what its containers want, and what it would cost on other days. */
void screen_why_then(const struct view *v, const json_t *answer, struct text *out);
/* "1 changeover more, 25 min more" */
void screen_differs(const struct view *v, const json_t *differs, struct text *out);

/* mg/L of nutrients: a line under `label`, or where published figures stand beside them a table
 * under the sentence `of`. Nothing when nobody knows. */
void screen_feed(const json_t *feed, const char *label, const char *of, struct text *out);

/* "1.52 mS/cm by what the products contain, within 10 %" */
void screen_estimate(const struct view *v, const json_t *o, struct text *out);

/* A line of the log. */
void screen_entry(const struct view *v, const json_t *entry, struct text *out);

/* Of an answer with notices and a fault of the room file: a line each, alarms first. Were there
 * any? */
bool screen_notices(const struct view *v, const json_t *answer, struct text *out);

/* The containers of a status: a row for those that follow each other and read the same. Where that
 * is more than a page, those of which a notice or an alarm tells, and the others in groups. */
void screen_containers(const struct view *v, const json_t *answer, struct text *out);

/* "78 L of 120 L (65 %), plain water at 0.30 mS/cm" */
void screen_reservoir_facts(const struct view *v, const json_t *reservoir, struct text *out);
/* "pH meter, slope 97 %, calibrated on …" */
void screen_meter_says(const struct view *v, const json_t *meter, struct text *out);

#endif
