package editor

import (
	"fmt"
	"strings"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
)

// copyPanel puts a panel that the text takes from elsewhere, the one named at a place,
// into the text itself, to be changed there: with the panels, lets and stocks of its own
// text that it needs, and uses of what that takes from the library. It is not proposed
// where a name of the panel would mean something else here.
func (snap *snapshot) copyPanel(from, to int) []rewrite {
	m := snap.markAt(from)
	if m == nil || m.decl == nil || m.decl.Kind != check.Panel || int(m.at.End) < to || m.decl.Module == snap.program().Root {
		return nil
	}
	use, i := snap.importOf(m.decl)
	if use == nil {
		return nil
	}
	c := copying{snap: snap, done: map[*check.Decl]bool{}}
	local := use.Names[i].Name
	if as := use.Names[i].As; as != nil {
		local = *as
	}
	if !c.take(m.decl, local.Name) {
		return nil
	}
	text := strings.TrimRight(snap.src.Text, " \t\r\n")
	end := snap.span(len(text), len(snap.src.Text))
	edits := append([]diag.Edit{{Span: check.ImportSpan(use, i)}}, c.uses...)
	edits = append(edits, diag.Edit{Span: end, Text: "\n\n" + strings.Join(c.texts, "\n\n") + "\n"})
	return []rewrite{{fmt.Sprintf("copy the panel %s here, to change it", m.decl.Name), edits}}
}

// importOf is the use statement that takes a declaration, and which of its names does.
func (snap *snapshot) importOf(d *check.Decl) (*syntax.Use, int) {
	for _, st := range snap.file.Stmts {
		if x, ok := st.(*syntax.Use); ok {
			for i := range x.Names {
				for _, taken := range snap.program().Root.Import(x, i) {
					if same(taken, d) {
						return x, i
					}
				}
			}
		}
	}
	return nil, 0
}

// copying gathers what has to be copied.
type copying struct {
	snap  *snapshot
	done  map[*check.Decl]bool
	texts []string    // statements, what is needed behind what needs it
	uses  []diag.Edit // of the library
}

// take copies a statement of another text under a name, with what it needs; false where
// that can't be had, or would mean something else.
func (c *copying) take(d *check.Decl, name string) bool {
	c.done[d] = true
	sp := d.Node.Span()
	root := c.snap.program().Root
	var edits []diag.Edit
	needed := []*check.Decl{}
	for _, k := range marksOf(c.snap.program(), d.Module) {
		if k.at.Start < sp.Start || k.at.End > sp.End {
			continue
		}
		text := k.at.Text()
		switch {
		case k.decl == d:
			edits = append(edits, diag.Edit{Span: k.at, Text: name})
		case k.fun != "" && root.Find(check.Calls, text) != nil,
			k.decl != nil && k.decl.Kind == check.Constant && root.Find(check.Values, text) != nil:
			return false // here it is something else
		case k.decl == nil || k.decl.Owner != nil || k.decl.Kind == check.Constant || k.role == labels:
		default:
			needed = append(needed, k.decl)
		}
	}
	c.texts = append(c.texts, applyWithin(sp, edits))
	for _, n := range needed {
		if !c.done[n] && !c.need(d.Module, n) {
			return false
		}
	}
	return true
}

// need has what a copied statement of a module names: already here, of the library, or
// to be copied too.
func (c *copying) need(from *check.Module, d *check.Decl) bool {
	root := c.snap.program().Root
	name := from.NameOf(d)
	switch have := root.Find(d.Space(), name); {
	case have != nil:
		return same(have, d)
	case d.Module != from && c.snap.isLibrary(d.At.Source):
		c.done[d] = true
		if name != d.Name {
			name = d.Name + " as " + name
		}
		c.uses = append(c.uses, check.Importing(c.snap.file, d.Module.Name, name))
		return true
	case d.Module != from:
		return false // a file that a file uses: its path may be another here
	}
	return c.take(d, d.Name)
}

// applyWithin is the text of a span with edits made in it.
func applyWithin(sp diag.Span, edits []diag.Edit) string {
	fix := diag.Fix{}
	for _, e := range edits {
		e.Span.Start, e.Span.End = e.Span.Start-sp.Start, e.Span.End-sp.Start
		fix.Edits = append(fix.Edits, e)
	}
	return fix.Apply(sp.Text())
}
