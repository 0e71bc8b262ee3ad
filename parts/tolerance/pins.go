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
	p := &pins{g: g, rows: rows, place: make([]int, len(g.place)), blocks: make([]pinned, len(g.blocks))}
	for i := range p.place {
		p.place[i] = -1
	}
	for _, i := range rows {
		b := &p.blocks[g.place[i][0]]
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
		for c, j := range b.rows {
			stiff[a*n+c] = float64(p.g.m.s.Tolerance.Pin * p.g.give(i, j))
			b.start[a*n+c] = p.before(i, j)
		}
		stiff[a*n+a]++
	}
	return linear.NewDense(n).Invert(stiff, b.left)
}

// give is how far a force of 1 N along row j moves row i of the same block, mm.
func (g *ground) give(i, j int) float64 {
	b := &g.blocks[g.place[i][0]]
	return b.give[g.place[i][1]*len(b.rows)+g.place[j][1]]
}

// before is the covariance of two rows of a block without pins, holes included: of one
// fastener they share the outermost sheet's hole, and each pinned one has its own.
func (p *pins) before(i, j int) float64 {
	of := &p.g.blocks[p.g.place[i][0]]
	v := of.cov[p.g.place[i][1]*len(of.rows)+p.g.place[j][1]]
	if max(i, j) >= len(p.g.rows) {
		return v
	}
	a, b := p.g.rows[i], p.g.rows[j]
	if a.join != b.join || a.way != b.way {
		return v
	}
	st := &p.g.m.stacks[a.join]
	v += p.g.m.variance(st.sheets[0])
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

// weights are those of the pinned rows' first misfits in what a row comes to; its own, where
// it is not pinned, is 1 beside them.
func (p *pins) weights(i int) []float64 {
	b := &p.blocks[p.g.place[i][0]]
	n := len(b.rows)
	if a := p.place[i]; a >= 0 {
		return b.left[a*n : (a+1)*n]
	}
	out := make([]float64, n)
	for a, j := range b.rows {
		pull := float64(p.g.m.s.Tolerance.Pin * p.g.give(i, j))
		for c := range out {
			out[c] -= float64(pull * b.left[a*n+c])
		}
	}
	return out
}

// carried is the covariance of every pinned row of a block, before the pins, with what a row
// of it, of those weights, comes to; and its own share where it is not pinned.
func (p *pins) carried(i int, weights []float64) []float64 {
	b := &p.blocks[p.g.place[i][0]]
	n := len(b.rows)
	out := make([]float64, n)
	for x, k := range b.rows {
		for y, w := range weights {
			out[x] += float64(b.start[x*n+y] * w)
		}
		if p.place[i] < 0 {
			out[x] += p.before(k, i)
		}
	}
	return out
}

// cov is the covariance of what two rows of a block come to with the pins in.
func (p *pins) cov(i, j int, a, b []float64, ofJ []float64) float64 {
	v := 0.0
	for x, w := range a {
		v += float64(w * ofJ[x])
	}
	if p.place[i] >= 0 {
		return v
	}
	for x, k := range p.blocks[p.g.place[i][0]].rows {
		v += float64(b[x] * p.before(i, k))
	}
	if p.place[j] < 0 {
		v += p.before(i, j)
	}
	return v
}

// alone is the variance of what one row comes to.
func (p *pins) alone(i int) float64 {
	w := p.weights(i)
	return p.cov(i, i, w, w, p.carried(i, w))
}

// off is how an inner sheet's hole lies off the outermost's, i being the first of its rows.
func (p *pins) off(i int) spread {
	a, b := p.weights(i), p.weights(i+1)
	ofA, ofB := p.carried(i, a), p.carried(i+1, b)
	xx, xy, yy := p.cov(i, i, a, a, ofA), p.cov(i, i+1, a, b, ofB), p.cov(i+1, i+1, b, b, ofB)
	mid, aside := float64((xx+yy)/2), float64((xx-yy)/2)
	half := math.Sqrt(float64(aside*aside) + float64(xy*xy))
	return spread{math.Sqrt(max(0, mid+half)), math.Sqrt(max(0, mid-half))}
}
