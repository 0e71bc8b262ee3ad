package plane

import (
	"fmt"
	"math"

	"perch/solver/elementary"
)

// Identity leaves every point where it is.
func Identity() Affine { return Affine{A: 1, D: 1} }

// Translate moves by v.
func Translate(v Point) Affine { return Affine{A: 1, D: 1, E: v.X, F: v.Y} }

// Rotate turns counter-clockwise about the origin by angle (radians).
func Rotate(angle float64) Affine {
	s, c := elementary.Sincos(angle)
	return Affine{A: c, B: -s, C: s, D: c}
}

// Turned is the cosine and sine of an angle in degrees, exact at quarter turns.
func Turned(degrees float64) (c, s float64) {
	d := degrees - float64(360*math.Floor(degrees/360))
	switch d {
	case 0:
		return 1, 0
	case 90:
		return 0, 1
	case 180:
		return -1, 0
	case 270:
		return 0, -1
	}
	s, c = elementary.Sincos(d * math.Pi / 180)
	return c, s
}

// RotateTo turns the direction (1, 0) into the direction of the vector dir; it
// uses no trigonometry, so axis directions stay exact.
func RotateTo(dir Point) Affine {
	u := dir.Unit()
	return Affine{A: u.X, B: -u.Y, C: u.Y, D: u.X}
}

// MirrorX changes the sign of x: a mirror in the y axis.
func MirrorX() Affine { return Affine{A: -1, D: 1} }

// MirrorLine mirrors in the line through p along dir.
func MirrorLine(p, dir Point) Affine {
	u := dir.Unit()
	a := float64(u.X*u.X) - float64(u.Y*u.Y)
	b := 2 * u.X * u.Y
	m := Affine{A: a, B: b, C: b, D: -a}
	q := m.Vec(p)
	m.E, m.F = p.X-q.X, p.Y-q.Y
	return m
}

// Apply maps a point.
func (m Affine) Apply(p Point) Point {
	return Point{
		float64(m.A*p.X) + float64(m.B*p.Y) + m.E,
		float64(m.C*p.X) + float64(m.D*p.Y) + m.F,
	}
}

// Vec maps a vector: as Apply without the translation.
func (m Affine) Vec(v Point) Point {
	return Point{float64(m.A*v.X) + float64(m.B*v.Y), float64(m.C*v.X) + float64(m.D*v.Y)}
}

// Then is the map that does m first and n after it.
func (m Affine) Then(n Affine) Affine {
	o := n.Apply(Point{m.E, m.F})
	x, y := n.Vec(Point{m.A, m.C}), n.Vec(Point{m.B, m.D})
	return Affine{A: x.X, B: y.X, C: x.Y, D: y.Y, E: o.X, F: o.Y}
}

// Det is the factor by which areas grow; negative when the map mirrors.
func (m Affine) Det() float64 { return float64(m.A*m.D) - float64(m.B*m.C) }

// Inverse undoes m. It errs when m flattens the plane (Det 0 or not finite).
func (m Affine) Inverse() (Affine, error) {
	d := m.Det()
	if d == 0 || d-d != 0 {
		return Affine{}, fmt.Errorf("inverse of a map with determinant %g", d)
	}
	inv := Affine{A: m.D / d, B: -m.B / d, C: -m.C / d, D: m.A / d}
	o := inv.Vec(Point{m.E, m.F})
	inv.E, inv.F = -o.X, -o.Y
	return inv, nil
}

// Rigid tells whether m keeps distances (a motion, or a motion and a mirror),
// its matrix entries within tol of an orthonormal matrix's.
func (m Affine) Rigid(tol float64) bool {
	x, y := Point{m.A, m.C}, Point{m.B, m.D}
	return math.Abs(x.Len()-1) <= tol && math.Abs(y.Len()-1) <= tol && math.Abs(x.Dot(y)) <= tol
}

// Transform maps a loop by a rigid map. A mirroring map also runs the
// loop backwards, so that an outer loop stays counter-clockwise: mirror and way
// round each change the sign of a bulge, which therefore stays. Maps that are not
// rigid would make arcs elliptic; they are the caller's mistake.
func (l Loop) Transform(m Affine) Loop {
	if l == nil {
		return nil
	}
	out := make(Loop, len(l))
	for i, v := range l {
		out[i] = Vertex{m.Apply(v.P), v.Bulge}
	}
	if m.Det() < 0 {
		out.reverse()
	}
	return out
}

// Transform maps every loop; see Loop.Transform.
func (r Region) Transform(m Affine) Region {
	if r == nil {
		return nil
	}
	n := 0
	for _, l := range r {
		n += len(l)
	}
	out, all := make(Region, len(r)), make(Loop, n) // one array for all loops
	mirrored := m.Det() < 0
	for i, l := range r {
		if l == nil {
			continue
		}
		to := all[:len(l):len(l)]
		all = all[len(l):]
		for k, v := range l {
			to[k] = Vertex{m.Apply(v.P), v.Bulge}
		}
		if mirrored {
			to.reverse()
		}
		out[i] = to
	}
	return out
}

// Transform is the box around the mapped box.
func (b Box) Transform(m Affine) Box {
	if b.Empty() {
		return b
	}
	p := m.Apply(b.Min)
	return Box{p, p}.With(m.Apply(b.Max)).With(m.Apply(Point{b.Max.X, b.Min.Y})).With(m.Apply(Point{b.Min.X, b.Max.Y}))
}

// Transform maps the half-plane by a rigid map.
func (h HalfPlane) Transform(m Affine) HalfPlane {
	n := m.Vec(h.N)
	return HalfPlane{N: n, D: h.D + n.Dot(Point{m.E, m.F})}
}
