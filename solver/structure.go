package solver

// graph is the bipartite graph of equations and the variables that occur in
// them, both by index; what is known to carry no information is left out.
type graph struct {
	vars   [][]Var // by equation
	prefer []Var   // by equation: the variable to take first, or -1
	ofVar  []int   // matched equation by variable, or -1
	ofEq   []Var   // matched variable by equation, or -1
}

func newGraph(nvars int) *graph {
	g := &graph{ofVar: make([]int, nvars)}
	for i := range g.ofVar {
		g.ofVar[i] = -1
	}
	return g
}

// addEquation adds an equation and matches it if it can be, those before it
// staying matched (Kuhn's augmenting paths, without recursion). It returns
// whether it was matched.
func (g *graph) addEquation(vars []Var, prefer Var, seen []int, stamp int) bool {
	e := len(g.vars)
	g.vars = append(g.vars, vars)
	g.prefer = append(g.prefer, prefer)
	g.ofEq = append(g.ofEq, -1)
	return g.augment(e, seen, stamp)
}

// take matches e to a variable that is free, if there is one.
func (g *graph) take(e int) bool {
	if p := g.prefer[e]; p >= 0 && g.ofVar[p] < 0 {
		g.ofVar[p], g.ofEq[e] = e, p
		return true
	}
	for _, v := range g.vars[e] {
		if g.ofVar[v] < 0 {
			g.ofVar[v], g.ofEq[e] = e, v
			return true
		}
	}
	return false
}

// augment searches an alternating path from e to a free variable, breadth first.
// seen is by variable; an entry equal to stamp was visited.
func (g *graph) augment(e int, seen []int, stamp int) bool {
	if g.take(e) {
		return true
	}
	queue := []int{e}
	from := map[Var]int{} // equation a variable was reached from
	for i := 0; i < len(queue); i++ {
		for _, v := range g.vars[queue[i]] {
			if seen[v] == stamp {
				continue
			}
			seen[v] = stamp
			from[v] = queue[i]
			k := g.ofVar[v]
			if k >= 0 && !g.hasFree(k) {
				queue = append(queue, k)
				continue
			}
			if k >= 0 { // k gives v up for a free variable
				g.take(k)
			}
			for { // flip back along the path
				p := from[v]
				old := g.ofEq[p]
				g.ofVar[v], g.ofEq[p] = p, v
				if p == e {
					return true
				}
				v = old
			}
		}
	}
	return false
}

func (g *graph) hasFree(e int) bool {
	for _, v := range g.vars[e] {
		if g.ofVar[v] < 0 {
			return true
		}
	}
	return false
}

// underdetermined marks the variables of the underdetermined part of the Dulmage–
// Mendelsohn decomposition: those that alternating paths reach from an
// unmatched variable. Equations matched to them are under too.
func (g *graph) underdetermined(active []bool) []bool {
	uses := make([][]int, len(g.ofVar))
	for e, vs := range g.vars {
		for _, v := range vs {
			uses[v] = append(uses[v], e)
		}
	}
	under := make([]bool, len(g.ofVar))
	var queue []Var
	for v, e := range g.ofVar {
		if e < 0 && active[v] {
			under[v] = true
			queue = append(queue, Var(v))
		}
	}
	for i := 0; i < len(queue); i++ {
		for _, e := range uses[queue[i]] {
			if w := g.ofEq[e]; w >= 0 && !under[w] {
				under[w] = true
				queue = append(queue, w)
			}
		}
	}
	return under
}

// overdetermined marks the equations that alternating paths reach from equation e: those
// that together with e determine fewer variables than they are.
func (g *graph) overdetermined(e int) []int {
	seen := map[int]bool{e: true}
	queue := []int{e}
	for i := 0; i < len(queue); i++ {
		for _, v := range g.vars[queue[i]] {
			if k := g.ofVar[v]; k >= 0 && !seen[k] {
				seen[k] = true
				queue = append(queue, k)
			}
		}
	}
	return queue
}

// blocks returns the matched, determined equations as strongly connected
// components in the order in which they can be solved, each alone (Tarjan,
// without recursion).
func (g *graph) blocks(under []bool) [][]int {
	n := len(g.vars)
	index, low := make([]int, n), make([]int, n)
	onStack := make([]bool, n)
	var out [][]int
	var stack []int
	type frame struct{ e, next int }
	var frames []frame
	count := 0
	visit := func(e int) {
		count++
		index[e], low[e] = count, count
		stack = append(stack, e)
		onStack[e] = true
		frames = append(frames, frame{e: e})
	}
	for root := range n {
		if g.ofEq[root] < 0 || under[g.ofEq[root]] || index[root] != 0 {
			continue
		}
		visit(root)
		for len(frames) > 0 {
			f := &frames[len(frames)-1]
			if f.next < len(g.vars[f.e]) {
				k := g.ofVar[g.vars[f.e][f.next]]
				f.next++
				switch {
				case k < 0 || k == f.e:
				case index[k] == 0:
					visit(k)
				case onStack[k]:
					low[f.e] = min(low[f.e], index[k])
				}
				continue
			}
			e := f.e
			frames = frames[:len(frames)-1]
			if len(frames) > 0 {
				p := frames[len(frames)-1].e
				low[p] = min(low[p], low[e])
			}
			if low[e] != index[e] {
				continue
			}
			at := len(stack) - 1
			for stack[at] != e {
				at--
			}
			block := append([]int(nil), stack[at:]...)
			for _, k := range block {
				onStack[k] = false
			}
			stack = stack[:at]
			out = append(out, block)
		}
	}
	return out
}
