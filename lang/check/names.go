package check

import (
	"maps"
	"slices"
	"sort"

	"perch/lang/syntax"
)

// Space is one of the sets that names of one scope are told apart by: where a name
// stands tells in which it is looked for, so that a panel and a part of one name
// live together.
type Space uint8

const (
	Values Space = iota // what a name by itself means: a param, a stock, a part, a face, an index
	Calls               // what stands before ( or as a type: a panel, a let with parameters
	Sizes               // size rows
	Joins               // joins
	spaces
)

// Space is the space that the name of d is in.
func (d *Decl) Space() Space {
	switch {
	case d.Kind == Panel, d.IsFunc():
		return Calls
	case d.Kind == Size:
		return Sizes
	case d.Kind == Join:
		return Joins
	}
	return Values
}

// Names are the declarations of one scope by name, in each space.
type Names [spaces]map[string]*Decl

// Find is what a name means in a space, or nil.
func (n *Names) Find(in Space, name string) *Decl { return n[in][name] }

func (n *Names) put(name string, d *Decl) { n.putIn(d.Space(), name, d) }

func (n *Names) putIn(in Space, name string, d *Decl) {
	if n[in] == nil {
		n[in] = map[string]*Decl{}
	}
	n[in][name] = d
}

// Find is what a name of the whole text means in a space, what it imports under
// the name it has here; nil where it means nothing.
func (m *Module) Find(in Space, name string) *Decl { return m.names.Find(in, name) }

// Named are the declarations that have a name in the whole text, one of each space
// at most.
func (m *Module) Named(name string) []*Decl {
	var out []*Decl
	for in := range spaces {
		if d := m.names.Find(in, name); d != nil && !slices.Contains(out, d) {
			out = append(out, d)
		}
	}
	return out
}

// NameOf is the name under which the text knows d.
func (m *Module) NameOf(d *Decl) string {
	if im := m.importOf(d); im != nil {
		return im.name.Name
	}
	return d.Name
}

// Imported lists what the text imports, by the name it has here.
func (m *Module) Imported() []*Decl {
	ims := slices.Clone(m.imports)
	sort.SliceStable(ims, func(i, j int) bool { return ims[i].name.Name < ims[j].name.Name })
	var out []*Decl
	for _, im := range ims {
		out = append(out, im.decls...)
	}
	return out
}

// Import is what the i-th name of a use statement of the text brings, under the
// name it has here.
func (m *Module) Import(u *syntax.Use, i int) []*Decl {
	for _, im := range m.imports {
		if im.use == u && im.at == i {
			return im.decls
		}
	}
	return nil
}

// importOf is how the text came by d; nil for what is its own.
func (m *Module) importOf(d *Decl) *importing {
	for _, im := range m.imports {
		if slices.Contains(im.decls, d) {
			return im
		}
	}
	return nil
}

// InScope lists what can be read by name where the expressions of d stand, nearest
// first and what that hides left out; at the top of the text where d is nil.
func (m *Module) InScope(d *Decl) []*Decl {
	switch {
	case d == nil || d.scope == nil:
		return m.inScope(m.scope)
	case d.Kind == Let || d.Kind == Stock: // not seen by its right side
		return m.inScope(d.scope.without(d))
	}
	return m.inScope(d.scope)
}

// inScope lists what can be read by name in s, nearest first.
func (m *Module) inScope(s *scope) []*Decl {
	var out, unseen []*Decl
	var seen [spaces]map[string]bool
	for ; s != nil; s = s.parent {
		if s.unseen != nil {
			unseen = append(unseen, s.unseen)
		}
		var here []*Decl
		for in := range spaces {
			for _, name := range slices.Sorted(maps.Keys(s.names[in])) {
				x := s.names[in][name]
				if _, failed := x.Node.(*syntax.Use); !failed && !seen[in][name] && !slices.Contains(unseen, x) {
					here = append(here, x)
				}
			}
		}
		for in := range spaces {
			if seen[in] == nil {
				seen[in] = map[string]bool{}
			}
			for name, x := range s.names[in] {
				seen[in][name] = seen[in][name] || !slices.Contains(unseen, x)
			}
		}
		sort.SliceStable(here, func(i, j int) bool { // its own as they stand, then the imports
			a, b := here[i], here[j]
			if own := a.Module == m; !own || b.Module != m {
				return own && b.Module != m
			}
			return a.At.Start < b.At.Start
		})
		out = append(out, here...)
	}
	return out
}
