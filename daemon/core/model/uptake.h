/* uptake.h - how the concentration of one dissolved thing goes as a plant drinks and takes of it.
 *
 * Pure. Concentrations are of any one unit (mg/L, mS/cm); litres are told as shares of the volume.
 * A plant takes a fixed amount with each litre that it drinks, the uptake concentration (Sonneveld
 * & Voogt 2009), as long as there is plenty; below `scarce` it takes in proportion to what is left.
 * These are the two straight ends of the curve of Michaelis & Menten 1913, which have closed forms
 * where the curve has none, and neither ever takes what is not there. */
#ifndef TARN_CORE_MODEL_UPTAKE_H
#define TARN_CORE_MODEL_UPTAKE_H

struct uptake {
    double takes;  /* with each litre drunk where there is plenty, >= 0 */
    double scarce; /* below this, in proportion; > 0 */
};

/* A body that is drunk down to left_frac of its volume (0 to 1, above 0) and not topped up. */
double uptake_drawn(double c, double left_frac, struct uptake u);

/* A body of constant volume, topped with water of c_top, after so many of its volumes were drunk.
 */
double uptake_topped(double c, double volumes, struct uptake u, double c_top);

/* The same of a thing of which a share of its concentration goes with each litre, however much or
 * little there is: 0 stays behind altogether, 1 goes as the water goes. */
double uptake_share_drawn(double c, double left_frac, double share);
double uptake_share_topped(double c, double volumes, double share, double c_top);

#endif
