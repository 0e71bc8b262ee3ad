package nest

import (
	"math"
	"slices"

	"perch/parts/plane"
)

// nofit is the set of places p where a shape B moved by p overlaps a shape A that
// stays: the union of the Minkowski sums of A's convex parts with those of −B. It
// is kept as the pieces, their union's boundary, and a grid that answers how deep a
// place lies inside, which is the least way to move B to get it off A.
type nofit struct {
	box    plane.Box // around the pieces
	pieces []convex
	segs   []segment // the union's boundary, inside on the left

	// The grid: cell (i, j) starts at (x0+i·h, y0+j·h).
	x0, y0, h, inv float64
	nx, ny         int
	kind           []uint8   // by cell
	node           []float32 // depth at the cells' corners, (nx+1)·(ny+1), 0 outside
	start          []int32   // by cell: where its segs and pieces start in list
	mid            []int32   // by cell: where its pieces start
	list           []int32
}

const (
	cellOutside = iota
	cellInside
	cellEdge
)

// gridCells is the number of cells along the longer side; a search with more than
// fewOutlines different outlines has fewGridCells, for the room and time they take.
const (
	gridCells    = 48
	fewGridCells = 20
	fewOutlines  = 24
)

// convex is a convex polygon with its box.
type convex struct {
	p   []point
	box plane.Box
	dir []point // of the edges, unit vectors
}

// segment is a stretch of boundary from (ax, ay) along the unit vector (dx, dy).
type segment struct{ ax, ay, dx, dy, len float64 }

// newNofit takes the convex parts of A and B; margin is how far outside depths are
// told, cells the number along the longer side.
func newNofit(a, b [][]point, margin float64, cells int) *nofit {
	f := &nofit{box: plane.EmptyBox()}
	for _, p := range a {
		for _, q := range b {
			c := convex{p: minkowski(p, q)}
			c.box = plane.EmptyBox()
			for _, v := range c.p {
				c.box = c.box.With(v)
			}
			for i, v := range c.p {
				c.dir = append(c.dir, c.p[(i+1)%len(c.p)].Sub(v).Unit())
			}
			f.box = f.box.Union(c.box)
			f.pieces = append(f.pieces, c)
		}
	}
	f.dropCovered()
	f.trace()
	f.grid(margin, cells)
	return f
}

// minkowski is the sum of the convex polygon p and the point mirror of q.
func minkowski(p, q []point) []point {
	m := make([]point, len(q))
	for i, v := range q {
		m[i] = v.Neg()
	}
	p, m = fromLowest(p), fromLowest(m)
	out := make([]point, 0, len(p)+len(m))
	i, j := 0, 0
	for i < len(p) || j < len(m) {
		v := p[i%len(p)].Add(m[j%len(m)])
		if len(out) == 0 || v != out[len(out)-1] {
			out = append(out, v)
		}
		u := p[(i+1)%len(p)].Sub(p[i%len(p)])
		w := m[(j+1)%len(m)].Sub(m[j%len(m)])
		switch x := u.Cross(w); {
		case j >= len(m) || (i < len(p) && x > 0):
			i++
		case i >= len(p) || x < 0:
			j++
		default:
			i++
			j++
		}
	}
	return out
}

func fromLowest(p []point) []point {
	k := 0
	for i, v := range p {
		if v.Y < p[k].Y || (v.Y == p[k].Y && v.X < p[k].X) {
			k = i
		}
	}
	return append(slices.Clone(p[k:]), p[:k]...)
}

// eps is the width, in units of the coordinates, that counts as none.
func (f *nofit) eps() float64 { return float64(1e-10 * (1 + f.box.Size().Len())) }

// dropCovered leaves out pieces whose vertices all lie in one other piece.
func (f *nofit) dropCovered() {
	e := f.eps()
	gone := make([]bool, len(f.pieces))
	for i := range f.pieces {
		for j := range f.pieces {
			if i == j || gone[j] || !f.pieces[j].box.Grow(e).Holds(f.pieces[i].box.Min) || !f.pieces[j].box.Grow(e).Holds(f.pieces[i].box.Max) {
				continue
			}
			if !slices.ContainsFunc(f.pieces[i].p, func(v point) bool { return f.pieces[j].depth(v) < -e }) {
				gone[i] = true
				break
			}
		}
	}
	kept := f.pieces[:0]
	for i, c := range f.pieces {
		if !gone[i] {
			kept = append(kept, c)
		}
	}
	f.pieces = kept
}

// depth is the least distance from v inwards to the lines of c's edges.
func (c *convex) depth(v point) float64 {
	d := math.Inf(1)
	for i := range c.p {
		a, b := c.p[i], c.p[(i+1)%len(c.p)]
		u := b.Sub(a)
		d = min(d, u.Cross(v.Sub(a))/u.Len())
	}
	return d
}

// trace finds the union's boundary: of each piece's edges the stretches that lie
// inside no other piece. Where pieces only touch, both edges stay: such a place is
// a perfect fit.
func (f *nofit) trace() {
	e := f.eps()
	var hidden [][2]float64
	for i := range f.pieces {
		c := &f.pieces[i]
		for k := range c.p {
			a, b := c.p[k], c.p[(k+1)%len(c.p)]
			box := plane.Box{Min: a, Max: a}.With(b)
			hidden = hidden[:0]
			for j := range f.pieces {
				if j == i || !f.pieces[j].box.Overlaps(box) {
					continue
				}
				if lo, hi, ok := f.pieces[j].covers(a, b, e); ok {
					hidden = append(hidden, [2]float64{lo, hi})
				}
			}
			slices.SortFunc(hidden, func(x, y [2]float64) int {
				switch {
				case x[0] < y[0]:
					return -1
				case x[0] > y[0]:
					return 1
				}
				return 0
			})
			at := 0.0
			for _, h := range hidden {
				f.addSegment(a, b, at, h[0])
				at = max(at, h[1])
			}
			f.addSegment(a, b, at, 1)
		}
	}
	f.dropRepeats(e)
}

// covers is the stretch of a→b, as fractions, that lies inside c by more than e.
func (c *convex) covers(a, b point, e float64) (lo, hi float64, ok bool) {
	lo, hi = 0, 1
	for i := range c.p {
		p, u := c.p[i], c.dir[i]
		da, db := u.Cross(a.Sub(p))-e, u.Cross(b.Sub(p))-e
		switch {
		case da <= 0 && db <= 0:
			return 0, 0, false
		case da < 0:
			lo = max(lo, da/(da-db))
		case db < 0:
			hi = min(hi, da/(da-db))
		}
		if lo >= hi {
			return 0, 0, false
		}
	}
	return lo, hi, true
}

func (f *nofit) addSegment(a, b point, from, to float64) {
	p, q := a.Lerp(b, from), a.Lerp(b, to)
	l := p.Dist(q)
	if from >= to || l < 4*f.eps() {
		return
	}
	u := q.Sub(p).Scale(1 / l)
	f.segs = append(f.segs, segment{p.X, p.Y, u.X, u.Y, l})
}

// dropRepeats leaves out a segment that lies within another of the same direction.
func (f *nofit) dropRepeats(e float64) {
	e = float64(10 * e)
	kept := f.segs[:0]
	for i, s := range f.segs {
		covered := false
		for j, t := range f.segs {
			if i == j || float64(s.dx*t.dx)+float64(s.dy*t.dy) < 0.999999 {
				continue
			}
			x, y := s.ax-t.ax, s.ay-t.ay
			at := float64(x*t.dx) + float64(y*t.dy)
			off := float64(t.dx*y) - float64(t.dy*x)
			end := off + float64(s.len*(float64(t.dx*s.dy)-float64(t.dy*s.dx)))
			if math.Abs(off) < e && math.Abs(end) < e && at > -e && at+s.len < t.len+e && (s.len < t.len-e || j < i) {
				covered = true
				break
			}
		}
		if !covered {
			kept = append(kept, s)
		}
	}
	f.segs = slices.Clone(kept)
}

// near is the distance from (x, y) to s, on which side it lies (negative: on the
// right, outside) and whether an end is nearest.
func (s *segment) near(x, y float64) (d, side float64, end bool) {
	x, y = x-s.ax, y-s.ay
	t := float64(s.dx*x) + float64(s.dy*y)
	side = float64(s.dx*y) - float64(s.dy*x)
	switch {
	case t < 0:
		return math.Sqrt(float64(x*x) + float64(y*y)), side, true
	case t > s.len:
		x, y = x-float64(s.len*s.dx), y-float64(s.len*s.dy)
		return math.Sqrt(float64(x*x) + float64(y*y)), side, true
	}
	return math.Abs(side), side, false
}

// signed is how deep (x, y) lies, negative outside, by the given segs and pieces.
func (f *nofit) signed(x, y float64, segs, pieces []int32) float64 {
	best, inside, atEnd := math.Inf(1), false, false
	for _, k := range segs {
		d, side, end := f.segs[k].near(x, y)
		switch {
		case d < best:
			best, inside, atEnd = d, side > 0, end
		case d == best:
			inside = inside || side > 0
			atEnd = atEnd || end
		}
	}
	if atEnd {
		inside = f.holds(x, y, pieces)
	}
	if inside {
		return best
	}
	return -best
}

func (f *nofit) holds(x, y float64, pieces []int32) bool {
	for _, k := range pieces {
		c := &f.pieces[k]
		if x <= c.box.Min.X || x >= c.box.Max.X || y <= c.box.Min.Y || y >= c.box.Max.Y {
			continue
		}
		in := true
		a := c.p[len(c.p)-1]
		for _, b := range c.p {
			if float64((b.X-a.X)*(y-a.Y))-float64((b.Y-a.Y)*(x-a.X)) <= 0 {
				in = false
				break
			}
			a = b
		}
		if in {
			return true
		}
	}
	return false
}
