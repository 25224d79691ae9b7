"""Programs rewritten so that a lathe does the same."""
import re


def divide_moves(text, pieces):
    """The program with every cut along the axis in so many pieces: more moves, same part."""
    lines, z = [], None
    for line in text.split("\n"):
        cut = re.fullmatch(r"G1 Z(-?\d+\.\d+)( F\S+)?", line)
        if cut and z is not None:
            lines += [f"G1 Z{z + (float(cut[1]) - z) * k / pieces:.4f}{cut[2] or ''}"
                      for k in range(1, pieces)]
        lines.append(line)
        if not line.startswith("("):
            found = re.search(r"Z(-?\d+\.\d+)", line)
            z = float(found[1]) if found else z
    return "\n".join(lines)
