/* cusum.h - evidence that something has shifted for good, summed up from one look to the next.
 *
 * Pure. The one-sided cumulative sum (Page 1954, Biometrika 41:100): each look adds by how many
 * standard deviations it was too high, less a slack; chance makes it fall back to 0, a shift makes
 * it climb. Two of them, of z and of -z, tell a loss from a lack. */
#ifndef TARN_CORE_MODEL_CUSUM_H
#define TARN_CORE_MODEL_CUSUM_H

#define CUSUM_OPEN 4.4 /* so much is no chance any more; set by tests/bench/predictbench */
#define CUSUM_SHUT 1.0 /* so little is chance again */

/* The sum after a look that was z standard deviations too high. Never below 0, and never far above
 * CUSUM_OPEN, so that it comes down again soon when the fault is mended. */
double cusum_add(double sum, double z);

/* Percent by which a sum like this is no chance: 100 (1 - e^-sum) (Siegmund 1985, Sequential
 * Analysis, as an approximation; from memory). */
double cusum_sure_pct(double sum);

#endif
