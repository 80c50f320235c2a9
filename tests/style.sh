#!/bin/sh
# style.sh format|tidy|arrows BUILD_DIR - is the tree laid out, linted and layered as it should be?
set -eu
cd "$(dirname "$0")/.."
sources=$(find daemon config cli tests -name '*.[ch]' | sort)

case $1 in
format)
    # shellcheck disable=SC2086
    clang-format --dry-run --Werror $sources
    ;;
tidy)
    # The compile commands come of gcc; clang does not know all of its warnings.
    # One file a process: the valist checker of clang 14 keeps the address of va_start's name from
    # the first file, and in the next one another function's name may lie there.
    find daemon config cli tests -name '*.c' ! -path 'tests/fuzz/*' | sort |
        xargs -P "$(nproc)" -n 1 clang-tidy --quiet -p "$2" \
            --extra-arg=-Wno-unknown-warning-option
    ;;
arrows)
    python3 tests/arrows.py check
    ;;
esac
