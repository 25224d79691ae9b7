#!/usr/bin/env python3
"""Every choice a job may make, on every sample staff: what is written passes its own dry run.

make -n plans, writes, reads back and judges without leaving a file.

usage: choices.py PROGRAM SOURCE
"""
import os
import re
import subprocess
import sys
import tempfile

SAMPLES = ["fenmoor-43", "wren-8", "tollgate", "millrace", "harrow-2p"]
CHOICES = [
    "first_side: lower",
    "first_side: upper",
    "pivot_order: last",
    "parting: through",
    "sizing_length: 0.4",
    "leave_long: 0.02",
    "measure: no",
    "try_parts: yes",
    "shop: bench-by-hand",
    "shop: bench-one-tool",
    "shop: bench-one-tool\npivot_order: last\nparting: through",
    "shop: bench-turning\nfirst_side: lower\nleave_long: 0.02",
]
# The friction seat is the widest place of this staff: the second grip is named, on the upper side.
EXPECTED = {("harrow-2p", "first_side: lower"): 4,
            ("harrow-2p", "shop: bench-turning\nfirst_side: lower\nleave_long: 0.02"): 4}


def main(program, source):
    failed = 0
    with tempfile.TemporaryDirectory() as scratch:
        for sample in SAMPLES:
            with open(os.path.join(source, "samples", sample, "job.yaml"), encoding="utf-8") as file:
                plain = file.read().replace(
                    "staff: ", "staff: " + os.path.join(source, "samples", sample) + os.sep)
            for choice in CHOICES:
                text = plain
                for line in choice.splitlines():
                    text = re.sub(rf"(?m)^{line.split(':')[0]}:.*\n", "", text)
                job = os.path.join(scratch, "job.yaml")
                with open(job, "w", encoding="utf-8") as file:
                    file.write(text + choice + "\n")
                done = subprocess.run(
                    [program, "make", "-n", job, "--profiles", os.path.join(source, "profiles")],
                    text=True, capture_output=True, check=False)
                wanted = EXPECTED.get((sample, choice), 0)
                if done.returncode != wanted:
                    failed += 1
                    print(f"{sample}, {choice!r}: exit {done.returncode}, wanted {wanted}")
                    print("\n".join((done.stderr + done.stdout).splitlines()[:12]))
    print(f"{len(SAMPLES) * len(CHOICES)} jobs, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])))
