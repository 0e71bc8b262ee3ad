package check

import (
	"fmt"
	"strings"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// importing is one listed name of a use statement.
type importing struct {
	use   *syntax.Use
	at    int // index in use.Names
	name  syntax.Ident
	decls []*Decl // of that name: a panel or function, and what is neither
	used  bool    // or not to be had, which is mistake enough
}

// isLibrary says whether a text without a design line is a module: it holds
// nothing that only a design may.
func isLibrary(f *syntax.File) bool {
	if f.Design != nil {
		return false
	}
	for _, s := range f.Stmts {
		if !inModule(s) {
			return false
		}
	}
	return true
}

func inModule(s syntax.Stmt) bool {
	switch s.(type) {
	case *syntax.Use, *syntax.Stock, *syntax.Let, *syntax.Panel:
		return true
	}
	return false
}

// load loads what m uses, then declares its names.
func (c *checker) load(m *Module) {
	c.prog.Modules = append(c.prog.Modules, m)
	m.scope = &scope{module: m}
	m.names = &m.scope.names
	var designs []*syntax.Design
	if m.File.Design != nil {
		designs = append(designs, m.File.Design)
	}
	for _, s := range m.File.Stmts {
		switch s := s.(type) {
		case *syntax.Use:
			c.use(m, s)
		case *syntax.Design:
			designs = append(designs, s)
		}
	}
	c.checkDesign(m, designs)
	c.declareModule(m)
}

// checkDesign wants one design line in a design and none in a module.
func (c *checker) checkDesign(m *Module, designs []*syntax.Design) {
	switch {
	case m.library:
		for _, d := range designs {
			c.report("P2009", d.At, "a module has no design line", "")
		}
	case len(designs) == 0 && c.lost(m, "design"):
	case len(designs) == 0:
		at := diag.Span{Source: m.Source}
		if len(m.File.Stmts) > 0 {
			at = m.File.Stmts[0].Span()
		}
		d := c.report("P2046", at.Before(), "a design begins with its design line", "")
		fix(d, "name the design", diag.Edit{Span: at.Before(), Text: "design \"Unnamed\"\n\n"})
	case len(designs) > 1:
		for _, d := range designs[1:] {
			also(c.report("P2046", d.At, "a design has one design line", ""), designs[0].At, "the first is here")
		}
	}
}

// use binds the names of one use statement.
func (c *checker) use(m *Module, u *syntax.Use) {
	from := c.module(m, u)
	for i := range u.Names {
		im := &u.Names[i]
		if im.Name.Name == "" {
			continue
		}
		as := im.Name
		if im.As != nil {
			as = *im.As
		}
		var found []*Decl
		if from != nil {
			found = c.exported(m, from, im)
		}
		take := &importing{use: u, at: i, name: as, decls: found, used: found == nil}
		if found == nil { // it may have been anything
			d := &Decl{Name: as.Name, Kind: Let, At: as.At, Node: u, Module: m, Type: invalid, state: done}
			take.decls = []*Decl{d}
			if c.free(m.scope, as, Values, Let) && c.free(m.scope, as, Calls, Let) {
				m.names.putIn(Values, as.Name, d)
				m.names.putIn(Calls, as.Name, d)
				m.imports = append(m.imports, take)
			}
			continue
		}
		free, told := true, len(c.diags)
		for _, d := range found {
			free = free && c.free(m.scope, as, d.Space(), d.Kind)
		}
		if !free {
			if im.As == nil { // the module's name stays
				other := " as " + c.diags[told].Fix.Edits[0].Text
				fix(c.diags[told], "write "+as.Name+other, diag.Edit{Span: as.At.After(), Text: other})
			}
			continue
		}
		for _, d := range found {
			m.names.put(as.Name, d)
		}
		m.imports = append(m.imports, take)
	}
}

// exported finds what a module gives to others under a name, reporting when that is
// nothing.
func (c *checker) exported(m, from *Module, im *syntax.Import) []*Decl {
	name := im.Name
	all := from.Named(name.Name)
	var given []*Decl
	for _, d := range all {
		if d.Module == from && exports(d) {
			given = append(given, d)
		}
	}
	switch {
	case given != nil:
		return given
	case all == nil && c.lost(from, name.Name):
		return nil
	case all != nil:
		d := all[0]
		r := c.report("P2008", name.At, fmt.Sprintf("%s gives its panels, lets and stocks; %s is none of them", from.Name, name.Name), "not given out")
		also(r, d.At, "it is declared here")
		return nil
	}
	var known []string
	for _, d := range from.Order {
		if exports(d) && c.searches < maxSearches {
			known = append(known, d.Name)
		}
	}
	r := c.report("P2008", name.At, fmt.Sprintf("%s has no %s", from.Name, name.Name), "not in the module")
	if best := c.suggest(r, name.At, name.Name, known); best != "" && im.As == nil {
		fix(r, "write "+best, renames(m.File, name.At, name.Name, best)...)
	}
	if len(known) > 0 && len(known) <= 20 {
		note(r, "it has "+strings.Join(known, ", "))
	}
	return nil
}

func exports(d *Decl) bool { return d.Kind == Panel || d.Kind == Let || d.Kind == Stock }

// module loads what a use statement names; nil where that failed and was reported.
func (c *checker) module(m *Module, u *syntax.Use) *Module {
	at := u.FromAt
	if at.IsZero() {
		at = u.At
	}
	name := u.Module
	if c.loader == nil || u.Module == "" && u.Path == "" {
		return nil
	}
	if u.Module == "" {
		name = u.Path
	}
	src, err := c.source(m, u)
	if err != nil || src == nil {
		d := c.report("P2006", at, fmt.Sprintf("the module %s can't be had", name), "")
		if err != nil {
			note(d, err.Error())
		}
		if l, ok := c.loader.(Lister); ok && u.Module != "" {
			if !c.offerModule(d, u, at) {
				c.suggest(d, at, u.Module, l.Modules())
			}
		}
		return nil
	}
	if src == c.prog.Root.Source || c.prog.Root.Source != nil && src.Name == c.prog.Root.Source.Name {
		c.report("P2007", at, "a design can't use itself", "")
		return nil
	}
	if found, ok := c.modules[src.Name]; ok {
		if found == nil {
			c.report("P2007", at, "modules use each other in a circle: "+c.circle(src.Name), "")
		}
		return found
	}
	if c.again { // every module was there already
		c.stale = true
		return nil
	}
	if len(c.loading) >= maxModules {
		c.report("P2006", at, fmt.Sprintf("modules use modules more than %d deep", maxModules), "")
		return nil
	}
	return c.loadModule(name, src, u.Module == "")
}

// source is the text that a use statement names.
func (c *checker) source(m *Module, u *syntax.Use) (*diag.Source, error) {
	if c.again {
		had := c.had[0]
		c.had = c.had[1:]
		return had.src, had.err
	}
	l := loaded{root: m == c.prog.Root, from: m.Source, module: u.Module, path: u.Path}
	l.load(c.loader)
	if c.mem != nil {
		c.mem.loads = append(c.mem.loads, l)
	}
	return l.src, l.err
}

func (c *checker) circle(name string) string {
	for i, n := range c.loading {
		if n == name {
			return strings.Join(append(append([]string{}, c.loading[i:]...), name), ", ")
		}
	}
	return name
}

// maxModules caps how deep modules may use modules.
const maxModules = 200

func (c *checker) loadModule(name string, src *diag.Source, own bool) *Module {
	file, diags := c.parse(src)
	for i := range diags {
		c.diags = append(c.diags, &diags[i])
	}
	if file == nil {
		return nil
	}
	n := &Module{Name: name, Source: src, File: file, library: true, own: own, skipped: skippedIn(file)}
	c.modules[src.Name] = nil
	c.loading = append(c.loading, src.Name)
	c.load(n)
	c.loading = c.loading[:len(c.loading)-1]
	c.modules[src.Name] = n
	return n
}

// parse reads a module's text, or has the loader's tree of it.
func (c *checker) parse(src *diag.Source) (*syntax.File, []diag.Diagnostic) {
	if p, ok := c.loader.(Parser); ok {
		return p.Parse(src)
	}
	return syntax.Parse(src)
}

// reportUnused warns of imports that nothing refers to.
func (c *checker) reportUnused() {
	for _, m := range c.prog.Modules {
		for _, im := range m.imports {
			if im.used || c.lost(m, im.name.Name) {
				continue
			}
			d := c.report("P2019", im.name.At, fmt.Sprintf("%s is not used", im.name.Name), "")
			d.Severity, d.Mark = diag.Warning, diag.Unused
			fix(d, "leave it out", diag.Edit{Span: ImportSpan(im.use, im.at)})
		}
	}
}

// ImportSpan is what to take out of a text to have it take one name less, the i-th that a
// use statement lists: the name, or the statement with its lines when it lists no other.
func ImportSpan(u *syntax.Use, i int) diag.Span {
	sp := (&importing{use: u, at: i}).extent()
	if sp == u.At {
		return WholeLines(sp)
	}
	return sp
}

// extent is what to take out to import one name less: the statement when it
// lists no other.
func (im *importing) extent() diag.Span {
	names := im.use.Names
	if len(names) == 1 {
		return im.use.At
	}
	sp := importSpan(names[im.at])
	if im.at+1 < len(names) {
		sp.End = importSpan(names[im.at+1]).Start
	} else {
		sp.Start = importSpan(names[im.at-1]).End
	}
	return sp
}

func importSpan(im syntax.Import) diag.Span {
	if im.As != nil {
		return diag.Cover(im.Name.At, im.As.At)
	}
	return im.Name.At
}
