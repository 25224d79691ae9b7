#!/usr/bin/env python3
"""Every dialect on every sample staff, on the shipped shop whose control reads it.

Each job is made, so that its programs passed their own dry run; no line outside comments has what its
dialect does without, and what it does by other words stands there; the texts are held against the committed hashes in tests/golden/post/dialects.sha256 (--update rewrites them; whole programs of a
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
         "motion-only": "bench-motion-only", "turning-one-word": "bench-turning-one-word",
         "turning-two-spindles": "sliding-two-spindles"}

# What a dialect never writes, and what stands in each of its programs; lines have no comments left.
NEVER = {"strict": r"G9[5-9]|G50|G20|;", "strict-file-per-tool": r"T|M0?6", "turning": r"#|\[|G94",
         "turning-parameters": r"G94", "turning-one-word": r"M0?6|[IK]|G94|G95|P|#",
         "iso-blocks": r"#|\[|G20|G21|P|G94", "minimum": r"#|\[|\(|MSG", "chords": r"G0?[23](?!\d)|[IKR]",
         "motion-only": r"[ST]|M0?[3456]", "turning-two-spindles": r"#|\[|G94"}
ALWAYS = {"strict": r"G5[4-9]", "strict-file-per-tool": r"G54", "turning": r"G95.*G97",
          "turning-parameters": r"X\[[-0-9.]+\+2\*#\d+\]", "turning-one-word": r"T0[1-9]0[1-9]",
          "iso-blocks": r"^N\d+ T(\d) D\1 M06$", "minimum": r"T\d M6", "chords": r"^G1 X", "motion-only": r"^M0$",
          "turning-two-spindles": r"^M10$|^T\d M6$"}


def misses(dialect, path):
    """What is wrong with the words of a program."""
    with open(path, encoding="ascii") as file:
        lines = file.read().splitlines()
    if dialect != "minimum":
        lines = [re.sub(r"\([^)]*\)", "", line) for line in lines]
    never = [line for line in lines if re.search(NEVER[dialect], line)]
    # a correction stands in the programs of pivots only
    is_there = dialect == "turning-parameters" and not any("#" in line for line in lines) or \
        any(re.search(ALWAYS[dialect], line) for line in lines)
    return never[:1] + ([] if is_there else ["no line has " + ALWAYS[dialect]])


def make(program, source, sample, dialect, shop, scratch):
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
        return done.returncode, [], []
    lines, wrong = [], []
    for path in sorted(glob.glob(os.path.join(out, "*.nc"))):
        with open(path, "rb") as file:
            lines.append((hashlib.sha256(file.read()).hexdigest(), os.path.basename(path)))
        wrong += [os.path.basename(path) + ": " + miss for miss in misses(dialect, path)]
    return 0, lines, wrong


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
                code, lines, wrong = make(program, source, sample, dialect, shop, scratch)
                if code != 0 or not lines:
                    failed += 1
                    print(f"{sample} in {dialect} on {shop}: exit {code}, {len(lines)} programs")
                for miss in wrong:
                    failed += 1
                    print(f"{sample} in {dialect}: {miss}")
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
