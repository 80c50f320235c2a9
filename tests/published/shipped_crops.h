/* shipped_crops.h - the crops as they ship, for checks that set them beside published figures.
 *
 * The group's set-up is read_crops, its tear-down forget_crops. */
#ifndef TARN_TESTS_SHIPPED_CROPS_H
#define TARN_TESTS_SHIPPED_CROPS_H

#include "config/read/room_read.h"
#include "tests/published/check.h"

static struct room room;

static inline int read_crops(void **state)
{
    struct room_faults faults;

    (void)state;
    return room_read(TARN_SOURCE_DIR "/config/rooms/demo.yaml", TARN_SOURCE_DIR "/config/crops",
                     &room, &faults);
}

static inline int forget_crops(void **state)
{
    (void)state;
    room_deinit(&room);
    return 0;
}

/* A shipped crop; fails where there is none of that name. */
static inline const struct crop *crop_of(const char *name)
{
    int at = room_find_crop(&room, name);

    if (at < 0) {
        fail_msg("there is no crop '%s'", name);
    }
    return &room.crop[at];
}

#endif
