/* root_gas.h - the carbon dioxide in a solution with roots in it.
 *
 * Pure. It stands open to the air, and roots breathe into it. */
#ifndef TARN_CORE_STATE_ROOT_GAS_H
#define TARN_CORE_STATE_ROOT_GAS_H

#include "daemon/core/chem/balance.h"

/* Gas comes through the surface more slowly than roots that take nitrate raise the alkalinity:
 * above this pH a solution lags behind its balance, and holds no more carbonate than it would here,
 * 1 mmol/L or so. What a dose does from there says nothing of phosphate. Our own estimate, on the
 * side of less acid. */
#define ROOT_GAS_PH_HIGHEST 7.5

/* The gas that is left in it after so many days, mmol/L: it goes towards what roots keep up.
 *
 * Between free air, 0.04 %, and the air around roots in soil, 0.1 to 1 % (Amundson & Davidson
 * 1990, J. Geochem. Explor. 38:13; from memory), for a solution with roots stands open to both:
 * four times the air's, the lower end of it, since too little acid can be mended. */
double root_gas_mmol_l(double gas_mmol_l, double days);

/* What roots keep up for good. */
double root_gas_kept_mmol_l(void);

/* The most carbonate that such a solution holds days after it held so much, some of it gas: what
 * was no gas then, what is left of the gas, and what the surface and the roots bring while a
 * climbing pH takes it up. */
double root_gas_carbonate_most_mmol_l(double carbonate_mmol_l, double gas_mmol_l, double days);

/* The pH to which such a solution comes by itself within days of being stirred, whatever plants do:
 * when no more gas leaves. */
double root_gas_rests_ph(const struct dissolved *w);

#endif
