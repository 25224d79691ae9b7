#!/usr/bin/env python3
"""Recesses in front of the rivet of every shape: each is made and judged sound, or refused with a
section and a hint.

Sizes are drawn with a fixed seed from what the field tables allow and a staff may have. Whatever
comes out, `make` must end with 0 (its own dry run found nothing), 3 (no such staff) or 4 (this
shop cannot cut it): never with 70, which says that the plan was wrong, and never by a signal. Cases
that lie well inside what the recessing point can do must end with 0, so that refusing everything
is no way to pass.

usage: recess.py PROGRAM SOURCE [NUMBER [SEED]]
"""
import concurrent.futures
import math
import os
import random
import subprocess
import sys
import tempfile

import yaml

# Rivets above and below the hub. Seats and body of the samples as they are, [mm].
SAMPLES = {"fenmoor-43": (0.82, 1.16), "tollgate": (1.2, 1.6), "millrace": (0.72, 1.0),
           "wren-8": (0.52, 0.72)}
# The point's outer flank leans 23 degrees; its nose radius is 0.012.
SURE = [
    ("fenmoor-43", {}, {}),
    ("fenmoor-43", {"wall": None}, {}),
    ("fenmoor-43", {"wall": 25}, {}),
    ("fenmoor-43", {"wall": 35}, {}),
    ("fenmoor-43", {"wall": 50, "depth": 0.06}, {}),
    ("fenmoor-43", {"depth": 0.02}, {}),
    ("fenmoor-43", {"depth": 0.05}, {}),
    ("fenmoor-43", {"depth": 0.07}, {}),
    ("fenmoor-43", {"lip": 0.02}, {}),
    ("fenmoor-43", {"lip": 0.03}, {}),
    ("fenmoor-43", {}, {"collet": 0.7}),
    ("fenmoor-43", {}, {"balance": 1.3}),
    ("fenmoor-43", {}, {"taper": "1/50"}),
    ("fenmoor-43", {"wall": 30}, {"taper": "-1/100"}),
    ("fenmoor-43", {"wall": 30}, {"bevel": 0.08}),
    ("fenmoor-43", {"wall": 30}, {"nose_radius": 0.02}),
    ("tollgate", {"wall": None}, {}),
    ("tollgate", {"wall": 35}, {}),
]
TAPERS = ["1/200", "1/100", "1/50", "1/20", "-1/100", "-1/30", "-1/8", "0.2"]
SHOPS = ["bench-gang", "bench-turning", "bench-by-hand"]
TOOL = {"nose_radius": (0.005, 0.03), "clearance": (1, 8), "point_angle": (12, 30),
        "heel_height": (0.05, 0.25), "most_depth": (0.01, 0.03)}


def drawn(chance):
    """One random case: sample, changes of the recess, other changes. The recess fits its staff."""
    sample = chance.choice(list(SAMPLES))
    seats = dict(zip(("collet", "balance"), SAMPLES[sample]))
    recess, other = {}, {"shop": chance.choice(SHOPS)}
    for seat in seats:
        if chance.random() < 0.3:
            other[seat] = seats[seat] = round(seats[seat] * chance.uniform(0.85, 1.12), 3)
    recess["lip"] = round(chance.uniform(0.01, 0.1), 3)
    recess["wall"] = round(chance.uniform(15, 60), 1)
    width = (seats["balance"] - seats["collet"]) / 2 - recess["lip"]
    deepest = min(width / math.tan(math.radians(recess["wall"])), 0.16)
    recess["depth"] = round(max(0.005, deepest * chance.uniform(0.05, 1)), 3)
    if chance.random() < 0.3:
        other["bevel"] = round(chance.uniform(0, 0.1), 3)
    if chance.random() < 0.3:
        other["taper"] = chance.choice(TAPERS)
    for key, span in TOOL.items():
        if chance.random() < 0.2:
            other[key] = round(chance.uniform(*span), 3)
    return sample, recess, other


def changed_staff(staff, recess, other):
    """The staff of a case. Jewels go: what fits them is no question here."""
    staff.pop("jewels", None)
    for section in staff["sections"]:
        (kind, keys), = section.items()
        if kind == "rivet":
            for key, value in recess.items():
                keys["recess"][key] = value
                if value is None:
                    del keys["recess"][key]
        for seat in ("collet", "balance"):
            if keys.get("name") == seat + " seat" and seat in other:
                keys["diameter"] = other[seat]
        if keys.get("name") == "collet seat":
            keys.update({key: other[key] for key in ("taper", "bevel") if key in other})
    return staff


def prepare(folder, source, case):
    sample, recess, other = case

    def read(*path):
        with open(os.path.join(source, *path), encoding="utf-8") as file:
            return yaml.safe_load(file)

    def write(name, data):
        with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
            yaml.safe_dump(data, file, sort_keys=False)

    write("staff.yaml", changed_staff(read("samples", sample, "staff.yaml"), recess, other))
    job = read("samples", sample, "job.yaml")
    job["shop"] = other.get("shop", "bench-gang")
    if any(key in TOOL for key in other):
        tool = read("profiles", "tools", "recess-point.yaml")
        tool.update({key: value for key, value in other.items() if key in TOOL})
        write("own-point.yaml", tool)
        shop = read("profiles", "shops", job["shop"] + ".yaml")
        for fitted in shop["tools"]:
            if fitted["tool"] == "recess-point":
                fitted["tool"] = "own-point.yaml"
        write("own-shop.yaml", shop)
        job["shop"] = "own-shop.yaml"
    write("job.yaml", job)


def run(program, source, case):
    with tempfile.TemporaryDirectory() as folder:
        prepare(folder, source, case)
        done = subprocess.run(
            [program, "make", "-n", os.path.join(folder, "job.yaml"), "--profiles",
             os.path.join(source, "profiles")], text=True, capture_output=True, check=False)
    return case, done.returncode, (done.stderr + done.stdout).splitlines()


def main(program, source, number=40, seed=1):
    chance = random.Random(int(seed))
    cases = SURE + [drawn(chance) for _ in range(int(number))]
    failed, ends = 0, {}
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        for i, (case, code, said) in enumerate(
                pool.map(lambda case: run(program, source, case), cases)):
            ends[code] = ends.get(code, 0) + 1
            refusal = next((line for line in said if "error:" in line), "")
            wanted = [0] if i < len(SURE) else [0, 3, 4]
            if code not in wanted or (code == 4 and not any("hint:" in line for line in said)):
                failed += 1
                print(f"{case}: exit {code}, wanted {wanted}: {refusal}")
            elif len(sys.argv) > 5:
                print(f"{case}: exit {code} {refusal}")
    print(f"{len(cases)} recesses, ends by exit code {ends}, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]), *sys.argv[3:5]))
