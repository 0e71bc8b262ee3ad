package plane

import (
	"math"
	"slices"
)

// Interval is a stretch of a line, From ≤ To in the line's parameter, mm.
type Interval struct{ From, To float64 }

// Len of the interval.
func (i Interval) Len() float64 { return i.To - i.From }

// ChordsAt are the stretches of the level line y inside r, sorted, in x.
func ChordsAt(r Region, y float64) []Interval { return Chords(r, Point{0, y}, Point{1, 0}) }

// Chords are the stretches of the line p + t·dir inside r, sorted, t in mm (dir is
// taken as a unit vector). A stretch along an edge counts as inside; a point
// that the line only touches does not count.
func Chords(r Region, p, dir Point) []Interval {
	dir = dir.Unit()
	if dir == (Point{}) || !p.Finite() {
		return nil
	}
	var few [16]float64
	ts := few[:0]
	for _, l := range r {
		if !finite(l) {
			continue
		}
		for i := range l {
			ts = edgeMeets(ts, l.Edge(i), p, dir)
		}
	}
	slices.Sort(ts)
	var out []Interval
	for i := 1; i < len(ts); i++ {
		a, b := ts[i-1], ts[i]
		if b-a <= Tol || r.outside(p.Add(dir.Scale((a+b)/2))) {
			continue
		}
		if n := len(out); n > 0 && a-out[n-1].To <= Tol {
			out[n-1].To = b
			continue
		}
		out = append(out, Interval{a, b})
	}
	return out
}

// outside is Locate's Outside, sooner told where the point is inside.
func (r Region) outside(p Point) bool {
	var w int32
	for _, l := range r {
		for i := range l {
			w += l.Edge(i).winding(p)
		}
	}
	return w <= 0 && r.Locate(p) == Outside
}

// Reach is how far r reaches across a direction: the least and the greatest of dir × v over
// all its points v, arcs taken with room to spare. A line p + t·dir farther out than that,
// by dir × p, meets no edge.
func (r Region) Reach(dir Point) Interval {
	lo, hi, long := math.Inf(1), math.Inf(-1), dir.Len()
	for _, l := range r {
		for i := range l {
			d := dir.Cross(l[i].P)
			lo, hi = min(lo, d), max(hi, d)
			if l[i].Bulge != 0 {
				e := l.Edge(i)
				w, bow := dir.Cross(e.To), float64(e.bow()*long)
				lo, hi = min(lo, d-bow, w-bow), max(hi, d+bow, w+bow)
			}
		}
	}
	return Interval{lo, hi}
}

// edgeMeets appends the parameters where an edge meets the line, ends within Tol of it included.
func edgeMeets(ts []float64, e Edge, p, dir Point) []float64 {
	a, b := dir.Cross(e.From.Sub(p)), dir.Cross(e.To.Sub(p))
	if math.Abs(a) <= Tol {
		ts = append(ts, dir.Dot(e.From.Sub(p)))
	}
	if math.Abs(b) <= Tol {
		ts = append(ts, dir.Dot(e.To.Sub(p)))
	}
	if (a > Tol && b > Tol) || (a < -Tol && b < -Tol) { // both ends on one side, farther than the arc bows
		if e.Bulge == 0 || min(math.Abs(a), math.Abs(b)) > float64(math.Abs(e.Bulge)*e.Chord()/2)+Tol {
			return ts
		}
	}
	var s seg
	s.set(e)
	if s.bulge == 0 {
		if math.Abs(a) > Tol && math.Abs(b) > Tol && (a < 0) != (b < 0) {
			ts = append(ts, dir.Dot(e.From.Lerp(e.To, a/(a-b)).Sub(p)))
		}
		return ts
	}
	off, t := dir.Cross(s.c.Sub(p)), dir.Dot(s.c.Sub(p))
	if math.Abs(off) >= s.r {
		return ts
	}
	w := math.Sqrt((s.r - off) * (s.r + off))
	for _, k := range [2]float64{t - w, t + w} {
		if s.spans(p.Add(dir.Scale(k))) {
			ts = append(ts, k)
		}
	}
	return ts
}

// Chord is the stretch of the line p + t·dir inside the box, t in mm where dir is a unit
// vector; ok is false where the line misses the box.
func (b Box) Chord(p, dir Point) (i Interval, ok bool) {
	lo, hi := math.Inf(-1), math.Inf(1)
	for _, k := range [2][4]float64{{p.X, dir.X, b.Min.X, b.Max.X}, {p.Y, dir.Y, b.Min.Y, b.Max.Y}} {
		at, along := k[0], k[1]
		if along == 0 {
			if at < k[2] || at > k[3] {
				return Interval{}, false
			}
			continue
		}
		s, t := (k[2]-at)/along, (k[3]-at)/along
		if s > t {
			s, t = t, s
		}
		lo, hi = max(lo, s), min(hi, t)
	}
	return Interval{lo, hi}, lo <= hi
}
