"""Finishing programs from outside, on every sample job: correct --finish.

For each samples/*/job*.yaml the last two sections of its second side that a gauge is put to are said to
have come out too thick, by three amounts. Each time either a folder is written: its record and
verdict hold together, a dry run of the folder gives the same bytes, the sizes of these sections are
those of the job's own programs to 2 um, nothing else is cut, and the program is found out when
the last cut is shifted inwards, and the sheet is there as text and pages; or it is refused as too little or as failing, with exit 4 and nothing
written. Of a section of the first side it is refused with the reason. How many were made is asserted, so
that refusing all is no way out.

usage: again.py PROGRAM SOURCE [EVERY]: every EVERY-th job
"""
import glob
import json
import os
import re
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from stages import stages

OVER = [0.0012, 0.005, 0.014]  # on the diameter [mm], above the upper limit as turned
SAME_SIZE = 0.002  # [mm]: what two plans may draw their paths in by
REASONS = ("too thick: ", "fails its dry run")


def run(*args):
    return subprocess.run(args, text=True, capture_output=True, check=False)


def read(*path):
    with open(os.path.join(*path), encoding="utf-8") as file:
        return file.read()


def measured(path, section, diameter):
    with open(path, "w", encoding="utf-8") as file:
        file.write("format: measured/1\nreadings:\n"
                   f"  - {{section: {section}, diameter: {diameter:.4f}}}\n")


def shift_inwards(text):
    """All X of the last operation that cuts 0.01 nearer to the axis."""
    head, name, tail = text.rpartition("(finish ")
    moved = re.sub(r"X(\[?)([0-9.]+)", lambda m: f"X{m[1]}{max(float(m[2]) - 0.01, 0):.4f}", tail)
    return head + name + moved


def sizes(verdict):
    return {s["name"]: s["size_mm"] for s in verdict["sections"]}


def try_one(program, options, job, section, over, wanted, folder):
    """None: refused as it may be; otherwise the faults."""
    upper, own = wanted
    readings, out = os.path.join(folder, "m.yaml"), os.path.join(folder, "again")
    measured(readings, section, upper + over)
    done = run(program, "correct", job, readings, "--finish", out, "--force", *options)
    if done.returncode == 4 and any(r in done.stderr for r in REASONS):
        return None
    if done.returncode != 1 or not os.path.exists(os.path.join(out, "record.json")):
        return [f"ends with {done.returncode}: {done.stderr[:300]}"]
    faults = []
    verdict = json.loads(read(out, "dryrun.json"))
    if verdict["verdict"] != "pass" or len(verdict["programs"]) != 1:
        faults.append("its verdict is not a pass of one program")
    now = sizes(verdict)[section]
    if any(abs(a - b) > SAME_SIZE for a, b in zip(now, own)):
        faults.append(f"leaves {now}, the job's programs {own}")
    again = run(program, "dryrun", out, "--json", *options)
    if again.stdout != read(out, "dryrun.json"):
        faults.append(f"a dry run of the folder differs: {again.stderr[:200]}")
    sheet = read(out, "sheet.txt")
    for words in (section, "once more", "eye protection", "Order of work", "PAUSE"):
        if words not in sheet and not (words == "PAUSE" and over < 0.003):
            faults.append(f"the sheet does not say {words}")
    if any(len(line) > 96 for line in sheet.splitlines()):
        faults.append("a line of the sheet is too long")
    with open(os.path.join(out, "sheet.pdf"), "rb") as file:
        pages = len(re.findall(rb"/Type /Page\s", file.read()))
    if not 1 <= pages <= 2:
        faults.append(f"sheet.pdf has {pages} pages")
    names = [p["file"] for p in verdict["programs"]]
    lines = read(out, names[-1]).splitlines()
    for number, what in re.findall(r"Goes on at line (\d+) of \S+ \(([^)]*)\)", " ".join(sheet.split())):
        if what not in " ".join(lines[int(number) - 1:int(number) + 2]):
            faults.append(f"line {number} is not where {what} begins")
    with open(os.path.join(out, names[-1]), "r+", encoding="utf-8") as file:
        text = file.read()
        file.seek(0)
        file.write(shift_inwards(text))
        file.truncate()
    spoilt = run(program, "dryrun", os.path.join(out, names[-1]), "--setup",
                 os.path.join(out, "setup.yaml"), *options)
    if spoilt.returncode != 1 or "gouge" not in spoilt.stdout + spoilt.stderr:
        faults.append(f"shifted inwards it is not found out ({spoilt.returncode})")
    return faults


def try_job(program, top, job, options):
    faults, made = [], 0
    with tempfile.TemporaryDirectory() as folder:
        out = os.path.join(folder, "job")
        if run(program, "make", job, "-o", out, *options).returncode != 0:
            return [f"{job} is not made"], 0
        verdict = json.loads(read(out, "dryrun.json"))
        first, gauged = [], []
        probe = os.path.join(folder, "p.yaml")
        for section in verdict["sections"]:
            measured(probe, section["name"], section["turned_mm"])
            found = json.loads(run(program, "correct", job, probe, "--json", *options).stdout)
            reading = found["readings"][0]
            is_gauged = "pivot" in section["name"] or "seat" in section["name"]
            if is_gauged and reading["station"]:
                (gauged if reading["side"] == 2 else first).append(
                    (section["name"], reading["upper_mm"], section["size_mm"]))
        for name, upper, own in gauged[-2:]:
            for over in OVER:
                result = try_one(program, options, job, name, over, (upper, own), folder)
                made += result == []
                faults += [f"{job}, {name} {over} over: {f}" for f in result or []]
        name, upper, _ = first[0]
        measured(probe, name, upper + 0.004)
        done = run(program, "correct", job, probe, "--finish", os.path.join(folder, "no"), *options)
        if done.returncode != 4 or "cut on side 1" not in done.stderr or \
                os.path.exists(os.path.join(folder, "no")):
            faults.append(f"{job}, {name} of side 1: {done.returncode} {done.stderr[:200]}")
    return faults, made


def try_blank(program, job, options):
    with tempfile.TemporaryDirectory() as folder:
        readings, out = os.path.join(folder, "m.yaml"), os.path.join(folder, "again")
        measured(readings, "lower end", 0.45)
        done = run(program, "correct", job, readings, "--finish", out, *options)
        is_refused = done.returncode == 4 and "--hardened" in done.stderr and not os.path.exists(out)
    return [] if is_refused else [f"{job}: a blank is cut once more ({done.returncode})"]


def try_other_shops(program, top, options):
    """Where tools find X anew they find it on what is finished: nothing is skimmed there."""
    faults, sample = [], os.path.join(os.path.abspath(top), "samples", "fenmoor-43")
    for shop in ("bench-by-hand", "bench-one-tool"):
        with tempfile.TemporaryDirectory() as folder:
            job, readings = os.path.join(folder, "job.yaml"), os.path.join(folder, "m.yaml")
            out = os.path.join(folder, "again")
            with open(job, "w", encoding="utf-8") as file:
                file.write(f"format: job/1\nname: fenmoor\nstaff: {sample}/staff.yaml\nshop: {shop}\n")
            measured(readings, "lower pivot", 0.129)
            done = run(program, "correct", job, readings, "--finish", out, *options)
            sheet = " ".join(read(out, "sheet.txt").split()) if done.returncode == 1 else ""
            if "X: skim nothing, this is finished" not in sheet or "skim by hand" in sheet:
                faults.append(f"in {shop} X is not found on what is finished ({done.returncode})")
    return faults


def main(program, top, every=1):
    options = ["--profiles", os.path.join(top, "profiles")]
    faults, jobs, made = [], sorted(glob.glob(os.path.join(top, "samples", "*", "job*.yaml")))[::every], 0
    for job in jobs:
        # Blanks are not cut once more; what they become is.
        found, n = try_job(os.path.abspath(program), top, job, options + stages(job)[-1])
        faults += found
        faults += try_blank(os.path.abspath(program), job, options) if len(stages(job)) > 1 else []
        made += n
        print(f"{os.path.relpath(job, top)}: {n} made")
    faults += try_other_shops(os.path.abspath(program), top, options)
    if made < 4 * len(jobs):
        faults.append(f"only {made} finishing programs for {len(jobs)} jobs")
    print("\n".join(faults) or f"{made} finishing programs hold together")
    sys.exit(1 if faults or not jobs else 0)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], *map(int, sys.argv[3:]))
