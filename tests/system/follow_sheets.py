"""A grower who follows sheets by their data alone, and never reads a sentence of them.

usage: follow_sheets.py TARND CROPS [WEEKS]

Rooms of invented products, with vessels of 12 L and 4 L in one task, dry salts, jugs and US units. What
is in a vessel is kept by arithmetic of its own: nutrient is amount times strength, and adds up. Each
vessel has to end within 2 % of what the sheet said that it is to be, no level may pass its line, no more
may be taken than there is, and what the daemon counts of litres and products has to be what was used.
"""
import os
import sys
import tempfile

from a_daemon import Daemon

WITHIN = 0.02  # of the target: what an EC meter is off by itself (common practice, no source)
# A season without one of these would say nothing of it: what hands do, a jug, 12 L and 4 L in one change.
MUST_SEE = ("let-in", "draw-off", "stir", "measure", "drain", "refill", "rinse", "dip", "pour-away", "pour-back",
            "bump", "set-in", "jug", "unlike vessels")
GAL_L = 3.785411784  # NIST Handbook 44: 231 cubic inches

FOLDER = os.path.join(os.path.dirname(os.path.abspath(__file__)), "../data/rooms")

# By room: its file, and what the file says as numbers. A product's strength is what a mL or a gram of
# it adds to the EC of a litre.
ROOMS = {
    "mixed": {
        "file": "mixed.yaml",
        "source_ms_cm": 0.1,
        "capacity_l": 120,
        "strength": {"calcium-part": 0.4, "sulfate-part": 0.8 / 3},  # 1.6 of 2 and 3 mL in a litre
        "lines_l": {**{f"L{i}": (12, 5) for i in (1, 2, 3)}, **{f"B{i}": (4, 1.8) for i in (1, 2, 3)}},
        "drinks_l": 0.33,
    },
    "jugs": {
        "file": "jugs.yaml",
        "source_ms_cm": 0.1,  # 50 ppm on the 500 scale
        "capacity_l": 30 * GAL_L,
        "strength": {"calcium-salt": 0.9 * GAL_L / 3, "other-salts": 0.6 * GAL_L / 2},
        "lines_l": {**{f"P{i}": (4 * GAL_L, 1.8 * GAL_L) for i in (1, 2)},
                    **{f"S{i}": (GAL_L, 0.5 * GAL_L) for i in (1, 2, 3)}},
        "drinks_l": 0.2,
    },
}


class Water:
    """Litres, and what is in them: strength times litres, of the source and of products."""

    def __init__(self, volume_l=0.0, salt=0.0, food=0.0):
        self.volume_l, self.salt, self.food = volume_l, salt, food

    def ec(self):
        return (self.salt + self.food) / self.volume_l if self.volume_l > 0 else 0.0

    def take(self, volume_l):
        part = min(1.0, volume_l / self.volume_l) if self.volume_l > 0 else 0.0
        out = Water(self.volume_l * part, self.salt * part, self.food * part)
        self.volume_l -= out.volume_l
        self.salt -= out.salt
        self.food -= out.food
        return out

    def pour(self, other):
        self.volume_l += other.volume_l
        self.salt += other.salt
        self.food += other.food


class Grower:
    def __init__(self, name, room, daemon):
        self.name, self.room, self.daemon = name, room, daemon
        self.reservoir, self.cans, self.jug = Water(), Water(), None
        self.vessel = {v: Water() for v in room["lines_l"]}
        self.age = {}
        self.floating = set()
        self.used = {}
        self.source_l = self.away_l = self.drunk_l = 0.0
        self.told_anew = {}  # by vessel: what went in, where that is not what the sheet said
        self.off = {}  # by how much what stayed in a vessel is stronger than believed, times its litres
        self.anew = None  # doses that take the place of the sheet's
        self.faults = []
        self.seen = {}  # what hands did, and how often
        self.worst = 0.0

    def saw(self, what):
        self.seen[what] = self.seen.get(what, 0) + 1

    def fault(self, text):
        self.faults.append(f"{self.name}, {self.today}: {text}")

    def near(self, what, got, want, within=WITHIN):
        off = abs(got - want) / want if want else 0.0
        self.worst = max(self.worst, off) if within == WITHIN else self.worst
        if off > within:
            self.fault(f"{what}: {got:.3f} where {want:.3f} was to be")

    def plain(self, volume_l):
        self.source_l += volume_l
        return Water(volume_l, volume_l * self.room["source_ms_cm"])

    def levels(self, name, line_l):
        if self.vessel[name].volume_l > line_l * 1.005:
            self.fault(f"{name} stands at {self.vessel[name].volume_l:.2f} L, over {line_l:.2f} L")

    # ---- one step, by its data

    def let_in(self, step, named):
        if step["into"] == "vessels":
            for v in named:
                self.vessel[v["name"]].pour(self.plain(v["volume_l"]))
                self.levels(v["name"], self.room["lines_l"][v["name"]][0])
            return
        litres = step["volume_l"]
        if step["into"] == "jug":
            self.saw("jug")
            self.jug = self.plain(litres)
            return
        litres = max(0, step["to_l"] - self.reservoir.volume_l)  # by its level, not by the forecast
        again = self.cans.take(litres)
        self.let_in_l = litres
        self.reservoir.pour(again)
        self.reservoir.pour(self.plain(litres - again.volume_l))
        if self.reservoir.volume_l > self.room["capacity_l"] * 1.005:
            self.fault(f"the reservoir runs over: {self.reservoir.volume_l:.1f} L")

    def stir(self, step, named):
        dose = dict(step["stirs"])
        if step["into"] == "jug" and self.anew:
            dose.update(self.anew[dose["product"]])
        into = {"reservoir": [self.reservoir], "jug": [self.jug]}.get(step["into"])
        for water in into or [self.vessel[v["name"]] for v in named]:
            water.food += dose["amount"] * self.room["strength"][dose["product"]]
            water.pour(self.plain(dose["water_ml"] / 1000))
            self.used[dose["product"]] = self.used.get(dose["product"], 0) + dose["amount"]

    def refill(self, named):
        out_of = self.jug or self.reservoir
        for v in named:
            if out_of.volume_l < v["volume_l"] * 0.98:
                self.fault(f"{v['name']} wants {v['volume_l']:.2f} L, {out_of.volume_l:.2f} are left")
            self.vessel[v["name"]].pour(out_of.take(v["volume_l"]))
            self.levels(v["name"], self.room["lines_l"][v["name"]][1])
            self.near(f"{v['name']} to its line", self.vessel[v["name"]].volume_l,
                      self.room["lines_l"][v["name"]][1])
            rest = self.off.get(v["name"], 0) / self.vessel[v["name"]].volume_l
            self.near(f"{v['name']} after the change", self.vessel[v["name"]].ec(), v["ec_ms_cm"] + rest)
        if len({round(v["volume_l"], 1) for v in named}) > 1:
            self.saw("unlike vessels")
        if self.jug:
            self.away_l += self.jug.volume_l
            self.jug = None

    def pour_back(self, v):
        self.vessel[v["name"]].pour(self.jug)
        self.jug = None
        self.near(f"{v['name']} after the bump", self.vessel[v["name"]].ec(), v["ec_ms_cm"])
        self.near(f"{v['name']} after the bump, litres", self.vessel[v["name"]].volume_l, self.stood_l)

    def dip(self, task, told, v, from_ms_cm, to_ms_cm, litres):
        self.reckon_anew(task, v, from_ms_cm, to_ms_cm)
        told["was"][v["name"]] = self.vessel[v["name"]].ec()
        self.stood_l = self.vessel[v["name"]].volume_l
        self.jug = self.vessel[v["name"]].take(litres)

    def pour_away(self, litres):
        if self.anew and all("water_ml" in d for d in self.anew.values()):
            litres = sum(d["water_ml"] for d in self.anew.values()) / 1000
        self.away_l += self.jug.take(litres).volume_l

    def bump(self, task, told, named):
        """Of several, one after the other: all that the steps of a single one are."""
        for v in named:
            self.dip(task, told, v, v["from_ms_cm"], v["ec_ms_cm"], v["dip_l"])
            self.pour_away(v["away_l"])
            for dose in v["stirs"]:
                self.stir({"stirs": dose, "into": "jug"}, [])
            self.pour_back(v)

    def reckon_anew(self, task, v, from_ms_cm, to):
        """A vessel that does not hold what is believed is bumped by what it does hold: "tarn mix"."""
        water = self.vessel[v["name"]]
        self.anew = None
        if abs(water.ec() / from_ms_cm - 1) <= 0.01 and abs(water.volume_l / v["volume_l"] - 1) <= 0.01:
            return
        mix = self.daemon.ask("mix", recipe=task["recipe"], volume=f"{water.volume_l} L",
                              **{"from": f"{water.ec()} mS/cm", "ec": f"{to} mS/cm"})
        self.anew = {}
        self.told_anew[v["name"]] = {d["product"]: d["amount"] for d in mix["doses"]}
        for d in mix["doses"]:
            self.anew[d["product"]] = {"amount": d["amount"]}
            if d["unit"] == "mL":  # what is thinned brings water; a salt is dissolved as on the sheet
                self.anew[d["product"]]["water_ml"] = d["amount"] * (d["thin"] - 1)

    def follow(self, task, sheet):
        """Does what the steps say, and gives what was measured on the way."""
        told = {"acid": {}, "was": {}, "mixed_l": None, "mix_ec": None}
        named = []
        self.anew = None
        self.told_anew = {}
        for step in sheet:
            does = step.get("does")
            self.saw(does)
            named = step.get("vessels", named)
            if does == "let-in":
                self.let_in(step, named)
            elif does == "draw-off":
                self.cans.pour(self.reservoir.take(self.reservoir.volume_l - step["to_l"]))
            elif does == "rinse":
                self.away_l += self.reservoir.volume_l + step["volume_l"]
                self.reservoir = Water()
                self.plain(step["volume_l"])
            elif does == "stir":
                self.stir(step, named)
            elif does == "measure" and "shows" in step:
                into = self.jug or (self.vessel[named[0]["name"]] if named else self.reservoir)
                self.near("what was mixed", into.ec(), step["shows"]["ec_ms_cm"])
                told["mix_ec"], told["mixed_l"] = into.ec(), into.volume_l
            elif does == "ph" and step["product"]:
                told["acid"][step["product"]] = step["amount_ml"]
            elif does == "drain":
                for v in named:
                    ec = self.vessel[v["name"]].ec()
                    told["was"][v["name"]] = ec
                    if v["ec_ms_cm"] is not None:  # what stays is not as strong as it is believed
                        self.off[v["name"]] = (ec - v["ec_ms_cm"]) * v["volume_l"]
                    left = self.vessel[v["name"]].take(v["volume_l"])
                    self.away_l += self.vessel[v["name"]].volume_l
                    self.vessel[v["name"]] = left
            elif does == "refill":
                self.refill(named)
            elif does == "dip":
                to = [s["vessels"][0]["ec_ms_cm"] for s in sheet if s.get("does") == "pour-back"][0]
                self.dip(task, told, named[0], named[0]["ec_ms_cm"], to, step["volume_l"])
            elif does == "pour-away":
                self.pour_away(step["volume_l"])
            elif does == "bump":
                self.bump(task, told, named)
            elif does == "pour-back":
                self.pour_back(named[0])
            elif does == "set-in":
                for v in named:
                    self.age[v["name"]] = 0
            elif does == "take-out":
                for v in named:
                    del self.age[v["name"]]
                    self.floating.discard(v["name"])
            elif does == "tell":
                told["tells"] = step.get("tells", [])
        return told

    # ---- what is told of it

    def told_of_each(self, task, told):
        each = {}
        for name in task["subjects"]:
            water = self.reservoir if name == "reservoir" else self.vessel[name]
            if task["kind"] == "check":
                each[name] = {"what": "yes" if name in self.floating else "no"}
                continue
            each[name] = {"ec_ms_cm": water.ec(), "ph": 5.8}
            if task["kind"] == "bump":
                each[name]["was_ms_cm"] = told["was"][name]
                if name in self.told_anew:
                    each[name]["amounts"] = self.told_anew[name]
            elif name != "reservoir" and name not in self.floating and "volume" in told["tells"]:
                each[name]["volume_l"] = water.volume_l
        return each

    def told_at_large(self, task, told):
        kind, asked = task["kind"], told.get("tells", [])
        figures = {"amounts": told["acid"]} if told["acid"] else {}
        if kind in ("start", "change") and told["mix_ec"] is not None:
            figures.update(ec_ms_cm=told["mix_ec"], ph=5.8)
            if "was" in asked:
                figures["was_ms_cm"] = told["mix_ec"]
            if "volume" in asked:
                figures["volume_l"] = told["mixed_l"]
        if kind == "change" and "added" in asked:
            figures["added_l"] = self.reservoir.volume_l
        if kind == "fill":
            figures.update(volume_l=self.reservoir.volume_l, added_l=self.let_in_l,
                           ec_ms_cm=self.reservoir.ec(), ph=5.8)
        if kind == "ph":
            figures["ph"] = 5.8
        if kind == "calibrate":
            figures["slope_pct"] = 97
        return figures

    def do(self, task):
        if task["kind"] == "overnight":  # moves no water; what it tells of leaks is tested elsewhere
            self.daemon.ask("drop", task=task["id"], why="nobody stays up")
            return
        sheet = self.daemon.ask("show", what=task["id"])["worksheet"]
        told = self.follow(task, sheet)
        params = {"task": task["id"], "sure": True}
        if task["kind"] in ("read", "check", "bump"):
            params["subjects"] = self.told_of_each(task, told)
        else:
            params["figures"] = self.told_at_large(task, told)
            if task["kind"] == "change":
                params["subjects"] = {n: {"was_ms_cm": ec} for n, ec in told["was"].items()}
        self.daemon.ask("ack", **params)
        if task["kind"] in ("start", "change", "fill"):
            self.compare(task)

    def compare(self, task):
        """What the daemon counts is what there is."""
        status = self.daemon.ask("status")
        for c in status["containers"]:
            if c["name"] in task["subjects"]:
                self.near(f"{c['name']} as counted", c["volume_l"], self.vessel[c["name"]].volume_l)
                self.near(f"{c['name']} as counted, EC", c["ec_ms_cm"], self.vessel[c["name"]].ec())
        if task["kind"] != "start" and not task["by_hand"]:
            self.near("the reservoir as counted", status["reservoir"]["volume_l"],
                      self.reservoir.volume_l)
        left = {p["name"]: p["left"] for p in self.daemon.ask("stock")["products"]}
        for product, used in self.used.items():
            self.near(f"{product} used, as counted", self.stock[product] - left[product], used, 0.005)

    # ---- the plants

    def live_a_day(self):
        for name, age in self.age.items():
            water = self.vessel[name]
            litres = min(self.room["drinks_l"] / (1 + 2.718281828 ** -((age - 12) / 4)), water.volume_l)
            eaten = min(0.8 * litres, water.food)
            water.volume_l -= litres
            water.food -= eaten
            self.drunk_l += litres
            self.age[name] += 1
            line_l = self.room["lines_l"][name][1]
            if water.volume_l < line_l:
                self.floating.add(name)
                if self.reservoir.volume_l < line_l - water.volume_l:
                    self.fault(f"{name} runs dry")
                water.pour(self.reservoir.take(line_l - water.volume_l))

    def season(self, weeks):
        self.stock = {p["name"]: p["left"] for p in self.daemon.ask("stock")["products"]}
        kinds = {}
        for _ in range(7 * weeks):
            now = self.daemon.ask("status")["now"]
            self.today = now[:10]
            for _ in range(60):
                tasks = self.daemon.ask("today")["tasks"]
                if not tasks:
                    break
                kinds[tasks[0]["kind"]] = kinds.get(tasks[0]["kind"], 0) + 1
                self.do(tasks[0])
            self.live_a_day()
            self.daemon.ask("clock", advance="1d")
        held = self.reservoir.volume_l + self.cans.volume_l
        held += sum(w.volume_l for w in self.vessel.values())
        if abs(self.source_l - held - self.away_l - self.drunk_l) > 1e-6 * self.source_l:
            self.fault(f"{self.source_l:.3f} L came, {held + self.away_l + self.drunk_l:.3f} are known")
        return kinds


def main():
    tarnd, crops = sys.argv[1:3]
    weeks = int(sys.argv[3]) if len(sys.argv) > 3 else 6
    faults = []
    seen = set()
    for name, room in ROOMS.items():
        with open(os.path.join(FOLDER, room["file"]), encoding="utf-8") as f:
            text = f.read()
        with tempfile.TemporaryDirectory(prefix="tarn-sheets-") as folder:
            daemon = Daemon(tarnd, crops, folder, text)
            try:
                grower = Grower(name, room, daemon)
                kinds = grower.season(weeks)
            finally:
                daemon.end()
        faults += grower.faults
        seen |= set(grower.seen)
        print(f"{name}: {sum(kinds.values())} tasks {kinds}, {grower.source_l:.1f} L let in, "
              f"{grower.away_l:.1f} poured away, {grower.drunk_l:.1f} drunk; "
              f"at worst {100 * grower.worst:.2f} % off")
    for does in MUST_SEE:
        if does not in seen:
            faults.append(f"'{does}' was in no sheet: so short a season tells nothing of it")
    for text in faults[:40]:
        print(text)
    print(f"{len(faults)} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
