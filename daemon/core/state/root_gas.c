#include "daemon/core/state/root_gas.h"

#include <math.h>

#define ROOTS_OF_AIR 4.0 /* root_gas.h */
#define FOR_EVER_DAY 1e3 /* by then nothing is left of any gas but the air's */

double root_gas_mmol_l(double gas_mmol_l, double days)
{
    double more = (ROOTS_OF_AIR - 1) * balance_gas_after_mmol_l(0, FOR_EVER_DAY);

    return fmax(0, balance_gas_after_mmol_l(gas_mmol_l - more, days) + more);
}

double root_gas_kept_mmol_l(void)
{
    return root_gas_mmol_l(0, FOR_EVER_DAY);
}

double root_gas_carbonate_most_mmol_l(double carbonate_mmol_l, double gas_mmol_l, double days)
{
    return fmax(0, carbonate_mmol_l - gas_mmol_l) + root_gas_mmol_l(gas_mmol_l, days) +
           ROOTS_OF_AIR * balance_gas_in_mmol_l() * days;
}

double root_gas_rests_ph(const struct dissolved *w)
{
    return balance_ph_with_gas(w, root_gas_kept_mmol_l());
}
