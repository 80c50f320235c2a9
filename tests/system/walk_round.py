"""A grower walks through the demo room with `tarn round`, mistypes, breaks off and goes on.

usage: walk_round.py TARND CROPS ROOM TARN
"""
import os
import subprocess
import sys
import tempfile

from a_daemon import Daemon


def main():
    tarnd, crops, room, tarn = sys.argv[1:5]
    faults = []

    def wants(true, what):
        if not true:
            faults.append(what)

    with open(room, encoding="utf-8") as f:
        text = f.read()
    # half of the tomatoes have a ruler in them, 62.5 cL a cm between its marks, and so has the tank
    t1_4 = "  T1..T4: {crop: tomato,"
    wants(t1_4 in text and "  capacity: 90 L\n" in text, "the room is another one")
    line = next(one for one in text.splitlines() if one.startswith(t1_4))
    ruled = line.replace("T1..T4: {", "T3..T4: {start_height: 30 cm, float_height: 14 cm, ")
    text = text.replace(line, line.replace("T1..T4", "T1..T2") + "\n" + ruled)
    text = text.replace("  capacity: 90 L\n", "  capacity: 90 L\n  full_height: 60 cm\n")
    with tempfile.TemporaryDirectory(prefix="tarn-round-") as folder:
        daemon = Daemon(tarnd, crops, folder, text)

        def round_(*typed, all_=()):
            done = subprocess.run([tarn, "--socket", os.path.join(folder, "s"), "round", *all_],
                                  input="".join(line + "\n" for line in typed), text=True,
                                  stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False)
            wants(done.returncode == 0, f"round {typed} ended with {done.returncode}: {done.stdout}")
            return done.stdout

        def told(name):
            return [e["figures"] for e in daemon.ask("log", of=name)["entries"] if e["kind"] == "reading"]

        try:
            wants("Nothing is due to be read" in round_(), "a room without plants has a round")
            daemon.ask("record", kind="started", subjects={n: {"ec_ms_cm": 0.7} for n in ("T1", "T2", "T3", "T4")})
            daemon.ask("clock", advance="8d")
            # a slip of the finger is no figure, 7.4 wants acid, and then it is broken off
            out = round_("o.7", "0,7", "0.7", "5.9", "17", "0.71", "7.4", "17.2", ".")
            wants(told("T1") == [{"ec_ms_cm": 0.7, "ph": 5.9, "volume_l": 17}], f"T1 was told as {told('T1')}")
            wants(told("T2") == [{"ec_ms_cm": 0.71, "ph": 7.4, "volume_l": 17.2}], f"T2 was told as {told('T2')}")
            wants(told("T3") == [], "what was not measured was told")
            wants("'0,7' has a comma" in out, "a comma passed: " + out)
            wants("A figure, Enter where it was not measured" in out, "a slip passed: " + out)
            wants("of acid-down first" in out, "no acid is named: " + out)
            wants("2 told. Go on with: tarn round" in out, "how to go on is not said: " + out)
            # goes on with T3; 5.1 is asked back, and measured again
            out = round_("5.1", "5.9", "28.4", "n", "0.7", "5.9", "28.4")
            wants("T1" not in out, "it began anew: " + out)
            wants("level by the ruler, expected" in out and "cm" in out, "no ruler is asked for: " + out)
            wants("is strange" in out, "5.1 was not asked back: " + out)
            wants(told("T3") == [{"ec_ms_cm": 0.7, "ph": 5.9, "volume_l": 17}], f"T3 was told as {told('T3')}")
            # of a task about one vessel it stands there
            fill = [t for t in daemon.ask("today")["tasks"] if t["kind"] == "fill"]
            if fill:
                params = {"task": fill[0]["id"], "sure": True, "key": "once",
                          "figures": {"volume": "60 cm", "ec_ms_cm": 0.05, "ph": 5.8}}
                entries = daemon.ask("ack", **params)["entries"]
                held = daemon.ask("status")["reservoir"]
                wants(abs(held["volume_l"] - 90) < 0.01, f"60 cm are {held['volume_l']} L")
                wants(abs(held["height_cm"] - 60) < 0.01, f"… and {held['height_cm']} cm")
                wants(daemon.ask("ack", **params)["entries"] == entries, "a retry has another answer")
                filled = [e["seq"] for e in entries if "volume_l" in e["figures"]]
                daemon.ask("fix", entry=str(filled[0]), figures={"volume": "59 cm"})
                held = daemon.ask("status")["reservoir"]
                wants(abs(held["height_cm"] - 59) < 0.01, f"mended to {held['height_cm']} cm")
            wants(fill, "no fill is on the list")
            # cm in the ordinary telling, where there is a scale and where there is none
            daemon.ask("record", kind="reading", subjects={"T4": {"volume": "28.4 cm"}})
            daemon.ask("record", kind="reading", subjects={"reservoir": {"volume": "30 cm"}}, sure=True)
            wants(told("T4") == [{"volume_l": 17}], f"T4 was told as {told('T4')}")
            wants(told("reservoir") == [{"volume_l": 45}], f"told as {told('reservoir')}")
            bulk = daemon.ask("readings", readings=[{"subject": "T4", "level_cm": 28.4, "ph": 5.8},
                                                    {"subject": "T4", "level": "1 cm"},
                                                    {"subject": "T1", "level_cm": 20}])["refused"]
            wants(bulk[0] is None and told("T4")[-1] == {"volume_l": 17, "ph": 5.8}, f"bulk: {bulk}")
            wants("below the floor of T4" in (bulk[1] or ""), f"a ruler of 1 cm: {bulk[1]}")
            wants("gives T1 no height" in (bulk[2] or ""), f"a ruler where there is none: {bulk[2]}")
            # Enter alone tells nothing, whatever was expected
            round_(*[""] * 30, all_=("all",))
            wants(len(told("T1")) == 1, "Enter was taken for a figure")
        finally:
            daemon.end()
    for fault in faults:
        print(fault)
    print(f"{len(faults)} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
