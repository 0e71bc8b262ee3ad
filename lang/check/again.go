package check

import (
	"slices"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// recheck is a check that goes by the memory of a version before.
type recheck struct {
	*checker
	before  *Memory
	was     []*unit // what each statement was; nil where it is new
	look    []bool  // whether it has to be looked at
	changed names
}

// names are some of a text; of a few one is found sooner without a map.
type names struct {
	few  []asked
	many map[asked]bool
}

func (n *names) add(name asked) {
	switch {
	case n.has(name):
	case len(n.few) < 8:
		n.few = append(n.few, name)
	default:
		if n.many == nil {
			n.many = map[asked]bool{}
		}
		n.many[name] = true
	}
}

func (n *names) has(name asked) bool { return slices.Contains(n.few, name) || n.many[name] }

// diagnoseAgain is Diagnose by what was remembered; its memory is nil where that
// does not do.
func diagnoseAgain(root *syntax.File, mistakes []diag.Diagnostic, l Loader, builtin Builtins, before *Memory, had []loaded) ([]diag.Diagnostic, *Memory) {
	const few = 1000 // expressions to look at
	c := newChecker(root, l, builtin, few)
	c.mem = &Memory{mistakes: mistakes, loads: before.loads, modules: before.modules, others: before.others, searches: before.searches}
	c.again, c.had, c.searches = true, had, before.searches
	for _, m := range before.modules {
		c.modules[m.Source.Name] = m
	}
	if len(mistakes) == 0 {
		c.prog.Root.skipped = func() map[string]bool { return nil } // all of it was understood
	}
	c.load(c.prog.Root)
	c.prog.Modules = append(c.prog.Modules, before.modules...)
	a := recheck{checker: c, before: before, was: make([]*unit, len(c.units)), look: make([]bool, len(c.units))}
	a.match()
	a.bindings()
	if c.stale || !a.spread() {
		return nil, nil
	}
	c.lookAt(func(i int) bool {
		if a.look[i] || a.was[i].told {
			c.mem.Looked++
			return true
		}
		return false
	})
	found := len(c.diags)
	c.reportCycles()
	if len(c.diags) > found || !a.keep() || a.circle() {
		return nil, nil
	}
	c.reportUnused()
	c.diags = append(c.diags, before.others...)
	return c.sorted(), c.remember(false)
}

// match finds the statements that stand as they stood, at the beginning and at
// the end of the text; those between are new.
func (a *recheck) match() {
	is, was := a.units, a.before.units
	same := func(i, j int) bool {
		x, y := &is[i], &was[j]
		return x.sound && y.sound && (x.decl == nil) == (y.decl == nil) && x.stmt.Span().Text() == y.stmt.Span().Text()
	}
	n := 0
	for n < len(is) && n < len(was) && same(n, n) {
		a.was[n] = &was[n]
		n++
	}
	for i, j := len(is)-1, len(was)-1; i >= n && j >= n && same(i, j); i, j = i-1, j-1 {
		a.was[i] = &was[j]
	}
	for i, w := range a.was {
		a.look[i] = w == nil
	}
}

// bindings finds the names that stand for something else now, or for nothing.
func (a *recheck) bindings() {
	for in := range spaces {
		had, has := a.before.names[in], a.prog.Root.names[in]
		for name := range had {
			if has[name] == nil {
				a.changed.add(asked{in, name})
			}
		}
		for name, is := range has {
			if was := had[name]; was != is && a.means(was, is) { // one is of a module
				a.changed.add(asked{in, name})
			}
		}
	}
}

// means says that a name means something else now.
func (a *recheck) means(was, is *Decl) bool {
	if was == nil || was.unit == nil || is.unit == nil {
		return true
	}
	w := a.was[is.unit.i]
	return w != nil && w != was.unit
}

// maxRounds caps how often the statements are gone through for what a change
// leads to; past it, a whole check is as fast.
const maxRounds = 16

// spread finds what has to be looked at: what asks for a name that changed, and
// what asks for the names of such statements where they show something else now.
func (a *recheck) spread() bool {
	done := make([]bool, len(a.units))
	for round := 0; round < maxRounds; round++ {
		more := false
		for i := range a.units {
			if !a.look[i] && a.hit(a.was[i].names) {
				a.look[i] = true
			}
			if a.look[i] && !done[i] && a.turned(&a.units[i]) {
				done[i], more = true, true
			}
		}
		if !more {
			return true
		}
	}
	return false
}

// hit says that a name among those changed.
func (a *recheck) hit(names []asked) bool {
	return len(a.changed.few) > 0 && slices.ContainsFunc(names, a.changed.has)
}

// turned says, and notes, that a statement's name is newly known to show something else.
func (a *recheck) turned(u *unit) bool {
	d := u.decl
	if d == nil {
		return false
	}
	name := asked{d.Space(), d.Name}
	if a.prog.Root.names.Find(name.in, name.name) != d || a.changed.has(name) {
		return false
	}
	if u.shows == "" {
		u.shows, u.mentions = a.shown(d)
	}
	was := a.before.names.Find(name.in, name.name).unit
	if u.shows != "" && u.shows == was.shows && !a.hit(u.mentions) {
		return false
	}
	a.changed.add(name)
	return true
}

// keep takes over what is known of the statements that were not looked at. It is
// false where one of them turned out to have a mistake.
func (a *recheck) keep() bool {
	root := a.prog.Root
	imported := map[asked]*Decl{}
	for _, im := range root.imports {
		for _, d := range im.decls {
			imported[asked{d.Space(), im.name.Name}] = d
		}
	}
	for i := range a.units {
		u, w := &a.units[i], a.was[i]
		if a.look[i] || w.told {
			u.end()
			if u.decl != nil && u.shows == "" {
				u.shows, u.mentions = a.shown(u.decl)
			}
			continue
		}
		if u.told {
			return false
		}
		u.names, u.parts, u.shows, u.mentions = w.names, w.parts, w.shows, w.mentions
		if len(imported) == 0 {
			continue
		}
		for _, n := range u.names {
			if d := imported[n]; d != nil {
				root.uses(d)
			}
		}
	}
	return !a.stale && !a.deep && a.searches < maxSearches
}

// uses notes that a text uses what it imports.
func (m *Module) uses(d *Decl) {
	if im := m.importOf(d); im != nil {
		im.used = true
	}
}

// circle says that a statement that was looked at may need itself.
func (a *recheck) circle() bool {
	const (
		open   = 1
		closed = 2
	)
	marks := make([]uint8, len(a.units))
	var visit func(u *unit) bool
	visit = func(u *unit) (found bool) {
		if marks[u.i] != 0 {
			return marks[u.i] == open
		}
		marks[u.i] = open
		u.needs(a.prog.Root.names, a.units, func(v *unit) bool {
			found = visit(v)
			return !found
		})
		marks[u.i] = closed
		return found
	}
	for i := range a.units {
		if a.look[i] && visit(&a.units[i]) {
			return true
		}
	}
	return false
}
