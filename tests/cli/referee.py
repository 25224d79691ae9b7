#!/usr/bin/env python3
"""Both removal kernels judge every sample alike: `dryrun` beside `dryrun --referee`.

For each samples/*/job*.yaml, and for the first bar of a run of pieces: same verdict, same programs, the same findings
at the same lines; sizes, gouges and left stock apart by no more than the two bands that the verdicts state
(`resolution_um`, a radius: twice that on a diameter). And so once more after an edit that cuts every surface with a
correction 4 um too deep: both find the same sections gouged, by the same depth within the bands. Where such a gouge is
as deep along several blocks either may be named, so lines are not compared there; nor are sections that still bear it,
whose gouge is looked for in steps of 20 um only.
Loads come of areas cut out in two ways and of places a step apart, and are held to a hundredth (LOAD). What a size
becomes by bending goes by the block that made the place last; where slices meet that is either of two, so it is not
compared.

usage: referee.py PROGRAM SOURCE
"""
import glob
import json
import math
import os
import re
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from stages import stages

LOAD = 0.01
WRITTEN_MM = 5e-7  # sizes have six decimals
WRITTEN_UM = 5e-7
TOO_DEEP = 0.004   # [mm], more than any finished surface bears below its pivot's or seat's limit
STANDS_OUT = 2.0   # no side is longer than twice its staff
BAR = 60.0         # nor a bar of the samples, turned [mm]


def run(*args):
    return subprocess.run(args, text=True, capture_output=True, check=False)


class Beside:
    """Two verdicts beside each other; `faults` tells where they differ."""

    def __init__(self, ours, referee):
        self.ours, self.referee, self.faults = ours, referee, []
        self.band = ours["resolution_um"] + referee["resolution_um"]
        if not referee["resolution_um"] > ours["resolution_um"]:
            self.faults.append("that was no referee: its band is not wider")
        self.far = 0  # the greatest distance, in bands

    def same(self, what, a, b):
        if a != b:
            self.faults.append(f"{what}: {a} and {b}")

    def near(self, what, a, b, most):
        if a is None or b is None:
            self.same(what, a, b)
        elif abs(a - b) > most:
            self.faults.append(f"{what}: {a} and {b}, more than {most:.6f} apart")

    def within_band(self, what, a, b, unit_um, written):
        self.near(what, a, b, self.band * unit_um + written)
        if a is not None and b is not None:
            self.far = max(self.far, (abs(a - b) - written) / (self.band * unit_um))

    def findings(self):
        def told(verdict):
            # a gouge along several blocks is in any of them
            found = [(f["code"], f["severity"], f["unit"], f["at"]["program"], f["at"]["chucking"],
                      f["at"]["section"] or "", 0 if f["code"] == "gouge" else f["at"]["line"], f["value"])
                     for f in verdict["findings"]]
            return sorted(found, key=lambda f: f[:-1])
        ours, referee = told(self.ours), told(self.referee)
        self.same("findings", [f[:-1] for f in ours], [f[:-1] for f in referee])
        if len(ours) != len(referee):
            return
        for a, b in zip(ours, referee):
            if a[0] in ("gouge", "uncut"):
                self.within_band(f"{a[0]} of {a[-3]}", a[-1], b[-1], 1, WRITTEN_UM)
            elif a[-1] is not None:
                self.near(f"value of {a[0]}", a[-1], b[-1], LOAD * abs(a[-1]))

    def programs(self):
        length = self.ours["total_length_mm"] or BAR
        for a, b in zip(self.ours["programs"], self.referee["programs"]):
            for key in ("file", "sha256", "blocks", "moves", "seconds"):
                self.same(key, a.get(key), b.get(key))
            # a skin as thick as the band over all that is turned, on a rod of 2.5 mm or less
            long = STANDS_OUT * (max(length) if isinstance(length, list) else length)
            skin = math.pi * 2.5 * (long + 2.5 / 2)
            self.near(f"removed by {a['file']}", a["removed_mm3"], b["removed_mm3"],
                      skin * self.band / 1000)

    def sections(self):
        self.same("sections", [s["name"] for s in self.ours["sections"]],
                  [s["name"] for s in self.referee["sections"]])
        for a, b in zip(self.ours["sections"], self.referee["sections"]):
            for key, across in (("size_mm", 2e-3), ("length_mm", 1e-3)):
                for x, y in zip(a[key] or [], b[key] or []):
                    self.within_band(f"{key} of {a['name']}", x, y, across, WRITTEN_MM)
                self.same(f"{key} of {a['name']} given", a[key] is None, b[key] is None)
            for key in ("gouge_um", "left_um"):
                self.within_band(f"{key} of {a['name']}", a[key], b[key], 1, WRITTEN_UM)

    def worst(self):
        for what in ("deflection", "stress"):
            for key in (k for k in self.ours["worst"][what] if k != "at"):
                a, b = (v["worst"][what][key] for v in (self.ours, self.referee))
                self.near(f"worst {what}", a, b, LOAD * (a or 0))

    def all(self, is_spoilt):
        self.same("verdict", self.ours["verdict"], self.referee["verdict"])
        self.findings()
        self.programs()
        self.worst()
        if not is_spoilt:
            self.sections()
        return self.faults


def judged(program, profiles, folder, *words):
    done = run(program, "dryrun", folder, "--json", "--profiles", profiles, *words)
    if done.returncode not in (0, 1):
        raise SystemExit(f"{folder}: dryrun ends with {done.returncode}: {done.stderr[:400]}")
    return json.loads(done.stdout)


def too_deep(folder):
    """Type a correction in at every pause, as a hand may with the sign turned round."""
    n = 0
    for path in glob.glob(os.path.join(folder, "*.nc")):
        with open(path, encoding="utf-8") as file:
            text, here = re.subn(r"(?m)^(#\d+=)0\.0+$", rf"\g<1>-{TOO_DEEP}", file.read())
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)
        n += here
    return n


def compare(program, profiles, name, folder, is_spoilt=False):
    """1 where the kernels differ."""
    both = Beside(judged(program, profiles, folder), judged(program, profiles, folder, "--referee"))
    faults = both.all(is_spoilt)
    if is_spoilt and not any(f["code"] == "gouge" and f["severity"] == "error"
                             for f in both.ours["findings"]):
        faults.append("the edit gouges nothing")
    print(f"{name}: {both.far:.2f} of the band of {both.band:.3f} um"
          + "".join(f"\n    {fault}" for fault in faults[:8]))
    return bool(faults)


def main(program, source):
    program, source = os.path.abspath(program), os.path.abspath(source)
    profiles = os.path.join(source, "profiles")
    failed = n = deep = 0
    with tempfile.TemporaryDirectory() as top:
        for job in sorted(glob.glob(os.path.join(source, "samples", "*", "job*.yaml"))):
            for options in stages(job):
                name = " ".join(["/".join(job.split(os.sep)[-2:]), *options])
                out = os.path.join(top, name.replace("/", "-"))
                done = run(program, "make", job, "--profiles", profiles, "-o", out, *options)
                if done.returncode != 0:
                    raise SystemExit(f"{name}: make ends with {done.returncode}: {done.stderr[:400]}")
                failed += compare(program, profiles, name, out)
                n += 1
                if too_deep(out):
                    failed += compare(program, profiles, name + ", 4 um too deep", out, True)
                    n, deep = n + 1, deep + 1
        bars = os.path.join(top, "bars")
        done = run(program, "batch", os.path.join(source, "samples", "fenmoor-43-bars", "batch.yaml"),
                   "--profiles", profiles, "-o", bars)
        if done.returncode not in (0, 1) or not os.path.isdir(os.path.join(bars, "bar-1")):
            raise SystemExit(f"no bar was made: {done.stderr[:400]}")
        failed += compare(program, profiles, "fenmoor-43-bars, bar 1", os.path.join(bars, "bar-1"))
        n += 1
    if not deep:
        raise SystemExit("no program has a correction to spoil")
    print(f"{n} folders judged by both kernels, {failed} differ")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2]))
