#include "daemon/core/words/task_figures.h"

/* The order is that of the work: a strength is measured before the pH is set, and what was drained
 * before what was filled in (common practice, no source). By hand, so that a kind is read at a
 * glance. */
/* clang-format off */
#define NEEDED(name, asked) {FIGURE_##name, FIGURE_NEEDED, ASKED_##asked}
#define ONE_OF(name, asked) {FIGURE_##name, FIGURE_ONE_OF, ASKED_##asked}
#define TAKEN(name, asked)  {FIGURE_##name, FIGURE_TAKEN,  ASKED_##asked}

static const struct task_figures figures_of_kind[] = {
    [TASK_START]     = {"", true, TOLD_AT_LARGE, {
        TAKEN(WAS_MS_CM, ON_SHEET), NEEDED(EC_MS_CM, ALWAYS), TAKEN(PH, ON_SHEET),
        TAKEN(VOLUME_L, NOWHERE), TAKEN(TEMP_C, NOWHERE)}},
    [TASK_CHECK]     = {"float=yes", false, TOLD_AT_LARGE, { /* or float=no, or the level */
        ONE_OF(VOLUME_L, ON_SHEET),
        TAKEN(EC_MS_CM, NOWHERE), TAKEN(PH, NOWHERE), TAKEN(TEMP_C, NOWHERE)}},
    [TASK_CHANGE]    = {"", true, TOLD_AT_LARGE, {
        TAKEN(WAS_MS_CM, ALWAYS), NEEDED(EC_MS_CM, ALWAYS), NEEDED(PH, ALWAYS),
        NEEDED(VOLUME_L, ALWAYS), TAKEN(ADDED_L, ALWAYS), TAKEN(TEMP_C, NOWHERE)}},
    [TASK_BUMP]      = {"", false, TOLD_OF_EACH_BETTER, {
        TAKEN(WAS_MS_CM, ALWAYS), NEEDED(EC_MS_CM, ALWAYS),
        TAKEN(PH, ON_SHEET), TAKEN(TEMP_C, NOWHERE)}},
    [TASK_PH]        = {"", true, TOLD_AT_LARGE, {
        NEEDED(PH, ALWAYS), TAKEN(TEMP_C, NOWHERE)}},
    [TASK_READ]      = {"", false, TOLD_OF_EACH, { /* the level where it still falls */
        ONE_OF(EC_MS_CM, ALWAYS), ONE_OF(PH, ALWAYS),
        ONE_OF(VOLUME_L, ON_SHEET), ONE_OF(TEMP_C, NOWHERE)}},
    [TASK_FILL]      = {"", true, TOLD_AT_LARGE, {
        ONE_OF(VOLUME_L, ALWAYS), ONE_OF(ADDED_L, ALWAYS),
        TAKEN(EC_MS_CM, ON_SHEET), TAKEN(PH, ON_SHEET), TAKEN(TEMP_C, NOWHERE)}},
    [TASK_CALIBRATE] = {"", false, TOLD_AT_LARGE, { /* one meter a task */
        NEEDED(SLOPE_PCT, ALWAYS), TAKEN(OFFSET_MV, ON_SHEET), TAKEN(TEMP_C, ON_SHEET)}},
    [TASK_CARE]      = {"", false, TOLD_AT_LARGE, {{0}}},
    [TASK_REORDER]   = {"", false, TOLD_AT_LARGE, { /* ordered: nothing; there: how much came */
        TAKEN(AMOUNT, NOWHERE)}},
    [TASK_HARVEST]   = {"", false, TOLD_OF_EACH_BETTER, {
        TAKEN(YIELD_G, ON_SHEET)}},
    [TASK_LOOK]      = {"", false, TOLD_AT_LARGE, {{0}}},
    [TASK_OVERNIGHT] = {"", false, TOLD_AT_LARGE, {
        NEEDED(ADDED_L, ALWAYS)}},
};

/* Nothing is let into the reservoir, and the jug is as large as it has to be. */
static const struct task_figures figures_by_hand = {"", true, TOLD_AT_LARGE, {
    NEEDED(EC_MS_CM, ALWAYS), TAKEN(PH, NOWHERE),
    TAKEN(VOLUME_L, NOWHERE), TAKEN(WAS_MS_CM, NOWHERE), TAKEN(TEMP_C, NOWHERE)}};
/* clang-format on */

_Static_assert(sizeof figures_of_kind / sizeof *figures_of_kind == TASK_KIND_N,
               "a kind of task without its row of figures");

const struct task_figures *task_figures_of(enum task_kind kind, bool by_hand)
{
    return kind == TASK_CHANGE && by_hand ? &figures_by_hand : &figures_of_kind[kind];
}

size_t task_figures_n(const struct task_figures *t)
{
    size_t n = 0;

    while (t->figure[n].need != FIGURE_NOT_THERE) {
        n++;
    }
    return n;
}

unsigned task_figures_bits(const struct task_figures *t)
{
    unsigned bits = 0;

    for (size_t i = 0; i < task_figures_n(t); i++) {
        bits |= FIGURE_BIT(t->figure[i].figure);
    }
    return bits;
}
