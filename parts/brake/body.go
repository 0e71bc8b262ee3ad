package brake

import (
	"math"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
)

// body is a convex piece of metal where it lies at rest: the held tangent at x = 0, y along
// the machine, z up from the held sheet's lower face.
type body struct {
	drawn, back []solid.Vec   // corners on the drawn side and behind them
	inner       []solid.Vec   // the corners of the body that is inset smaller all round
	hull        []plane.Point // seen along the machine
	lo, hi      float64       // along the machine
	near, far   float64       // from the bend's axis, bounds
	front, rear float64       // most and least to the machine's back
}

func newBody(drawn, back, inner []solid.Vec, axis plane.Point) body {
	b := body{drawn: drawn, back: back, inner: inner, lo: math.Inf(1), hi: math.Inf(-1), front: math.Inf(-1), rear: math.Inf(1)}
	pts := make([]plane.Point, 0, 2*len(drawn))
	for _, side := range [2][]solid.Vec{drawn, back} {
		for _, v := range side {
			pts = append(pts, plane.Point{X: v.X, Y: v.Z})
			b.lo, b.hi = min(b.lo, v.Y), max(b.hi, v.Y)
			b.rear, b.front = min(b.rear, v.X), max(b.front, v.X)
		}
	}
	b.hull = plane.Hull(pts)
	b.near = distanceTo(b.hull, axis)
	for _, p := range b.hull {
		b.far = max(b.far, p.Dist(axis))
	}
	return b
}

// distanceTo is how far a point lies from a convex polygon; 0 inside.
func distanceTo(poly []plane.Point, p plane.Point) float64 {
	d, inside := math.Inf(1), true
	for i, a := range poly {
		e := plane.Edge{From: a, To: poly[(i+1)%len(poly)]}
		d = min(d, e.Nearest(p).Dist(p))
		inside = inside && e.To.Sub(a).Cross(p.Sub(a)) >= 0
	}
	if inside {
		return 0
	}
	return d
}

// flatBodies are the pieces of an element that lies flat in a frame.
func flatBodies(e *element, frame solid.Frame, t float64, axis plane.Point) []body {
	n := frame.Normal()
	thin := min(inset, t/4)
	out := make([]body, 0, len(e.pieces))
	for _, p := range e.pieces {
		drawn, back := make([]solid.Vec, len(p.outline)), make([]solid.Vec, len(p.outline))
		for i, q := range p.outline {
			drawn[i] = frame.At(q)
			back[i] = shift(drawn[i], -t, n)
		}
		inner := make([]solid.Vec, 0, 2*len(p.inner))
		for _, q := range p.inner {
			v := frame.At(q)
			inner = append(inner, shift(v, -thin, n), shift(v, thin-t, n))
		}
		out = append(out, newBody(drawn, back, inner, axis))
	}
	return out
}

// bentBodies are the pieces of a strip that is bent by an angle, seen from the frame of the
// face that it leaves: bands between lines along the fold, each flat.
func bentBodies(e *element, m *turning, f *panel.FlatFold, v plane.Point, angle, t float64, down bool, axis plane.Point) []body {
	bands := max(1, int(math.Ceil(angle/bandAngle-1e-9)))
	u := plane.Point{X: -v.Y, Y: v.X}
	ba := f.Bend.Allowance()
	sign := 1.0 // of the drawn side along the bend's inside
	if down {
		sign = -1
	}
	thin := min(inset, t/4)
	var out []body
	for k := range bands {
		from, to := float64(ba*float64(k)/float64(bands)), float64(ba*float64(k+1)/float64(bands))
		place := func(p plane.Point, depth float64) solid.Vec {
			d := v.Dot(p.Sub(m.at))
			a := 0.0
			if ba > 0 {
				a = float64(angle * min(max(d/ba, 0), 1))
			}
			at := m.point(float64(a*m.per), float64(sign*-depth), a)
			return shift(at, u.Dot(p.Sub(m.at)), m.line)
		}
		for _, p := range e.pieces {
			band := clip(clip(p.outline, v, v.Dot(m.at)+to), v.Neg(), -(v.Dot(m.at) + from))
			if len(band) < 3 {
				continue
			}
			drawn, back := make([]solid.Vec, len(band)), make([]solid.Vec, len(band))
			for i, q := range band {
				drawn[i], back[i] = place(q, 0), place(q, t)
			}
			var inner []solid.Vec
			for _, q := range insetPolygon(band, min(inset, (to-from)/4)) {
				inner = append(inner, place(q, thin), place(q, t-thin))
			}
			out = append(out, newBody(drawn, back, inner, axis))
		}
	}
	return out
}

// carver cuts bodies by sections, in room that it keeps.
type carver struct {
	drawn, back []solid.Vec
	a, b        []solid.Vec
}

// yRange is where a body, moved in its section, lies within a tool's section: along the
// machine. ok is false where it does not.
func (k *carver) yRange(b *body, m rigid, s *section) (lo, hi float64, ok bool) {
	k.drawn, k.back = movedCorners(k.drawn[:0], b.drawn, m), movedCorners(k.back[:0], b.back, m)
	lo, hi = math.Inf(1), math.Inf(-1)
	take := func() {
		for i, n := range s.normal {
			k.clip(n, s.reach[i])
			if len(k.a) == 0 {
				return
			}
		}
		for _, v := range k.a {
			lo, hi = min(lo, v.Y), max(hi, v.Y)
		}
	}
	k.a = append(k.a[:0], k.drawn...)
	take()
	k.a = append(k.a[:0], k.back...)
	take()
	for i := range k.drawn {
		j := (i + 1) % len(k.drawn)
		k.a = append(k.a[:0], k.drawn[i], k.drawn[j], k.back[j], k.back[i])
		take()
	}
	return lo, hi, lo <= hi
}

func movedCorners(to, from []solid.Vec, m rigid) []solid.Vec {
	for _, v := range from {
		q := m.apply(plane.Point{X: v.X, Y: v.Z})
		to = append(to, solid.Vec{X: q.X, Y: v.Y, Z: q.Y})
	}
	return to
}

// clip leaves of the polygon a what lies where n·(x, z) ≤ d.
func (k *carver) clip(n plane.Point, d float64) {
	at := func(v solid.Vec) float64 { return float64(n.X*v.X) + float64(n.Y*v.Z) - d }
	out := k.b[:0]
	for i, p := range k.a {
		q := k.a[(i+1)%len(k.a)]
		x, y := at(p), at(q)
		if x <= 0 {
			out = append(out, p)
		}
		if x < 0 && y > 0 || x > 0 && y < 0 {
			out = append(out, shift(p, x/(x-y), combine(1, q, -1, p)))
		}
	}
	k.a, k.b = out, k.a
}
