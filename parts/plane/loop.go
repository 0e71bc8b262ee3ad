package plane

import (
	"iter"
	"math"
)

// Box is an axis-parallel rectangle. An empty one has Min above Max.
type Box struct{ Min, Max Point }

// EmptyBox holds no point; With and Union grow it.
func EmptyBox() Box {
	inf := math.Inf(1)
	return Box{Point{inf, inf}, Point{-inf, -inf}}
}

// Empty tells whether the box holds no point.
func (b Box) Empty() bool { return !(b.Min.X <= b.Max.X && b.Min.Y <= b.Max.Y) }

// With is the smallest box around b and p.
func (b Box) With(p Point) Box {
	if p.X < b.Min.X {
		b.Min.X = p.X
	}
	if p.Y < b.Min.Y {
		b.Min.Y = p.Y
	}
	if p.X > b.Max.X {
		b.Max.X = p.X
	}
	if p.Y > b.Max.Y {
		b.Max.Y = p.Y
	}
	return b
}

// Union is the smallest box around both.
func (b Box) Union(c Box) Box {
	if c.Empty() {
		return b
	}
	return b.With(c.Min).With(c.Max)
}

// Grow moves every side out by d.
func (b Box) Grow(d float64) Box {
	return Box{Point{b.Min.X - float64(d), b.Min.Y - float64(d)}, Point{b.Max.X + float64(d), b.Max.Y + float64(d)}}
}

// Overlaps tells whether the closed boxes share a point.
func (b Box) Overlaps(c Box) bool {
	return b.Min.X <= c.Max.X && c.Min.X <= b.Max.X && b.Min.Y <= c.Max.Y && c.Min.Y <= b.Max.Y
}

// Holds tells whether p lies in the closed box.
func (b Box) Holds(p Point) bool {
	return b.Min.X <= p.X && p.X <= b.Max.X && b.Min.Y <= p.Y && p.Y <= b.Max.Y
}

// Size is the box's width and height; zero when empty.
func (b Box) Size() Point {
	if b.Empty() {
		return Point{}
	}
	return b.Max.Sub(b.Min)
}

// Center of the box.
func (b Box) Center() Point { return b.Min.Lerp(b.Max, 0.5) }

// Edge is the edge that starts at vertex i; i may run over the end, or below 0.
func (l Loop) Edge(i int) Edge {
	n := len(l)
	if uint(i) >= uint(n) {
		i = ((i % n) + n) % n
	}
	j := i + 1
	if j == n {
		j = 0
	}
	return Edge{l[i].P, l[j].P, l[i].Bulge}
}

// Edges yields every edge with its index.
func (l Loop) Edges() iter.Seq2[int, Edge] {
	return func(yield func(int, Edge) bool) {
		for i := range l {
			if !yield(i, l.Edge(i)) {
				return
			}
		}
	}
}

// Area is exact with arc segments, in mm²; negative for a clockwise loop.
func (l Loop) Area() float64 {
	if len(l) < 2 {
		return 0
	}
	o := l[0].P // sums about a vertex lose nothing when the loop is far from the origin
	var twice, arcs float64
	for i := range l {
		e := l.Edge(i)
		twice += e.From.Sub(o).Cross(e.To.Sub(o))
		arcs += e.segmentArea()
	}
	return float64(twice/2) + arcs
}

// Length is the perimeter in mm.
func (l Loop) Length() float64 {
	var s float64
	for i := range l {
		s += l.Edge(i).Len()
	}
	return s
}

// Bounds is the smallest box, the arcs' extremes included.
func (l Loop) Bounds() Box {
	b := EmptyBox()
	for i := range l {
		b = b.Union(l.Edge(i).Bounds())
	}
	return b
}

// Clone is a copy that shares nothing.
func (l Loop) Clone() Loop { return append(Loop(nil), l...) }

// Reversed is the same outline the other way round, starting at the same vertex.
func (l Loop) Reversed() Loop {
	n := len(l)
	out := make(Loop, n)
	for i := range l {
		j := (n - i) % n
		out[i] = Vertex{l[j].P, -l[(j-1+n)%n].Bulge}
	}
	return out
}

// reverse runs the loop backwards in place; bulges keep their value with their
// edge, for the caller that deals with their sign.
func (l Loop) reverse() {
	n := len(l)
	for i, j := 1, n-1; i < j; i, j = i+1, j-1 {
		l[i].P, l[j].P = l[j].P, l[i].P
	}
	for i, j := 0, n-1; i < j; i, j = i+1, j-1 {
		l[i].Bulge, l[j].Bulge = l[j].Bulge, l[i].Bulge
	}
}

// Centroid of the area inside. A loop without area answers with its first vertex.
func (l Loop) Centroid() Point {
	if len(l) == 0 {
		return Point{}
	}
	m, a := l.moment()
	if a == 0 {
		return l[0].P
	}
	return Point{l[0].P.X + m.X/a, l[0].P.Y + m.Y/a}
}

// moment is the first moment of area about the first vertex, and the area.
func (l Loop) moment() (m Point, area float64) {
	o := l[0].P
	for i := range l {
		e := l.Edge(i)
		p, q := e.From.Sub(o), e.To.Sub(o)
		t := float64(p.Cross(q) / 2)
		m = m.Add(p.Add(q).Scale(t / 3))
		area += t
		if e.Bulge == 0 {
			continue
		}
		// A circular segment's centroid lies chord³/(12·area) from the centre, on the
		// axis of the chord; signs of offset and area cancel.
		s, c := e.segmentArea(), e.Chord()
		if s == 0 {
			continue
		}
		axis := e.To.Sub(e.From).Unit().Perp().Neg()
		first := c * c * c / 12
		if e.Bulge < 0 {
			axis = axis.Neg()
		}
		ctr := e.Center().Sub(o)
		sign := 1.0
		if s < 0 {
			sign = -1
		}
		m = m.Add(ctr.Scale(s)).Add(axis.Scale(sign * first))
		area += s
	}
	return m, area
}

// Area is the sum over the loops: outers less holes, in mm².
func (r Region) Area() float64 {
	var s float64
	for _, l := range r {
		s += l.Area()
	}
	return s
}

// Length is the length of all edges, in mm.
func (r Region) Length() float64 {
	var s float64
	for _, l := range r {
		s += l.Length()
	}
	return s
}

// Bounds is the smallest box around all loops.
func (r Region) Bounds() Box {
	b := EmptyBox()
	for _, l := range r {
		b = b.Union(l.Bounds())
	}
	return b
}

// Centroid of the region's area; the zero Point for an empty region.
func (r Region) Centroid() Point {
	var m Point
	var area float64
	for _, l := range r {
		if len(l) == 0 {
			continue
		}
		lm, a := l.moment()
		m = m.Add(lm).Add(l[0].P.Scale(a))
		area += a
	}
	if area == 0 {
		return Point{}
	}
	return Point{m.X / area, m.Y / area}
}

// Clone is a copy that shares nothing.
func (r Region) Clone() Region {
	out := make(Region, len(r))
	for i, l := range r {
		out[i] = l.Clone()
	}
	return out
}
