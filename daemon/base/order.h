/* order.h - which of two comes first, and the less and the more of two days or counts.
 *
 * Pure. So that a sort by several keys reads as the list of its keys:
 *
 *     return ORDER(a->day, b->day) ?: ORDER(b->volume_l, a->volume_l) ?: ORDER(a->at, b->at);
 *
 * is by day, then the larger first, then as they came. */
#ifndef TARN_BASE_ORDER_H
#define TARN_BASE_ORDER_H

#include <stddef.h>
#include <stdint.h>

/* -1 where a comes before b, 1 where it comes after, 0 where they are equal. Of numbers of one
 * type, or addresses within one array; each is evaluated twice. */
#define ORDER(a, b) (((a) > (b)) - ((a) < (b)))

/* The less and the more of two days … */
static inline int32_t order_min(int32_t a, int32_t b)
{
    return a < b ? a : b;
}

static inline int32_t order_max(int32_t a, int32_t b)
{
    return a > b ? a : b;
}

/* … and of two counts. */
static inline size_t order_fewer(size_t a, size_t b)
{
    return a < b ? a : b;
}

static inline size_t order_more(size_t a, size_t b)
{
    return a > b ? a : b;
}

#endif
