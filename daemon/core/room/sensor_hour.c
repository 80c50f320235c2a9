#include "daemon/core/room/sensor_hour.h"

bool sensor_hour_counts(struct sensor_hour *h, const struct entry *e)
{
    int64_t hour = e->happened_s / SENSOR_HOUR_S;
    int32_t told = hour == h->hour ? h->told : 0;
    bool counts = (e->has & ~(unsigned)told) != 0;

    h->hour = hour;
    h->told = (int32_t)((unsigned)told | e->has);
    return counts;
}
