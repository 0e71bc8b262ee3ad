package solver

import "slices"

const (
	maxFreeSets  = 64    // sets listed
	maxFreeTries = 20000 // sets tried
)

// freeSets lists the smallest sets of variables that, stated, let the equations
// match all others: by size of the structural lack, in order of the variables.
func (pl *plan) freeSets() [][]Var {
	var vars []Var
	lack := 0
	for v, u := range pl.under {
		if u {
			vars = append(vars, Var(v))
			if pl.g.ofVar[v] < 0 {
				lack++
			}
		}
	}
	var sets [][]Var
	pick := make([]int, lack)
	for i := range pick {
		pick[i] = i
	}
	for tries := 0; tries < maxFreeTries && len(sets) < maxFreeSets; tries++ {
		set := make([]Var, lack)
		for i, k := range pick {
			set[i] = vars[k]
		}
		if pl.fixes(set) {
			sets = append(sets, set)
		}
		if !nextPick(pick, len(vars)) {
			break
		}
	}
	if len(sets) == 0 { // too many to try: the unmatched ones always do
		var set []Var
		for _, v := range vars {
			if pl.g.ofVar[v] < 0 {
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

// fixes tells whether the equations of the underdetermined part can be matched
// to its variables other than those of set.
func (pl *plan) fixes(set []Var) bool {
	g := newGraph(len(pl.under))
	seen := make([]int, len(pl.under))
	mark := 0
	for e, v := range pl.g.ofEq {
		if v < 0 || !pl.under[v] {
			continue
		}
		var vars []Var
		for _, x := range pl.g.vars[e] {
			if pl.under[x] && !slices.Contains(set, x) {
				vars = append(vars, x)
			}
		}
		mark++
		if !g.addEquation(vars, -1, seen, mark) {
			return false
		}
	}
	return true
}
