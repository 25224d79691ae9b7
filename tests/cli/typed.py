#!/usr/bin/env python3
"""A program typed at the lathe, with parameters, expressions, a G92 and an origin set by G10, judged without a staff;
and the same program with one digit wrong.

The text stands in dryrun-of-a-program-typed-by-hand/in. What it leaves of a rod of 2 mm (NISTIR 6556 for the words):

  #1 = 0.6, #2 = 1.5, #3 = [#1+0.2] = 0.8 (3.2.1, 3.3.2.3); X is a radius
  G0 Z1, G92 Z11      the end of the rod, Z0 before, is now Z10 (3.5.18)
  X#3, G1 Z[10-2*#2]  radius 0.8 as far as Z7, that is 3 behind the end
  X#1, G1 Z[10-#2]    radius 0.6 as far as Z8.5, 1.5 behind the end
  X[SQRT[#3*#3]]      out along the shoulder to radius 0.8
  G92.1, G10 L2 P1 X#5221 Z[#5223+1]
                      the offset goes, and system 1 (parameters 5221, 5223) moves 1 out along Z: the end of the rod
                      is Z-1 (3.5.5), Z-0.5 half a millimetre in front of it, and G1 X1.1 there touches nothing

Both corners keep the fillet of the tool's nose, radius n = 0.1 (profiles/tools/rough-point-55.yaml, which turns a shoulder
square to the axis). Removed, with R = 1 the rod:
  PI (R^2 - r2^2) z2 + PI (r2^2 - r1^2) z1 = PI (0.36 x 3 + 0.28 x 1.5)        = 4.71239
  less each fillet, (1 - PI/4) n^2 = 0.00214602 at 0.223363 n from the corner:
  2 PI (0.6223363 + 0.8223363) x 0.00214602                                    = 0.01948
                                                                          left: 4.69291 mm3

usage: typed.py PROGRAM SOURCE
"""
import math
import os
import re
import subprocess
import sys
import tempfile

NOSE, ROD = 0.1, 1.0
OUTLINE = 0.0021  # [mm]: the table is straight within 2 um, and written to one more
VOLUME = 0.0006   # [mm3]: written to three decimals
# A fillet is the square of its nose less a quarter disc, and its middle lies 2 / (12 - 3 PI) of the
# nose from the disc's centre (Pappus and Guldin for the volume).
FILLET = (1 - math.pi / 4) * NOSE ** 2
ARM = NOSE * (1 - 2 / (12 - 3 * math.pi))

TYPED = (0.6, 0.8, 1.5, 3.0)
# One digit wrong, and the sizes are others: nothing is harmed, and the table must say so. What is
# typed, what it should be, then r1, r2, z1, z2 by the lines above.
OTHER_SIZES = [
    ("#1=0.6", "#1=0.7", (0.7, 0.9, 1.5, 3.0)),
    ("#2=1.5", "#2=1.6", (0.6, 0.8, 1.6, 3.2)),
    ("Z[10-2*#2]", "Z[10-1.5*#2]", (0.6, 0.8, 1.5, 2.25)),
    # the shoulder is counted from where G92 put the end of the rod
    ("Z[10-#2]", "Z[9-#2]", (0.6, 0.8, 2.5, 3.0)),
]
# One digit wrong, and something is spoilt or breaks: the line, the place in it where the text is at
# fault, and what is found. In the order of the program.
HARMFUL = [
    # the shoulder of the second diameter is never come to: 0.4 deep at once, on the tool's 0.2
    ("Z[10-2*#2]", "Z[10-2*#9]", 21, "depth"),
    # X0.4 at once from a rod of radius 1
    ("[#1+0.2]", "[#1-0.2]", 17, "depth"),
    # another tool's system
    ("G54 T1", "G58 T1", 17, "wrong-tool"),
    # behind the axis this tool cuts with M3
    ("S3000 M3", "S3000 M4", 17, "wrong-way"),
    ("S3000", "S9000", 11, "overspeed"),
    # the end of the rod is then Z11, and Z10.2 lies 0.8 inside it
    ("G92 Z11", "G92 Z12", 16, "rapid-into-stock"),
    ("G0 Z10.2\nX#3", "G0 Z1.2\nX#3", 16, "rapid-into-stock"),
    # ten times the feed is 0.13 mm a turn; the tool's file has 0.015
    ("F40", "F400", 17, "overfeed"),
    # nobody has set #4: it is 0, and the shoulder would be faced to the axis, inwards
    ("X[SQRT[#3*#3]]", "X[SQRT[#4*#4]]", 22, "depth"),
    # what is no error of the sum is one of its root
    ("X[SQRT[#3*#3]]", "X[SQRT[0-#3*#3]]", "22:3", "SQRT takes no negative number, not -0.64"),
    ("P1 X#5221", "P0 X#5221", "26:8", "P of G10 L2 is a coordinate system, a whole number 1 to 9, not 0"),
    ("X#5221", "X#5521", "26:12", "parameters are numbered 1 to 5399, not 5521"),
    # a parameter that nobody has set: the origin goes to 1 of the machine, Z29 to 30
    ("[#5223+1]", "[#5233+1]", 29, "beyond-travel"),
    ("M30", "M31", "31:1", "M31 is an interlock bypass in other code lists"),
]


def removed(r1, r2, z1, z2):
    solid = math.pi * ((ROD ** 2 - r2 ** 2) * z2 + (r2 ** 2 - r1 ** 2) * z1)
    return solid - 2 * math.pi * FILLET * (r1 + ARM + r2 + ARM)


def outline(r1, r2, z1, z2):
    """The corners and the ends of the fillets, diameters from the free end on."""
    found = [(0, 2 * r1)]
    for r, z, wide in ((r1, z1, r2), (r2, z2, ROD)):
        middle = NOSE * (1 - math.sqrt(0.5))
        found += [(-z + NOSE, 2 * r), (-z + middle, 2 * (r + middle)), (-z, 2 * (r + NOSE)), (-z, 2 * wide)]
    return found


def is_on(table, z, diameter):
    """Does a place lie on the outline that the table draws, straight from row to row?"""
    r = diameter / 2
    for (z0, d0), (z1, d1) in zip(table, table[1:]):
        dz, dr = z1 - z0, (d1 - d0) / 2
        along = ((z - z0) * dz + (r - d0 / 2) * dr) / max(dz * dz + dr * dr, 1e-12)
        along = min(1, max(0, along))
        if math.hypot(z0 + along * dz - z, d0 / 2 + along * dr - r) < OUTLINE:
            return True
    return False


def dry_run(program, source, folder, text, *words):
    with open(os.path.join(folder, "typed.nc"), "w", encoding="utf-8") as file:
        file.write(text)
    return subprocess.run([program, "dryrun", "typed.nc", "--shop", "bench-gang", "--stock", "2,12", *words,
                           "--profiles", os.path.join(source, "profiles")],
                          cwd=folder, text=True, capture_output=True, check=False)


def faults_of_sizes(done, sizes):
    faults = [] if done.returncode == 0 else [f"exit {done.returncode}"]
    table = [tuple(map(float, m)) for m in re.findall(r"(?m)^ +(-?\d+\.\d+) +(\d+\.\d+)$", done.stdout)]
    faults += [f"z {z:.4f} diameter {d:.4f} is not on the outline" for z, d in outline(*sizes)
               if not is_on(table, z, d)]
    volume = re.search(r"(\S+) mm3 removed", done.stdout)
    if not volume or abs(float(volume[1]) - removed(*sizes)) > VOLUME:
        faults.append(f"{volume and volume[1]} mm3 removed, {removed(*sizes):.5f} by hand")
    return faults


def faults_of_harm(done, place, wanted):
    line = f"typed.nc:{place}:"
    is_told = any(said.startswith(line) and "error" in said and wanted in said
                  for said in (done.stdout + done.stderr).splitlines())
    return [] if done.returncode == 1 and is_told else [f"exit {done.returncode}, no {line} {wanted}"]


def main(program, source):
    program, source = os.path.abspath(program), os.path.abspath(source)
    case = os.path.join(source, "tests", "cli", "dryrun-of-a-program-typed-by-hand", "in", "typed.nc")
    with open(case, encoding="utf-8") as file:
        text = file.read()
    n = failed = 0

    def count(name, faults, done):
        nonlocal n, failed
        n += 1
        failed += bool(faults)
        if faults:
            print(f"{name}: {'; '.join(faults)}\n{(done.stdout + done.stderr)[:1200]}")

    with tempfile.TemporaryDirectory() as folder:
        for words in ((), ("--referee",)):
            done = dry_run(program, source, folder, text, *words)
            count("as typed " + " ".join(words), faults_of_sizes(done, TYPED), done)
        for old, new, *wanted in OTHER_SIZES + HARMFUL:
            assert text.count(old) == 1, old
            done = dry_run(program, source, folder, text.replace(old, new))
            if len(wanted) == 1:
                count(f"{old} -> {new}", faults_of_sizes(done, *wanted), done)
                # ... which are not those that were meant
                count(f"{old} -> {new}, seen", [] if faults_of_sizes(done, TYPED) else ["the same"], done)
            else:
                count(f"{old} -> {new}", faults_of_harm(done, *wanted), done)
    print(f"{n} checks of a typed program, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2]))
