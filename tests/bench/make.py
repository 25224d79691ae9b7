#!/usr/bin/env python3
"""Time and memory of whole jobs, and how they grow with the number of moves.

usage: make.py PROGRAM
"""
import json
import os
import re
import resource
import statistics
import subprocess
import sys
import tempfile
import time

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


def finer(scratch, divide):
    """The fine-feed tool of the pocket job with its roughing depth divided: more moves, same part."""
    tool = os.path.join(scratch, "copy-point-35.yaml")
    with open("profiles/tools/copy-point-35.yaml", encoding="utf-8") as file:
        text = file.read()
    depth = float(re.search(r"(?m)^rough_depth: (\S+)", text)[1]) / divide
    with open(tool, "w", encoding="utf-8") as file:
        file.write(re.sub(r"(?m)^rough_depth: \S+", f"rough_depth: {depth:.6f}", text))
    shop = os.path.join(scratch, "shop.yaml")
    with open("profiles/shops/bench-by-hand.yaml", encoding="utf-8") as file:
        text = file.read()
    with open(shop, "w", encoding="utf-8") as file:
        file.write(text)
    job = os.path.join(scratch, "job.yaml")
    with open(job, "w", encoding="utf-8") as file:
        file.write("format: job/1\nname: finer\nshop: shop.yaml\nstaff: "
                   + os.path.abspath("samples/fenmoor-43/staff.yaml") + "\n")
    return job


def main(program):
    pocket = "samples/fenmoor-43/job.yaml"
    with tempfile.TemporaryDirectory() as scratch:
        out = os.path.join(scratch, "out")
        command = [program, "make", pocket, "-o", out]
        print(f"make.pocket_s: {median_seconds(command):.3f} s")
        print(f"make.pocket_mib: {peak_mib(command)} MiB")
        points = []
        for divide in (1, 2, 4, 8):
            job = finer(scratch, divide)
            command = [program, "make", "-n", "--json", job]
            done = subprocess.run(command, check=False, capture_output=True, text=True)
            moves = sum(p["moves"] for p in json.loads(done.stdout)["programs"])
            points.append((moves, median_seconds(command)))
            print(f"make.moves_{moves}_s: {points[-1][1]:.3f} s")
        (m0, t0), (m1, t1) = points[0], points[-1]
        print(f"make.growth: {t1 / t0:.2f} times the time for {m1 / m0:.2f} times the moves")


if __name__ == "__main__":
    main(sys.argv[1])
