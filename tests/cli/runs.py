"""Programs for a run of pieces from one bar, from outside: a batch on a shop with a stop for bars, on a turret and on a
gang plate, gives a program a bar that is judged to pass, and every edit a person might make of it by mistake is
found out. Prints a table: what was spoilt, what was to be found, what was found."""
import concurrent.futures
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

from broken import SLOPE, Text, read, write

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from jsonschema import Draft202012Validator

BAR = "bar-2"  # of the sample: one piece of the longer staff, then those of the shorter
PIECES = 7
PAUSE = "push the bar hard against the stop"


def stretch(text, number):
    """Lines of a piece: from its comment to that of the next, or to the end of the program."""
    def begin(k):
        return next((i for i, line in enumerate(text.lines) if line.startswith(f"(piece {k} of ")), None)
    last = begin(number + 1)
    return begin(number), len(text.lines) if last is None else last


def in_piece(number, pattern, change, nth=0):
    """Change the line of a piece that has PATTERN; `change` gives the lines that take its place."""
    def edit(text):
        first, last = stretch(text, number)
        found = [i for i in range(first, last) if re.search(pattern, text.lines[i])]
        if not -len(found) <= nth < len(found):
            raise ValueError(f"piece {number}: {len(found)} lines like {pattern}")
        at = found[nth]
        text.lines[at:at + 1] = change(text.lines[at])
    return edit


def by(pattern, to):
    return lambda line: [re.sub(pattern, to, line, count=1)]


def shift(word, by_mm):
    return lambda line: [re.sub(word + r"(-?\d+\.\d+)",
                                lambda m: f"{word}{float(m.group(1)) + by_mm:.4f}", line, count=1)]


def dropped(_):
    return []


def pause_dropped(number):
    """Message and stop of the advance: the bar stays where it was."""
    def edit(text):
        first, last = stretch(text, number)
        at = next(i for i in range(first, last) if PAUSE in text.lines[i])
        del text.lines[at:at + 2]
    return edit


def stop_not_called(number):
    """Neither by its tool word nor by its coordinate system: the tool before goes its way."""
    def edit(text):
        first, last = stretch(text, number)
        pause = next(i for i in range(first, last) if PAUSE in text.lines[i])
        kept = [line.replace("G59", "G58") for line in text.lines[first - 4:pause] if line != "T6 M6"]
        text.lines[first - 4:pause] = kept
    return edit


def as_alone(number, change):
    """An edit of the piece's own lines, as broken.py makes them."""
    def edit(text):
        first, last = stretch(text, number)
        own = Text("\n".join(text.lines[first:last]), text.x_scale)
        change(own)
        text.lines[first:last] = own.lines
    return edit


def piece_dropped(number):
    def edit(text):
        first, last = stretch(text, number)
        del text.lines[first:last]
    return edit


def piece_twice(number):
    def edit(text):
        first, last = stretch(text, number)
        text.lines[last:last] = text.lines[first:last]
    return edit


def operation_dropped(number, name):
    """Without the spindle's stop and the tool change behind it."""
    def edit(text):
        first, last = stretch(text, number)
        at = text.lines.index(f"({name})", first, last)
        end = next(i for i in range(at, last) if text.lines[i] in ("", "M5"))
        del text.lines[at:end]
    return edit


def stop_to(number, z):
    return in_piece(number, STOP_AT, by(r"Z-?\d+\.\d+", f"Z{z:.4f}"))


def whole(pattern, to, nth=1):
    """Of the setup record: the NTH place that reads so, from 1."""
    def edit(text):
        found = list(re.finditer(pattern, str(text)))
        place = found[nth - 1]
        text.lines = (str(text)[:place.start()] + re.sub(pattern, to, place.group(0)) +
                      str(text)[place.end():]).split("\n")
    return edit


def listed(more):
    """MORE pieces listed in the record, all like the last."""
    def edit(text):
        item = list(re.finditer(r"        - setup: [^\n]*\n          at_z: [^\n]*\n", str(text)))[-1]
        text.lines = (str(text)[:item.end()] + more * item.group(0) + str(text)[item.end():]).split("\n")
    return edit


def cut(more):
    """MORE pieces cut at the end of the program, all like the last."""
    def edit(text):
        first, last = stretch(text, PIECES)
        while text.lines[last - 1] in ("", "%") or re.search(r"M2|M30", text.lines[last - 1]):
            last -= 1
        text.lines[last:last] = more * (["T6 M6"] + text.lines[first:last])
    return edit


STOP_AT = r"^G0 Z0\.\d+$"  # the first such line of a piece: the stop's way to where the bar shall end
PROGRAM, SETUP = BAR + ".nc", "setup.yaml"
# What is spoilt; for each file what to do; findings wanted ("a|b": one of them).
CASES = [
    ("advance of piece 3 half a millimetre short", {PROGRAM: in_piece(3, STOP_AT, shift("Z", -0.5))}, ["advance"]),
    ("advance of piece 1 half a millimetre short", {PROGRAM: in_piece(1, STOP_AT, shift("Z", -0.5))}, ["advance"]),
    ("advance of piece 3 so short that the bar passes the stop", {PROGRAM: stop_to(3, -6)}, ["advance"]),
    ("advance of piece 3 four millimetres too long", {PROGRAM: in_piece(3, STOP_AT, shift("Z", 4))},
     ["rapid-into-stock|depth|overload"]),
    ("pause at the stop of piece 3 forgotten", {PROGRAM: pause_dropped(3)}, ["advance"]),
    ("pause at the stop of piece 1 forgotten", {PROGRAM: pause_dropped(1)}, ["advance"]),
    ("pause at the stop of the last piece forgotten", {PROGRAM: pause_dropped(PIECES)}, ["advance"]),
    ("stop not called for piece 3", {PROGRAM: stop_not_called(3)}, ["advance"]),
    ("stop half a face beside the axis at piece 3", {PROGRAM: in_piece(3, r"^G0 X0\.0000$", by("X0", "X5"))},
     ["advance"]),
    ("stop fed into the bar after piece 3 is held",
     {PROGRAM: in_piece(3, "^M0", lambda line: [line, "G1 Z-0.5 F0.02"])}, ["holder-rubs"]),
    ("stop driven into the bar after piece 3 is held",
     {PROGRAM: in_piece(3, "^M0", lambda line: [line, "G0 Z-0.5"])}, ["rapid-into-stock"]),
    ("spindle turns while the holder is opened for piece 3",
     {PROGRAM: in_piece(3, r"^G0 X(15|30)\.", lambda line: ["S500 M3", line])}, ["pause-while-turning"]),
    ("piece 2 not parted", {PROGRAM: operation_dropped(2, "part through")}, ["rapid-into-stock", "gouge"]),
    ("piece 3 dropped", {PROGRAM: piece_dropped(3)}, ["advance"]),
    ("last piece dropped", {PROGRAM: piece_dropped(PIECES - 1)}, ["advance"]),
    ("piece 3 cut twice", {PROGRAM: piece_twice(3)}, ["advance"]),
    ("piece 1 cut twice, that of another staff", {PROGRAM: piece_twice(1)}, ["advance", "gouge|uncut|size"]),
    ("last pass of the upper pivot of piece 4 ten micrometres deeper", {PROGRAM: as_alone(
        4, lambda text: text.move_x("finish upper pivot", SLOPE, -0.01, nth=-2))}, ["gouge"]),
    ("last pass of the upper pivot of piece 4 two micrometres too high", {PROGRAM: as_alone(
        4, lambda text: text.move_x("finish upper pivot", SLOPE, 0.002, nth=-2))}, ["uncut"]),
    ("piece 5 not faced", {PROGRAM: operation_dropped(5, "face the end")}, ["rapid-into-stock|depth|overload|uncut"]),
    ("two pieces too many for the bar, listed and cut", {PROGRAM: cut(2), SETUP: listed(2)}, ["advance"]),
    ("one piece more than the record lists", {PROGRAM: cut(1)}, ["advance"]),
    ("one piece more than is cut, listed", {SETUP: listed(1)}, ["advance"]),
    ("bar a little too short for its last piece", {SETUP: whole(r"bar_length: \S+", "bar_length: 52.6")}, ["advance"]),
    ("stop of another station", {SETUP: whole("stop: 6", "stop: 5")}, ["advance"]),
    ("stop that is not there", {SETUP: whole("stop: 6", "stop: 9")}, ["advance"]),
    ("holder that loses more than is faced off", {SETUP: whole(r"closing_loses: \S+", "closing_loses: 0.4")},
     ["advance"]),
    ("pieces of the record in another order", {SETUP: whole(r"length-4\.6500", "length-4.5500", nth=2)},
     ["gouge|size|uncut"]),
    ("a comment more", {PROGRAM: in_piece(3, "^M0", lambda line: [line, "(as always)"])}, []),
    ("advance of piece 3 a hundredth longer", {PROGRAM: in_piece(3, STOP_AT, shift("Z", 0.01))}, []),
    ("one piece more, listed and cut: the bar just bears it", {PROGRAM: cut(1), SETUP: listed(1)}, []),
    ("bar just long enough for its last piece", {SETUP: whole(r"bar_length: \S+", "bar_length: 52.7")}, []),
]


def batch(program, top, sample, out, *more):
    return subprocess.run([program, "batch", "--profiles", os.path.join(top, "profiles"),
                           os.path.join(sample, "batch.yaml"), "-o", out, *more], text=True,
                          capture_output=True, check=False)


def dryrun(program, top, *what):
    return subprocess.run([program, "dryrun", *what, "--profiles", os.path.join(top, "profiles")], text=True,
                          capture_output=True, check=False)


def spoilt(program, top, made, x_scale, index):
    """A spoilt copy beside the bar's folder: what its record names stays where it is."""
    name, edits, wanted = CASES[index]
    folder = os.path.join(made, f"spoilt-{index}")
    shutil.copytree(os.path.join(made, BAR), folder)
    for file, change in edits.items():
        path = os.path.join(folder, file)
        before = read(path)
        text = Text(before, x_scale)
        try:
            change(text)
        except (ValueError, IndexError, StopIteration) as error:
            return False, f"{name:62}the edit cannot be made: {error!r}"
        if str(text) == before:
            return False, f"{name:62}the edit changes nothing"
        write(path, str(text))
    done = dryrun(program, top, folder, "--json")
    verdict = json.loads(done.stdout) if done.stdout.startswith("{") else {}
    codes = sorted({f["code"] for f in verdict.get("findings", []) if f["severity"] == "error"})
    passed = [piece["verdict"] for piece in verdict.get("pieces", [])]
    if wanted:
        good = done.returncode == 1 and verdict.get("verdict") == "fail" and all(
            any(code in codes for code in one.split("|")) for one in wanted)
    else:
        good = done.returncode == 0 and verdict.get("verdict") == "pass" and set(passed) == {"pass"}
    found = " ".join(codes) or verdict.get("verdict") or f"exit {done.returncode}: {done.stderr[-200:]}"
    shutil.rmtree(folder)
    return good, f"{name:62}{' + '.join(wanted) or 'pass':36} {found}"


def check_made(out, top):
    """Every piece of the run sheet stands in a program, at the line said, in the order said."""
    with open(os.path.join(top, "profiles", "schemas", "dryrun.schema.json"), encoding="utf-8") as file:
        schema = Draft202012Validator(json.load(file))
    sheet = read(os.path.join(out, "run-sheet.txt"))
    rows = [line.split() for line in sheet.splitlines() if "______  ______" in line]
    bars = [part.splitlines() for part in sheet.split("\nBar ")[1:]]
    at = 0
    for k, bar in enumerate(bars, 1):
        folder = os.path.join(out, f"bar-{k}")
        verdict = json.loads(read(os.path.join(folder, "dryrun.json")))
        schema.validate(verdict)
        lines = read(os.path.join(folder, f"bar-{k}.nc")).splitlines()
        n = sum("______  ______" in line for line in bar)
        if verdict["verdict"] != "pass" or len(verdict["pieces"]) != n:
            return f"bar {k}: {len(verdict['pieces'])} pieces judged, {n} on the sheet"
        for piece, row in zip(verdict["pieces"], rows[at:at + n]):
            begin = int(row[-1])
            if piece["setup"] != f"../{row[1]}/setup.yaml" or not begin <= piece["line"] < piece["end_line"]:
                return f"bar {k}: {piece} is not {row}"
            if f"(piece {piece['piece']} of {n}, {row[1]}: bar to the stop)" not in lines[begin - 1:begin + 4]:
                return f"bar {k}: piece {piece['piece']} does not begin at line {begin}: {lines[begin - 1:begin + 4]}"
        at += n
    return None if at == len(rows) == 16 else f"{at} pieces of {len(rows)}"


def check_said(program, top, out):
    """What a dry run of a bar says to a person; the same when it is given by files."""
    done = dryrun(program, top, os.path.join(out, BAR))
    by_files = dryrun(program, top, os.path.join(out, BAR, PROGRAM), "--setup", os.path.join(out, BAR, SETUP))
    said = [line.split(",")[0] for line in done.stdout.splitlines() if line.startswith("piece")]
    wanted = ["piece 1 (../length-4.6500/setup.yaml): pass", "pieces 2 to 6 (../length-4.5500/setup.yaml): pass",
              "piece 7 (../length-4.5500/setup.yaml): pass"]
    if done.returncode or said != wanted or by_files.stdout.replace(os.path.join(out, BAR, ""), "") != done.stdout:
        return f"dryrun {BAR}: exit {done.returncode}: {done.stdout}{done.stderr}{by_files.stdout}"
    return None


def tree(folder):
    found = {}
    for at, _, files in os.walk(folder):
        for name in files:
            with open(os.path.join(at, name), "rb") as file:
                found[os.path.relpath(os.path.join(at, name), folder)] = file.read()
    return found


def check_kept(program, top, sample, out):
    """Any number of threads gives the same bytes; a bar that is proved is kept, and only that."""
    def stamps():
        return {k: os.stat(os.path.join(out, f"bar-{k}", "record.json")).st_ino for k in (1, 2, 3)}
    whole, before = tree(out), stamps()
    if batch(program, top, sample, out, "--jobs", "2").returncode or tree(out) != whole:
        return "made again: other bytes"
    if stamps() != before:
        return "bars made again though proved"
    with open(os.path.join(out, "bar-2", "setup.yaml"), "a", encoding="utf-8") as file:
        file.write("# touched\n")
    batch(program, top, sample, out)
    now = stamps()
    if tree(out) != whole or [now[k] == before[k] for k in (1, 2, 3)] != [True, False, True]:
        return "a touched bar was kept, or others made again"
    shutil.rmtree(out)
    batch(program, top, sample, out, "--jobs", "3")
    if tree(out) != whole:
        return "three threads give other bytes"
    path = os.path.join(sample, "batch.yaml")
    text = read(path)
    write(path, text.replace("quantity: 8", "quantity: 7"))
    said = batch(program, top, sample, out).stdout
    pieces = read(os.path.join(out, "bar-2", "setup.yaml")).count("- setup: \"../length-4.5500/setup.yaml\"")
    if pieces != 7 or re.findall(r"(\S+) +stands there from before", said) != ["bar-3"]:
        return f"other pieces from the same bars: {said}"
    write(path, text)
    batch(program, top, sample, out)
    return None if tree(out) == whole else "back to the pieces of before: other bytes"


def check_without(program, top, sample, out):
    """Where a run cannot be, it is said why; the variants are made all the same."""
    path = os.path.join(sample, "calibre-job.yaml")
    text = read(path)
    write(path, text.replace("parting: through\n", ""))
    said = batch(program, top, sample, out)
    write(path, text)
    if said.returncode or "Runs: none, though the shop has a stop: a piece broken off" not in said.stdout:
        return f"a neck: exit {said.returncode}: {said.stdout}"
    path = os.path.join(sample, "batch.yaml")
    text = read(path)
    write(path, text.replace("remnant: 20", "remnant: 4"))
    said = batch(program, top, sample, out)
    write(path, text)
    if said.returncode != 4 or "bar-1: no program" not in said.stdout or "2 made, 0 failed" not in said.stdout:
        return f"a remnant too short: exit {said.returncode}: {said.stdout}"
    hint = re.search(r"`remnant: (\S+)` or more", said.stdout)
    write(path, text.replace("remnant: 20", f"remnant: {hint.group(1)}"))
    said = batch(program, top, sample, out)
    write(path, text)
    return None if said.returncode == 0 else f"the hint followed: exit {said.returncode}: {said.stdout}"


def with_gang(top, folder):
    """The sample on a gang plate whose control reads the strict dialect, with the stop at its end."""
    def changed(kind, name, to, *changes):
        text = read(os.path.join(top, "profiles", kind, name))
        for old, new in changes:
            if old not in text:
                sys.exit(f"runs: {name} does not say {old}")
            text = text.replace(old, new)
        write(os.path.join(folder, to), text)
    last = "  - {number: 5, at: {x: 80, z: -60}, spindle: M3}\n"
    changed("machines", "bench-gang.yaml", "machine.yaml", ("travel_x: [-110, 0]", "travel_x: [-130, 0]"),
            (last, last + "  - {number: 6, at: {x: 100, z: -75}, spindle: M3}\n"))
    last = "  - {station: 5, tool: parting-05}\n"
    changed("shops", "bench-gang.yaml", "shop.yaml", ("machine: bench-gang", "machine: machine.yaml"),
            (last, last + "  - {station: 6, tool: bar-stop}\n"))
    path = os.path.join(folder, "calibre-job.yaml")
    write(path, read(path).replace("shop: bench-bars", "shop: shop.yaml"))


def main(program, top):
    failed = 0
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(os.path.join(top, "samples", "fenmoor-43"), os.path.join(folder, "fenmoor-43"))
        for shop, x_scale in (("turret", 2), ("gang", 1)):
            sample, out = os.path.join(folder, shop), os.path.join(folder, shop + "-out")
            shutil.copytree(os.path.join(top, "samples", "fenmoor-43-bars"), sample)
            if shop == "gang":
                with_gang(top, sample)
            done = batch(program, top, sample, out)
            if done.returncode or done.stderr:
                sys.exit(f"runs: {shop}: exit {done.returncode}: {done.stdout}{done.stderr}")
            wrong = check_made(out, top)
            wrong = wrong or check_said(program, top, out)
            if shop == "turret":
                wrong = wrong or check_kept(program, top, sample, out)
                wrong = wrong or check_without(program, top, sample, out + "-without")
            if wrong:
                sys.exit(f"runs: {shop}: {wrong}")
            with concurrent.futures.ThreadPoolExecutor(2) as pool:
                for good, row in pool.map(lambda i: spoilt(program, top, out, x_scale, i), range(len(CASES))):
                    print(f"{'ok' if good else 'MISSED':8}{shop:8}{row}")
                    failed += not good
    print(f"{2 * len(CASES)} edits, {failed} judged wrongly")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main(os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]))
