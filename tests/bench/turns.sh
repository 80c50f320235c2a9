#!/bin/sh
# turns.sh [SECONDS] [ENTRIES] - is a normal client served while others load the daemon?
#
# One person looks at the status ten times a second, first alone and then beside each of: eight
# clients that tell readings of an hour ago, four that queue suppositions, sixteen that say nothing,
# a copy of the journal; and all of them at once. For each it prints how long the answers took.
# Wanted: none above 100 ms. What else the machine does shows in the first line.
set -eu
cd "$(dirname "$0")/../.."
seconds=${1:-5}
entries=${2:-100000}
bin=${TARN_BIN:-}
if [ -z "$bin" ]; then
    . tests/bench/build.sh
    build_for_bench tarnd tarn ackbench tellbench
    bin=build
fi
dir=$(mktemp -d "${TMPDIR:-/tmp}/tarn-turns-XXXXXX")
bench=$bin/tests/tellbench
socket=$dir/sock
daemon=
trap '[ -z "$daemon" ] || kill "$daemon" 2>/dev/null || true; rm -rf "$dir"' EXIT INT TERM

"$bin/tests/ackbench" --fill "$entries" --dir "$dir/state"
"$bin/tarnd" --room config/rooms/demo.yaml --state "$dir/state" --socket "$socket" \
    --simulate 2026-03-01T07:00 2>"$dir/log" &
daemon=$!
tries=0
until "$bin/tarn" --socket "$socket" status >"$dir/status" 2>&1; do
    tries=$((tries + 1))
    if [ "$tries" -gt 300 ]; then
        cat "$dir/log" >&2
        exit 1
    fi
    sleep 0.1
done
"$bin/tarn" --socket "$socket" clock advance 1h >/dev/null
late=$("$bin/tarn" --socket "$socket" --json status | python3 -c '
import datetime, json, sys
now = datetime.datetime.fromisoformat(json.load(sys.stdin)["now"])
print((now - datetime.timedelta(hours=1)).isoformat())')
supposes='{"jsonrpc":"2.0","id":1,"method":"outlook","params":{"days":28,"if":"reservoir 60 L"}}'

look() { # NAME, with what loads the daemon started already
    printf '%-34s' "$1"
    "$bench" --socket "$socket" --look --seconds "$seconds"
    for one in $loads; do wait "$one" || true; done
    loads=
    sleep 0.3
}
late_readings() {
    "$bench" --socket "$socket" --clients 8 --seconds "$seconds" --at "$late" --subjects T1,T2,T3 \
        >"$dir/late" & loads="$loads $!"
}
suppositions() {
    "$bench" --socket "$socket" --clients 4 --queue 20 --line "$supposes" --seconds "$seconds" \
        >"$dir/suppose" & loads="$loads $!"
}
idle() {
    "$bench" --socket "$socket" --clients 16 --idle --seconds "$seconds" & loads="$loads $!"
}
copy() {
    "$bin/tarn" --socket "$socket" backup "$dir/copy-$1.db" >"$dir/backup" & loads="$loads $!"
}

loads=
look "alone"
late_readings && look "8 clients with late readings"
suppositions && look "4 with 20 suppositions each"
idle && look "16 that say nothing"
copy 1 && look "a copy of $entries entries"
late_readings && suppositions && idle && copy 2 && look "all of them"
kill "$daemon" && wait "$daemon" || true
daemon=
