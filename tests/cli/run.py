"""Runs the program from outside: one folder a case.

    cmd            a line of sh; $SW is the program, $TOP the source folder
    in/            files laid out in the fresh folder the line runs in (optional)
    exit           exit code, a number
    stdout.exact   what must come out, byte for byte; or stdout.has: lines that must be in it
    stderr.exact   the same for talk; or stderr.has
    files.exact    names of all files in the folder afterwards (optional)

A stream that has neither file must be empty. --update writes the .exact files of the cases named
anew (all cases: none named), for a person to read in the diff.
"""
import os
import shutil
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from installed import lay_out

TIMEOUT_S = 300


def read(path):
    try:
        with open(path, encoding="utf-8") as file:
            return file.read()
    except FileNotFoundError:
        return None


def run(case, program, top, installed):
    with tempfile.TemporaryDirectory() as folder:
        if os.path.isdir(os.path.join(case, "in")):
            shutil.copytree(os.path.join(case, "in"), folder, dirs_exist_ok=True)
        environment = {**os.environ, "SW": program, "TOP": top, "LC_ALL": "C"}
        done = subprocess.run(["sh", "-c", read(os.path.join(case, "cmd"))], cwd=folder,
                              env=environment, capture_output=True, timeout=TIMEOUT_S, check=False)
        files = sorted(os.path.relpath(os.path.join(base, name), folder)
                       for base, _, names in os.walk(folder) for name in names)
    # Where things lie differs from machine to machine.
    shown = [text.decode("utf-8", "backslashreplace").replace(top, "$TOP")
             .replace(installed, "$TOP").replace(os.path.realpath(folder), "$HERE")
             for text in (done.stdout, done.stderr)]
    return {"exit": f"{done.returncode}\n", "stdout": shown[0], "stderr": shown[1],
            "files": "".join(f"{name}\n" for name in files)}


def judge(case, got):
    faults = []
    if read(os.path.join(case, "exit")) != got["exit"]:
        faults.append(f"exit is {got['exit'].strip()}, wanted {read(os.path.join(case, 'exit'))}")
    for stream in ("stdout", "stderr", "files"):
        exact = read(os.path.join(case, f"{stream}.exact"))
        has = read(os.path.join(case, f"{stream}.has"))
        if has is not None:
            faults += [f"{stream} lacks: {line}" for line in has.splitlines()
                       if line not in got[stream]]
        elif exact is not None and exact != got[stream]:
            faults.append(f"{stream} differs, wanted:\n{exact}")
        elif exact is None and stream != "files" and got[stream]:
            faults.append(f"{stream} should be empty")
    return faults


def update(case, got):
    for stream in ("exit", "stdout", "stderr", "files"):
        path = os.path.join(case, "exit" if stream == "exit" else f"{stream}.exact")
        is_wanted = stream in ("stdout", "stderr") and got[stream]
        if os.path.exists(os.path.join(case, f"{stream}.has")):
            continue
        if stream == "exit" or os.path.exists(path) or is_wanted:
            with open(path, "w", encoding="utf-8") as file:
                file.write(got[stream])


def main(program, top, names, updates):
    here = os.path.dirname(os.path.abspath(__file__))
    cases = sorted(names or (name for name in os.listdir(here)
                             if os.path.exists(os.path.join(here, name, "cmd"))))
    with tempfile.TemporaryDirectory() as installed:
        program = lay_out(program, top, installed)
        failed = try_cases(here, cases, program, top, installed, updates)
    print(f"{len(cases)} cases, {failed} failed")
    sys.exit(1 if failed or not cases else 0)


def try_cases(here, cases, program, top, installed, updates):
    failed = 0
    for name in cases:
        case = os.path.join(here, name)
        got = run(case, program, top, installed)
        if updates:
            update(case, got)
        faults = judge(case, got)
        print(f"{'FAILED' if faults else 'ok'}: {name}")
        if faults:
            failed += 1
            print("\n".join(faults))
            print(f"stdout:\n{got['stdout'][-3000:]}\nstderr:\n{got['stderr'][-3000:]}")
    return failed


if __name__ == "__main__":
    ARGS = [arg for arg in sys.argv[1:] if arg != "--update"]
    main(os.path.abspath(ARGS[0]), os.path.abspath(ARGS[1]), ARGS[2:], "--update" in sys.argv)
