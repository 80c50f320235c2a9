/* params.h - what a request tells, from JSON into the core's values. */
#ifndef TARN_SERVE_API_PARAMS_H
#define TARN_SERVE_API_PARAMS_H

#include "daemon/core/tell/deed.h"

#include <jansson.h>

#define TOLD_MAX 20001 /* every container of the largest room, and the task at large */

/* Everything that was told, at large and by subject. */
struct told_list {
    struct told *told;
    size_t n, cap;
    const char
        *vessel; /* in which a ruler stands whose height is told at large; NULL = nobody says;
                           borrowed */
};

/* FIGURES of wire.h: {"ec":"1.4 mS/cm"} or {"ec_ms_cm":1.4}, "what", "amounts". `subject` is "" for
 * the task at large. */
int told_read(const struct room *room, const char *subject, const json_t *figures,
              struct told_list *out, struct err *e);

/* {NAME: FIGURES, …} */
int told_read_subjects(const struct room *room, const json_t *subjects, struct told_list *out,
                       struct err *e);
void told_list_deinit(struct told_list *l);

#endif
