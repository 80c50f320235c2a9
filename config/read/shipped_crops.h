/* shipped_crops.h - the crops of config/crops, built into the program: their files as text.
 *
 * Built in, so that a program finds its crops wherever it was put, and a room never meets those of
 * another version. */
#ifndef TARN_CONFIG_READ_SHIPPED_CROPS_H
#define TARN_CONFIG_READ_SHIPPED_CROPS_H

struct shipped_crop {
    const char *file; /* "basil.yaml" */
    const char *text; /* the whole file, NUL-terminated */
};

/* By name of the file; ends with a row whose file is NULL. */
extern const struct shipped_crop shipped_crops[];

#endif
