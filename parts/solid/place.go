package solid

import (
	"math"

	"perch/solver/elementary"
)

// place is a rigid motion that leaves plumb lines plumb: a turn about the z axis,
// anticlockwise seen from above, and then a move.
type place struct {
	cos, sin float64
	move     Vec
}

// unmoved leaves every point where it is.
var unmoved = place{cos: 1}

func (p place) dir(v Vec) Vec {
	return Vec{
		float64(p.cos*v.X) - float64(p.sin*v.Y),
		float64(p.sin*v.X) + float64(p.cos*v.Y),
		v.Z,
	}
}

func (p place) point(v Vec) Vec { return p.dir(v).Add(p.move) }

func (p place) frame(f Frame) Frame {
	return Frame{O: p.point(f.O), X: p.dir(f.X), Y: p.dir(f.Y)}
}

// Turned returns the body turned by an angle (rad) about its own axis,
// anticlockwise seen from above. Quarter turns come out exact.
func (b *Body) Turned(angle float64) *Body {
	s, c := quarter(angle)
	n := *b
	n.place.cos = float64(b.place.cos*c) - float64(b.place.sin*s)
	n.place.sin = float64(b.place.sin*c) + float64(b.place.cos*s)
	return &n
}

// quarter is the sine and cosine of an angle, exact where the angle is a multiple
// of a right angle as nearly as a literal in degrees can say.
func quarter(angle float64) (sin, cos float64) {
	q := math.Round(angle / (math.Pi / 2))
	if math.Abs(angle-float64(q*(math.Pi/2))) > 1e-14*max(1, math.Abs(angle)) {
		return elementary.Sincos(angle)
	}
	exact := [4][2]float64{{0, 1}, {1, 0}, {0, -1}, {-1, 0}}[int(math.Mod(math.Mod(q, 4)+4, 4))]
	return exact[0], exact[1]
}

// Moved returns the body moved by v, beside where it stands already.
func (b *Body) Moved(v Vec) *Body {
	n := *b
	n.place.move = b.place.move.Add(v)
	return &n
}

// Stands is the height of the body's bottom above the world's floor, and lifted
// how far Moved has raised it there.
func (b *Body) Stands() (height, lifted float64) {
	return b.Low + b.place.move.Z, b.place.move.Z
}

// Height is the height of the corner's upper end above the world's floor.
func (c Corner) Height() float64 { return c.Body.High + c.Body.place.move.Z }
