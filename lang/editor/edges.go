package editor

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"perch/lang/builtin"
	"perch/lang/check"
)

// stated is the first of some edges that a text names, not the language; or nil.
func stated(edges []*check.Decl) *check.Decl {
	for _, e := range edges {
		if e.At.Source != nil {
			return e
		}
	}
	return nil
}

// decls are what a name stands for: one declaration, or the edges that it may mean
// as far as they are stated.
func (m *mark) decls() []*check.Decl {
	if len(m.edges) == 0 {
		if m.decl == nil {
			return nil
		}
		return []*check.Decl{m.decl}
	}
	return slices.DeleteFunc(slices.Clone(m.edges), func(e *check.Decl) bool { return e.At.Source == nil })
}

// means says that a name stands, or may stand, for one of ds.
func (m *mark) means(ds []*check.Decl) bool {
	for _, d := range ds {
		if same(m.decl, d) || slices.ContainsFunc(m.edges, func(e *check.Decl) bool { return same(e, d) }) {
			return true
		}
	}
	return false
}

// edge says that a name names an edge, as far as can be told.
func (m *mark) edge() bool {
	return len(m.edges) > 0 || m.open || m.decl == nil && m.of == nil && m.fun == "" && (m.role == declares || m.typ.Kind == check.EdgeKind)
}

// facesOf lists the faces of a program.
func facesOf(p *check.Program) []*check.Decl {
	var out []*check.Decl
	for _, m := range p.Modules {
		for _, d := range m.Order {
			for _, f := range d.Members {
				if f.Kind == check.Face {
					out = append(out, f)
				}
			}
		}
	}
	return out
}

// describeEdges tells of the edges that a name may mean: where each is stated, and
// the faces whose outline has it.
func (snap *snapshot) describeEdges(edges []*check.Decl) string {
	var parts []string
	language := false
	for _, e := range edges {
		if e.At.Source == nil {
			language = true
			continue
		}
		text := code(oneLine(e.Corner.At.Text())) + "\nthe edge that leaves this corner"
		if e.Module != snap.program().Root {
			text += ", from `" + e.Module.Name + "`"
		}
		parts = append(parts, text)
	}
	if language {
		parts = append(parts, code(edges[0].Name+": edge")+"\nas the language names the straight edges of `rect`, `strip`, `band` and `inside`, and the `outer` one of a hung face")
	}
	if e := stated(edges); e != nil {
		var faces []string
		for _, f := range facesOf(snap.program()) {
			if hasEdge(f, edges) {
				faces = append(faces, fmt.Sprintf("`%s` of the panel `%s`", f.Name, f.Owner.Name))
			}
		}
		if len(faces) > 0 {
			parts = append(parts, "of the face "+strings.Join(faces, ", "))
		}
	}
	return strings.Join(parts, "\n\n")
}

// hasEdge says that a face's outline may have one of the edges.
func hasEdge(f *check.Decl, edges []*check.Decl) bool {
	return slices.ContainsFunc(f.Edges(), func(e *check.Decl) bool {
		return slices.ContainsFunc(edges, func(o *check.Decl) bool { return e.At.Source != nil && same(e, o) })
	})
}

// renamedEdge says why the edge that m names can't be renamed, as far as m tells.
func (snap *snapshot) renamedEdge(m *mark) error {
	name := m.at.Text()
	switch {
	case m.open && m.decl == nil && m.typ.Kind == check.Invalid:
		return refused("what %s names can't be told: what stands before it has a mistake", name)
	case m.open && m.decl == nil:
		return refused("which edge %s is can't be told before the face is drawn: rename it where its outline names it", name)
	case m.decl == nil && len(m.edges) == 0:
		return refused("%s is named twice in this list: mend that first", name)
	}
	for _, e := range m.edges {
		switch {
		case e.At.Source == nil:
			return refused("%s is an edge that the language names", name)
		case snap.isLibrary(e.At.Source):
			return refused("%s is an edge that the library names, and the library is read only", name)
		}
	}
	return nil
}

// edgeUses finds every place that has to change for an edge to have another name:
// where a place may mean one of several edges, they are renamed together.
func (s *server) edgeUses(ctx context.Context, snap *snapshot, m *mark, name string) ([]use, error) {
	group := m.decls()
	for {
		uses, before := s.usesOf(ctx, snap, group), len(group)
		for _, u := range uses {
			if err := snap.renamedEdge(&u.mark); err != nil {
				return nil, err
			}
			for _, e := range u.mark.edges {
				if !slices.ContainsFunc(group, func(d *check.Decl) bool { return same(d, e) }) {
					group = append(group, e)
				}
			}
		}
		if len(group) == before {
			return uses, s.edgeClash(ctx, snap, group, name)
		}
	}
}

// edgeClash looks for what would read an edge by its new name wrongly, or can't be
// known to leave it alone under the old one.
func (s *server) edgeClash(ctx context.Context, snap *snapshot, group []*check.Decl, name string) error {
	old := group[0].Name
	for _, d := range builtin.MembersOf(check.FaceKind) {
		if d.Name == name {
			return refused("%s is a member of every face: an edge of that name could not be read", name)
		}
	}
	for _, in := range append([]*snapshot{snap}, s.users(ctx, snap, group, func(string) bool { return true })...) {
		if !slices.ContainsFunc(group, func(d *check.Decl) bool { name := d.At.Source.Name; return in.src.Name == name || in.uses(name) }) {
			continue
		}
		for _, f := range facesOf(in.program()) {
			if err := takenIn(f, group, name); err != nil {
				return err
			}
		}
		for _, m := range in.program().Modules {
			for _, k := range marksOf(in.program(), m) {
				if text := k.at.Text(); k.open && (text == old || text == name) {
					p := k.at.Position()
					return refused("%s in line %d of %s may be an edge that is known only when its face is drawn: whether it is this one can't be told", text, p.Line, m.Name)
				}
			}
		}
	}
	return nil
}

// takenIn refuses a name that a face with one of the edges has for something else.
func takenIn(f *check.Decl, group []*check.Decl, name string) error {
	if !hasEdge(f, group) {
		return nil
	}
	if d := f.Member(name); d != nil {
		return refused("%s is a %s of the face %s already", name, d.Kind, f.Name)
	}
	for _, e := range f.Edges() {
		if e.Name == name {
			return refused("%s is an edge of the face %s already", name, f.Name)
		}
	}
	return nil
}
