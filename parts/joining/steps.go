package joining

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"perch/parts/panel"
	"perch/parts/shop"
)

// writer turns the tree of what comes to what into steps.
type writer struct {
	a     *panel.Assembly
	bench *bench
	tasks []task
	of    [][]int // by part: the fasteners that hold it, once asked for
}

// held are the fasteners that hold a part.
func (w *writer) held(part int) []int {
	if w.of == nil {
		w.of = make([][]int, len(w.a.Copies))
		for i, t := range w.tasks {
			for _, m := range t.members {
				w.of[m] = append(w.of[m], i)
			}
		}
	}
	return w.of[part]
}

// steps are those that make a node: its pieces where nothing fastens them to each other,
// else its groups and then what brings them together. What is alike is made at one step.
func (w *writer) steps(n node) []Step {
	if len(n.kids) == 0 {
		return w.seam(n.parts[0])
	}
	pieces := w.pieces(n)
	if len(pieces) > 1 {
		n = node{parts: n.parts, kids: pieces}
	}
	looks := make([]string, len(n.kids))
	var sets [][][]Step // by look, the steps of each kid
	at := map[string]int{}
	for k, kid := range n.kids {
		looks[k] = w.look(kid.parts)
		made := w.steps(kid)
		if len(made) == 0 {
			continue
		}
		i, seen := at[looks[k]]
		if !seen || len(sets[i][0]) != len(made) {
			i = len(sets)
			at[looks[k]] = i
			sets = append(sets, nil)
		}
		sets[i] = append(sets[i], made)
	}
	var out []Step
	for _, of := range sets {
		for k := range of[0] {
			out = append(out, w.alike(of, k))
		}
	}
	if len(pieces) > 1 {
		return append(out, w.loose(pieces)...)
	}
	return append(out, w.together(n, looks)...)
}

// pieces are the kids of a node in groups that nothing fastens to each other, each group a
// node of its own.
func (w *writer) pieces(n node) []node {
	of := make([]int, len(n.kids))
	at := map[int]int{} // kid by part
	for k, kid := range n.kids {
		of[k] = k
		for _, p := range kid.parts {
			at[p] = k
		}
	}
	root := func(k int) int {
		for of[k] != k {
			of[k] = of[of[k]]
			k = of[k]
		}
		return k
	}
	for _, i := range w.between(n, at) {
		ks := w.kidsOf(i, at)
		for _, k := range ks[1:] {
			a, b := root(ks[0]), root(k)
			of[max(a, b)] = min(a, b)
		}
	}
	place := map[int]int{}
	var out []node
	for k, kid := range n.kids {
		r := root(k)
		i, seen := place[r]
		if !seen {
			i = len(out)
			place[r] = i
			out = append(out, node{})
		}
		out[i].parts, out[i].kids = append(out[i].parts, kid.parts...), append(out[i].kids, kid)
	}
	for i := range out {
		if len(out[i].kids) == 1 {
			out[i] = out[i].kids[0]
		}
		slices.Sort(out[i].parts)
	}
	return out
}

// loose is the step that lays what nothing fastens in its place.
func (w *writer) loose(pieces []node) []Step {
	var parts []int
	for _, p := range pieces {
		if len(p.parts) == 1 {
			parts = append(parts, p.parts[0])
		}
	}
	if len(parts) == 0 {
		return nil
	}
	return []Step{{Parts: parts, Together: parts, Sets: 1, Loose: true}}
}

// look says of what blanks and by what joins a group is made: alike groups look alike.
func (w *writer) look(parts []int) string {
	in := map[int]bool{}
	for _, p := range parts {
		in[p] = true
	}
	var names []string
	seen := map[int]bool{}
	for _, p := range parts {
		names = append(names, fmt.Sprint(w.a.Copies[p].Blank))
		for _, i := range w.held(p) {
			if !seen[i] && !slices.ContainsFunc(w.tasks[i].members, func(m int) bool { return !in[m] }) {
				seen[i] = true
				names = append(names, w.tasks[i].group)
			}
		}
	}
	slices.Sort(names)
	return strings.Join(names, " ")
}

// alike is the k-th step of sets of parts to which the same is done.
func (w *writer) alike(sets [][]Step, k int) Step {
	if len(sets) == 1 {
		return sets[0][k]
	}
	out := sets[0][k]
	var joins []int
	for i, set := range sets {
		s := set[k]
		if i > 0 {
			out.Parts, out.Onto, out.Together = append(out.Parts, s.Parts...), append(out.Onto, s.Onto...), append(out.Together, s.Together...)
			out.Sets += s.Sets
			out.Holds = append(out.Holds, s.Holds...)
			out.TackAt, out.Tacks, out.Welds = append(out.TackAt, s.TackAt...), append(out.Tacks, s.Tacks...), append(out.Welds, s.Welds...)
		}
		for _, f := range s.Fasteners {
			joins = append(joins, f.Joins...)
		}
	}
	slices.Sort(joins)
	out.Fasteners, out.Drills = w.fasteners(joins), w.drills(joins)
	return out
}

// seam is the step that fastens a part to itself, where a fastener does.
func (w *writer) seam(part int) []Step {
	var joins []int
	for _, i := range w.held(part) {
		if len(w.tasks[i].members) == 1 {
			joins = append(joins, i)
		}
	}
	if len(joins) == 0 {
		return nil
	}
	return []Step{w.step([]int{part}, nil, []int{part}, joins)}
}

// together are the steps that bring the groups of a node to each other: the one that is
// fastened to most others first, then always the one with the most fasteners to what is
// there. Groups that look alike and are not fastened to each other come at one step.
func (w *writer) together(n node, looks []string) []Step {
	at := map[int]int{} // kid by part
	for k, kid := range n.kids {
		for _, p := range kid.parts {
			at[p] = k
		}
	}
	joins := w.between(n, at)
	placed, used := make([]bool, len(n.kids)), make([]bool, len(joins))
	var there []int // what hangs together with what comes
	var out []Step
	for {
		next, held := w.next(n, at, joins, used, placed, looks)
		if next == nil {
			break
		}
		if held == 0 { // it begins
			k := w.start(n, at, joins)
			there, placed[k] = slices.Clone(n.kids[k].parts), true
			continue
		}
		var parts []int
		for _, k := range next {
			placed[k] = true
			parts = append(parts, n.kids[k].parts...)
		}
		var now []int
		for x, i := range joins {
			if !used[x] && !slices.ContainsFunc(w.kidsOf(i, at), func(k int) bool { return !placed[k] }) {
				used[x] = true
				now = append(now, i)
			}
		}
		onto := there
		there = append(slices.Clone(there), parts...)
		s := w.step(parts, w.touched(onto, now), slices.Sorted(slices.Values(there)), now)
		out = append(out, s)
	}
	return out
}

// start is the kid that is fastened to the most others, of those by the most fasteners.
func (w *writer) start(n node, at map[int]int, joins []int) int {
	near, degree := make([]map[int]bool, len(n.kids)), make([]int, len(n.kids))
	for _, i := range joins {
		of := w.kidsOf(i, at)
		for _, k := range of {
			degree[k]++
			if near[k] == nil {
				near[k] = map[int]bool{}
			}
			for _, o := range of {
				near[k][o] = true
			}
		}
	}
	start := 0
	for k := range degree {
		if len(near[k]) > len(near[start]) || len(near[k]) == len(near[start]) && degree[k] > degree[start] {
			start = k
		}
	}
	return start
}

// between are the fasteners that hold parts of several kids of a node.
func (w *writer) between(n node, at map[int]int) []int {
	var out []int
	seen := map[int]bool{}
	for _, p := range n.parts {
		for _, i := range w.held(p) {
			if seen[i] {
				continue
			}
			seen[i] = true
			if ks := w.kidsOf(i, at); len(ks) > 1 {
				out = append(out, i)
			}
		}
	}
	slices.Sort(out)
	return out
}

// kidsOf are the kids that a fastener holds; none where it holds a part from elsewhere.
func (w *writer) kidsOf(join int, at map[int]int) []int {
	var out []int
	for _, m := range w.tasks[join].members {
		k, ok := at[m]
		if !ok {
			return nil
		}
		if !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	return out
}

// next are the kids that come next: of those not there yet that which the most fasteners
// can hold to what is there, and all that look like it, that as many of the same joins
// hold and that none holds to another of them. It tells how many hold each.
func (w *writer) next(n node, at map[int]int, joins []int, used, placed []bool, looks []string) ([]int, int) {
	held := make([]int, len(n.kids))
	by := make([][]string, len(n.kids))
	tied := make([]map[int]bool, len(n.kids))
	for x, i := range joins {
		if used[x] {
			continue
		}
		var open []int
		for _, k := range w.kidsOf(i, at) {
			if !placed[k] {
				open = append(open, k)
			}
		}
		for _, k := range open {
			if tied[k] == nil {
				tied[k] = map[int]bool{}
			}
			for _, o := range open {
				tied[k][o] = tied[k][o] || o != k
			}
		}
		if of := w.kidsOf(i, at); len(open) < len(of) { // of a stack of three one may be there
			for _, k := range open {
				held[k]++
				by[k] = append(by[k], w.tasks[i].group)
			}
		}
	}
	best := -1
	for k := range n.kids {
		if !placed[k] && (best < 0 || held[k] > held[best]) {
			best = k
		}
	}
	if best < 0 {
		return nil, 0
	}
	out := []int{best}
	for k := best + 1; k < len(n.kids); k++ {
		if placed[k] || held[k] != held[best] || looks[k] != looks[best] || !slices.Equal(by[k], by[best]) {
			continue
		}
		if held[k] > 0 && !slices.ContainsFunc(out, func(o int) bool { return tied[k][o] }) {
			out = append(out, k)
		}
	}
	return out, held[best]
}

// touched are those of parts that fasteners hold.
func (w *writer) touched(parts, joins []int) []int {
	var out []int
	for _, i := range joins {
		for _, m := range w.tasks[i].members {
			if slices.Contains(parts, m) && !slices.Contains(out, m) {
				out = append(out, m)
			}
		}
	}
	slices.Sort(out)
	return out
}

// step is what is done where parts come onto others and fasteners hold them.
func (w *writer) step(parts, onto, together, joins []int) Step {
	s := Step{Parts: parts, Onto: onto, Together: together, Sets: 1}
	s.Holds = w.holds(joins)
	for _, t := range TackedPairs(w.a, joins) {
		for _, i := range t.Beside {
			if !slices.Contains(s.TackAt, i) {
				s.TackAt = append(s.TackAt, i)
			}
		}
	}
	s.TackAt = w.balanced(s.TackAt)
	var set, tacks, welds []int
	for _, i := range joins {
		switch w.a.Joins[i].Kind {
		case "tack":
			tacks = append(tacks, i)
		case "weld", "plug":
			welds = append(welds, i)
		default:
			set = append(set, i)
		}
	}
	s.Tacks, s.Welds = w.balanced(tacks), w.balanced(welds)
	s.Drills, s.Fasteners = w.drills(set), w.fasteners(set)
	return s
}

// fasteners are rivets and bolts by kind and size, in the order of the joins.
func (w *writer) fasteners(joins []int) []Fasteners {
	var out []Fasteners
	for _, i := range joins {
		j := &w.a.Joins[i]
		f := Fasteners{Kind: j.Kind, Diameter: j.Diameter, Closing: j.Closing, Countersunk: j.Countersunk, Shank: j.Shank}
		k := slices.IndexFunc(out, func(o Fasteners) bool {
			return o.Kind == f.Kind && o.Diameter == f.Diameter && o.Closing == f.Closing && o.Countersunk == f.Countersunk && sameShank(o.Shank, f.Shank)
		})
		if k < 0 {
			k = len(out)
			out = append(out, f)
		}
		out[k].Joins = append(out[k].Joins, i)
	}
	return out
}

// sameShank tells whether fasteners come out of one drawer: their lengths are the same, or
// where none is stocked what is needed is, within what a rule shows.
func sameShank(a, b shop.Shank) bool {
	const seen = 0.05 // mm
	same := func(x, y float64) bool { return x-y < seen && y-x < seen }
	return a.Length == b.Length && same(a.Cut, b.Cut) && (a.Length > 0 || same(a.Need, b.Need))
}

// drills are the holes of fasteners that are drilled in place, by diameter.
func (w *writer) drills(joins []int) []Drilling {
	var out []Drilling
	for _, i := range joins {
		for _, m := range w.a.Joins[i].Members {
			p := w.bench.point(m)
			if p.Made() != panel.InPlace {
				continue
			}
			k := slices.IndexFunc(out, func(d Drilling) bool { return d.Diameter == p.Diameter })
			if k < 0 {
				k = len(out)
				out = append(out, Drilling{Diameter: p.Diameter})
			}
			out[k].Count++
			if n := len(out[k].Joins); n == 0 || out[k].Joins[n-1] != i {
				out[k].Joins = append(out[k].Joins, i)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Drilling) int { return cmp.Compare(a.Diameter, b.Diameter) })
	return out
}

// oneClamp is how far apart, in mm, the fasteners of two parts may be for one clamp to hold
// them while they are drilled (common practice, no source).
const oneClamp = 100.0

// holds says for each two parts what keeps them in their places until they are fastened:
// clamps, two where one would let them turn, and the fasteners whose holes locate them.
func (w *writer) holds(joins []int) (out []Hold) {
	spread := map[[2]int][]int{}
	for _, i := range joins {
		j := &w.a.Joins[i]
		for k := 1; k < len(j.Members); k++ {
			a, b := j.Members[k-1].Copy, j.Members[k].Copy
			if a == b {
				continue
			}
			pair := [2]int{min(a, b), max(a, b)}
			at := slices.IndexFunc(out, func(h Hold) bool { return h.Parts == pair })
			if at < 0 {
				at = len(out)
				out = append(out, Hold{Parts: pair, By: j.Located, Clamps: 1})
			}
			spread[pair] = append(spread[pair], i)
			if slices.ContainsFunc(j.Members, func(m panel.JoinMember) bool { return w.bench.point(m).Made() == panel.Locate }) {
				out[at].Pins = append(out[at].Pins, i)
			}
		}
	}
	for k := range out {
		of := spread[out[k].Parts]
		a := w.farthest(of, of[0])
		b := w.farthest(of, a)
		if w.a.Joins[a].At.Sub(w.a.Joins[b].At).Len() > oneClamp {
			out[k].Clamps = 2
		}
	}
	return out
}

// farthest is the first of the fasteners that lie farthest from one of them.
func (w *writer) farthest(of []int, from int) int {
	best, far := from, 0.0
	for _, i := range of {
		if d := w.a.Joins[i].At.Sub(w.a.Joins[from].At).Len(); d > far+nearlySame {
			best, far = i, d
		}
	}
	return best
}
