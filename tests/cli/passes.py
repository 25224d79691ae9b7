#!/usr/bin/env python3
"""Every pass of every sample job: what `make --passes` says of it holds together.

For each samples/*/job*.yaml: the JSON keeps to its schema; the text says the same, row by row; the
bands are in order; what the judge found is what its verdict says, too: the largest stress of all
passes is the verdict's worst, and so is the largest force on the sections; the operations' times
add up to no more than the programs'. Planner and judge reckon without each other, one from paths and
stock, the other from the text: no pass is left unreckoned, and the two agree (AGREE).

usage: passes.py PROGRAM SOURCE [EVERY]: every EVERY-th job, pass by pass, and no shares of all
"""
import glob
import json
import os
import re
import subprocess
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from stages import stages

# By quantity, over the passes where the judge found at least so much: which share of the planner's
# figures over the judge's lies below what. They differ most in the first run over a tip, which the
# judge reckons dearer.
AGREE = {"force_high_n": (0.3, {0.005: 0.4, 0.05: 0.9, 0.5: 0.98}),
         "bend_high_um": (0.4, {0.005: 0.3, 0.05: 0.65, 0.5: 0.98}),
         "stress_high_mpa": (50, {0.005: 0.3, 0.05: 0.85, 0.5: 0.98})}
MOST_MEDIAN = 1.3

FIGURES = ["force_low_n", "force_nominal_n", "force_high_n"]


def make(program, top, job, *options):
    done = subprocess.run(
        [program, "make", "-n", *options, job, "--profiles", os.path.join(top, "profiles")],
        text=True, capture_output=True, check=False)
    if done.returncode != 0:
        raise SystemExit(f"{job}: exit {done.returncode}: {done.stderr[:300]}")
    return done.stdout


def as_text(value, decimals):
    return "-" if value is None else f"{value:.{decimals}f}"


def row_of(number, one):
    """The figures of a row, as the text has them."""
    plan, found = one["plan"], one["found"]
    out = [str(number), as_text(one["depth_um"], 1), as_text(one["feed_um"], 2),
           as_text(one["rpm"], 0)]
    out += [as_text(plan[f], 2) for f in FIGURES] if plan["force_high_n"] is not None else ["-"]
    if found is None:
        return out + ["none:", "air", as_text(plan["bend_high_um"], 2), "-",
                      as_text(plan["stress_high_mpa"], 0), "-"]
    out += [as_text(found["force_nominal_n"], 2), as_text(found["force_high_n"], 2)]
    out += [as_text(plan["bend_high_um"], 2), as_text(found["bend_nominal_um"], 2),
            as_text(found["bend_high_um"], 2), as_text(plan["stress_high_mpa"], 0)]
    if found["stress_high_mpa"] is None:
        return out + ["-"]
    return out + [as_text(found["stress_nominal_mpa"], 0), as_text(found["stress_high_mpa"], 0)]


def is_close(row, wanted):
    """Word for word; the last digit of what was rounded twice may differ by one."""
    if len(row) != len(wanted):
        return False
    for a, b in zip(row, wanted):
        if a == b:
            continue
        if not re.fullmatch(r"[\d.]+", a) or not re.fullmatch(r"[\d.]+", b):
            return False
        step = 10.0 ** -(len(b.partition(".")[2]))
        if abs(float(a) - float(b)) > 1.001 * step:
            return False
    return True


def in_order(where, one):
    plan, found = one["plan"], one["found"]
    for said in [plan, found or plan]:
        low, nominal, high = (said[f] for f in FIGURES)
        if high is not None and not 0 <= low <= nominal <= high:
            yield f"{where}: forces out of order"
    if found and not found["bend_nominal_um"] <= found["bend_high_um"] + 1e-6:
        yield f"{where}: the nominal bending is more than the high one"


def rows_of(text):
    """Lists of rows, one an operation that cuts; what held a pass back is left out."""
    rows = []
    for line in text.splitlines():
        if re.match(r"\S.*, T\d+: .* cutting$", line):
            rows.append([])
        elif rows and re.match(r" +\d+ +[\d.]+ +[\d.]+ +\d+ ", line):
            rows[-1].append(line[:88].split())
    return rows


def disagree(ratios):
    """RATIOS: lists of plan over found, by quantity."""
    for key, (_, shares) in AGREE.items():
        all_of = sorted(ratios[key])
        for share, least in shares.items():
            is_so = all_of[int(share * len(all_of))]
            if is_so < least:
                yield f"{key}: {share:g} of the plan's figures are below {is_so:.3f} of what was found"
        middle = all_of[len(all_of) // 2]
        if middle > MOST_MEDIAN:
            yield f"{key}: half of the plan's figures are above {middle:.3f} of what was found"


def check(program, top, job, options, ratios):
    passes = json.loads(make(program, top, job, *options, "--passes", "--json"))
    verdict = json.loads(make(program, top, job, *options, "--json"))
    rows = rows_of(make(program, top, job, *options, "--passes"))
    name = " ".join([os.path.relpath(job, top), *options])
    ops = [(side, op) for side in passes["chuckings"] for op in side["operations"]]
    faults = [] if len(ops) == len(rows) else [f"{len(ops)} operations, in the text {len(rows)}"]
    force, stress, n = 0, 0, 0
    for (side, op), said in zip(ops, rows):
        where = f"{side['name']}, {op['what']}"
        if len(said) != len(op["passes"]):
            faults.append(f"{where}: {len(op['passes'])} passes, in the text {len(said)}")
        for number, (one, row) in enumerate(zip(op["passes"], said), 1):
            n += 1
            faults += in_order(f"{where}, pass {number}", one)
            if not is_close(row, row_of(number, one)):
                faults.append(f"{where}, pass {number}: {row_of(number, one)}, in the text {row}")
            if one["plan"]["bend_high_um"] is None or one["plan"]["force_high_n"] is None:
                faults.append(f"{where}, pass {number}: not reckoned")
                continue
            for key, (least, _) in AGREE.items():
                if one["found"] and (one["found"][key] or 0) > least:
                    ratios[key].append((one["plan"][key] or 0) / one["found"][key])
            if one["found"]:
                force = max(force, one["found"]["force_high_n"])
                stress = max(stress, one["found"]["stress_high_mpa"] or 0)
    worst = verdict["worst"]["stress"]["high_mpa"]
    if abs(stress - worst) > 1e-5 * worst:
        faults.append(f"the worst stress of all passes is {stress}, of the verdict {worst}")
    # parting bears on the rod as well, which is no section
    on_sections = max(section["load"]["load_high_n"] or 0 for section in verdict["sections"])
    if on_sections > force * (1 + 1e-5):
        faults.append(f"a section bears {on_sections} N, the passes {force} at most")
    seconds = sum(op["seconds"] for _, op in ops)
    if seconds > sum(program_of["seconds"] for program_of in verdict["programs"]) + 1e-3:
        faults.append("the operations take longer than the programs")
    try:
        import jsonschema
        with open(os.path.join(top, "profiles/schemas/passes.schema.json"), encoding="utf-8") as file:
            schema = json.load(file)
        for error in jsonschema.Draft202012Validator(schema).iter_errors(passes):
            faults.append(f"{'/'.join(map(str, error.path))}: {error.message[:200]}")
    except ImportError:
        pass
    return n, [f"{name}: {fault}" for fault in faults]


def main(program, top, every=1):
    jobs = sorted(glob.glob(os.path.join(top, "samples", "*", "job*.yaml")))[::every]
    faults, n = [], 0
    ratios = {key: [] for key in AGREE}
    for job in jobs:
        for options in stages(job):
            more, bad = check(program, top, job, options, ratios)
            n += more
            faults += bad
    # which few jobs they are must not decide: shares are of all of them
    faults += disagree(ratios) if every == 1 else []
    for key, all_of in ratios.items():
        all_of.sort()
        print(f"{key}, plan over found of {len(all_of)}: least {all_of[0]:.2f}, a twentieth below "
              f"{all_of[len(all_of) // 20]:.2f}, half below {all_of[len(all_of) // 2]:.2f}, "
              f"nine tenths below {all_of[len(all_of) * 9 // 10]:.2f}")
    print("\n".join(faults[:40]))
    print(f"{n} passes of {len(jobs)} jobs, {len(faults)} faults")
    return 1 if faults or not n else 0


if __name__ == "__main__":
    sys.exit(main(*map(os.path.abspath, sys.argv[1:3]), *map(int, sys.argv[3:])))
