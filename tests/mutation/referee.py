"""Whether a changed program does harm, by means that share nothing with the verifier: words read
here, metal removed by Shapely (tests/witness/removal.py), limits of limits.csv.

A program becomes a list of events: moves with all that decides what they do (tool, offsets, spindle,
feed), pauses, waits. The same list as the unchanged program: equivalent. Otherwise both programs are
cut, from the first event that differs, and what is left is compared.
"""
import csv
import math
import os
import re
import sys

import yaml
from shapely.affinity import translate
from shapely.geometry import MultiPoint, Polygon, box

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "witness"))
from removal import Lathe, Tool, beyond, load

WORD = re.compile(r"([A-Z])([-+]?(?:\d+\.?\d*|\.\d+))")
SUM = re.compile(r"\[([-+]?[0-9.]+)\+(?:2\*)?#[0-9]+\]")
GROUPS = ({0, 1, 2, 3}, {17, 18, 19}, {20, 21}, {90, 91}, {93, 94, 95}, {61, 61.1, 64},
          {54, 55, 56, 57, 58, 59}, {40, 41, 42})
KNOWN_G = set().union(*GROUPS) | {4, 49, 92.1, 97}
KNOWN_M = {0, 2, 3, 4, 5, 6, 30}
NEAR = 0.5  # [mm]: a place further from all those of the unchanged program may bring body or nose into play
SHORT = 0.01  # [mm]
CLEARANCE = 0.05  # [mm]: a rapid move nearer to the work than this is no clear case
ARC_MISMATCH = 0.01  # [mm]: more between the two radii of an arc is an error by any standard


class Wrong(Exception):
    """The text is wrong by the standard, or drives the machine as nobody may."""


class Unsure(Exception):
    """This referee does not know what a control does with it."""


def events(text, side, park):
    """What a control would do. Places in the frame of the tool in use: a wrong offset shows."""
    zero = {s["station"]: (s["zero_x"], s["zero_z"]) for s in side["stations"]}
    system = {s["system"]: (s["zero_x"], s["zero_z"]) for s in side["stations"]}
    x, z = park  # machine
    tool = selected = motion = feed = None
    rpm, spin, plane, unit, absolute, origin = 0.0, 0, 18, 1.0, True, 1
    found, ended = [], False
    for number, raw in enumerate(text.splitlines(), 1):
        line = re.sub(r"\([^)]*\)", "", raw).replace(" ", "").upper()
        if not line or line[0] in "%#":
            continue
        line = SUM.sub(r"\1", line)
        if WORD.sub("", line):
            raise Wrong(f"line {number} does not read")
        words = [(letter, float(value)) for letter, value in WORD.findall(line)]
        letters = [letter for letter, _ in words if letter not in "GM"]
        g = [v for letter, v in words if letter == "G"]
        m = [v for letter, v in words if letter == "M"]
        value = {letter: v for letter, v in words if letter not in "GM"}
        if len(set(letters)) < len(letters) or any(len(group & set(g)) > 1 for group in GROUPS) \
                or len(set(g)) < len(g) or not set(g) <= KNOWN_G or not set(m) <= KNOWN_M \
                or len({3, 4, 5} & set(m)) + len(set(m) - {3, 4, 5, 6}) > 1:
            raise Wrong(f"line {number} has words that do not go together")
        if {91, 93, 95, 41, 42, 64, 61.1} & set(g):
            raise Unsure(f"line {number}")
        for code in g:
            if code in (17, 18, 19):
                plane = int(code)
            if code in (20, 21):
                unit = 25.4 if code == 20 else 1.0
            if code in GROUPS[6]:
                origin = int(code) - 53
            if code in GROUPS[0]:
                motion = int(code)
        feed = value["F"] * unit if "F" in value else feed
        rpm = value.get("S", rpm)
        selected = int(value["T"]) if "T" in value else selected
        if rpm < 0 or (feed is not None and feed < 0):
            raise Wrong(f"line {number}: below 0")
        if 6 in m:
            if selected not in zero:
                raise Wrong(f"line {number}: no such tool")
            tool, spin = selected, 0
            found.append(("change", tool))
        spin = 1 if 3 in m else -1 if 4 in m else 0 if 5 in m else spin
        if 4 in g:
            if value.get("P", -1) < 0:
                raise Wrong(f"line {number}: a wait without time")
            found.append(("wait", value["P"], rpm, spin))
        elif "P" in value or ({"I", "K"} & set(value) and motion not in (2, 3)):
            raise Wrong(f"line {number}: words without use")
        elif "X" in value or "Z" in value:
            if motion is None or tool is None or origin not in system:
                raise Wrong(f"line {number}: moves without motion, tool or zero")
            of = system[origin]
            to = (value["X"] * unit + of[0] if "X" in value else x,
                  value["Z"] * unit + of[1] if "Z" in value else z)
            centre = None
            if motion in (2, 3):
                if plane != 18 or not {"I", "K"} & set(value):
                    raise Wrong(f"line {number}: an arc without plane or centre")
                centre = (x + value.get("I", 0) * unit, z + value.get("K", 0) * unit)
                if abs(math.dist(centre, (x, z)) - math.dist(centre, to)) > ARC_MISMATCH:
                    raise Wrong(f"line {number}: no arc ends there")
            if motion and not feed:
                raise Wrong(f"line {number}: no feed")
            here = zero[tool]
            local = [None if p is None else (p[0] - here[0], p[1] - here[1])
                     for p in ((x, z), to, centre)]
            found.append(("move", motion, tool, tuple(round(c, 7) for p in local if p for c in p),
                          rpm, spin, feed if motion else 0))
            x, z = to
        elif {0, 1, 2, 3} & set(g) or (motion in (2, 3) and {"I", "K"} & set(value)):
            raise Wrong(f"line {number}: a motion without an end")
        if 0 in m:
            if spin:
                raise Wrong(f"line {number}: a pause while the spindle turns")
            found.append(("pause",))
        if {2, 30} & set(m):
            ended = True
            break
    if not ended:
        raise Wrong("no end")
    return found


class Cutter(Lathe):
    """The witness's lathe, driven by events."""

    known, places, is_unsure = None, (), False

    def clearance(self, a, b):
        outline, point = self.tool.outline, self.tool.point
        ends = [translate(outline, z - point[0], x - point[1]) for x, z in (a, b)]
        return MultiPoint([p for e in ends for p in e.exterior.coords]).convex_hull.distance(self.stock)

    def cut(self, event, most_feed, direction):
        """Do one move; what it does that is harm by itself: (quantity, value)."""
        _, motion, tool, place, rpm, spin, feed = event
        (self.x, self.z), to = place[:2], place[2:4]
        self.tool, self.motion = self.tools[tool], motion
        before = self.stock
        is_new = self.known is not None and event not in self.known
        if is_new and min(math.dist(to, p) for p in self.places) > NEAR:
            self.is_unsure = True  # bodies, holders and the nose are not modelled here
        if is_new and motion == 0 and self.clearance(place[:2], to) < CLEARANCE:
            self.is_unsure = True
        if motion < 2:
            self.sweep(place[:2], to)
        else:
            self.arc(*to, *place[4:6])
        took = before.area - self.stock.area
        if took < 1e-9:
            return {}
        if motion == 0:
            return {"contact": beyond(before, self.stock)}
        if spin != direction or rpm <= 0:
            raise Wrong("a cut while the spindle does not turn, or turns the wrong way")
        # Metal off a length of path, beside the most of the same tool; short moves say nothing.
        load = took / max(math.dist(place[:2], to), SHORT)
        if self.known is None:
            self.most_load[tool] = max(self.most_load.get(tool, 0), load)
        return {"feed": feed / rpm / most_feed[tool], "load": load / self.most_load[tool]}


def read_limits():
    with open(os.path.join(HERE, "limits.csv"), encoding="utf-8") as file:
        rows = csv.reader(line for line in file if not line.startswith("#"))
        return {q: (float(limit), float(band)) for q, limit, band, _ in rows}


class Referee:
    def __init__(self, folder, profiles):
        setup, _ = load("setup.yaml", folder, profiles, "")
        shop, shop_folder = load(setup["shop"], folder, profiles, "shops")
        with open(os.path.join(folder, setup["staff"]), encoding="utf-8") as file:
            self.total = yaml.safe_load(file)["total"]["length"]
        self.limits = read_limits()
        self.sides, self.files = setup["sides"], []
        self.base, self.stock, self.most, self.tools = [], [], [], []
        self.most_load = [{} for _ in self.sides]
        stock = None
        for i, side in enumerate(self.sides):
            if "rod_diameter" in side:
                stock = box(-3 * self.total - 20, 0, side["rod_end_z"], side["rod_diameter"] / 2)
            self.tools.append({s["station"]: Tool(load(s["tool"], shop_folder, profiles, "tools")[0])
                               for s in side["stations"]})
            (program,) = side["programs"]
            self.files.append(os.path.join(folder, program["file"]))
            with open(self.files[-1], encoding="utf-8") as file:
                base = events(file.read(), side, (side["park_x"], side["park_z"]))
            most = {}
            for e in base:
                if e[0] == "move" and e[1]:
                    most[e[2]] = max(most.get(e[2], 0), e[6] / e[4])
            self.base.append(base)
            self.most.append((most, max(e[4] for e in base if e[0] == "move")))
            states, _ = self.cut(i, stock, base, [])
            self.stock.append(states)
            stock = self.turned(i, states[-1])

    def cut(self, i, stock, coming, harm):
        lathe = Cutter(stock, self.tools[i], {})
        lathe.most_load = self.most_load[i]
        if i < len(self.stock):  # the unchanged one is known already
            lathe.known = set(self.base[i])
            lathe.places = [e[3][2:4] for e in self.base[i] if e[0] == "move"]
        states = [stock]
        for event in coming:
            if event[0] == "move":
                harm.append(lathe.cut(event, self.most[i][0], 1))
                if event[1] and event[4] > 0:
                    harm.append({"speed": event[4] / self.most[i][1]})
            states.append(lathe.stock)
        if lathe.is_unsure:
            harm.append({"unsure": 1})
        return states, lathe.stock

    def turned(self, i, stock):
        """The piece as the next grip finds it; after the last, the part."""
        side = self.sides[i]
        if "neck_z" in side:
            stock = stock.intersection(box(side["neck_z"], -1, 100, 100))
        pieces = [p for p in getattr(stock, "geoms", [stock]) if p.area > 1e-9]
        if not pieces:
            raise Wrong("nothing is left")
        if i + 1 == len(self.sides):
            return max(pieces, key=lambda p: p.area)
        piece = max(pieces, key=lambda p: p.bounds[2])
        return Polygon([(-z - self.total, r) for z, r in piece.exterior.coords]).buffer(0)

    def judge(self, i, text):
        """("equivalent" | "harmful" | "harmless" | "between", why) of program I with this text."""
        side = self.sides[i]
        try:
            coming = events(text, side, (side["park_x"], side["park_z"]))
            base = self.base[i]
            if coming == base:
                return "equivalent", ""
            n = min(len(coming), len(base))
            same = next((k for k in range(n) if coming[k] != base[k]), n)
            harm = []
            _, stock = self.cut(i, self.stock[i][same], coming[same:], harm)
            if stock.symmetric_difference(self.stock[i][-1]).area > 1e-9:
                for k in range(i + 1, len(self.sides)):
                    _, stock = self.cut(k, self.turned(k - 1, stock), self.base[k], harm)
                part = self.turned(len(self.sides) - 1, stock)
                good = self.turned(len(self.sides) - 1, self.stock[-1][-1])
                harm += [{"gouge": beyond(good, part)}, {"uncut": beyond(part, good)}]
        except Wrong as wrong:
            return "harmful", str(wrong)
        except Unsure as unsure:
            return "between", str(unsure)
        worst = {}
        for quantities in harm:
            for name, value in quantities.items():
                worst[name] = max(worst.get(name, 0), value)
        is_unsure = worst.pop("unsure", 0)
        why = " ".join(f"{name} {value:.4f}" for name, value in worst.items())
        if any(value > sum(self.limits[name]) for name, value in worst.items()):
            return "harmful", why
        waits = [[e for e in es if e[0] != "move"] for es in (coming, base)]
        is_small = all(value < self.limits[name][0] - self.limits[name][1]
                       for name, value in worst.items())
        return ("harmless" if is_small and not is_unsure and waits[0] == waits[1] else "between"), why
