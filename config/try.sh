#!/bin/sh
# Builds tarn into build/ and runs the main job on the demo room, on a simulated clock.
set -eu
cd "$(dirname "$0")/.."
. config/packages.sh

# shellcheck disable=SC2086
need_packages $BUILD_PACKAGES

mkdir -p build
echo "Building into build/ (its words are in build/try-build.log)"
if ! { cmake --preset release && cmake --build --preset release --parallel "$(nproc)"; } \
    >build/try-build.log 2>&1; then
    cat build/try-build.log >&2
    exit 1
fi

dir=build/try
rm -rf "$dir"
mkdir -p "$dir"
TARN_SOCKET=$dir/tarn.sock
export TARN_SOCKET

build/tarnd --room config/rooms/demo.yaml --state "$dir/state" \
    --socket "$TARN_SOCKET" --simulate 2026-03-01T07:00 2>"$dir/tarnd.log" &
daemon=$!
trap 'kill "$daemon" 2>/dev/null || true; wait "$daemon" 2>/dev/null || true' EXIT INT TERM

# Until the daemon listens the command says that nobody does.
tries=0
until build/tarn stock >/dev/null 2>&1; do
    tries=$((tries + 1))
    if ! kill -0 "$daemon" 2>/dev/null || [ "$tries" -gt 100 ]; then
        cat "$dir/tarnd.log" >&2
        echo "tarnd does not answer" >&2
        exit 1
    fi
    sleep 0.1
done

say() {
    printf '\n== %s\n' "$*"
}

run() {
    printf '\n$ tarn'
    for word in "$@"; do
        case $word in
        *[!A-Za-z0-9=/.,:%+-]*) printf " '%s'" "$word" ;;
        *) printf ' %s' "$word" ;;
        esac
    done
    printf '\n'
    build/tarn "$@"
}

# The number of the first task of a kind on today's list; nothing where there is none.
task_of() {
    build/tarn --json today | tr '{' '\n' | sed -n 's/^"id":"\([0-9]*\)","kind":"'"$1"'".*/\1/p' | head -n 1
}

# Is the float of a container open by now? The simulated grower believes the forecast.
float_of() {
    if build/tarn --json status | tr '{' '\n' | grep -q '"name":"'"$1"'","condition":"on float"'; then
        echo yes
    else
        echo no
    fi
}

# The strength that a container is expected to have.
expected_of() {
    build/tarn --json status | tr '{' '\n' | sed -n 's/^"name":"'"$1"'","condition".*"ec_ms_cm":\([0-9.]*\).*/\1/p'
}

# What a task wants the solution to be.
strength_of() {
    build/tarn --json today | tr '{' '\n' | sed -n 's/^"id":"'"$1"'".*"ec_ms_cm":\([0-9.]*\).*/\1/p'
}

# What a grower tells of a task, so that the weeks go by.
work() {
    told=
    while :; do
        line=$(build/tarn --json today | tr '{' '\n' | sed -n 's/^"id":"\([0-9]*\)","kind":"\([a-z]*\)".*"subjects":\[\([^]]*\)\].*/\1 \2 \3/p' | head -n 1)
        [ -n "$line" ] || return 0
        if [ "$line" = "$told" ]; then
            echo "told, and still on the list: $line" >&2
            return 1
        fi
        told=$line
        id=$(echo "$line" | cut -d' ' -f1)
        kind=$(echo "$line" | cut -d' ' -f2)
        names=$(echo "$line" | cut -d' ' -f3- | tr ',' ' ' | tr -d '"')
        set -- ack "$id" --sure
        case $kind in
        calibrate) set -- "$@" slope=97% ;;
        fill) set -- "$@" volume=88L ec=0.05mS/cm ph=5.8 ;; # with as much acid as its sheet says
        start) set -- "$@" ec=0.75mS/cm ph=5.8 ;;
        check) for name in $names; do set -- "$@" "$name" float="$(float_of "$name")"; done ;;
        ph) set -- "$@" ph=5.8 acid-down=2mL ;;
        bump) set -- "$@" ec="$(strength_of "$id")"mS/cm ;;
        overnight) set -- "$@" added=0L ;; # nothing ran off
        change) return 0 ;; # left for the reader to see
        read) for name in $names; do
            case $name in
            reservoir) set -- "$@" reservoir ec=0.05mS/cm ph=5.8 ;;
            *) set -- "$@" "$name" ec="$(expected_of "$name")"mS/cm ph=5.9 ;;
            esac
        done ;;
        esac
        build/tarn "$@" >/dev/null
    done
}

say "A room of ten containers on its first morning"
run status
run today

say "How much of what, without a task"
run mix fruit 30L 1.4mS/cm crop=tomato

start=$(task_of start)
say "One task in full"
run show "$start"

say "Done, and this is what was measured"
run ack "$start" ec=0.72mS/cm ph=5.8 --note 'seedlings three weeks old'
work

say "Day by day until the first container is on its float line and wants a change"
days=0
while [ -z "$(task_of change)" ] && [ "$days" -lt 60 ]; do
    build/tarn clock advance 1d >/dev/null
    days=$((days + 1))
    work
done
echo "$days days later:"
run status
run today

change=$(task_of change)
say "The change, step by step"
run show "$change"
run show leaf
run outlook --days 7

say "And all of it is written down"
run log --of T1

echo
echo "That was a simulation; everything it left is in $dir. README.md says how to go on."
