#!/bin/sh
# Sets the planner beside an exact solver (CBC, else GLPK) that reads the model of planbench --lp:
#     sh tests/bench/plan.sh [INSTANCES [SECONDS [SIZES [FIRST_SEED]]]]
# INSTANCES drawn ones (60), SECONDS for the solver on each (300), SIZES in jobs ("8 10 … 20").
set -eu
cd "$(dirname "$0")/../.."
. tests/bench/build.sh
build_for_bench planbench
bench=build/tests/planbench
instances=${1:-60}
limit=${2:-300}
sizes=${3:-8 9 10 11 12 13 14 15 16 17 18 19 20}
seed=${4:-1}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

if command -v cbc >/dev/null; then
    solver=cbc
elif command -v glpsol >/dev/null; then
    solver=glpsol
else
    echo "plan.sh: neither cbc (coinor-cbc) nor glpsol (glpk-utils) is installed" >&2
    exit 1
fi

# Prints "COST proven|found SECONDS" of the solver for $work/model.lp.
solve() {
    before=$(date +%s.%N)
    if [ $solver = cbc ]; then
        cbc "$work/model.lp" sec "$limit" ratioGap 0 solve solu "$work/found" >"$work/log" 2>&1
        head -n 1 "$work/found" >"$work/first"
        cost=$(sed -n 's/.*objective value *//p' "$work/first")
        grep -q '^Optimal' "$work/first" && how=proven || how=found
    else
        glpsol --lp "$work/model.lp" --tmlim "$limit" --cuts -w "$work/found" >"$work/log" 2>&1
        cost=$(awk '$1 == "s" { print $6 }' "$work/found")
        awk '$1 == "s" { exit $5 != "o" }' "$work/found" && how=proven || how=found
    fi
    echo "$cost $how $(date +%s.%N)" | awk -v before="$before" '{ print $1, $2, $3 - before }'
}

printf '%5s %6s %10s %10s %10s %-6s %8s %9s %8s\n' \
    jobs seed tarn bound $solver proof gap_pct tarn_s ratio
size_at=0
for _ in $(seq "$instances"); do
    # shellcheck disable=SC2086 # the sizes are words
    n=$(set -- $sizes && shift $((size_at % $#)) && echo "$1")
    size_at=$((size_at + 1))
    $bench --generate "$n" 14 "$seed" >"$work/instance.json"
    $bench "$work/instance.json" >"$work/answer.json"
    $bench --check "$work/answer.json" "$work/instance.json" >/dev/null
    $bench --lp "$work/instance.json" >"$work/model.lp"
    field() { sed -n "s/.*\"$1\":\([-0-9.e+]*\).*/\1/p" "$work/answer.json"; }
    row="$n $seed $(field cost) $(field bound) $(field seconds) $(solve)"
    echo "$row" >>"$work/rows"
    echo "$row" | awk '{
        printf "%5d %6d %10.3f %10.3f %10.3f %-6s %8.3f %9.5f %8.0f\n",
            $1, $2, $3, $4, $6, $7, ($3 / $6 - 1) * 100, $5, $8 / $5
    }'
    seed=$((seed + 1))
done
awk -v solver=$solver '
function at(n, share) { return int(share * (n - 1) + 1.5) } # in a sorted array
function middle(a, n,    i, j, t) {
    for (i = 2; i <= n; i++) for (j = i; j > 1 && a[j] < a[j - 1]; j--) {
        t = a[j]; a[j] = a[j - 1]; a[j - 1] = t
    }
    return n ? a[int((n + 1) / 2)] : 0
}
{
    gap = ($3 / $6 - 1) * 100
    under[NR] = (1 - $4 / ($3 < $6 ? $3 : $6)) * 100
    worst_under = under[NR] > worst_under ? under[NR] : worst_under
    ratio[NR] = $8 / $5
    if ($7 == "proven") {
        proven++
        met += gap < 1e-4
        worst = gap > worst ? gap : worst
        crossed += $4 > $6 * (1 + 1e-7)
    } else {
        open++
        above += gap > 1e-4
    }
}
END {
    printf "\n%d optima proven by %s: %d met exactly, worst gap %.3f %%\n", proven, solver, met, worst
    printf "%d not proven in time: the plan costs more in %d\n", open, above
    printf "own bound: median %.2f %% below the best known, worst %.2f %%; above an optimum in %d\n",
        middle(under, NR), worst_under, crossed
    printf "  a tenth of them within %.2f %%, a quarter %.2f %%, three quarters %.2f %%, nine tenths %.2f %%\n",
        under[at(NR, 0.1)], under[at(NR, 0.25)], under[at(NR, 0.75)], under[at(NR, 0.9)]
    printf "%s takes %.0f times as long (median)\n", solver, middle(ratio, NR)
}' "$work/rows"
