// Package structure tells from which variable occurs in which equation alone what can be
// solved from what, in which order, and what would have to be stated. It never looks at a
// number.
package structure

import "perch/solver/expr"

// Graph is the bipartite graph of equations and the variables that occur in
// them, both by index; what is known to carry no information is left out.
type Graph struct {
	Vars       [][]expr.Var // by equation
	prefer     []expr.Var   // by equation: the variable to take first, or -1
	EquationOf []int        // matched equation by variable, or -1
	VarOf      []expr.Var   // matched variable by equation, or -1
}

// NewGraph is a graph of so many variables and no equations yet.
func NewGraph(nvars int) *Graph {
	g := &Graph{EquationOf: make([]int, nvars)}
	for i := range g.EquationOf {
		g.EquationOf[i] = -1
	}
	return g
}

// AddEquation adds an equation and matches it if it can be, those before it
// staying matched (Kuhn's augmenting paths, without recursion). It returns
// whether it was matched.
func (g *Graph) AddEquation(vars []expr.Var, prefer expr.Var, seen []int, stamp int) bool {
	e := len(g.Vars)
	g.Vars = append(g.Vars, vars)
	g.prefer = append(g.prefer, prefer)
	g.VarOf = append(g.VarOf, -1)
	return g.augment(e, seen, stamp)
}

// take matches e to a variable that is free, if there is one.
func (g *Graph) take(e int) bool {
	if p := g.prefer[e]; p >= 0 && g.EquationOf[p] < 0 {
		g.EquationOf[p], g.VarOf[e] = e, p
		return true
	}
	for _, v := range g.Vars[e] {
		if g.EquationOf[v] < 0 {
			g.EquationOf[v], g.VarOf[e] = e, v
			return true
		}
	}
	return false
}

// augment searches an alternating path from e to a free variable, breadth first.
// seen is by variable; an entry equal to stamp was visited.
func (g *Graph) augment(e int, seen []int, stamp int) bool {
	if g.take(e) {
		return true
	}
	queue := []int{e}
	from := map[expr.Var]int{} // equation a variable was reached from
	for i := 0; i < len(queue); i++ {
		for _, v := range g.Vars[queue[i]] {
			if seen[v] == stamp {
				continue
			}
			seen[v] = stamp
			from[v] = queue[i]
			k := g.EquationOf[v]
			if k >= 0 && !g.hasFree(k) {
				queue = append(queue, k)
				continue
			}
			if k >= 0 { // k gives v up for a free variable
				g.take(k)
			}
			for { // flip back along the path
				p := from[v]
				old := g.VarOf[p]
				g.EquationOf[v], g.VarOf[p] = p, v
				if p == e {
					return true
				}
				v = old
			}
		}
	}
	return false
}

func (g *Graph) hasFree(e int) bool {
	for _, v := range g.Vars[e] {
		if g.EquationOf[v] < 0 {
			return true
		}
	}
	return false
}

// Underdetermined marks the variables of the underdetermined part of the Dulmage–
// Mendelsohn decomposition: those that alternating paths reach from an
// unmatched variable. Equations matched to them are under too.
func (g *Graph) Underdetermined() []bool {
	uses := make([][]int, len(g.EquationOf))
	for e, vs := range g.Vars {
		for _, v := range vs {
			uses[v] = append(uses[v], e)
		}
	}
	under := make([]bool, len(g.EquationOf))
	var queue []expr.Var
	for v, e := range g.EquationOf {
		if e < 0 {
			under[v] = true
			queue = append(queue, expr.Var(v))
		}
	}
	for i := 0; i < len(queue); i++ {
		for _, e := range uses[queue[i]] {
			if w := g.VarOf[e]; w >= 0 && !under[w] {
				under[w] = true
				queue = append(queue, w)
			}
		}
	}
	return under
}

// Overdetermined marks the equations that alternating paths reach from equation e: those
// that together with e determine fewer variables than they are.
func (g *Graph) Overdetermined(e int) []int {
	seen := map[int]bool{e: true}
	queue := []int{e}
	for i := 0; i < len(queue); i++ {
		for _, v := range g.Vars[queue[i]] {
			if k := g.EquationOf[v]; k >= 0 && !seen[k] {
				seen[k] = true
				queue = append(queue, k)
			}
		}
	}
	return queue
}

// Blocks returns the matched, determined equations as strongly connected
// components in the order in which they can be solved, each alone (Tarjan,
// without recursion).
func (g *Graph) Blocks(under []bool) [][]int {
	n := len(g.Vars)
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
		if g.VarOf[root] < 0 || under[g.VarOf[root]] || index[root] != 0 {
			continue
		}
		visit(root)
		for len(frames) > 0 {
			f := &frames[len(frames)-1]
			if f.next < len(g.Vars[f.e]) {
				k := g.EquationOf[g.Vars[f.e][f.next]]
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
