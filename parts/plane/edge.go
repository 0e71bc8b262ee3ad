package plane

import (
	"math"

	"perch/solver/elementary"
)

// Edge is one straight side or arc of a loop. Bulge as in Vertex.
type Edge struct {
	From, To Point
	Bulge    float64
}

// Straight tells whether the edge is no arc.
func (e Edge) Straight() bool { return e.Bulge == 0 }

// Chord is the straight distance between the ends.
func (e Edge) Chord() float64 { return e.From.Dist(e.To) }

// Sweep is the signed included angle of an arc, 4·atan(Bulge): positive
// counter-clockwise, 0 for a straight edge.
func (e Edge) Sweep() float64 { return float64(4 * elementary.Atan(e.Bulge)) }

// Radius of the arc, always positive; +Inf for a straight edge.
func (e Edge) Radius() float64 {
	if e.Bulge == 0 {
		return math.Inf(1)
	}
	return e.Chord() * (1 + float64(e.Bulge*e.Bulge)) / (4 * math.Abs(e.Bulge))
}

// bow is how far an arc of up to half a turn leaves its chord.
func (e Edge) bow() float64 { return float64(math.Abs(e.Bulge) * e.Chord() / 2) }

// Center of the arc. For a straight edge it is the chord's middle, which has no
// meaning: ask Straight first.
func (e Edge) Center() Point {
	m := e.From.Lerp(e.To, 0.5)
	if e.Bulge == 0 {
		return m
	}
	k := (1 - float64(e.Bulge*e.Bulge)) / (4 * e.Bulge)
	n := e.To.Sub(e.From).Perp()
	return Point{m.X + float64(n.X*k), m.Y + float64(n.Y*k)}
}

// Len is the length along the edge.
func (e Edge) Len() float64 {
	c := e.Chord()
	b := math.Abs(e.Bulge)
	if b == 0 {
		return c
	}
	// c·(1+b²)·atan(b)/b
	return float64(c * (1 + float64(b*b)) * (elementary.Atan(b) / b))
}

// Mid is the point halfway along the edge.
func (e Edge) Mid() Point {
	m := e.From.Lerp(e.To, 0.5)
	if e.Bulge == 0 {
		return m
	}
	n := e.To.Sub(e.From).Perp()
	k := -e.Bulge / 2
	return Point{m.X + float64(n.X*k), m.Y + float64(n.Y*k)}
}

// PointAt is the point at the fraction t ∈ [0, 1] of the edge's length.
func (e Edge) PointAt(t float64) Point {
	switch {
	case t <= 0:
		return e.From
	case t >= 1:
		return e.To
	case e.Bulge == 0:
		return e.From.Lerp(e.To, t)
	}
	// The ray from From to a point at angle t·sweep turns by half of what is left.
	// From + (To−From)·(sin(tS/2)/sin(S/2))·rotation by −(1−t)·S/2
	half := e.Sweep() / 2
	k := elementary.Sin(t*half) / elementary.Sin(half)
	s, c := elementary.Sincos(-(1 - t) * half)
	d := e.To.Sub(e.From)
	r := Point{float64(c*d.X) - float64(s*d.Y), float64(s*d.X) + float64(c*d.Y)}
	return Point{e.From.X + float64(k*r.X), e.From.Y + float64(k*r.Y)}
}

// StartTangent is the unit direction of travel at From.
func (e Edge) StartTangent() Point { return e.chordTurned(-1) }

// EndTangent is the unit direction of travel at To.
func (e Edge) EndTangent() Point { return e.chordTurned(1) }

// chordTurned is the chord's direction turned by sign·sweep/2: with b = tan of a
// quarter of the sweep, cos = (1−b²)/(1+b²) and sin = 2b/(1+b²).
func (e Edge) chordTurned(sign float64) Point {
	d := e.To.Sub(e.From).Unit()
	if e.Bulge == 0 {
		return d
	}
	b2 := float64(e.Bulge * e.Bulge)
	c, s := (1-b2)/(1+b2), sign*2*e.Bulge/(1+b2)
	return Point{float64(c*d.X) - float64(s*d.Y), float64(s*d.X) + float64(c*d.Y)}
}

// Split cuts the edge at the fraction t of its length.
func (e Edge) Split(t float64) (Edge, Edge) {
	p := e.PointAt(t)
	if e.Bulge == 0 {
		return Edge{From: e.From, To: p}, Edge{From: p, To: e.To}
	}
	q := elementary.Atan(e.Bulge)
	return Edge{e.From, p, elementary.Tan(t * q)}, Edge{p, e.To, elementary.Tan((1 - t) * q)}
}

// SplitAt cuts the edge at a place on it.
func (e Edge) SplitAt(p Point) (Edge, Edge) {
	a, b := Edge{From: e.From, To: p}, Edge{From: p, To: e.To}
	if e.Bulge == 0 {
		return a, b
	}
	q := elementary.Atan(e.Bulge)
	c := e.Center()
	u, v := e.From.Sub(c), p.Sub(c)
	t := math.Abs(elementary.Atan2(u.Cross(v), u.Dot(v))) / (4 * math.Abs(q))
	a.Bulge, b.Bulge = elementary.Tan(t*q), elementary.Tan((1-t)*q)
	return a, b
}

// Meets are the distances from p, along the unit vector dir, at which the edge meets the
// line p + t·dir; its ends count within Tol, and a place may come twice.
func (e Edge) Meets(p, dir Point) []float64 { return edgeMeets(nil, e, p, dir) }

// Reversed runs the edge backwards.
func (e Edge) Reversed() Edge { return Edge{e.To, e.From, -e.Bulge} }

// Bounds is the smallest box around the edge, an arc's bulging side included.
func (e Edge) Bounds() Box {
	b := Box{e.From, e.From}.With(e.To)
	if e.Bulge == 0 {
		return b
	}
	c, r := e.Center(), e.Radius()
	for _, p := range [4]Point{{c.X + r, c.Y}, {c.X, c.Y + r}, {c.X - r, c.Y}, {c.X, c.Y - r}} {
		// An extreme of the circle counts when it lies on the arc's side of the chord.
		if side := e.To.Sub(e.From).Cross(p.Sub(e.From)); (side < 0) == (e.Bulge > 0) && side != 0 {
			b = b.With(p)
		}
	}
	return b
}

// segmentArea is the signed area between chord and arc, positive for bulge > 0:
// r²/2·(θ − sin θ), and by its series where that would cancel.
func (e Edge) segmentArea() float64 {
	b := e.Bulge
	if b == 0 {
		return 0
	}
	d := e.To.Sub(e.From)
	c2, b2 := d.Dot(d), float64(b*b)
	// θ − sin θ over 4b: Σ (−1)^(k+1)·((2k+1) − 1/(2k+1))·b^(2k)
	var excess float64
	if math.Abs(b) < 0.1 {
		pow, sign := b2, 1.0
		for k := 3.0; k <= 19; k += 2 {
			excess += float64(sign * pow * (k - 1/k))
			pow, sign = float64(pow*b2), -sign
		}
	} else {
		excess = elementary.Atan(b)/b - (1-b2)/float64((1+b2)*(1+b2))
	}
	return float64(c2 * float64((1+b2)*(1+b2)) / (8 * b) * excess)
}
