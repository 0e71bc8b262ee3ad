package check

import (
	"cmp"
	"slices"
	"strings"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// unit is one statement at the top of a design, with what its check looked at: it
// need not be checked again while none of that changes.
type unit struct {
	i     int // its place among all
	stmt  syntax.Stmt
	decl  *Decl // nil of a rule
	sound bool  // no mistake of syntax is near: the text alone tells the tree

	names []asked // of the whole text, known or not
	parts bool    // it needs every part of the design
	told  bool    // it has a mistake, or was excused one: what it looked at is not all it goes by

	shows    string  // what others can see of its name; "": all of it
	mentions []asked // names of the text in that
}

// beginUnits lists the statements of the design.
func (c *checker) beginUnits(m *Module) {
	c.units = make([]unit, 0, len(m.File.Stmts))
	order := m.Order
	for i, s := range m.File.Stmts {
		switch s.(type) {
		case *syntax.Use, *syntax.Design:
			continue
		}
		c.units = append(c.units, unit{i: len(c.units), stmt: s, sound: soundAt(m.File.Stmts, i, c.mem.mistakes)})
		u := &c.units[len(c.units)-1]
		if len(order) > 0 && order[0].Node == s {
			u.decl, order[0].unit = order[0], u
			order = order[1:]
		}
	}
}

// soundAt says that no mistake touches a statement or what stands between it and
// its neighbours.
func soundAt(stmts []syntax.Stmt, i int, mistakes []diag.Diagnostic) bool {
	near := stmts[i].Span()
	if i > 0 {
		near.Start = stmts[i-1].Span().End
	} else {
		near.Start = 0
	}
	if i+1 < len(stmts) {
		near.End = stmts[i+1].Span().Start
	} else {
		near.End = int32(len(near.Source.Text))
	}
	touches := func(sp diag.Span) bool { return sp.Start <= near.End && sp.End >= near.Start }
	for i := range mistakes {
		d := &mistakes[i]
		if touches(d.Span) ||
			slices.ContainsFunc(d.Related, func(r diag.Related) bool { return touches(r.Span) }) ||
			d.Fix != nil && slices.ContainsFunc(d.Fix.Edits, func(e diag.Edit) bool { return touches(e.Span) }) {
			return false
		}
	}
	return true
}

// look checks one statement.
func (c *checker) look(u *unit) {
	c.unit = u
	switch s := u.stmt.(type) {
	case *syntax.Rule:
		if !c.prog.Root.library {
			c.checkRule(c.prog.Root, s)
		}
	default:
		if u.decl != nil {
			c.checkDeclared(u.decl)
		}
	}
	c.unit = nil
}

// lookAt checks the statements that which names, rules last.
func (c *checker) lookAt(which func(i int) bool) {
	for _, rules := range []bool{false, true} {
		for i := range c.units {
			if (c.units[i].decl == nil) == rules && which(i) {
				c.look(&c.units[i])
			}
		}
	}
}

// context is what is being read, to come back to.
type context struct {
	node     *Decl
	unit     *unit
	reported int
}

// enter turns to what d says; leave comes back from it.
func (c *checker) enter(d *Decl) context {
	outer := context{c.node, c.unit, c.reported}
	c.node, c.unit = d, d.unit
	return outer
}

func (c *checker) leave(outer context) {
	c.node, c.unit, c.reported = outer.node, outer.unit, outer.reported
}

// asked is a name of the whole text that was asked for in a space.
type asked struct {
	in   Space
	name string
}

func (a asked) compare(b asked) int {
	return cmp.Or(strings.Compare(a.name, b.name), int(a.in)-int(b.in))
}

// asks notes that what is being read asked for a name of the whole text.
func (c *checker) asks(name asked) {
	if c.unit != nil {
		c.unit.names = append(c.unit.names, name)
	}
}

// tells notes that what is being read has a mistake, or would have.
func (c *checker) tells() {
	if c.unit != nil {
		c.unit.told = true
	}
}

// lost says, before a mistake is reported, whether it is excused: a word that
// was missed stands in text of m that the parser had to skip.
func (c *checker) lost(m *Module, words ...string) bool {
	c.tells()
	return m.lost(words...)
}

// end brings what a unit noted into order.
func (u *unit) end() {
	slices.SortFunc(u.names, asked.compare)
	u.names = slices.Compact(u.names)
}

// needs are the units that u's names stand for; of a param none, for params may
// need each other.
func (u *unit) needs(names *Names, units []unit, yield func(*unit) bool) {
	if u.decl != nil && u.decl.Kind == Param {
		return
	}
	for _, n := range u.names {
		if d := names.Find(n.in, n.name); d != nil && d.unit != nil && !yield(d.unit) {
			return
		}
	}
	if u.parts {
		for i := range units {
			if d := units[i].decl; d != nil && d.Kind == Part && !yield(&units[i]) {
				return
			}
		}
	}
}
