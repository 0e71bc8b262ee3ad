// Package solid holds the space a piece of furniture stands in: vectors,
// planes, frames and the skeleton bodies that name planes, edges and corners.
// z is up, the floor is z = 0. Lengths are in millimetres, angles in radians.
// It knows no sheet, no outline and no part: it only says where things may be
// put.
package solid

import (
	"math"

	"perch/parts/plane"
)

// Vec is a point or a vector of space.
type Vec struct{ X, Y, Z float64 }

// Add returns a + b.
func (a Vec) Add(b Vec) Vec { return Vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }

// Sub returns a − b.
func (a Vec) Sub(b Vec) Vec { return Vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }

// Scale returns k·a. The products are rounded here, so that no compiler fuses
// them into a sum around the call.
func (a Vec) Scale(k float64) Vec {
	return Vec{float64(k * a.X), float64(k * a.Y), float64(k * a.Z)}
}

// Neg returns −a.
func (a Vec) Neg() Vec { return Vec{-a.X, -a.Y, -a.Z} }

// Dot returns the scalar product.
func (a Vec) Dot(b Vec) float64 {
	return float64(a.X*b.X) + float64(a.Y*b.Y) + float64(a.Z*b.Z)
}

// Cross returns the vector product.
func (a Vec) Cross(b Vec) Vec {
	return Vec{
		float64(a.Y*b.Z) - float64(a.Z*b.Y),
		float64(a.Z*b.X) - float64(a.X*b.Z),
		float64(a.X*b.Y) - float64(a.Y*b.X),
	}
}

// Len returns the length of a.
func (a Vec) Len() float64 { return math.Sqrt(a.Dot(a)) }

// Unit returns a divided by its length. The zero vector stays zero.
func (a Vec) Unit() Vec {
	l := a.Len()
	if l == 0 {
		return a
	}
	return Vec{a.X / l, a.Y / l, a.Z / l}
}

// Plane is the set of points p with N·p = D; N is a unit vector that points off
// the drawn side, away from the metal.
type Plane struct {
	N Vec
	D float64
}

// Height returns the signed distance of p from the plane, positive off the
// drawn side.
func (p Plane) Height(q Vec) float64 { return p.N.Dot(q) - p.D }

// Frame places a plane's coordinates in space: (x, y) lies at O + x·X + y·Y. X
// and Y are orthonormal; X×Y is the drawn side's normal.
type Frame struct{ O, X, Y Vec }

// Normal returns X×Y.
func (f Frame) Normal() Vec { return f.X.Cross(f.Y) }

// Plane returns the frame's plane.
func (f Frame) Plane() Plane {
	n := f.Normal()
	return Plane{N: n, D: n.Dot(f.O)}
}

// At takes a point of the frame's plane to space.
func (f Frame) At(p plane.Point) Vec {
	return f.O.Add(f.X.Scale(p.X)).Add(f.Y.Scale(p.Y))
}

// Dir takes a vector of the frame's plane to space.
func (f Frame) Dir(p plane.Point) Vec {
	return f.X.Scale(p.X).Add(f.Y.Scale(p.Y))
}

// Local drops a point of space square onto the frame's plane and returns its
// coordinates there.
func (f Frame) Local(v Vec) plane.Point {
	d := v.Sub(f.O)
	return plane.Point{X: d.Dot(f.X), Y: d.Dot(f.Y)}
}

// LocalDir drops a vector onto the frame's plane.
func (f Frame) LocalDir(v Vec) plane.Point {
	return plane.Point{X: v.Dot(f.X), Y: v.Dot(f.Y)}
}

// Shifted returns the frame moved by d along its normal.
func (f Frame) Shifted(d float64) Frame {
	f.O = f.O.Add(f.Normal().Scale(d))
	return f
}

// Back returns the same plane drawn from its other side: x is flipped.
func (f Frame) Back() Frame {
	f.X = f.X.Neg()
	return f
}

// Line is a line of space, D a unit vector.
type Line struct{ P, D Vec }

// Meet returns the line where two planes cross, running along a.N×b.N, and
// false where they are parallel (within about 1e-9 rad).
func Meet(a, b Plane) (Line, bool) {
	d := a.N.Cross(b.N)
	s := d.Dot(d)
	if s < 1e-18 {
		return Line{}, false
	}
	// the point of the line nearest the origin (Goldman, Graphics Gems, 1990)
	p := b.N.Cross(d).Scale(a.D).Add(d.Cross(a.N).Scale(b.D)).Scale(1 / s)
	return Line{P: p, D: d.Scale(1 / math.Sqrt(s))}, true
}

// Pierce returns the point where the line crosses the plane, and false where it
// runs along it.
func (l Line) Pierce(p Plane) (Vec, bool) {
	c := p.N.Dot(l.D)
	if math.Abs(c) < 1e-12 {
		return Vec{}, false
	}
	return l.P.Add(l.D.Scale((p.D - p.N.Dot(l.P)) / c)), true
}
