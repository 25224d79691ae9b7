"""A make that is interrupted leaves the old folder or none, and ends by the signal.

The program is stopped at many moments between start and end. Afterwards the target is whole or as it
was, nothing else stands beside it, and the exit tells of the signal (or the run had just ended).
"""
import os
import signal
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from installed import lay_out

MOMENTS = 24


def main(program, top):
    job = os.path.join(top, "samples", "fenmoor-43", "job.yaml")
    with tempfile.TemporaryDirectory() as installed:
        program = lay_out(program, top, installed)
        os.mkdir(os.path.join(installed, "work"))
        os.chdir(os.path.join(installed, "work"))
        command = [program, "make", job, "-o", "out"]
        # The shortest of three: the machine may be busy with other tests.
        whole = float("inf")
        for _ in range(3):
            start = time.monotonic()
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
            whole = min(whole, time.monotonic() - start)
        files = sorted(os.listdir("out"))
        faults, n_killed = [], 0
        for i in range(MOMENTS):
            number = signal.SIGTERM if i % 2 else signal.SIGINT
            run = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            # More often towards the end, where the files are written.
            time.sleep(whole * (1 - (1 - i / MOMENTS) ** 2) * 1.02)
            run.send_signal(number)
            code = run.wait()
            n_killed += code == -number
            if code not in (0, -number):
                faults.append(f"moment {i}: exit {code}")
            if sorted(os.listdir("out")) != files:
                faults.append(f"moment {i}: the folder is not whole: {sorted(os.listdir('out'))}")
            strangers = [name for name in os.listdir(".") if name != "out" and "lock" not in name]
            if strangers:
                faults.append(f"moment {i}: left behind: {strangers}")
        if subprocess.run(command, check=False, stdout=subprocess.DEVNULL).returncode != 0:
            faults.append("afterwards make does not work")
        if os.listdir(".") != ["out"]:
            faults.append(f"left behind at the end: {os.listdir('.')}")
        if n_killed < MOMENTS // 4:
            faults.append(f"only {n_killed} of {MOMENTS} runs were stopped: nothing was tried")
    print("\n".join(faults) or f"{n_killed} of {MOMENTS} runs stopped, nothing left behind")
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main(os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]))
