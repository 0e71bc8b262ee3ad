// Package solid holds the space a piece of furniture stands in: vectors,
// planes, frames and the skeleton bodies that name planes, edges and corners.
// z is up, the floor is z = 0. Lengths in millimetres, angles in radians.
package solid

import "perch/parts/plane"

// Vec is a point or a vector of space.
type Vec struct{ X, Y, Z float64 }

// Plane is the set of points p with N·p = D; N is a unit vector that points off
// the drawn side, away from the metal.
type Plane struct {
	N Vec
	D float64
}

// Frame places a plane's coordinates in space: (x, y) lies at O + x·X + y·Y. X
// and Y are orthonormal; X×Y is the drawn side's normal.
type Frame struct{ O, X, Y Vec }

// At takes a point of the frame's plane to space.
func (f Frame) At(p plane.Point) Vec { panic("stub") }
