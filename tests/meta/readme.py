"""What the README says works: its commands run, its job example is sound.

Lines of ```sh blocks that begin with build/staffwright are run, in order, in a fresh folder that
holds the README's job example as job.yaml beside a link to the samples; each must end with
0. Run with the program and the source folder.
"""
import os
import re
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from installed import lay_out


def main(program, top):
    with open(os.path.join(top, "README.md"), encoding="utf-8") as file:
        readme = file.read()
    lines = [line for block in re.findall(r"```sh\n(.*?)```", readme, re.S)
             for line in block.splitlines()]
    commands = [line for line in lines if line.startswith("build/staffwright ")]
    for script in ("sh samples/run", "sh tests/run"):
        if script not in lines:
            sys.exit(f"the README does not show `{script}`")
        if not os.path.exists(os.path.join(top, script.split()[1])):
            sys.exit(f"there is no {script.split()[1]}")
    examples = [text for text in re.findall(r"```yaml\n(.*?)```", readme, re.S)
                if "format: job/1" in text]
    if len(commands) < 3 or len(examples) != 1:
        sys.exit("the README lacks its commands or its one job example")
    failed = 0
    with tempfile.TemporaryDirectory() as folder:
        program = lay_out(program, top, folder)
        os.symlink(os.path.join(top, "samples"), os.path.join(folder, "samples"))
        with open(os.path.join(folder, "job.yaml"), "w", encoding="utf-8") as file:
            file.write(examples[0])
        for line in commands:
            command = line.replace("build/staffwright", program, 1)
            done = subprocess.run(["sh", "-c", command], cwd=folder, text=True,
                                  capture_output=True, check=False)
            print(f"{done.returncode}: {line}")
            if done.returncode != 0:
                failed += 1
                print(done.stdout[-2000:], done.stderr[-2000:])
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main(os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]))
