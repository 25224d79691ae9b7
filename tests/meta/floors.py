"""The includes of src keep to src/FLOORS: lower floors only, the walls, and the libraries.

A wall holds through headers too: what a header of one side includes in turn counts. Run with the
source folder; the checks are first tried on a small tree in which each rule is broken once.
"""
import os
import re
import sys
import tempfile

INCLUDE = re.compile(r'^\s*#\s*include\s*(["<])([^">]+)[">]', re.M)


def read(path):
    with open(path, encoding="utf-8") as file:
        return file.read()


def read_plan(path):
    floors, walls, only = {}, [], {}
    for line in read(path).splitlines():
        if m := re.match(r"(\d+)\s+([a-z]+)\s", line):
            floors[m[2]] = int(m[1])
        elif m := re.match(r"wall ([a-z ]+): ([a-z ]+)$", line):
            walls.append((m[1].split(), m[2].split()))
        elif m := re.match(r"only (\S+): ([a-z ]+)$", line):
            only[m[1]] = m[2].split()
    return floors, walls, only


def sources(top, folder):
    for base, _, files in os.walk(os.path.join(top, folder)):
        for name in sorted(files):
            if name.endswith((".c", ".h")):
                yield os.path.relpath(os.path.join(base, name), top)


def reachable(src, name, known):
    """All project headers a file brings in, however deep."""
    if name not in known:
        known[name] = set()
        path = os.path.join(src, name)
        if os.path.exists(path):
            for quote, header in INCLUDE.findall(read(path)):
                if quote == '"':
                    known[name].add(header)
                    known[name] |= reachable(src, header, known)
    return known[name]


def faults(top):
    floors, walls, only = read_plan(os.path.join(top, "src", "FLOORS"))
    src, known, found = os.path.join(top, "src"), {}, []
    for name in sources(top, "src"):
        module = name.split(os.sep)[1]
        if module not in floors:
            found.append(f"{name}: the folder {module} is not in src/FLOORS")
            continue
        for quote, header in INCLUDE.findall(read(os.path.join(top, name))):
            other = header.split("/")[0]
            if quote == '"' and "/" not in header:
                found.append(f"{name}: include {header} by its module's folder")
            elif quote == '"' and other not in floors:
                found.append(f"{name}: {header} belongs to no module")
            elif quote == '"' and other != module and floors[other] >= floors[module]:
                found.append(f"{name}: {header} is not on a lower floor")
        for left, right in walls:
            for here, there in ((left, right), (right, left)):
                if module in here:
                    inside = os.path.relpath(name, "src")
                    for header in sorted(reachable(src, inside, known)):
                        if header.split("/")[0] in there:
                            found.append(f"{name}: {header} lies behind a wall")
    for folder in ("src", "tests"):
        if not os.path.isdir(os.path.join(top, folder)):
            continue
        for name in sources(top, folder):
            place = name.split(os.sep)[1] if folder == "src" else "tests"
            for _, header in INCLUDE.findall(read(os.path.join(top, name))):
                if header in only and place not in only[header]:
                    found.append(f"{name}: only {' '.join(only[header])} may include {header}")
    return found


def try_itself():
    files = {
        "src/FLOORS": "0 base x\n1 left x\n1 right x\n2 top x\nwall left: right\nonly lib.h: base\n",
        "src/base/base.h": "#include <lib.h>\n",
        "src/base/up.c": '#include "top/top.h"\n',
        "src/left/left.h": '#include "base/base.h"\n#include "base/sly.h"\n',
        "src/base/sly.h": '#include "right/right.h"\n',
        "src/right/right.h": '#include "left/left.h"\n',
        "src/top/top.h": '#include <lib.h>\n#include "left/left.h"\n#include "top.h"\n',
        "src/odd/odd.h": "\n",
    }
    wanted = ["up.c: top/top.h is not on a lower", "left.h: right/right.h lies behind a wall",
              "right.h: left/left.h is not on a lower", "top.h: only base may include lib.h",
              "top.h: include top.h by", "folder odd is not"]
    with tempfile.TemporaryDirectory() as top:
        for name, text in files.items():
            os.makedirs(os.path.dirname(os.path.join(top, name)), exist_ok=True)
            with open(os.path.join(top, name), "w", encoding="utf-8") as file:
                file.write(text)
        found = "\n".join(faults(top))
    missed = [text for text in wanted if text not in found]
    if missed:
        sys.exit(f"the check itself misses: {missed}\nit found:\n{found}")


if __name__ == "__main__":
    try_itself()
    FOUND = faults(sys.argv[1])
    print("\n".join(FOUND) or "the includes keep to the floors")
    sys.exit(1 if FOUND else 0)
