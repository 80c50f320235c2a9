#!/bin/sh
# waters.sh [SEEDS] - the sheets of tarn followed on five waters with four acids: ten weeks in the room of
# forty, and 65 days of six tomatoes in 8.3 L on waters of which more and more is ballast. What it took
# over what the water needed, how sour it got, and on how many of 65 days a plant found less than 20 mg/L
# of N, K or Ca. 2 seeds where nothing else is said.
set -eu
cd "$(dirname "$0")/../.."
. tests/bench/build.sh
build_for_bench season tarnd
exec python3 - "${1:-2}" <<'PY'
import json, os, re, subprocess, sys, tempfile
from concurrent.futures import ThreadPoolExecutor

FORTY = open("config/rooms/forty.yaml").read()
# name, mS/cm, mg/L as CaCO3, pH, acid, strength; our own
WATERS = [("pure", "0.02", "5", "6.2", "nitric acid", "20 %"),
          ("moorland", "0.12", "30", "6.6", "citric acid", "25 %"),
          ("soft", "0.27", "75", "7.0", "phosphoric acid", "30 %"),
          ("tap", "0.54", "180", "7.4", "sulfuric acid", "15 %"),
          ("hard", "0.80", "300", "7.4", "nitric acid", "38 %")]
TOMATOES = ("containers:\n  A1..A6: {crop: tomato, start_volume: 18.9 L, float_volume: 8.3 L, "
            "remainder: 0.6 L, start: 2026-03-01}\n")


def put(text, pattern, by):
    out, n = re.subn(pattern, by, text, count=1)
    if n != 1:
        sys.exit("waters.sh: config/rooms/forty.yaml has no " + pattern)
    return out


def room(water, tomatoes):
    _, ec, alkalinity, ph, acid, strength = water
    text = put(FORTY, r"ec: 0\.05 mS/cm", f"ec: {ec} mS/cm")
    text = put(text, r"alkalinity: 15 mg/L", f"alkalinity: {alkalinity} mg/L")
    text = put(text, r"ph: 6\.8", f"ph: {ph}")
    text = put(text, r"reagent: phosphoric acid, strength: 30 %",
               f"reagent: {acid}, strength: {strength}")
    if tomatoes:
        text = put(text, r"capacity: 300 L", "capacity: 120 L")
        text = put(text, r"low: 80 L", "low: 30 L")
        text = text[:text.index("containers:\n")] + TOMATOES
    return text


def lived(water, tomatoes, seed):
    with tempfile.NamedTemporaryFile("w", suffix=".yaml") as f:
        f.write(room(water, tomatoes))
        f.flush()
        done = subprocess.run(["build/tests/season", "--room", f.name,
                               "--crops", "config/crops", "--weeks", "10", "--seed", str(seed),
                               "--json", "--policy", "tarn"], capture_output=True, text=True)
    if done.returncode:
        sys.exit(done.stderr)
    return json.loads(done.stdout)


def told(water):
    with tempfile.NamedTemporaryFile("w", suffix=".yaml") as f:
        f.write(room(water, True))
        f.flush()
        done = subprocess.run(["build/tarnd", "--check", "--room", f.name,
                               "--crops", "config/crops"], capture_output=True, text=True)
    return "spends a solution of" in done.stdout + done.stderr


seeds = range(1, int(sys.argv[1]) + 1)
jobs = [(w, t, s) for w in WATERS for t in (False, True) for s in seeds]
with ThreadPoolExecutor(os.cpu_count()) as pool:
    got = dict(zip(jobs, pool.map(lambda j: lived(*j), jobs)))

print("of doses after the first, what the sheet said over what the water needed")
print(f"{'water':9} {'acid':16} {'seed':>4} {'doses':>5} {'least':>6} {'90 %':>5} {'most':>5}"
      f" {'dosed pH':>8} {'reservoir':>9} {'plant':>5} {'in band %':>9}")
for w, tomatoes, seed in jobs:
    if not tomatoes:
        r = got[w, tomatoes, seed]
        print(f"{w[0]:9} {w[4]:16} {seed:4} {r['doses_again']:5.0f} {r['dose_ratio_least']:6.2f}"
              f" {r['dose_again_ratio_p90']:5.2f} {r['dose_again_ratio_worst']:5.2f}"
              f" {r['dosed_ph_least']:8.2f} {r['tank_ph_least']:9.2f} {r['plant_ph_least']:5.2f}"
              f" {r['ph_in_pct']:9.1f}")
print("\ntomatoes in 8.3 L: days of 65 below what serves, and whether --check said beforehand")
print(f"{'water':9} {'seed':>4} {'N':>5} {'K':>5} {'Ca':>5} {'most':>5} {'dosed pH':>8}"
      f" {'in band %':>9}  told")
for w, tomatoes, seed in jobs:
    if tomatoes:
        r = got[w, tomatoes, seed]
        print(f"{w[0]:9} {seed:4} " + " ".join(f"{0.65 * r[k]:5.1f}" for k in
              ("low_n_days_pct", "low_k_days_pct", "low_ca_days_pct")) +
              f" {r['dose_again_ratio_worst']:5.2f} {r['dosed_ph_least']:8.2f}"
              f" {r['ph_in_pct']:9.1f}  {'yes' if told(w) else 'no'}")
PY
