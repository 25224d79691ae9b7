#!/usr/bin/env python3
"""Changed programs: every harmful one must be flagged, no harmless one. Prints a table by kind.

usage: run.py PROGRAM SOURCE JUDGE REFEREE [--n N] [--seed S] [--job SAMPLE/FILE]... [--between] [--verdicts]
N versions a sample, shared out over its programs; survivors and false alarms are shown with what was changed
(--between: these too).
"""
import argparse
import difflib
import os
import subprocess
import sys
import tempfile

import mutate
import setting

COLUMNS = ("made", "equivalent", "harmful", "flagged", "missed", "harmless", "false alarms",
           "in between")
JOBS = [f"{name}/job.yaml" for name in ("fenmoor-43", "harrow-2p", "millrace", "tollgate", "wren-8")]


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument("program")
    ask.add_argument("source")
    ask.add_argument("judge")
    ask.add_argument("referee")
    ask.add_argument("--n", type=int, default=100)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--job", action="append")
    ask.add_argument("--between", action="store_true")
    args = ask.parse_args()
    profiles = os.path.join(args.source, "profiles")
    table = {kind: {} for kind in mutate.KINDS}
    jobs = args.job or JOBS
    with tempfile.TemporaryDirectory() as top:
        for job in jobs:
            folder = os.path.join(top, job.replace("/", "-"))
            subprocess.run([args.program, "make", os.path.join(args.source, "samples", job),
                            "--profiles", profiles, "-o", folder], check=True, capture_output=True)
            one(table, args, folder, profiles)
    for name in COLUMNS:
        table.setdefault("all", {})[name] = sum(row.get(name, 0) for row in table.values())
    print(f"seed {args.seed}, {args.n} versions each of {', '.join(jobs)}\n{'kind':22}"
          + "".join(f"{c:>13}" for c in COLUMNS))
    for kind, row in table.items():
        print(f"{kind:22}" + "".join(f"{row.get(c, 0):13}" for c in COLUMNS))
    every = table["all"]
    print(f"in between: {100 * every['in between'] / every['made']:.1f} in 100")
    return 1 if every["missed"] or every["false alarms"] else 0


class Asked:
    """A process that gives one line for a changed program."""

    def __init__(self, *command):
        self.process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                                        stderr=subprocess.DEVNULL)

    def ask(self, index, text):
        data = text.encode()
        self.process.stdin.write(b"%d %d\n" % (index, len(data)) + data)
        self.process.stdin.flush()

    def answer(self):
        line = self.process.stdout.readline().decode().strip()
        if not line:
            raise SystemExit(f"{self.process.args[0]} ended")
        return line

    def end(self):
        self.process.stdin.close()
        self.process.wait()


def one(table, args, folder, profiles):
    plain = os.path.join(folder, "setting.txt")
    files = setting.write(plain, folder, profiles, args.program)
    judge = Asked(args.judge, folder, profiles, *files)
    referee = Asked(args.referee, plain, *files)
    for i, file in enumerate(files):
        with open(file, encoding="utf-8") as opened:
            text = opened.read()
        n = args.n * (i + 1) // len(files) - args.n * i // len(files)
        for kind, changed in mutate.versions(text, args.seed * 100 + i, n):
            judge.ask(i, changed)
            referee.ask(i, changed)
            said = judge.answer()
            what, _, why = referee.answer().partition(" ")
            flagged = said != "pass"
            row = table[kind]
            count(row, "made")
            count(row, "in between" if what == "between" else what)
            wrong = "between" if what == "between" and args.between else None
            if what == "harmful":
                count(row, "flagged" if flagged else "missed")
                wrong = wrong if flagged else "MISSED"
            elif flagged and what != "between":
                count(row, "false alarms")
                wrong = "FALSE ALARM"
            if wrong:
                show(wrong, file, kind, why, said, text, changed)
    judge.end()
    referee.end()


def count(row, name):
    row[name] = row.get(name, 0) + 1


def show(word, file, kind, why, said, text, changed):
    print(f"{word}: {'/'.join(file.split('/')[-2:])}, {kind}: referee '{why}', judge '{said}'")
    old, new = text.split("\n"), changed.split("\n")
    first = next((i for i, (a, b) in enumerate(zip(old, new)) if a != b), min(len(old), len(new)))
    lines = difflib.unified_diff(old, new, lineterm="", n=0)
    print(f"    line {first + 1}\n" + "\n".join("    " + line for line in list(lines)[3:9]), flush=True)


if __name__ == "__main__":
    sys.exit(main())
