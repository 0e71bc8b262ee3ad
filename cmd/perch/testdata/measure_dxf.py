"""Measures drawings with ezdxf, a DXF library that has no part in perch.

Arguments: DXF files. Prints a JSON list with, for every file, the audit's
findings, the units, and what the outlines enclose: area, length of all cuts,
number of openings. Polylines are measured here from their points and bulges;
nothing is taken from the file's own words.
"""

import json
import math
import sys

import ezdxf

OUTSIDE, INSIDE = "OUTSIDE", "INSIDE"


def polyline(points):
    """Signed area and length of a closed polyline of (x, y, bulge)."""
    area = length = 0.0
    for (x, y, bulge), (u, v, _) in zip(points, points[1:] + points[:1]):
        area += (x * v - u * y) / 2
        chord = math.hypot(u - x, v - y)
        if bulge == 0:
            length += chord
            continue
        swept = 4 * math.atan(abs(bulge))
        radius = chord / 2 / math.sin(swept / 2)
        length += radius * swept
        area += math.copysign(radius * radius * (swept - math.sin(swept)) / 2, bulge)
    return area, length


def shape(e):
    if e.dxftype() == "CIRCLE":
        r = e.dxf.radius
        return math.pi * r * r, 2 * math.pi * r
    if e.dxftype() == "LWPOLYLINE":
        if not e.closed:
            raise ValueError("an outline is open")
        return polyline([tuple(p) for p in e.get_points("xyb")])
    raise ValueError("an outline is a " + e.dxftype())


def key(e):
    """What makes two entities the same thing drawn twice."""
    t = e.dxftype()
    if t == "LINE":
        return (t, *sorted([tuple(round(c, 6) for c in e.dxf.start), tuple(round(c, 6) for c in e.dxf.end)]))
    if t == "CIRCLE":
        return (t, *(round(c, 6) for c in e.dxf.center), round(e.dxf.radius, 6))
    if t == "LWPOLYLINE":
        return (t, *sorted(tuple(round(c, 6) for c in p) for p in e.get_points("xyb")))
    return (t, e.dxf.handle)


def measure(name):
    doc = ezdxf.readfile(name)
    audit = doc.audit()
    out = dict(
        errors=[x.message for x in audit.errors],
        fixes=[x.message for x in audit.fixes],
        units=doc.units,
        area=0.0, length=0.0, outlines=0, holes=0, layers={}, twice=0,
    )
    seen = set()
    for e in doc.modelspace():
        layer = e.dxf.layer
        out["layers"][layer] = out["layers"].get(layer, 0) + 1
        out["twice"] += key(e) in seen
        seen.add(key(e))
        if layer not in (OUTSIDE, INSIDE):
            continue
        area, length = shape(e)
        out["length"] += length
        if layer == OUTSIDE:
            out["outlines"] += 1
            out["area"] += abs(area)
        else:
            out["holes"] += 1
            out["area"] -= abs(area)
    return out


print(json.dumps([measure(name) for name in sys.argv[1:]]))
