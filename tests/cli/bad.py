#!/usr/bin/env python3
"""Tools, holders, machines, materials, shops, dialects, jobs and programs spoilt by one edit: exit
code and every word on the error stream are committed in tests/bad/edits.expected.

Each case lays out one workshop (a job, copies of profiles, programs) in a fresh folder, makes one edit
and runs one command. Nothing may be written, whatever is wrong.

usage: bad.py PROGRAM SOURCE [--update]
"""
import difflib
import os
import re
import shutil
import subprocess
import sys
import tempfile

DRYRUN = "dryrun side-1.nc side-2.nc --setup setup.yaml"
# name, file, what is replaced, by what, command
EDITS = [
    # tools
    ("tool without a point", "copy.yaml", "point: theoretical-tip\n", "", "check copy.yaml"),
    ("tool of an unknown kind", "copy.yaml", "kind: point", "kind: pointy", "check copy.yaml"),
    ("tool with a negative nose", "copy.yaml", "nose_radius: 0.02", "nose_radius: -0.02", "check copy.yaml"),
    ("tool with a nose in the wrong unit", "copy.yaml", "nose_radius: 0.02", "nose_radius: 0.02 degrees", "check copy.yaml"),
    ("tool with an absurd angle", "copy.yaml", "point_angle: 35", "point_angle: 350", "check copy.yaml"),
    ("tool with a key twice", "copy.yaml", "relief: 7", "relief: 7\nrelief: 8", "check copy.yaml"),
    ("tool with a slip in a key", "copy.yaml", "edge_radius:", "edge_raduis:", "check copy.yaml"),
    ("tool that is a list", "copy.yaml", "format: tool/1", "- format: tool/1", "check copy.yaml"),
    ("tool of a format to come", "copy.yaml", "tool/1", "tool/9", "check copy.yaml"),
    ("tool with a tab", "copy.yaml", "hand: right", "hand:\tright\n\tpoint: x", "check copy.yaml"),
    ("tool cut short", "copy.yaml", r"re:(?s)holder: \{clear.*", "holder: {clear: 3.5, ahead", "check copy.yaml"),
    # holders, machines, materials
    ("holder without a size", "holder.yaml", "least: 0.3\n", "", "check holder.yaml"),
    ("holder whose limits are crossed", "holder.yaml", "most: 4\n", "most: 0.2\n", "check holder.yaml"),
    ("machine without travel", "machine.yaml", "travel_x: [-110, 0]\n", "", "check machine.yaml"),
    ("machine with travel the wrong way round", "machine.yaml", "[-110, 0]", "[0, -110]", "check machine.yaml"),
    ("machine with a station twice", "machine.yaml", "{number: 2,", "{number: 1,", "check machine.yaml"),
    ("machine that reads X in nothing known", "machine.yaml", "x: radius", "x: diametre", "check machine.yaml"),
    ("machine whose speeds are crossed", "machine.yaml", "least_speed: 200", "least_speed: 20000", "check machine.yaml"),
    ("material with a negative modulus", "material.yaml", "elastic_modulus: 206000", "elastic_modulus: -206000", "check material.yaml"),
    ("material weaker in tension than at yield", "material.yaml", "tensile: 1700", "tensile: 900", "check material.yaml"),
    # shops
    ("shop with a tool without a station", "shop.yaml", "{station: 2, tool", "{tool", "check shop.yaml"),
    ("shop with a tool on a station the machine lacks", "shop.yaml", "{station: 2, tool", "{station: 12, tool", "check shop.yaml"),
    ("shop with two tools on a station", "shop.yaml", "{station: 2, tool", "{station: 1, tool", "check shop.yaml"),
    ("shop with a tool nobody knows", "shop.yaml", "tool: copy-point-35", "tool: copy-point-53", "check shop.yaml"),
    ("shop with a holder nobody knows", "shop.yaml", "cement-chuck", "cement-chukc", "check shop.yaml"),
    ("shop with a machine nobody knows", "shop.yaml", "machine: bench-gang", "machine: bench-gnag", "check shop.yaml"),
    ("shop with a dialect nobody knows", "shop.yaml", "post: strict", "post: strickt", "check shop.yaml"),
    ("shop whose control cannot read its dialect", "shop.yaml", "post: strict", "post: turning", "check shop.yaml"),
    ("shop without rods", "shop.yaml", r"re:stock:\n(  - .*\n)+", "stock: []\n", "check shop.yaml"),
    # dialects
    ("dialect with a placeholder nobody knows", "post.yaml", "[G54]", "[G54]\nlines: {stop: ['M5 {spede}']}", "check post.yaml"),
    ("dialect that extends nothing known", "post.yaml", "extends: strict", "extends: strictest", "check post.yaml"),
    ("dialect that extends itself", "post.yaml", "extends: strict", "extends: post", "check post.yaml"),
    # jobs
    ("job without a staff", "job.yaml", "staff: staff.yaml\n", "", "make job.yaml -o out"),
    ("job whose staff is missing", "job.yaml", "staff: staff.yaml", "staff: stuff.yaml", "make job.yaml -o out"),
    ("job whose staff is a tool", "job.yaml", "staff: staff.yaml", "staff: copy.yaml", "make job.yaml -o out"),
    ("job with a side that is none", "job.yaml", "shop: bench-gang", "shop: bench-gang\nfirst_side: left", "make job.yaml -o out"),
    ("job with a neck thicker than any", "job.yaml", "shop: bench-gang", "shop: bench-gang\nneck: 30", "make job.yaml -o out"),
    ("job whose dialect the control cannot read", "job.yaml", "shop: bench-gang", "shop: bench-gang\npost: turning", "make job.yaml -o out"),
    ("job in one grip on a sliding headstock", "job.yaml", "shop: bench-gang", "shop: sliding-bush\nscheme: single", "make job.yaml -o out"),
    ("job in one grip in a shop without a tool of the other hand", "job.yaml", "shop: bench-gang", "shop: bench-bars\nscheme: single", "make job.yaml -o out"),
    ("job in one grip parted through", "job.yaml", "shop: bench-gang", "shop: bench-one-grip\nscheme: single\nparting: through", "make job.yaml -o out"),
    ("job turned round with a word for one grip", "job.yaml", "shop: bench-gang", "shop: bench-one-grip\nlast_tip: by-hand", "make job.yaml -o out"),
    ("job in one grip whose recess lies behind the hub", "job.yaml", "shop: bench-gang", "shop: bench-one-grip\nscheme: single\nfirst_side: lower", "make job.yaml -o out"),
    ("job in one grip with a neck too thin", "job.yaml", "shop: bench-gang", "shop: bench-one-grip\nscheme: single\nneck: 0.05", "make job.yaml -o out"),
    ("job that hardens and says nothing of growth", "job.yaml", "shop: bench-gang", "shop: bench-soft-rod\nharden: {rod: carbon-steel-annealed}", "make job.yaml -o out"),
    ("job that hardens with one growth", "job.yaml", "shop: bench-gang", "shop: bench-soft-rod\nharden: {rod: carbon-steel-annealed, growth: [0.1 %]}", "make job.yaml -o out"),
    ("job that hardens with growths crossed", "job.yaml", "shop: bench-gang", "shop: bench-soft-rod\nharden: {rod: carbon-steel-annealed, growth: [0.1 %, 0.05 %]}", "make job.yaml -o out"),
    ("job that hardens with a growth that is none", "job.yaml", "shop: bench-gang", "shop: bench-soft-rod\nharden: {rod: carbon-steel-annealed, growth: [0.1 %, 12 %]}", "make job.yaml -o out"),
    ("job that hardens in one grip, after a sizing length", "job.yaml", "shop: bench-gang", "shop: bench-soft-rod\nscheme: single\nsizing_length: 0.3\nharden: {rod: carbon-steel-annealed, growth: [0.1 %, 0.12 %]}", "make job.yaml -o out"),
    ("job that hardens a rod the shop lacks", "job.yaml", "shop: bench-gang", "shop: bench-gang\nharden: {rod: carbon-steel-annealed, growth: [0.1 %, 0.12 %]}", "make job.yaml -o out"),
    ("job that hardens on a sliding headstock", "job.yaml", "shop: bench-gang", "shop: sliding-bush\nharden: {rod: carbon-steel-blue, growth: [0.1 %, 0.12 %]}", "make job.yaml -o out"),
    ("job that hardens with an allowance for a rod", "job.yaml", "shop: bench-gang", "shop: bench-soft-rod\nharden: {rod: carbon-steel-annealed, growth: [0.1 %, 0.12 %], allowance: 0.4}", "make job.yaml -o out"),
    ("setup record with a blank and a rod, its growths crossed", "setup.yaml", "sides:", "blank: {staff: staff.yaml, material: carbon-steel-blue, grown_least: 0.001, grown_most: 0}\nsides:", DRYRUN),
    ("setup record with a blank that lacks its growth", "setup.yaml", "sides:", "blank: {staff: staff.yaml, material: carbon-steel-blue}\nsides:", DRYRUN),
    ("job in one grip with a neck thicker than the pivot", "job.yaml", "shop: bench-gang", "shop: bench-one-grip\nscheme: single\nneck: 0.2", "make job.yaml -o out"),
    ("setup record with a tip for the hand and no neck", "setup.yaml", "re:(?s)sides:", "tip_by_hand: lower\nsides:", DRYRUN),
    ("staff with a recess no point can enter", "staff.yaml", "depth: 0.09, wall: 40", "depth: 0.11, wall: 5", "make job.yaml -o out"),
    ("staff too thick for every rod", "staff.yaml", "hub:        {diameter: 1.66", "hub:        {diameter: 9.66", "make job.yaml -o out"),
    ("staff that no holder takes the second time", "shop.yaml", "holders: [collet-8mm-set, bored-in-place, cement-chuck]", "holders: [collet-8mm-set]", "make job-own.yaml -o out"),
    ("job that grips a section by a slip", "job.yaml", "shop: bench-gang", "shop: bench-gang\nsecond_grip: balence seat", "make job.yaml -o out"),
    ("job with a holder the shop lacks", "job.yaml", "shop: bench-gang", "shop: bench-gang\nholder_second: cement-chukc", "make job.yaml -o out"),
    ("rod that no holder takes", "shop.yaml", r"re:(?s)stock:\n(  - .*?\n)+(?=leave)", "stock: [{material: carbon-steel-blue, diameter: 9, length: 100}]\n", "make job-own.yaml -o out"),
    # programs
    ("program cut short between lines", "side-1.nc", r"re:(?s)\(finish hub.*", "", DRYRUN),
    ("program cut short within a word", "side-1.nc", r"re:(?s)(\(finish hub.*?\nG1 X0.)\d.*", r"\1", DRYRUN),
    ("second program empty", "side-2.nc", r"re:(?s).*", "", DRYRUN),
    ("program with junk in the middle", "side-1.nc", "(rough hub)", "\x01\x7f\x02", DRYRUN),
    ("program with a word twice", "side-1.nc", "(rough hub)", "G1 X2 X3", DRYRUN),
    ("program with an unknown code", "side-1.nc", "(rough hub)", "G85.3", DRYRUN),
    ("program with an unclosed comment", "side-1.nc", "(rough hub)", "(rough hub", DRYRUN),
    ("setup record without its tools", "setup.yaml", r"re:    stations:\n(      - .*\n(        .*\n)*)+", "", DRYRUN),
]

PROFILES = {"copy.yaml": "tools/copy-point-35.yaml", "holder.yaml": "holders/bored-in-place.yaml",
            "machine.yaml": "machines/bench-gang.yaml", "material.yaml": "materials/carbon-steel-blue.yaml",
            "shop.yaml": "shops/bench-gang.yaml"}
OWN_POST = "format: post/1\nsays: our own\nextends: strict\nsystems: [G54]\n"


def lay_out(folder, source):
    for name, profile in PROFILES.items():
        shutil.copy(os.path.join(source, "profiles", profile), os.path.join(folder, name))
    shutil.copy(os.path.join(source, "samples", "fenmoor-43", "job.yaml"), folder)
    with open(os.path.join(folder, "job.yaml"), encoding="utf-8") as file:
        own = file.read().replace("shop: bench-gang", "shop: ./shop.yaml")
    for name, text in (("job-own.yaml", own), ("post.yaml", OWN_POST)):
        with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
            file.write(text)
    # Programs of a good job as they once were made: what is said of them does not change with plans.
    programs = os.path.join(source, "tests", "bad", "program")
    for name in ("side-1.nc", "side-2.nc", "setup.yaml", "staff.yaml"):
        shutil.copy(os.path.join(programs, name), os.path.join(folder, name))


def spoil(path, old, new):
    with open(path, encoding="utf-8") as file:
        text = file.read()
    if old.startswith("re:"):
        spoilt = re.sub(old[3:], new, text, count=1)
    else:
        spoilt = text.replace(old, new, 1)
    if spoilt == text:
        sys.exit(f"bad.py: nothing to edit in {path}: {old!r}")
    with open(path, "w", encoding="utf-8") as file:
        file.write(spoilt)


def listing(folder):
    found = {}
    for base, _, names in os.walk(folder):
        for name in names:
            path = os.path.join(base, name)
            with open(path, "rb") as file:
                found[os.path.relpath(path, folder)] = file.read()
    return found


def run(program, source, folder, command):
    return subprocess.run([program, *command.split(), "--profiles", os.path.join(source, "profiles")],
                          cwd=folder, capture_output=True, text=True, errors="backslashreplace",
                          timeout=120, env={**os.environ, "LC_ALL": "C"}, check=False)


def main(program, source, update):
    shown = []
    with tempfile.TemporaryDirectory() as scratch:
        bench = os.path.join(scratch, "bench")
        os.mkdir(bench)
        lay_out(bench, source)
        for command in ("make -n job.yaml", "make -n job-own.yaml", DRYRUN):
            done = run(program, source, bench, command)
            if done.returncode != 0:
                sys.exit(f"the good {command} ends with {done.returncode}\n{done.stdout}{done.stderr}")
        for i, (name, file, old, new, command) in enumerate(EDITS):
            folder = os.path.join(scratch, str(i))
            os.mkdir(folder)
            lay_out(folder, source)
            spoil(os.path.join(folder, file), old, new)
            before = listing(folder)
            done = run(program, source, folder, command)
            if done.returncode not in (1, 3, 4):
                sys.exit(f"{name}: exit {done.returncode}\n{done.stderr}")
            if listing(folder) != before:
                sys.exit(f"{name}: files were written or changed")
            said = done.stderr
            if command.startswith("dryrun"):  # findings are results
                said += "".join(f"{line}\n" for line in done.stdout.splitlines()
                                if re.search(r": error: |^verdict", line))
            for place, word in ((os.path.realpath(folder), "$HERE"), (folder, "$HERE"), (source, "$TOP")):
                said = said.replace(place, word)
            said = re.sub(r"looked in .*", "looked in ...", said)  # also where it is installed
            shown.append(f"== {name} ({command.split()[0]}): exit {done.returncode}\n{said}\n")
    text = "".join(shown)
    golden = os.path.join(source, "tests", "bad", "edits.expected")
    if update:
        with open(golden, "w", encoding="utf-8") as file:
            file.write(text)
        return 0
    with open(golden, encoding="utf-8") as file:
        wanted = file.read()
    sys.stdout.writelines(difflib.unified_diff(wanted.splitlines(True), text.splitlines(True), "wanted", "got"))
    print(f"{len(EDITS)} edits, {'as' if wanted == text else 'not as'} committed")
    return wanted != text


if __name__ == "__main__":
    sys.exit(main(os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]), "--update" in sys.argv))
