"""Loads a piece with CalculiX, which has no part in perch, on a mesh of gmsh's, from
build.json alone.

Argument: build.json. Standard input, JSON: `side` of the triangles, `e` and `nu` of the
metal, `loads` (`copy`, `at`, `spread`, `force`), `push` (a force at the first one's place, put on
after them; null for none), `held` (indices of the blank's openings, whose rims are held; none
for a piece that stands on the floor), `folder` to work in.

Every blank is divided in the flat into triangles of six nodes, its folds the sharp lines on
which the middles of the two sheets meet, and set up face by face. The sheet under a rivet's
head, a triangle as large as the hexagon in it, is fifty times as stiff, and steel fills the
space to that of the sheet beside it. Nothing else
holds the sheets together, nor apart: they do not press on each other. What is lowest stands
on the floor: it presses and does not pull, and does not slide: which nodes stand is looked for.

Prints JSON: `sag`, the largest movement down; `moved`, how far the first load's place has
moved along it; `pushed`, how far along the push that moved it on; `nodes`.
"""

import json
import math
import os
import subprocess
import sys

import gmsh

GRAVITY = 9.80665
REACH = 0.8  # above the lowest metal, what still stands
FLOOR = 2e5  # N/mm at a node
ROUNDS = 12  # in which it is looked for which nodes stand
PULL = 0.05  # N, by which a node may pull at the floor
FOOT = 14.0  # mm, sides on the floor
SPREAD = 1.414  # of a head's radius: a triangle as large as the hexagon in the head
STIFF = 50  # times, the sheet under a head


def sub(a, b):
    return [x - y for x, y in zip(a, b)]


def add(a, k, b):
    return [x + k * y for x, y in zip(a, b)]


def dot(a, b):
    return sum(x * y for x, y in zip(a, b))


def cross(a, b):
    return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]


def length(a):
    return math.sqrt(dot(a, a))


def flattened(loop):
    """A loop of (x, y, bulge) as corners, arcs by chords."""
    out = []
    for i, (x, y, b) in enumerate(loop):
        out.append((x, y))
        if b == 0:
            continue
        x2, y2, _ = loop[(i + 1) % len(loop)]
        swept = 4 * math.atan(b)
        apart = 1 / (2 * math.tan(swept / 2))
        cx, cy = (x + x2) / 2 - (y2 - y) * apart, (y + y2) / 2 + (x2 - x) * apart
        n = max(2, math.ceil(abs(swept) / 0.3))
        for k in range(1, n):
            s, c = math.sin(swept * k / n), math.cos(swept * k / n)
            out.append((cx + c * (x - cx) - s * (y - cy), cy + s * (x - cx) + c * (y - cy)))
    return out


def to_segment(p, a, b):
    dx, dy = b[0] - a[0], b[1] - a[1]
    l2 = dx * dx + dy * dy
    t = 0 if l2 == 0 else min(1, max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / l2))
    return math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy)


def plainer(points, tol):
    """Leaves out corners that change an outline by less than tol."""
    def keep(part):
        if len(part) < 3:
            return part
        far, at = max((to_segment(p, part[0], part[-1]), i) for i, p in enumerate(part[1:-1], 1))
        if far <= tol:
            return [part[0], part[-1]]
        return keep(part[: at + 1])[:-1] + keep(part[at:])

    _, half = max((math.dist(points[0], p), i) for i, p in enumerate(points))
    return keep(points[: half + 1])[:-1] + keep(points[half:] + points[:1])[:-1]


def inside(p, corners):
    odd = False
    for a, b in zip(corners, corners[1:] + corners[:1]):
        if (a[1] > p[1]) != (b[1] > p[1]) and p[0] < a[0] + (p[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]):
            odd = not odd
    return odd


def from_outline(p, corners):
    return min(to_segment(p, a, b) for a, b in zip(corners, corners[1:] + corners[:1]))


def through(corners, ends, near):
    """An outline that runs through the ends of folds: corners too near to one give way."""
    corners = [p for p in corners if all(math.dist(p, e) > near for e in ends)]
    for e in ends:
        edges = list(zip(corners, corners[1:] + corners[:1]))
        far, i = min((to_segment(e, a, b), i) for i, (a, b) in enumerate(edges))
        if far < near:
            corners.insert(i + 1, tuple(e))
    return corners


class Fold:
    """A fold as the line where the middles of its two faces' sheets meet."""

    def __init__(self, fold, blank, middle):
        self.a, self.b = fold["from"], fold["to"]
        self.l = math.dist(self.a, self.b)
        self.u = [(q - p) / self.l for p, q in zip(self.a, self.b)]
        self.over = [self.u[1], -self.u[0]]  # from the first face to the second
        self.half = fold["allowance"] / 2
        self.middles = [middle[n] for n in fold["faces"]]
        # How far from the first face's tangent the second one's middle plane lies.
        m = [(p + q) / 2 for p, q in zip(self.a, self.b)]
        first, second = self.middles
        tangent = first.at(add(m, -self.half, self.over))
        way = first.along(self.over)
        far = second.at(add(m, self.half, self.over))
        self.reach = dot(sub(far, tangent), second.z) / dot(way, second.z)

    def holds(self, p):
        v = sub(p, self.a)
        return -1.0 <= dot(v, self.u) <= self.l + 1.0 and abs(dot(v, self.over)) <= self.half + 1e-6

    def at(self, p):
        d = dot(sub(p, self.a), self.over)  # −half on the first face's tangent
        k = self.reach / self.half
        first, second = self.middles
        if d <= 0:
            return add(first.at(add(p, -d - self.half, self.over)), k * (d + self.half), first.along(self.over))
        return add(second.at(add(p, self.half - d, self.over)), -k * (self.half - d), second.along(self.over))


class Middle:
    """The middle plane of a face's sheet."""

    def __init__(self, face, t):
        f = face["frame"]
        self.x, self.y = f["x"], f["y"]
        self.z = cross(self.x, self.y)
        self.o = add(f["origin"], -t / 2, self.z)

    def at(self, p):
        return add(add(self.o, p[0], self.x), p[1], self.y)

    def along(self, d):
        return add([d[0] * c for c in self.x], d[1], self.y)


class Sheet:
    """A blank as triangles, in part space."""

    def __init__(self, blank, radii, side, ways, above):
        self.t = blank["stock"]["thickness"]
        self.density = blank["stock"]["density_kg_m3"]
        self.middle = {f["name"]: Middle(f, self.t) for f in blank["faces"]}
        self.folds = [Fold(f, blank, self.middle) for f in blank["folds"]]
        self.loops = [(flattened(f["loop"]), self.middle[f["name"]]) for f in blank["faces"]]
        self.points = {p["name"]: p["at"] for p in blank["points"] if p["name"] in radii}
        self.outer = plainer(flattened(blank["outer"]), 0.4)
        self.openings = []
        for i, loop in enumerate(blank["inner"]):
            corners = flattened(loop)
            size = max(max(p[k] for p in corners) - min(p[k] for p in corners) for k in (0, 1))
            if size > self.t and not any(inside(p, corners) for p in self.points.values()):
                self.openings.append((i, plainer(corners, 0.4)))
        ends = [e for f in self.folds for e in (f.a, f.b)]
        self.outer = through(self.outer, ends, 1.2)
        self.openings = [(i, through(c, ends, 1.2)) for i, c in self.openings]
        self.heads = {}
        for p in blank["points"]:
            if p["name"] not in radii:
                continue
            at, r = p["at"], radii[p["name"]]
            clear = min([from_outline(at, c) for c in [self.outer] + [c for _, c in self.openings]] + [to_segment(at, f.a, f.b) for f in self.folds])
            middle = self.middle[p["face"]]
            u, v = ([dot(d, middle.x), dot(d, middle.y)] for d in ways(p["name"]))
            r = min(SPREAD * r, clear / 1.15)
            self.heads[p["name"]] = [add(add(at, r * math.cos(k * 2 * math.pi / 3), u), r * math.sin(k * 2 * math.pi / 3), v) for k in range(3)]
        self.divide(side, above)

    def divide(self, side, above):
        gmsh.clear()
        geo, points = gmsh.model.geo, {}

        def point(p):
            key = (round(p[0], 6), round(p[1], 6))
            if key not in points:
                points[key] = geo.addPoint(*key, 0)
            return points[key]

        def lines(corners):
            tags = [point(p) for p in corners]
            return [geo.addLine(p, q) for p, q in zip(tags, tags[1:] + tags[:1])]

        sheet = geo.addPlaneSurface([geo.addCurveLoop(lines(c)) for c in [self.outer] + [c for _, c in self.openings]])
        within = [geo.addLine(point(f.a), point(f.b)) for f in self.folds]
        for ring in self.heads.values():
            within += lines(ring)
        geo.synchronize()
        gmsh.model.mesh.embed(1, within, 2, sheet)
        centres = [(self.points[n], math.dist(*h[:2])) for n, h in self.heads.items()]

        def size(dim, tag, x, y, z, *_):
            s = side
            for p, r in centres:
                s = min(s, max(r, r + 1.6 * (math.dist(p, (x, y)) - r)))
            return min(s, FOOT + max(0, above(self.place((x, y)))))

        gmsh.model.mesh.setSizeCallback(size)
        gmsh.model.mesh.generate(2)
        gmsh.model.mesh.setOrder(2)
        tags, coordinates, _ = gmsh.model.mesh.getNodes()
        flat = {int(t): (coordinates[3 * i], coordinates[3 * i + 1]) for i, t in enumerate(tags)}
        kinds, _, nodes = gmsh.model.mesh.getElements(2)
        self.triangles, number = [], {}
        for kind, of in zip(kinds, nodes):
            for i in range(0, len(of), 6):
                six = [int(n) for n in of[i : i + 6]]
                a, b, c = (flat[n] for n in six[:3])
                if (b[0] - a[0]) * (c[1] - a[1]) < (c[0] - a[0]) * (b[1] - a[1]):
                    six = [six[0], six[2], six[1], six[5], six[4], six[3]]
                self.triangles.append([number.setdefault(n, len(number)) for n in six])
        self.flat = [flat[n] for n in number]
        self.at = [self.place(p) for p in self.flat]
        near = lambda p: min(range(len(self.flat)), key=lambda i: math.dist(p, self.flat[i]))
        self.head_nodes = {}
        for name, ring in self.heads.items():
            middles = [add(add((0, 0), 0.5, p), 0.5, q) for p, q in zip(ring, ring[1:] + ring[:1])]
            self.head_nodes[name] = [near(p) for p in ring + middles]
        self.rims = {i: [k for k, p in enumerate(self.flat) if from_outline(p, c) < 1e-6] for i, c in self.openings}

    def place(self, p):
        for f in self.folds:
            if f.holds(p):
                return f.at(p)
        for corners, middle in self.loops:
            if inside(p, corners):
                return middle.at(p)
        return min(self.loops, key=lambda c: from_outline(p, c[0]))[1].at(p)


def shape(x, y):
    """The six functions of a triangle at (x, y) of its two sides."""
    l = 1 - x - y
    return [l * (2 * l - 1), x * (2 * x - 1), y * (2 * y - 1), 4 * l * x, 4 * x * y, 4 * y * l]


def sixteenths():
    for i in range(4):
        for j in range(4 - i):
            yield (i + 1 / 3) / 4, (j + 1 / 3) / 4
            if i + j < 3:
                yield (i + 2 / 3) / 4, (j + 2 / 3) / 4


class Piece:
    def __init__(self, build, side):
        self.nodes, self.triangles, self.copies, self.joints = [], [], {}, []
        points = {}
        for j in build["joins"]:
            for m in j["members"]:
                points.setdefault(m["copy"], {})[m["point"]] = j
        for c in build["copies"]:
            if points and c["name"] not in points or not points and self.copies:
                continue  # it lies free
            blank = next(b for b in build["blanks"] if b["name"] == c["blank"])
            joins, m = points.get(c["name"], {}), c["matrix"]

            def ways(name):
                """In part space, two directions square to a rivet, the same for all its sheets."""
                axis = joins[name]["axis"]
                u = cross(axis, [0, 0, 1] if abs(axis[2]) < 0.7 else [1, 0, 0])
                u = [x / length(u) for x in u]
                return [[sum(m[4 * r + k] * d[r] for r in range(3)) for k in range(3)] for d in (u, cross(axis, u))]

            def above(p):
                return m[8] * p[0] + m[9] * p[1] + m[10] * p[2] + m[11]

            s = Sheet(blank, {n: j.get("head_diameter", 2 * j["diameter"]) / 2 for n, j in joins.items()}, side, ways, above)
            first = len(self.nodes)
            self.copies[c["name"]] = (s, first)
            for p in s.at:
                self.nodes.append([m[4 * r] * p[0] + m[4 * r + 1] * p[1] + m[4 * r + 2] * p[2] + m[4 * r + 3] for r in range(3)])
            for six in s.triangles:
                if c["mirrored"]:
                    six = [six[0], six[2], six[1], six[5], six[4], six[3]]
                self.triangles.append((c["name"], [first + n for n in six]))
        for j in build["joins"]:
            stack = []
            for m in j["members"]:
                s, first = self.copies[m["copy"]]
                stack.append([first + n for n in s.head_nodes[m["point"]]])
            self.joints += list(zip(stack, stack[1:]))

    def normal(self, six):
        a, b, c = (self.nodes[n] for n in six[:3])
        n = cross(sub(b, a), sub(c, a))
        return length(n) / 2, [x / length(n) for x in n]

    def weights(self, load):
        """How much of a load each node takes: even over the metal within its disc."""
        out, total = {}, 0.0
        for name, six in self.triangles:
            if name != load["copy"]:
                continue
            area, n = self.normal(six)
            a, b, c = (self.nodes[k] for k in six[:3])
            if abs(dot(sub(load["at"], a), n)) > 5:
                continue
            for x, y in sixteenths():
                p = add(add(a, x, sub(b, a)), y, sub(c, a))
                if length(sub(p, load["at"])) > load["spread"] / 2:
                    continue
                for k, w in zip(six, shape(x, y)):
                    out[k] = out.get(k, 0) + w * area / 16
                total += area / 16
        return {k: w / total for k, w in out.items()}

    def standing(self):
        below = [0.0] * len(self.nodes)
        for name, six in self.triangles:
            _, n = self.normal(six)
            for k in six:
                below[k] = max(below[k], abs(n[2]) * self.copies[name][0].t / 2)
        low = min(p[2] - b for p, b in zip(self.nodes, below))
        return [i for i, (p, b) in enumerate(zip(self.nodes, below)) if p[2] - b <= low + REACH]


def deck(piece, ask, feet, large):
    out = ["*NODE, NSET=ALL"]
    out += [f"{i + 1}, {p[0]:.9g}, {p[1]:.9g}, {p[2]:.9g}" for i, p in enumerate(piece.nodes)]
    extra = len(piece.nodes)
    kinds = {}
    for i, (name, six) in enumerate(piece.triangles):
        sheet, first = piece.copies[name]
        under = any(set(n - first for n in six) == set(h) for h in sheet.head_nodes.values())
        kinds.setdefault((sheet.t, under), []).append(f"{i + 1}, " + ", ".join(str(n + 1) for n in six))
    for name, e in (("M", ask["e"]), ("H", STIFF * ask["e"])):
        out.append(f"*MATERIAL, NAME={name}\n*ELASTIC\n{e}, {ask['nu']}")
    for k, ((t, under), of) in enumerate(kinds.items()):
        out.append(f"*ELEMENT, TYPE=S6, ELSET=T{k}")
        out += of
        out.append(f"*SHELL SECTION, ELSET=T{k}, MATERIAL={'H' if under else 'M'}\n{t}")
    element = len(piece.triangles)
    if piece.joints:
        out.append("*NODE")
        plugs = []
        for first, second in piece.joints:
            upright = []
            for n, m in zip(first[:3], second[:3]):
                extra += 1
                upright.append(extra)
                out.append(f"{extra}, " + ", ".join(f"{(p + q) / 2:.9g}" for p, q in zip(piece.nodes[n], piece.nodes[m])))
            plugs.append((first, second, upright))
        out.append("*ELEMENT, TYPE=C3D15, ELSET=PLUGS")
        for first, second, upright in plugs:
            element += 1
            a, b, c, d = (piece.nodes[n] for n in first[:3] + second[:1])
            if dot(cross(sub(b, a), sub(c, a)), sub(d, a)) < 0:
                first, second, upright = ([f[0], f[2], f[1], f[5], f[4], f[3]] for f in (first, second, upright + upright))
                upright = upright[:3]
            of = [n + 1 for n in first[:3] + second[:3] + first[3:] + second[3:]] + upright
            out.append(f"{element}, " + ", ".join(map(str, of)))
        out.append("*SOLID SECTION, ELSET=PLUGS, MATERIAL=M")
    boundary = ["*BOUNDARY"]
    if ask["held"]:
        sheet, first = piece.copies[ask["loads"][0]["copy"]]
        for i in ask["held"]:
            boundary += [f"{first + n + 1}, 1, 3" for n in sheet.rims[i]]
    else:
        out.append("*NODE")
        ground = {}
        for n in feet:
            extra += 1
            ground[n] = extra
            p = piece.nodes[n]
            out.append(f"{extra}, {p[0]:.9g}, {p[1]:.9g}, {p[2] - 200:.9g}")
        out.append("*ELEMENT, TYPE=SPRINGA, ELSET=FLOOR")
        for n in feet:
            element += 1
            out.append(f"{element}, {ground[n]}, {n + 1}")
        out.append(f"*SPRING, ELSET=FLOOR\n\n{FLOOR}")
        boundary += [f"{ground[n]}, 1, 3" for n in feet] + [f"{n + 1}, 1, 2" for n in feet]
    out += boundary
    weights = [piece.weights(l) for l in ask["loads"]]
    forces = {}
    for name, six in piece.triangles:
        s = piece.copies[name][0]
        w = piece.normal(six)[0] * s.t * s.density * 1e-9 * GRAVITY / 3
        for n in six[3:]:
            forces[n, 3] = forces.get((n, 3), 0) - w
    for weight, l in zip(weights, ask["loads"]):
        for n, w in weight.items():
            for c in range(3):
                forces[n, c + 1] = forces.get((n, c + 1), 0) + w * l["force"][c]

    def step(first, of):
        out.append(f"*STEP, NLGEOM, INC=60\n*STATIC\n{first}, 1.\n*CLOAD" if large else "*STEP\n*STATIC\n*CLOAD")
        out.extend(f"{n + 1}, {c}, {f:.9g}" for (n, c), f in of.items() if f)
        out.append("*NODE PRINT, NSET=ALL, FREQUENCY=999\nU\n*END STEP")

    step(ask.get("first", 0.5), forces)
    if ask["push"] and large:
        for n, w in weights[0].items():
            for c in range(3):
                forces[n, c + 1] = forces.get((n, c + 1), 0) + w * ask["push"][c]
        step(1.0, forces)
    return "\n".join(out) + "\n", weights[0]


def movements(path, count):
    """The movements at the end of each step."""
    steps, now = [], None
    with open(path) as f:
        for line in f:
            if "displacements" in line:
                now = [[0.0] * 3 for _ in range(count)]
                steps.append(now)
                continue
            part = line.split()
            if now is not None and len(part) == 4:
                now[int(part[0]) - 1] = [float(x) for x in part[1:]]
    return steps


def main():
    ask = json.load(sys.stdin)
    with open(sys.argv[1]) as f:
        build = json.load(f)
    gmsh.initialize()
    gmsh.option.setNumber("General.Terminal", 0)
    for o in ("MeshSizeFromPoints", "MeshSizeExtendFromBoundary", "MeshSizeFromCurvature"):
        gmsh.option.setNumber("Mesh." + o, 0)
    piece = Piece(build, ask["side"])
    gmsh.finalize()
    feet = set() if ask["held"] else set(piece.standing())
    all_feet, large = frozenset(feet), not feet
    for _ in range(ROUNDS):
        text, weight = deck(piece, ask, sorted(feet), large)
        with open(os.path.join(ask["folder"], "piece.inp"), "w") as f:
            f.write(text)
        ran = subprocess.run(["ccx", "piece"], cwd=ask["folder"], capture_output=True, text=True, env={**os.environ, "OMP_NUM_THREADS": "1"})
        steps = movements(os.path.join(ask["folder"], "piece.dat"), len(piece.nodes))
        if ran.returncode or len(steps) != (2 if ask["push"] and large else 1):
            sys.exit(f"ccx: {ran.stdout[-3000:]}{ran.stderr}")
        up = steps[0]
        lifted = {n for n in feet if up[n][2] > PULL / FLOOR}
        pressed = {n for n in all_feet - feet if up[n][2] < -0.01}
        if lifted or pressed:
            feet = feet - lifted | pressed
        elif large:
            break
        else:
            large = True
    else:
        sys.exit("it was not found which of the feet stand")

    def along(u, force):
        return sum(w * dot(u[n], force) for n, w in weight.items()) / length(force)

    answer = {
        "nodes": len(piece.nodes),
        "sag": max(-u[2] for u in steps[0]),
        "moved": along(steps[0], ask["loads"][0]["force"]),
    }
    if ask["push"]:
        answer["pushed"] = along(steps[1], ask["push"]) - along(steps[0], ask["push"])
    json.dump(answer, sys.stdout)


main()
