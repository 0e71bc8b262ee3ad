package tolerance

import (
	"context"

	"perch/solver/sparse"
)

// ground is a piece at the least of its springs' energy with no pin in it. What is off then
// is linear in the errors of the bends; what pins change of it follows from how far a force
// on one row moves the others.
type ground struct {
	m    *model
	rows []row
	at   map[[2]int]int // the first row of a join and one of its inner sheets
	feet int            // the row of the feet; −1 where there are none that rock
	n    int
	cov  []float64 // n by n: covariances of the rows by the bends alone, mm²
	give []float64 // n by n: mm of one row for 1 N along another
}

// row is one way across a fastener, how far its k-th sheet lies off the outermost.
type row struct{ join, k, way int }

// mostRows bounds the work of telling how fasteners move each other.
const mostRows = 3000

// held is a spring to the ground, N/mm, on every unknown: far below a hand's, so that what
// turns freely about its one fastener stays where it is drawn.
const held = 1e-4

// newGround settles a piece. The error is a *TooLarge, or one of package sparse.
func newGround(m *model) (*ground, error) {
	g := &ground{m: m, at: map[[2]int]int{}, feet: -1}
	var forms []form
	for i := range m.stacks {
		st := &m.stacks[i]
		for k := 1; k < len(st.sheets); k++ {
			if st.sheets[0].point.Made() == "" || st.sheets[k].point.Made() == "" {
				continue // of a weld, or of a plug that is welded through to it
			}
			g.at[[2]int{i, k}] = len(g.rows)
			for way := range 2 {
				g.rows = append(g.rows, row{i, k, way})
				forms = append(forms, m.apart(st.sheets[0], st.sheets[k], st.at[k], st.across[way]))
			}
		}
	}
	if f, ok := m.rocking(); ok {
		g.feet = len(forms)
		forms = append(forms, f)
	}
	if len(forms) > mostRows {
		return nil, &TooLarge{len(forms), mostRows}
	}
	factor, err := m.factor()
	if err != nil {
		return nil, err
	}
	g.respond(forms, factor)
	return g, nil
}

// respond works out covariances and gives of all rows.
func (g *ground) respond(forms []form, factor *sparse.Factor) {
	g.n = len(forms)
	g.cov, g.give = make([]float64, g.n*g.n), make([]float64, g.n*g.n)
	felt := make([][]float64, g.n)
	y := make([]float64, g.m.n)
	for i := range forms {
		clear(y)
		for _, u := range forms[i].unknowns {
			y[u.of] = u.by
		}
		if factor != nil {
			factor.Solve(y)
		}
		for j := range forms {
			for _, u := range forms[j].unknowns {
				g.give[i*g.n+j] += float64(u.by * y[u.of])
			}
		}
		felt[i] = g.m.felt(&forms[i], y)
	}
	for i := range felt {
		for j := range i + 1 {
			c := 0.0
			for e, v := range felt[i] {
				c += float64(v * felt[j][e])
			}
			g.cov[i*g.n+j], g.cov[j*g.n+i] = c, c
		}
	}
}

// felt is how a form comes of each error, mm for one standard deviation, when y is the
// stiffness's inverse of its unknowns.
func (m *model) felt(f *form, y []float64) []float64 {
	out := make([]float64, m.errors)
	for _, e := range f.errors {
		out[e.of] += e.by
	}
	for i := range m.springs {
		sp := &m.springs[i]
		if len(sp.errors) == 0 {
			continue
		}
		push := 0.0
		for _, u := range sp.unknowns {
			push += float64(u.by * y[u.of])
		}
		push *= sp.k
		for _, e := range sp.errors {
			out[e.of] -= float64(push * e.by)
		}
	}
	return out
}

// factor factors the stiffness of all springs; nil of a piece that cannot move.
func (m *model) factor() (*sparse.Factor, error) {
	if m.n == 0 {
		return nil, nil
	}
	cliques := make([][]int32, len(m.springs))
	for i := range m.springs {
		for _, t := range m.springs[i].unknowns {
			cliques[i] = append(cliques[i], int32(t.of))
		}
	}
	p, err := sparse.NewPattern(m.n, cliques)
	if err != nil {
		return nil, err
	}
	k := sparse.NewMatrix(p)
	for i := range m.n {
		k.Add(i, i, held)
	}
	var entries []float64
	for i := range m.springs {
		s := &m.springs[i]
		entries = entries[:0]
		for _, t := range s.unknowns {
			for _, u := range s.unknowns {
				entries = append(entries, float64(float64(s.k*t.by)*u.by))
			}
		}
		k.AddClique(cliques[i], entries)
	}
	f, err := sparse.NewFactor(sparse.Analyse(p), 1<<30)
	if err != nil {
		return nil, err
	}
	return f, f.Factor(context.Background(), k)
}
