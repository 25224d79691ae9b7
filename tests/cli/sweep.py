#!/usr/bin/env python3
"""Staffs, choices and tools nobody thought of: each is made and judged sound, or refused with a
reason; and the same job gives the same bytes.

Each case takes a sample, changes sizes by up to 15 percent, options of sections, choices of the job
and tools of the shop, all drawn from the seed and the number of the case. `make` must end with 0
(its own dry run found nothing), 3 (no such staff, job or tool) or 4 (this shop cannot cut it), never
with 70, which says that the plan was wrong, and never by a signal. A refusal stands at a place of a
file or names a section, and with 4 says what would help. Recesses have a sweep of their own.

usage: sweep.py PROGRAM SOURCE [--seed S] [--n N] [--only CASE] [--keep FOLDER]
                [--scheme single|harden]
"""
import argparse
import concurrent.futures
import copy
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile

import yaml

# Seed and case of jobs that were once planned so that their own dry run refused them; run beside
# whatever is drawn.
FORMER = [(7, 52), (11, 69), (21, 144), (21, 175), (33, 49), (502, 206), (504, 119), (901, 59),
          (1302, 2032), (1302, 2411), (1302, 2544), (1302, 2547), (1302, 2709), (1302, 3167)]
# The same with --scheme single.
FORMER_SINGLE = [(5, 54), (11, 106), (12, 138), (13, 19)]
# The same with --scheme harden.
FORMER_HARDEN = [(1, 7), (1, 24), (1, 29), (1, 112), (1, 132), (4, 5), (4, 19), (7, 93), (9, 117)]
SAMPLES = ["fenmoor-43", "wren-8", "tollgate", "millrace", "harrow-2p"]
SHOPS = ["bench-gang", "bench-turning", "bench-by-hand", "bench-one-tool"]
SIZES = ("diameter", "ridge", "root", "length", "height", "depth", "bevel", "land", "dome_height")
JOB = {
    "first_side": ["upper", "lower"],
    "pivot_order": ["last"],
    "parting": ["through"],
    "neck": [0.05, 0.2, 0.5, 0.8, 2],
    "sizing_length": [0.05, 0.1, 0.2, 0.4, 1.0],
    "leave_long": [0.02, 0.05, 0.1, 0.3, 1, 2],
    "measure": [False],
    "try_parts": [True],
    "second_grip": ["collet seat", "balance seat", "roller seat", "upper pivot", "upper cone", "rivet"],
    "holder_first": ["8 mm collets", "brass holder bored in place"],
    "holder_second": ["8 mm collets", "brass holder bored in place", "cement chuck"],
}
# Of a tool, by its file: what may be fitted instead.
TOOLS = {
    "rough-point-55": {"nose_radius": [0.02, 0.05, 0.2, 0.4], "most_depth": [0.05, 0.4],
                       "rough_depth": [0.02, 0.15], "point_angle": [35, 80],
                       "cutting_angle": [91, 100]},
    "copy-point-35": {"nose_radius": [0.005, 0.01, 0.03, 0.05], "most_depth": [0.02, 0.05, 0.1],
                      "finish_depth": [0.002, 0.003, 0.008, 0.01], "edge_radius": [0.001, 0.004],
                      "point": ["nose-centre"]},
    "copy-left-35": {"nose_radius": [0.005, 0.01, 0.03], "most_depth": [0.03, 0.05],
                     "finish_depth": [0.003, 0.008], "edge_radius": [0.001, 0.004],
                     "hand": ["neutral"], "holder": [{"clear": 3.5, "ahead": 8.0, "behind": 8.0}]},
    "behind-point": {"nose_radius": [0.02, 0.03, 0.1], "most_depth": [0.03, 0.2],
                     "rough_depth": [0.01, 0.06]},
    "parting-05": {"width": [0.2, 0.3, 0.8, 1.0, 1.5], "reach": [0.5, 0.9, 1.2]},
}


def read(*parts):
    with open(os.path.join(*parts), encoding="utf-8") as file:
        return yaml.safe_load(file)


def of_kind(staff, *kinds):
    return [part for section in staff["sections"] for kind, part in section.items()
            if kind in kinds]


def scale(staff, chance):
    share = chance.choice([0.02, 0.15])
    pivot = None
    for section in staff["sections"]:
        kind, part = next(iter(section.items()))
        for key in SIZES:
            if isinstance(part.get(key), float) and chance.random() < 0.7:
                part[key] = round(part[key] * chance.uniform(1 - share, 1 + share), 3)
        if kind == "pivot":
            pivot = part["diameter"] = pivot or part["diameter"]


def change_section(staff, chance):
    seats = of_kind(staff, "seat")
    what = chance.choice(["bevel", "taper", "corner", "edge", "underside", "groove", "tip", "flat",
                          "finish", "bare", "short pivot", "short seat"])
    if what == "bevel":
        chance.choice(seats)["bevel"] = chance.choice([0, 0.01, 0.05, 0.08, 0.1, 0.15])
    elif what == "taper":
        chance.choice(seats)["taper"] = chance.choice(["1/200", "1/50", "1/20", "-1/50", "-1/20"])
    elif what == "corner":
        for seat in seats:
            seat["corner"] = chance.choice([0, 0.01, 0.03, 0.05, 0.1])
    elif what == "edge":
        chance.choice(of_kind(staff, "seat", "hub", "cylinder"))["edge"] = chance.choice(
            [0, 0.005, 0.02, 0.05])
    elif what == "underside" and of_kind(staff, "hub"):
        of_kind(staff, "hub")[0]["underside"] = chance.choice([10, 25, 30, 45, 60, 80])
    elif what == "groove":
        groove = {"depth": chance.choice([0.02, 0.03, 0.05, 0.1]), "flank": chance.choice([0, 30, 45, 60]),
                  "length": chance.choice([0.1, 0.2, 0.3, 0.6])}
        if of_kind(staff, "groove"):
            of_kind(staff, "groove")[0].update(groove)
        else:
            places = [i for i, section in enumerate(staff["sections"]) if "seat" in section]
            staff["sections"].insert(chance.choice(places) + chance.choice([0, 1]),
                                     {"groove": dict(groove, name="mark")})
    elif what == "tip":
        for pivot in of_kind(staff, "pivot"):
            pivot["dome_height"] = chance.choice([0.005, 0.03, 0.04])
    elif what == "flat":
        for pivot in of_kind(staff, "pivot"):
            pivot.pop("dome_height", None)
            pivot["tip"] = "flat"
    elif what == "finish":
        for part in of_kind(staff, "pivot", "seat"):
            part["finish"] = chance.choice(["turned", "stoned", "burnished"])
    elif what == "bare":
        kinds = chance.choice([("cone", "back_slope"), ("back_slope",)])
        staff["sections"] = [s for s in staff["sections"] if not set(s) & set(kinds)]
    elif what == "short pivot":
        for pivot in of_kind(staff, "pivot"):
            pivot["length"] = chance.choice([0.05, 0.08, 0.12])
    elif what == "short seat":
        seat = chance.choice(seats)
        if seat.get("length") != "free":
            seat["length"] = chance.choice([0.03, 0.06, 0.1])


def change_shop(shop, write, source, chance):
    """Own tools and another machine beside the job; paths are as seen from there."""
    what = chance.choice(["tool", "tool", "tool", "missing", "machine", "leave", "stock", "shop"])
    if what == "tool":
        names = [entry["tool"] for entry in shop["tools"] if entry["tool"] in TOOLS]
        name = chance.choice(names)
        tool = read(source, "profiles", "tools", name + ".yaml")
        for key in chance.sample(sorted(TOOLS[name]), chance.choice([1, 1, 2])):
            tool[key] = chance.choice(TOOLS[name][key])
        write(name + ".yaml", tool)
    elif what == "missing":
        shop["tools"].remove(chance.choice(shop["tools"]))
    elif what == "machine":
        machine = read(source, "profiles", "machines", shop["machine"] + ".yaml")
        key, value = chance.choice([("travel_z", [-60, 0]), ("compliance", 5), ("compliance", 0.05),
                                    ("repeatability", 0.004)])
        machine[key] = value
        if chance.random() < 0.3:
            machine["spindle"]["most_speed"] = chance.choice([1500, 3000])
        write("machine.yaml", machine)
        shop["machine"] = "machine.yaml"
    elif what == "leave":
        shop["leave"] = chance.choice([{"stone": 0, "burnish": 0, "tip": 0},
                                       {"stone": 0.03, "burnish": 0.03, "tip": 0.05},
                                       {"stone": 0.008, "burnish": 0.012, "tip": 0.1}])
    elif what == "stock":
        size = chance.choice([1.6, 1.75, 1.9, 4, 6])
        shop["stock"] = [{"material": "carbon-steel-blue", "diameter": size, "length": 100}]
    else:
        shop["clearance"] = chance.choice([0.05, 0.5, 1, 3])


def in_one_grip(job, staff, chance):
    """What else a job says that is cut in one grip."""
    job.update(shop="bench-one-grip", scheme="single")
    job.pop("parting", None)
    job.pop("sizing_length", None)
    if "neck" in job:
        job["neck"] = chance.choice([0.04, 0.06, 0.07, 0.08, 0.09, 0.1])
    if chance.random() < 0.4:
        job["last_tip"] = "by-hand"
    if chance.random() < 0.5:
        for pivot in of_kind(staff, "pivot"):
            if isinstance(pivot.get("diameter"), float):
                pivot["diameter"] = round(pivot["diameter"] * 1.3, 4)
    staff["sections"] = [section for section in staff["sections"] if "groove" not in section]


def from_soft_rod(job, shop, chance):
    """What else a job says whose staff is turned soft, hardened and finished; its shop has soft rod."""
    job.pop("sizing_length", None)
    job["harden"] = {"rod": "carbon-steel-annealed",
                     "growth": chance.choice([["0.02 %", "0.12 %"], ["0.05 %", "0.09 %"], [0, 0.0004],
                                              [-0.0002, 0.0004], ["0.1 %", "0.3 %"]]),
                     "allowance": chance.choice([0.03, 0.04, 0.04, 0.06, 0.1])}
    for rod in shop["stock"]:
        rod["material"] = "carbon-steel-annealed"


def draw(folder, source, seed, case, scheme):
    """Write the files of one case into FOLDER."""
    chance = random.Random(f"{seed}/{case}")
    sample = chance.choice(SAMPLES)
    staff = read(source, "samples", sample, "staff.yaml")
    job = read(source, "samples", sample, "job.yaml")

    def write(name, content):
        with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
            yaml.safe_dump(content, file, sort_keys=False)

    staff.pop("jewels", None)
    for rivet in of_kind(staff, "rivet"):
        if scheme != "harden":
            rivet.pop("recess", None)
    if chance.random() < 0.7:
        scale(staff, chance)
    for _ in range(chance.choice([0, 0, 1, 1, 2])):
        change_section(staff, chance)
    if chance.random() < 0.5:
        job["shop"] = chance.choice(SHOPS)
    for key in chance.sample(sorted(JOB), chance.choice([0, 1, 1, 2, 3])):
        job[key] = chance.choice(JOB[key])
    if job.get("parting") == "through":
        job.pop("neck", None)
    if scheme == "single":
        in_one_grip(job, staff, chance)
    if scheme == "harden" and chance.random() < 0.5:
        job["shop"] = "bench-soft-rod"
    is_changed = chance.random() < 0.5
    if is_changed or scheme == "harden":
        shop = copy.deepcopy(read(source, "profiles", "shops", job["shop"] + ".yaml"))
        if is_changed:
            change_shop(shop, write, source, chance)
        if scheme == "harden":
            from_soft_rod(job, shop, chance)
        write("shop.yaml", shop)
        job["shop"] = "shop.yaml"
    write("staff.yaml", staff)
    write("job.yaml", dict(job, staff="staff.yaml"))
    return [section.get("name", "") for section in of_kind(staff, *[
        kind for part in staff["sections"] for kind in part])]


def same_bytes(one, other):
    names = sorted(os.listdir(one))
    if names != sorted(os.listdir(other)):
        return False
    for name in names:
        with open(os.path.join(one, name), "rb") as a, open(os.path.join(other, name), "rb") as b:
            if a.read() != b.read():
                return False
    return True


def fault_of(done, sections):
    """What is wrong with an outcome; None when nothing is."""
    if done.returncode == 0:
        return None
    if done.returncode not in (3, 4):
        return f"exit {done.returncode}"
    errors = [line for line in done.stderr.splitlines() if " error: " in line]
    if not errors:
        return "refused without an error"
    if not all(re.match(r"\S+:\d+:\d+: error: \S", line) or
               any(name and name in line for name in sections) for line in errors):
        return "a refusal without a place or a section"
    if done.returncode == 4 and "hint: " not in done.stderr:
        return "a refusal that does not say what would help"
    return None


def run(program, source, folder, seed, case, again, scheme):
    folder = os.path.join(folder, f"{seed}-{case}")
    os.makedirs(folder)
    sections = draw(folder, source, seed, case, scheme)

    def make(out, *more):
        return subprocess.run([program, "make", os.path.join(folder, "job.yaml"), *more,
                               "--profiles", os.path.join(source, "profiles"),
                               *(["-o", os.path.join(folder, out)] if out else ["-n"])],
                              capture_output=True, text=True, check=False, timeout=120)

    done = make("one" if again else None)
    fault = fault_of(done, sections)
    if scheme == "harden" and done.returncode == 0:
        # The blank is made only where its finish can be.
        done = make("finish" if again else None, "--hardened")
        fault = f"the finish: exit {done.returncode}" if done.returncode else None
    if not fault and again and done.returncode == 0:
        twice = make("two")
        if twice.returncode != 0 or not same_bytes(os.path.join(folder, "one"),
                                                   os.path.join(folder, "two")):
            fault = "two runs, two outcomes"
    errors = [line for line in (done.stdout + done.stderr).splitlines() if "error: " in line]
    return case, done.returncode, fault, errors


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program", type=os.path.abspath)
    parser.add_argument("source", type=os.path.abspath)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--n", type=int, default=60)
    parser.add_argument("--only", type=int)
    parser.add_argument("--keep")
    parser.add_argument("--scheme", choices=["single", "harden"])
    given = parser.parse_args()
    former = {None: FORMER, "single": FORMER_SINGLE, "harden": FORMER_HARDEN}[given.scheme]
    cases = [(given.seed, given.only)] if given.only is not None else \
        list(dict.fromkeys(former + [(given.seed, case) for case in range(given.n)]))
    folder = given.keep or tempfile.mkdtemp()
    counts, failed = {}, 0
    try:
        with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
            waiting = [(seed, pool.submit(run, given.program, given.source, folder, seed, case,
                                          case % 5 == 0, given.scheme))
                       for seed, case in cases]
            for seed, one in waiting:
                case, code, fault, errors = one.result()
                counts[code] = counts.get(code, 0) + 1
                if fault:
                    failed += 1
                    print(f"case {case} of seed {seed}: {fault}")
                    print("\n".join("    " + line for line in errors[:3]))
    finally:
        if not given.keep:
            shutil.rmtree(folder)
    print(f"{len(cases)} jobs, {failed} failed; by exit code: "
          + ", ".join(f"{code}: {counts[code]}" for code in sorted(counts)))
    # Refusing everything is no way to pass.
    return 1 if failed or (len(cases) >= 40 and counts.get(0, 0) < 0.2 * len(cases)) else 0


if __name__ == "__main__":
    sys.exit(main())
