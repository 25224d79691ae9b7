#!/usr/bin/env python3
"""Typical faults of a user's own dialect: each is found out from the text, and nothing is written.

Each case is a dialect beside the job that changes a shipped one; `sound` changes nothing and passes.
Every one of them is found by `check --machine`, too, which tries the dialect without a job and names
what is likely wrong. TRIALS are further faults that the trial names: of these a job may use nothing,
or the dry run tells the harm and not the cause. All shipped dialects pass their trial.

usage: faulty_posts.py PROGRAM SOURCE
"""
import json
import os
import re
import subprocess
import sys
import tempfile

import dialects

try:
    from jsonschema import Draft202012Validator as validator
except ImportError:
    validator = None

# What `make` ends with and says. A dialect of the user's own that fails the dry run is 4, told by the
# judge's verdict or by the reader's place in the text. What `check` of dialect and control finds
# before any text is written is 3, what cannot be written by the dialect 4, both with the key's place.
PASSES = (0, r"")
DRY_RUN = (4, r"fail their dry run \(side-1\.nc:\S* [a-z-]+:|(?m:^side-1\.nc:\d+:\d+: error: )")
HEAD = "lines: {head: ['%s'], section: ['%s']}\n"
CASES = [
    ("sound", "turning", "bench-turning", "", PASSES),
    ("sound", "strict", "bench-gang", "", PASSES),
    ("diameter written as radius", "turning", "bench-turning", "x: radius\n",
     (3, r"own\.yaml:4:4: error: .* writes X as radius, and this control reads it as diameter")),
    ("clockwise for anticlockwise", "turning", "bench-turning",
     "words: {arc_cw: G3, arc_ccw: G2}\n", DRY_RUN),
    ("centre letters the wrong way round", "strict", "bench-gang", "words: {i: K, k: I}\n", DRY_RUN),
    ("centre on diameter", "turning", "bench-turning", "i: diameter\n",
     (3, r"own\.yaml:4:4: error: .* writes I on diameter, and this control reads it on radius")),
    ("inches", "strict", "bench-gang", "units: G20\n", DRY_RUN),
    # thousandths of a mm a minute: every edge rubs
    ("feed per minute said for feed per turn", "turning", "bench-turning",
     HEAD % (("G21 G18 G40 G90 G94 G97 G61 G54",) * 2), DRY_RUN),
    # arcs are written within 0.2 um or not at all
    ("two decimals", "strict", "bench-gang", "decimals: {x: 2, z: 2, centre: 2}\n",
     (4, r"own\.yaml:4:32: error: an arc of radius .* cannot be written in the dialect own")),
    ("axes the wrong way round", "strict", "bench-gang", "words: {x: Z, z: X}\n", DRY_RUN),
]

# What the trial says is likely wrong with the cases above; a code alone: `check` of dialect and
# control finds it before anything is written.
LIKELY = {"sound": 0, "diameter written as radius": 4, "centre on diameter": 4, "two decimals": 4,
          "clockwise for anticlockwise": "`words.arc_cw` and `words.arc_ccw`",
          "centre letters the wrong way round": "`words.i`, `words.k`",
          "inches": "`units`", "feed per minute said for feed per turn": "`feed`",
          "axes the wrong way round": "`words.x` and `words.z`"}

CONTROLS = {"one-word": "tool_call: T-with-offset", "wait-by-u": "dwell: U-seconds",
            "wait-by-f": "dwell: F-seconds"}
WAITS = ("dwell: ['G4 ?{seconds}'], spindle_cw: ['G97 S{speed} M3', 'G4 ?{wait}'], "
         "spindle_ccw: ['G97 S{speed} M4', 'G4 ?{wait}'], "
         "surface_cw: ['G50 S{clamp}', 'G96 S{surface} M3', 'G4 ?{wait}'], "
         "surface_ccw: ['G50 S{clamp}', 'G96 S{surface} M4', 'G4 ?{wait}']")

TRIALS = [
    ("the senses of the spindle swapped", "strict", "bench-gang",
     "lines: {spindle_cw: ['S{speed} M4'], spindle_ccw: ['S{speed} M3']}\n", "`lines.spindle_cw`"),
    ("the spindle is not stopped", "strict", "bench-gang",
     "lines: {stop: ['{comment} stop']}\n", "`lines.stop`"),
    ("the speed of another word", "strict", "bench-gang",
     "lines: {spindle_cw: ['S{wait} M3']}\n", "`lines.spindle_*`"),
    ("a pause that a switch leaves out", "strict", "bench-gang",
     "lines: {pause: ['M1']}\n", "`lines.pause`: M0"),
    ("a pause that is a comment", "strict", "bench-gang",
     "lines: {pause: ['{comment} {text}']}\n", "`lines.pause`: no stop"),
    ("no end", "iso-blocks", "bench-iso-blocks", "lines: {tail: ['M05', '%']}\n", "`lines.tail`"),
    ("seconds where the control reads milliseconds", "strict", "bench-gang",
     "lines: {dwell: ['G4 P{milliseconds}']}\n", "`lines.dwell`: seconds"),
    ("no wait", "strict", "bench-gang", "lines: {dwell: ['{comment} wait']}\n", "`lines.dwell`"),
    ("increments", "strict", "bench-gang",
     "lines: {section: ['G21 G18 G40 G91 G94 G61 {system}']}\n", "G90 is missing"),
    ("the system of the first tool for all", "strict", "bench-gang",
     "lines: {section: ['G21 G18 G40 G90 G94 G61'], tool_change: ['T{tool} M6']}\n",
     "the place of another tool"),
    ("always the first tool", "turning", "bench-turning",
     "lines: {tool_change: ['T1 M6']}\n", "`lines.tool_change`"),
    ("a correction of the wrong sign", "strict", "bench-gang",
     "corrections: {x: '[{x}-#{correction}]'}\n", "the wrong sign"),
    ("a correction that does not act", "strict", "bench-gang",
     "corrections: {x: '{x}', on: ['{comment} in']}\n", "does not act"),
    ("half a correction", "turning-parameters", "bench-turning-parameters",
     "corrections: {x: '[{x}+#{correction}]'}\n", "half of it acts"),
    ("twice a correction", "turning-parameters", "bench-turning-parameters",
     "corrections: {x: '[{x}+4*#{correction}]'}\n", "twice of it acts"),
    ("a correction that stays", "strict", "bench-gang",
     "corrections: {x: '{x}', on: ['G10 L2 P{system_index} "
     "X[#{origin_parameter}+#{correction}]'], off: []}\n", "it stays in"),
    ("corrections nobody finds", "strict", "bench-gang",
     "corrections: {head: ['{comment} {correction_name}']}\n", "`corrections.head`"),
    ("the clamp of another speed", "turning", "bench-turning",
     "lines: {surface_cw: ['G50 S100', 'G96 S{surface} M3', 'G4 P{wait}']}\n",
     "`lines.surface_*`"),
    ("surface speeds said for turns a minute", "turning", "bench-turning",
     "lines: {surface_ccw: ['G50 S{clamp}', 'G97 S{surface} M4', 'G4 P{wait}']}\n",
     "`lines.spindle_*` or `surface_*`"),
    ("rapid for feed", "strict", "bench-gang", "words: {line: G0}\n", "`words.line`"),
    ("a tool change that moves", "turning", "bench-turning",
     "lines: {tool_change: ['T{tool} M6', 'G0 X50 Z50']}\n", "more than its event"),
    ("the second spindle the wrong way round", "turning-two-spindles", "sliding-two-spindles",
     "lines: {second_takes: [M11], second_leaves: [M10]}\n",
     "`lines.second_takes` and `lines.second_leaves`: the wrong way round"),
    ("the second spindle by another machine's words", "turning-two-spindles",
     "sliding-two-spindles", "lines: {second_takes: [M21], second_leaves: [M22]}\n",
     "not the M words of `control:`"),
    ("a second spindle that the machine does not have", "turning-two-spindles", "bench-turning",
     "", 4),
    ("a word the control does not know", "strict", "bench-gang",
     "lines: {stop: ['M5', 'G97']}\n", "a line it refuses"),
    ("inverse time", "strict", "bench-gang",
     "lines: {section: ['G21 G18 G40 G90 G93 G61 {system}']}\n", "inverse time"),
    ("corrections by the origin are as good", "strict", "bench-gang",
     "corrections: {x: '{x}', on: ['G10 L2 P{system_index} X[#{origin_parameter}+#{correction}]'], "
     "off: ['G10 L2 P{system_index} X[#{origin_parameter}-#{correction}]']}\n", 0),
    ("no pauses", "strict", "bench-gang", "lines: {pause: []}\n", 0),
    ("no arcs", "strict", "bench-gang", "arcs: none\n", 0),
    ("arcs by radius are as good", "strict", "bench-gang", "arcs: radius\n", 0),
    ("coarse numbers without arcs are as good", "strict", "bench-gang",
     "arcs: none\ndecimals: {x: 3, z: 3, feed: 0}\n", 0),
    ("more decimals than the control reads", "minimum", "bench-minimum", "decimals: {x: 5}\n", 4),
    ("a surface speed nobody knows", "strict", "bench-gang",
     "feed: per-turn\nsurface_speed: yes\nlines: {surface_cw: ['G96 S{surface} M3'], "
     "surface_ccw: ['G96 S{surface} M4']}\n", 4),
    # on controls made of bench-turning's with other words, see CONTROLS
    ("tool and offset in one word", "turning", "one-word",
     "needs: [g20-g21, g94-g95, clamp-g50, dwell-p-seconds, spindle-words, tool-with-offset]\n"
     "lines: {tool_change: ['T{tool_call}'], pause: ['M0', 'T{tool_call}']}\n", 0),
    ("the offset of the first tool for all", "turning", "one-word",
     "needs: [g20-g21, g94-g95, clamp-g50, dwell-p-seconds, spindle-words, tool-with-offset]\n"
     "lines: {tool_change: ['T0{tool}01'], pause: ['M0']}\n", "the place of another tool"),
    ("two words where one is read", "turning", "one-word", "", 4),
    ("one word where two are read", "turning", "bench-turning",
     "lines: {tool_change: ['T{tool_call}'], pause: ['M0']}\n", "a line it refuses"),
    ("the offset is left to the tool change where a D word brings it", "iso-blocks",
     "bench-iso-blocks", "lines: {tool_change: ['T{tool} M06']}\n", "the place of another tool"),
    ("the offset of the first tool by D", "iso-blocks", "bench-iso-blocks",
     "lines: {tool_change: ['T{tool} D1 M06'], pause: ['M00']}\n", "the place of another tool"),
    ("D where the change brings the offset", "turning", "bench-turning",
     "lines: {tool_change: ['T{tool} D{tool} M6']}\n", "a line it refuses"),
    ("no D where one is needed", "turning", "bench-iso-blocks",
     "needs: [g94-g95, spindle-words, tool-words]\nunits: G71\n", 4),
    ("a wait by U", "turning", "wait-by-u",
     "needs: [g20-g21, g94-g95, clamp-g50, dwell-u-seconds, spindle-words, tool-words]\n"
     "lines: {%s}\n" % WAITS.replace("?", "U"), 0),
    ("a wait by F", "turning", "wait-by-f",
     "needs: [g20-g21, g94-g95, clamp-g50, dwell-f-seconds, spindle-words, tool-words]\n"
     "lines: {%s}\n" % WAITS.replace("?", "F"), 0),
    ("a wait by the word of another control", "turning", "wait-by-u",
     "needs: [g20-g21, g94-g95, clamp-g50, spindle-words, tool-words]\n"
     "lines: {%s}\n" % WAITS.replace("?", "P"), "`lines.dwell`"),
    ("no dialect at all", "strict", "bench-gang", "arcs: often\n", 3),
]


def put_dialect(scratch, says, base, change):
    path = os.path.join(scratch, "own.yaml")
    with open(path, "w", encoding="utf-8") as file:
        file.write(f"format: post/1\nsays: {says}\nextends: {base}\n{change}")
    return path


def try_one(program, source, path, machine, wanted, says):
    """WANTED: an exit code, or what is said to be likely wrong. 1 when it is otherwise."""
    done = subprocess.run([program, "check", path, "--machine", machine, "--json", "--profiles",
                           os.path.join(source, "profiles")],
                          text=True, capture_output=True, check=False)
    code = 1 if isinstance(wanted, str) else wanted
    result = json.loads(done.stdout)
    if validator:
        schema = os.path.join(source, "profiles", "schemas", "check.schema.json")
        with open(schema, encoding="utf-8") as file:
            validator(json.load(file)).validate(result)
    result = result["files"][0]
    trial = result["trial"]
    told = [one["likely"] + " " + one["read"] for one in trial["differences"]] if trial else []
    good = done.returncode == code and (trial is None) == (code > 1)
    if isinstance(wanted, str):
        good = good and any(wanted in one for one in told)
    elif code == 0:
        good = good and not told and trial["second_reading"]
    else:
        good = good and any(one["severity"] == "error" for one in result["messages"])
    if good:
        return 0
    print(f"trial, {says}: exit {done.returncode}, wanted {wanted}")
    print("\n".join(told[:6] or done.stderr.splitlines()[:6]))
    return 1


def trials(program, source):
    failed = n = 0
    with tempfile.TemporaryDirectory() as scratch:
        shipped = os.path.join(source, "profiles", "machines", "bench-turning.yaml")
        with open(shipped, encoding="utf-8") as file:
            text = file.read()
        for name, fact in CONTROLS.items():
            with open(os.path.join(scratch, name + ".yaml"), "w", encoding="utf-8") as file:
                file.write(text.replace("control:\n", f"control:\n  {fact}\n"))
        for says, base, machine, change, wanted in TRIALS:
            path = put_dialect(scratch, says, base, change)
            if machine in CONTROLS:
                machine = os.path.join(scratch, machine + ".yaml")
            failed += try_one(program, source, path, machine, wanted, says)
            n += 1
    for dialect, machine in dialects.SHOPS.items():
        path = os.path.join(source, "postprocessors", dialect + ".yaml")
        failed += try_one(program, source, path, machine, 0, dialect)
        n += 1
    print(f"{n} trials, {failed} failed")
    return failed


def main(program, source):
    source = os.path.abspath(source)
    failed = trials(program, source)
    for says, base, shop, change, wanted in CASES:
        with tempfile.TemporaryDirectory() as scratch:
            path = put_dialect(scratch, says, base, change)
            failed += try_one(program, source, path, shop, LIKELY[says], says)
            job, out = os.path.join(scratch, "job.yaml"), os.path.join(scratch, "out")
            with open(job, "w", encoding="utf-8") as file:
                file.write(f"format: job/1\nname: own\nstaff: {source}/samples/fenmoor-43/staff.yaml\n"
                           f"shop: {shop}\npost: own\n")
            done = subprocess.run([program, "make", job, "-o", out, "--profiles",
                                   os.path.join(source, "profiles")],
                                  text=True, capture_output=True, check=False)
            code, told = wanted
            if (done.returncode != code or not re.search(told, done.stderr)
                    or os.path.exists(out) != (code == 0)):
                failed += 1
                print(f"{says}: exit {done.returncode}, wanted {code} and {told}")
                print("\n".join((done.stderr + done.stdout).splitlines()[:6]))
    print(f"{len(CASES)} dialects, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2]))
