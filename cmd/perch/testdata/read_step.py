"""Reads STEP files with OpenCASCADE, by way of gmsh, which have no part in perch.

Arguments: STEP files. Prints a JSON list with, for every file, what the kernel
makes of its solids in their order: name, volume in mm³, how
many faces it has by the kind of their surface, how many of its edges are
not between two of its faces, and its corners.
"""

import collections
import json
import sys

import gmsh


def solid(tag):
    kinds = collections.Counter()
    between = collections.Counter()
    for _, face in gmsh.model.getBoundary([(3, tag)], oriented=False):
        kinds[gmsh.model.getType(2, face)] += 1
        for edge in gmsh.model.getAdjacencies(2, face)[1]:
            between[int(edge)] += 1
    return dict(
        name=gmsh.model.getEntityName(3, tag),
        volume=gmsh.model.occ.getMass(3, tag),
        kinds=kinds,
        open=sum(n != 2 for n in between.values()),
        corners=[list(gmsh.model.getValue(0, p, [])) for _, p in gmsh.model.getBoundary([(3, tag)], recursive=True)],
    )


gmsh.initialize()
gmsh.option.setNumber("General.Terminal", 0)
gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
found = []
for name in sys.argv[1:]:
    gmsh.clear()
    got = gmsh.model.occ.importShapes(name, highestDimOnly=True)
    gmsh.model.occ.synchronize()
    found.append(dict(
        file=name,
        other=sum(dim != 3 for dim, _ in got),
        solids=[solid(tag) for dim, tag in got if dim == 3],
    ))
gmsh.finalize()
print(json.dumps(found))
