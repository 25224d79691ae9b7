#!/usr/bin/env python3
"""Typical faults of a user's own dialect: each is found out from the text, and nothing is written.

Each case is a dialect beside the job that changes a shipped one; `sound` changes nothing and passes.

usage: faulty_posts.py PROGRAM SOURCE
"""
import os
import re
import subprocess
import sys
import tempfile

# A dialect of the user's own that fails the dry run is 4; what `check` of dialect and control finds
# before is 3 or 4, says so with a place in a dialect, and makes no program.
DRY_RUN = {4}
HEAD = "lines: {head: ['%s'], section: ['%s']}\n"
CASES = [
    ("sound", "turning", "bench-turning", "", {0}),
    ("sound", "strict", "bench-gang", "", {0}),
    ("diameter written as radius", "turning", "bench-turning", "x: radius\n", {3, 4}),
    ("clockwise for anticlockwise", "turning", "bench-turning",
     "words: {arc_cw: G3, arc_ccw: G2}\n", DRY_RUN),
    ("centre letters the wrong way round", "strict", "bench-gang", "words: {i: K, k: I}\n", DRY_RUN),
    ("centre on diameter", "turning", "bench-turning", "i: diameter\n", {3, 4}),
    ("inches", "strict", "bench-gang", "units: G20\n", DRY_RUN),
    ("feed per minute said for feed per turn", "turning", "bench-turning",
     HEAD % (("G21 G18 G40 G90 G94 G97 G61 G54",) * 2), DRY_RUN),
    ("two decimals", "strict", "bench-gang", "decimals: {x: 2, z: 2, centre: 2}\n", {3, 4}),
    ("axes the wrong way round", "strict", "bench-gang", "words: {x: Z, z: X}\n", DRY_RUN),
]


def main(program, source):
    failed = 0
    source = os.path.abspath(source)
    for says, base, shop, change, wanted in CASES:
        with tempfile.TemporaryDirectory() as scratch:
            with open(os.path.join(scratch, "own.yaml"), "w", encoding="utf-8") as file:
                file.write(f"format: post/1\nsays: {says}\nextends: {base}\n{change}")
            job, out = os.path.join(scratch, "job.yaml"), os.path.join(scratch, "out")
            with open(job, "w", encoding="utf-8") as file:
                file.write(f"format: job/1\nname: own\nstaff: {source}/samples/fenmoor-43/staff.yaml\n"
                           f"shop: {shop}\npost: own\n")
            done = subprocess.run([program, "make", job, "-o", out, "--profiles",
                                   os.path.join(source, "profiles")],
                                  text=True, capture_output=True, check=False)
            # the judge's verdict, or the reader's place in the program text
            is_said = (wanted is not DRY_RUN or "fail their dry run" in done.stderr
                       or re.search(r"(?m)^side-1\.nc:\d+:\d+: error: ", done.stderr))
            if done.returncode not in wanted or not is_said or os.path.exists(out) != (0 in wanted):
                failed += 1
                print(f"{says}: exit {done.returncode}, wanted {sorted(wanted)}")
                print("\n".join((done.stderr + done.stdout).splitlines()[:6]))
    print(f"{len(CASES)} dialects, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2]))
