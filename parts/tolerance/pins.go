package tolerance

import (
	"math"

	"perch/parts/panel"
	"perch/solver/linear"
)

// pins are the holes of a piece that are made in the flat on both sides of a fastener, and
// held on one axis. With k the pins' stiffness and C their gives, what they leave of the
// misfits r0 without them is r = (I + k·C)⁻¹·r0.
type pins struct {
	g     *ground
	rows  []int
	place []int     // by row: its place in rows; −1 where it is not pinned
	left  []float64 // (I + k·C)⁻¹
	start []float64 // covariances of the pinned rows without pins, their holes' errors included
}

// pin holds rows, which come in pairs of both ways across; false where that is singular.
func (g *ground) pin(rows []int) (*pins, bool) {
	n := len(rows)
	p := &pins{g: g, rows: rows, place: make([]int, g.n), left: make([]float64, n*n), start: make([]float64, n*n)}
	for i := range p.place {
		p.place[i] = -1
	}
	for a, i := range rows {
		p.place[i] = a
	}
	stiff := make([]float64, n*n)
	for a, i := range rows {
		for b, j := range rows {
			stiff[a*n+b] = float64(g.m.s.Tolerance.Pin * g.give[i*g.n+j])
			p.start[a*n+b] = p.before(i, j)
		}
		stiff[a*n+a]++
	}
	if n == 0 {
		return p, true
	}
	return p, linear.NewDense(n).Invert(stiff, p.left)
}

// before is the covariance of two rows without pins, holes included: of one fastener they
// share the outermost sheet's hole, and each pinned one has its own.
func (p *pins) before(i, j int) float64 {
	v := p.g.cov[i*p.g.n+j]
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
	n := len(p.rows)
	if a := p.place[i]; a >= 0 {
		return p.left[a*n : (a+1)*n]
	}
	out := make([]float64, n)
	for a, j := range p.rows {
		pull := float64(p.g.m.s.Tolerance.Pin * p.g.give[i*p.g.n+j])
		for b := range out {
			out[b] -= float64(pull * p.left[a*n+b])
		}
	}
	return out
}

// cov is the covariance of two rows with the pins in.
func (p *pins) cov(i, j int) float64 {
	n := len(p.rows)
	a, b := p.weights(i), p.weights(j)
	v := 0.0
	for x := range n {
		s := 0.0
		for y := range n {
			s += float64(p.start[x*n+y] * b[y])
		}
		v += float64(a[x] * s)
	}
	if p.place[i] < 0 {
		for x, k := range p.rows {
			v += float64(b[x] * p.before(i, k))
		}
	}
	if p.place[j] < 0 {
		for x, k := range p.rows {
			v += float64(a[x] * p.before(k, j))
		}
	}
	if p.place[i] < 0 && p.place[j] < 0 {
		v += p.before(i, j)
	}
	return v
}

// off is how an inner sheet's hole lies off the outermost's, i being the first of its rows.
func (p *pins) off(i int) spread {
	xx, xy, yy := p.cov(i, i), p.cov(i, i+1), p.cov(i+1, i+1)
	mid, half := (xx+yy)/2, math.Sqrt(float64((xx-yy)/2*((xx-yy)/2))+float64(xy*xy))
	return spread{math.Sqrt(max(0, mid+half)), math.Sqrt(max(0, mid-half))}
}
