package tolerance

import (
	"context"

	"perch/solver/sparse"
)

// ground is a piece at the least of its springs' energy with no pin in it. What is off then
// is linear in the errors of the bends; what pins change of it follows from how far a force
// on one row moves the others. Of rows that nobody asks about nothing is worked out.
type ground struct {
	m       *model
	rows    []row
	at      map[[2]int]int // the first row of a join and one of its inner sheets
	feet    int            // the row of the feet, behind all others; −1 where there are none that rock
	rocks   form           // theirs
	rocksAt []int          // the places of its errors in its block
	blockOf []int          // by row
	blocks  []block
	factor  *sparse.Factor // nil of a piece that cannot move
	y       []float64      // by unknown: what a force on the row in work moves
	keptAt  []int          // by row: its place among the kept ones of its block, plus 1; 0 of others
}

// block is rows that move each other: no force on them moves any other.
type block struct {
	joints []int // with springs, and errors
	errors int   // that its joints and rows feel
	rows   int
	kept   []kept
}

// kept is a row that was pinned at one time, with what it has to do with those of its block
// that were kept before it, and with itself.
type kept struct {
	answer
	give []float64 // mm of one for 1 N along the other
	cov  []float64 // by the bends alone, mm²
}

// answer is a row on its own: how it goes by the unknowns, and how much it feels of each of
// its block's errors, mm for one standard deviation.
type answer struct {
	terms []term
	felt  []float64
}

// row is one way across a fastener, how far its k-th sheet lies off the outermost.
type row struct {
	join, k, way int
	joint        int
	form         motion
}

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
	g := &ground{m: m, at: map[[2]int]int{}, feet: -1, y: make([]float64, m.n)}
	for i := range m.stacks {
		st := &m.stacks[i]
		for k := 1; k < len(st.sheets); k++ {
			if st.sheets[0].point.Made() == "" || st.sheets[k].point.Made() == "" {
				continue // of a weld, or of a plug that is welded through to it
			}
			g.at[[2]int{i, k}] = len(g.rows)
			joint := m.joint(st.sheets[0], st.sheets[k], st.at[k])
			for way := range 2 {
				g.rows = append(g.rows, row{i, k, way, joint, along(st.across[way], st.at[k], m.joints[joint].middle)})
			}
		}
	}
	all := len(g.rows)
	if f, ok := m.rocking(); ok {
		g.feet, g.rocks = all, f
		all++
	}
	if all > mostRows {
		return nil, &TooLarge{all / 2, mostRows / 2, "matched holes"}
	}
	g.keptAt = make([]int, all)
	g.divide()
	for i := range g.blocks {
		if n := g.blocks[i].rows; n > mostInBlock {
			return nil, &TooLarge{n / 2, mostInBlock / 2, "matched holes that move each other"}
		}
	}
	var err error
	g.factor, err = m.factor()
	return g, err
}

// divide finds the blocks: joints whose unknowns hang together by springs and rows. A joint
// that nothing moves is a block of its own.
func (g *ground) divide() {
	m := g.m
	of := make([]int, m.n) // towards the unknown that stands for all that hang together
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
	tie := func(i, k int) {
		a, b := stands(i), stands(k)
		of[max(a, b)] = min(a, b)
	}
	for i := range m.joints {
		for _, u := range m.joints[i].unknowns {
			tie(m.joints[i].unknowns[0].of, u.of)
		}
	}
	for _, u := range g.rocks.unknowns {
		tie(g.rocks.unknowns[0].of, u.of)
	}
	blockOf := map[int]int{} // by the unknown that stands for it
	block := func(unknown int, moves bool) int {
		if moves {
			if b, ok := blockOf[stands(unknown)]; ok {
				return b
			}
			blockOf[stands(unknown)] = len(g.blocks)
		}
		g.blocks = append(g.blocks, block{})
		return len(g.blocks) - 1
	}
	for i := range m.joints {
		j := &m.joints[i]
		if len(j.unknowns) > 0 {
			j.block = block(j.unknowns[0].of, true)
		} else {
			j.block = block(0, false)
		}
	}
	for _, r := range g.rows {
		b := m.joints[r.joint].block
		g.blockOf = append(g.blockOf, b)
		g.blocks[b].rows++
	}
	if g.feet >= 0 {
		first, moves := 0, len(g.rocks.unknowns) > 0
		if moves {
			first = g.rocks.unknowns[0].of
		}
		g.blockOf = append(g.blockOf, block(first, moves))
		g.blocks[g.blockOf[g.feet]].rows++
	}
	g.number()
}

// number gives each error that a block feels its place there.
func (g *ground) number() {
	local := make([]map[int]int, len(g.blocks))
	for i := range local {
		local[i] = map[int]int{}
	}
	place := func(b, e int) int {
		k, ok := local[b][e]
		if !ok {
			k = len(local[b])
			local[b][e] = k
		}
		return k
	}
	for i := range g.m.joints {
		j := &g.m.joints[i]
		for _, e := range j.errors {
			j.places = append(j.places, place(j.block, e.of))
		}
		if j.pressed && len(j.errors) > 0 && len(j.unknowns) > 0 {
			g.blocks[j.block].joints = append(g.blocks[j.block].joints, i)
		}
	}
	for _, e := range g.rocks.errors {
		g.rocksAt = append(g.rocksAt, place(g.blockOf[g.feet], e.of))
	}
	for i := range g.blocks {
		g.blocks[i].errors = len(local[i])
	}
}

// answer works out a row; what a force of 1 N on it moves is in g.y till the next one.
func (g *ground) answer(i int) answer {
	b := &g.blocks[g.blockOf[i]]
	a := answer{felt: make([]float64, b.errors)}
	if i == g.feet {
		a.terms = g.rocks.unknowns
		for k, e := range g.rocks.errors {
			a.felt[g.rocksAt[k]] += e.by
		}
	} else {
		r := &g.rows[i]
		j := &g.m.joints[r.joint]
		a.terms = make([]term, len(j.unknowns))
		for k := range j.unknowns {
			a.terms[k] = term{j.unknowns[k].of, r.form.by(&j.unknowns[k].by)}
		}
		for k := range j.errors {
			a.felt[j.places[k]] += r.form.by(&j.errors[k].by)
		}
	}
	clear(g.y)
	if g.factor == nil || len(a.terms) == 0 {
		return a
	}
	for _, u := range a.terms {
		g.y[u.of] += u.by
	}
	g.factor.Solve(g.y)
	for _, k := range b.joints {
		j := &g.m.joints[k]
		v := j.moved(g.y)
		f := j.force(&v)
		for e := range j.errors {
			a.felt[j.places[e]] -= f.by(&j.errors[e].by)
		}
	}
	return a
}

// keep works out a row that is pinned, once.
func (g *ground) keep(i int) {
	if g.keptAt[i] > 0 {
		return
	}
	b := &g.blocks[g.blockOf[i]]
	k := kept{answer: g.answer(i)}
	b.kept = append(b.kept, kept{})
	n := len(b.kept)
	b.kept[n-1] = k
	k.give, k.cov = make([]float64, n), make([]float64, n)
	for c := range b.kept {
		k.give[c], k.cov[c] = g.moves(b.kept[c].terms), dot(k.felt, b.kept[c].felt)
	}
	b.kept[n-1] = k
	g.keptAt[i] = n
}

// moves is how far a row goes by the unknowns as the row in work has them.
func (g *ground) moves(terms []term) float64 {
	v := 0.0
	for _, u := range terms {
		v += float64(u.by * g.y[u.of])
	}
	return v
}

// pair is the give and the covariance of two kept rows of a block.
func (g *ground) pair(i, j int) (give, cov float64) {
	b := &g.blocks[g.blockOf[i]]
	a, c := g.keptAt[i]-1, g.keptAt[j]-1
	k := &b.kept[max(a, c)]
	return k.give[min(a, c)], k.cov[min(a, c)]
}

func dot(a, b []float64) float64 {
	v := 0.0
	for i, x := range a {
		v += float64(x * b[i])
	}
	return v
}

// factor factors the stiffness of all springs; nil of a piece that cannot move.
func (m *model) factor() (*sparse.Factor, error) {
	if m.n == 0 {
		return nil, nil
	}
	var cliques [][]int32
	for i := range m.joints {
		if j := &m.joints[i]; j.pressed && len(j.unknowns) > 0 {
			clique := make([]int32, len(j.unknowns))
			for k, u := range j.unknowns {
				clique[k] = int32(u.of)
			}
			cliques = append(cliques, clique)
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
	for _, h := range m.hinges {
		k.Add(h.of, h.of, h.by)
	}
	at := 0
	for i := range m.joints {
		if j := &m.joints[i]; j.pressed && len(j.unknowns) > 0 {
			k.AddClique(p.Places(cliques[at]), j.stiffness(), len(j.unknowns))
			at++
		}
	}
	f, err := sparse.NewFactor(sparse.Analyse(p), 1<<30)
	if err != nil {
		return nil, err
	}
	return f, f.Factor(context.Background(), k)
}
