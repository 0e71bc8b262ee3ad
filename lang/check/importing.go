package check

import (
	"fmt"
	"strings"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// place is what a name that stands nowhere could have been.
type place uint8

const (
	asValue place = iota
	asFunction
	asPanel // of a part statement
)

// placeFor tells what the name e has to be, which call calls where that is not nil.
func (c *checker) placeFor(e *syntax.Name, call *syntax.Call) place {
	switch {
	case c.making != nil && (c.making == syntax.Expr(e) || call != nil && c.making == syntax.Expr(call)):
		return asPanel
	case call != nil:
		return asFunction
	}
	return asValue
}

// space is where such a name is looked for.
func (p place) space() Space {
	if p == asValue {
		return Values
	}
	return Calls
}

// takes says whether a declared name of that space fits.
func (p place) takes(d *Decl) bool {
	switch p {
	case asPanel:
		return d.Kind == Panel
	case asFunction:
		return d.IsFunc()
	}
	return true
}

// gives says whether a statement of a module gives out a name that fits.
func (p place) gives(s syntax.Stmt, name string) bool {
	switch s := s.(type) {
	case *syntax.Panel:
		return p == asPanel && s.Name.Name == name
	case *syntax.Let:
		return (p == asFunction && s.IsFunc || p == asValue && !s.IsFunc) && s.Name.Name == name
	case *syntax.Stock:
		return p == asValue && s.Name.Name == name
	}
	return false
}

// offerLibrary offers to take a name that nothing has from the library, where that
// gives one that fits.
func (c *checker) offerLibrary(d *diag.Diagnostic, m *Module, name string, p place) bool {
	l, ok := c.loader.(Lister)
	if !ok || c.searches >= maxSearches {
		return false
	}
	c.searches++
	for _, dotted := range l.Modules() {
		src, err := l.Module(dotted)
		if err != nil || src == nil || m.Source != nil && src.Name == m.Source.Name {
			continue
		}
		file, _ := c.parse(src)
		for _, s := range file.Stmts {
			if p.gives(s, name) {
				note(d, fmt.Sprintf("%s is in %s", name, dotted))
				fix(d, "take it from "+dotted, Importing(m.File, dotted, name))
				return true
			}
		}
	}
	return false
}

// inLibrary is the module of the library that gives a panel or a function of a name, and
// which of the two; "" for none.
func (c *checker) inLibrary(m *Module, name string) (dotted, what string) {
	l, ok := c.loader.(Lister)
	if !ok || c.searches >= maxSearches {
		return "", ""
	}
	c.searches++
	for _, dotted := range l.Modules() {
		src, err := l.Module(dotted)
		if err != nil || src == nil || m.Source != nil && src.Name == m.Source.Name {
			continue
		}
		file, _ := c.parse(src)
		for _, s := range file.Stmts {
			switch {
			case asPanel.gives(s, name):
				return dotted, "panel"
			case asFunction.gives(s, name):
				return dotted, "function"
			}
		}
	}
	return "", ""
}

// Importing is the edit that has a text take one more name from a module of the
// library.
func Importing(f *syntax.File, dotted, name string) diag.Edit {
	var last *syntax.Use
	for _, s := range f.Stmts {
		u, ok := s.(*syntax.Use)
		if !ok {
			continue
		}
		if n := len(u.Names); u.Module == dotted && n > 0 {
			return diag.Edit{Span: importSpan(u.Names[n-1]).After(), Text: ", " + name}
		}
		last = u
	}
	text := fmt.Sprintf("use %s from %s", name, dotted)
	switch {
	case last != nil:
		return diag.Edit{Span: last.At.After(), Text: "\n" + text}
	case f.Design != nil:
		return diag.Edit{Span: f.Design.At.After(), Text: "\n\n" + text}
	}
	at := diag.Span{Source: f.Source}
	if strings.HasPrefix(f.Source.Text, bom) {
		at.Start, at.End = int32(len(bom)), int32(len(bom))
	}
	return diag.Edit{Span: at, Text: text + "\n\n"}
}

// bom is a byte order mark, before which nothing stands.
const bom = "\ufeff"
