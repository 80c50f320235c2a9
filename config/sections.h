/* sections.h - the tables of keys, a section each, with ranges, presets and help. */
#ifndef TARN_CONFIG_SECTIONS_H
#define TARN_CONFIG_SECTIONS_H

#include "config/keys.h"

extern const struct section section_file;
extern const struct section section_room;
extern const struct section section_units;
extern const struct section
    section_source; /* rate is read in L/min into rate_l_h: see room_read.c */
extern const struct section section_reservoir;
extern const struct section section_labour;
extern const struct section section_care;
extern const struct section section_measures;
extern const struct section section_product; /* fills a struct labelled */
extern const struct section section_recipe;
extern const struct section section_dose;
extern const struct section section_crop;
extern const struct section section_stage;
extern const struct section section_container;
extern const struct section section_meter;

/* All of them, for the reference; NULL-terminated. */
extern const struct section *const room_sections[];

#endif
