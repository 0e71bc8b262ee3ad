package plane

import (
	"math"

	"perch/solver/elementary"
)

// Rect is a rectangle w × h centred on the origin.
func Rect(w, h float64) Loop {
	x, y := math.Abs(w)/2, math.Abs(h)/2
	return Loop{{P: Point{-x, -y}}, {P: Point{x, -y}}, {P: Point{x, y}}, {P: Point{-x, y}}}
}

// RectAt is the rectangle between two opposite corners.
func RectAt(p, q Point) Loop {
	b := Box{p, p}.With(q)
	return Loop{{P: b.Min}, {P: Point{b.Max.X, b.Min.Y}}, {P: b.Max}, {P: Point{b.Min.X, b.Max.Y}}}
}

// Circle of diameter d about the origin: two half arcs.
func Circle(d float64) Loop {
	r := math.Abs(d) / 2
	return Loop{{Point{r, 0}, 1}, {Point{-r, 0}, 1}}
}

// Slot is centred on the origin along x: overall length (ends included) and
// width, its ends half circles. A length up to the width makes a circle.
func Slot(length, width float64) Loop {
	r := float64(math.Abs(width) / 2)
	x := float64(math.Abs(length)/2) - r
	if x <= Tol/2 {
		return Circle(width)
	}
	return Loop{{P: Point{-x, -r}}, {Point{x, -r}, 1}, {P: Point{x, r}}, {Point{-x, r}, 1}}
}

// Ngon is the regular polygon with n sides, across measured over the inscribed
// circle, centred on the origin, its first side at the bottom and level. Fewer
// than 3 sides make no loop.
func Ngon(n int, across float64) Loop {
	if n < 3 {
		return nil
	}
	step := 2 * math.Pi / float64(n)
	r := math.Abs(across) / 2 / elementary.Cos(step/2)
	out := make(Loop, n)
	for i := range out {
		out[i].P = Polar(r, float64(step*(float64(i)-0.5))-math.Pi/2)
	}
	return out
}
