/* program_id.h - which program this is, to its last byte.
 *
 * Of the build ids that the linker writes into each program and library (a hash of all of its
 * contents), of all that are loaded; and of what the processor offers the mathematical library,
 * which rounds a last bit otherwise where it can fuse a product with a sum. */
#ifndef TARN_STORE_PROGRAM_ID_H
#define TARN_STORE_PROGRAM_ID_H

#include "daemon/store/seal.h"

/* All zero where the program itself has no build id. */
struct seal program_id(void);

#endif
