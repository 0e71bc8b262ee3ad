"""Measures drawings with ezdxf, a DXF library that has no part in perch.

Arguments: DXF files. Prints a JSON list with, for every file, coordinates from the
lower left corner of the outline without its nicks: the size, the middles of holes and
marks, the ends of fold lines, and every vertex of the outline.
"""

import json
import sys

import ezdxf


def places(name):
    space = ezdxf.readfile(name).modelspace()
    outline = [p for e in space if e.dxf.layer == "OUTSIDE" for p in e.get_points("xy")]
    x0, y0 = min(p[0] for p in outline), min(p[1] for p in outline)
    at = lambda p: (p[0] - x0, p[1] - y0)
    inside = [e for e in space if e.dxf.layer == "INSIDE"]
    folds = [e for e in space if e.dxf.layer in ("FOLD_UP", "FOLD_DOWN")]
    return dict(
        size=at((max(p[0] for p in outline), max(p[1] for p in outline))),
        outline=[at(p) for p in outline],
        holes=[at(e.dxf.center) for e in inside if e.dxftype() == "CIRCLE"],
        openings=[at(p) for e in inside if e.dxftype() == "LWPOLYLINE" for p in e.get_points("xy")],
        folds=[(at(e.dxf.start), at(e.dxf.end)) for e in folds],
        marks=[at(p) for e in space if e.dxf.layer == "MARK" and e.dxftype() == "LINE" for p in (e.dxf.start, e.dxf.end)],
    )


json.dump([places(name) for name in sys.argv[1:]], sys.stdout)
