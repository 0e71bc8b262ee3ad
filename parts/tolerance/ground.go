package tolerance

import (
	"context"

	"perch/solver/sparse"
)

// ground is a piece at the least of its springs' energy with no pin in it. What is off then
// is linear in the errors of the bends; what pins change of it follows from how far a force
// on one row moves the others.
type ground struct {
	m      *model
	rows   []row
	at     map[[2]int]int // the first row of a join and one of its inner sheets
	feet   int            // the row of the feet, behind all others; −1 where there are none that rock
	blocks []block
	place  [][2]int // by row: its block, and its place there
}

// block is rows that move each other: no force on them moves any other.
type block struct {
	rows   []int
	errors []int     // that its springs and rows feel
	cov    []float64 // of its rows by the bends alone, mm²
	give   []float64 // mm of one row for 1 N along another
}

// row is one way across a fastener, how far its k-th sheet lies off the outermost.
type row struct{ join, k, way int }

const (
	// mostRows bounds the work of telling how fasteners move each other: of rows in all, and
	// of those in one block.
	mostRows    = 20_000
	mostInBlock = 1200
	// held is a spring to the ground, N/mm, on every unknown: far below a hand's, so that
	// what turns freely about its one fastener stays where it is drawn.
	held = 1e-4
)

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
		return nil, &TooLarge{len(forms) / 2, mostRows / 2, "matched holes"}
	}
	springs := g.divide(forms)
	for i := range g.blocks {
		if n := len(g.blocks[i].rows); n > mostInBlock {
			return nil, &TooLarge{n / 2, mostInBlock / 2, "matched holes that move each other"}
		}
	}
	factor, err := m.factor()
	if err != nil {
		return nil, err
	}
	g.respond(forms, springs, factor)
	return g, nil
}

// divide finds the blocks: rows whose unknowns hang together by springs. The two ways across
// a sheet are of one block. It tells the springs of each.
func (g *ground) divide(forms []form) (springs [][]int) {
	of := make([]int, g.m.n) // towards the unknown that stands for all that hang together
	for i := range of {
		of[i] = i
	}
	stands := func(i int) int {
		for of[i] != i {
			of[i] = of[of[i]]
			i = of[i]
		}
		return i
	}
	tie := func(terms []term) {
		for _, t := range terms[min(1, len(terms)):] {
			a, b := stands(terms[0].of), stands(t.of)
			of[max(a, b)] = min(a, b)
		}
	}
	for i := range g.m.springs {
		tie(g.m.springs[i].unknowns)
	}
	for i := range forms {
		tie(forms[i].unknowns)
	}
	blockOf := map[int]int{}
	g.place = make([][2]int, len(forms))
	for i := range forms {
		b := -1
		switch {
		case i < len(g.rows) && g.rows[i].way == 1:
			b = g.place[i-1][0]
		case len(forms[i].unknowns) > 0:
			at := stands(forms[i].unknowns[0].of)
			if k, ok := blockOf[at]; ok {
				b = k
			} else {
				blockOf[at] = len(g.blocks)
			}
		}
		if b < 0 {
			b = len(g.blocks)
			g.blocks = append(g.blocks, block{})
		}
		g.place[i] = [2]int{b, len(g.blocks[b].rows)}
		g.blocks[b].rows = append(g.blocks[b].rows, i)
	}
	springs = make([][]int, len(g.blocks))
	for i := range g.m.springs {
		if u := g.m.springs[i].unknowns; len(u) > 0 && len(g.m.springs[i].errors) > 0 {
			if b, ok := blockOf[stands(u[0].of)]; ok {
				springs[b] = append(springs[b], i)
			}
		}
	}
	return springs
}

// respond works out covariances and gives of all rows, block by block.
func (g *ground) respond(forms []form, springs [][]int, factor *sparse.Factor) {
	y := make([]float64, g.m.n)
	local := make([]int, g.m.errors) // place among the block's errors, plus 1
	for b := range g.blocks {
		k := &g.blocks[b]
		note := func(terms []term) {
			for _, e := range terms {
				if local[e.of] == 0 {
					k.errors = append(k.errors, e.of)
					local[e.of] = len(k.errors)
				}
			}
		}
		for _, i := range k.rows {
			note(forms[i].errors)
		}
		for _, i := range springs[b] {
			note(g.m.springs[i].errors)
		}
		n := len(k.rows)
		k.cov, k.give = make([]float64, n*n), make([]float64, n*n)
		felt := make([][]float64, n)
		for a, i := range k.rows {
			clear(y)
			for _, u := range forms[i].unknowns {
				y[u.of] = u.by
			}
			if factor != nil && len(forms[i].unknowns) > 0 {
				factor.Solve(y)
			}
			for c, j := range k.rows {
				for _, u := range forms[j].unknowns {
					k.give[a*n+c] += float64(u.by * y[u.of])
				}
			}
			felt[a] = g.m.felt(&forms[i], springs[b], y, local, len(k.errors))
			for c := range a + 1 {
				v := 0.0
				for e, x := range felt[a] {
					v += float64(x * felt[c][e])
				}
				k.cov[a*n+c], k.cov[c*n+a] = v, v
			}
		}
		for _, e := range k.errors {
			local[e] = 0
		}
	}
}

// felt is how a form comes of each of n errors, mm for one standard deviation, when y is the
// stiffness's inverse of its unknowns; local is an error's place, plus 1.
func (m *model) felt(f *form, springs []int, y []float64, local []int, n int) []float64 {
	out := make([]float64, n)
	for _, e := range f.errors {
		out[local[e.of]-1] += e.by
	}
	for _, i := range springs {
		sp := &m.springs[i]
		push := 0.0
		for _, u := range sp.unknowns {
			push += float64(u.by * y[u.of])
		}
		push *= sp.k
		for _, e := range sp.errors {
			out[local[e.of]-1] -= float64(push * e.by)
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
		k.AddClique(p.Places(cliques[i]), entries, len(cliques[i]))
	}
	f, err := sparse.NewFactor(sparse.Analyse(p), 1<<30)
	if err != nil {
		return nil, err
	}
	return f, f.Factor(context.Background(), k)
}
