#!/bin/sh
# style.sh format|tidy|arrows BUILD_DIR - is the tree laid out, linted and layered as it should be?
set -eu
cd "$(dirname "$0")/.."
sources=$(find daemon config cli tests -name '*.[ch]' | sort)

case $1 in
format)
    # shellcheck disable=SC2086
    clang-format --dry-run --Werror $sources
    # It does not touch comments. Characters are counted and not bytes: a dash is one column wide.
    # shellcheck disable=SC2086
    python3 - $sources <<'EOF'
import sys
bad = 0
for path in sys.argv[1:]:
    with open(path, encoding='utf-8') as file:
        for number, line in enumerate(file, 1):
            columns = len(line.rstrip('\n'))
            if columns > 100:
                print(f'{path}:{number}: {columns} columns, 100 are meant')
                bad = 1
sys.exit(bad)
EOF
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
