"""Calls that have one place or none, and what no source file may contain.

Comments and texts in quotes do not count for calls. Run with the source folder.
"""
import os
import re
import sys

# what, where it is allowed (path prefixes), why
CALLS = [
    (r"\bassert_float_equal\b", (), "casts to float: use assert_near of tests/support/near.h"),
    (r"\b(?:v?f?printf|puts|fputs|fputc|putchar|perror|fwrite)\s*\(", ("src/cli/", "tests/"),
     "only cli prints"),
    (r"\b(?:exit|_exit|_Exit|quick_exit|abort)\s*\(", ("src/cli/", "tests/"), "only cli exits"),
    (r"\b(?:secure_)?getenv\s*\(", ("src/cli/", "tests/"), "only cli reads the environment"),
    (r"\bsetlocale\s*\(", ("tests/",), "the C locale plays no part"),
    (r"\b(?:strtod|strtof|strtold|atof|sscanf|fscanf|scanf)\s*\(", ("tests/",),
     "numbers are read by base/num"),
    (r"\bclock_gettime\s*\(", ("src/cli/progress.c", "tests/"), "output depends on the input alone"),
    (r"\b(?:time|gettimeofday|localtime|gmtime|strftime|rand|random|srand)\s*\(",
     ("tests/",), "output depends on the input alone"),
    (r"(?<![>.])\b(?:malloc|calloc|realloc|free)\s*\(", ("src/base/mem.c", "tests/"),
     "memory comes from base/mem"),
    (r"\b(?:system|popen|gets|strcpy|strcat|sprintf|vsprintf|strtok|alloca)\s*\(", ("tests/",), "unsafe or not ours to do"),
]
WORDS = [(r"\b(?:T[O]DO|F[I]XME|X[X]X)\b", "is work left undone"),
         (r"/(?:work|home|root)/", "is a path of one machine")]

STRIP = re.compile(r'//[^\n]*|/\*.*?\*/|"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])+\'', re.S)


def blank(match):
    return re.sub(r"[^\n]", " ", match[0])


def faults_in(name, text):
    bare = STRIP.sub(blank, text)
    found = []
    for pattern, places, why in CALLS:
        if name.startswith(places or ("nowhere/",)):
            continue
        for match in re.finditer(pattern, bare):
            line = bare.count("\n", 0, match.start()) + 1
            found.append(f"{name}:{line}: {match[0].strip('( ')}: {why}")
    for pattern, why in WORDS:
        for match in re.finditer(pattern, text):
            line = text.count("\n", 0, match.start()) + 1
            found.append(f"{name}:{line}: {match[0]} {why}")
    return found


def faults(top):
    found = []
    for folder in ("src", "tests"):
        for base, _, files in os.walk(os.path.join(top, folder)):
            for file in sorted(files):
                if file.endswith((".c", ".h")):
                    path = os.path.join(base, file)
                    with open(path, encoding="utf-8") as text:
                        found += faults_in(os.path.relpath(path, top), text.read())
    return found


def try_itself():
    bad = ('/* printf( */ const char *s = "exit(";\nvoid f(void) { printf("x"); free(p); }\n'
           'x = strtod(a, b); assert_float_equal(a, b);\n/* TO' 'DO */\n')
    found = faults_in("src/plan/x.c", bad)
    wanted = [":2: printf", ":2: free", ":3: strtod", ":3: assert_float_equal", ":4: TO" "DO"]
    if len(found) != len(wanted) or not all(any(w in f for f in found) for w in wanted):
        sys.exit(f"the check itself is wrong: {found}")


if __name__ == "__main__":
    try_itself()
    FOUND = faults(sys.argv[1])
    print("\n".join(FOUND) or "nothing forbidden")
    sys.exit(1 if FOUND else 0)
