#!/bin/sh
# season.sh [--seeds N] [--weeks N] [--rooms FILE,FILE...] [--policies P,P...] [--feed MS_CM]
# [--work DAY,DAY...] - seasons of the real daemon beside a notebook and two fixed calendars, on the same
# truth and seeds: medians, and the worst seed beside them. 20 seeds of 16 weeks in rooms of 12, 40 and 200
# containers where nothing else is said; as many at once as there are processors. The notebook is given
# the habits that serve it best in each room: the fewest minutes, visits counted, for each day of food in
# the narrow band, of two seeds.
set -eu
cd "$(dirname "$0")/../.."
. tests/bench/build.sh
build_for_bench season tarnd
exec python3 - "$@" <<'EOF'
import json, os, statistics, subprocess, sys
from concurrent.futures import ThreadPoolExecutor

options = {"seeds": "20", "weeks": "16", "policies": "tarn,notebook,calendar,calendar-grouped",
           "feed": "", "work": "",
           "rooms": "config/rooms/twelve.yaml,config/rooms/forty.yaml,tests/season/two-hundred.yaml"}
args = sys.argv[1:]
while args:
    if not args[0].startswith("--") or args[0][2:] not in options or len(args) < 2:
        sys.exit("season.sh [--seeds N] [--weeks N] [--rooms FILE,...] [--policies P,...] "
                 "[--feed MS_CM] [--work DAY,...]")
    options[args[0][2:]] = args[1]
    args = args[2:]

# figure, what it is called, digits, and whether more of it is worse
FIGURES = [
    ("ec_in_pct", "EC in band, %", 1, False), ("float_ec_in_pct", "  on float, %", 1, False),
    ("start_ec_in_pct", "  before, %", 1, False), ("ph_in_pct", "pH in band, %", 1, False),
    ("plant_ph_least", "lowest pH of a plant", 1, False),
    ("tank_ph_least", "  of the reservoir", 1, False),
    ("dose_ratio_worst", "dose over its need", 2, True),
    ("dose_again_ratio_worst", "  in dosed water", 2, True),
    ("low_n_days_pct", "short of N, % of days", 1, True),
    ("low_k_days_pct", "  of K", 1, True), ("low_ca_days_pct", "  of Ca", 1, True),
    ("ballast_end_pct", "ballast, % of EC", 1, True),
    ("dry_h", "dry reservoir, h", 0, True), ("above_line", "fills above a line", 0, True),
    ("changeovers", "changeovers", 0, True), ("changeover_days", "  days with one", 0, True),
    ("mixes", "mixes", 0, True), ("changes", "changes", 0, True), ("bumps", "bumps", 0, True),
    ("mixed_l", "solution mixed, L", 0, True), ("poured_away_l", "poured away, L", 0, True),
    ("plain_away_l", "plain water lost, L", 0, True),
    ("labour_min_week", "labour, min a week", 0, True),
    ("visits_week", "visits a week", 1, True),
    ("visited_min_week", "  with 10 min each", 0, True),
    ("worst_day_min", "worst day, min", 0, True), ("figures_week", "figures a week", 0, True),
    ("days_over_budget", "days over budget", 0, True), ("tasks_missed", "tasks missed", 0, True),
    ("alarms_true", "alarms true", 0, False), ("alarms_false", "alarms false", 0, True),
    ("refused", "refused", 0, True), ("entries_lost", "entries lost", 0, True),
    ("wall_s", "wall, s", 1, True)]


HABITS = [["--bump-below", below, "--bump-to", to, "--change-after", days]
          for below, to in (("60", "100"), ("70", "100"), ("80", "110"), ("90", "110"), ("95", "115"))
          for days in ("10", "14")]
habits = {}  # of the notebook, by room


def season(room, policy, seed, more=None):
    said = [w for k in ("feed", "work") if options[k] for w in ("--" + k, options[k])]
    said += more or (habits[room] if policy == "notebook" else [])
    run = subprocess.run(["build/tests/season", "--room", room, "--weeks", options["weeks"],
                          "--policy", policy, "--seed", str(seed), "--json"] + said,
                         capture_output=True, text=True)
    if run.returncode:
        raise RuntimeError("seed %d, %s, %s: %s" % (seed, policy, room, run.stderr))
    if run.stderr:
        print("seed %d: %s" % (seed, run.stderr.strip()), file=sys.stderr)
    return json.loads(run.stdout)


def choose_habits(room):
    def dear(pair):
        told = season(room, "notebook", pair[1], pair[0])
        return told["visited_min_week"] / max(told["narrow_pct"], 1)
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        cost = list(pool.map(dear, [(h, seed) for h in HABITS for seed in (1, 2)]))
    best = min(range(len(HABITS)), key=lambda k: cost[2 * k] + cost[2 * k + 1])
    habits[room] = HABITS[best]
    print("the notebook's habits: %s" % " ".join(HABITS[best]))


def seasons(room, policy):
    if policy == "notebook":
        choose_habits(room)
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        return list(pool.map(lambda seed: season(room, policy, seed),
                             range(1, int(options["seeds"]) + 1)))


def cell(told, key, digits, more_is_worse):
    told = [t for t in told if t[key] is not None]
    if not told:
        return "%9s %14s" % ("-", "")
    values = [t[key] for t in told]
    worst = (max if more_is_worse else min)(told, key=lambda t: t[key])
    return "%9.*f %9.*f (%2d)" % (digits, statistics.median(values), digits, worst[key],
                                  worst["seed"])


def product_used(told):
    sums = {}
    for t in told:
        for product, used in t["used"].items():
            sums.setdefault((product, used["unit"]), []).append(used["amount"])
    return sums


def print_labour(told):
    for kind in told[policies[0]][0]["labour_min_week_of"]:
        print("%-22s" % ("  " + kind) + "".join(" %9.0f %14s" % (statistics.median(
            t["labour_min_week_of"][kind] for t in told[p]), "") for p in policies))


policies = options["policies"].split(",")
for room in options["rooms"].split(","):
    try:
        told = {p: seasons(room, p) for p in policies}
    except RuntimeError as failed:
        sys.exit(str(failed))
    first = told[policies[0]][0]
    print("%s, %d containers, %s weeks, %s seeds: median, worst (its seed)" %
          (first["room"], first["containers"], options["weeks"], options["seeds"]))
    print("%-22s" % "" + "".join(" %24s" % p for p in policies))
    for key, words, digits, worse in FIGURES:
        print("%-22s" % words + "".join(" %24s" % cell(told[p], key, digits, worse) for p in policies))
        if key == "labour_min_week":
            print_labour(told)
    used = {p: product_used(told[p]) for p in policies}
    for product in sorted(set(k for p in policies for k in used[p])):
        print("%-22s" % ("%s, %s" % product) + "".join(
            " %9.0f %14s" % (statistics.median(used[p].get(product, [0])), "") for p in policies))
    inside = [sum(t[k] for t in told[policies[0]])
              for k in ("float_day_inside", "float_day_n", "low_day_inside", "low_day_n")]
    if inside[1]:
        print("inside their 90 %% intervals: %d of %d float days, %d of %d days of the low mark" %
              tuple(inside))
    print()
EOF
