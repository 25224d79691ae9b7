"""A program laid out as if installed: beside profiles and postprocessors, wherever it was built."""
import os
import shutil


def lay_out(program, top, folder):
    """Give the path of a copy of PROGRAM in FOLDER that finds the profiles of TOP."""
    os.mkdir(os.path.join(folder, "bin"))
    copy = os.path.join(folder, "bin", "staffwright")
    shutil.copy2(program, copy)
    for name in ("profiles", "postprocessors"):
        os.symlink(os.path.join(top, name), os.path.join(folder, name))
    return copy
