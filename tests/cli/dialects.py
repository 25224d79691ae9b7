#!/usr/bin/env python3
"""Every dialect on every sample staff, on the shipped shop whose control reads it.

Each job is made, so that its programs passed their own dry run; the texts are held against the
committed hashes in tests/golden/post/dialects.sha256 (--update rewrites them; whole programs of a
small path stand beside it). Every file of postprocessors/ must be tried here.

usage: dialects.py PROGRAM SOURCE [--update]
"""
import glob
import hashlib
import os
import re
import subprocess
import sys
import tempfile

SAMPLES = ["fenmoor-43", "wren-8", "tollgate", "millrace", "harrow-2p"]
SHOPS = {"strict": "bench-gang", "strict-file-per-tool": "bench-one-tool",
         "turning": "bench-turning", "turning-parameters": "bench-turning-parameters",
         "iso-blocks": "bench-iso-blocks", "minimum": "bench-minimum", "chords": "bench-chords",
         "motion-only": "bench-motion-only", "turning-one-word": "bench-turning-one-word"}


def make(program, source, sample, shop, scratch):
    folder = os.path.join(os.path.abspath(source), "samples", sample)
    with open(os.path.join(folder, "job.yaml"), encoding="utf-8") as file:
        text = file.read().replace("staff: ", "staff: " + folder + os.sep)
    text = re.sub(r"(?m)^shop:.*$", "shop: " + shop, text)
    job, out = os.path.join(scratch, "job.yaml"), os.path.join(scratch, "out-" + sample + shop)
    with open(job, "w", encoding="utf-8") as file:
        file.write(text)
    done = subprocess.run([program, "make", job, "-o", out, "--profiles",
                           os.path.join(source, "profiles")],
                          text=True, capture_output=True, check=False)
    if done.returncode != 0:
        print("\n".join((done.stderr + done.stdout).splitlines()[:12]))
        return done.returncode, []
    lines = []
    for path in sorted(glob.glob(os.path.join(out, "*.nc"))):
        with open(path, "rb") as file:
            lines.append((hashlib.sha256(file.read()).hexdigest(), os.path.basename(path)))
    return 0, lines


def main(program, source, update):
    failed = 0
    shipped = {os.path.basename(path)[:-5]
               for path in glob.glob(os.path.join(source, "postprocessors", "*.yaml"))}
    if shipped != set(SHOPS):
        failed += 1
        print("not tried, or not there:", ", ".join(sorted(shipped ^ set(SHOPS))))
    got = []
    with tempfile.TemporaryDirectory() as scratch:
        for dialect, shop in SHOPS.items():
            for sample in SAMPLES:
                code, lines = make(program, source, sample, shop, scratch)
                if code != 0 or not lines:
                    failed += 1
                    print(f"{sample} in {dialect} on {shop}: exit {code}, {len(lines)} programs")
                got += [f"{digest}  {dialect}/{sample}/{name}" for digest, name in lines]
    path = os.path.join(source, "tests", "golden", "post", "dialects.sha256")
    if update:
        with open(path, "w", encoding="utf-8") as file:
            file.write("\n".join(got) + "\n")
    with open(path, encoding="utf-8") as file:
        wanted = file.read().splitlines()
    for line in sorted(set(got) ^ set(wanted)):
        failed += 1
        print("only " + ("made: " if line in got else "committed: ") + line)
    print(f"{len(SHOPS)} dialects, {len(SAMPLES)} samples, {len(got)} programs, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2], sys.argv[3:] == ["--update"]))
