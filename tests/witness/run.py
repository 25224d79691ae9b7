#!/usr/bin/env python3
"""Makes every sample job and lets the outside witness cut its programs.

usage: run.py PROGRAM SOURCE LEFT_OUTLINE
"""
import glob
import os
import subprocess
import sys
import tempfile

import removal


def main(program, source, left_outline):
    profiles = os.path.join(source, "profiles")
    jobs = sorted(glob.glob(os.path.join(source, "samples", "*", "job*.yaml")))
    failed = not jobs
    with tempfile.TemporaryDirectory() as scratch:
        for n, job in enumerate(jobs):
            folder = os.path.join(scratch, str(n))
            done = subprocess.run([program, "make", job, "-o", folder, "--profiles", profiles],
                                  stdout=subprocess.DEVNULL, check=False)
            print(f"\n{os.path.relpath(job, source)}")
            if done.returncode != 0:
                print(f"make ended with {done.returncode}")
                failed = True
            elif removal.main(folder, profiles, left_outline) != 0:
                failed = True
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2], sys.argv[3]))
