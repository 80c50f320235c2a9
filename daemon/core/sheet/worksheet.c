#include "daemon/core/sheet/worksheet.h"

#include "daemon/base/mem.h"

#include <stdlib.h>

void worksheet_add(struct worksheet *w, const char *text, const char *caution)
{
    w->step = mem_grow(w->step, &w->cap, w->n + 1, sizeof *w->step);
    w->step[w->n++] = (struct step){.text = mem_strdup(text), .caution = mem_strdup(caution)};
}

void worksheet_doses(struct worksheet *w, const char *product, double amount_ml)
{
    w->step[w->n - 1].product = mem_strdup(product);
    w->step[w->n - 1].amount_ml = amount_ml;
}

void worksheet_deinit(struct worksheet *w)
{
    for (size_t i = 0; i < w->n; i++) {
        free(w->step[i].text);
        free(w->step[i].caution);
        free(w->step[i].product);
    }
    free(w->step);
    *w = (struct worksheet){0};
}
