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
}

func newBody(drawn, back, inner []solid.Vec, axis plane.Point) body {
	b := body{drawn: drawn, back: back, inner: inner, lo: math.Inf(1), hi: math.Inf(-1)}
	pts := make([]plane.Point, 0, 2*len(drawn))
	for _, side := range [2][]solid.Vec{drawn, back} {
		for _, v := range side {
			pts = append(pts, plane.Point{X: v.X, Y: v.Z})
			b.lo, b.hi = min(b.lo, v.Y), max(b.hi, v.Y)
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

// yRange is where a body, moved in its section, lies within a tool's section: along the
// machine. ok is false where it does not.
func (b *body) yRange(m rigid, s *section) (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	take := func(corners ...solid.Vec) {
		poly := make([]solid.Vec, len(corners))
		for i, v := range corners {
			q := m.apply(plane.Point{X: v.X, Y: v.Z})
			poly[i] = solid.Vec{X: q.X, Y: v.Y, Z: q.Y}
		}
		for i, n := range s.normal {
			if poly = clipSpace(poly, n, s.reach[i]); len(poly) == 0 {
				return
			}
		}
		for _, v := range poly {
			lo, hi = min(lo, v.Y), max(hi, v.Y)
		}
	}
	take(b.drawn...)
	take(b.back...)
	for i := range b.drawn {
		j := (i + 1) % len(b.drawn)
		take(b.drawn[i], b.drawn[j], b.back[j], b.back[i])
	}
	return lo, hi, lo <= hi
}

// clipSpace is what of a polygon in space lies where n·(x, z) ≤ d.
func clipSpace(poly []solid.Vec, n plane.Point, d float64) []solid.Vec {
	out := make([]solid.Vec, 0, len(poly)+1)
	at := func(v solid.Vec) float64 { return float64(n.X*v.X) + float64(n.Y*v.Z) - d }
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		a, b := at(p), at(q)
		if a <= 0 {
			out = append(out, p)
		}
		if a < 0 && b > 0 || a > 0 && b < 0 {
			out = append(out, shift(p, a/(a-b), combine(1, q, -1, p)))
		}
	}
	return out
}
