package check

import (
	"slices"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// Memory is what checking one version of a design leaves for checking the next.
// It is never written to once it is given out.
type Memory struct {
	Looked int // how many statements of the design were looked at for it

	name     string // of the source
	library  bool
	builtin  Builtins
	mistakes []diag.Diagnostic // of syntax
	loads    []loaded
	modules  []*Module          // those it uses
	others   []*diag.Diagnostic // in those
	searches int                // made for those
	names    *Names
	units    []unit
}

// loaded is a text that was asked for by a use statement.
type loaded struct {
	root         bool // by the design itself
	from         *diag.Source
	module, path string
	src          *diag.Source
	err          error
}

func (x *loaded) load(l Loader) {
	if x.module != "" {
		x.src, x.err = l.Module(x.module)
	} else {
		x.src, x.err = l.File(x.from, x.path)
	}
}

// same says that two answers are one.
func (x *loaded) same(y *loaded) bool {
	return x.src == y.src && (x.err == nil) == (y.err == nil) && (x.err == nil || x.err.Error() == y.err.Error())
}

// Uses says whether the design uses, directly or not, the text of that name.
func (m *Memory) Uses(name string) bool {
	return slices.ContainsFunc(m.modules, func(x *Module) bool { return x.Source.Name == name })
}

// maxFirm is how many mistakes of syntax a text may have for its statements to be
// remembered: with more, the parser keeps some to itself.
const maxFirm = 100

// Diagnose says what Check says of a design, without its program: where there is
// a memory of a version before, it looks only at statements that changed, that
// had mistakes, or that depend on something that changed. The mistakes of syntax
// are those that the parser found in root.
func Diagnose(root *syntax.File, mistakes []diag.Diagnostic, l Loader, builtin Builtins, before *Memory) ([]diag.Diagnostic, *Memory) {
	if had, ok := before.fits(root, mistakes, l, builtin); ok {
		if ds, mem := diagnoseAgain(root, mistakes, l, builtin, before, had); mem != nil {
			return ds, mem
		}
	}
	c := newChecker(root, l, builtin, expressions(root))
	c.mem = &Memory{mistakes: mistakes}
	c.load(c.prog.Root)
	searches := c.searches
	c.lookAt(func(int) bool { return true })
	own := c.searches - searches
	c.mem.Looked = len(c.units)
	for _, m := range c.prog.Modules[1:] {
		c.checkModule(m)
	}
	c.mem.searches = c.searches - own
	found := len(c.diags)
	c.reportCycles()
	circles := len(c.diags) > found
	for i := range c.units {
		u := &c.units[i]
		u.end()
		if u.decl != nil {
			u.shows, u.mentions = c.shown(u.decl)
		}
	}
	c.reportUnused()
	ds := c.sorted()
	for i := range ds {
		if ds[i].Span.Source != root.Source {
			c.mem.others = append(c.mem.others, &ds[i])
		}
	}
	c.mem.modules = c.prog.Modules[1:]
	return ds, c.remember(circles)
}

// remember finishes the memory of a check; it is nil where the next check has to
// be a whole one, for what was found can't be told statement by statement.
func (c *checker) remember(circles bool) *Memory {
	m, root := c.mem, c.prog.Root
	m.name, m.library, m.builtin, m.names, m.units = root.Name, root.library, c.builtin, root.names, c.units
	if circles || c.deep || len(root.outside) > 0 || c.searches >= maxSearches || len(m.mistakes) > maxFirm || root.Source == nil {
		m.units = nil
	}
	return m
}

// fits says whether a memory is of a version before of root among the same
// modules, and gives the answers to root's own use statements.
func (m *Memory) fits(root *syntax.File, mistakes []diag.Diagnostic, l Loader, builtin Builtins) (had []loaded, ok bool) {
	if m == nil || m.units == nil || len(mistakes) > maxFirm || root.Source == nil || root.Source.Name != m.name ||
		isLibrary(root) != m.library || !slices.Equal(m.builtin.Materials, builtin.Materials) || !slices.Equal(m.builtin.Methods, builtin.Methods) {
		return nil, false
	}
	uses := 0
	for _, s := range root.Stmts {
		if _, outside := workOf(s); outside { // what a face has is told by statements elsewhere
			return nil, false
		}
		u, is := s.(*syntax.Use)
		if !is || l == nil || u.Module == "" && u.Path == "" {
			continue
		}
		for uses < len(m.loads) && !m.loads[uses].root {
			uses++
		}
		if uses == len(m.loads) || m.loads[uses].module != u.Module || m.loads[uses].path != u.Path {
			return nil, false
		}
		uses++
	}
	for i := range m.loads {
		was := &m.loads[i]
		if was.root && i >= uses {
			return nil, false
		}
		is := loaded{root: was.root, from: was.from, module: was.module, path: was.path}
		if is.root {
			is.from = root.Source
		}
		if is.load(l); !is.same(was) {
			return nil, false
		}
		if is.root {
			had = append(had, is)
		}
	}
	return had, true
}
