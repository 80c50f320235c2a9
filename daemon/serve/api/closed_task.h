/* closed_task.h - a number that stands for no open task any more: what became of it. */
#ifndef TARN_SERVE_API_CLOSED_TASK_H
#define TARN_SERVE_API_CLOSED_TASK_H

#include "daemon/serve/api/call.h"

#define CLOSED_TASK_FIELD "task" /* of the error that names no open task */

/* Was a request refused because there is no such open task? */
bool closed_task_is_meant(const struct request *req, const struct err *e);

/* Takes the call over, and refuses with what became of the task that it names: "task 44 was closed
 * on Thu 16 Apr by entry 812". With *e where there never was one. */
void closed_task_refuse(struct call *c, const struct err *e);

/* Takes the call over, and shows how the task ended and what was told of it. */
void closed_task_show(struct call *c, int64_t id);

#endif
