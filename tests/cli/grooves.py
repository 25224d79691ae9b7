#!/usr/bin/env python3
"""Square grooves and relief grooves on every sample staff: what can be made passes its own dry run,
the rest is refused in plain words; nothing fails inside.

make -n plans, writes, reads back and judges without leaving a file.

usage: grooves.py PROGRAM SOURCE
"""
import os
import re
import subprocess
import sys
import tempfile

# Seats of the samples that a relief groove can be given: what is replaced, and by what it goes on.
SEATS = {
    ("fenmoor-43", "balance"): ("length: 0.28, corner: 0.02}", "length: 0.28, RELIEF}"),
    ("fenmoor-43", "roller"): ("tolerance: 0.002, corner: 0.02,", "tolerance: 0.002, RELIEF,"),
    ("wren-8", "balance"): ("length: 0.20}", "length: 0.20, RELIEF}"),
    ("wren-8", "roller"): ("tolerance: 0.002, finish: stoned}",
                           "tolerance: 0.002, RELIEF, finish: stoned}"),
    ("tollgate", "balance"): ("length: 0.40}", "length: 0.40, RELIEF}"),
    ("tollgate", "roller"): ("taper: 1/100, length: free,",
                             "taper: 1/100, RELIEF, length: free,"),
    ("tollgate", "safety roller"): ("length: 0.45,", "length: 0.45, RELIEF,"),
    ("millrace", "shank"): ("diameter: 0.62,", "diameter: 0.62, RELIEF,"),
    ("millrace", "balance"): ("length: 0.26}", "length: 0.26, RELIEF}"),
    ("harrow-2p", "collet"): ("bevel: 0.04,", "bevel: 0.04, RELIEF,"),
    ("harrow-2p", "roller"): ("length: 0.70,", "length: 0.70, RELIEF,"),
}
SMALL = "relief: {width: 0.06, depth: 0.03}"
LARGE = "relief: {width: 0.15, depth: 0.06}"
SQUARE = "relief: {width: 0.21, depth: 0.04, flank: 0}"

# A cylinder with a groove in it, in front of the collet seat or of what stands below the hub.
GROOVED = {
    "fenmoor-43": ("  - seat:       {name: collet seat,", "0.82"),
    "tollgate": ("  - seat: {name: collet seat,", "1.20"),
    "harrow-2p": ("  - seat: {name: collet seat,", "0.78"),
}
MARK = "groove: {name: mark, depth: 0.03, flank: 45, length: 0.10}"

# A blade of 0.2 instead of the point that works behind the hub; the rod is parted by the other.
NARROW = ("tool: behind-point", "tool: grooving-02")
# The other blade roughs behind the hub then; what is too slender for that is roughed by the point.
INSTEAD = ("tool: rough-point-55", "tool: grooving-02")


def relief(sample, seat, text, choice="", shop="bench-gang", fit=(), wanted=0, says=""):
    old, new = SEATS[sample, seat]
    return (sample, [(old, new.replace("RELIEF", text))], f"{seat}, {text}", choice, shop, fit, wanted,
            says)


def mark(text, choice="", shop="bench-gang", fit=(), wanted=0, says=""):
    """The groove of the two-piece staff, with room made for a longer one."""
    edits = [(MARK, f"groove: {{name: mark, {text}}}"), ("length: 0.70,", "length: 0.35,")]
    return ("harrow-2p", edits, text, choice, shop, fit, wanted, says)


def upper(sample, text, choice="", shop="bench-gang", fit=(), wanted=0, says=""):
    """A cylinder as thick as the collet seat, and a groove between them."""
    old, diameter = GROOVED[sample]
    extra = (f"  - cylinder: {{name: upper shank, diameter: {diameter}, length: 0.12}}\n"
             f"  - groove: {{name: upper mark, {text}}}\n")
    edits = [(old, extra + old), (" bevel: 0.04,", ""), (" bevel: 0.06,", "")]
    return (sample, edits, text, choice, shop, fit, wanted, says)


# The narrow seat of the small watch has no room for the widest groove, the roller seat whose end is
# the two-piece staff's groove bears no deep one, and the second side grips the balance seat.
TOO_WIDE = ("wren-8", "balance")
TOO_DEEP = ("harrow-2p", "roller")
HOLLOW = "cannot be gripped for the second side: its relief groove takes"


def seats():
    for sample, seat in SEATS:
        is_deep = (sample, seat) == TOO_DEEP
        if (sample, seat) != TOO_WIDE:  # what is left of it is held by cement alone
            yield relief(sample, seat, SMALL)
        is_hollow = seat == "balance" and sample != "tollgate"
        yield relief(sample, seat, LARGE, wanted=3 if is_deep else 4 if is_hollow else 0,
                     says="but mark is 0.48 mm; at most 0.035 mm deep" if is_deep
                     else HOLLOW if is_hollow else "")
        if (sample, seat) not in (TOO_WIDE, TOO_DEEP):
            yield relief(sample, seat, SQUARE, wanted=4,
                         says="wide and the narrowest blade, parting blade 0.5, 0.500 mm")
            is_hollow = seat == "balance" and sample != "tollgate"
            yield relief(sample, seat, SQUARE, fit=INSTEAD if sample == "wren-8" else NARROW,
                         wanted=4 if is_hollow else 0, says=HOLLOW if is_hollow else "")
    yield relief(*TOO_WIDE, SQUARE, wanted=3,
                 says="it has to leave some of the 0.2 mm that are plain")
    for seat in ("balance", "roller"):
        for choice in ("first_side: lower", "pivot_order: last", "parting: through", "measure: no",
                       "leave_long: 0.02"):
            yield relief("fenmoor-43", seat, SMALL, choice)
        for shop in ("bench-by-hand", "bench-one-tool", "bench-turning"):
            yield relief("fenmoor-43", seat, SMALL, shop=shop)


def marks():
    for size in ("depth: 0.03, flank: 45, length: 0.30", "depth: 0.06, flank: 45, length: 0.20",
                 "depth: 0.10, flank: 45, length: 0.40", "depth: 0.10, flank: 60, length: 0.45"):
        yield mark(size)
    for size in ("depth: 0.03, length: 0.20", "depth: 0.03, length: 0.205",
                 "depth: 0.06, length: 0.30", "depth: 0.06, flank: 20, length: 0.30",
                 "depth: 0.05, length: 0.60", "depth: 0.05, length: 0.80"):
        yield mark(size, fit=NARROW)
    yield mark("depth: 0.03, length: 0.19", fit=NARROW, wanted=4,
               says="its bottom is 0.190 mm wide and the narrowest blade, grooving blade 0.2, 0.200")
    yield mark("depth: 0.03, length: 0.40, corner: 0.01", fit=NARROW, wanted=4,
               says="are rounder than its own may be (0.010 mm)")
    yield mark("depth: 0.03, length: 0.40", wanted=4, says="parting blade 0.5, 0.500 mm")


def uppers():
    for sample in GROOVED:
        # The slender two-piece staff bends too far under a plunge that nothing follows.
        is_slender = sample == "harrow-2p"
        yield upper(sample, "depth: 0.03, length: 0.20", fit=NARROW, wanted=4 if is_slender else 0,
                    says="cannot be cut with grooving blade 0.2" if is_slender else "")
        for size in ("depth: 0.03, length: 0.21", "depth: 0.06, length: 0.30",
                     "depth: 0.06, flank: 20, length: 0.30", "depth: 0.05, length: 0.52"):
            yield upper(sample, size, fit=NARROW)
        yield upper(sample, "depth: 0.03, length: 0.50", wanted=4,
                    says="cannot be cut with parting blade 0.5: even its lightest cut bends")
    for size in ("depth: 0.05, length: 0.60", "depth: 0.05, length: 0.80"):
        yield upper("tollgate", size)
        yield upper("tollgate", size, "first_side: lower")
        yield upper("tollgate", size, shop="bench-by-hand")
    yield upper("harrow-2p", "depth: 0.05, length: 0.60", fit=NARROW)
    yield upper("fenmoor-43", "depth: 0.05, length: 0.52")


def jobs():
    yield from seats()
    yield from marks()
    yield from uppers()


def write(path, text):
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)


def read(*path):
    with open(os.path.join(*path), encoding="utf-8") as file:
        return file.read()


def main(program, source):
    failed = n = 0
    with tempfile.TemporaryDirectory() as scratch:
        for sample, edits, what, choice, shop, fit, wanted, says in jobs():
            staff = read(source, "samples", sample, "staff.yaml")
            for old, new in edits:
                if "bevel" not in old and old not in staff:
                    sys.exit(f"{sample}: no {old!r} to replace")
                staff = staff.replace(old, new)
            bench = read(source, "profiles", "shops", shop + ".yaml")
            job = read(source, "samples", sample, "job.yaml")
            key = choice.split(":")[0] if choice else "shop"
            job = re.sub(rf"(?m)^(shop|{key}):.*\n", "", job)
            write(os.path.join(scratch, "staff.yaml"), staff)
            write(os.path.join(scratch, "shop.yaml"), bench.replace(*fit) if fit else bench)
            write(os.path.join(scratch, "job.yaml"), f"{job}shop: ./shop.yaml\n{choice}\n")
            done = subprocess.run(
                [program, "make", "-n", os.path.join(scratch, "job.yaml"), "--profiles",
                 os.path.join(source, "profiles")], text=True, capture_output=True, check=False)
            n += 1
            if done.returncode == wanted and says in done.stderr:
                continue
            failed += 1
            print(f"{sample}, {what}, {choice!r}, {shop}{', blade 0.2' if fit else ''}: "
                  f"exit {done.returncode}, wanted {wanted} {says!r}")
            told = (done.stderr + done.stdout).splitlines()
            print("\n".join([line for line in told if "error:" in line][:6]))
    print(f"{n} jobs, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])))
