"""A batch from outside: any number of threads, and a run killed at random moments and run again, give
the bytes of an undisturbed run; what is proved is not made again; one bad variant stops no other; each grade has its
forecast, and folders from before are named."""
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time

program, source = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])
sample = os.path.join(source, "samples", "fenmoor-43-grades")


def run(batch, out, *more):
    return subprocess.run([program, "batch", "--profiles", os.path.join(source, "profiles"), batch,
                           "-o", out, *more], capture_output=True, text=True)


def tree(folder):
    found = {}
    for at, _, files in os.walk(folder):
        for name in files:
            path = os.path.join(at, name)
            if not name.startswith("."):
                with open(path, "rb") as file:
                    found[os.path.relpath(path, folder)] = file.read()
    return found


def fail(text):
    print("batch:", text)
    sys.exit(1)


def rows(out):
    """Per bar of the run sheet its rows: number, variant, what is said beside it."""
    with open(os.path.join(out, "run-sheet.txt")) as file:
        parts = file.read().split("\nBar ")[1:]
    found = []
    for part in parts:
        lines = [line.split() for line in part.splitlines() if line.endswith("______  ______")]
        found.append([(int(line[0]), line[1], " ".join(line[2:-2])) for line in lines])
    return found


def check_run(out, n, quantity, every, sample, said):
    """Every piece once, in the numbers and pitches that the bar plan names; measured by the plan."""
    bars = rows(out)
    all_rows = [row for bar in bars for row in bar]
    if [row[0] for row in all_rows] != list(range(1, n + 1)):
        fail(f"numbers of pieces: {all_rows}")
    planned = [sum(int(n) for n in re.findall(r"(\d+) pieces? at", line))
               for line in said.splitlines() if line.startswith("  bar ")]
    if [len(bar) for bar in bars] != planned:
        fail(f"run sheet and bar plan differ: {[len(bar) for bar in bars]} {planned}")
    seen = {}
    for bar in bars:
        for k, (number, variant, beside) in enumerate(bar):
            of_variant = seen.get(variant, 0)
            seen[variant] = of_variant + 1
            pivots, lengths = k == 0 or of_variant % every == 0, (number - 1) % sample == 0
            want = ("everything" if of_variant == 0 or number == 1 else
                    ", ".join(["pivots"] * pivots + ["lengths"] * lengths))
            if beside.replace("new edges", "").strip() != want:
                fail(f"piece {number}: {beside!r}, not {want!r}")
    if set(seen.values()) != {quantity}:
        fail(f"pieces a variant: {seen}")
    with open(os.path.join(out, "labels.txt")) as file:
        text = file.read()
    numbers = [int(word.split()[0]) for word in text.split("no. ")[1:]]
    if numbers != list(range(1, n + 1)):
        fail(f"labels: {numbers}")


with tempfile.TemporaryDirectory() as top:
    work = os.path.join(top, "grades")
    shutil.copytree(sample, work)
    batch = os.path.join(work, "batch.yaml")
    out = os.path.join(work, "out")
    began = time.monotonic()
    first = run(batch, out)
    spent = time.monotonic() - began
    if first.returncode != 0 or first.stderr:
        fail(f"exit {first.returncode}: {first.stdout}{first.stderr}")
    whole = tree(out)
    if len([name for name in whole if name.endswith("record.json")]) != 5:
        fail("not five variants")
    check_run(out, 50, 10, 5, 20, first.stdout)
    shutil.rmtree(out)
    run(batch, out, "--jobs", "4")
    if tree(out) != whole:
        fail("four threads give other bytes than one")
    stamps = {name: os.stat(os.path.join(out, name)).st_mtime_ns for name in whole}
    run(batch, out)
    moved = [name for name in whole if name not in ("batch.txt", "run-sheet.txt", "labels.txt")
             and os.stat(os.path.join(out, name)).st_mtime_ns != stamps[name]]
    if moved:
        fail(f"made again though proved: {moved}")
    with open(os.path.join(out, "diameter-0.1050", "sheet.txt"), "a") as file:
        file.write("x")
    run(batch, out)
    if tree(out) != whole:
        fail("an edited file was kept")
    chance = random.Random(7)
    for kill in range(8):
        shutil.rmtree(out, ignore_errors=True)
        for _ in range(3):
            running = subprocess.Popen([program, "batch", "--profiles",
                                        os.path.join(source, "profiles"), batch, "-o", out,
                                        "--jobs", "2"], stdout=subprocess.DEVNULL)
            time.sleep(chance.uniform(0, spent))
            running.kill()
            running.wait()
        if run(batch, out).returncode != 0 or tree(out) != whole:
            fail(f"killed and run again, round {kill}: other bytes")
    with open(batch) as file:
        text = file.read()
    with open(batch, "w") as file:
        file.write(text.replace("0.120]", "0.400]"))
    shutil.rmtree(out)
    bad = run(batch, out)
    if bad.returncode not in (3, 4) or "4 made, 1 failed" not in bad.stdout:
        fail(f"one bad variant: exit {bad.returncode}: {bad.stdout}")
    with open(batch, "w") as file:
        file.write(text.replace("[0.100, 0.105, 0.110, 0.115, 0.120]", "[0.400]"))
    shutil.rmtree(out)
    none = run(batch, out)
    if none.returncode != 3 or "0 made, 1 failed" not in none.stdout:
        fail(f"no variant at all: exit {none.returncode}: {none.stdout}{none.stderr}")
    shutil.rmtree(out)
    for values in (text, text.replace("0.105, ", "")):
        with open(batch, "w") as file:
            file.write(values)
        said = run(batch, out).stdout
    left = [line.split()[0] for line in said.splitlines() if "is not in the batch" in line]
    if left != ["diameter-0.1050"] or "4 made" not in said:
        fail(f"a folder from before: {left}: {said}")
    grades = [line for line in said.splitlines() if line.startswith("  upper pivot")]
    if len(grades) != 4 or len(set(grades)) != 4:
        fail(f"one forecast a grade: {grades}")
    with open(batch, "w") as file:
        file.write("format: batch/1\njob: calibre-job.yaml\nquantity: 7\nmeasure_every: 3\nsample_every: 4\nvary:\n"
                   "  - {sections: [total], key: length, values: [4.55, 4.75]}\n"
                   "bars:\n  - {length: 38, remnant: 15, count: 9}\n")
    shutil.rmtree(out)
    mixed = run(batch, out)
    if mixed.returncode:
        fail(f"two lengths: {mixed.stdout}{mixed.stderr}")
    check_run(out, 14, 7, 3, 4, mixed.stdout)
    if max(len({row[1] for row in bar}) for bar in rows(out)) == 1:
        fail(f"no bar with both lengths: {mixed.stdout}")
    # 0.75 of facing and parting: of 60, less the 30 that the machine keeps, 5 pieces of 5.3 each
    job = os.path.join(work, "calibre-job.yaml")
    with open(job) as file:
        calibre = file.read()
    with open(job, "w") as file:
        file.write(calibre.replace("shop: bench-gang", "shop: sliding-bush"))
    for remnant, pieces in (("", 5), (", remnant: 10", 9)):
        with open(batch, "w") as file:
            file.write("format: batch/1\njob: calibre-job.yaml\nquantity: 9\nfacing: 0.15\nparting: 0.6\n"
                       f"bars:\n  - {{length: 60{remnant}, count: 9}}\n")
        shutil.rmtree(out)
        said = run(batch, out)
        if said.returncode or f"bar 1 of 60.0 mm: {pieces} pieces" not in said.stdout:
            fail(f"remnant of the machine: {said.stdout}{said.stderr}")
print("batch: threads, resuming, kills, bad variants, grades: as they should be")
