package plane

import (
	"math"

	"perch/solver/elementary"
)

// Add is p + q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub is p − q.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Scale is k·p.
func (p Point) Scale(k float64) Point { return Point{float64(k * p.X), float64(k * p.Y)} }

// Dot is the scalar product.
func (p Point) Dot(q Point) float64 { return float64(p.X*q.X) + float64(p.Y*q.Y) }

// Cross is the area of the parallelogram p, q: positive when q lies left of p.
func (p Point) Cross(q Point) float64 { return float64(p.X*q.Y) - float64(p.Y*q.X) }

// Len is the length of the vector p.
func (p Point) Len() float64 { return math.Sqrt(p.Dot(p)) }

// Dist is the distance from p to q.
func (p Point) Dist(q Point) float64 { return p.Sub(q).Len() }

// Unit is p scaled to length 1; the zero vector stays zero.
func (p Point) Unit() Point {
	if l := p.Len(); l > 0 {
		return Point{p.X / l, p.Y / l}
	}
	return Point{}
}

// Perp is p turned a quarter turn counter-clockwise: the left normal.
func (p Point) Perp() Point { return Point{-p.Y, p.X} }

// Neg is −p.
func (p Point) Neg() Point { return Point{-p.X, -p.Y} }

// Lerp is p at t = 0, q at t = 1, and straight between.
func (p Point) Lerp(q Point, t float64) Point {
	if t == 1 {
		return q
	}
	return Point{p.X + float64(t*(q.X-p.X)), p.Y + float64(t*(q.Y-p.Y))}
}

// Angle is the direction of the vector p, in (−π, π].
func (p Point) Angle() float64 { return elementary.Atan2(p.Y, p.X) }

// Near tells whether p and q are one point, within tol mm.
func (p Point) Near(q Point, tol float64) bool {
	d := p.Sub(q)
	return d.Dot(d) <= tol*tol
}

// Finite tells whether neither coordinate is NaN or infinite.
func (p Point) Finite() bool { return p.X-p.X == 0 && p.Y-p.Y == 0 }

// Polar is the vector of the given length and direction.
func Polar(length, angle float64) Point {
	s, c := elementary.Sincos(angle)
	return Point{float64(length * c), float64(length * s)}
}
