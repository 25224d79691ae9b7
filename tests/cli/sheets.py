"""The set-up sheet read as the person at the lathe reads it, beside the programs it belongs to.

Every sample job, and each staff on the lathes whose tools are put in by hand: for each zero the
number to type in is worked out again from the tools' files, and what is touched must stand at that
moment and not be spoilt; each pause stands where it says, measures what it names and goes on at a
line that states all modes; sizes and hand work agree with the judge's.
"""
import glob
import json
import os
import re
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from installed import lay_out
from stages import stages

# A job beside each sample's own: what is changed in it.
HAND_JOBS = [
    ("fenmoor-43", "shop: bench-one-tool"), ("harrow-2p", "shop: bench-one-tool\ntry_parts: yes"),
    ("millrace", "shop: bench-one-tool"), ("tollgate", "shop: bench-one-tool"),
    ("wren-8", "shop: bench-one-tool"), ("fenmoor-43", "shop: bench-by-hand"),
    ("fenmoor-43", "shop: bench-one-tool\nsizing_length: 0.4"),
    ("fenmoor-43", "shop: bench-one-tool\npivot_order: last\nparting: through"),
    ("fenmoor-43", "sizing_length: 0.4\ntry_parts: yes"),
    ("tollgate", "pivot_order: last\nleave_long: 0.02"),
    # The plate of tools under a control without offsets.
    ("fenmoor-43", "shop: plate-shop"), ("millrace", "shop: plate-shop"),
    ("tollgate", "shop: bench-turning\nmeasure: no"),
]
NEVER = ["run that from the top", "cuts air up to", "in the reckoning of", "the tool 1", "the tool 2",
         "-0.0000", " nan", "inf "]
FEED = re.compile(r"G[123](?=[ X])")


def load_yaml(path):
    import yaml
    with open(path, encoding="utf-8") as file:
        return yaml.safe_load(file)


class Sheet:
    def __init__(self, folder, top):
        self.folder = folder
        self.raw = self.read("sheet.txt")
        self.text = " ".join(self.raw.split())
        self.setup = load_yaml(os.path.join(folder, "setup.yaml"))
        self.verdict = json.loads(self.read("dryrun.json"))
        self.sections = {s["name"]: s for s in self.verdict["sections"]}
        self.tools = {}
        for path in glob.glob(os.path.join(top, "profiles", "tools", "*.yaml")):
            tool = load_yaml(path)
            self.tools[tool["name"]] = tool
        self.is_diameter = "reads: the diameter" in self.text
        self.total = float(re.search(r"total length (\d+\.\d+)", self.text).group(1))
        self.faults = []

    def read(self, name):
        with open(os.path.join(self.folder, name), encoding="utf-8") as file:
            return file.read()

    def fault(self, words):
        self.faults.append(words)

    def near(self, what, got, wanted, by=6e-5):
        if abs(float(got) - wanted) > by:
            self.fault(f"{what}: {got}, wanted {wanted:.4f}")

    def sides(self):
        return range(len(self.setup["sides"]))

    def nib(self):
        """What stands of the neck beyond a tip that is left for the hand."""
        if self.setup.get("tip_by_hand", "none") == "none":
            return 0
        left_long = self.setup["tip"] + self.setup[self.setup["tip_by_hand"] + "_long"]
        return -self.setup["sides"][-1]["neck_z"] - self.total - left_long

    def files(self, side):
        return [p["file"] for p in self.setup["sides"][side]["programs"]]

    def is_upper(self, side):
        return self.setup["sides"][side]["end"] == "upper"

    def chucking_z(self, side, part_z):
        return -part_z if self.is_upper(side) else part_z - self.total

    def operations(self, side):
        """(file, name, its feed moves as (from, to), each (X on radius, Z)), as they run."""
        found = []
        for name in self.files(side):
            x = z = None
            for line in self.read(name).splitlines():
                if re.match(r"\((rough|semi|finish|face|clear|cut|part)", line):
                    found.append((name, line.strip("()"), []))
                number = r"\[?(-?\d+\.\d+)"
                if re.match(r"G[0123] ", line):
                    start = (x, z)
                    for letter, value in re.findall(rf"([XZ]){number}", line):
                        if letter == "X":
                            x = float(value) / (2 if self.is_diameter else 1)
                        else:
                            z = float(value)
                    if FEED.match(line) and found:
                        found[-1][2].append((start, (x, z)))
        return found

    def zero_blocks(self):
        """(side, file, tool name, text) for each tool told to find its zero."""
        for name, text in re.findall(
                r"Tools and their zero: before (\S+)(.*?)Order of work", self.text):
            side = int(name[5]) - 1
            text = re.split(r"Used on side 2 only", text)[0]
            tool = r"T\d+ ([^:]{3,40}): (?:pointed tool|blade|face point),"
            heads = list(re.finditer(tool, text))
            for head, end in zip(heads, [h.start() for h in heads[1:]] + [len(text)]):
                yield side, name, head.group(1), text[head.end():end]


def check_zeroes(sheet):
    """A side of the nose is touched; the program means another point of the tool. From the touched
    headstock side to the nose centre it is one nose radius, to the tip touched on the free side two,
    on a blade its width; X likewise from the axis side."""
    n = 0
    for side, name, tool_name, block in sheet.zero_blocks():
        tool = sheet.tools[tool_name]
        nose, is_centre = tool["nose_radius"], tool["point"] == "nose-centre"
        add_z = nose if is_centre else 0
        if not is_centre and tool.get("touched") == "free-side":
            add_z = tool["width"] if tool["kind"] == "blade" else 2 * nose
        add_x = nose * (2 if sheet.is_diameter else 1) if is_centre else 0
        record, files = sheet.setup["sides"][side], sheet.files(side)
        z = float(re.search(r"Z reads (-?\d+\.\d+)", block).group(1))
        before = [o for o in sheet.operations(side) if files.index(o[0]) < files.index(name)]
        after = [o for o in sheet.operations(side) if files.index(o[0]) >= files.index(name)]
        n += 1
        if "rod_diameter" not in record:
            sheet.near(f"{name}, {tool_name}, Z", z, record["nose_z"] + add_z)
        elif not before:
            sheet.near(f"{name}, {tool_name}, Z", z, record["rod_end_z"] + add_z)
        else:
            # Told to touch a face: a cut before has made it square, and nothing after it deeper.
            face = z - add_z
            if "a feeler between" not in block.split("X:")[0]:
                sheet.fault(f"{name}: a finished face is touched without a feeler")
            if not any(abs(b[1] - a[1]) < 1e-9 and abs(a[0] - b[0]) > 0.05 and abs(b[1] - face) < 1e-6
                       for o in before if re.match("face|finish", o[1])
                       for a, b in o[2]):
                sheet.fault(f"{name}: no program before it has cut a face at Z {face:.4f}")
        for base, x in re.findall(r"X reads (half of D|D)(?: plus (\d+\.\d+))?", block):
            n += 1
            if base != ("D" if sheet.is_diameter else "half of D"):
                sheet.fault(f"{name}, {tool_name}: X reads {base}")
            sheet.near(f"{name}, {tool_name}, X", x or 0, add_x)
        check_skim(sheet, name, side, block, before, after)
    if n < 6:
        sheet.fault(f"only {n} zeroes found on the sheet")


def check_skim(sheet, name, side, block, before, after):
    if "skim the end of the rod" in block and (before or side == 1):
        sheet.fault(f"{name}: the rod's end is to be skimmed, but it was cut already")
    place = re.search(r"skim by hand what stands between Z (\S+) and Z (\S+), about (\S+) across", block)
    if not place:
        return
    z0, z1, across = (float(v) for v in place.groups())
    if not z0 < z1:
        sheet.fault(f"{name}: a skim between Z {z0} and {z1}")
    # What stands there ends up thinner than the skim, everywhere between.
    for section in sheet.sections.values():
        z = sheet.chucking_z(side, section["measure_z_mm"])
        if z0 < z < z1 and section["size_mm"][1] > across - 0.08:
            sheet.fault(f"{name}: the skim at {across} spoils the {section['name']}")
    if not any(x < across / 2 - 0.04 and z0 <= z <= z1
               for o in after for _, (x, z) in o[2]):
        sheet.fault(f"{name}: what is skimmed at {across} is not cut away later")


def block_at(sheet, file, line, what):
    """The line told holds the operation's comment, and the block behind it states all modes."""
    lines = sheet.read(file).splitlines()
    told = " ".join(lines[line - 1:line + 1])
    if not lines[line - 1].startswith("(") or what not in told.replace(") (", " "):
        sheet.fault(f"line {line} of {file} is {lines[line - 1]!r}, not {what}")
        return
    modes = next(l for l in lines[line:] if not l.startswith("("))
    if not re.match(r"G2[01] G18 G40 G90 G9[45]", modes):
        sheet.fault(f"line {line} of {file}: {modes!r} states no modes")
    # Spindle, then a rapid with both axes, before anything is cut.
    rest = lines[line:]
    spindle = next(i for i, l in enumerate(rest) if re.search(r"S\d+ M[34]", l))
    move = next(i for i, l in enumerate(rest) if re.match(r"G[0123] ", l))
    if not spindle < move or not re.match(r"G0 X\S+ Z\S+$", rest[move]):
        sheet.fault(f"line {line} of {file}: begins with {rest[move]!r}")


def check_pauses(sheet):
    pauses = re.findall(r"\d+\. PAUSE: (measure|try) (.*?)(?= \d+\. [a-zP]|In all|Tools and)", sheet.text)
    stops = sum(len(re.findall(r"(?m)^M0$", sheet.read(f))) for s in sheet.sides() for f in sheet.files(s))
    if len(pauses) != stops:
        sheet.fault(f"{len(pauses)} pauses told, {stops} in the programs")
    sides = re.split(r"Side 2: the", sheet.text)
    for side, text in enumerate(sides[:2]):
        for words in re.findall(r"PAUSE: measure (the .*?)(?= \d+\. [a-zP]| In all| Tools and)", text):
            check_measure(sheet, side, words)
        for words in re.findall(r"PAUSE: try (the .*?)(?= \d+\. [a-zP]| In all| Tools and)", text):
            again = re.search(r"start at line (\d+) of (\S+) \((.*?)\)", words)
            block_at(sheet, again.group(2), int(again.group(1)), again.group(3))
            check_way_back(sheet, again.group(2), int(again.group(1)), words)
    if "turning" in sheet.text.split("dialect ")[1][:20] and "#1" not in sheet.text:
        for side in sheet.sides():
            for name in sheet.files(side):
                for rest in sheet.read(name).split("\nM0\n")[1:]:
                    if not re.match(r"\(.*\)\nT\d+ M6\n", rest):
                        sheet.fault(f"{name}: no tool word behind a pause")


def check_way_back(sheet, file, line, words):
    """From the cut that is run once more to the pause nothing else is cut, or it is said to stop."""
    lines = sheet.read(file).splitlines()
    pause = lines.index("M0", line)
    sections = [i + 1 for i in range(line, pause)
                if re.match(r"\((rough|semi|finish|face|clear|cut|part)", lines[i])]
    stop = re.search(r"Stop it before line (\d+) of (\S+) \((.*?)\)", words)
    if not sections:
        if stop or "comes back to this pause" not in words:
            sheet.fault(f"line {line} of {file}: comes back, and the sheet does not say so")
        return
    if not stop or int(stop.group(1)) != sections[0]:
        sheet.fault(f"line {line} of {file}: line {sections[0]} is not to be cut again")
        return
    block_at(sheet, stop.group(2), int(stop.group(1)), stop.group(3))
    on = re.search(r"go on at line (\d+) of (\S+) \((.*?)\)", words)
    if on:
        block_at(sheet, on.group(2), int(on.group(1)), on.group(3))
    if on and (int(on.group(1)) < pause or "M0" in lines[pause + 1:int(on.group(1))]):
        sheet.fault(f"line {on.group(1)} of {file} does not follow the pause at {pause + 1}")
    if not on and any(re.match(r"\((rough|semi|finish)", l) for l in lines[pause:]):
        sheet.fault(f"{file}: cuts follow the pause at {pause + 1}, and none is told")


def check_measure(sheet, side, words):
    found = re.match(r"the (.*?) at Z (\S+): expect (\d+\.\d+)(?:; after the next cut (\d+\.\d+))?", words)
    name, z, expected, target = found.groups()
    if target and float(target) >= float(expected):
        sheet.fault(f"the {name}: expect {expected}, after the next cut {target}")
    if name != "sizing length":
        section = sheet.sections[name]
        sheet.near(f"{name} after its last cut", target, section["turned_mm"])
        sheet.near(f"{name} as judged", target, sum(section["size_mm"]) / 2, 2e-3)
        row = re.search(rf"(?m)^  {re.escape(name)} +(?:[\d.]+ to )?[\d.]+ +([\d.]+)"
                        r"(?: +([\d.]+) +[\d.]+ +([\d.]+))?$", lengths_table(sheet))
        length = float(row.group(1))
        middle = sheet.chucking_z(side, section["measure_z_mm"])
        if abs(float(z) - middle) > length / 2 + 0.02:
            sheet.fault(f"the {name} is gauged at Z {z}, far from its middle at {middle:.3f}")
    on = re.search(r"Goes on at line (\d+) of (\S+) \((.*?)\)", words)
    if on:
        block_at(sheet, on.group(2), int(on.group(1)), on.group(3))
        lines = sheet.read(on.group(2)).splitlines()[:int(on.group(1)) - 1]
        # Between the two only a tool may come in and stand at the place for hands.
        last = [l for l in lines if l and not l.startswith("(")]
        while re.match(r"T\d+ M6$|G5\d|G0 X[123]\d\.\d+ Z[23]\d\.", last[-1]):
            last.pop()
        last = last[-1]
        if last != "M0":
            sheet.fault(f"before line {on.group(1)} of {on.group(2)} stands {last!r}, no pause")
    number = re.search(r"goes into (#\d+)", words)
    if number:
        file = on.group(2)
        if f"{number.group(1)}=0.0000" not in sheet.read(file):
            sheet.fault(f"{number.group(1)} is not set in the head of {file}")
    elif "the X of " not in words:
        sheet.fault(f"the {name}: nothing says where the correction goes")


def lengths_table(sheet):
    after = re.search(r"(Stone and burnish|Hardening and tempering)\n---", sheet.raw)
    return sheet.raw[sheet.raw.index("  length of"):after.start()]


def check_bends(sheet, stderr):
    for name, most in re.findall(r"the (.*?) may come out up to (\d+\.\d+) um", stderr):
        section = sheet.sections.get(name)
        if not section:
            continue
        if len(re.findall(rf"up to {most} um off its size", sheet.text)) < 2:
            sheet.fault(f"that bending may move the {name} by {most} um is not told twice")
        if not re.search(rf"bends the {name}: gauge it near its tip, Z -?\d\.\d+, and near its root, Z",
                         sheet.text):
            sheet.fault(f"nothing says where the bent {name} is gauged")


def check_sizes(sheet):
    for name, section in sheet.sections.items():
        # with the bending of the last cut: what a gauge finds
        least, most = section["size_mm"]
        bend = (section["predicted_nominal_mm"] or (least + most) / 2) - (least + most) / 2
        # the verdict's six places may lie on either side of a half of the sheet's four
        off = "|".join("%.4f" % (least + bend + step) for step in (-2e-6, 2e-6))
        if not re.search(rf"(?m)^  {re.escape(name)} +({off})", sheet.raw):
            sheet.fault(f"the {name} is not {off} off the machine")
        least, _ = section["length_mm"] or (None, None)
        if least and not re.search(rf"(?m)^  {re.escape(name)} +{least:.3f} ", lengths_table(sheet)):
            sheet.fault(f"the {name} is not {least:.3f} long off the machine")
    least, most = sheet.verdict["total_length_mm"]
    if f"Total length: {least:.4f}" not in sheet.text:
        sheet.fault(f"the total off the machine is not {least:.4f}")
    # Lengths off the machine add up to the judged total, row by row.
    rows = re.findall(r"(?m)^  (\w[\w ]*?) {2,}((?:[\d.]+ to )?[\d.]+) +([\d.]+)(?: +([\d.]+) +([\d.]+) +([\d.]+))?$",
                      lengths_table(sheet))
    if len(rows) != len(sheet.sections):
        sheet.fault(f"{len(rows)} rows of lengths")
    at = 0
    for name, off, finished, upper, lower, bare in rows:
        ends = [float(end) for end in off.split(" to ")]
        at += sum(ends) / len(ends)
        if upper:
            sheet.near(f"{name}, from the upper tip", upper, at, 6e-3)
            sheet.near(f"{name}, both ways", float(upper) + float(lower), least - sheet.nib(), 2e-3)
    sheet.near("all lengths", at + sheet.nib(), most, 6e-3)


def check_hand_work(sheet):
    text = sheet.text[sheet.text.index("Stone and burnish ---"):]
    first, then = re.split(r"Then the (?:upper|lower) end", text, maxsplit=1)
    if len(sheet.setup["sides"]) == 1:
        check_free_hand_work(sheet, first, then)
        return
    last_end = sheet.setup["sides"][1]["end"]
    if f"First the {last_end} end, in the holder of side 2" not in first:
        sheet.fault("hand work does not begin with the end cut last")
    for name in re.findall(r"(?m)^  (\w[\w ]*?) {2,}[\d.]+(?: to [\d.]+)? +-0", sheet.raw):
        line = re.search(rf"\[ \] (?:Stone|Burnish) the {re.escape(name)}[ ,]", text)
        if not line:
            sheet.fault(f"no hand work on the {name}, though the table takes some off")
    rests = re.search(r"Push the shoulder of the ([\w ]+) hard on the nose", sheet.text).group(1)
    if f"the {rests} from" in first:
        sheet.fault(f"the {rests} is worked while its shoulder sits on the nose")
    grip = sheet.setup["sides"][1]["grips"]
    if f"the {grip} from" in first:
        sheet.fault(f"the {grip} is stoned while side 2 holds it")
    if f"Stone the {grip}" in then and f"Side 2 holds the {grip} as turned" not in then:
        sheet.fault(f"nothing says that the {grip} waits")
    if not re.search(r"hold it by the [\w ]+, diameter \d|by a carrier", then):
        sheet.fault("nothing says how the end cut first is held")


def check_free_hand_work(sheet, first, then):
    """A piece that no second chucking holds: the end that was broken off comes first."""
    last_end = "lower" if sheet.is_upper(0) else "upper"
    if sheet.setup.get("tip_by_hand") != last_end:
        sheet.fault("the record does not say which tip is left for the hand")
    if f"First the {last_end} end" not in first or not re.search(r"Hold the piece by the [\w ]+, diameter", first):
        sheet.fault("nothing says how the piece is held for the end that was broken off")
    nib = re.search(r"grind off what stands of the neck, up to (\S+) beyond its face", first)
    if not nib or abs(float(nib.group(1)) - sheet.nib()) > 6e-3:
        sheet.fault(f"of the neck {nib and nib.group(1)} are told to stand, it is {sheet.nib():.3f}")
    if not re.search(r"hold it by the [\w ]+, diameter \d|by a carrier", then):
        sheet.fault("nothing says how the end cut first is held")


def check_second(sheet):
    """A second spindle is spoken of where the record has one take the piece, by what it takes."""
    takes = [side["second"] for side in sheet.setup["sides"] if "second" in side]
    told = re.findall(r"it takes the piece by the ([\w ]+), diameter (\S+) over (\S+), before the blade parts it.*?"
                      r"front face then stands at Z (\S+)\.", " ".join(sheet.text.split()))
    if len(told) != len(takes) or ("second_takes:" in sheet.text) != bool(takes):
        sheet.fault(f"{len(told)} second spindles are told, {len(takes)} take the piece")
    for (name, *numbers), second in zip(told, takes):
        if name != second["section"]:
            sheet.fault(f"taken by the {name}, the record has the {second['section']}")
        for key, number in zip(("diameter", "length", "nose_z"), numbers):
            sheet.near("second spindle, " + key, number, second[key], 6e-3)


def check_blank(sheet):
    """Nothing is done by hand to a blank, and what comes after the lathe is away from it."""
    if "To a running balance" in sheet.text or "Stone and burnish ---" in sheet.text:
        sheet.fault("a blank is told to be stoned")
    if "by the steel maker's data sheet" not in sheet.text:
        sheet.fault("nothing says by what a blank is hardened")


def check_comes_back(sheet):
    """What a hardened blank must measure: by the two growths, from what it was turned to."""
    text = sheet.text[sheet.text.index("The blank comes back ---"):sheet.text.index("Side 1: the")]
    grown = [1 + sheet.setup["blank"]["grown_" + end] for end in ("least", "most")]
    sizes = re.findall(r"\[ \] ([\w ]+): turned to (\S+), now (\S+) to (\S+) as", text)
    if len(sizes) < 5:
        sheet.fault(f"only {len(sizes)} sizes of the blank are told")
    for name, soft, least, most in sizes:
        sheet.near(f"{name}, least", least, float(soft) * grown[0], 2e-4)
        sheet.near(f"{name}, most", most, float(soft) * grown[1], 2e-4)
        section = sheet.sections.get(name)
        made = section and section["made_by"] if section and "made_by" in section else None
        if section and made is None and name in ("collet seat", "balance seat", "hub"):
            sheet.near(f"{name} as judged, least", least, section["size_mm"][0], 2e-4)
            sheet.near(f"{name} as judged, most", most, section["size_mm"][1], 2e-4)


def check_neck(sheet):
    """What hangs on a neck is caught: the sheet says where it is, how thick, and that it is not touched."""
    told = re.search(r"hangs on the neck at Z (\S+) now, diameter (\S+): neither gauge nor touch it", sheet.text)
    first = "\n".join(sheet.read(f) for f in sheet.files(0))
    if ("neck beyond the" in first) != bool(told):
        sheet.fault("the neck that carries the staff and what the sheet says of it differ")
    if not told:
        return
    sheet.near("the neck", told.group(1), sheet.setup["sides"][0]["neck_z"], 6e-4)
    if "Catch it, do not drop it" not in sheet.text:
        sheet.fault("nothing says that the piece is caught")
    # The deepest cut of the neck is the last one, a radius; drawn in by less than a micrometre.
    cut = first[first.index("(finish neck"):]
    deepest = min(float(x) for x in re.findall(r"G1 X(\S+) Z", cut)) * (1 if sheet.is_diameter else 2)
    sheet.near("diameter of the neck", told.group(2).rstrip(":"), deepest, 2e-3)


def check_words(sheet, job):
    faults = [words for words in NEVER if words in sheet.text]
    if faults:
        sheet.fault(f"the sheet says {faults}")
    name = re.search(r"(?m)^name: (.*)$", job).group(1)
    if f"Job {name}:" not in sheet.text:
        sheet.fault("the job is not named")
    if "hub" not in sheet.sections:
        # What comes after the lathe may name the hub that stays in the balance.
        texts = [sheet.raw.split("To a running balance")[0]] + [sheet.read(f) for s in sheet.sides() for f in sheet.files(s)]
        if any(re.search(r"\bhub\b", text) for text in texts):
            sheet.fault("a staff without hub has one on the sheet or in a program")
    for side, record in enumerate(sheet.setup["sides"]):
        used = {int(t) for f in sheet.files(side) for t in
                re.findall(r"(?m)^T(\d+) M6", sheet.read(f)) + re.findall(r"-t(\d+)", f)}
        part = sheet.text.split("Side 2: the")[side]
        idle = [s["station"] for s in record["stations"] if s["station"] not in used]
        told = re.search(r"Not used on this side: (.*?)\. Leave", part)
        listed = [int(t) for t in re.findall(r"T(\d+) \(", told.group(1))] if told else []
        if listed != idle:
            sheet.fault(f"side {side + 1}: T{idle} move along, told are T{listed}")


def write_plate_shop(top, scratch):
    for folder, name, change in (("machines", "plate-machine", ("tool_offsets: by-system", "tool_offsets: none")),
                                 ("shops", "plate-shop", ("post: strict", "post: strict-file-per-tool"))):
        with open(os.path.join(top, "profiles", folder, "bench-gang.yaml"), encoding="utf-8") as file:
            text = file.read().replace(*change).replace("machine: bench-gang", "machine: plate-machine")
        with open(os.path.join(scratch, name + ".yaml"), "w", encoding="utf-8") as file:
            file.write(text)


def jobs_of(top, scratch):
    write_plate_shop(top, scratch)
    for path in sorted(glob.glob(os.path.join(top, "samples", "*", "job*.yaml"))):
        for options in stages(path):
            yield " ".join([os.path.relpath(path, top), *options]), path
    for i, (sample, lines) in enumerate(HAND_JOBS):
        with open(os.path.join(top, "samples", sample, "job.yaml"), encoding="utf-8") as file:
            text = file.read().replace("staff: ", "staff: " + os.path.join(top, "samples", sample) + os.sep)
        for line in lines.splitlines():
            text = re.sub(rf"(?m)^{line.split(':')[0]}:.*\n", "", text)
        path = os.path.join(scratch, f"job-{i}.yaml")
        with open(path, "w", encoding="utf-8") as file:
            file.write(text + lines + "\n")
        yield f"{sample}, {lines!r}", path


def main(program, top):
    try:
        import yaml  # noqa: F401
    except ImportError:
        print("skipped: python3-yaml is missing")
        sys.exit(77)
    failed = n = 0
    with tempfile.TemporaryDirectory() as scratch:
        program = lay_out(program, top, scratch)
        for n, (title, path) in enumerate(jobs_of(top, scratch), 1):
            folder = os.path.join(scratch, f"out-{n}")
            options = ["--hardened"] if title.endswith("--hardened") else []
            done = subprocess.run([program, "make", path, "-o", folder, *options], text=True,
                                  capture_output=True, check=False)
            if done.returncode != 0:
                faults = [f"make ends with {done.returncode}", done.stderr[-1000:]]
            else:
                sheet = Sheet(folder, top)
                with open(path, encoding="utf-8") as file:
                    check_words(sheet, file.read())
                check_zeroes(sheet)
                check_pauses(sheet)
                check_bends(sheet, done.stderr)
                check_sizes(sheet)
                if "Hardening and tempering ---" in sheet.text:
                    check_blank(sheet)
                else:
                    check_hand_work(sheet)
                if options:
                    check_comes_back(sheet)
                check_neck(sheet)
                check_second(sheet)
                faults = sheet.faults
            print(f"{'FAILED' if faults else 'ok'}: {title}")
            print("\n".join(faults), end="\n" if faults else "")
            failed += bool(faults)
    print(f"{n} sheets, {failed} failed")
    sys.exit(1 if failed or n < 20 else 0)


if __name__ == "__main__":
    main(os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]))
