"""Killed outright (SIGKILL) at random moments of `make` and `batch`: what stands there is the old
folder or the new one, what lies beside it is swept by the next run, and a batch goes on to the bytes
of an undisturbed one.

Two jobs that differ take turns on one folder, so old and new can be told apart. Half of the moments
fall anywhere in the run, half in its last third, where files are written.

usage: killed.py PROGRAM SOURCE [MOMENTS] [SEED]
"""
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from installed import lay_out

SEED = 20640
SWEEP_EVERY = 10  # moments, after which a run is let through and nothing may lie beside the folder
BATCH_SHARE = 4   # one moment of so many goes to the batch, whose runs are longer


def tree(folder):
    found = {}
    for at, _, names in os.walk(folder):
        for name in names:
            if not name.startswith("."):
                with open(os.path.join(at, name), "rb") as file:
                    found[os.path.relpath(os.path.join(at, name), folder)] = file.read()
    return found


def run(command):
    began = time.monotonic()
    done = subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    return done, time.monotonic() - began


def kill_at(command, seconds):
    """True when the program was still running."""
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    time.sleep(seconds)
    process.kill()
    return process.wait() != 0


def moment(chance, whole):
    return whole * (chance.random() if chance.random() < 0.5 else chance.uniform(0.67, 1))


def beside():
    return [name for name in os.listdir(".") if name.startswith(".")]


def left_in(folder):
    return [os.path.join(at, name) for at, folders, names in os.walk(folder)
            for name in folders + names if name.startswith(".")] + beside()


def try_make(program, top, n, chance):
    samples = os.path.join(top, "samples", "wren-8")
    shutil.copy(os.path.join(samples, "staff.yaml"), ".")
    with open(os.path.join(samples, "job.yaml"), encoding="utf-8") as file:
        text = file.read()
    commands, wanted, times = [], [], []
    for i, leave in enumerate(("0.02", "0.03")):
        with open(f"job-{i}.yaml", "w", encoding="utf-8") as file:
            file.write(re.sub(r"leave_long: .*", f"leave_long: {leave}", text))
        commands.append([program, "make", f"job-{i}.yaml", "-o", "out"])
    for command in commands + commands:
        done, seconds = run(command)
        if done.returncode != 0:
            sys.exit(f"killed: exit {done.returncode}: {done.stderr}")
        wanted.append(tree("out"))
        times.append(seconds)
    if wanted[0] == wanted[1] or wanted[:2] != wanted[2:]:
        sys.exit("killed: the two jobs cannot be told apart, or differ from run to run")
    faults, n_killed, n_new, n_left, now = [], 0, 0, 0, 1
    i = -1
    while n_killed < n and i < 3 * n:  # a run that had ended was not killed
        i += 1
        other = 1 - now
        n_killed += kill_at(commands[other], moment(chance, min(times)))
        n_left += len([name for name in beside() if "lock" not in name]) > 0
        found = tree("out")
        if found not in wanted:
            faults.append(f"make, moment {i}: neither the old folder nor the new one: {sorted(found)}")
            break
        n_new += found == wanted[other]
        now = wanted.index(found)
        if i % SWEEP_EVERY == SWEEP_EVERY - 1:
            now = 1 - now
            if run(commands[now])[0].returncode != 0 or tree("out") != wanted[now]:
                faults.append(f"make, moment {i}: the run after it does not give its folder")
            if beside():
                faults.append(f"make, moment {i}: left beside the folder: {beside()}")
    run(commands[0])
    if beside() or tree("out") != wanted[0]:
        faults.append(f"make: at the end {sorted(os.listdir('.'))}")
    print(f"make: {n_killed} runs killed, {n_new} folders new, leftovers after {n_left}")
    if n_killed < n and not faults:
        faults.append(f"make: only {n_killed} of {n} runs were killed")
    return faults


def try_batch(program, top, n, chance):
    sample = os.path.join(top, "samples", "fenmoor-43-grades")
    for name in os.listdir(sample):
        shutil.copy(os.path.join(sample, name), ".")
    command = [program, "batch", "batch.yaml", "-o", "grades", "--jobs", "2"]
    done, whole = run(command)
    if done.returncode != 0:
        sys.exit(f"killed: exit {done.returncode}: {done.stderr}")
    wanted = tree("grades")
    variants = {name.split(os.sep)[0] for name in wanted if os.sep in name}
    faults, n_killed, since = [], 0, 0
    # Killed when the folder stood already and its lock did as well: proved, so not written again.
    for variant in variants:
        with open(os.path.join("grades", f".{variant}.sw-lock"), "w", encoding="utf-8"):
            os.mkdir(os.path.join("grades", f".{variant}.sw-1-0"))
    if run(command)[0].returncode != 0 or left_in("grades"):
        faults.append(f"batch: beside what is proved stays {left_in('grades')}")
    shutil.rmtree("grades")
    i = -1
    while n_killed < n and i < 3 * n:
        i += 1
        # What is proved is kept, so that the next run is shorter; after three all begins anew.
        n_killed += kill_at(command, chance.random() * whole * (1 - since / 4))
        since += 1
        found = tree("grades")
        for variant in variants:
            mine = {name for name in found if name.split(os.sep)[0] == variant}
            if mine and any(wanted.get(name) != found[name] for name in mine) or (
                    mine and mine != {name for name in wanted if name.split(os.sep)[0] == variant}):
                faults.append(f"batch, moment {i}: {variant} is not whole: {sorted(mine)}")
        if since == 3 or n_killed == n:
            done, _ = run(command)
            if done.returncode != 0 or tree("grades") != wanted:
                faults.append(f"batch, moment {i}: gone on with, other bytes; exit {done.returncode} "
                              f"{done.stderr}")
            if left_in("grades"):
                faults.append(f"batch, moment {i}: left behind: {left_in('grades')}")
            shutil.rmtree("grades")
            since = 0
    print(f"batch: {n_killed} runs killed")
    if n_killed < n:
        faults.append(f"batch: only {n_killed} of {n} runs were killed")
    return faults


def main(program, top, n=200, seed=SEED):
    chance = random.Random(seed)
    with tempfile.TemporaryDirectory() as installed:
        program = lay_out(program, top, installed)
        os.mkdir(os.path.join(installed, "work"))
        os.chdir(os.path.join(installed, "work"))
        n_batch = n // BATCH_SHARE
        faults = try_make(program, top, n - n_batch, chance)
        faults += try_batch(program, top, n_batch, chance)
        os.chdir(installed)
    print("\n".join(faults) or "old or new each time")
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main(os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]),
         *(int(word) for word in sys.argv[3:5]))
