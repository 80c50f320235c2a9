#!/bin/sh
# Builds tarn into build/ and runs the main job on the demo room, on a simulated clock.
set -eu
cd "$(dirname "$0")/.."
. config/packages.sh

# shellcheck disable=SC2086
need_packages $BUILD_PACKAGES
cmake --preset release >build.log 2>&1 || { cat build.log >&2; exit 1; }
mv build.log build/try-build.log
echo "Building (build/try-build.log)"
cmake --build --preset release --parallel "$(nproc)" >>build/try-build.log 2>&1 ||
    { cat build/try-build.log >&2; exit 1; }

dir=build/try
rm -rf "$dir"
mkdir -p "$dir"
TARN_SOCKET=$dir/tarn.sock
export TARN_SOCKET

build/tarnd --room config/rooms/demo.yaml --crops config/crops --state "$dir/state" \
    --socket "$TARN_SOCKET" --simulate 2026-03-01T07:00 2>"$dir/tarnd.log" &
daemon=$!
trap 'kill "$daemon" 2>/dev/null || true; wait "$daemon" 2>/dev/null || true' EXIT INT TERM

# The daemon answers as soon as it listens; until then the command says that nobody does (exit 3).
tries=0
until build/tarn status >/dev/null 2>&1; do
    kill -0 "$daemon" 2>/dev/null || { cat "$dir/tarnd.log" >&2; exit 1; }
    tries=$((tries + 1))
    [ "$tries" -lt 100 ] || { echo "tarnd does not answer" >&2; exit 1; }
    sleep 0.1
done

run() {
    printf '\n$ tarn %s\n' "$(printf "%s " "$@")"
    build/tarn "$@"
}
