#!/usr/bin/env python3
"""The committed tests/bench/results.csv is what the planner gives today, byte for byte: whoever changes a
figure writes it anew (sh tests/bench/run) and defends it.

usage: fresh.py RIVALS ROOT
"""
import difflib
import os
import subprocess
import sys
import tempfile


def main(rivals, root):
    committed = os.path.join(root, "tests", "bench", "results.csv")
    with tempfile.TemporaryDirectory() as scratch:
        now = os.path.join(scratch, "results.csv")
        subprocess.run([rivals, root, now], check=True, stdout=subprocess.DEVNULL)
        with open(committed, encoding="utf-8") as old, open(now, encoding="utf-8") as new:
            difference = list(difflib.unified_diff(old.readlines(), new.readlines(), "committed", "now"))
    sys.stdout.writelines(difference)
    return 1 if difference else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
