package drawing

import (
	"sort"

	"perch/parts/solid"
)

// touching is the distance, mm, within which a point lies on a plane.
const touching = 1e-3

// piece is a facet, or what cutting left of it.
type piece struct {
	facet *Facet
	loops [][]solid.Vec // the outer loop, then holes; filled by parity
	drawn [][]bool      // edges to draw, by the vertex they start at
	d     float64       // the facet's plane is Normal·p = d
	area  float64
}

func newPiece(f *Facet) piece {
	p := piece{facet: f, loops: append([][]solid.Vec{f.Outer}, f.Holes...), d: f.Normal.Dot(f.Outer[0])}
	for k, l := range p.loops {
		drawn := make([]bool, len(l))
		for i := range drawn {
			drawn[i] = !f.Thin && (k > 0 || f.Soft == nil || !f.Soft[i])
		}
		p.drawn = append(p.drawn, drawn)
	}
	var sum solid.Vec
	for i := 1; i+1 < len(f.Outer); i++ {
		sum = sum.Add(f.Outer[i].Sub(f.Outer[0]).Cross(f.Outer[i+1].Sub(f.Outer[0])))
	}
	p.area = sum.Len() / 2
	return p
}

// where tells on which sides of the plane n·q = d the piece has points.
func (p *piece) where(n solid.Vec, d float64) (above, below bool) {
	for _, q := range p.loops[0] {
		h := n.Dot(q) - d
		above = above || h > touching
		below = below || h < -touching
	}
	return above, below
}

// cut splits the piece by a plane. Each loop is clipped to either side by itself;
// filled by parity, the clipped loops are the clipped piece.
func (p *piece) cut(n solid.Vec, d float64) (above, below piece) {
	above, below = *p, *p
	above.loops, above.drawn = clip(p.loops, p.drawn, n, d)
	below.loops, below.drawn = clip(p.loops, p.drawn, n.Neg(), -d)
	above.area, below.area = p.area/2, p.area/2 // a guess is good enough to choose by
	return above, below
}

func clip(loops [][]solid.Vec, drawn [][]bool, n solid.Vec, d float64) (out [][]solid.Vec, outDrawn [][]bool) {
	for k, l := range loops {
		var pts []solid.Vec
		var keep []bool
		for i, a := range l {
			b := l[(i+1)%len(l)]
			ha, hb := n.Dot(a)-d, n.Dot(b)-d
			if ha >= 0 {
				pts, keep = append(pts, a), append(keep, drawn[k][i])
			}
			if (ha >= 0) != (hb >= 0) {
				// Leaving, the next edge runs along the cut and is not drawn.
				pts = append(pts, a.Add(b.Sub(a).Scale(ha/(ha-hb))))
				keep = append(keep, hb >= 0 && drawn[k][i])
			}
		}
		if len(pts) > 2 {
			out, outDrawn = append(out, pts), append(outDrawn, keep)
		}
	}
	return out, outDrawn
}

// sorter orders pieces from back to front by binary partition of space.
type sorter struct {
	eye   solid.Vec
	out   []piece
	spare int // cuts still allowed
}

// Work is bounded: after cutsPerPiece cuts a facet on average the rest is put
// whole on the side where its first point lies.
const (
	cutsPerPiece = 8
	candidates   = 5 // planes weighed at each step
)

// backToFront returns what the eye sees the front of, the farthest first.
func backToFront(facets []Facet, eye solid.Vec) []piece {
	var pieces []piece
	for i := range facets {
		f := &facets[i]
		if len(f.Outer) < 3 {
			continue
		}
		p := newPiece(f)
		if f.Normal.Dot(eye)-p.d > touching {
			pieces = append(pieces, p)
		}
	}
	sort.SliceStable(pieces, func(i, j int) bool { return pieces[i].area > pieces[j].area })
	s := &sorter{eye: eye, spare: cutsPerPiece * (len(pieces) + 10)}
	s.sort(pieces)
	return s.out
}

func (s *sorter) sort(pieces []piece) {
	for len(pieces) > 1 {
		at := s.choose(pieces)
		n, d := pieces[at].facet.Normal, pieces[at].d
		above, on, below := s.part(pieces, at, n, d)
		// The eye is above every piece's plane, as only fronts are kept.
		s.sort(below)
		s.out = append(s.out, on...)
		pieces = above
	}
	s.out = append(s.out, pieces...)
}

// choose weighs the first few pieces, which are large, by the cuts they make and
// by how evenly they share.
func (s *sorter) choose(pieces []piece) int {
	best, bestCost := 0, int(^uint(0)>>1)
	for k := range min(candidates, len(pieces)) {
		i := k * k * (len(pieces) - 1) / ((candidates - 1) * (candidates - 1))
		n, d := pieces[i].facet.Normal, pieces[i].d
		var cuts, ups, downs int
		for j := range pieces {
			above, below := pieces[j].where(n, d)
			switch {
			case above && below:
				cuts++
			case above:
				ups++
			case below:
				downs++
			}
		}
		if cost := 8*cuts + max(ups, downs) - min(ups, downs); cost < bestCost {
			best, bestCost = i, cost
		}
	}
	return best
}

// part deals the pieces out to the sides of the plane that piece at lies in. That
// piece itself lies on it whatever its points say: a sliver's may be off its own plane.
func (s *sorter) part(pieces []piece, at int, n solid.Vec, d float64) (above, on, below []piece) {
	for i := range pieces {
		p := &pieces[i]
		up, down := p.where(n, d)
		switch {
		case i == at:
			on = append(on, *p)
		case up && down && s.spare > 0:
			s.spare--
			a, b := p.cut(n, d)
			if len(a.loops) > 0 {
				above = append(above, a)
			}
			if len(b.loops) > 0 {
				below = append(below, b)
			}
		case up && down:
			if n.Dot(p.loops[0][0]) >= d {
				above = append(above, *p)
			} else {
				below = append(below, *p)
			}
		case up:
			above = append(above, *p)
		case down:
			below = append(below, *p)
		default:
			on = append(on, *p)
		}
	}
	return above, on, below
}
