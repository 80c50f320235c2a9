#!/bin/sh
# The main job under valgrind, on a build without sanitizers: no error, no leak, no descriptor left.
set -eu
cd "$(dirname "$0")/../.."
command -v valgrind >/dev/null || exit 77

plain=build/plain
cmake -S . -B "$plain" -DCMAKE_BUILD_TYPE=Debug >/dev/null
cmake --build "$plain" --parallel "$(nproc)" >/dev/null

dir=$(mktemp -d /tmp/tarn-test-XXXXXX)
export TARN_SOCKET="$dir/tarn.sock"
daemon=
finish() {
    [ -z "$daemon" ] || kill -9 "$daemon" 2>/dev/null || true
    rm -rf "$dir"
}
trap finish EXIT

checked="valgrind --quiet --leak-check=full --show-leak-kinds=all --errors-for-leak-kinds=all \
    --error-exitcode=99"
$checked "$plain/tarnd" --room config/rooms/demo.yaml --crops config/crops --state "$dir/state" \
    --socket "$TARN_SOCKET" --simulate 2026-03-01T07:00 &
daemon=$!

tries=0
until "$plain/tarn" stock >/dev/null 2>&1; do
    tries=$((tries + 1))
    [ "$tries" -lt 600 ] || { echo "tarnd does not answer" >&2; exit 1; }
    kill -0 "$daemon"
    sleep 0.1
done

$checked "$plain/tarn" today --full >/dev/null
$checked "$plain/tarn" ack 4 ec=0.7mS/cm >/dev/null
for words in "status" "ack 1 slope=97%" "ack 3 volume=88L" "record reading T1 ph=6.0" \
    "record reading T1 ph=5.9 --at 2026-03-01T06:30" "void 2 --why mistaken" "show T1" "log" \
    "clock advance 40d" "today --full" "outlook" "stock"; do
    # shellcheck disable=SC2086
    "$plain/tarn" $words >/dev/null
done
"$plain/tarn" ack 999 >/dev/null 2>&1 && { echo "a task that is not there was acknowledged" >&2; exit 1; }
kill -HUP "$daemon"
"$plain/tarn" status >/dev/null
kill -TERM "$daemon"
wait "$daemon"
daemon=
echo "the main job is clean under valgrind"
