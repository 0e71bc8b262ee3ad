package structure

import (
	"math/rand/v2"
	"slices"
	"testing"

	"perch/solver/expr"
)

// graph is one of n variables, an equation for each list.
func graph(n int, equations ...[]expr.Var) (g *Graph, matched []bool) {
	g = NewGraph(n)
	seen := make([]int, n)
	for k, vars := range equations {
		matched = append(matched, g.AddEquation(vars, -1, seen, k+1))
	}
	return g, matched
}

// TestParts splits a system into what is determined too often, just so, and too little (A. L.
// Dulmage, N. S. Mendelsohn, "Coverings of bipartite graphs", Canadian Journal of Mathematics
// 10, 1958): two equations for x0, x1 and x2 in a circle, one equation for x3 and x4.
func TestParts(t *testing.T) {
	g, matched := graph(5, []expr.Var{0}, []expr.Var{0}, []expr.Var{1, 2}, []expr.Var{0, 1, 2}, []expr.Var{2, 3, 4})
	if !slices.Equal(matched, []bool{true, false, true, true, true}) {
		t.Errorf("matched %v", matched)
	}
	if over := g.Overdetermined(1); !slices.Equal(over, []int{1, 0}) {
		t.Errorf("overdetermined %v", over)
	}
	under := g.Underdetermined()
	if !slices.Equal(under, []bool{false, false, false, true, true}) {
		t.Errorf("underdetermined %v", under)
	}
	blocks := g.Blocks(under)
	if len(blocks) != 2 || !slices.Equal(blocks[0], []int{0}) || len(blocks[1]) != 2 {
		t.Errorf("blocks %v", blocks)
	}
	if sets := g.FreeSets(under); len(sets) != 2 || !slices.Equal(sets[0], []expr.Var{3}) || !slices.Equal(sets[1], []expr.Var{4}) {
		t.Errorf("free sets %v", sets)
	}
}

// TestMatchingIsLargest holds the number of matched equations to that found by trying every
// choice, and the order of blocks to what each needs.
func TestMatchingIsLargest(t *testing.T) {
	rnd := rand.New(rand.NewPCG(2, 3))
	for range 500 {
		n := 1 + rnd.IntN(6)
		equations := make([][]expr.Var, 1+rnd.IntN(6))
		for e := range equations {
			for v := range n {
				if rnd.IntN(3) == 0 {
					equations[e] = append(equations[e], expr.Var(v))
				}
			}
		}
		g, matched := graph(n, equations...)
		got := 0
		for _, m := range matched {
			if m {
				got++
			}
		}
		if want := most(equations, make([]bool, n)); got != want {
			t.Fatalf("%v: %d matched of %d", equations, got, want)
		}
		under := g.Underdetermined()
		solved := make([]bool, n)
		for _, b := range g.Blocks(under) {
			for _, e := range b {
				solved[g.VarOf[e]] = true
			}
			for _, e := range b {
				for _, v := range equations[e] {
					if !solved[v] {
						t.Fatalf("%v: block %v needs x%d, not yet solved", equations, b, v)
					}
				}
			}
		}
		for v := range n {
			if solved[v] == under[v] {
				t.Fatalf("%v: x%d solved %v, underdetermined %v", equations, v, solved[v], under[v])
			}
		}
		for _, set := range g.FreeSets(under) {
			more := slices.Clone(equations)
			for _, v := range set {
				more = append(more, []expr.Var{v})
			}
			fixed, _ := graph(n, more...)
			if slices.Contains(fixed.Underdetermined(), true) {
				t.Fatalf("%v: %v stated leave something open", equations, set)
			}
		}
	}
}

// most is how many equations can have a variable each, by trying.
func most(equations [][]expr.Var, taken []bool) int {
	if len(equations) == 0 {
		return 0
	}
	best := most(equations[1:], taken)
	for _, v := range equations[0] {
		if !taken[v] {
			taken[v] = true
			best = max(best, 1+most(equations[1:], taken))
			taken[v] = false
		}
	}
	return best
}

func TestPreferred(t *testing.T) {
	g := NewGraph(3)
	seen := make([]int, 3)
	g.AddEquation([]expr.Var{0, 1, 2}, 2, seen, 1)
	if g.VarOf[0] != 2 {
		t.Errorf("took x%d", g.VarOf[0])
	}
}
