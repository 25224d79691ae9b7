"""Programs as a person might spoil them: the judge must find every one out.

The same job is made for two controls: one that keeps to the standard (a gang plate, X as radius) and
one made for turning (a turret, X as diameter); a few things want a staff of another layout, or a
lathe with a guide bush, for what can go wrong there only. Then one thing at a time is spoilt in the texts, in
the setup record or in a tool's file, and the folder is judged again. A spoilt folder must fail, end
with 1 and name what is wrong; an edit that changes nothing a lathe would do must pass. Prints a table:
what was spoilt, what was to be found, what was found.
"""
import concurrent.futures
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from nc_text import divide_moves

JOBS = {"strict": "fenmoor-43/job.yaml", "turning": "fenmoor-43/job-turning.yaml",
        "twopiece": "harrow-2p/job.yaml", "bush": "fenmoor-43/job-bush.yaml", "second": "fenmoor-43/job-two-spindles.yaml",
        "single": "fenmoor-43/job-single.yaml", "onefile": "fenmoor-43/job-single-by-hand.yaml"}
ONE, TWO, SETUP = "side-1.nc", "side-2.nc", "setup.yaml"


class Text:
    """The lines of one program, found by the operation they stand in."""

    def __init__(self, text, x_scale):
        self.lines = text.split("\n")
        self.x_scale = x_scale

    def span(self, operation):
        """Lines of an operation: from its comment to the next blank line."""
        # A pivot may be cut in slices: its first one stands for it.
        first = next(i for i, line in enumerate(self.lines)
                     if line == f"({operation})" or line.startswith(f"({operation}, slice "))
        last = first
        while last < len(self.lines) and self.lines[last] != "":
            last += 1
        return first, last

    def find(self, operation, pattern, nth=0):
        first, last = (0, len(self.lines)) if operation is None else self.span(operation)
        found = [i for i in range(first, last) if re.search(pattern, self.lines[i])]
        if not -len(found) <= nth < len(found):
            raise ValueError(f"{operation}: {len(found)} lines like {pattern}")
        return found[nth]

    def replace(self, operation, pattern, by, nth=0):
        i = self.find(operation, pattern, nth)
        self.lines[i] = re.sub(pattern, by, self.lines[i], count=1)

    def drop(self, operation, pattern, nth=0):
        del self.lines[self.find(operation, pattern, nth)]

    def swap(self, operation, pattern, nth=0):
        """Change a line and the one after it for each other."""
        i = self.find(operation, pattern, nth)
        self.lines[i], self.lines[i + 1] = self.lines[i + 1], self.lines[i]

    def move_x(self, operation, pattern, by, nth=0):
        """Change the X of a line by so much of a radius."""
        i = self.find(operation, pattern, nth)
        self.lines[i] = re.sub(r"X(\[?)(-?\d+\.\d+)", lambda m: "X%s%.4f" % (
            m.group(1), float(m.group(2)) + by * self.x_scale), self.lines[i], count=1)

    def move_z(self, operation, pattern, by, nth=0):
        i = self.find(operation, pattern, nth)
        self.lines[i] = re.sub(r"Z(-?\d+\.\d+)", lambda m: "Z%.4f" % (float(m.group(1)) + by),
                               self.lines[i], count=1)

    def scale(self, words, by):
        for i, line in enumerate(self.lines):
            if not line.startswith("("):
                self.lines[i] = re.sub(rf"([{words}])(\[?)(-?\d+\.\d+)", lambda m: "%s%s%.4f" % (
                    m.group(1), m.group(2), float(m.group(3)) * by), line)

    def drop_operation(self, operation):
        """Without the stop for a tool change, a pause or the end behind it."""
        first, last = self.span(operation)
        stop = self.lines.index("M5", first) if "M5" in self.lines[first:last] else last
        del self.lines[first:min(stop, last)]

    def words(self, change):
        """Every line that is no comment, changed."""
        self.lines = [line if line.startswith("(") else change(line) for line in self.lines]

    def __str__(self):
        return "\n".join(self.lines)


# What is spoilt: name, file, what to do with its Text, findings wanted ("a|b": one of them). A case
# with dialects= is tried in those only.
CASES = []


def case(name, file, change, *wanted, dialects=("strict", "turning")):
    for dialect in dialects:
        CASES.append((dialect, name, file, change, wanted))


def on(method, *args, **named):
    return lambda text: getattr(text, method)(*args, **named)


# Of a finished pivot the last moves but the dome's: down to its level, along it, away from it.
# Drawn in against bending, it may slope along, too.
SLOPE, ALONG, LAST = r"^G1 X\S+ Z-", r"^G1 Z-", r"^G1((?: X\S+)? Z)-"
for side, end in ((ONE, "upper"), (TWO, "lower")):
    case(f"last pass of the {end} pivot 0.01 deeper", side,
         on("move_x", f"finish {end} pivot", SLOPE, -0.01, nth=-2), "gouge")
    case(f"last pass of the {end} pivot 0.002 deeper", side,
         on("move_x", f"finish {end} pivot", SLOPE, -0.002, nth=-2), "gouge")
    case(f"last pass of the {end} pivot 0.002 too high", side,
         on("move_x", f"finish {end} pivot", SLOPE, 0.002, nth=-2), "uncut")
    case(f"last pass of the {end} pivot dropped", side,
         on("drop", f"finish {end} pivot", LAST, nth=-2), "uncut")
    case(f"sign of Z dropped in the last pass of the {end} pivot", side,
         on("replace", f"finish {end} pivot", LAST, r"G1\1", nth=-2), "uncut")
    case(f"a finish operation of the {end} pivot dropped", side,
         on("drop_operation", f"finish {end} pivot"), "uncut")
    case(f"sign of I of the {end} cone's arc", side,
         on("replace", f"finish {end} cone to {end} back slope", r"^(G2 .*)I0", r"\1I-0"), "block")
    case(f"G3 for G2 on the {end} cone", side,
         on("replace", f"finish {end} cone to {end} back slope", "^G2 ", "G3 ", nth=-1),
         "gouge|uncut|depth")
    # Its long way round cuts nothing; what stands is 5 um square to the slope and more on the radius.
    case(f"the only arc of the {end} cone the long way round", side,
         on("replace", f"finish {end} cone to {end} back slope", "^G2 ", "G3 "), "uncut",
         dialects=("twopiece",))
    case(f"sign of K of the {end} tip's arc", side,
         on("replace", f"finish {end} pivot", r"^(G2 .*)K-0", r"\1K0", nth=-1), "block")
    case(f"G0 for G1 in a roughing pass of the {end} pivot", side,
         on("replace", f"rough {end} pivot", ALONG, "G0 Z-", nth=-1), "rapid-into-stock")
    case(f"G0 for G1 in the last pass of the {end} pivot", side,
         on("replace", f"finish {end} pivot", LAST, r"G0\1-", nth=-2), "rapid-into-stock")
    case(f"X and Z exchanged, {end} cone", side,
         on("replace", f"finish {end} cone to {end} back slope", r"^G1 X(\S+) Z(\S+)",
            r"G1 Z\1 X\2"), "gouge|nose-touches|rapid-into-stock|holder-rubs")
    case(f"X down before Z is back, {end} pivot", side,
         on("swap", f"rough {end} pivot", r"^G0 Z0\.", nth=-1), "rapid-into-stock")

# The side was roughed whole before, yet what these leave is more than the fine tool may take at once.
case("the roughing passes but two of the upper pivot dropped, the side being roughed", ONE,
     lambda t: drop_passes(t, "rough upper pivot"), "depth")
case("G2 for G3 at the hub's edge", ONE, on("replace", "finish hub", "^G3", "G2"), "gouge")
case("wrong tool: T4 for T2", ONE, on("replace", None, "^T2 M6", "T4 M6"),
     "gouge|uncut|wrong-tool|depth|heel-rubs")
# Every word of it: behind a pause the turning dialect calls the tool once more.
case("wrong tool: T1 for T2", ONE,
     lambda t: t.words(lambda line: "T1 M6" if line == "T2 M6" else line), "gouge|uncut|wrong-tool")
case("wrong tool: T2 for T1", TWO, on("replace", None, "^T1 M6", "T2 M6"),
     "depth|gouge|wrong-tool|overfeed")
case("wrong tool: T5 for T3", ONE, on("replace", None, "^T3 M6", "T5 M6"),
     "gouge|wrong-tool|nose-touches|lost-support")
case("a tool that does not exist", ONE, on("replace", None, "^T2 M6", "T9 M6"), "block|wrong-tool")
case("tool change dropped", ONE,
     lambda t: t.words(lambda line: "" if line == "T2 M6" else line), "wrong-tool|gouge|uncut")
case("wrong coordinate system in a head line", ONE,
     on("replace", "finish upper pivot", "G55", "G56"), "wrong-tool", dialects=("strict",))
case("wrong coordinate system after a tool change", ONE,
     lambda t: (t.replace(None, "^G55$", "G54"), t.replace(None, r"^G21.* G55", "G21 G18 G40 G90 G61")),
     "wrong-tool", dialects=("strict",))
case("wrong coordinate system in the turning dialect", ONE,
     on("replace", "finish upper pivot", "G54", "G55"), "wrong-tool", dialects=("turning",))
case("spindle left off", ONE, on("replace", "rough upper pivot", r" M3", " M5"), "spindle-stopped")
case("M3 dropped after a tool change", ONE, on("replace", "rough upper pivot", r" M3", ""),
     "spindle-stopped")
case("M3 dropped after a pause", TWO, on("replace", "finish roller seat", r" M3", ""),
     "spindle-stopped")
case("spindle reversed", TWO, on("replace", "finish roller seat", "M3", "M4"), "wrong-way")
case("X in before Z is there", ONE, on("swap", "part to a neck", r"^G0 X\S+ Z"),
     "rapid-into-stock")
case("approach in one rapid of both axes", ONE, lambda t: join_approach(t, "part to a neck"),
     "rapid-into-stock")
case("retract from behind the hub in one rapid of both axes", ONE,
     lambda t: join_retract(t, "rough the other side behind the hub"), "rapid-into-stock")
case("approach dropped, so that both axes move at once", ONE,
     on("drop", "rough the other side behind the hub", r"^G0 Z", nth=5), "depth|rapid-into-stock|gouge")
case("G0 for G1 through the recess", ONE,
     on("replace", "cut the recess of the rivet", ALONG, "G0 Z-", nth=2), "rapid-into-stock")
case("G0 for G1 in parting", ONE, on("replace", "part to a neck", "^G1", "G0"), "rapid-into-stock")
case("first feed dropped", ONE, on("replace", "face the end", r" F\S+", ""), "block|no-feed")
# The second one: the first is of the way through air.
case("feed without its point", ONE,
     on("replace", "finish upper pivot", r"F(\d*)\.(\d+)", r"F\1\2", nth=1), "overfeed")
case("S too high", ONE, on("replace", "semi-finish upper pivot", "S8000", "S80000"), "overspeed")
case("S a little too high", TWO, on("replace", "semi-finish lower pivot", "S8000", "S8500"),
     "overspeed")
case("speed limit dropped", ONE, on("words", lambda l: "" if l.startswith("G50") else l),
     "overspeed", dialects=("turning",))
case("surface speed for rev/min", ONE, on("replace", "face the end", "G96 S20", "G97 S20"),
     "overspeed", dialects=("turning",))
case("pause with the spindle running", ONE,
     lambda t: t.lines.pop(t.find(None, "^M0$") - 2), "pause-while-turning")
case("pause near the work", ONE,
     lambda t: (t.lines.pop(t.find(None, "^M0$") - 3), t.lines.pop(t.find(None, "^M0$") - 3)),
     "pause-while-turning")
case("parting dropped", ONE, on("drop_operation", "part to a neck"), "uncut")
case("parting too shallow", ONE, on("move_x", "part to a neck", r"^G1 X", 0.27), "uncut")
case("parting right through", ONE, on("replace", "part to a neck", r"^G1 X\S+", "G1 X-0.1"),
     "lost-support|wrong-order")
case("file cut short in an operation", ONE,
     lambda t: t.lines.__delitem__(slice(t.find("finish hub", "^G3"), None)), "block", "uncut")
case("file cut short before the end", TWO, on("drop", None, "^M2"), "block")
case("file empty", TWO, lambda t: t.lines.clear(), "block", "uncut")
case("sign of Z dropped in a roughing pass", ONE,
     on("replace", "rough collet seat", "^G1 Z-1", "G1 Z1", nth=3), "depth")
case("sign of Z dropped in a rapid", ONE,
     on("replace", "rough the other side behind the hub", r"^G0 Z-", "G0 Z", nth=6),
     "gouge|rapid-into-stock|depth")
case("point of a Z dropped", ONE, on("replace", "rough collet seat", r"^G1 Z-1\.", "G1 Z-1"),
     "beyond-travel")
case("point of a Z shifted", ONE, on("replace", "rough collet seat", r"^G1 Z-1\.(.)", r"G1 Z-1\1."),
     "nose-touches|gouge|depth")
case("X and Z exchanged everywhere", TWO,
     on("words", lambda l: l.translate(str.maketrans("XZ", "ZX"))), "gouge|nose-touches|beyond-travel")
case("the roughing passes but two dropped", TWO, lambda t: drop_passes(t, "rough roller seat"),
     "depth|rapid-into-stock")
case("facing dropped", TWO, on("drop_operation", "face the end"), "uncut|size|depth|rapid-into-stock")
case("the roughing passes but two of the lower pivot dropped", TWO,
     lambda t: drop_passes(t, "rough lower pivot"), "depth|rapid-into-stock")
case("roughing of the collet seat dropped", ONE, on("drop_operation", "rough collet seat"), "depth")
case("roughing of the hub dropped", TWO, on("drop_operation", "rough hub"), "depth")
case("recess dropped", ONE, on("drop_operation", "cut the recess of the rivet"), "uncut")
case("recess 0.02 deeper", ONE,
     on("move_z", "cut the recess of the rivet", SLOPE, -0.02, nth=-2), "gouge")
case("finish of the roller seat dropped", TWO, on("drop_operation", "finish roller seat"), "uncut")
case("finish of the hub dropped", ONE, on("drop_operation", "finish hub"), "uncut")
case("unit word G20 in the head", ONE, on("replace", None, "^G21", "G20"), "beyond-travel")
case("unit word G20 in one operation", ONE, on("replace", "finish upper pivot", "^G21", "G20"),
     "beyond-travel|gouge")
case("incremental for absolute", ONE, on("replace", "finish collet seat", "G90", "G91"),
     "gouge|beyond-travel|rapid-into-stock|holder-rubs|nose-touches|uncut")
case("plane word G17", ONE, on("replace", "finish hub", "G18", "G17"), "block")
case("X doubled: diameter for radius", ONE, on("scale", "X", 2), "uncut")
case("X doubled on the second side", TWO, on("scale", "X", 2), "uncut|beyond-travel")
case("X halved: radius for diameter", ONE, on("scale", "X", 0.5), "gouge|depth")
case("X halved on the second side", TWO, on("scale", "X", 0.5), "gouge|depth")
case("I doubled", TWO, on("scale", "I", 2), "block")
case("offset of a tool changed by 0.05 in X by the program", ONE,
     lambda t: t.lines.insert(t.find(None, "^G55$"), "G10 L2 P2 X-36.05"), "gouge",
     dialects=("strict",))
case("offset of a tool changed by 0.05 in Z by the program", TWO,
     lambda t: t.lines.insert(t.find(None, "^G55$"), "G10 L2 P2 Z-75.95"), "uncut|gouge|size",
     dialects=("strict",))
case("numbers of the point shifted by the program", TWO,
     lambda t: t.lines.insert(t.find("semi-finish lower pivot", "^G4") + 1,
                              "G92 X15.03 Z29.98" if t.x_scale == 1 else "G92 X30.06 Z29.98"),
     "gouge|uncut|control|block")
case("a correction of 0.01 left in", ONE, on("replace", None, r"^#102=0\.0000", "#102=-0.0100"),
     "gouge", dialects=("strict",))
case("a correction not taken out again", ONE,
     lambda t: t.lines.__setitem__(t.find(None, r"^#101"), "#101=0.0300"), "uncut|depth|gouge",
     dialects=("strict",))
case("a second M30 with lines behind it", ONE,
     lambda t: t.lines.insert(t.find("finish hub", "^G3"), "M30"), "uncut", "block")
case("two M30", ONE, lambda t: t.lines.__setitem__(t.find(None, "^M2$"), "M30\nM30"), "block")
case("a comment left open", ONE, on("replace", None, r"^\(finish hub\)", "(finish hub"), "block")
case("an unknown word", ONE, on("replace", "finish hub", r"^G1 X(\S+) F", r"G1 X\1 E5 F"), "block|control")
case("a code nobody knows", ONE, on("replace", "finish hub", "^G4", "G444"), "block|control")
case("letter O for zero", ONE, on("replace", "finish hub", r"(X\d\.\d*)0", r"\1O"), "block")
case("letter l for one", ONE, on("replace", "finish hub", r"X1\.", "Xl."), "block",
     dialects=("strict",))
case("comma for point", ONE, on("replace", "finish hub", r"(Z-?\d)\.", r"\1,"), "block")
case("two words of one letter", ONE, on("replace", "finish hub", r"^G1 X", "G1 X1.0 X"), "block")
case("radius compensation on", ONE, on("replace", "finish hub", "G40", "G42"), "block|control")
case("operations exchanged: hub finished before it is roughed", TWO,
     lambda t: exchange(t, "rough hub", "finish hub"), "depth|uncut|block")
case("parting before the hub", ONE, lambda t: to_front(t, "part to a neck", "rough hub"),
     "rapid-into-stock|wrong-order|depth")
case("parted through before the hub", ONE, lambda t: (
    t.replace("part to a neck", r"^G1 X\S+", "G1 X-0.1"), to_front(t, "part to a neck", "rough hub")),
     "wrong-order", "lost-support")


def join_approach(text, operation):
    i = text.find(operation, r"^G0 X\S+ Z")
    z = text.lines[i].split()[2]
    text.lines[i:i + 2] = [f"{text.lines[i + 1]} {z}"]


def join_retract(text, operation):
    """The moves out in X and then in Z at the end of an operation in one."""
    i = text.lines.index("M5", text.span(operation)[0])
    text.lines[i - 3:i] = [f"{text.lines[i - 2]} {text.lines[i - 1].split()[1]}"]


def drop_passes(text, operation):
    """Without the passes along the axis, but for the last two."""
    first, last = text.span(operation)
    passes = [i for i in range(first, last) if re.match(ALONG, text.lines[i])][:-2]
    for i in reversed(passes):
        del text.lines[i]


def block_of(text, operation):
    """An operation with the tool change before it, up to the next tool change."""
    first, last = text.span(operation)
    while not re.match(r"^\(Tool \d", text.lines[first]):
        first -= 1
    return first, last


def exchange(text, one, two):
    a, b = block_of(text, one), block_of(text, two)
    lines = text.lines
    text.lines = lines[:a[0]] + lines[b[0]:b[1]] + lines[a[1]:b[0]] + lines[a[0]:a[1]] + lines[b[1]:]


def to_front(text, what, before):
    a = block_of(text, what)
    lines = text.lines[a[0]:a[1]]
    end = next((i for i, line in enumerate(lines) if line in ("M2", "M30")), len(lines))
    lines = lines[:end]
    del text.lines[a[0]:a[0] + end]
    b = block_of(text, before)
    text.lines[b[0]:b[0]] = lines


# Edits of the setup record.
def change_yaml(pattern, by, nth=0):
    def change(text):
        i = text.find(None, pattern, nth)
        text.lines[i] = re.sub(pattern, by, text.lines[i])
    return change


def exchange_programs(text):
    a, b = text.find(None, "file: side-1.nc"), text.find(None, "file: side-2.nc")
    text.lines[a], text.lines[b] = text.lines[b], text.lines[a]


def exchange_sides(text):
    starts = [i for i, line in enumerate(text.lines) if line.startswith("  - name: side")]
    text.lines = text.lines[:starts[0]] + text.lines[starts[1]:] + text.lines[starts[0]:starts[1]]


case("programs of the sides exchanged", SETUP, exchange_programs,
     "gouge|nose-touches|rapid-into-stock|depth")
case("rod 0.5 thicker than written", SETUP, change_yaml("rod_diameter: 2", "rod_diameter: 2.5"),
     "depth|grip|rapid-into-stock")
case("rod 0.5 further out", SETUP, change_yaml(r"rod_end_z: \S+", "rod_end_z: 0.8"),
     "depth|rapid-into-stock")
case("nose 3 mm nearer", SETUP, change_yaml(r"nose_z: -7\S+", "nose_z: -5.2"), "nose-touches|grip")
case("wrong section gripped", SETUP, change_yaml("grips: balance seat", "grips: collet seat"), "grip")
case("grip written thicker than the work", SETUP,
     change_yaml(r"grip_diameter: 1\.\d+", "grip_diameter: 1.4"), "grip")
case("grip written longer than the seat", SETUP,
     change_yaml(r"grip_length: 0\.\d+", "grip_length: 1.6"), "grip")
case("rod written thicker where it is gripped", SETUP,
     change_yaml("grip_diameter: 2$", "grip_diameter: 2.4"), "grip")
case("wrong end named", SETUP, change_yaml("end: upper", "end: lower"), "gouge|uncut")
case("tool at another station", SETUP, lambda t: exchange_tools(t), "wrong-tool")
case("another tool in the holder", SETUP, change_yaml("tool: copy-point-35", "tool: rough-point-55"),
     "wrong-tool")
case("bar tail far too long", SETUP, change_yaml("tail: 60", "tail: 400"), "bar-whip")
case("programs of another job", None, None, "gouge|uncut")


# Passes within what the tool's file allows, on a pivot that the forces would break: the bar behind
# the tool, not its depth, is what counts. Fed away from the holder the tool has nothing but the
# finished pivot behind it.
def rough_outwards(text, operation, root):
    first, last = text.span(operation)
    passes = [i for i in range(first, last) if re.search(ALONG, text.lines[i])]
    for i in passes:
        text.lines[i] = re.sub(r"Z-\S+", f"Z-{root:.4f}", text.lines[i])
    i = passes[-1]
    down = text.lines[i - 1].replace("G0", "G1")
    text.lines[i - 1:i + 1] = [f"G0 Z-{root - 0.02:.4f}", down, "G1 Z0.1000"]


for side, end in ((ONE, "upper"), (TWO, "lower")):
    case(f"the {end} pivot roughed in one, its last pass too deep and outwards", side,
         lambda t, end=end: rough_outwards(t, f"rough {end} pivot", 0.25), "overstress")


def exchange_tools(text):
    a, b = text.find(None, "tool: rough-point-55"), text.find(None, "tool: copy-point-35")
    text.lines[a], text.lines[b] = text.lines[b], text.lines[a]


# A bar in a guide bush: what is turned down must not be drawn back into it.
def go_back(text, operation, before):
    """The cuts of an operation once more, its tool called for them and the other one after them."""
    first, last = text.span(operation)
    cuts = text.lines[first:last]
    called = [i for i in range(first) if re.match(r"T\d+ M6$", text.lines[i])][-1]
    at = text.span(before)[0]
    now = [i for i in range(at) if re.match(r"T\d+ M6$", text.lines[i])][-1]
    text.lines[at:at] = ["G0 X29.0", "M5", text.lines[called], *cuts, "G0 X29.0", "M5",
                         text.lines[now]]


def in_bush(name, file, change, *wanted):
    case(name, file, change, *wanted, dialects=("bush",))


def two_spindles(name, change, *wanted):
    case(name, ONE, change, *wanted, dialects=("second",))


PART = "part through"
two_spindles("the second spindle's word left out", on("drop", PART, "^M10$"), "second-spindle")
two_spindles("the second spindle comes when the piece is parted",
             lambda t: [t.drop(PART, "^M10$"),
                        t.lines.insert(t.find(PART, r"^G1 X\S+ F") + 1, "M10")], "second-spindle")
two_spindles("the second spindle leaves before the blade is through",
             lambda t: [t.drop(PART, "^M11$"), t.lines.insert(t.find(PART, "^M10$") + 1, "M11")],
             "second-spindle")
two_spindles("the second spindle is not sent away", on("drop", PART, "^M11$"), "second-spindle")
two_spindles("M11 for M10", on("replace", PART, "^M10$", "M11"), "second-spindle")
two_spindles("a word the machine does not have", on("replace", PART, "^M10$", "M12"), "block")
two_spindles("bar fed on while both spindles hold it",
             lambda t: t.lines.insert(t.find(PART, "^M10$") + 1, "G0 Z-5.2"), "second-spindle|size|gouge")
two_spindles("taken before the last seat is cut",
             lambda t: [t.drop(PART, "^M10$"),
                        t.lines.insert(t.find("finish collet seat", "^G1 ", 0), "M10")],
             "second-spindle")
two_spindles("taken a block earlier, the blade in its place already",
             lambda t: [t.drop(PART, "^M10$"), t.lines.insert(t.find(PART, r"^G1 X\S+ F"), "M10")])
case("the second spindle's stop 0.7 further on", SETUP, change_yaml("nose_z: -1.47", "nose_z: -2.17"),
     "second-spindle", dialects=("second",))

in_bush("last cut of the upper pivot repeated when all is turned", ONE,
        lambda t: go_back(t, "finish upper pivot", "part to a neck"), "lost-support")
in_bush("last cut of the upper cone repeated when all is turned", ONE,
        lambda t: go_back(t, "finish upper cone", "part to a neck"), "lost-support")
in_bush("collet seat tried and cut once more before it is parted", ONE,
        lambda t: go_back(t, "finish collet seat", "part to a neck"), "lost-support")
in_bush("upper pivot cut once more while its root is still held", ONE,
        lambda t: go_back(t, "finish upper pivot, slice 2 of 2", "rough collet seat"))
in_bush("drawn back for a tool change as on a bench lathe", ONE,
        lambda t: t.lines.insert(t.lines.index("M5", t.span("finish upper cone, slice 4 of 4")[0]),
                                 "G0 Z30.0"), "lost-support")
in_bush("drawn back to measure the collet seat", ONE,
        lambda t: t.lines.insert(t.lines.index("M5", t.span("semi-finish collet seat")[0]),
                                 "G0 Z1.5"), "lost-support")
in_bush("sign of Z dropped in an approach", ONE,
        on("replace", "finish collet seat", r"^G0 (X\S+) Z-", r"G0 \1 Z"), "lost-support")
in_bush("last pass of the collet seat 0.01 deeper", ONE,
        on("move_x", "finish collet seat", SLOPE, -0.01, nth=-2), "gouge")
in_bush("parted right through, a piece that is not to fall", ONE,
        on("replace", "part to a neck", r"^G1 X\S+", "G1 X-0.1"), "lost-support|wrong-order")
in_bush("bush 0.8 nearer to the tools than written", SETUP, change_yaml("bush_z: -31", "bush_z: -31.8"),
        "nose-touches")
in_bush("bush 12 further from the tools than written", SETUP,
        change_yaml("bush_z: -31", "bush_z: -19"), "overstress|deflection|lost-support")
in_bush("no word of where the bush stands", SETUP,
        lambda t: t.drop(None, "bush_z: "), "lost-support")
in_bush("a bush with a land of 1.2", ("machines", "sliding-bush.yaml", None),
        ("land: 4", "land: 1.2"), "lost-support")
in_bush("a bush whose face is as wide as its tools reach", ("machines", "sliding-bush.yaml", None),
        ("nose_diameter: 5", "nose_diameter: 12"), "nose-touches")
in_bush("a bush with a land of 3.8", ("machines", "sliding-bush.yaml", None),
        ("land: 4", "land: 3.8"))
in_bush("tools drawn away further at a pause", ONE,
        lambda t: t.lines.insert(t.lines.index("M5", t.span("semi-finish collet seat")[0]),
                                 "G0 X31.0"))

# Both sides in one grip: what is cut behind the hub hangs beyond the cut, at last on a neck.
def exchange_cuts(text, one, two):
    """Two operations of one tool, the one in the place of the other."""
    a, b = text.span(one), text.span(two)
    lines = text.lines
    text.lines = lines[:a[0]] + lines[b[0]:b[1]] + lines[a[1]:b[0]] + lines[a[0]:a[1]] + lines[b[1]:]


def in_one_grip(name, file, change, *wanted, dialects=("single", "onefile")):
    case(name, file, change, *wanted, dialects=dialects)


in_one_grip("last pass of the lower pivot 0.01 deeper", ONE,
            on("move_x", "finish lower pivot", SLOPE, -0.01, nth=-2), "gouge")
in_one_grip("last pass of the lower pivot 0.002 too high", ONE,
            on("move_x", "finish lower pivot", SLOPE, 0.002, nth=-2), "uncut")
in_one_grip("the lower cone's last slice left as roughed", ONE,
            on("drop_operation", "finish lower cone, slice 5 of 5"), "uncut")
in_one_grip("the roller seat roughed when all hangs on the neck", ONE,
            lambda t: exchange_cuts(t, "rough roller seat", "rough neck beyond the lower pivot"),
            "wrong-order|deflection|overstress")
in_one_grip("the cone roughed after the neck is", ONE,
            lambda t: exchange_cuts(t, "rough lower cone, slice 5 of 5", "rough neck beyond the lower pivot"),
            "depth|wrong-order|overstress")
in_one_grip("the neck turned through, a piece that is not to fall", ONE,
            on("replace", "finish neck beyond the lower pivot", r"^G1 X0\.\S+ Z", "G1 X-0.0300 Z"),
            "lost-support")
def thin_neck(text):
    """All of its plain length down to a hair, without the way up to the pivot's face."""
    at = text.find("finish neck beyond the lower pivot", r"^G1 X0\.0\d+ Z-\S+ F")
    for i in (at, at + 1):
        text.lines[i] = re.sub(r"X0\.\d+", "X0.0080", text.lines[i])
    while re.match(r"G[123] X0\.0[0-6]", text.lines[at + 2]):
        del text.lines[at + 2]


in_one_grip("the neck turned down to a hair, on which all of it whirls", ONE, thin_neck, "bar-whip")
in_one_grip("the neck left as thick as the pivot", ONE,
            on("drop_operation", "rough neck beyond the lower pivot"), "uncut|depth|overstress")
in_one_grip("sign of Z dropped in an approach behind the hub", ONE,
            on("replace", "rough lower pivot", r"^G0 (X\S+) Z-", r"G0 \1 Z"), "no-feed|depth|gouge|uncut")
in_one_grip("rapid for feed in a level behind the hub", ONE,
            on("replace", "rough lower pivot", r"^G1 Z-", "G0 Z-"), "rapid-into-stock")
in_one_grip("the neck said to be where the pivot is", SETUP,
            lambda t: t.replace(None, r"neck_z: -4\.\d+", "neck_z: -4.4"), "uncut|size|gouge")
in_one_grip("left point said to be touched on the other side", ("tools", "copy-left-35.yaml", None),
            ("touched: free-side", "touched: headstock-side"), "gouge|uncut")
in_one_grip("left point said to be a right one", ("tools", "copy-left-35.yaml", None),
            ("hand: left", "hand: right"), "gouge|uncut|depth")
in_one_grip("left point in a block that reaches to the holder", ("tools", "copy-left-35.yaml", None),
            ("ahead: 4.0", "ahead: 9.0"), "nose-touches|holder-rubs")
in_one_grip("no word that the tip is left for the hand", SETUP,
            lambda t: t.drop(None, "tip_by_hand"), "size", dialects=("onefile",))
in_one_grip("the other tip said to be left for the hand", SETUP,
            lambda t: t.replace(None, "tip_by_hand: lower", "tip_by_hand: upper"), "uncut",
            dialects=("onefile",))
in_one_grip("the second chucking's tip run 0.01 too deep", TWO,
            on("move_z", "form the tip of the lower pivot", r"^G2 X-", -0.01, nth=-1), "gouge|size|block",
            dialects=("single",))
in_one_grip("the tip formed without facing first", TWO,
            on("drop_operation", "face the end"), "depth|uncut|overstress|deflection", dialects=("single",))

# Tools whose file says something else than what the program was made with.
TOOLS = [
    ("tool point: nose centre for tip", "copy-point-35.yaml", "point: theoretical-tip",
     "point: nose-centre", "gouge|uncut"),
    ("tip touched on the other side", "copy-point-35.yaml", "touched: headstock-side",
     "touched: free-side", "gouge|uncut"),
    ("nose radius twice as large", "copy-point-35.yaml", "nose_radius: 0.02", "nose_radius: 0.04",
     "gouge|uncut"),
    ("blade three times as wide", "parting-05.yaml", r"width: \S+", "width: 1.5", "gouge|depth|lost-support"),
]
for name, file, pattern, by, *wanted in TOOLS:
    case(name, ("tools", file, None), (pattern, by), *wanted)

# A control that blends corners, by its machine's file, and a program that lets it.
def let_blend(text):
    for i, line in enumerate(text.lines):
        text.lines[i] = re.sub(r"\bG61\b", "G64", line)


MACHINES = {"strict": "bench-gang.yaml", "turning": "bench-turning.yaml"}
for dialect, machine in MACHINES.items():
    for blend, change, *wanted in ((0.01, let_blend, "control"), (0.01, None), (0.0004, let_blend)):
        CASES.append((dialect, f"path blended by {blend} in {'G64' if change else 'G61'}",
                      ("machines", machine, change), ("decimals:", f"blend: {blend}\n  decimals:"),
                      tuple(wanted)))

# What must stay "pass": nothing here changes what a lathe would do.
HARMLESS = [
    ("comment text", lambda t: t.replace(None, r"^\(finish hub\)", "(Herrn Meiers Nabe, fertig)")),
    ("blank lines", lambda t: t.lines.__setitem__(slice(None), [x for l in t.lines for x in (l, "")])),
    ("lower case", on("words", str.lower)),
    ("extra spaces", on("words", lambda l: "  " + l.replace(" ", "   ") + " " if l else l)),
    ("no spaces", on("words", lambda l: l.replace(" ", ""))),
    ("an extra dwell", lambda t: t.lines.insert(t.find("finish hub", "^G4"), "G4 P1.0")),
    ("leading and trailing zeros", on("words", lambda l: re.sub(r"([XZ])(-?)(\d+\.\d+)", r"\1\g<2>0\3", l))),
    ("codes with a leading zero", on("words", lambda l: re.sub(r"\bG([0-4])\b", r"G0\1", l))),
    ("modal G words left out", lambda t: drop_modal(t)),
    ("line ends of another system", lambda t: t.lines.__setitem__(
        slice(None), [l + "\r" for l in t.lines])),
    ("a comment before a word", on("replace", "finish hub", "^G1 X", "G1 (slowly) X")),
    ("coolant on", lambda t: t.lines.insert(t.find("finish hub", "^G4"), "M8")),
    ("M30 for M2", on("replace", None, "^M2$", "M30")),
    ("a comment and blank lines behind the end", lambda t: t.lines.extend(["", "(end of file)", ""])),
]


def number_lines(text):
    text.lines = [f"N{10 * i} {line}" if line and line[0] != "(" else line for i, line in enumerate(text.lines)]


def drop_modal(text):
    last = None
    for i, line in enumerate(text.lines):
        found = re.match(r"^(G[01]) (?=[XZ])", line)
        if found and found.group(1) == last:
            text.lines[i] = line[len(found.group(0)):]
        elif found:
            last = found.group(1)
        elif re.match(r"^G[23] ", line):
            last = None


HARMLESS.append(("N numbers", number_lines))
for pieces in (2, 3, 4, 8, 32, 100):
    HARMLESS.append((f"cuts along the axis in {pieces} moves each", lambda t, pieces=pieces:
                     t.lines.__setitem__(slice(None), divide_moves("\n".join(t.lines), pieces).split("\n"))))
for name, change in HARMLESS:
    for file in (ONE, TWO):
        case(name, file, change)
case("the roughed cone's arc the other way round, the finish being right", ONE,
     on("replace", "rough upper cone to upper back slope", "^G2 ", "G3 "))
case("the cone finished before it is roughed", ONE,
     lambda t: exchange(t, "rough upper cone to upper back slope",
                        "finish upper cone to upper back slope"))
case("zero of a tool found 0.05 elsewhere when zeroing", SETUP,
     change_yaml("zero_x: -16", "zero_x: -16.05"))


def make(program, top, folder):
    made = {}
    for dialect, job in JOBS.items():
        made[dialect] = os.path.join(folder, dialect)
        done = subprocess.run([program, "make", os.path.join(top, "samples", job), "-o",
                               made[dialect], "--profiles", os.path.join(top, "profiles")],
                              text=True, capture_output=True, check=False)
        if done.returncode != 0:
            sys.exit(f"make {job} ends with {done.returncode}\n{done.stderr}")
    return made


def read(path):
    with open(path, encoding="utf-8", newline="") as file:
        return file.read()


def write(path, text):
    with open(path, "w", encoding="utf-8", newline="") as file:
        file.write(text)


def spoil(index, made, top):
    """Give a spoilt copy beside the folder made (the record's relative names go on from there) and
    the profiles to judge it by."""
    dialect, _, file, change, _ = CASES[index]
    folder = f"{made[dialect]}-{index}"
    profiles = os.path.join(top, "profiles")
    shutil.copytree(made[dialect], folder)
    if file is None:
        other = "turning" if dialect == "strict" else "strict"
        for name in (ONE, TWO):
            shutil.copy(os.path.join(made[other], name), folder)
    elif isinstance(file, tuple):
        profiles = os.path.join(folder + "-profiles", "profiles")
        shutil.copytree(os.path.join(top, "profiles"), profiles)
        path = os.path.join(profiles, file[0], file[1])
        text = read(path)
        if not re.search(change[0], text):
            raise ValueError(f"{file[1]} does not say {change[0]}")
        write(path, re.sub(change[0], change[1], text))
        for name in (ONE, TWO) if file[2] else ():
            text = Text(read(os.path.join(folder, name)), 1)
            file[2](text)
            write(os.path.join(folder, name), str(text))
    else:
        path = os.path.join(folder, file)
        before = read(path)
        text = Text(before, 1 if dialect in ("strict", "single", "onefile") else 2)
        change(text)
        if str(text) == before:
            raise ValueError("the edit changes nothing")
        write(path, str(text))
    return folder, profiles


def judge(program, folder, profiles):
    done = subprocess.run([program, "dryrun", folder, "--json", "--profiles", profiles], text=True,
                          capture_output=True, check=False)
    programs = [os.path.join(folder, name) for name in (ONE, TWO)]
    by_setup = subprocess.run(
        [program, "dryrun", *[path for path in programs if os.path.exists(path)], "--setup",
         os.path.join(folder, SETUP), "--json", "--profiles", profiles],
        text=True, capture_output=True, check=False)
    verdict = json.loads(done.stdout) if done.stdout.startswith("{") else {}
    codes = sorted({f["code"] for f in verdict.get("findings", []) if f["severity"] == "error"})
    is_noted = any(f["code"] == "changed-since" for f in verdict.get("findings", []))
    return done, by_setup, verdict.get("verdict"), codes, is_noted


def run_case(program, made, top, index):
    dialect, name, file, _, wanted = CASES[index]
    try:
        folder, profiles = spoil(index, made, top)
    except ValueError as error:
        return False, f"{dialect:8}{name:60}the edit cannot be made: {error}"
    done, by_setup, verdict, codes, is_noted = judge(program, folder, profiles)
    if wanted:
        ok = (done.returncode == 1 and verdict == "fail" and
              all(any(code in codes for code in one.split("|")) for one in wanted))
    else:
        ok = done.returncode == 0 and verdict == "pass"
    ok = ok and by_setup.returncode == done.returncode and \
        (not isinstance(file, str) or is_noted)
    found = " ".join(codes) or verdict or f"exit {done.returncode}: {done.stderr[-300:]}"
    shutil.rmtree(folder)
    return ok, f"{dialect:8}{name:60}{' + '.join(wanted) or 'pass':40} {found}"


def main(program, top):
    failed = 0
    with tempfile.TemporaryDirectory() as folder:
        made = make(program, top, folder)
        with concurrent.futures.ThreadPoolExecutor(2) as pool:
            for ok, row in pool.map(lambda i: run_case(program, made, top, i), range(len(CASES))):
                print(f"{'ok' if ok else 'MISSED':8}{row}")
                failed += not ok
    print(f"{len(CASES)} edits, {failed} judged wrongly")
    sys.exit(1 if failed or len(CASES) < 200 else 0)


if __name__ == "__main__":
    main(os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]))
