#!/usr/bin/env python3
"""Time and memory of a whole job, and how the dry run grows with the number of moves.

usage: make.py PROGRAM
"""
import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from nc_text import divide_moves

RUNS = 7


def median_seconds(command):
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def peak_mib(command):
    """Peak memory of one run, in a child of its own so that earlier runs do not count."""
    pid = os.fork()
    if pid == 0:
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        used = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
        os._exit(min(255, used // 1024))
    _, status = os.waitpid(pid, 0)
    return os.waitstatus_to_exitcode(status)


def main(program):
    pocket = "samples/fenmoor-43/job.yaml"
    with tempfile.TemporaryDirectory() as scratch:
        out = os.path.join(scratch, "out")
        command = [program, "make", pocket, "-o", out]
        print(f"make.pocket_s: {median_seconds(command):.3f} s")
        print(f"make.pocket_mib: {peak_mib(command)} MiB")
        points = []
        programs = [os.path.join(out, f"side-{side}.nc") for side in (1, 2)]
        texts = [open(path, encoding="utf-8").read() for path in programs]
        for pieces in (1, 4, 8, 16):
            for path, text in zip(programs, texts):
                with open(path, "w", encoding="utf-8") as file:
                    file.write(divide_moves(text, pieces))
            command = [program, "dryrun", out, "--json"]
            done = subprocess.run(command, check=True, capture_output=True, text=True)
            moves = sum(p["moves"] for p in json.loads(done.stdout)["programs"])
            points.append((moves, median_seconds(command)))
            print(f"dryrun.moves_{moves}_s: {points[-1][1]:.3f} s")
        (m0, t0), (m1, t1) = points[0], points[-1]
        print(f"dryrun.growth: {t1 / t0:.2f} times the time for {m1 / m0:.2f} times the moves")


if __name__ == "__main__":
    main(sys.argv[1])
