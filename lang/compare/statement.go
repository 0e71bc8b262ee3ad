package compare

import (
	"strings"

	"perch/lang/check"
)

// sides are both programs, read with one set of names.
type sides struct {
	old, new *reader
	renamed  map[*check.Decl]*check.Decl // of the old program: what a declaration became
}

// statements compares the design and the files it uses, statement by statement. What was
// renamed goes by its new name on both sides, so that its uses are no difference. What
// was copied out of a library or moved to another file is compared with what it was.
func (s *sides) statements() []Statement {
	c := changes{sides: s}
	old, new := s.old.prog, s.new.prog
	if o, n := old.Units.String(), new.Units.String(); o != n {
		c.add(Statement{Change: Changed, Name: "design", Old: "in " + o, New: "in " + n, was: "in " + o, is: "in " + n})
	}
	c.compare("", s.old.entries(old.Root), s.new.entries(new.Root))
	before := map[string]*check.Module{}
	for _, m := range old.Modules[1:] {
		before[m.Name] = m
	}
	for _, m := range new.Modules[1:] {
		c.module = m.Name
		o := before[m.Name]
		delete(before, m.Name)
		switch {
		case o == nil && isFile(m):
			c.add(Statement{Change: Added, Name: "file " + m.Name})
			c.brought(m)
		case o != nil && isFile(m):
			c.compare("", s.old.entries(o), s.new.entries(m))
		}
	}
	for _, m := range old.Modules[1:] {
		if before[m.Name] != nil && isFile(m) {
			c.module = m.Name
			c.add(Statement{Change: Removed, Name: "file " + m.Name})
		}
	}
	return c.list
}

// isFile tells a file of the user's from the library, which is the same for both sides.
func isFile(m *check.Module) bool { return strings.HasSuffix(m.Name, ".perch") }

type changes struct {
	*sides
	module string
	list   []Statement
}

func (c *changes) add(s Statement) {
	s.Module = c.module
	c.list = append(c.list, s)
}

// compare tells what became of the entries of one file or body.
func (c *changes) compare(path string, old, new []entry) {
	p := paired(old, new)
	for i := range new {
		n := &new[i]
		label := path + n.label()
		if o := p.new[i]; o >= 0 {
			c.pair(path, label, &old[o], n)
			continue
		}
		if o := c.origin(n); o != nil {
			c.moved(label, o, n)
			continue
		}
		c.add(Statement{Change: Added, Name: label, New: written(n.text), is: called(n.text)})
	}
	for k := range old {
		if p.old[k] < 0 && !c.gone(&old[k]) {
			o := &old[k]
			c.add(Statement{Change: Removed, Name: path + o.own(), Old: written(o.text), was: called(o.text)})
		}
	}
}

// brought tells of a new file what of it stood in another before.
func (c *changes) brought(m *check.Module) {
	all := c.new.entries(m)
	for i := range all {
		if o := c.origin(&all[i]); o != nil {
			c.moved(all[i].label(), o, &all[i])
		}
	}
}

// pair tells what changed between two entries that are one statement.
func (c *changes) pair(path, label string, o, n *entry) {
	switch {
	case o.from != "" && n.from == "": // its name was brought in, and is declared here now
		if from := entryOf(c.old, o.decl); from != nil {
			c.moved(label, from, n)
			return
		}
	case o.from == "" && n.from != "": // and the other way
		if to := entryOf(c.new, n.decl); to != nil {
			inside := c.module
			c.module = n.decl.Module.Name
			c.moved(to.label(), o, to)
			c.module = inside
			return
		}
	}
	s := Statement{Change: Same, Name: label, Old: written(o.text), New: written(n.text), was: called(o.text), is: called(n.text)}
	if own := o.own(); path+own != label {
		s.Was, s.Change = path+own, Renamed
	}
	switch {
	case key(o.text) == key(n.text):
	case s.Was == "" && restated(o.text, n.text):
		s.Change = Restated
	default:
		s.Change = Changed
	}
	if s.Change != Same {
		c.add(s)
	}
	c.compare(label+" / ", o.inner, n.inner)
}

// moved tells of what is declared here now and was declared in another file, and what was
// changed in it.
func (c *changes) moved(label string, o, n *entry) {
	s := Statement{Change: Moved, Name: label, From: o.decl.Module.Name, Old: written(o.text), New: written(n.text), was: called(o.text), is: called(n.text)}
	if o.own() != n.label() {
		s.Was = o.own()
	}
	c.add(s)
	c.compare(label+" / ", o.inner, n.inner)
}

// origin is what a new declaration was copied or moved from: what has its name in another
// file of the old program or in a library of either; nil for none.
func (c *changes) origin(n *entry) *entry {
	if n.decl == nil || n.from != "" {
		return nil
	}
	for _, r := range [2]*reader{c.old, c.new} {
		for _, m := range r.prog.Modules {
			if m.Name == c.module || c.module == "" && m == r.prog.Root || r == c.new && isFile(m) || m == c.new.prog.Root {
				continue
			}
			for _, d := range m.Order {
				if d.Kind == n.decl.Kind && r.name(d, d.Name) == n.name && d.Module == m && (!isFile(m) || !c.stays(m, d)) {
					return entryOf(r, d)
				}
			}
		}
	}
	return nil
}

// stays tells whether a declaration of an old file is in that file still.
func (c *changes) stays(m *check.Module, d *check.Decl) bool {
	for i, n := range c.new.prog.Modules {
		if i == 0 && m == c.old.prog.Root || i > 0 && n.Name == m.Name {
			for _, k := range n.Order {
				if k.Kind == d.Kind && k.Name == c.old.name(d, d.Name) {
					return true
				}
			}
		}
	}
	return false
}

// gone tells whether an old entry is told where it stands now: what moved to another file
// of the new program.
func (c *changes) gone(o *entry) bool {
	if o.decl == nil || o.from != "" {
		return false
	}
	for _, m := range c.new.prog.Modules {
		if m.Name == c.module || c.module == "" && m == c.new.prog.Root || !isFile(m) && m != c.new.prog.Root {
			continue
		}
		for _, d := range m.Order {
			if d.Kind == o.decl.Kind && d.Name == o.name {
				return true
			}
		}
	}
	return false
}

// entryOf is the entry of a declaration.
func entryOf(r *reader, d *check.Decl) *entry {
	if d == nil || d.Node == nil {
		return nil
	}
	e := r.entry(d.Node)
	if e.decl != d {
		return nil
	}
	return &e
}

// bodies are what stands in two entries that are one statement: of a name that is brought
// in, in its declaration.
func (s *sides) bodies(o, n *entry) (old, new []entry) {
	old, new = o.inner, n.inner
	if (o.from == "") == (n.from == "") {
		return old, new
	}
	if o.from != "" {
		if e := entryOf(s.old, o.decl); e != nil {
			old = e.inner
		}
	} else if e := entryOf(s.new, n.decl); e != nil {
		new = e.inner
	}
	return old, new
}

// paired pairs entries of two lists: by kind and name, what is brought in with what is
// declared; then what is left by kind and content.
func paired(old, new []entry) *pairing {
	p := newPairing(len(old), len(new), func(o, n int) bool { return old[o].kind == new[n].kind && old[o].name == new[n].name })
	p.by(func(o, n int) bool {
		a, b := &old[o], &new[n]
		return a.decl != nil && b.decl != nil && a.decl.Kind == b.decl.Kind && a.name == b.name &&
			(a.from != "" && b.from == "" || a.from == "" && b.from != "" && !isFile(b.decl.Module))
	})
	p.by(func(o, n int) bool {
		a, b := &old[o], &new[n]
		return a.kind == b.kind && a.decl == nil && b.decl == nil && a.states == nil && (a.text != "" || a.inner != nil) && a.same(b)
	})
	return p
}
