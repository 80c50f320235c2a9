/* shapes.h - the shapes of answers: core values as JSON, as wire.h has them. New references. */
#ifndef TARN_SERVE_API_SHAPES_H
#define TARN_SERVE_API_SHAPES_H

#include "daemon/core/model/learning.h"
#include "daemon/core/plan/plan_amounts.h"
#include "daemon/core/sheet/worksheet_make.h"
#include "daemon/core/state/forecast.h"
#include "daemon/serve/live/live_room.h"
#include "daemon/store/journal.h"

#include <jansson.h>

/* A quantity, rounded to a millionth; null when nobody knows (NaN, infinite). */
json_t *out_number(double v);
json_t *out_day(int32_t day);                             /* null when DAY_NONE */
json_t *out_day_of(const struct room *room, int64_t t_s); /* null when 0 or never */
json_t *out_instant(const struct room *room, int64_t t_s);
json_t *out_word(const char *word); /* null when empty */
json_t *out_id(int64_t id);         /* a string; null when 0 */

/* The room's units and a task, as wire.h has them. */
json_t *out_units(const struct units *u);
json_t *out_task(const struct live_room *live, const struct task *t, int32_t today);
/* What a plan of the changes comes to; and how much more `then` comes to than `is`. */
json_t *out_plan_amounts(const struct plan_amounts *a);
json_t *out_difference(const struct plan_amounts *is, const struct plan_amounts *then);
json_t *out_worksheet(const struct live_room *live, const struct task *t, int64_t now_s);
json_t *out_entry(const struct live_room *live, const struct entry *e, bool voided);
json_t *out_entries(const struct live_room *live, const struct entry *e, size_t n);
/* As the journal has them. */
json_t *out_rows(const struct live_room *live, const struct journal_row *row, size_t n);
/* mg/L of what is known, beside what was published for a crop's stage (crop NULL = none). */
json_t *out_feed(const struct nutrients *mg_l, const struct crop *crop, int stage);
/* What container i holds of each, with its doubt, and the salt that its plant leaves; by what is
 * forecast of it for now … */
json_t *out_held(const struct live_room *live, size_t i, const struct forecast *now,
                 const struct nutrients *feed, int64_t now_s);
/* … and what they say of one another, in words. */
json_t *out_feed_notes(const struct live_room *live, size_t i, const struct forecast *now,
                       const struct nutrients *feed);
/* What was learned, with its doubt; null before the first observation. */
json_t *out_learned(const struct learned *l);
/* What the mix of a change gives; null of any other task, or where nobody knows. */
json_t *out_gives(const struct live_room *live, const struct task *t);
/* What people saw on a container or the reservoir that counts still. */
json_t *out_seen(const struct live_room *live, struct subject subject, int64_t now_s);
json_t *out_container(const struct live_room *live, size_t i, int64_t now_s);
json_t *out_container_whole(const struct live_room *live, size_t i, int64_t now_s);
json_t *out_reservoir(const struct live_room *live, int64_t now_s);
json_t *out_meter(const struct live_room *live, size_t i, int64_t now_s);
json_t *out_product(const struct live_room *live, size_t i);

#endif
