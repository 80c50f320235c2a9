#!/bin/sh
# run.sh [short|long] - what the journal and the daemon stand, counted: kill -9 under clients, power
# cuts after each operation of the disk, operations that fail, bits that flip, memory that runs out.
# Short is what ctest runs, some minutes; long is for a release, and takes some hours: 20000 kills,
# 2000000 power cuts, 20000 flips of each file. TARN_BIN names a folder that is built already.
set -eu
cd "$(dirname "$0")/../.."
. config/packages.sh
how=${1:-short}
case $how in
short) kills=200 rounds=1 flips=300 ;;
long) kills=20000 rounds=380 flips=20000 ;;
*)
    echo "run.sh [short|long]" >&2
    exit 2
    ;;
esac
bin=${TARN_BIN:-}
if [ -z "$bin" ]; then
    # shellcheck disable=SC2086
    need_packages $BUILD_PACKAGES libcmocka-dev libgsl-dev clang clang-format clang-tidy python3 >&2
    cmake --preset debug >/dev/null
    cmake --build --preset debug --parallel "$(nproc)" --target system_kill fault_power_cut \
        fault_bad_disk fault_rot fault_thinned fault_recover test_serve_no_memory tarnd tarn >/dev/null
    bin=build/debug
fi
said=$(mktemp "${TMPDIR:-/tmp}/tarn-fault-XXXXXX")
trap 'rm -f "$said"' EXIT INT TERM
failed=0

# one NAME PROGRAM [NUMBER]: its counts, a line each, and whether all of it held
one() {
    name=$1
    shift
    from=$(date +%s)
    if "$@" >"$said" 2>&1; then held="held"; else held="FAILED"; failed=1; fi
    # What cmocka itself prints is about its tests; the rest are our counts.
    grep -E '^[^[]*[0-9]' "$said" | grep -v '^seed' | sed "s/^/$name: /" || true
    printf '%s: %s, %s s\n' "$name" "$held" "$(($(date +%s) - from))"
    [ "$held" = held ] || grep -E 'ERROR|LINE|FAILED|seed' "$said" || true
}

one "kills" "$bin/tests/system/system_kill" "$kills"
one "power cuts" "$bin/tests/fault/fault_power_cut" "$rounds"
one "operations that fail" "$bin/tests/fault/fault_bad_disk"
one "bits that flip" "$bin/tests/fault/fault_rot" "$flips"
one "bits that flip, thinned" "$bin/tests/fault/fault_thinned" "$flips"
one "memory that runs out" "$bin/tests/test_serve_no_memory"
one "bringing itself back" "$bin/tests/fault/fault_recover"
exit $failed
