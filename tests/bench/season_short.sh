#!/bin/sh
# season_short.sh SEASON - what must hold in every season: seven weeks of twelve containers, three
# policies, one seed, and a daemon that is killed, whose clock jumps, whose disk is full.
#
# What the water comes to is held where it was measured, with some room: of this season EC is in band
# all of the time and pH for 70 % of it; the lowest pH is 5.5 with a plant and 5.5 in the reservoir; on
# 0.9 days of 100 a plant is short of N and on 9.0 of K; of ten doses by a sheet into water that had been
# dosed before nine are below 1.58 of what was needed: the bottle of this seed is that much stronger than
# its label, and of doses among roots nothing is learned of a bottle.
set -eu
cd "$(dirname "$0")/../.."
one() {
    "$season" --room config/rooms/twelve.yaml --weeks 7 --seed 1 --json --policy "$@"
}
season=$1
{
    one tarn --faults kill@20,clock-jump@30,full-disk@40
    one calendar
    one calendar-grouped
} | python3 -c '
import json, sys
tarn, *calendars = [json.loads(line) for line in sys.stdin]
bad = [words for holds, words in (
    (tarn["dry_h"] == 0, "the reservoir was dry for %g h" % tarn["dry_h"]),
    (tarn["above_line"] == 0, "%g fills above a float line" % tarn["above_line"]),
    (tarn["refused"] == 0, "%g tasks were refused" % tarn["refused"]),
    (tarn["entries_told"] > 100, "only %g entries were told" % tarn["entries_told"]),
    (tarn["entries_lost"] == 0, "%g entries were told and are not in the journal" % tarn["entries_lost"]),
    (tarn["ec_in_pct"] >= 97, "EC was in band for %g %%" % tarn["ec_in_pct"]),
    (tarn["ph_in_pct"] >= 60, "pH was in band for %g %%" % tarn["ph_in_pct"]),
    (tarn["plant_ph_least"] >= 5, "a plant stood in pH %g" % tarn["plant_ph_least"]),
    (tarn["tank_ph_least"] >= 5, "the reservoir had pH %g" % tarn["tank_ph_least"]),
    (tarn["low_n_days_pct"] <= 2, "N was short on %g days of 100" % tarn["low_n_days_pct"]),
    (tarn["low_k_days_pct"] <= 12, "K was short on %g days of 100" % tarn["low_k_days_pct"]),
    (tarn["dose_again_ratio_p90"] <= 1.7, "doses into dosed water are %g of what was needed"
     % tarn["dose_again_ratio_p90"]),
    (all(abs(c["container_days"] - tarn["container_days"]) <= 0.01 * c["container_days"]
         for c in calendars), "the seasons differ by more than a start that waits for a visit"),
    (tarn["visits_week"] <= 3, "%g visits a week" % tarn["visits_week"]),
) if not holds]
print("\n".join(bad) or "no dry hour, no fill above a line, %g entries kept" % tarn["entries_told"])
sys.exit(bool(bad))
'
