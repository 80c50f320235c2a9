#!/bin/sh
# season_short.sh SEASON - what must hold in every season: seven weeks of twelve containers, three
# policies, one seed, and a daemon that is killed, whose clock jumps, whose disk is full.
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
    (all(c["container_days"] == tarn["container_days"] for c in calendars), "the seasons differ"),
) if not holds]
print("\n".join(bad) or "no dry hour, no fill above a line, %g entries kept" % tarn["entries_told"])
sys.exit(bool(bad))
'
