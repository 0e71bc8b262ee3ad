package sparse

import "slices"

// Analysis is what a pattern tells of its factors before any value is known: the order of
// elimination, the columns that are taken together, and what that takes.
type Analysis struct {
	pattern *Pattern
	order   []int32 // by place: the unknown
	first   []int32 // by block of columns: its first place; one more at the end
	rowsAt  []int   // by block: where its rows begin
	rows    []int32 // places, ascending; the block's own columns first
	panelAt []int   // by block: where its entries begin, row by row
	above   []int32 // by block: that of its first row below itself; −1 for none
	// The matrix's entries by column of their place: row's place, and where the value is.
	entryAt    []int
	entryRow   []int32
	entryValue []int32
	products   int64
}

// Analyse finds an order of little fill and the structure of the factors.
func Analyse(p *Pattern) *Analysis {
	g := compressed(p)
	order := minimumDegree(g)
	t := newTree(g, order)
	t.postorder()
	blocks := t.blocks()
	a := &Analysis{pattern: p}
	start := make([]int32, len(g.near)+1) // by place of a vertex: place of its first unknown
	for k, v := range t.order {
		start[k+1] = start[k] + g.weight[v]
		a.order = append(a.order, g.of[v]...)
	}
	for _, b := range blocks {
		a.first = append(a.first, start[b.from])
		a.rowsAt = append(a.rowsAt, len(a.rows))
		for k := start[b.from]; k < start[b.to]; k++ {
			a.rows = append(a.rows, k)
		}
		for _, v := range b.below {
			for k := start[v]; k < start[v+1]; k++ {
				a.rows = append(a.rows, k)
			}
		}
	}
	a.first = append(a.first, int32(p.n))
	a.rowsAt = append(a.rowsAt, len(a.rows))
	a.measure()
	a.place()
	return a
}

// measure lays out the panels and counts the work.
func (a *Analysis) measure() {
	blockOf := make([]int32, a.pattern.n)
	size := 0
	for b := range len(a.first) - 1 {
		for k := a.first[b]; k < a.first[b+1]; k++ {
			blockOf[k] = int32(b)
		}
		a.panelAt = append(a.panelAt, size)
		size += a.height(b) * a.width(b)
		h := int64(a.height(b))
		for range a.width(b) {
			a.products += h * (h + 1) / 2
			h--
		}
	}
	a.panelAt = append(a.panelAt, size)
	for b := range len(a.first) - 1 {
		above := int32(-1)
		if rows := a.rows[a.rowsAt[b]:a.rowsAt[b+1]]; len(rows) > a.width(b) {
			above = blockOf[rows[a.width(b)]]
		}
		a.above = append(a.above, above)
	}
}

// place sorts the matrix's entries by the columns of the factors.
func (a *Analysis) place() {
	p := a.pattern
	placeOf := make([]int32, p.n)
	for k, i := range a.order {
		placeOf[i] = int32(k)
	}
	a.entryAt = make([]int, p.n+1)
	each := func(do func(row, col int32, at int)) {
		for j := range p.n {
			for at := p.start[j]; at < p.start[j+1]; at++ {
				x, y := placeOf[j], placeOf[p.row[at]]
				do(max(x, y), min(x, y), at)
			}
		}
	}
	each(func(_, col int32, _ int) { a.entryAt[col+1]++ })
	for k := range p.n {
		a.entryAt[k+1] += a.entryAt[k]
	}
	a.entryRow = make([]int32, len(p.row))
	a.entryValue = make([]int32, len(p.row))
	next := slices.Clone(a.entryAt)
	each(func(row, col int32, at int) {
		a.entryRow[next[col]], a.entryValue[next[col]] = row, int32(at)
		next[col]++
	})
}

func (a *Analysis) width(b int) int  { return int(a.first[b+1] - a.first[b]) }
func (a *Analysis) height(b int) int { return a.rowsAt[b+1] - a.rowsAt[b] }

// Entries is how many numbers the factors hold, zeros that blocks of columns share included.
func (a *Analysis) Entries() int { return a.panelAt[len(a.panelAt)-1] }

// Bytes is the memory that the factors take, in bytes, the analysis itself left out.
func (a *Analysis) Bytes() int64 {
	work := 0
	for b := range len(a.first) - 1 {
		work = max(work, a.width(b)*(a.height(b)+3))
	}
	return 8 * (int64(a.Entries()) + int64(work) + 4*int64(a.pattern.n))
}

// Products is how many products factoring takes.
func (a *Analysis) Products() int64 { return a.products }

// tree tells for each vertex, in the order of elimination, whom it is next felt by.
type tree struct {
	g      *graph
	order  []int32 // by place: the vertex
	parent []int32 // by place: a later place, −1 for none
}

// newTree is the elimination tree (J. W. H. Liu, ACM Transactions on Mathematical Software
// 12, 1986).
func newTree(g *graph, order []int32) *tree {
	n := len(order)
	t := &tree{g, order, make([]int32, n)}
	place := placeIn(order)
	root := make([]int32, n) // a later place of the same subtree, to come to its root sooner
	for k := range n {
		t.parent[k], root[k] = -1, -1
		for _, v := range g.near[order[k]] {
			for i := place[v]; int(i) < k; {
				next := root[i]
				root[i] = int32(k)
				if next < 0 {
					t.parent[i] = int32(k)
					break
				}
				if next == int32(k) {
					break
				}
				i = next
			}
		}
	}
	return t
}

func placeIn(order []int32) []int32 {
	place := make([]int32, len(order))
	for k, v := range order {
		place[v] = int32(k)
	}
	return place
}

// postorder renumbers so that every subtree's places follow each other, the heaviest child
// last, beside its parent.
func (t *tree) postorder() {
	n := len(t.order)
	size := make([]int32, n)
	children := make([][]int32, n)
	var roots []int32
	for k := range n {
		size[k] += t.g.weight[t.order[k]]
		if p := t.parent[k]; p >= 0 {
			size[p] += size[k]
			children[p] = append(children[p], int32(k))
		} else {
			roots = append(roots, int32(k))
		}
	}
	var post []int32
	type visit struct {
		at   int32
		next int
	}
	for _, r := range roots {
		stack := []visit{{r, 0}}
		for len(stack) > 0 {
			top := &stack[len(stack)-1]
			of := children[top.at]
			if top.next == 0 {
				slices.SortStableFunc(of, func(a, b int32) int { return int(size[a] - size[b]) })
			}
			if top.next < len(of) {
				top.next++
				stack = append(stack, visit{of[top.next-1], 0})
				continue
			}
			post = append(post, top.at)
			stack = stack[:len(stack)-1]
		}
	}
	now := placeIn(post)
	order, parent := make([]int32, n), make([]int32, n)
	for k, old := range post {
		order[k] = t.order[old]
		parent[k] = -1
		if p := t.parent[old]; p >= 0 {
			parent[k] = now[p]
		}
	}
	t.order, t.parent = order, parent
}

// block is a run of vertices whose columns are taken together, by place, and the places
// below them that any of the columns reaches.
type block struct {
	from, to int32
	below    []int32
	weight   int64 // of its own vertices
	under    int64 // of those below
	zeros    int64 // entries that are there only because columns are taken together
}

// merging is how many zeros, of the entries of a joined block, are worth it: for blocks of
// up to so many columns the share. Found by trying meshes of a thousand to twenty thousand
// nodes of six unknowns.
var merging = []struct {
	columns int64
	share   float64
}{{24, 0.6}, {96, 0.2}, {1 << 62, 0.05}}

// blocks finds the structure of every column, columns of one structure joined, and small
// blocks joined with the one that follows where few zeros come of it.
func (t *tree) blocks() []block {
	n := len(t.order)
	place := placeIn(t.order)
	mark := make([]int32, n)
	var done []block
	stackOf := make([][]int32, n) // by place: its children's blocks, by number
	for k := range n {
		now := block{from: int32(k), to: int32(k) + 1, weight: int64(t.g.weight[t.order[k]])}
		mark[k] = int32(k) + 1
		take := func(i int32) {
			if int(i) > k && mark[i] != int32(k)+1 {
				mark[i] = int32(k) + 1
				now.below = append(now.below, i)
				now.under += int64(t.g.weight[t.order[i]])
			}
		}
		for _, v := range t.g.near[t.order[k]] {
			take(place[v])
		}
		for _, c := range stackOf[k] {
			for _, i := range done[c].below {
				take(i)
			}
		}
		slices.Sort(now.below)
		last := len(done) - 1
		for last >= 0 && done[last].to == now.from && t.parent[now.from-1] == now.from && worth(&done[last], &now) {
			now = joined(done[last], now)
			done = done[:last]
			last--
		}
		done = append(done, now)
		if len(now.below) > 0 {
			p := now.below[0]
			stackOf[p] = append(stackOf[p], int32(len(done)-1))
		}
	}
	return done
}

// gain are the zeros that joining a block with the one that follows it brings.
func gain(a, b *block) int64 {
	return a.weight * (b.weight + b.under - a.under)
}

func worth(a, b *block) bool {
	zeros := a.zeros + b.zeros + gain(a, b)
	if zeros == 0 {
		return true
	}
	w := a.weight + b.weight
	all := float64(w*(w+1)/2 + w*b.under)
	for _, m := range merging {
		if w <= m.columns {
			return float64(zeros) <= m.share*all
		}
	}
	return false
}

func joined(a, b block) block {
	zeros := a.zeros + b.zeros + gain(&a, &b)
	return block{from: a.from, to: b.to, below: b.below, weight: a.weight + b.weight, under: b.under, zeros: zeros}
}
