#include "config/read/shipped_crops.h"

#include <stddef.h>

#ifndef TARN_SOURCE_DIR
#error "the build says where the tree lies, for the crops to be taken from it"
#endif

/* Every file of config/crops, by its name without .yaml; test_shipped_crops lists the folder. The
 * build takes the object for outdated when one of them changes (config/CMakeLists.txt). */
#define SHIPPED_CROPS(X) X(basil) X(cucumber) X(lettuce) X(pepper) X(strawberry) X(tomato)

/* The assembler puts a file's bytes among the constants, and a NUL behind them. Both compilers know
 * it, and no source is generated. A push and a pop leave the compiler's own section as it was. */
/* clang-format off */
#define TAKE_IN(name)                                                                              \
    __asm__(".pushsection .rodata\n"                                                               \
            "tarn_crop_" #name ":\n"                                                               \
            ".incbin \"" TARN_SOURCE_DIR "/config/crops/" #name ".yaml\"\n"                        \
            ".byte 0\n"                                                                            \
            ".popsection\n");                                                                      \
    extern const char tarn_crop_##name[] __attribute__((visibility("hidden")));
#define ROW(name) {#name ".yaml", tarn_crop_##name},

SHIPPED_CROPS(TAKE_IN)

const struct shipped_crop shipped_crops[] = {SHIPPED_CROPS(ROW) {NULL, NULL}};
/* clang-format on */
