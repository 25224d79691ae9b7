"""What stands on the machine, for the referee: read from the folder that `make` wrote and the profiles, as a user
would, and written as the plain list that referee.c reads. Tools are drawn here, from their YAML."""
import csv
import math
import os
import re
import subprocess
import sys

from shapely.geometry import Polygon, box

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "witness"))
import removal

removal.NOSE_SEGMENTS = 24
BLOCK_HEIGHT = 40.0  # [mm]: a holder's block, beyond any staff
BEHIND = 200.0
TIP = 0.1  # [mm]: what is left on a tip counts with its section
FLOOR = 5e-4  # [mm]: less on a radius is never held against a program
KINDS = {"blade": 1, "face-point": 2}


def reach(start, angle, length):
    return start[0] + length * math.cos(angle), start[1] + length * math.sin(angle)


def on_flank(nose, angle, side, z=0.0):
    normal = angle + (math.pi / 2 if side < 0 else -math.pi / 2)
    return z + nose * math.cos(normal), nose * math.sin(normal)


def bodies(data):
    """Shank and block, nose centre at the origin."""
    nose, clear = data["nose_radius"], data["holder"]["clear"]
    ahead, behind = data["holder"]["ahead"], data["holder"]["behind"]
    kind, far = data["kind"], 100.0
    if kind == "face-point":
        low = math.radians(data["clearance"])
        high = low + math.radians(data["point_angle"])
        starts = [on_flank(nose, high, -1), on_flank(nose, low, 1)]
        ends = [(data["reach"] - nose, s[1] + (data["reach"] - nose - s[0]) * math.tan(a))
                for s, a in zip(starts, (high, low))]
        wide = [(clear, s[1] + (clear - s[0]) * math.tan(a)) for s, a in zip(starts, (high, low))]
        wedge = Polygon([ends[0], wide[0], wide[1], ends[1]]).intersection(
            box(-far, -far, far, max(behind, ends[0][1])))
        return [wedge, box(clear, -ahead, clear + BLOCK_HEIGHT, behind)]
    block = box(-ahead, clear, behind, clear + BLOCK_HEIGHT)
    if kind == "blade":
        lean = math.radians(data.get("clearance", 0))
        second = data["width"] - 2 * nose
        front = data["reach"] - nose
        left = on_flank(nose, math.pi / 2 - lean, -1)
        right = on_flank(nose, math.pi / 2 + lean, 1, second)
        shrink = math.tan(lean)
        a, b = left[0] + (front - left[1]) * shrink, right[0] - (front - right[1]) * shrink
        return [box(a, front, b, clear), block] if clear > front + 1e-9 else [block]
    k, e = math.radians(data["cutting_angle"]), math.radians(data["point_angle"])
    if data.get("hand") == "left":
        low, high = k, k + e
    elif data.get("hand") == "neutral":
        low, high = (math.pi - e) / 2, (math.pi + e) / 2
    else:
        low, high = math.pi - k - e, math.pi - k
    ends, wide = [], []
    for angle, side in ((high, -1), (low, 1)):
        start = on_flank(nose, angle, side)
        ends.append(reach(start, angle, data["edge_length"]))
        wide.append(reach(start, angle, (clear - start[1]) / math.sin(angle)))
    zs = [p[0] for p in ends]
    wedge = Polygon([ends[0], wide[0], wide[1], ends[1]]).intersection(
        box(min(-ahead, *zs), -far, max(behind, *zs), far))
    return [wedge, block]


def poly(word, shape):
    points = list(shape.convex_hull.exterior.coords)[:-1]
    return f"{word} {len(points)} " + " ".join(f"{z:.12g} {r:.12g}" for z, r in points)


TABLE = re.compile(r"^  (\S.*?) {2,}\S+ +(\+\S+(?: \S+)?) +([0-9.]+) (free|\+\S+(?: -\S+)?)")


def band(text):
    """A tolerance as written: half its width."""
    if text.startswith("+-"):
        return float(text[2:])
    up, down = text.split()
    return (float(up) - float(down)) / 2


def sections(program, staff, profiles):
    said = subprocess.run([program, "check", staff, "--profiles", profiles], capture_output=True,
                          text=True, check=False).stdout
    total = re.search(r"total length ([0-9.]+) (\+\S+(?: -\S+)?) mm", said)
    rows = [TABLE.match(line) for line in said.splitlines()]
    rows = [(m[1], max(band(m[2]) / 2, FLOOR), float(m[3]), m[4]) for m in rows if m]
    lengths = [band(row[3]) for row in rows if row[3] != "free"]
    found, z = [], 0.0
    for i, (name, across, length, along) in enumerate(rows):
        along = max(lengths) if along == "free" else band(along)
        if i in (0, len(rows) - 1):
            along = max(along, band(total[2]))
        found.append((z, z + length, across, along))
        z += length
    if abs(z - float(total[1])) > 1e-3:
        raise SystemExit(f"{staff}: the sections do not add up to the total length:\n{said}")
    return float(total[1]), found


def write(path, folder, profiles, program):
    """Write the list; the program files in the order they run."""
    setup, _ = removal.load("setup.yaml", folder, profiles, "")
    shop, shop_folder = removal.load(setup["shop"], folder, profiles, "shops")
    machine, machine_folder = removal.load(shop["machine"], shop_folder, profiles, "machines")
    material, _ = removal.load(shop["stock"][0]["material"], shop_folder, profiles, "materials")
    staff, _ = removal.load(setup["staff"], folder, profiles, "")
    total, parts = sections(program, os.path.join(folder, setup["staff"]), profiles)
    sense = {s["number"]: 1 if s.get("spindle", "M3") == "M3" else -1 for s in machine["stations"]}
    spindle = machine["spindle"]
    lines = ["machine " + " ".join(str(v) for v in (*machine["travel_x"], *machine["travel_z"],
                                                    spindle["least_speed"], spindle["most_speed"],
                                                    machine["rapid"]["x"], machine["rapid"]["z"])),
             f"material {material['specific_force']} {material['force_exponent']} "
             f"{material['yield']} {material['elastic_modulus']} {material['least_chip']}", f"total {total}"]
    files = []
    for side in setup["sides"]:
        files += [os.path.join(folder, p["file"]) for p in side["programs"]]
        neck, rod = side.get("neck_z", "nan"), side.get("rod_diameter", "nan")
        lines.append(f"side {side['park_x']} {side['park_z']} {side['nose_z']} {neck} "
                     f"{float(rod) / 2} {side.get('rod_end_z', 'nan')}")
        for name in shop["holders"]:
            holder, _ = removal.load(name, shop_folder, profiles, "holders")
            if holder["name"] == side["holder"]:
                break
        face, r, length = side["nose_z"], holder["nose_diameter"] / 2, holder["nose_length"]
        wide = r + length * math.tan(math.radians(holder["nose_angle"]))
        lines.append(poly("nose", Polygon([(face, r), (face - length, wide), (face - BEHIND, wide),
                                           (face - BEHIND, -wide), (face - length, -wide), (face, -r)])))
        for s in side["stations"]:
            data, _ = removal.load(s["tool"], shop_folder, profiles, "tools")
            tool = removal.Tool(data)
            lines.append(f"tool {s['station']} {s['system']} {sense[s['station']]} "
                         f"{KINDS.get(data['kind'], 0)} {s['zero_z']} {s['zero_x']} {tool.point[0]} "
                         f"{tool.point[1]} {data['nose_radius']} {data.get('most_depth', 0)} "
                         f"{data['rough_feed']} {data['edge_radius']}")
            lines.append(poly("poly", tool.outline))
            lines += [poly("poly", b) for b in bodies(data) if not b.is_empty]
    upper_out = setup["sides"][-1]["end"] == "upper"
    for i, (z0, z1, across, along) in enumerate(parts):
        z0, z1 = z0 - (TIP if i == 0 else 0), z1 + (TIP if i + 1 == len(parts) else 0)
        a, b = (-z1, -z0) if upper_out else (z0 - total, z1 - total)
        lines.append(f"section {a} {b} {across} {along} {int('pivot' in staff['sections'][i])}")
    with open(os.path.join(HERE, "limits.csv"), encoding="utf-8") as file:
        for quantity, limit, width in csv.reader(r for r in file if not r.startswith("#")):
            lines.append(f"limit {quantity} {limit} {width}")
    with open(path, "w", encoding="utf-8") as file:
        file.write("\n".join(lines) + "\n")
    return files


if __name__ == "__main__":
    print(write(*sys.argv[1:]))
