"""Changed versions of a program, drawn by a seed: (kind, text). One change a version."""
import random
import re

WORD = re.compile(r"([A-Z])([-+]?\d*\.?\d+|\[[^\]]*\])")


def is_code(line):
    return bool(line) and line[0] not in "(#%"


def at_word(lines, rng, letters, change):
    """Change one word whose letter is among LETTERS; None where there is none."""
    places = [(i, m.span()) for i, line in enumerate(lines) if is_code(line)
              for m in WORD.finditer(line) if m[1] in letters]
    if not places:
        return None
    i, (a, b) = rng.choice(places)
    word = lines[i][a:b]
    return lines[:i] + [(lines[i][:a] + change(word) + lines[i][b:]).strip()] + lines[i + 1:]


def replace(lines, rng, pattern, by):
    places = [(i, m) for i, line in enumerate(lines) if is_code(line)
              for m in re.finditer(pattern, line)]
    if not places:
        return None
    i, m = rng.choice(places)
    return lines[:i] + [lines[i][:m.start()] + (by(m) if callable(by) else m.expand(by)) + lines[i][m.end():]] + lines[i + 1:]


def digit(lines, rng):
    def change(word):
        places = [i for i, c in enumerate(word) if c.isdigit()]
        i = rng.choice(places)
        return word[:i] + rng.choice([d for d in "0123456789" if d != word[i]]) + word[i + 1:]
    return at_word(lines, rng, "XZIKFSRP", change)


def scaled(letter):
    def change(lines, rng):
        factor = 10 ** rng.uniform(-1, 1)
        return at_word(lines, rng, letter, lambda w: f"{letter}{float(w[1:]) * factor:.1f}")
    return change


def code_line(lines, rng, last=1):
    return rng.choice([i for i in range(len(lines) - last + 1) if is_code(lines[i])])


def drop(lines, rng):
    i = code_line(lines, rng)
    return lines[:i] + lines[i + 1:]


def double(lines, rng):
    i = code_line(lines, rng)
    return lines[:i] + [lines[i]] + lines[i:]


def swap(lines, rng):
    i = code_line(lines, rng, 2)
    return lines[:i] + [lines[i + 1], lines[i]] + lines[i + 2:]


def short(lines, rng):
    return lines[:code_line(lines, rng)]


def add_word(lines, rng):
    i = code_line(lines, rng)
    return lines[:i] + [lines[i] + rng.choice((" X1.0000", " Z0.5000", " M5", " G0", " S100", " F9.0"))] \
        + lines[i + 1:]


KINDS = {
    "digit": digit,
    "sign": lambda l, r: at_word(l, r, "XZIK", lambda w: w[0] + w[2:] if w[1] == "-" else w[0] + "-" + w[1:]),
    "word dropped": lambda l, r: at_word(l, r, "GXZIKFSPMT", lambda w: ""),
    "word added": add_word,
    "block dropped": drop,
    "block doubled": double,
    "blocks swapped": swap,
    "modal word dropped": lambda l, r: replace(l, r, r"\b(G21|G18|G40|G90|G94|G61|G5[4-9]) ?", ""),
    "tool": lambda l, r: replace(l, r, r"\bT\d", f"T{r.randint(1, 6)}"),
    "units": lambda l, r: replace(l, r, r"\bG21", "G20"),
    "plane": lambda l, r: replace(l, r, r"\bG18", r.choice(("G17", "G19"))),
    "arc sense": lambda l, r: replace(l, r, r"\bG([23]) ", lambda m: "G%d " % (5 - int(m[1]))),
    "radius for diameter": lambda l, r: at_word(l, r, "X", lambda w: w if "[" in w else
                                                f"X{float(w[1:]) * r.choice((0.5, 2)):.4f}"),
    "rapid for feed": lambda l, r: replace(l, r, r"\bG1 ", "G0 "),
    "feed for rapid": lambda l, r: replace(l, r, r"\bG0 ", "G1 "),
    "feed scaled": scaled("F"),
    "speed scaled": scaled("S"),
    "offsets": lambda l, r: replace(l, r, r"\bG5[4-9]\b", f"G5{r.randint(4, 9)}"),
    "spindle": lambda l, r: replace(l, r, r"\bM3\b", r.choice(("M4", "M5"))),
    "cut short": short,
}


def versions(text, seed, n):
    """N changed versions, the kinds in turn; a kind that finds no place is passed over."""
    rng = random.Random(seed)
    lines, names, made, k = text.split("\n"), list(KINDS), 0, 0
    while made < n:
        kind = names[k % len(names)]
        k += 1
        changed = KINDS[kind](list(lines), rng)
        if changed is not None and changed != lines:
            made += 1
            yield kind, "\n".join(changed)
