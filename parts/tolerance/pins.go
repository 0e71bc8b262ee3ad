package tolerance

import (
	"math"

	"perch/parts/panel"
	"perch/solver/linear"
)

// pins are the holes of a piece that are made in the flat on both sides of a fastener, and
// held on one axis. With k the pins' stiffness and C their gives, what they leave of the
// misfits r0 without them is r = (I + k·C)⁻¹·r0, block by block.
type pins struct {
	g      *ground
	rows   []int
	place  []int // by row: its place among the pinned ones of its block; −1 where it is not pinned
	blocks []pinned
}

// pinned are the pins of one block.
type pinned struct {
	rows  []int
	left  []float64 // (I + k·C)⁻¹
	start []float64 // covariances of the rows without pins, their holes' errors included
}

// pin holds rows, which come in pairs of both ways across; false where that is singular.
func (g *ground) pin(rows []int) (*pins, bool) {
	p := &pins{g: g, rows: rows, place: make([]int, len(g.blockOf)), blocks: make([]pinned, len(g.blocks))}
	for i := range p.place {
		p.place[i] = -1
	}
	for _, i := range rows {
		g.keep(i)
		b := &p.blocks[g.blockOf[i]]
		p.place[i] = len(b.rows)
		b.rows = append(b.rows, i)
	}
	for i := range p.blocks {
		if !p.hold(&p.blocks[i]) {
			return p, false
		}
	}
	return p, true
}

// hold works out what pins leave in one block.
func (p *pins) hold(b *pinned) bool {
	n := len(b.rows)
	if n == 0 {
		return true
	}
	stiff := make([]float64, n*n)
	b.left, b.start = make([]float64, n*n), make([]float64, n*n)
	for a, i := range b.rows {
		for c, j := range b.rows[:a+1] {
			give, cov := p.g.pair(i, j)
			give, cov = float64(p.g.m.s.Tolerance.Pin*give), cov+p.holes(i, j)
			stiff[a*n+c], stiff[c*n+a] = give, give
			b.start[a*n+c], b.start[c*n+a] = cov, cov
		}
		stiff[a*n+a]++
	}
	return linear.NewDense(n).Invert(stiff, b.left)
}

// holes is what two rows have in common by the places of their holes: of one fastener they share
// the outermost sheet's, and each pinned one has its own.
func (p *pins) holes(i, j int) float64 {
	if max(i, j) >= len(p.g.rows) {
		return 0
	}
	a, b := &p.g.rows[i], &p.g.rows[j]
	if a.join != b.join || a.way != b.way {
		return 0
	}
	st := &p.g.m.stacks[a.join]
	v := p.g.m.variance(st.sheets[0])
	if a.k == b.k && p.place[i] >= 0 {
		v += p.g.m.variance(st.sheets[a.k])
	}
	return v
}

// variance is that of the place of a hole made in the flat, along one way, mm².
func (m *model) variance(s sheet) float64 {
	kind := s.point.Kind
	if s.point.Made() == panel.InPlace {
		kind = inFlat(s.point, s.t, m.s)
	}
	by := m.s.Cutter.Tolerance / 2
	if kind == panel.Drill {
		by = m.s.Tolerance.Drilled / 2
	}
	return float64(by * by)
}

// seen is what a row comes to with the pins in: of the pinned rows' first misfits by weights,
// and of its own, where it is not pinned itself.
type seen struct {
	row     int
	pinned  bool
	weights []float64
	carried []float64 // covariance of every pinned row, before the pins, with what the row comes to
	with    []float64 // the same with the row before the pins; nil where it is pinned
	felt    []float64
}

// see works out a row among the pins of its block.
func (p *pins) see(i int) *seen {
	b := &p.blocks[p.g.blockOf[i]]
	n := len(b.rows)
	s := &seen{row: i, pinned: p.place[i] >= 0}
	if a := p.place[i]; a >= 0 {
		s.weights = b.left[a*n : (a+1)*n]
	} else {
		own := p.g.answer(i)
		s.felt, s.weights, s.with = own.felt, make([]float64, n), make([]float64, n)
		kept := p.g.blocks[p.g.blockOf[i]].kept
		for a, j := range b.rows {
			k := &kept[p.g.keptAt[j]-1]
			s.with[a] = dot(own.felt, k.felt) + p.holes(j, i)
			pull := float64(p.g.m.s.Tolerance.Pin * p.g.moves(k.terms))
			for c, v := range b.left[a*n : (a+1)*n] {
				s.weights[c] -= float64(pull * v)
			}
		}
	}
	s.carried = make([]float64, n)
	for x := range s.carried {
		s.carried[x] = dot(b.start[x*n:(x+1)*n], s.weights)
	}
	for x, v := range s.with {
		s.carried[x] += v
	}
	return s
}

// cov is the covariance of what two rows of a block come to, both pinned or neither.
func (p *pins) cov(a, b *seen) float64 {
	v := dot(a.weights, b.carried)
	if a.pinned {
		return v
	}
	return v + dot(b.weights, a.with) + dot(a.felt, b.felt) + p.holes(a.row, b.row)
}

// off is how an inner sheet's hole lies off the outermost's, i being the first of its rows.
func (p *pins) off(i int) spread {
	a, b := p.see(i), p.see(i+1)
	xx, xy, yy := p.cov(a, a), p.cov(a, b), p.cov(b, b)
	mid, aside := float64((xx+yy)/2), float64((xx-yy)/2)
	half := math.Sqrt(float64(aside*aside) + float64(xy*xy))
	return spread{math.Sqrt(max(0, mid+half)), math.Sqrt(max(0, mid-half))}
}
