package sparse

import "slices"

// graph is who meets whom: unknowns that meet the same others are one vertex, and weigh as
// many as they are.
type graph struct {
	near   [][]int32 // by vertex: the others it meets, ascending
	weight []int32
	of     [][]int32 // by vertex: the unknowns that it stands for, ascending
}

// compressed joins the unknowns that meet the same others, themselves included: the six
// freedoms of a node are ordered as one.
func compressed(p *Pattern) *graph {
	full := neighbours(p)
	key := make([]uint64, p.n)
	for i, near := range full {
		key[i] = scatter(uint64(i))
		for _, k := range near {
			key[i] += scatter(uint64(k))
		}
	}
	by := make([]int32, p.n)
	for i := range by {
		by[i] = int32(i)
	}
	slices.SortFunc(by, func(a, b int32) int {
		switch {
		case key[a] != key[b]:
			return 1 - 2*less(key[a] < key[b])
		default:
			return int(a - b)
		}
	})
	head := make([]int32, p.n)
	for i := range head {
		head[i] = int32(i)
	}
	for a := 0; a < len(by); {
		b := a + 1
		for b < len(by) && key[by[b]] == key[by[a]] {
			if alike(full, by[a], by[b]) {
				head[by[b]] = by[a]
			}
			b++
		}
		a = b
	}
	g := &graph{}
	vertex := make([]int32, p.n)
	for i := range p.n {
		if int(head[i]) == i {
			vertex[i] = int32(len(g.of))
			g.of = append(g.of, nil)
		}
		v := vertex[head[i]]
		vertex[i] = v
		g.of[v] = append(g.of[v], int32(i))
	}
	for v, of := range g.of {
		var near []int32
		for _, k := range full[of[0]] {
			if vertex[k] != int32(v) {
				near = append(near, vertex[k])
			}
		}
		slices.Sort(near)
		g.near = append(g.near, slices.Compact(near))
		g.weight = append(g.weight, int32(len(of)))
	}
	return g
}

// neighbours are those that each unknown meets, both triangles, itself left out, ascending.
func neighbours(p *Pattern) [][]int32 {
	count := make([]int, p.n)
	for j := range p.n {
		for _, i := range p.row[p.start[j]+1 : p.start[j+1]] {
			count[i]++
			count[j]++
		}
	}
	full := make([][]int32, p.n)
	for i, c := range count {
		full[i] = make([]int32, 0, c)
	}
	for j := range p.n {
		for _, i := range p.row[p.start[j]+1 : p.start[j+1]] {
			full[i] = append(full[i], int32(j))
		}
	}
	for j := range p.n {
		full[j] = append(full[j], p.row[p.start[j]+1:p.start[j+1]]...)
	}
	return full
}

// alike tells whether two unknowns meet each other and the same others.
func alike(full [][]int32, a, b int32) bool {
	x, y := full[a], full[b]
	if len(x) != len(y) {
		return false
	}
	i, j := 0, 0
	met := false
	for i < len(x) || j < len(y) {
		switch {
		case i < len(x) && x[i] == b:
			i, met = i+1, true
		case j < len(y) && y[j] == a:
			j++
		case i == len(x) || j == len(y) || x[i] != y[j]:
			return false
		default:
			i, j = i+1, j+1
		}
	}
	return met
}

// scatter spreads the bits of a number, for sums that stand for a set.
func scatter(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

func less(is bool) int {
	if is {
		return 1
	}
	return 0
}

// quotient is the graph while vertices are eliminated: a vertex that is gone is an element,
// the clique of those it had met.
type quotient struct {
	vars, elems [][]int32 // by live vertex: others met directly, elements it lies in
	clique      [][]int32 // by element
	weight      []int32   // of a live vertex; 0 of one that is gone or joined to another
	degree      []int32   // at least the weight of all that it meets
	head        []int32   // by degree: the first vertex, −1 for none
	next, prev  []int32
	joined      [][]int32 // by vertex: those that came to be one with it
	reach       []int64   // by element: weight outside of the newest one, above tag
	tag         int64
	mark        []int32
	left        int32
}

// minimumDegree is an order of elimination in which few entries fill in: always the vertex
// that meets the least weight, by degrees that are bounds from above (P. R. Amestoy, T. A.
// Davis, I. S. Duff, SIAM Journal on Matrix Analysis and Applications 17, 1996). Ties go by
// the order in which vertices came to their degree.
func minimumDegree(g *graph) []int32 {
	q := newQuotient(g)
	order := make([]int32, 0, len(g.near))
	for low := 0; low < len(q.head); {
		p := q.head[low]
		if p < 0 {
			low++
			continue
		}
		q.unlist(p)
		order = q.eliminate(p, order)
		low = 0
		for low < len(q.head) && q.head[low] < 0 {
			low++
		}
	}
	return order
}

func newQuotient(g *graph) *quotient {
	n := len(g.near)
	total := int32(0)
	for _, w := range g.weight {
		total += w
	}
	q := &quotient{
		vars: make([][]int32, n), elems: make([][]int32, n), clique: make([][]int32, n),
		weight: slices.Clone(g.weight), degree: make([]int32, n),
		head: make([]int32, total+1), next: make([]int32, n), prev: make([]int32, n),
		joined: make([][]int32, n), reach: make([]int64, n), tag: 1, mark: make([]int32, n), left: total,
	}
	for d := range q.head {
		q.head[d] = -1
	}
	for v := range n {
		q.vars[v] = slices.Clone(g.near[v])
		for _, k := range g.near[v] {
			q.degree[v] += g.weight[k]
		}
	}
	for v := n - 1; v >= 0; v-- {
		q.list(int32(v))
	}
	return q
}

func (q *quotient) list(v int32) {
	d := q.degree[v]
	q.next[v], q.prev[v] = q.head[d], -1
	if q.head[d] >= 0 {
		q.prev[q.head[d]] = v
	}
	q.head[d] = v
}

func (q *quotient) unlist(v int32) {
	if q.prev[v] >= 0 {
		q.next[q.prev[v]] = q.next[v]
	} else {
		q.head[q.degree[v]] = q.next[v]
	}
	if q.next[v] >= 0 {
		q.prev[q.next[v]] = q.prev[v]
	}
}

// eliminate takes p out: all that it meets become one clique.
func (q *quotient) eliminate(p int32, order []int32) []int32 {
	clique, weight := q.met(p)
	q.left -= q.weight[p]
	q.weight[p] = 0
	order = q.told(p, order)
	q.tag += int64(len(q.head)) + 1
	for _, i := range clique {
		for _, e := range q.elems[i] {
			if q.clique[e] == nil {
				continue
			}
			if q.reach[e] < q.tag {
				q.reach[e] = q.tag + q.outside(e)
			}
			q.reach[e] -= int64(q.weight[i])
		}
	}
	q.clique[p] = clique
	buckets := map[uint64][]int32{}
	kept := clique[:0]
	for _, i := range clique {
		q.unlist(i)
		more, key := q.update(i, p)
		if more == 0 && len(q.vars[i]) == 0 && len(q.elems[i]) == 1 { // it meets the clique alone
			weight -= q.weight[i]
			q.left -= q.weight[i]
			q.weight[i] = 0
			order = q.told(i, order)
			continue
		}
		q.degree[i] = more
		for _, k := range buckets[key] {
			if q.weight[k] > 0 && q.same(i, k) {
				q.weight[k] += q.weight[i]
				q.weight[i] = 0
				q.joined[k] = append(q.joined[k], i)
				break
			}
		}
		if q.weight[i] > 0 {
			buckets[key] = append(buckets[key], i)
			kept = append(kept, i)
		}
	}
	q.clique[p] = kept
	for _, i := range kept {
		q.degree[i] = max(0, min(q.degree[i]+weight-q.weight[i], q.left-q.weight[i]))
		q.list(i)
	}
	return order
}

// told writes down a vertex and all that were joined to it.
func (q *quotient) told(v int32, order []int32) []int32 {
	order = append(order, v)
	for _, k := range q.joined[v] {
		order = q.told(k, order)
	}
	return order
}

// met are the live vertices that p meets, and their weight; the elements it lies in are
// taken up by it.
func (q *quotient) met(p int32) (clique []int32, weight int32) {
	q.mark[p] = p + 1
	take := func(of []int32) {
		for _, i := range of {
			if q.weight[i] > 0 && q.mark[i] != p+1 {
				q.mark[i] = p + 1
				clique = append(clique, i)
				weight += q.weight[i]
			}
		}
	}
	take(q.vars[p])
	for _, e := range q.elems[p] {
		take(q.clique[e])
		q.clique[e] = nil
	}
	q.vars[p], q.elems[p] = nil, nil
	if clique == nil {
		clique = []int32{}
	}
	return clique, weight
}

// outside is the weight of an element's live vertices.
func (q *quotient) outside(e int32) int64 {
	sum := int64(0)
	kept := q.clique[e][:0]
	for _, i := range q.clique[e] {
		if q.weight[i] > 0 {
			sum += int64(q.weight[i])
			kept = append(kept, i)
		}
	}
	q.clique[e] = kept
	return sum
}

// update brings the lists of i, which lies in the new element p, up to date: what p covers
// goes. It gives the weight met outside of p, and a key that alike vertices share.
func (q *quotient) update(i, p int32) (more int32, key uint64) {
	elems := q.elems[i][:0]
	for _, e := range q.elems[i] {
		if q.clique[e] == nil {
			continue
		}
		out := q.reach[e] - q.tag
		if out == 0 { // p covers all of e
			continue
		}
		more += int32(out)
		elems = append(elems, e)
		key += scatter(uint64(e))
	}
	q.elems[i] = append(elems, p)
	vars := q.vars[i][:0]
	for _, k := range q.vars[i] {
		if q.weight[k] > 0 && q.mark[k] != p+1 {
			vars = append(vars, k)
			more += q.weight[k]
			key += scatter(uint64(k))
		}
	}
	q.vars[i] = vars
	return more, key
}

// same tells whether two vertices of one element meet the same.
func (q *quotient) same(a, b int32) bool {
	return equalSets(q.elems[a], q.elems[b]) && equalSets(q.vars[a], q.vars[b])
}

func equalSets(a, b []int32) bool {
	if len(a) != len(b) {
		return false
	}
	for _, x := range a {
		if !slices.Contains(b, x) {
			return false
		}
	}
	return true
}
