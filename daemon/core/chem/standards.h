/* standards.h - what a calibration liquid reads at the temperature of the day, and whether a probe
 * that was calibrated still serves.
 *
 * Pure. */
#ifndef TARN_CORE_CHEM_STANDARDS_H
#define TARN_CORE_CHEM_STANDARDS_H

#include <stdbool.h>

/* Conductivity of a bottle of KCl, uS/cm. Those on sale hold 0.01 and 0.1 mol/L: 1413 and 12,880
 * uS/cm at 25 C (Standard Methods 2510, ISO 7888; from memory). At other temperatures, 0 to 50 C,
 * they follow the primary standards of 0.01 and 0.1 mol/kg: Wu, Koch & Pratt 1991 (J. Res. NIST
 * 96:191), Wu et al. 1994 (99:241), Pratt et al. 2001 (Pure Appl. Chem. 73:1783), as tabulated in
 * the CRC Handbook; between its rows by straight lines, which adds at most 0.05 %. */
enum kcl { KCL_0_01_M, KCL_0_1_M, KCL_N };
double standard_bottle_us_cm(enum kcl which, double temp_c);

/* pH of a buffer, 10 to 35 C. Phthalate, phosphate 1:1 and borax: DIN 19266 and NIST (from memory).
 * 7.00 and 10.01 are the technical buffers that most meters know. */
enum buffer {
    BUFFER_4_01, /* phthalate 0.05 m */
    BUFFER_6_86, /* phosphate 0.025 m */
    BUFFER_7_00,
    BUFFER_9_18, /* borax 0.01 m */
    BUFFER_10_01,
    BUFFER_N
};
double standard_buffer_ph(enum buffer which, double temp_c);

/* The Nernst slope, mV for a unit of pH: ln 10 R T / F (CODATA 2018). */
double standard_nernst_mv(double temp_c);

struct calibration {
    double slope_pct; /* of the Nernst slope, or of the cell's constant: 100 = as new */
    double offset_mv; /* at pH 7; NaN = not told, or an EC cell */
};

/* pH probe: slope of 85 to 105 % and offset within 30 mV serve; 95 to 105 % is good (US LTER
 * protocol 2004 and a maker's leaflet). EC cell: within 10 % of its constant serves (common
 * practice, no source). Why not is written into `why`, a sentence's second half; "" when it is
 * good. */
enum verdict { VERDICT_GOOD, VERDICT_WORN, VERDICT_BAD }; /* WORN still serves */
#define VERDICT_WHY_MAX 120
enum verdict calibration_judge_ph(const struct calibration *c, char why[VERDICT_WHY_MAX]);
enum verdict calibration_judge_ec(const struct calibration *c, char why[VERDICT_WHY_MAX]);

#endif
