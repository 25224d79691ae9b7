"""Each header compiles alone: it brings what it needs. Run with the source folder and a compiler."""
import os
import subprocess
import sys
import tempfile

FLAGS = ["-std=c17", "-pedantic", "-D_POSIX_C_SOURCE=200809L", "-fsyntax-only", "-Wall", "-Wextra",
         "-Werror", "-x", "c",
         '-DSW_SOURCE_DIR="."']


def compiles(compiler, folders, text):
    command = [compiler, *FLAGS, *[f"-I{folder}" for folder in folders], "-"]
    done = subprocess.run(command, input=text, text=True, capture_output=True, check=False)
    return done.returncode == 0, done.stderr


def main(top, compiler):
    with tempfile.TemporaryDirectory() as folder:
        with open(os.path.join(folder, "needy.h"), "w", encoding="utf-8") as file:
            file.write("size_t needy(void);\n")
        if compiles(compiler, [folder], '#include "needy.h"\n')[0]:
            sys.exit("the check itself lets a header pass that lacks an include")
    failed, n = 0, 0
    for folder in ("src", "tests"):
        for base, _, files in os.walk(os.path.join(top, folder)):
            for name in sorted(files):
                if not name.endswith(".h"):
                    continue
                header = os.path.relpath(os.path.join(base, name), os.path.join(top, folder))
                good, said = compiles(compiler, [os.path.join(top, "src"), os.path.join(top, "tests")],
                                      f'#include "{header}"\n#include "{header}"\nextern int unused;\n')
                n += 1
                if not good:
                    failed += 1
                    print(f"{folder}/{header}:\n{said}")
    print(f"{n} headers, {failed} do not compile alone")
    sys.exit(1 if failed or not n else 0)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
