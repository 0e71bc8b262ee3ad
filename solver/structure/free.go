package structure

import (
	"slices"

	"perch/solver/expr"
)

const (
	MaxFreeSets  = 64    // sets listed
	maxFreeTries = 20000 // sets tried of one part, times its size
)

// FreeSets lists the smallest sets of variables that, stated, let the equations
// match all others, in order of the variables. Parts that share no equation are
// taken one by one and combined; past maxFreeSets or maxFreeTries the list ends.
func (g *Graph) FreeSets(under []bool) [][]expr.Var {
	sets := [][]expr.Var{nil}
	for _, part := range g.parts(under) {
		var next [][]expr.Var
		own := g.freeSetsOf(part, under)
		for _, s := range sets {
			for _, o := range own {
				if len(next) < MaxFreeSets {
					next = append(next, slices.Concat(s, o))
				}
			}
		}
		sets = next
	}
	for _, s := range sets {
		slices.Sort(s)
	}
	return sets
}

// parts splits the underdetermined variables into those that equations connect.
func (g *Graph) parts(under []bool) [][]expr.Var {
	root := make([]int, len(under))
	for i := range root {
		root[i] = i
	}
	find := func(v expr.Var) int {
		i := int(v)
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for e, v := range g.VarOf {
		if v < 0 || !under[v] {
			continue
		}
		for _, x := range g.Vars[e] {
			if under[x] {
				a, b := find(v), find(x)
				root[max(a, b)] = min(a, b)
			}
		}
	}
	at := map[int]int{}
	var parts [][]expr.Var
	for v, u := range under {
		if !u {
			continue
		}
		r := find(expr.Var(v))
		k, ok := at[r]
		if !ok {
			k = len(parts)
			at[r] = k
			parts = append(parts, nil)
		}
		parts[k] = append(parts[k], expr.Var(v))
	}
	return parts
}

// freeSetsOf is freeSets for one part.
func (g *Graph) freeSetsOf(vars []expr.Var, under []bool) [][]expr.Var {
	lack := 0
	for _, v := range vars {
		if g.EquationOf[v] < 0 {
			lack++
		}
	}
	var eqs []int
	for _, v := range vars {
		if e := g.EquationOf[v]; e >= 0 {
			eqs = append(eqs, e)
		}
	}
	var sets [][]expr.Var
	pick := make([]int, lack)
	for i := range pick {
		pick[i] = i
	}
	for tries := 0; tries*len(vars) < maxFreeTries && len(sets) < MaxFreeSets; tries++ {
		set := make([]expr.Var, lack)
		for i, k := range pick {
			set[i] = vars[k]
		}
		if g.fixes(eqs, set, under) {
			sets = append(sets, set)
		}
		if !nextPick(pick, len(vars)) {
			break
		}
	}
	if len(sets) == 0 { // too many to try: the unmatched ones always do
		var set []expr.Var
		for _, v := range vars {
			if g.EquationOf[v] < 0 {
				set = append(set, v)
			}
		}
		sets = append(sets, set)
	}
	return sets
}

// nextPick steps to the next combination of len(pick) out of n in order.
func nextPick(pick []int, n int) bool {
	k := len(pick)
	for i := k - 1; i >= 0; i-- {
		if pick[i] < n-k+i {
			pick[i]++
			for j := i + 1; j < k; j++ {
				pick[j] = pick[j-1] + 1
			}
			return true
		}
	}
	return false
}

// fixes tells whether the equations can be matched to underdetermined variables
// other than those of set.
func (g *Graph) fixes(eqs []int, set []expr.Var, under []bool) bool {
	rest := NewGraph(len(under))
	seen := make([]int, len(under))
	for mark, e := range eqs {
		var vars []expr.Var
		for _, x := range g.Vars[e] {
			if under[x] && !slices.Contains(set, x) {
				vars = append(vars, x)
			}
		}
		if !rest.AddEquation(vars, -1, seen, mark+1) {
			return false
		}
	}
	return true
}
