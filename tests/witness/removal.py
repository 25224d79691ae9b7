#!/usr/bin/env python3
"""An outside witness for the simulator: the same program texts cut with Shapely.

Shares nothing with the project's C code but the files a user has: the folder that `make` wrote
(setup.yaml, programs, dryrun.json) and the profiles. Reads the words it needs, builds each tool from
its YAML, removes the convex hull of each tool position pair from the stock, turns the piece round,
and compares with dryrun.json: the volume each program removes and the diameter left at each
section's measuring place, and with the simulator's outlines (left_outline): what is surely left lies in
what Shapely leaves, and that in the most that may be left, both within BAND.

usage: removal.py FOLDER PROFILES LEFT_OUTLINE
"""
import json
import math
import os
import re
import subprocess
import sys

import yaml
from shapely.affinity import translate
from shapely.geometry import LineString, MultiPoint, Point, Polygon, box

ARC_STEP = 2e-5       # chord error along arcs [mm]
NOSE_SEGMENTS = 64    # a quarter circle in Shapely's words
SIZE_TOLERANCE = 2e-4  # on a diameter [mm]: chords of both sides, twice
VOLUME_TOLERANCE = 2e-4  # relative
VOLUME_WRITTEN = 5e-7    # a verdict has six decimals [mm3]
BAND = 5e-5  # [mm]: chords along arcs and around the noses here, and what the simulator leaves open


def load(name, folder, profiles, kind):
    for path in (os.path.join(folder, name), os.path.join(folder, name + ".yaml"),
                 os.path.join(profiles, kind, name), os.path.join(profiles, kind, name + ".yaml")):
        if os.path.isfile(path):
            with open(path, encoding="utf-8") as file:
                data = yaml.safe_load(file)
            # A shop may be named like its machine and stand nearer.
            if kind == "" or data["format"].split("/")[0] + "s" == kind:
                return data, os.path.dirname(path)
    raise SystemExit(f"no {kind} file {name}")


class Tool:
    """Cutting outline with the nose centre (first corner) at the origin, in (z, r)."""

    def __init__(self, data):
        nose = data["nose_radius"]
        circle = Point(0, 0).buffer(nose, NOSE_SEGMENTS)
        kind = data["kind"]
        second = 0.0
        if kind == "blade":
            second = data["width"] - 2 * nose
            lean = math.radians(data.get("clearance", 0))
            flanks = [(0.0, math.pi / 2 - lean, -1), (second, math.pi / 2 + lean, 1)]
            length = data["reach"] - nose
            noses = [circle, translate(circle, second, 0)]
        elif kind == "face-point":
            low = math.radians(data["clearance"])
            high = low + math.radians(data["point_angle"])
            flanks = [(0.0, high, -1), (0.0, low, 1)]
            length = data["reach"] - nose
            noses = [circle]
        else:
            k, e = math.radians(data["cutting_angle"]), math.radians(data["point_angle"])
            low, high = math.pi - k - e, math.pi - k
            flanks = [(0.0, high, -1), (0.0, low, 1)]
            if data.get("hand") == "left":
                flanks = [(0.0, math.pi - low, -1), (0.0, math.pi - high, 1)]
            length = data["edge_length"]
            noses = [circle]
        points = []
        for shape in noses:
            points += list(shape.exterior.coords)
        for z, angle, side in flanks:
            # The flank touches the circle where its normal points outwards.
            normal = angle + math.pi / 2 if side < 0 else angle - math.pi / 2
            start = (z + nose * math.cos(normal), nose * math.sin(normal))
            points.append((start[0] + length * math.cos(angle), start[1] + length * math.sin(angle)))
        self.outline = MultiPoint(points).convex_hull
        if data.get("point") == "nose-centre":
            self.point = (0.0, 0.0)
        else:
            free = data.get("touched", "headstock-side") == "free-side"
            self.point = (second + nose if free else -nose, -nose)


WORD = re.compile(r"([A-Z])([-+]?[0-9.]+)")
SUM = re.compile(r"\[([-+]?[0-9.]+)\+(?:2\*)?#[0-9]+\]")  # a size and a correction, which is 0


class Lathe:
    def __init__(self, stock, tools, control):
        self.stock, self.tools, self.control = stock, tools, control
        self.tool = None
        self.x = self.z = None
        self.motion = None
        self.removed = 0.0

    def sweep(self, a, b):
        outline, point = self.tool.outline, self.tool.point
        if a == b:
            return
        ends = [translate(outline, z - point[0], x - point[1]) for x, z in (a, b)]
        hull = MultiPoint([p for e in ends for p in e.exterior.coords]).convex_hull
        if hull.intersects(self.stock):
            self.stock = self.stock.difference(hull)

    def run(self, text):
        x_scale = 0.5 if self.control.get("x") == "diameter" else 1.0
        i_scale = 0.5 if self.control.get("i") == "diameter" else 1.0
        selected = None
        for line in text.splitlines():
            line = re.sub(r"\([^)]*\)", "", line).replace(" ", "").upper()
            if not line or line.startswith(("%", "#")) or "G10" in line or "G92" in line \
                    or "G50" in line:
                continue
            words = WORD.findall(SUM.sub(r"\1", line))
            value = {letter: float(number) for letter, number in words if letter not in "GM"}
            codes = [float(n) for letter, n in words if letter == "G"]
            m_codes = [int(float(n)) for letter, n in words if letter == "M"]
            if "T" in value:
                selected = int(value["T"])
            if 6 in m_codes:
                self.tool, self.x, self.z = self.tools[selected], None, None
            for code in codes:
                if code in (0, 1, 2, 3):
                    self.motion = int(code)
            if 4 in codes or not ("X" in value or "Z" in value):
                continue
            x = value["X"] * x_scale if "X" in value else self.x
            z = value["Z"] if "Z" in value else self.z
            if self.x is not None and self.z is not None and self.motion != 0:
                if self.motion == 1:
                    self.sweep((self.x, self.z), (x, z))
                else:
                    self.arc(x, z, self.x + value.get("I", 0) * i_scale,
                             self.z + value.get("K", 0))
            self.x, self.z = x, z

    def arc(self, x, z, cx, cz):
        radius = math.hypot(self.x - cx, self.z - cz)
        a = math.atan2(self.x - cx, self.z - cz)
        b = math.atan2(x - cx, z - cz)
        turn = 1 if self.motion == 3 else -1
        sweep = (b - a) * turn % (2 * math.pi) or 2 * math.pi
        reach = radius + 0.5  # the nose swings with it
        n = max(2, math.ceil(sweep / (2 * math.acos(1 - min(0.5, ARC_STEP / reach)))))
        before = (self.x, self.z)
        for k in range(1, n + 1):
            angle = a + turn * sweep * k / n
            point = (x, z) if k == n else (cx + radius * math.sin(angle),
                                           cz + radius * math.cos(angle))
            self.sweep(before, point)
            before = point


def volume(region):
    """Pappus: 2 pi times centroid radius times area."""
    return 0.0 if region.is_empty else 2 * math.pi * region.centroid.y * region.area


def radius_at(region, z):
    cut = region.intersection(LineString([(z, -1), (z, 100)]))
    return 0.0 if cut.is_empty else cut.bounds[3]


def outlines(folder, profiles, left_outline):
    """What the simulator leaves at least and at most, part frame."""
    said = subprocess.run([left_outline, folder, profiles], capture_output=True, text=True, check=True)
    found = {"least": Polygon(), "most": Polygon()}
    for line in said.stdout.splitlines():
        which, kind, *numbers = line.split()
        numbers = [float(word) for word in numbers]
        ring = Polygon(zip(numbers[::2], numbers[1::2])).buffer(0)
        found[which] = found[which].difference(ring) if kind == "hole" else found[which].union(ring)
    return found["least"], found["most"]


def beyond(inner, outer):
    """How far INNER reaches out of OUTER [mm]; the axis is no edge."""
    rest = inner.difference(outer)
    parts = [] if rest.is_empty else list(getattr(rest, "geoms", [rest]))
    return max((Point(p).distance(outer) for part in parts if part.geom_type == "Polygon"
                for p in part.exterior.coords), default=0.0)


def main(folder, profiles, left_outline):
    setup, _ = load("setup.yaml", folder, profiles, "")
    with open(os.path.join(folder, "dryrun.json"), encoding="utf-8") as file:
        verdict = json.load(file)
    shop, shop_folder = load(setup["shop"], folder, profiles, "shops")
    machine, _ = load(shop["machine"], shop_folder, profiles, "machines")
    with open(os.path.join(folder, setup["staff"]), encoding="utf-8") as file:
        total = yaml.safe_load(file)["total"]["length"]
    faults, stock = 0, None
    program_index = 0
    for side in setup["sides"]:
        if "rod_diameter" in side:
            stock = box(-3 * total - 20, 0, side["rod_end_z"], side["rod_diameter"] / 2)
        tools = {}
        for station in side["stations"]:
            data, _ = load(station["tool"], shop_folder, profiles, "tools")
            tools[station["station"]] = Tool(data)
        for program in side["programs"]:
            with open(os.path.join(folder, program["file"]), encoding="utf-8") as file:
                text = file.read()
            lathe = Lathe(stock, tools, machine.get("control", {}))
            before = volume(stock)
            lathe.run(text)
            stock = lathe.stock
            removed = before - volume(stock)
            said = verdict["programs"][program_index]["removed_mm3"]
            program_index += 1
            ok = abs(removed - said) <= VOLUME_TOLERANCE * removed + VOLUME_WRITTEN
            faults += not ok
            print(f"{program['file']}: removed {removed:.6f} mm3, simulator {said:.6f}"
                  f"{'' if ok else '   <-- differ'}")
        if "neck_z" in side:
            stock = stock.intersection(box(side["neck_z"], -1, 100, 100))
        pieces = list(getattr(stock, "geoms", [stock]))
        if side is not setup["sides"][-1]:
            # The piece with the finished end; turned round both zeros lie `total` apart.
            piece = max(pieces, key=lambda p: p.bounds[2])
            stock = Polygon([(-z - total, r) for z, r in piece.exterior.coords])
        else:
            stock = max(pieces, key=lambda p: p.area)
    upper_out = setup["sides"][-1]["end"] == "upper"
    for section in verdict["sections"]:
        place = section["measure_z_mm"]
        z = -place if upper_out else place - total
        size = 2 * radius_at(stock, z)
        least, most = section["size_mm"]
        ok = least - SIZE_TOLERANCE <= size <= most + SIZE_TOLERANCE
        faults += not ok
        print(f"{section['name']}: {size:.5f} mm, simulator {least:.5f} to {most:.5f}"
              f"{'' if ok else '   <-- differ'}")
    part = Polygon([(-z if upper_out else z + total, r) for z, r in stock.exterior.coords],
                   [[(-z if upper_out else z + total, r) for z, r in hole.coords]
                    for hole in stock.interiors]).buffer(0)
    least, most = outlines(folder, profiles, left_outline)
    for name, far in (("what is surely left", beyond(least, part)),
                      ("what Shapely leaves", beyond(part, most))):
        ok = far <= BAND
        faults += not ok
        print(f"{name} reaches beyond by {1000 * far:.4f} um{'' if ok else '   <-- differ'}")
    print(f"between least and most {most.area - least.area:.6f} mm2, "
          f"Shapely's area {part.area:.6f}, least {least.area:.6f}, most {most.area:.6f}")
    print(f"{folder}: {'agreed' if not faults else str(faults) + ' differences'}")
    return 1 if faults else 0


if __name__ == "__main__":
    if len(sys.argv) != 4:
        raise SystemExit(__doc__)
    sys.exit(main(sys.argv[1], sys.argv[2], sys.argv[3]))
