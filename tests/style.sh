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
    # A folder includes only what lies below it: core neither does I/O nor asks for the time.
    bad=0
    refuse() { # refuse PATTERN FOLDER...
        pattern=$1
        shift
        if grep -nE "$pattern" -r "$@" --include='*.[ch]'; then bad=1; fi
    }
    refuse 'uv\.h|sqlite3\.h|yaml\.h|jansson\.h|[^_a-z]time\(|[^a-z_]printf\(|fopen\(' daemon/core
    refuse '#include "(daemon/(store|serve)|config|cli)/' daemon/core daemon/base
    refuse '#include "daemon/core/' daemon/base
    refuse '#include "(daemon/serve|config|cli)/|uv\.h' daemon/store
    refuse '#include "(daemon/(store|serve)|cli)/|uv\.h|sqlite3\.h' config
    refuse '#include "(daemon/(store|serve)|config)/|uv\.h|sqlite3\.h|yaml\.h' cli
    refuse 'sqlite3\.h|yaml\.h|#include "cli/' daemon/serve
    exit $bad
    ;;
esac
