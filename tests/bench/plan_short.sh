#!/bin/sh
# plan_short.sh PLANBENCH - the short form of the bench: answers keep the rules, bounds lie below them,
# and input that cannot be is refused with a word that helps. plan.sh sets them beside a solver.
set -eu
exec python3 - "$1" <<'END'
import json, subprocess, sys, tempfile, os

bench = sys.argv[1]
folder = tempfile.mkdtemp()
bad = []

def run(*args):
    return subprocess.run([bench, *args], capture_output=True, text=True, timeout=300)

def put(name, thing):
    path = os.path.join(folder, name)
    with open(path, "w") as f:
        f.write(thing if isinstance(thing, str) else json.dumps(thing))
    return path

def answered(name, instance):
    path = put(name, instance)
    out = run(path)
    if out.returncode:
        bad.append("%s: %s" % (name, out.stderr.strip()))
        return None
    answer = json.loads(out.stdout)
    check = run("--check", put("answer", out.stdout), path)
    if check.returncode:
        bad.append("%s: the check says: %s" % (name, check.stderr.strip() or check.stdout.strip()))
    if not answer["bound"] <= answer["cost"] + 1e-9:
        bad.append("%s: a bound of %g above a cost of %g" % (name, answer["bound"], answer["cost"]))
    return answer

def drawn(jobs, days, seed):
    return json.loads(run("--generate", str(jobs), str(days), str(seed)).stdout)

for jobs, days, seed in ((0, 14, 1), (1, 14, 2), (8, 14, 3), (14, 14, 4), (20, 1, 5), (40, 30, 6)):
    answered("drawn-%d" % jobs, drawn(jobs, days, seed))

one = drawn(6, 14, 7)
for job in one["jobs"]:
    job.update(one["jobs"][0], id=job["id"])
alike = answered("all-alike", one)
if alike and sum(len(day["loads"]) for day in alike["days"]) != 1:
    bad.append("all-alike: six jobs that are alike have more than one load")

dry = drawn(6, 14, 8)
dry["reservoir"]["usable_l"] = 0
left = answered("no-capacity", dry)
if left and len(left["unplanned"]) != 6:
    bad.append("no-capacity: jobs are planned where nothing can be mixed")

large = drawn(4, 14, 9)
large["jobs"][0]["volume_l"] = 500
many = answered("larger-than-the-reservoir", large)
if many and max(load["count"] for day in many["days"] for load in day["loads"]) < 6:
    bad.append("larger-than-the-reservoir: 500 L in fewer than 6 fillings of 98 L")

late = drawn(3, 14, 10)
late["jobs"][0].update(earliest=20, due=21, latest=22)
past = answered("past-the-horizon", late)
if past and late["jobs"][0]["id"] not in past["unplanned"]:
    bad.append("past-the-horizon: a window that begins after the last day is planned")

def refused(name, words, change):
    o = drawn(3, 14, 11)
    text = change(o)
    out = run(put(name, text if isinstance(text, str) else o))
    if out.returncode != 1 or words not in out.stderr:
        bad.append("%s: exit %d, \"%s\", not a word of \"%s\"" %
                   (name, out.returncode, out.stderr.strip(), words))

refused("nan", "near 'NaN'", lambda o: json.dumps(o).replace("100.0", "NaN"))
refused("negative-volume", "cannot be", lambda o: o["jobs"][1].update(volume_l=-1))
refused("no-strength", "cannot be", lambda o: o["jobs"][1].update(ec=0))
refused("no-recipe", "id and a recipe", lambda o: o["jobs"][1].update(recipe=None))
refused("half-a-day", "whole number", lambda o: o["jobs"][1].update(due=1.5))
refused("ends-early", "cannot be", lambda o: o["jobs"][1].update(earliest=5, latest=2))
refused("budget", "one number for each day", lambda o: o["labour"]["budget_min"].pop())
refused("budget-text", "not below 0", lambda o: o["labour"]["budget_min"].__setitem__(2, "x"))
refused("negative-cost", "below 0", lambda o: o["cost"].update(open=-1))
refused("no-days", "1 to 366", lambda o: o.update(days=0))
refused("no-jobs", "a list", lambda o: o.update(jobs={}))
refused("cut-short", "premature end", lambda o: json.dumps(o)[:300])
refused("empty", "expected near end of file", lambda o: "\n")

print("\n".join(bad) or "the answers keep the rules")
sys.exit(bool(bad))
END
