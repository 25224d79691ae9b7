"""Every command and option stands in the help, in usage lines and in the README; every other
`--word` in the README exists. Run with the program and the source folder."""
import os
import re
import subprocess
import sys


def run(program, *args):
    return subprocess.run([program, *args], text=True, capture_output=True, check=True).stdout


def main(program, top):
    with open(os.path.join(top, "src", "cli", "options.c"), encoding="utf-8") as file:
        table = re.search(r"sw_options\[SW_N_OPTIONS\] = \{(.*?)\n\};", file.read(), re.S)[1]
    options = re.findall(r'\{"([a-z-]+)", (?:\'(.)\'|0), (?:"[A-Z,]+"|NULL)', table)
    names = {name for name, _ in options}
    if len(names) < 8:
        sys.exit("the option table could not be read")
    with open(os.path.join(top, "README.md"), encoding="utf-8") as file:
        readme = file.read()
    overall = run(program, "--help")
    commands = re.findall(r"^  ([a-z]+) +\S", overall.split("commands:")[1].split("options:")[0], re.M)
    bad, seen = [], set()
    for command in commands:
        page = run(program, "help", command)
        if page != run(program, command, "--help"):
            bad.append(f"`help {command}` and `{command} --help` differ")
        shown = set(re.findall(r"^  (?:-., )?--([a-z-]+)", page, re.M))
        usage = page.splitlines()[0]
        for name, letter in options:
            if name in shown and name != "help" and f"[-{letter or '-' + name}" not in usage:
                bad.append(f"usage of {command} lacks --{name}")
        seen |= shown
        if command != "help" and f"`{command}`" not in readme and f"staffwright {command}" not in readme:
            bad.append(f"the README does not speak of {command}")
    seen |= set(re.findall(r"--([a-z-]+)", overall))
    bad += [f"--{name} stands in no help" for name in sorted(names - seen)]
    bad += [f"--{name} is not in the README" for name in sorted(names) if f"--{name}" not in readme]
    for word in sorted(set(re.findall(r"(?<![\w-])--([a-z][a-z-]*)", readme)) - names):
        bad.append(f"the README speaks of --{word}, which does not exist")
    if len(commands) < 6:
        bad.append("the commands could not be read from --help")
    print("\n".join(bad) or f"{len(commands)} commands and {len(names)} options stand in help and README")
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
