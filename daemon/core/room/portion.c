#include "daemon/core/room/portion.h"

#include <math.h>

const char *const tool_words[] = {"syringe", "cylinder", "scale"};

static double step_of(const struct measures *m, enum tool tool)
{
    switch (tool) {
    case TOOL_SYRINGE:
        return m->syringe_step_ml;
    case TOOL_CYLINDER:
        return m->cylinder_step_ml;
    case TOOL_SCALE:
        break;
    }
    return m->scale_step_g;
}

static double rounded(const struct measures *m, enum tool tool, double amount)
{
    double step = step_of(m, tool);

    return round(amount / step) * step;
}

/* A syringe is filled twice without a word; up to five times where the cylinder is too coarse. */
static enum tool tool_for(const struct measures *m, bool dry, double amount)
{
    bool coarse = fabs(rounded(m, TOOL_CYLINDER, amount) - amount) > PORTION_OFF_MAX * amount;

    if (dry) {
        return TOOL_SCALE;
    }
    return amount <= (coarse ? 5 : 2) * m->syringe_ml ? TOOL_SYRINGE : TOOL_CYLINDER;
}

struct portion portion_of(const struct measures *m, bool dry, double wanted)
{
    struct portion p = {0};

    for (int thin = 1; thin <= PORTION_THIN_MAX; thin *= 10) {
        p.thin = thin;
        p.tool = tool_for(m, dry, wanted * thin);
        p.amount = rounded(m, p.tool, wanted * thin);
        p.product = p.amount / thin;
        p.off_frac = wanted > 0 ? p.product / wanted - 1 : 0;
        if (fabs(p.off_frac) <= PORTION_OFF_MAX) {
            break;
        }
    }
    return p;
}
