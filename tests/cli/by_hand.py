#!/usr/bin/env python3
"""A lathe whose spindle and tools are a hand's business: programs and records spoilt by one edit.

The first sample is made for bench-motion-only; each edit below must fail the dry run, or be refused,
with the words named; the harmless ones must pass.

usage: by_hand.py PROGRAM SOURCE
"""
import os
import re
import shutil
import subprocess
import sys
import tempfile

SHOP, SAMPLE = "bench-motion-only", "fenmoor-43"


def stop_before(text, number, end=""):
    """Drop the NUMBER-th M0."""
    places = [m.start() for m in re.finditer(r"(?m)^M0$", text)]
    return text[:places[number]] + end + text[places[number] + 2:]


def in_file(name, change):
    """An edit of one file of the folder."""
    return lambda folder: edit(os.path.join(folder, name), change)


def edit(path, change):
    with open(path, encoding="utf-8") as file:
        text = file.read()
    changed = change(text)
    assert changed != text, path
    with open(path, "w", encoding="utf-8") as file:
        file.write(changed)


def exchange_tools(text):
    return text.replace("tool: 2\n", "tool: X\n", 1).replace("tool: 1\n", "tool: 2\n", 1) \
        .replace("tool: X\n", "tool: 1\n", 1)


HARMFUL = [
    ("the stop to switch on is gone", in_file("side-1-t1.nc", lambda t: stop_before(t, 0)),
     "spindle-stopped"),
    ("the stop to switch off is gone", in_file("side-1-t2.nc", lambda t: stop_before(t, 1)),
     "pause-while-turning"),
    ("a line more moves the stops away from the record",
     in_file("side-1-t2.nc", lambda t: "(one more)\n" + t), "does not wait there"),
    ("a stop that the record does not know",
     in_file("side-1-t2.nc", lambda t: t.replace("(semi-finish collet seat)", "M0")),
     "pauses while the spindle turns"),
    ("the other sense", in_file("setup.yaml", lambda t: t.replace("turn: M3", "turn: M4")),
     "wrong-way"),
    ("faster than the spindle goes",
     in_file("setup.yaml", lambda t: t.replace("speed: 2500", "speed: 25000", 1)), "overspeed"),
    ("a speed the belt has no step for",
     in_file("setup.yaml", lambda t: t.replace("speed: 2500", "speed: 2600", 1)), "no such step"),
    ("a tenth of the speed",
     in_file("setup.yaml", lambda t: t.replace("speed: 2500", "speed: 250")), "overfeed"),
    ("the tools in the wrong order", in_file("setup.yaml", exchange_tools), "error: "),
    ("never switched on", in_file("setup.yaml", lambda t: re.sub(
        r"(?s)- line: 22\n +turn: M3\n +speed: 2500", "- line: 22\n            turn: stop", t, 1)),
     "spindle-stopped"),
    ("the record says nothing of the spindle", in_file("setup.yaml", lambda t: re.sub(
        r"(?s) +# Spindle by hand[^\n]*\n +spindle:\n.*?(?=      - file|    # How)", "", t, 1)),
     "does not say how it turns"),
    ("a tool that does not stand there",
     in_file("setup.yaml", lambda t: t.replace("tool: 4\n", "tool: 9\n", 1)), "no such station"),
    ("a spindle word", in_file("side-1-t1.nc", lambda t: t.replace("G92.1", "G92.1 M3 S2500")),
     "switched by hand"),
    ("a tool change", in_file("side-1-t1.nc", lambda t: t.replace("G92.1", "G92.1 T2 M6")),
     "one program a tool"),
]
HARMLESS = [
    ("another message", in_file("side-1-t2.nc", lambda t: t.replace("By hand: spindle on",
                                                                     "Einschalten"))),
    ("on before the start, and again after each stop", in_file("setup.yaml", lambda t: re.sub(
        r"(?s)(spindle:\n +)- line: 22\n +turn: M3", r"\1- turn: M3", t, 1))),
]


def make(program, source, folder):
    path = os.path.join(os.path.abspath(source), "samples", SAMPLE)
    with open(os.path.join(path, "job.yaml"), encoding="utf-8") as file:
        text = file.read().replace("staff: ", "staff: " + path + os.sep)
    job = os.path.join(folder, "job.yaml")
    with open(job, "w", encoding="utf-8") as file:
        file.write(re.sub(r"(?m)^shop:.*$", "shop: " + SHOP, text))
    done = run(program, source, "make", job, "-o", os.path.join(folder, "out"))
    assert done.returncode == 0, done.stderr
    return os.path.join(folder, "out")


def run(program, source, *words):
    return subprocess.run([program, *words, "--profiles", os.path.join(source, "profiles")],
                          text=True, capture_output=True, check=False)


def main(program, source):
    failed = 0
    with tempfile.TemporaryDirectory() as folder:
        made = make(program, source, folder)
        for name, change, wanted in HARMFUL + [(*case, None) for case in HARMLESS]:
            spoilt = os.path.join(folder, "spoilt")
            shutil.copytree(made, spoilt)
            change(spoilt)
            done = run(program, source, "dryrun", spoilt)
            said = done.stdout + done.stderr
            is_good = done.returncode in (1, 3) and wanted in said if wanted else \
                done.returncode == 0
            if not is_good:
                failed += 1
                print(f"{name}: exit {done.returncode}, wanted {wanted}\n{said[:1500]}")
            shutil.rmtree(spoilt)
    print(f"{len(HARMFUL)} harmful edits, {len(HARMLESS)} harmless, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2]))
