package compare

import (
	"slices"

	"perch/lang/check"
)

// maxRounds are the rounds in which renamed names are looked for: what stands in a
// renamed panel shows in the second.
const maxRounds = 4

// readSides reads both programs and finds what was renamed: of what only the old one and
// only the new one declares in one place, those that are used in the same places, say the
// same, or stand between the same neighbours.
func readSides(old, new *check.Program) *sides {
	s := &sides{old: newReader(old), new: newReader(new), renamed: map[*check.Decl]*check.Decl{}}
	for range maxRounds {
		clear(s.old.marks)
		clear(s.new.marks)
		f := finder{sides: s, votes: map[[2]int]int{}, oldAlone: map[int]bool{}, newAlone: map[int]bool{}}
		f.each(func(o, n []entry) { f.leftover(o, n) })
		if len(f.groups) == 0 {
			break
		}
		f.each(f.vote)
		if !f.settle() {
			break
		}
	}
	clear(s.old.marks)
	clear(s.new.marks)
	return s
}

// finder looks for renamed declarations.
type finder struct {
	*sides
	groups []group
	olds   []*check.Decl // by number
	news   []*check.Decl
	votes  map[[2]int]int // uses of the old that are uses of the new
	// What is used where none of what is left over on the other side is: it came or went.
	oldAlone, newAlone map[int]bool
}

// group is what is left over in one place, on both sides, of one kind.
type group struct{ olds, news []candidate }

// candidate is a declaration left over: its number, its entry, and the labels of its
// neighbours.
type candidate struct {
	number int
	entry  entry
	beside [2]string
}

// each visits the pairs of lists of entries that stand in one place: files of one name,
// and the bodies of what has one name.
func (f *finder) each(visit func(old, new []entry)) {
	var walk func(o, n []entry)
	walk = func(o, n []entry) {
		visit(o, n)
		p := paired(o, n)
		for i := range n {
			if k := p.new[i]; k >= 0 {
				x, y := f.bodies(&o[k], &n[i])
				if len(x)+len(y) > 0 {
					walk(x, y)
				}
			}
		}
	}
	walk(f.old.entries(f.old.prog.Root), f.new.entries(f.new.prog.Root))
	for _, m := range f.new.prog.Modules[1:] {
		for _, o := range f.old.prog.Modules[1:] {
			if m.Name == o.Name && isFile(m) {
				walk(f.old.entries(o), f.new.entries(m))
			}
		}
	}
}

// leftover notes what has no partner in one place, and numbers it so that its uses are
// counted.
func (f *finder) leftover(old, new []entry) {
	p := paired(old, new)
	by := map[check.DeclKind]int{} // index in groups
	first := len(f.groups)
	put := func(d *check.Decl, add func(g *group)) {
		i, seen := by[d.Kind]
		if !seen {
			i = len(f.groups)
			by[d.Kind] = i
			f.groups = append(f.groups, group{})
		}
		add(&f.groups[i])
	}
	for k := range old {
		if d := old[k].decl; p.old[k] < 0 && d != nil && f.renamed[d] == nil {
			f.old.marks[d] = len(f.olds)
			put(d, func(g *group) { g.olds = append(g.olds, candidate{len(f.olds), old[k], beside(old, k)}) })
			f.olds = append(f.olds, d)
		}
	}
	for k := range new {
		if d := new[k].decl; p.new[k] < 0 && d != nil && new[k].from == "" {
			f.new.marks[d] = len(f.news)
			put(d, func(g *group) { g.news = append(g.news, candidate{len(f.news), new[k], beside(new, k)}) })
			f.news = append(f.news, d)
		}
	}
	kept := f.groups[:first]
	for _, g := range f.groups[first:] {
		if len(g.olds) > 0 && len(g.news) > 0 {
			kept = append(kept, g)
		}
	}
	f.groups = kept
}

// beside are the labels of an entry's neighbours.
func beside(all []entry, k int) (out [2]string) {
	if k > 0 {
		out[0] = all[k-1].label()
	}
	if k+1 < len(all) {
		out[1] = all[k+1].label()
	}
	return out
}

// vote counts where statements that are otherwise the same use the one in place of the
// other.
func (f *finder) vote(old, new []entry) {
	p := paired(old, new)
	for i := range new {
		if p.new[i] < 0 {
			continue
		}
		o, n := old[p.new[i]].text, new[i].text
		a, b := counted(o), counted(n)
		switch {
		case len(a) > 0 && len(a) == len(b) && around(o) == around(n):
			for k := range a {
				f.votes[[2]int{a[k], b[k]}]++
			}
		case len(b) == 0:
			for _, k := range a {
				f.oldAlone[k] = true
			}
		case len(a) == 0:
			for _, k := range b {
				f.newAlone[k] = true
			}
		}
	}
	f.voteStates(old, new)
}

// voteStates counts where sizes state the one in place of the other, alike.
func (f *finder) voteStates(old, new []entry) {
	for i := range new {
		for k := range old {
			o, n := &old[k], &new[i]
			if o.states == nil || n.states == nil || around(o.text) != around(n.text) {
				continue
			}
			a, left := f.old.marks[o.states]
			b, came := f.new.marks[n.states]
			if left && came {
				f.votes[[2]int{a, b}]++
			}
		}
	}
}

// settle takes the pairs that most speaks for; ok tells that there were some.
func (f *finder) settle() (ok bool) {
	for _, g := range f.groups {
		for {
			best, bo, bn := 0, -1, -1
			for i, o := range g.olds {
				for k, n := range g.news {
					if w := f.weight(&o, &n); w > best {
						best, bo, bn = w, i, k
					}
				}
			}
			if bo < 0 {
				break
			}
			o, n := &g.olds[bo].entry, &g.news[bn].entry
			f.old.named[o.decl], f.renamed[o.decl] = n.name, n.decl
			ok = true
			g.olds, g.news = slices.Delete(g.olds, bo, bo+1), slices.Delete(g.news, bn, bn+1)
		}
	}
	return ok
}

// weight is how much speaks for two declarations being one: uses first, then what they
// say, unless one of them is used where the other can't have been, then their neighbours;
// 0 where nothing or only their place does.
func (f *finder) weight(o, n *candidate) int {
	a, b := &o.entry, &n.entry
	if a.decl.Param != nil && b.decl.Param != nil && (a.decl.Param.Type.Name != b.decl.Param.Type.Name || a.decl.Param.List != b.decl.Param.List) {
		return 0
	}
	w := 8 * f.votes[[2]int{o.number, n.number}]
	says := a.text != "" || a.inner != nil // nothing is the same anywhere
	says = o.beside == n.beside || says && !(f.oldAlone[o.number] && f.newAlone[n.number])
	if around(a.text) == around(b.text) && a.from == "" && says && alikeInner(a, b) {
		w += 4
	}
	if w > 0 {
		for side := range 2 {
			if o.beside[side] == n.beside[side] {
				w++
			}
		}
	}
	return w
}

func alikeInner(a, b *entry) bool {
	if len(a.inner) != len(b.inner) {
		return false
	}
	for i := range a.inner {
		x, y := &a.inner[i], &b.inner[i]
		if x.label() != y.label() || around(x.text) != around(y.text) || !alikeInner(x, y) {
			return false
		}
	}
	return true
}
