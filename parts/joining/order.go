package joining

import "slices"

// node is parts that hang together: made of its kids, all of which come to each other at
// once or one after the other, as one likes. A node without kids is one part.
type node struct {
	parts []int
	kids  []node
}

// order finds how parts come together so that each task is reached when the last of its
// members comes.
//
// It goes backwards, from the whole piece: a task that somebody is in the way of while all
// the parts of a group are there must have been done before, so its members hang together
// already. What these tasks leave apart may be taken apart, in any order: with parts gone
// nothing new is in anybody's way. So if any order exists, this finds one.
type order struct {
	tasks []task
	in    []int // by part: the number of the group that is looked at, where it is of it
	group int
	lost  []int // tasks that were given up, so that the rest goes together
	work  int
}

// part takes a group of parts apart.
func (o *order) part(group []int) node {
	n := node{parts: group}
	if len(group) == 1 {
		return n
	}
	for {
		classes := o.classes(group)
		if len(classes) == 1 && o.giveUp(group) {
			continue
		}
		for _, c := range classes {
			if len(classes) == 1 { // the work is spent: part by part
				for _, p := range c {
					n.kids = append(n.kids, node{parts: []int{p}})
				}
				return n
			}
			n.kids = append(n.kids, o.part(c))
		}
		return n
	}
}

// enter marks the parts of a group.
func (o *order) enter(group []int) {
	o.group++
	for _, p := range group {
		o.in[p] = o.group
	}
}

// stuck tells whether a task of the group entered can't be done once all of it is together.
func (o *order) stuck(t *task) bool {
	if t.done {
		return false
	}
	for _, m := range t.members {
		if o.in[m] != o.group {
			return false
		}
	}
	for _, by := range t.options {
		o.work -= len(by) + 1
		if !slices.ContainsFunc(by, func(p int) bool { return o.in[p] == o.group }) {
			return false
		}
	}
	return true
}

// classes are the parts of a group that have to hang together before, by the first of each.
func (o *order) classes(group []int) [][]int {
	o.enter(group)
	of := make(map[int]int, len(group))
	for _, p := range group {
		of[p] = p
	}
	var root func(int) int
	root = func(p int) int {
		for of[p] != p {
			of[p] = of[of[p]]
			p = of[p]
		}
		return p
	}
	for i := range o.tasks {
		if o.work <= 0 {
			break
		}
		o.work--
		if t := &o.tasks[i]; len(t.members) > 1 && o.stuck(t) {
			for _, m := range t.members[1:] {
				a, b := root(t.members[0]), root(m)
				of[max(a, b)] = min(a, b)
			}
		}
	}
	at := map[int]int{}
	var out [][]int
	for _, p := range group {
		r := root(p)
		k, ok := at[r]
		if !ok {
			k = len(out)
			at[r] = k
			out = append(out, nil)
		}
		out[k] = append(out[k], p)
	}
	return out
}

// giveUp takes the fewest tasks of one join that hold a group together off the order, so
// that the rest of it may come apart; false where there are none.
func (o *order) giveUp(group []int) bool {
	o.enter(group)
	by := map[string][]int{}
	var names []string
	for i := range o.tasks {
		if t := &o.tasks[i]; len(t.members) > 1 && o.work > 0 && o.stuck(t) {
			if by[t.group] == nil {
				names = append(names, t.group)
			}
			by[t.group] = append(by[t.group], i)
		}
	}
	if len(names) == 0 {
		return false
	}
	least := names[0]
	for _, n := range names[1:] {
		if len(by[n]) < len(by[least]) {
			least = n
		}
	}
	for _, i := range by[least] {
		o.tasks[i].done = true
		o.lost = append(o.lost, i)
	}
	return true
}
