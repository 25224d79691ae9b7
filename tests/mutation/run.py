#!/usr/bin/env python3
"""Changed programs: every harmful one must be flagged, no harmless one. Prints a table by kind.

usage: run.py PROGRAM SOURCE JUDGE [--n N] [--seed S] [--job SAMPLE/FILE]... [--show]
N versions a program; survivors and false alarms are shown with what was changed (--show: between too).
"""
import argparse
import difflib
import os
import subprocess
import sys
import tempfile

import mutate
from referee import Referee

COLUMNS = ("made", "equivalent", "harmful", "flagged", "missed", "harmless", "false alarms",
           "in between")


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument("program")
    ask.add_argument("source")
    ask.add_argument("judge")
    ask.add_argument("--n", type=int, default=60)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--job", action="append")
    ask.add_argument("--show", action="store_true")
    args = ask.parse_args()
    profiles = os.path.join(args.source, "profiles")
    table = {}
    with tempfile.TemporaryDirectory() as top:
        for job in args.job or ["fenmoor-43/job.yaml"]:
            folder = os.path.join(top, job.replace("/", "-"))
            subprocess.run([args.program, "make", os.path.join(args.source, "samples", job),
                            "--profiles", profiles, "-o", folder], check=True, capture_output=True)
            one(table, Referee(folder, profiles), args, folder, profiles)
    for name in COLUMNS:
        table.setdefault("all", {})[name] = sum(row.get(name, 0) for row in table.values())
    print(f"seed {args.seed}, {args.n} a program\n{'kind':22}" + "".join(f"{c:>13}" for c in COLUMNS))
    for kind, row in table.items():
        print(f"{kind:22}" + "".join(f"{row.get(c, 0):13}" for c in COLUMNS))
    return 1 if table["all"]["missed"] or table["all"]["false alarms"] else 0


def one(table, referee, args, folder, profiles):
    judge = subprocess.Popen([args.judge, folder, profiles, *referee.files], text=True,
                             stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    for i, file in enumerate(referee.files):
        with open(file, encoding="utf-8") as opened:
            text = opened.read()
        for kind, changed in mutate.versions(text, args.seed * 100 + i, args.n):
            path = os.path.join(folder, "changed.nc")
            with open(path, "w", encoding="utf-8") as opened:
                opened.write(changed)
            judge.stdin.write(f"{i} {path}\n")
            judge.stdin.flush()
            said = judge.stdout.readline().split()
            if not said:
                raise SystemExit(f"the judge ended on a version of {file}: {kind}")
            what, why = referee.judge(i, changed)
            row = table.setdefault(kind, {})
            count(row, "made")
            count(row, "in between" if what == "between" else what)
            flagged = said[0] != "pass"
            wrong = None
            if what == "harmful":
                count(row, "flagged" if flagged else "missed")
                wrong = None if flagged else "MISSED"
            elif flagged and what in ("harmless", "equivalent"):
                count(row, "false alarms")
                wrong = "FALSE ALARM"
            if wrong or (args.show and what == "between"):
                show(wrong or "between", file, kind, why, said, text, changed)
    judge.stdin.close()
    judge.wait()


def count(row, name):
    row[name] = row.get(name, 0) + 1


def show(word, file, kind, why, said, text, changed):
    print(f"{word}: {os.path.basename(file)}, {kind}: referee '{why}', judge '{' '.join(said)}'")
    lines = difflib.unified_diff(text.split("\n"), changed.split("\n"), lineterm="", n=0)
    print("\n".join("    " + line for line in list(lines)[2:8]))


if __name__ == "__main__":
    sys.exit(main())
