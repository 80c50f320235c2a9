/* cmocka_all.h - cmocka with the headers that it wants before it, in their order. */
#ifndef TARN_TESTS_CMOCKA_ALL_H
#define TARN_TESTS_CMOCKA_ALL_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#endif
