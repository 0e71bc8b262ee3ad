// Package mesh divides regions of the plane into triangles of good shape: a constrained
// Delaunay triangulation, refined until no side is longer than asked for and no angle needlessly
// small. It knows no sheet and no fold: lines that no triangle may cross are given to it. It
// never leaves a given corner, line or point out, but for what is closer together than it is
// told to tell apart.
package mesh

import (
	"context"
	"fmt"
	"math"

	"perch/parts/plane"
)

// Region is what is to be divided, in mm.
type Region struct {
	Loops  [][]plane.Point  // outlines: inside is what an odd number of them go round
	Lines  [][2]plane.Point // no triangle crosses them
	Points []plane.Point    // each is a node
	// Size is how long a side may be at a place.
	Size func(plane.Point) float64
	// Apart is how near to each other points and lines may lie and still be told apart.
	Apart float64
	// Most bounds the nodes; 0 for 100 000.
	Most int
}

// Mesh are the triangles of a region, counter-clockwise.
type Mesh struct {
	Nodes     []plane.Point
	Triangles [][3]int32
	Points    []int32 // the nodes of Region.Points
	// Border tells of each node whether it lies on an outline, Line whether on an inner line.
	Border, Line []bool
}

// TooManyError tells that a region needs more nodes than it may have.
type TooManyError struct {
	Most int
}

func (e *TooManyError) Error() string {
	return fmt.Sprintf("the mesh needs more than %d nodes", e.Most)
}

// BadRegionError is a region that can't be divided.
type BadRegionError struct {
	What string
}

func (e *BadRegionError) Error() string { return e.What }

const mostNodes = 100_000

// Divide makes the mesh of a region. A *TooManyError or a *BadRegionError where it can't.
func Divide(ctx context.Context, r Region) (*Mesh, error) {
	if r.Most == 0 {
		r.Most = mostNodes
	}
	if !(r.Apart > 0) {
		return nil, &BadRegionError{"how near points may lie is not stated"}
	}
	w, err := newWeb(&r)
	if err != nil {
		return nil, err
	}
	t := newTriangulation(w.box)
	node := make([]int32, len(w.points))
	for i, p := range w.points {
		node[i] = t.insert(p)
	}
	for _, s := range w.segments {
		if !t.constrain(node[s.a], node[s.b], s.kind) {
			return nil, &BadRegionError{"two lines of a region can't be told apart"}
		}
	}
	t.markInside()
	t.given = len(t.points)
	if err := t.refine(ctx, &r); err != nil {
		return nil, err
	}
	return t.result(w, node)
}

// result takes the triangles inside out of a triangulation, with the nodes that they use.
func (t *triangulation) result(w *web, node []int32) (*Mesh, error) {
	m := &Mesh{}
	number := make([]int32, len(t.points))
	for i := range number {
		number[i] = -1
	}
	take := func(p int32) int32 {
		if number[p] < 0 {
			number[p] = int32(len(m.Nodes))
			m.Nodes = append(m.Nodes, t.points[p])
			m.Border = append(m.Border, false)
			m.Line = append(m.Line, false)
		}
		return number[p]
	}
	for i := range t.triangles {
		tri := &t.triangles[i]
		if !tri.inside {
			continue
		}
		m.Triangles = append(m.Triangles, [3]int32{take(tri.v[0]), take(tri.v[1]), take(tri.v[2])})
		for e := range 3 {
			a, b := take(tri.v[(e+1)%3]), take(tri.v[(e+2)%3])
			switch tri.edge[e] {
			case outline:
				m.Border[a], m.Border[b] = true, true
			case line:
				m.Line[a], m.Line[b] = true, true
			}
		}
	}
	if len(m.Triangles) == 0 {
		return nil, &BadRegionError{"the region has no inside"}
	}
	for _, p := range w.given {
		n := number[node[p]]
		if n < 0 {
			return nil, &BadRegionError{"a point lies outside of its region"}
		}
		m.Points = append(m.Points, n)
	}
	return m, nil
}

// Quality is the least angle of the mesh's triangles, radians by its sine.
func (m *Mesh) Quality() float64 {
	least := 1.0
	for _, t := range m.Triangles {
		a, b, c := m.Nodes[t[0]], m.Nodes[t[1]], m.Nodes[t[2]]
		area := b.Sub(a).Cross(c.Sub(a))
		x, y, z := a.Dist(b), b.Dist(c), c.Dist(a)
		for _, p := range [][2]float64{{x, y}, {y, z}, {z, x}} {
			least = math.Min(least, area/(p[0]*p[1]))
		}
	}
	return least
}
