package editor

import (
	"slices"
	"sort"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
)

// mark is a name where it stands in a text, and what it means.
type mark struct {
	at    diag.Span
	decl  *check.Decl      // what it names, or nil; of edges the first that is stated
	edges []*check.Decl    // the edges that it may mean
	open  bool             // it may mean an edge, or more, that is known only when a face is drawn
	of    *builtin.Member  // a member of the language's own
	fun   string           // a function of the language
	param *check.Parameter // of a function of the language, that a label names
	typ   check.Type       // of the expression it is, where it is one
	role  role
}

type role uint8

const (
	reads    role = iota // the name is read
	declares             // the name is declared here
	labels               // a label of an argument
	types                // a type in a declaration
	imports              // a name in a use statement
	states               // a param in a size row, or the size it is like
	word                 // a word that an argument takes
)

// marks lists every name of the text, in order.
func (snap *snapshot) marks() []mark {
	snap.marksOnce.Do(func() { snap.marksMade = marksOf(snap.program(), snap.program().Root) })
	return snap.marksMade
}

// markAt is the name at a byte offset, its end included, or nil.
func (snap *snapshot) markAt(offset int) *mark {
	ms := snap.marks()
	i := sort.Search(len(ms), func(i int) bool { return int(ms[i].at.End) >= offset })
	if i+1 < len(ms) && int(ms[i].at.End) == offset && int(ms[i+1].at.Start) == offset {
		i++
	}
	if i < len(ms) && int(ms[i].at.Start) <= offset {
		return &ms[i]
	}
	return nil
}

// marksOf lists every name of one text of a program, in order.
func marksOf(p *check.Program, m *check.Module) []mark {
	c := collector{prog: p, mod: m}
	for _, d := range m.Order {
		c.declared(d)
	}
	syntax.InspectFile(m.File, c.visit)
	sort.SliceStable(c.out, func(i, j int) bool { return c.out[i].at.Start < c.out[j].at.Start })
	return c.out
}

type collector struct {
	prog   *check.Program
	mod    *check.Module
	out    []mark
	called *syntax.Name // the name that a call calls, the last one visited
}

func (c *collector) add(m mark) {
	if m.at.Source != nil && m.at.End > m.at.Start {
		c.out = append(c.out, m)
	}
}

// declared marks a declaration and all that stands inside.
func (c *collector) declared(d *check.Decl) {
	c.add(mark{at: d.At, decl: d, typ: d.Type, role: declares})
	if d.Param != nil {
		c.typeWord(d.Param.Type)
	}
	for _, i := range d.Indices {
		c.declared(i)
	}
	for _, m := range d.Members {
		c.declared(m)
	}
	for _, f := range d.Folds {
		for _, i := range f.Indices {
			c.declared(i)
		}
	}
}

// typeWord marks the type of a declaration where it names a panel.
func (c *collector) typeWord(word syntax.Ident) {
	d := c.mod.Find(check.Calls, word.Name)
	language := slices.ContainsFunc(check.TypeWords, func(w check.TypeWord) bool { return w.Word == word.Name })
	if d != nil && (d.Kind != check.Panel || language) {
		d = nil
	}
	c.add(mark{at: word.At, decl: d, role: types})
}

func (c *collector) visit(n syntax.Node) bool {
	switch x := n.(type) {
	case *syntax.Use:
		c.use(x)
	case *syntax.Size:
		if x.Like != nil {
			c.add(mark{at: x.Like.At, decl: c.mod.Find(check.Sizes, x.Like.Name), role: states})
		}
		for i := range x.States {
			st := &x.States[i]
			c.add(mark{at: st.Name.At, decl: c.mod.Find(check.Values, st.Name.Name), role: states})
		}
	case *syntax.Name:
		c.name(x)
	case *syntax.Member:
		c.member(x)
	case *syntax.Call:
		c.called, _ = x.Fun.(*syntax.Name) // which is visited next
		c.labels(x)
	case *syntax.List:
		for i := range x.Items {
			if it := &x.Items[i]; it.Edge != nil {
				c.edge(it)
			}
		}
	}
	return true
}

func (c *collector) name(x *syntax.Name) {
	m := mark{at: x.At, decl: c.prog.DeclOf(x), typ: c.prog.TypeOf(x)}
	switch {
	case m.decl != nil && m.decl.At == x.At: // the index of a fold, declared where it is read
		return
	case m.decl != nil:
	case builtin.IsWord(x.Name) && x != c.called: // round is both
		m.role = word
	case builtin.IsFunction(x.Name):
		m.fun = x.Name
	}
	c.add(m)
}

func (c *collector) member(x *syntax.Member) {
	m := mark{at: x.Name.At, decl: c.prog.DeclOf(x), typ: c.prog.TypeOf(x)}
	if m.edges, m.open = c.prog.EdgesOf(x); len(m.edges) > 0 {
		m.decl = stated(m.edges)
	} else if m.decl == nil && !m.open {
		m.of = builtinMember(c.prog.TypeOf(x.X), x.Name.Name)
	}
	c.add(m)
}

// edge marks the name that a corner gives an edge.
func (c *collector) edge(it *syntax.Item) {
	m := mark{at: it.Edge.At, role: declares}
	if m.decl = c.prog.EdgeOf(it); m.decl != nil {
		m.edges, m.typ = []*check.Decl{m.decl}, m.decl.Type
	}
	c.add(m)
}

// builtinMember is the language's own member of a type, or nil.
func builtinMember(t check.Type, name string) *builtin.Member {
	for t.Kind == check.FamilyKind && t.Elem != nil {
		t = *t.Elem
	}
	kind := t.Kind
	if kind == check.ListKind {
		kind = check.ShapeKind // of points
	}
	for _, m := range builtin.MembersOf(kind) {
		if m.Name == name {
			return m
		}
	}
	return nil
}

// use marks the names that a use statement lists; one given another name here is
// marked twice, with the same meaning.
func (c *collector) use(x *syntax.Use) {
	for i := range x.Names {
		im := &x.Names[i]
		var d *check.Decl
		if taken := c.mod.Import(x, i); taken != nil {
			d = taken[0]
		}
		c.add(mark{at: im.Name.At, decl: d, role: imports})
		if im.As != nil {
			c.add(mark{at: im.As.At, decl: d, role: imports})
		}
	}
}

// labels marks the labels of a call's arguments.
func (c *collector) labels(x *syntax.Call) {
	b := c.prog.Bound(x)
	for i := range x.Args {
		l := x.Args[i].Label
		if l == nil {
			continue
		}
		m := mark{at: l.At, role: labels}
		if b != nil {
			m.decl, m.param = b.Parameter(l.Name)
		}
		c.add(m)
	}
}

// paramsOf lists the parameters of a panel or a function.
func paramsOf(d *check.Decl) []*check.Decl {
	if d == nil || d.Kind != check.Panel && !d.IsFunc() {
		return nil
	}
	return (&check.Bound{Decl: d}).Params()
}
