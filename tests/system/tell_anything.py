"""Tells a room true and false things at random, through the socket.

usage: tell_anything.py TARND CROPS ROOM [TELLINGS [SEED]]

Each figure, amount and word that was told has to stand in the journal, in an entry of what it was told
of; or the telling is refused whole, by the name of something that was told, and nothing is written.
"""
import random
import sys
import tempfile

from a_daemon import Daemon

# By figure: its key, what may be, and what cannot be. The last two as text, with a unit.
FIGURES = {
    "volume": ("volume_l", (0.1, 90), ["-3 L", "9e9 L", "4 mS/cm"]),
    "added": ("added_l", (0.1, 60), ["1e9 L", "wet"]),
    "ec": ("ec_ms_cm", (0.1, 2.5), ["99 mS/cm", "3 L", "?"]),
    "ph": ("ph", (4.5, 7.5), ["15", "5,8,1"]),
    "temp": ("temp_c", (15, 28), ["300 C", "warm"]),
    "slope": ("slope_pct", (85, 105), ["-5 %", "9 L"]),
    "offset": ("offset_mv", (-20, 20), ["9000 mV"]),
    "amount": ("amount", (1, 900), ["-1 L", "many"]),
    "yield": ("yield_g", (5, 900), ["-4 g", "1 L"]),
    "was": ("was_ms_cm", (0.1, 2.5), ["77 mS/cm"]),
    "took": ("took_min", (2, 90), ["3 L", "99 h"]),
}
WORDS = ["yes", "no", "part", "final", "leaf", "fruit", "tomato", "basil", "float", "filter", "wilting", "tip-burn",
         "ph-pen", "nonsense"]


class Teller:
    def __init__(self, daemon, seed):
        self.daemon, self.r = daemon, random.Random(seed)
        things = daemon.ask("show")["things"]
        self.products = things["products"]
        self.names = things["containers"] + ["reservoir", "room", "nobody"] + self.products + things["meters"]
        self.kinds = daemon.ask("kinds")["kinds"]
        self.faults = []
        self.taken = self.refused = self.asked = 0
        self.seen = set()

    def figures(self, likely):
        """Some figures, mostly of those that would be taken, as (said, known): said is what is sent."""
        said, known = {}, {}
        for word, (key, (lo, hi), wrong) in FIGURES.items():
            if self.r.random() > (0.8 if word in likely else 0.015):
                continue
            if self.r.random() < 0.04:
                said[word] = self.r.choice(wrong)
                known[key] = None
            else:
                known[key] = round(self.r.uniform(lo, hi), 2)
                said[key] = known[key]
        return said, known

    def told(self, likely, words, task=None):
        said, known = self.figures(likely)
        if task and task["ec_ms_cm"] and "ec_ms_cm" in said and self.r.random() < 0.8:
            said["ec_ms_cm"] = known["ec_ms_cm"] = round(task["ec_ms_cm"] * self.r.uniform(0.9, 1.1), 3)
        if task and task["volume_l"] and "volume_l" in said and self.r.random() < 0.8:
            said["volume_l"] = known["volume_l"] = round(task["volume_l"] * self.r.uniform(0.95, 1), 2)
        if self.r.random() < 0.12:
            product = self.r.choice(self.products + ["elixir"])
            said["amounts"] = {product: round(self.r.uniform(0.1, 30), 1)}
        if words and self.r.random() < 0.7:
            said["what"] = self.r.choice(words)
        return said, known

    def holds(self, entries, name, said, known):
        """What of it no entry holds."""
        about = [e for e in entries if not name or e["subject"] == name]
        for key, value in known.items():
            of_jug = [e for e in about if e["kind"] == "refilled"] if key == "ec_ms_cm" else []
            if value is None or not any(e["figures"].get(key) == value for e in about) \
                    and not any(e["figures"].get("was_ms_cm") == value for e in of_jug):
                yield key
        for product, amount in said.get("amounts", {}).items():
            if not any(a["product"] == product and a["amount"] == amount for e in about for a in e["amounts"]) \
                    and not any(e["subject"] == product and e["figures"].get("amount") == amount for e in entries):
                yield product
        if "what" in said and not any(e["what"] == said["what"] for e in about):
            yield "what"

    def judge(self, method, params, told, before):
        reply = self.daemon.call(method, **params)
        if "result" in reply:
            self.taken += 1
            entries = reply["result"]["entries"]
            for name, (said, known) in told.items():
                for lost in self.holds(entries, name, said, known):
                    self.faults.append(f"{method} {params}: '{lost}' of '{name}' is in no entry")
            return entries
        self.refused += 1
        error = reply["error"]
        names = {"at", "subject", "subjects", "what", "figures", "kind", "task", "only", "amounts", "note", "float",
                 "crop", "stage", "meter", "recipe", "sure", "to", "strength"}
        for name, (said, known) in told.items():
            names |= {name, *said, *said.get("amounts", {}), said.get("what")}
            names |= {word for word, f in FIGURES.items() if f[0] in said}
        names |= set(FIGURES)  # that it lacks
        field = error.get("data", {}).get("field")
        if field not in names and not any(n and n in error["message"] for n in names):
            self.faults.append(f"{method} {params}: refused without a name: {error}")
        if self.daemon.ask("status")["entries"] != before:
            self.faults.append(f"{method} {params}: refused, and yet something was written")
        return []

    def record(self, before):
        kind = self.r.choice(self.kinds)
        words = WORDS if kind["what"] else []
        if kind["word"] == "note":
            words = []
        told = {}
        for _ in range(self.r.choice((1, 1, 2))):
            told[self.r.choice(self.names)] = self.told(kind["figures"], words)
        params = {"kind": kind["word"], "subjects": {n: said for n, (said, _) in told.items()}}
        self.seen.add(kind["word"])
        return self.judge("record", params | self.manner(), told, before)

    def ack(self, before):
        tasks = self.daemon.ask("today")["tasks"]
        if not tasks:
            return self.record(before)
        task = self.r.choice(tasks)
        sheet = self.daemon.ask("show", what=task["id"])["worksheet"]
        likely = [f for s in sheet for f in s.get("tells", [])]
        likely += ["ec", "ph", "volume"] if task["kind"] in ("start", "change") else []
        words = ["yes", "no"] if task["kind"] == "check" else ["part", "final"] if task["kind"] == "harvest" else []
        params = {"task": task["id"]}
        told = {}
        if self.r.random() < (0.1 if task["kind"] == "read" else 0.6):
            told[""] = self.told(likely, words, task)
            params["figures"] = told[""][0]
        else:
            for name in task["subjects"]:
                if self.r.random() < 0.9:
                    told[name] = self.told(likely, words, task)
            params["subjects"] = {n: said for n, (said, _) in told.items()}
        self.asked += 1
        return self.judge("ack", params | self.manner(), told, before)

    def manner(self):
        manner = {"sure": True} if self.r.random() < 0.7 else {}
        if self.r.random() < 0.1:
            manner["note"] = "wet hands"
        if self.r.random() < 0.05:
            manner["at"] = self.r.choice(["yesterday 18:00", "tomorrow 18:00", "once"])
        return manner

    def tell(self, tellings):
        journal = {}
        for _ in range(tellings):
            before = self.daemon.ask("status")["entries"]
            for e in (self.ack if self.r.random() < 0.5 else self.record)(before):
                journal[e["seq"]] = e
            if self.r.random() < 0.08:
                self.daemon.ask("clock", advance=self.r.choice(["3h", "1d", "2d"]))
        self.is_in_the_log(journal)

    def is_in_the_log(self, journal):
        """What the answers said was written stands there."""
        after = None
        while True:
            page = self.daemon.ask("log", limit=200, **({"after": after} if after else {}))
            for e in page["entries"]:
                said = journal.pop(e["seq"], e)
                if any(said[k] != e[k] for k in ("kind", "subject", "what", "figures", "amounts", "note")):
                    self.faults.append(f"entry {e['seq']} was answered as {said}, and is {e}")
            after = page["next"]
            if after is None:
                break
        self.faults += [f"entry {seq} was answered, and is not in the log" for seq in journal]


def main():
    tarnd, crops, room = sys.argv[1:4]
    tellings = int(sys.argv[4]) if len(sys.argv) > 4 else 1500
    seed = int(sys.argv[5]) if len(sys.argv) > 5 else 1
    with open(room, encoding="utf-8") as f:
        text = f.read()
    with tempfile.TemporaryDirectory(prefix="tarn-tell-") as folder:
        daemon = Daemon(tarnd, crops, folder, text)
        try:
            teller = Teller(daemon, seed)
            teller.tell(tellings)
        finally:
            daemon.end()
    for text in teller.faults[:20]:
        print(text)
    print(f"{tellings} tellings, {teller.taken} taken, {teller.refused} refused by name, {len(teller.seen)} kinds, "
          f"{teller.asked} of tasks; {len(teller.faults)} faults")
    if teller.taken < tellings / 20 or teller.refused < tellings / 20:
        print("one of the two is hardly there: that tells nothing")
        return 1
    return 1 if teller.faults else 0


if __name__ == "__main__":
    sys.exit(main())
