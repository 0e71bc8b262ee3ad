"""Builds folded parts as solids with OpenCASCADE, by way of gmsh, which have no
part in perch, from build.json alone.

Arguments: build.json files. For every blank a face becomes a plane cut out of
its loop and openings, set up in space by its frame and drawn out by the
thickness; a bend becomes a rectangle of thickness by length turned about the
bend's axis, in slices across the strip, each as long as the strip is there.
Prints a JSON list with, for every blank: the kernel's volumes of the faces and
of the bends, the strip's area and what perch says of the blank.
"""

import json
import math
import sys

import gmsh

SLICES = 12
occ = gmsh.model.occ


def add(a, k, b):
    return [x + k * y for x, y in zip(a, b)]


def cross(a, b):
    return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]


class Frame:
    def __init__(self, f):
        self.o, self.x, self.y = f["origin"], f["x"], f["y"]
        self.z = cross(self.x, self.y)

    def at(self, x, y, z=0.0):
        return add(add(add(self.o, x, self.x), y, self.y), z, self.z)


def centre(p, q, bulge):
    swept = 4 * math.atan(bulge)
    apart = 1 / (2 * math.tan(swept / 2))
    dx, dy = q[0] - p[0], q[1] - p[1]
    return (p[0] + q[0]) / 2 - dy * apart, (p[1] + q[1]) / 2 + dx * apart


def wire(loop, frame):
    """A loop of (x, y, bulge) as a curve loop in space, arcs true."""
    tags = [occ.addPoint(*frame.at(x, y)) for x, y, _ in loop]
    curves = []
    for i, (x, y, bulge) in enumerate(loop):
        j = (i + 1) % len(loop)
        if bulge == 0:
            curves.append(occ.addLine(tags[i], tags[j]))
            continue
        c = centre((x, y), loop[j], bulge)
        swept = 4 * math.atan(bulge)
        turn = swept / 2
        s, k = math.sin(turn), math.cos(turn)
        ax, ay = x - c[0], y - c[1]
        mid = occ.addPoint(*frame.at(c[0] + k * ax - s * ay, c[1] + s * ax + k * ay))
        mp = occ.addPoint(*frame.at(*c))
        curves.append(occ.addCircleArc(tags[i], mp, mid))
        curves.append(occ.addCircleArc(mid, mp, tags[j]))
    return occ.addCurveLoop(curves)


def turned(loop):
    """The loop run the other way: gmsh wants openings to run like outlines."""
    points = [(x, y) for x, y, _ in loop][::-1]
    bulges = [-b for _, _, b in loop][::-1]
    return [(x, y, b) for (x, y), b in zip(points, bulges[1:] + bulges[:1])]


def inside(p, loop):
    """Whether a point lies in a loop, arcs by their chords in 64 parts."""
    odd = False
    pts = []
    for i, (x, y, b) in enumerate(loop):
        pts.append((x, y))
        if b:
            c = centre((x, y), loop[(i + 1) % len(loop)], b)
            for n in range(1, 64):
                a = 4 * math.atan(b) * n / 64
                s, k = math.sin(a), math.cos(a)
                pts.append((c[0] + k * (x - c[0]) - s * (y - c[1]), c[1] + s * (x - c[0]) + k * (y - c[1])))
    for (x, y), (u, v) in zip(pts, pts[1:] + pts[:1]):
        if (y > p[1]) != (v > p[1]) and p[0] < x + (p[1] - y) / (v - y) * (u - x):
            odd = not odd
    return odd


def loop_area(loop):
    area = 0.0
    for i, (x, y, b) in enumerate(loop):
        u, v, _ = loop[(i + 1) % len(loop)]
        area += (x * v - u * y) / 2
        if b:
            swept = 4 * math.atan(abs(b))
            r = math.hypot(u - x, v - y) / 2 / math.sin(swept / 2)
            area += math.copysign(r * r * (swept - math.sin(swept)) / 2, b)
    return area


def crossings(loop, at, along, across, depth):
    """Where the line at depth across the strip crosses its loop, along the fold."""
    found = []
    for i, (x, y, b) in enumerate(loop):
        u, v, _ = loop[(i + 1) % len(loop)]
        p = [(x - at[0]) * along[0] + (y - at[1]) * along[1], (x - at[0]) * across[0] + (y - at[1]) * across[1]]
        q = [(u - at[0]) * along[0] + (v - at[1]) * along[1], (u - at[0]) * across[0] + (v - at[1]) * across[1]]
        if b == 0:
            if (p[1] > depth) != (q[1] > depth):
                found.append(p[0] + (depth - p[1]) / (q[1] - p[1]) * (q[0] - p[0]))
            continue
        # (along, across) is a right-handed or left-handed pair; across points right of the fold
        c = centre(p, q, -b)
        r = math.hypot(p[0] - c[0], p[1] - c[1])
        if abs(depth - c[1]) >= r:
            continue
        half = math.sqrt(r * r - (depth - c[1]) ** 2)
        swept = -4 * math.atan(b)
        start = math.atan2(p[1] - c[1], p[0] - c[0])
        for s in (c[0] - half, c[0] + half):
            turn = math.atan2(depth - c[1], s - c[0]) - start
            if swept > 0:
                turn %= 2 * math.pi
                if turn < swept:
                    found.append(s)
            else:
                turn = (-turn) % (2 * math.pi)
                if turn < -swept:
                    found.append(s)
    return sorted(found)


def bend(f, frame, thickness):
    """The solids of a bend, in slices."""
    dx, dy = f["to"][0] - f["from"][0], f["to"][1] - f["from"][1]
    n = math.hypot(dx, dy)
    along, across = (dx / n, dy / n), (dy / n, -dx / n)  # across leads away from the first face
    ba, angle = f["allowance"], math.radians(f["angle"])
    start = (f["from"][0] - across[0] * ba / 2, f["from"][1] - across[1] * ba / 2)
    down = f["direction"] == "down"
    height = -(f["radius"] + thickness) if down else f["radius"]
    axis_at = frame.at(start[0], start[1], height)
    axis = add(add([0, 0, 0], along[0], frame.x), along[1], frame.y)
    out = []
    for k in range(SLICES):
        ends = crossings(f["loop"], start, along, across, (k + 0.5) * ba / SLICES)
        if len(ends) % 2:
            raise ValueError("a line crosses a strip an odd number of times")
        for lo, hi in zip(ends[::2], ends[1::2]):
            corners = []
            for s, z in ((lo, 0), (hi, 0), (hi, -thickness), (lo, -thickness)):
                corners.append(occ.addPoint(*frame.at(start[0] + along[0] * s, start[1] + along[1] * s, z)))
            lines = [occ.addLine(corners[i], corners[(i + 1) % 4]) for i in range(4)]
            face = occ.addPlaneSurface([occ.addCurveLoop(lines)])
            # across is right of along, so a turn about along takes it down
            turn = angle if down else -angle
            if k:
                occ.rotate([(2, face)], *axis_at, *axis, turn * k / SLICES)
            out += [t for t in occ.revolve([(2, face)], *axis_at, *axis, turn / SLICES) if t[0] == 3]
    return out


def build(blank):
    gmsh.clear()
    t = blank["stock"]["thickness"]
    frames = {f["name"]: Frame(f["frame"]) for f in blank["faces"]}
    faces, bends = [], []
    left = list(blank["inner"])
    for f in blank["faces"]:
        fr = frames[f["name"]]
        mine = [h for h in left if inside(h[0], f["loop"])]
        left = [h for h in left if h not in mine]
        surface = occ.addPlaneSurface([wire(f["loop"], fr)] + [wire(turned(h), fr) for h in mine])
        made = occ.extrude([(2, surface)], *[-t * c for c in fr.z])
        faces += [m for m in made if m[0] == 3]
    strips = 0.0
    explained = 0.0
    for f in blank["folds"]:
        bends += bend(f, frames[f["faces"][0]], t)
        area = abs(loop_area(f["loop"]))
        strips += area
        explained += area / f["allowance"] * math.radians(f["angle"]) * (f["radius"] + t / 2) * t
    occ.synchronize()
    volume = lambda tags: sum(occ.getMass(*m) for m in tags)
    out = dict(
        blank=blank["name"], thickness=t, area=blank["area"], strips=strips, explained=explained,
        faces=volume(faces), bends=volume(bends), homeless=len(left), whole=0.0, solids=0,
    )
    if len(faces) + len(bends) > 1:
        whole, _ = occ.fuse(faces[:1], faces[1:] + bends)
        out["solids"], out["whole"] = len(whole), volume(whole)
    else:
        out["solids"], out["whole"] = 1, out["faces"]
    return out


gmsh.initialize()
gmsh.option.setNumber("General.Terminal", 0)
gmsh.option.setNumber("Geometry.ToleranceBoolean", 1e-4)
found = []
for name in sys.argv[1:]:
    with open(name) as file:
        record = json.load(file)
    for b in record["blanks"]:
        found.append(dict(file=name, **build(b)))
gmsh.finalize()
print(json.dumps(found))
