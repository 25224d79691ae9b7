"""A batch from outside: any number of threads, and a run killed at random moments and run again, give
the bytes of an undisturbed run; what is proved is not made again; one bad variant stops no other; each grade has its
forecast, and folders from before are named."""
import os
import random
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
    shutil.rmtree(out)
    run(batch, out, "--jobs", "4")
    if tree(out) != whole:
        fail("four threads give other bytes than one")
    stamps = {name: os.stat(os.path.join(out, name)).st_mtime_ns for name in whole}
    run(batch, out)
    moved = [name for name in whole if name != "batch.txt"
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
print("batch: threads, resuming, kills, bad variants, grades: as they should be")
