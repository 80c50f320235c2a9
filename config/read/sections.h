/* sections.h - the tables of keys, a section each, with ranges, presets and help. */
#ifndef TARN_CONFIG_READ_SECTIONS_H
#define TARN_CONFIG_READ_SECTIONS_H

#include "config/read/keys.h"

extern const struct key_section section_file;
extern const struct key_section section_room;
extern const struct key_section section_units;
extern const struct key_section
    section_source; /* rate is read in L/min into rate_l_h: see room_read.c */
extern const struct key_section section_reservoir;
extern const struct key_section section_labour;
extern const struct key_section section_care;
extern const struct key_section section_measures;
extern const struct key_section section_product; /* fills a struct labelled */
extern const struct key_section section_recipe;
extern const struct key_section section_dose;
extern const struct key_section section_crop;
extern const struct key_section section_stage;
extern const struct key_section section_container;
extern const struct key_section section_meter;

/* All of them, for the reference; NULL-terminated. */
extern const struct key_section *const room_sections[];

#endif
