package plane

import (
	"math"
	"slices"
)

// DeepChords are the stretches of the line p + t·dir inside r whose points all lie at
// least depth mm from r's edges, sorted, in mm of the unit vector dir: Chords of the
// region shrunk by depth, without shrinking it.
func DeepChords(r Region, p, dir Point, depth float64) []Interval {
	dir = dir.Unit()
	if dir == (Point{}) || !p.Finite() {
		return nil
	}
	var few [16]Interval
	near := few[:0]
	for _, l := range r {
		if !finite(l) {
			continue
		}
		for i := range l {
			near = l.Edge(i).within(near, p, dir, depth)
		}
	}
	slices.SortFunc(near, func(a, b Interval) int {
		if a.From != b.From {
			if a.From < b.From {
				return -1
			}
			return 1
		}
		return 0
	})
	var out []Interval
	for _, c := range Chords(r, p, dir) {
		from := c.From
		for _, n := range near {
			if n.From >= c.To {
				break
			}
			if n.From > from {
				out = append(out, Interval{from, n.From})
			}
			from = max(from, n.To)
		}
		if from < c.To {
			out = append(out, Interval{from, c.To})
		}
	}
	return out
}

// within appends the stretches of the line whose points lie nearer than d to the edge.
func (e Edge) within(out []Interval, p, dir Point, d float64) []Interval {
	for _, end := range [2]Point{e.From, e.To} {
		if i, ok := discChord(p, dir, end, d); ok {
			out = append(out, i)
		}
	}
	if e.Bulge == 0 || math.Abs(e.Bulge)*e.Chord() < Tol {
		u := e.To.Sub(e.From).Unit()
		beside := Interval{math.Inf(-1), math.Inf(1)}
		if beside.above(u.Dot(p.Sub(e.From)), u.Dot(dir)) && beside.above(u.Dot(e.To.Sub(p)), -u.Dot(dir)) &&
			beside.above(d+u.Cross(p.Sub(e.From)), u.Cross(dir)) && beside.above(d-u.Cross(p.Sub(e.From)), -u.Cross(dir)) {
			out = append(out, beside)
		}
		return out
	}
	// Beside the arc: between two circles about its centre, and between the rays from
	// there to its ends, which are no more than half a turn apart.
	c, r := e.Center(), e.Radius()
	from, to := e.From.Sub(c), e.To.Sub(c)
	if e.Bulge < 0 {
		from, to = to, from
	}
	sector := Interval{math.Inf(-1), math.Inf(1)}
	if !sector.above(from.Cross(p.Sub(c)), from.Cross(dir)) || !sector.above(-to.Cross(p.Sub(c)), -to.Cross(dir)) {
		return out
	}
	outer, ok := discChord(p, dir, c, r+d)
	if !ok {
		return out
	}
	outer = Interval{max(outer.From, sector.From), min(outer.To, sector.To)}
	inner, holed := discChord(p, dir, c, r-d)
	if !holed {
		inner = Interval{math.Inf(1), math.Inf(1)}
	}
	for _, i := range [2]Interval{{outer.From, min(outer.To, inner.From)}, {max(outer.From, inner.To), outer.To}} {
		if i.From < i.To {
			out = append(out, i)
		}
		if !holed {
			break
		}
	}
	return out
}

// above keeps the t at which a + b·t > 0; false when none is left.
func (i *Interval) above(a, b float64) bool {
	switch {
	case b > 0:
		i.From = max(i.From, -a/b)
	case b < 0:
		i.To = min(i.To, -a/b)
	case a <= 0:
		return false
	}
	return i.From < i.To
}

// discChord is the stretch of the line inside the disc of radius r about c.
func discChord(p, dir, c Point, r float64) (Interval, bool) {
	h, t := dir.Cross(c.Sub(p)), dir.Dot(c.Sub(p))
	if !(r > 0) || math.Abs(h) >= r {
		return Interval{}, false
	}
	w := math.Sqrt((r - h) * (r + h))
	return Interval{t - w, t + w}, true
}
