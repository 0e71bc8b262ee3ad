// Package plane is a geometry kernel of the plane for sheet metal: outlines of
// straight edges and true circular arcs, and regions bounded by them. Arcs stay
// arcs through every operation. Lengths are millimetres, angles radians. It
// knows nothing of folds, sheets or files.
package plane

// Point is a point or a vector of the plane.
type Point struct{ X, Y float64 }

// Vertex starts an edge of a Loop: the edge runs from P to the next vertex's P
// and is straight when Bulge is 0, else an arc with Bulge = tan(included/4),
// positive counter-clockwise (the DXF meaning). |Bulge| ≤ 1; a full circle is two half arcs.
type Vertex struct {
	P     Point
	Bulge float64
}

// Loop is a closed outline without repetition of its first vertex.
type Loop []Vertex

// Region is a set of disjoint loops: outer ones counter-clockwise, holes
// clockwise. The empty Region is the empty set.
type Region []Loop

// HalfPlane is the set of points p with N·p ≤ D, N a unit vector.
type HalfPlane struct {
	N Point
	D float64
}

// Affine maps (x, y) to (A·x + B·y + E, C·x + D·y + F).
type Affine struct{ A, B, C, D, E, F float64 }

// Tol is the distance, in mm, below which two points are one.
const Tol = 1e-7
