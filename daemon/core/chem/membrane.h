/* membrane.h - a reverse-osmosis membrane: how fast water passes, and what passes with it.
 *
 * Pure. Flow grows by 3 % a degree of the feed water (the correction of ASTM D4516, from memory;
 * Water Quality Association, education kit). Strengths are in whatever unit the feed is given
 * (mg/L, mS/cm). */
#ifndef TARN_CORE_CHEM_MEMBRANE_H
#define TARN_CORE_CHEM_MEMBRANE_H

/* Flow at temp_c over that at rated_c: 1.03^(T - rated). */
double membrane_flow_factor(double temp_c, double rated_c);

/* Strength of what passes: what is not held back. rejection_frac is 0 to 1. */
double membrane_permeate(double feed, double rejection_frac);

#endif
