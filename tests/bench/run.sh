#!/bin/sh
# run.sh [short|long] - what tarn does for a room, each figure beside the bare limit of the same
# machine at the same time: a line each, with the ratio. Others that work on the machine move both.
#
# Short: 10 to 1000 containers, 10^3 to 10^6 entries. Long: to 10000 and 10^7. TARN_BIN names a
# folder that is built already. No figure here is a test: look at the ratios.
set -eu
cd "$(dirname "$0")/../.."
. tests/bench/build.sh
how=${1:-short}
case $how in
short) sizes="10 100 1000" lengths="1000 100000 1000000" ;;
long) sizes="10 100 1000 10000" lengths="1000 100000 1000000 10000000" ;;
*)
    echo "run.sh [short|long]" >&2
    exit 2
    ;;
esac
bin=${TARN_BIN:-}
if [ -z "$bin" ]; then
    build_for_bench tarnd tarn ackbench tellbench planbench
    bin=build
fi
dir=$(mktemp -d "${TMPDIR:-/tmp}/tarn-bench-XXXXXX")
daemon=
trap '[ -z "$daemon" ] || kill "$daemon" 2>/dev/null || true; rm -rf "$dir"' EXIT INT TERM

now() { date +%s.%N; }
line() { # WHAT, TARN, BARE, UNIT, WHICH BARE
    awk -v what="$1" -v a="$2" -v b="$3" -v unit="$4" -v bare="$5" 'BEGIN {
        printf "%-44s %10.4g %-4s %10.4g %-4s %7.2f  %s\n", what, a, unit, b, unit,
            b ? a / b : 0, bare }'
}
# median N COMMAND…: the median of N runs, in seconds
median() {
    n=$1
    shift
    i=0
    while [ "$i" -lt "$n" ]; do
        a=$(now)
        "$@" >/dev/null 2>&1 || true
        b=$(now)
        echo "$b $a" | awk '{ print $1 - $2 }'
        i=$((i + 1))
    done | sort -n | sed -n "$(((n + 1) / 2))p"
}
room_of() { # N: the demo room with so many containers of lettuce, started over four weeks
    sed '/^containers:/,$d; s/capacity: 90 L/capacity: 9000 L/; s/stored: 100 L/stored: 90000 L/
        s/rate: 8 L/rate: 800 L/' config/rooms/demo.yaml
    echo "containers:"
    echo "  T1..T6: {crop: tomato, start_volume: 18 L, float_volume: 8 L, remainder: 0.6 L," \
        "start: 2026-03-01}"
    echo "  C1..C$(($1 - 6)): {crop: lettuce, start_volume: 4 L, float_volume: 1.6 L," \
        "remainder: 0.2 L, start: 2026-03-05}"
}
start() { # ROOM STATE: serves it; sets daemon and took, the seconds until it answered
    from=$(now)
    "$bin/tarnd" --room "$1" --state "$2" --socket "$dir/sock" --simulate 2026-03-01T07:00 \
        2>"$dir/log" &
    daemon=$!
    tries=0
    until "$bin/tarn" --socket "$dir/sock" status >/dev/null 2>&1; do
        tries=$((tries + 1))
        if [ "$tries" -gt 6000 ] || ! kill -0 "$daemon" 2>/dev/null; then
            cat "$dir/log" >&2
            exit 1
        fi
        sleep 0.01
    done
    took=$(echo "$(now) $from" | awk '{ print $1 - $2 }')
}
stop() {
    kill "$daemon"
    wait "$daemon" || true
    daemon=
}

printf '%-44s %15s %15s %7s\n' "what" "tarn" "bare" "ratio"

# ---- acknowledgements: C clients, beside commits of bare SQLite on the same disk
"$bin/tests/ackbench" --dir "$dir" --n 400 >"$dir/acks"
bare=$(awk '/^bare/ { print $(NF - 1) }' "$dir/acks")
one=$(awk '/entry each/ { print $(NF - 4) }' "$dir/acks")
many=$(awk '/together/ { print $(NF - 4) }' "$dir/acks")
line "entries, one after the other, journal alone" "$one" "$bare" "/s" "SQLite, a commit each"
line "entries, 32 together, journal alone" "$many" "$bare" "/s" "SQLite, a commit each"
room_of 10 >"$dir/room.yaml"
start "$dir/room.yaml" "$dir/acked"
for clients in 1 8 32; do
    "$bin/tests/ackbench" --dir "$dir" --n 200 >"$dir/acks"
    bare=$(awk '/^bare/ { print $(NF - 1) }' "$dir/acks")
    got=$("$bin/tests/tellbench" --socket "$dir/sock" --clients "$clients" --seconds 3 |
        awk '{ for (i = 1; i < NF; i++) if ($(i + 1) == "a") print $i }')
    line "acknowledged readings, $clients client(s)" "$got" "$bare" "/s" "SQLite, a commit each"
    sleep 0.5
done
"$bin/tests/ackbench" --dir "$dir" --n 400 >"$dir/acks"
bare=$(awk '/^bare/ { print $(NF - 1) }' "$dir/acks")
got=$("$bin/tests/tellbench" --socket "$dir/sock" --readings 500 --seconds 3 |
    awk '/readings a second/ { print $(NF - 3) }')
line "sensor readings, 500 at once" "$got" "$bare" "/s" "SQLite, a commit each"
stop

# ---- long journals: beside SQLite's shell that opens the file and counts, or reads, its rows
for n in $lengths; do
    "$bin/tests/ackbench" --fill "$n" --dir "$dir/n$n"
    start "$dir/room.yaml" "$dir/n$n"
    first=$took
    stop
    whole=$(median 1 sqlite3 "$dir/n$n/tarn.db" 'SELECT sum(ph), max(kind), max(who) FROM entry')
    line "start without a snapshot, $n entries" "$first" "$whole" "s" "SQLite reads all rows"
    start "$dir/room.yaml" "$dir/n$n"
    line "start, $n entries" "$took" "$whole" "s" "SQLite reads all rows"
    bare=$(median 5 sqlite3 "$dir/empty.db" 'SELECT 1')
    today=$(median 5 "$bin/tarn" --socket "$dir/sock" today)
    line "list of today, $n entries" "$today" "$bare" "s" "SQLite's shell prints a row"
    late=$("$bin/tarn" --socket "$dir/sock" --json status | python3 -c '
import datetime, json, sys
now = datetime.datetime.fromisoformat(json.load(sys.stdin)["now"])
print((now - datetime.timedelta(minutes=30)).isoformat())')
    "$bin/tarn" --socket "$dir/sock" clock advance 1h >/dev/null
    late=$("$bin/tests/tellbench" --socket "$dir/sock" --seconds 2 --subjects T1 --at "$late" |
        sed 's/.*half \([0-9.]*\).*/\1/' | awk '{ print $1 / 1000 }')
    line "late entry, $n entries" "$late" "$whole" "s" "SQLite reads all rows"
    stop
    if [ "$n" -le 1000000 ]; then
        all=$(median 1 sqlite3 "$dir/n$n/tarn.db" 'SELECT * FROM entry ORDER BY happened_s, seq')
        start "$dir/room.yaml" "$dir/n$n"
        log=$(median 1 "$bin/tarn" --socket "$dir/sock" log --json)
        line "log of all, $n entries" "$log" "$all" "s" "SQLite prints all rows"
        stop
    fi
    rm -rf "$dir/n$n"
done

# ---- large rooms
for n in $sizes; do
    room_of "$n" >"$dir/room.yaml"
    start "$dir/room.yaml" "$dir/c$n"
    bare=$(median 5 sqlite3 "$dir/empty.db" 'SELECT 1')
    line "start, $n containers" "$took" "$bare" "s" "SQLite's shell prints a row"
    today=$(median 5 "$bin/tarn" --socket "$dir/sock" today)
    line "list of today, $n containers" "$today" "$bare" "s" "SQLite's shell prints a row"
    stop
    rm -rf "$dir/c$n"
done

# ---- plans, by the planner alone; the bare limit is reading the problem
for jobs in 20 60 200; do
    "$bin/tests/planbench" --generate "$jobs" 14 1 >"$dir/problem"
    plan=$(median 3 "$bin/tests/planbench" "$dir/problem")
    bare=$(median 3 "$bin/tests/planbench" --lp "$dir/problem")
    line "plan of $jobs changes" "$plan" "$bare" "s" "the problem read and written"
done
