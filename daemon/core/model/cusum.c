#include "daemon/core/model/cusum.h"

#include <math.h>

#define SLACK 0.5                /* half of the shift that is to be found, one sd: Page's choice */
#define MOST  (CUSUM_OPEN + 1.5) /* so high that one look alone does not shut what was open */

double cusum_add(double sum, double z)
{
    return fmin(fmax(0, sum + z - SLACK), MOST);
}

double cusum_sure_pct(double sum)
{
    return 100 * (1 - exp(-sum));
}
