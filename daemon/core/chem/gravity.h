/* gravity.h - how fast water runs out of a tank by itself.
 *
 * Pure. Torricelli's law for a sharp-edged opening: Q = Cd A sqrt(2 g h), Cd 0.60 to 0.62. A long
 * thin tube runs slower; then the flow is better measured with a bucket and a watch. */
#ifndef TARN_CORE_CHEM_GRAVITY_H
#define TARN_CORE_CHEM_GRAVITY_H

#define GRAVITY_SHARP_EDGE 0.61 /* Cd */

/* Litres a minute through an opening of this diameter under this head of water; discharge is Cd. */
double gravity_flow_l_min(double diameter_mm, double head_m, double discharge);

#endif
