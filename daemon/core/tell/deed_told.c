#include "daemon/core/tell/deed_told.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void entries_deinit(struct entries *es)
{
    free(es->entry);
    *es = (struct entries){0};
}

const struct told *deed_told_of(const struct deed *d, const char *subject)
{
    for (size_t i = 0; i < d->n_told; i++) {
        if (strcmp(d->told[i].subject, subject) == 0) {
            return &d->told[i];
        }
    }
    return NULL;
}

struct told deed_told_for(const struct deed *d, const char *subject)
{
    const struct told *own = deed_told_of(d, subject);
    const struct told *large = deed_told_of(d, "");
    struct told t = {0};

    if (large) {
        t = *large;
    }
    if (own) {
        for (unsigned f = 0; f < FIGURE_N; f++) {
            if (own->has & FIGURE_BIT(f)) {
                t.has |= FIGURE_BIT(f);
                t.figure[f] = own->figure[f];
            }
        }
        if (*own->what) {
            memcpy(t.what, own->what, sizeof t.what);
        }
        if (own->n_amounts) {
            memcpy(t.amount, own->amount, sizeof t.amount);
            t.n_amounts = own->n_amounts;
        }
    }
    (void)snprintf(t.subject, sizeof t.subject, "%s", subject);
    return t;
}
