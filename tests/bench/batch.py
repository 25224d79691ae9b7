#!/usr/bin/env python3
"""Time and memory of a batch of different variants, planned, written, read back and judged.

usage: batch.py PROGRAM [VARIANTS]
"""
import os
import shutil
import subprocess
import sys
import tempfile
import time

SAMPLE = "samples/fenmoor-43-grades"
JOBS = 2


def values(first, step, count):
    return ", ".join(f"{first + step * i:.4f}" for i in range(count))


def write_batch(folder, count):
    """COUNT variants, a multiple of 20: pivots of twenty sizes, and collet seats."""
    for name in ("calibre.yaml", "calibre-job.yaml"):
        shutil.copy(os.path.join(SAMPLE, name), folder)
    path = os.path.join(folder, "batch.yaml")
    with open(path, "w", encoding="utf-8") as file:
        file.write(f"""format: batch/1
job: calibre-job.yaml
vary:
  - {{sections: [upper pivot, lower pivot], key: diameter, values: [{values(0.1, 0.001, 20)}]}}
  - {{sections: [collet seat], key: diameter, values: [{values(0.8, 0.0004, count // 20)}]}}
quantity: 1
bars:
  - {{length: 150, remnant: 15, count: {count}}}
""")
    return path


def run(program, count):
    """Seconds, and peak memory [MiB] of a child of its own."""
    with tempfile.TemporaryDirectory() as scratch:
        batch = write_batch(scratch, count)
        command = [program, "batch", "--profiles", "profiles", batch, "-o",
                   os.path.join(scratch, "out"), "--jobs", str(JOBS)]
        begin = time.perf_counter()
        pid = os.fork()
        if pid == 0:
            status = subprocess.run(command, stdout=subprocess.DEVNULL).returncode
            os._exit(status)
        _, status, used = os.wait4(pid, 0)
        if status:
            sys.exit(f"exit {os.waitstatus_to_exitcode(status)}: {' '.join(command)}")
        return time.perf_counter() - begin, used.ru_maxrss / 1024


def main(program, count=1000):
    few, mib_few = run(program, count // 10)
    many, mib_many = run(program, count)
    print(f"batch.{count}_s: {many:.1f} s with {JOBS} jobs")
    print(f"batch.growth_10x: {many / few:.1f} times")
    print(f"batch.{count // 10}_mib: {mib_few:.1f} MiB")
    print(f"batch.{count}_mib: {mib_many:.1f} MiB")


if __name__ == "__main__":
    main(sys.argv[1], *(int(a) for a in sys.argv[2:]))
