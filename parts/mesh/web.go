package mesh

import (
	"math"

	"perch/parts/plane"
)

// Kinds of an edge.
const (
	free uint8 = iota
	line
	outline
)

// segment is a piece of a line or an outline between two points of a web.
type segment struct {
	a, b int32
	kind uint8
}

// web are the lines and outlines of a region as pieces that meet at their ends alone.
type web struct {
	points   []plane.Point
	segments []segment
	given    []int32 // the points that the region names
	apart    float64
	box      plane.Box
	places   *plane.Places // of the points
}

// rounds bounds how often lines are cut at what they meet; each round cuts all that it sees.
const rounds = 8

func newWeb(r *Region) (*web, error) {
	w := &web{apart: r.Apart, box: plane.EmptyBox(), places: plane.NewPlaces(nil)}
	// Lines first: what lies too near to be told apart from one comes to lie on it.
	for _, l := range r.Lines {
		if err := w.add(l[0], l[1], line); err != nil {
			return nil, err
		}
	}
	for _, l := range r.Loops {
		if len(l) < 3 {
			return nil, &BadRegionError{"an outline has fewer than three corners"}
		}
		for i, p := range l {
			if err := w.add(p, l[(i+1)%len(l)], outline); err != nil {
				return nil, err
			}
		}
	}
	for _, p := range r.Points {
		if !p.Finite() {
			return nil, &BadRegionError{"a coordinate is no number"}
		}
		w.given = append(w.given, w.point(p))
	}
	if len(w.segments) == 0 {
		return nil, &BadRegionError{"a region has no outline"}
	}
	for range rounds {
		if !w.cut() {
			break
		}
	}
	w.tidy()
	w.divide(r)
	if len(w.points) > r.Most {
		return nil, &TooManyError{r.Most}
	}
	return w, nil
}

func (w *web) add(a, b plane.Point, kind uint8) error {
	if !a.Finite() || !b.Finite() {
		return &BadRegionError{"a coordinate is no number"}
	}
	i, j := w.point(a), w.point(b)
	if i != j {
		w.segments = append(w.segments, segment{i, j, kind})
	}
	return nil
}

// point is the web's point at a place: one that is there already, or a new one.
func (w *web) point(p plane.Point) int32 {
	for _, i := range w.places.Near(plane.Box{Min: p, Max: p}.Grow(w.apart), nil) {
		if p.Dist(w.points[i]) <= w.apart {
			return int32(i)
		}
	}
	w.points = append(w.points, p)
	w.places.Add(plane.Box{Min: p, Max: p})
	w.box = w.box.With(p)
	return int32(len(w.points) - 1)
}

// cut cuts segments at points that lie on them and where they cross each other. It tells
// whether it did.
func (w *web) cut() (did bool) {
	boxes := make([]plane.Box, len(w.segments))
	for i, s := range w.segments {
		boxes[i] = w.boxOf(s)
	}
	segments := plane.NewPlaces(boxes)
	var out []segment
	var near []int
	for i, s := range w.segments {
		at := w.on(s)
		near = segments.Near(boxes[i], near[:0])
		for _, k := range near {
			if k == i {
				continue
			}
			if p, ok := w.crossing(s, w.segments[k]); ok {
				at = append(at, w.point(p))
			}
		}
		out = append(out, w.pieces(s, at)...)
	}
	did = len(out) != len(w.segments)
	w.segments = out
	return did
}

// boxOf is the box of a segment.
func (w *web) boxOf(s segment) plane.Box {
	return plane.EmptyBox().With(w.points[s.a]).With(w.points[s.b])
}

// on are the points that lie on a segment, its ends left out.
func (w *web) on(s segment) (at []int32) {
	a, b := w.points[s.a], w.points[s.b]
	l := a.Dist(b)
	d := b.Sub(a)
	for _, i := range w.places.Near(w.boxOf(s).Grow(w.apart), nil) {
		if int32(i) == s.a || int32(i) == s.b {
			continue
		}
		v := w.points[i].Sub(a)
		t := v.Dot(d) / l
		if t > 0 && t < l && math.Abs(v.Cross(d))/l <= w.apart/2 {
			at = append(at, int32(i))
		}
	}
	return at
}

// crossing is where two segments without a common end cross.
func (w *web) crossing(s, o segment) (p plane.Point, ok bool) {
	if s.a == o.a || s.a == o.b || s.b == o.a || s.b == o.b {
		return p, false
	}
	a, b, c, d := w.points[s.a], w.points[s.b], w.points[o.a], w.points[o.b]
	if math.Max(a.X, b.X) < math.Min(c.X, d.X) || math.Max(c.X, d.X) < math.Min(a.X, b.X) ||
		math.Max(a.Y, b.Y) < math.Min(c.Y, d.Y) || math.Max(c.Y, d.Y) < math.Min(a.Y, b.Y) {
		return p, false
	}
	if plane.Orient(a, b, c)*plane.Orient(a, b, d) >= 0 || plane.Orient(c, d, a)*plane.Orient(c, d, b) >= 0 {
		return p, false
	}
	u, v := b.Sub(a), d.Sub(c)
	return a.Lerp(b, c.Sub(a).Cross(v)/u.Cross(v)), true
}

// pieces are those of a segment between the points on it.
func (w *web) pieces(s segment, at []int32) (out []segment) {
	a := w.points[s.a]
	for i := 1; i < len(at); i++ { // few: by insertion
		for j := i; j > 0 && a.Dist(w.points[at[j]]) < a.Dist(w.points[at[j-1]]); j-- {
			at[j], at[j-1] = at[j-1], at[j]
		}
	}
	from := s.a
	for _, k := range append(at, s.b) {
		if k != from {
			out = append(out, segment{from, k, s.kind})
			from = k
		}
	}
	return out
}

// tidy keeps each segment once. An outline that runs twice along one line bounds nothing
// there: both sides are in, or both out.
func (w *web) tidy() {
	type ends [2]int32
	at := map[ends]int{}
	var out []segment
	var times []int
	for _, s := range w.segments {
		k := ends{min(s.a, s.b), max(s.a, s.b)}
		i, ok := at[k]
		if !ok {
			i = len(out)
			at[k] = i
			out = append(out, segment{s.a, s.b, line})
			times = append(times, 0)
		}
		if s.kind == outline {
			times[i]++
		}
	}
	for i, n := range times {
		if n%2 == 1 {
			out[i].kind = outline
		}
	}
	w.segments = out
}

// divide cuts segments to the size asked for.
func (w *web) divide(r *Region) {
	if r.Size == nil {
		return
	}
	var out []segment
	var halve func(s segment, deep int)
	halve = func(s segment, deep int) {
		a, b := w.points[s.a], w.points[s.b]
		l := a.Dist(b)
		least := math.Min(r.Size(a.Lerp(b, 0.5)), math.Min(r.Size(a), r.Size(b))*1.3)
		n := int(math.Ceil(l/least - 1e-9))
		if n < 2 || deep > 30 || len(w.points) > r.Most {
			out = append(out, s)
			return
		}
		if n > 3 { // the size may differ along it
			w.points = append(w.points, a.Lerp(b, 0.5))
			m := int32(len(w.points) - 1)
			halve(segment{s.a, m, s.kind}, deep+1)
			halve(segment{m, s.b, s.kind}, deep+1)
			return
		}
		from := s.a
		for i := 1; i < n; i++ {
			w.points = append(w.points, a.Lerp(b, float64(i)/float64(n)))
			k := int32(len(w.points) - 1)
			out = append(out, segment{from, k, s.kind})
			from = k
		}
		out = append(out, segment{from, s.b, s.kind})
	}
	for _, s := range w.segments {
		halve(s, 0)
	}
	w.segments = out
}
