package joining

import (
	"math/rand/v2"
	"slices"
	"testing"

	"perch/parts/record/bracket"
	"perch/parts/shop"
)

// possible tries every way to put parts together, from single ones: any two groups may be
// brought to each other if every task whose last members meet so is free, by some way, of
// all that is together then. It shares nothing with the search.
func possible(parts int, tasks []task) bool {
	full := 1<<parts - 1
	made := map[int]bool{}
	var can func(group int) bool
	can = func(group int) bool {
		if group&(group-1) == 0 {
			return true
		}
		if known, ok := made[group]; ok {
			return known
		}
		made[group] = false
		for half := (group - 1) & group; half > 0; half = (half - 1) & group {
			rest := group &^ half
			if half > rest || !can(half) || !can(rest) {
				continue
			}
			fine := true
			for _, t := range tasks {
				of := 0
				for _, m := range t.members {
					of |= 1 << m
				}
				if of&^group != 0 || of&half == 0 || of&rest == 0 {
					continue
				}
				free := false
				for _, by := range t.options {
					clear := true
					for _, p := range by {
						clear = clear && group>>p&1 == 0
					}
					free = free || clear
				}
				fine = fine && free
			}
			if fine {
				made[group] = true
				break
			}
		}
		return made[group]
	}
	return can(full)
}

// drawn is a problem of some parts: which fasteners hold whom, who is in whose way.
func drawn(r *rand.Rand) (int, []task) {
	parts := 2 + r.IntN(5)
	var tasks []task
	for range 1 + r.IntN(9) {
		of := r.Perm(parts)
		n := 2
		if parts > 2 && r.IntN(4) == 0 {
			n = 3
		}
		t := task{members: of[:n:n], group: string(rune('a' + r.IntN(3)))}
		for range 1 + r.IntN(2) {
			var by []int
			for _, p := range of[n:] {
				if r.IntN(3) == 0 {
					by = append(by, p)
				}
			}
			slices.Sort(by)
			t.options = append(t.options, by)
		}
		tasks = append(tasks, t)
	}
	return parts, tasks
}

func searched(parts int, tasks []task) (node, []int) {
	o := order{tasks: slices.Clone(tasks), work: mostWork, in: make([]int, parts)}
	all := make([]int, parts)
	for i := range all {
		all[i] = i
	}
	return o.part(all), o.lost
}

// follows goes through a tree and tells whether every task that was not given up is free
// at the moment at which its last members come together, in whatever order kids come.
func follows(t *testing.T, n node, tasks []task, lost []int) {
	t.Helper()
	if len(n.parts) > 1 && len(n.kids) < 2 {
		t.Fatalf("%v is made of %d groups", n.parts, len(n.kids))
	}
	var of []int
	for _, k := range n.kids {
		of = append(of, k.parts...)
		follows(t, k, tasks, lost)
	}
	slices.Sort(of)
	if len(n.kids) > 0 && !slices.Equal(of, n.parts) {
		t.Fatalf("%v is made of %v", n.parts, of)
	}
	for i, x := range tasks {
		in := func(p int) bool { return slices.Contains(n.parts, p) }
		whole := slices.ContainsFunc(n.kids, func(k node) bool {
			return !slices.ContainsFunc(x.members, func(m int) bool { return !slices.Contains(k.parts, m) })
		})
		if len(n.kids) == 0 || whole || slices.Contains(lost, i) || slices.ContainsFunc(x.members, func(m int) bool { return !in(m) }) {
			continue
		}
		if !slices.ContainsFunc(x.options, func(by []int) bool { return !slices.ContainsFunc(by, in) }) {
			t.Fatalf("task %d of %v with %v in the way is not reached in %v", i, x.members, x.options, n.parts)
		}
	}
}

// On small pieces the search finds an order exactly when an exhaustive one does, and what
// it finds can be followed.
func TestOrderAgreesWithAllOrders(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 5))
	draws, yes, no := 4000, 0, 0
	if testing.Short() {
		draws = 1500
	}
	for range draws {
		parts, tasks := drawn(r)
		tree, lost := searched(parts, tasks)
		want := possible(parts, tasks)
		if (len(lost) == 0) != want {
			t.Fatalf("%d parts, %+v: gives up %v, an order exists: %v", parts, tasks, lost, want)
		}
		follows(t, tree, tasks, lost)
		if want {
			yes++
		} else {
			no++
		}
	}
	if yes < draws/10 || no < draws/10 {
		t.Errorf("%d problems have an order, %d none: the draw is one-sided", yes, no)
	}
}

// Where no order reaches all, what is given up is of as few fasteners of one join as hold
// the group together.
func TestGivesUpTheFewest(t *testing.T) {
	tasks := []task{
		{members: []int{0, 1}, options: [][]int{{2}}, group: "a"},
		{members: []int{0, 1}, options: [][]int{{2}}, group: "a"},
		{members: []int{1, 2}, options: [][]int{{0}}, group: "b"},
	}
	_, lost := searched(3, tasks)
	if !slices.Equal(lost, []int{2}) {
		t.Errorf("gives up %v, want the one of b", lost)
	}
}

// A thousand parts in a row, each in the way of the one before it, come apart one by one;
// the work stays bounded where it would not suffice.
func TestOrderIsBounded(t *testing.T) {
	const n = 1000
	var tasks []task
	for i := range n - 2 {
		tasks = append(tasks, task{members: []int{i, i + 1}, options: [][]int{{i + 2}}})
	}
	if _, lost := searched(n, tasks); len(lost) != 0 {
		t.Errorf("%d given up of a chain", len(lost))
	}
	o := order{tasks: tasks, work: 1000, in: make([]int, n)}
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	if tree := o.part(all); o.work > 0 || len(tree.parts) != n {
		t.Errorf("work left %d of 1000", o.work)
	}
}

// Where the work does not suffice the plan says so, and has every part and fastener in it
// all the same.
func TestStoppedPlanIsWhole(t *testing.T) {
	a := bracket.Assembly()
	for _, work := range []int{1, 3, mostWork} {
		p := plan(a, shop.Default(), work)
		if p.Stopped != (work < mostWork) {
			t.Errorf("work %d: stopped %v", work, p.Stopped)
		}
		set, parts := 0, 0
		for _, s := range p.Steps {
			parts = max(parts, len(s.Together))
			for _, f := range s.Fasteners {
				set += len(f.Joins)
			}
		}
		if set != len(a.Joins) || parts != len(a.Copies) {
			t.Errorf("work %d: %d of %d fasteners, %d of %d parts", work, set, len(a.Joins), parts, len(a.Copies))
		}
	}
}
