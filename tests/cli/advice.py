#!/usr/bin/env python3
"""Advice is followed: what a refusal calls possible is made, what it calls not enough is refused
again, and what a warning of bending says a change leaves is what is left after the change.

usage: advice.py PROGRAM SOURCE
"""
import os
import re
import shutil
import subprocess
import sys
import tempfile

# A sample, and what its staff is made harder by.
SAMPLES = [("wren-8", "", ""), ("harrow-2p", "", ""), ("fenmoor-43", "[-0.003, 0]", "[-0.0016, 0]"),
           ("millrace", "[-0.003, 0]", "[-0.0016, 0]")]


class Bench:
    """A job whose files all lie in one folder, so that each of them can be changed."""

    def __init__(self, program, source, folder):
        self.program, self.source, self.folder = program, source, folder

    def path(self, name):
        return os.path.join(self.folder, name)

    def read(self, name):
        with open(self.path(name), encoding="utf-8") as file:
            return file.read()

    def write(self, name, text):
        with open(self.path(name), "w", encoding="utf-8") as file:
            file.write(text)

    def edit(self, name, pattern, by):
        text, n = re.subn(pattern, by, self.read(name))
        assert n > 0, f"{name} has nothing like {pattern}"
        self.write(name, text)

    def run(self, *words):
        done = subprocess.run(
            [self.program, *words, self.path("job.yaml"), "--profiles",
             os.path.join(self.source, "profiles")], text=True, capture_output=True, check=False)
        return done.returncode, done.stderr

    def tool_file(self, called):
        """The file of a tool by its name inside, copied into the folder when it lies elsewhere."""
        for folder in (self.folder, os.path.join(self.source, "profiles", "tools")):
            for name in sorted(os.listdir(folder)):
                with open(os.path.join(folder, name), encoding="utf-8") as file:
                    if not re.search(rf"(?m)^name: {re.escape(called)}$", file.read()):
                        continue
                if folder != self.folder:
                    shutil.copy(os.path.join(folder, name), self.path(name))
                return name
        raise AssertionError(f"no tool is called {called}")

    def set_in_job(self, key, value):
        text = re.sub(rf"(?m)^{key}:.*\n", "", self.read("job.yaml"))
        self.write("job.yaml", f"{text}{key}: {value}\n")

    def follow_one(self, advice):
        if found := re.match(r"`(\w+): ([\w. -]+)` in the job", advice):
            self.set_in_job(*found.groups())
        elif found := re.match(r"`leave: \{(\w+): ([\d.]+)\}` in the shop", advice):
            self.edit("shop.yaml", rf"(leave:.*{found[1]}: )[\d.]+", rf"\g<1>{found[2]}")
        elif found := re.match(r"no rod under `diameter: ([\d.]+)`", advice):
            lines = self.read("shop.yaml").splitlines(keepends=True)
            kept = [line for line in lines if not (rod := re.search(r"diameter: ([\d.]+)", line))
                    or float(rod[1]) >= float(found[1])]
            self.write("shop.yaml", "".join(kept))
        elif found := re.match(r".* not fitted \(station (\d+)\)", advice):
            self.edit("shop.yaml", rf".*station: {found[1]},.*\n", "")
        elif found := re.match(r"`tool: ([\w-]+)` at station (\d+)", advice):
            self.edit("shop.yaml", rf"(station: {found[2]}, tool: )[\w-]+", rf"\g<1>{found[1]}")
        elif found := re.match(r"`material: ([\w-]+)`.* for the staff(, and rods)?", advice):
            old = re.search(r"(?m)^material: (.*)$", self.read("staff.yaml"))[1]
            self.edit("staff.yaml", r"(?m)^material: .*$", f"material: {found[1]}")
            if found[2]:
                self.edit("shop.yaml", rf"(material: ){old}", rf"\g<1>{found[1]}")
        elif found := re.match(r"`(holder: \{)?(\w+): ([\d.]+)\}?` for (.*?) \(now", advice):
            self.edit(self.tool_file(found[4]), rf"(\b{found[2]}: )[\d.]+", rf"\g<1>{found[3]}")
        else:
            raise AssertionError(f"nobody could follow: {advice}")

    def follow(self, advice):
        for one in advice.split(", with "):
            self.follow_one(one)


def copy_of(bench, scratch, n=[0]):
    n[0] += 1
    folder = os.path.join(scratch, f"try-{n[0]}")
    shutil.copytree(bench.folder, folder)
    return Bench(bench.program, bench.source, folder)


def hints_after(talk, code_words):
    """The hints of each message that has the words."""
    found, now = [], None
    for line in talk.splitlines():
        if not line.startswith(" "):
            now = [] if code_words in line else None
            if now is not None:
                found.append((line, now))
        elif now is not None and line.startswith("    hint: "):
            now.append(line[len("    hint: "):])
    return found


def try_refusal(bench, scratch):
    code, talk = bench.run("make", "-n")
    faults, n_possible = [], 0
    if code != 4:
        return [f"exit {code}, wanted 4"]
    refusals = hints_after(talk, "cannot be roughed")
    for hint in [hint for _, hints in refusals for hint in hints]:
        is_possible = ": it can be made; " in hint
        if not is_possible and ": not enough alone; " not in hint:
            continue
        n_possible += is_possible
        trial = copy_of(bench, scratch)
        trial.follow(hint.split(": it can be made; ")[0].split(": not enough alone; ")[0])
        code, talk = trial.run("make", "-n")
        if code != (0 if is_possible else 4):
            faults.append(f"followed {hint!r}: exit {code}\n{talk}")
    if len(refusals) != 1 or n_possible == 0:
        faults.append(f"{len(refusals)} refusals, {n_possible} ways out")
    return faults


def thicker_of(talk, section):
    found = re.search(rf"the {section} may come out up to ([\d.]+) um", talk)
    return float(found[1]) if found else None


def try_warnings(bench, scratch):
    _, talk = bench.run("check")
    faults, n = [], 0
    for line, hints in hints_after(talk, "the last cut bends it"):
        section = re.search(r"the ([\w ]+) may come out", line)[1]
        share = float(re.search(r"bending should take ([\d.]+)", line)[1])
        for hint in hints:
            found = re.match(r"(.*): up to ([\d.]+) um(, within its share)?", hint)
            if not found:
                continue
            n += 1
            trial = copy_of(bench, scratch)
            trial.follow(found[1])
            code, talk = trial.run("make", "-n")
            left, said = thicker_of(talk, section), float(found[2])
            is_right = (said <= share if left is None else abs(left - said) < 0.006)
            if code != 0 or not is_right:
                faults.append(f"followed {hint!r}: exit {code}, {section} {left}")
    return faults if n else faults + ["no advice to follow"]


def bench_of_sample(program, source, sample, scratch, old, new):
    folder = os.path.join(scratch, sample)
    os.mkdir(folder)
    for name in ("job.yaml", "staff.yaml"):
        shutil.copy(os.path.join(source, "samples", sample, name), folder)
    shutil.copy(os.path.join(source, "profiles", "shops", "bench-gang.yaml"),
                os.path.join(folder, "shop.yaml"))
    bench = Bench(program, source, folder)
    bench.set_in_job("shop", "shop")
    bench.write("staff.yaml", bench.read("staff.yaml").replace(old, new))
    return bench


def main(program, source):
    cli = os.path.join(source, "tests", "cli")
    refused = [name for name in sorted(os.listdir(cli)) if name.startswith("make-refused-too-weak")]
    failed = 0
    with tempfile.TemporaryDirectory() as scratch:
        tries = [(name, try_refusal, Bench(program, source, os.path.join(cli, name, "in")))
                 for name in refused]
        tries += [(sample, try_warnings,
                   bench_of_sample(program, source, sample, scratch, old, new))
                  for sample, old, new in SAMPLES]
        for name, check, bench in tries:
            faults = check(bench, scratch)
            failed += bool(faults)
            print("\n".join([f"{'FAILED' if faults else 'ok'}: {name}"] + faults))
    print(f"{len(tries)} jobs, {failed} failed")
    return 1 if failed or len(refused) < 3 else 0


if __name__ == "__main__":
    sys.exit(main(os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])))
