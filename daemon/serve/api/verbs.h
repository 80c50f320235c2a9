/* verbs.h - what answers each method; wire.h has what is asked and what comes back.
 *
 * answer_X answers at once: the result, or NULL with *e. begin_X answers later: 0 when the call was
 * taken over and will be ended by call_end, else *e. Each is named in the table of methods.c. */
#ifndef TARN_SERVE_API_VERBS_H
#define TARN_SERVE_API_VERBS_H

#include "daemon/serve/api/call.h"

/* The room as it is, and the words it knows: verb_status.c */
json_t *answer_hello(struct call *c, struct err *e);
json_t *answer_status(struct call *c, struct err *e);
json_t *answer_today(struct call *c, struct err *e);
json_t *answer_stock(struct call *c, struct err *e);
json_t *answer_kinds(struct call *c, struct err *e);

/* What would be, or is to come; nothing changes: verb_mix.c, verb_outlook.c */
json_t *answer_mix(struct call *c, struct err *e);
int begin_outlook(struct call *c, struct err *e);
int begin_advise(struct call *c, struct err *e);

/* Moves a simulated clock, and refuses for the real one: verb_clock.c */
json_t *answer_clock(struct call *c, struct err *e);

/* One thing as a whole, and the journal: verb_show.c, verb_log.c */
int begin_show(struct call *c, struct err *e);
int begin_log(struct call *c, struct err *e);

/* A copy of the journal: verb_backup.c */
int begin_backup(struct call *c, struct err *e);

/* What changes the room: verb_deeds.c, verb_readings.c, verb_void.c, verb_mend.c */
int begin_ack(struct call *c, struct err *e);
int begin_defer(struct call *c, struct err *e);
int begin_drop(struct call *c, struct err *e);
int begin_record(struct call *c, struct err *e);
int begin_readings(struct call *c, struct err *e);
int begin_void(struct call *c, struct err *e);
int begin_undo(struct call *c, struct err *e);
int begin_fix(struct call *c, struct err *e);

#endif
