#!/bin/sh
# How the planner's time grows with the jobs: planbench on drawn instances of 10 to 3,000, the median of
# so many each, and the exponent fitted to them (least squares of the logarithms).
#     sh tests/bench/plan_scale.sh [INSTANCES [SIZES]]
set -eu
cd "$(dirname "$0")/../.."
. tests/bench/build.sh
build_for_bench planbench
bench=build/tests/planbench
instances=${1:-5}
sizes=${2:-10 20 40 60 100 200 300 600 1000 2000 3000}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

echo "   jobs   seconds  (median of $instances)"
for n in $sizes; do
    for seed in $(seq "$instances"); do
        $bench --generate "$n" 14 "$seed" >"$work/in.json"
        $bench "$work/in.json" | sed -n 's/.*"seconds": *\([0-9.e-]*\).*/\1/p'
    done | sort -g | awk -v n="$n" '{ t[NR] = $1 } END { print n, t[int((NR + 1) / 2)] }'
done | awk '{ printf "%7d  %8.4f\n", $1, $2
              x = log($1); y = log($2); k++; sx += x; sy += y; sxx += x * x; sxy += x * y }
            END { printf "time grows with jobs to the power of %.2f\n",
                         (k * sxy - sx * sy) / (k * sxx - sx * sx) }'
