/* fuzz_target.h - what libFuzzer calls, and the replay too. */
#ifndef TARN_TESTS_FUZZ_TARGET_H
#define TARN_TESTS_FUZZ_TARGET_H

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

/* Tries one input, which is borrowed. Returns 0; what must hold and does not ends the program. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* What holds for every input; ends the program where it does not. */
#define FUZZ_HOLDS(what)                                                                           \
    do {                                                                                           \
        if (!(what)) {                                                                             \
            (void)fprintf(stderr, "%s:%d: does not hold: %s\n", __FILE__, __LINE__, #what);        \
            abort();                                                                               \
        }                                                                                          \
    } while (0)

#endif
