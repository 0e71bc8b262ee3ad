package compare

import (
	"fmt"
	"strings"

	"perch/lang/check"
	"perch/lang/syntax"
)

// entry is a statement by its name: text is the rest of it, with marks; see written.
type entry struct {
	kind, name, text string
	was              string      // its own name, where the reader gives it another
	decl             *check.Decl // what it declares; of an import what it brings; or nil
	from             string      // of an import: the file that it is from
	states           *check.Decl // of a row of a size: the param that it states
	inner            []entry
}

func (e *entry) label() string { return labelled(e.kind, e.name) }

// own is the label with the name that the statement itself has.
func (e *entry) own() string {
	if e.was != "" {
		return labelled(e.kind, e.was)
	}
	return e.label()
}

func labelled(kind, name string) string { return strings.TrimSpace(kind + " " + name) }

// same compares all but the name.
func (e *entry) same(f *entry) bool {
	if key(e.text) != key(f.text) || len(e.inner) != len(f.inner) {
		return false
	}
	for i := range e.inner {
		if e.inner[i].label() != f.inner[i].label() || !e.inner[i].same(&f.inner[i]) {
			return false
		}
	}
	return true
}

// reader reads the statements of a program as entries.
type reader struct {
	prog  *check.Program
	named map[*check.Decl]string // names that declarations are given in place of their own
	marks map[*check.Decl]int    // declarations whose uses are marked, by number
	decls map[any]*check.Decl    // by statement, or by parameter
}

func newReader(p *check.Program) *reader {
	r := &reader{prog: p, named: map[*check.Decl]string{}, marks: map[*check.Decl]int{}, decls: map[any]*check.Decl{}}
	for _, m := range p.Modules {
		r.know(m.Order)
	}
	return r
}

func (r *reader) know(decls []*check.Decl) {
	for _, d := range decls {
		switch {
		case d.Kind == check.PanelParam || d.Kind == check.LetParam:
			r.decls[d.Param] = d
		case d.Kind == check.Index || d.Kind == check.Edge:
		case d.Node != nil && r.decls[d.Node] == nil: // the first: what only stands in a statement comes later
			r.decls[d.Node] = d
		}
		r.know(d.Members)
		if d.Kind == check.Let {
			r.know(d.Indices)
		}
	}
}

// name is what a declaration is called here; own is how it is written.
func (r *reader) name(d *check.Decl, own string) string {
	if n, ok := r.named[d]; ok && d != nil {
		return n
	}
	return own
}

// of is the entry of a declaration, with the name that it is given.
func (r *reader) of(kind, own string, node any) entry {
	e := entry{kind: kind, name: own, decl: r.decls[node]}
	if n := r.name(e.decl, own); n != own {
		e.name, e.was = n, own
	}
	return e
}

// entries are the statements of a file. A second one of the same kind and name is
// numbered.
func (r *reader) entries(m *check.Module) []entry {
	var all []entry
	for _, s := range m.File.Stmts {
		if u, ok := s.(*syntax.Use); ok {
			all = append(all, r.imports(m, u)...)
			continue
		}
		all = append(all, r.entry(s))
	}
	return numbered(all)
}

// body are the statements in a pair of braces.
func (r *reader) body(stmts []syntax.Stmt) []entry {
	var all []entry
	for _, s := range stmts {
		all = append(all, r.entry(s))
	}
	return numbered(all)
}

func numbered(all []entry) []entry {
	seen := map[[2]string]int{}
	for i := range all {
		e := &all[i]
		at := [2]string{e.kind, e.name}
		seen[at]++
		if n := seen[at]; n > 1 {
			e.name = strings.TrimSpace(fmt.Sprintf("%s (%d)", e.name, n))
		}
	}
	return all
}

func (r *reader) imports(m *check.Module, u *syntax.Use) []entry {
	from, name := u.Module, u.Module
	if u.Path != "" {
		from, name = syntax.Quote(u.Path), u.Path
	}
	var out []entry
	for _, im := range u.Names {
		e := entry{kind: "use", name: im.Name.Name, text: "from " + from, from: name}
		if im.As != nil {
			e.name, e.text = im.As.Name, im.Name.Name+" from "+from
		}
		for _, d := range m.Named(e.name) {
			if d.Module != m && d.Kind != check.Constant {
				e.decl = d
				break
			}
		}
		if n := r.name(e.decl, e.name); n != e.name {
			e.name, e.was = n, e.name
		}
		out = append(out, e)
	}
	return out
}

func (r *reader) entry(s syntax.Stmt) entry {
	e := r.head(s)
	switch x := s.(type) {
	case *syntax.Stock:
		e.text = "= " + r.printed(x.Value)
	case *syntax.Param:
		e.text = r.declared(&x.Decl)
	case *syntax.Let:
		if x.IsFunc {
			var ps []string
			for i := range x.Params {
				d := &x.Params[i]
				ps = append(ps, r.tag(r.decls[d], d.Name.Name)+": "+r.declared(d))
			}
			e.text = "(" + strings.Join(ps, ", ") + ") "
		}
		e.text += r.phrase(r.index(x.Index), "=", x.Value)
	case *syntax.Size:
		r.sized(&e, x)
	case *syntax.Body:
		e.text = r.phrase(r.index(x.Index), "=", x.Value)
	case *syntax.Part:
		e.text = r.parted(x)
	case *syntax.Join:
		e.text = r.joined(x)
	case *syntax.Panel:
		r.panelled(&e, x)
	case *syntax.Face:
		e.inner = r.body(x.Body)
		turn := map[syntax.Turn]string{syntax.TurnUp: "up", syntax.TurnDown: "down"}[x.Turn]
		e.text = r.phrase(r.index(x.Index), "off", x.Off, "on", x.On, "from", x.From, turn, x.Angle, "if", x.Guard)
	case *syntax.Cut:
		e.text = r.phrase(r.index(x.Index), "in", x.In, "through", x.Behind, "=", x.Value, "if", x.Guard)
	case *syntax.Mark:
		e.text = r.phrase(r.index(x.Index), "in", x.In, "=", x.Value, "if", x.Guard)
	}
	return e
}

// head is the kind and name of a statement; of one without a name of its own, all of it.
func (r *reader) head(s syntax.Stmt) entry {
	switch x := s.(type) {
	case *syntax.Stock:
		return r.of("stock", x.Name.Name, s)
	case *syntax.Param:
		return r.of("param", x.Decl.Name.Name, s)
	case *syntax.Let:
		return r.of("let", x.Name.Name, s)
	case *syntax.Size:
		return r.of("size", x.Name.Name, s)
	case *syntax.Body:
		return r.of("body", x.Name.Name, s)
	case *syntax.Part:
		return r.of("part", x.Name.Name, s)
	case *syntax.Join:
		return r.of("join", x.Name.Name, s)
	case *syntax.Panel:
		return r.of("panel", x.Name.Name, s)
	case *syntax.Face:
		return r.of("face", x.Name.Name, s)
	case *syntax.Cut:
		return r.of("cut", x.Name.Name, s)
	case *syntax.Mark:
		return r.of("mark", x.Name.Name, s)
	case *syntax.Rule:
		return r.ruled(x)
	case *syntax.Fold:
		return entry{kind: "fold", name: called(r.printed(x.A)) + " to " + called(r.printed(x.B)), text: r.phrase(r.index(x.Index), "by", x.By, "if", x.Guard)}
	case *syntax.Seam:
		return entry{kind: "seam", name: called(r.printed(x.A)), text: r.phrase(r.index(x.Index), "to", x.B, "by", x.By, "if", x.Guard)}
	case *syntax.Outline:
		return entry{kind: "outline", text: r.printed(x.Value)}
	}
	return entry{kind: "statement", text: s.Span().Text()}
}

// declared is a parameter: type, range, default and documentation.
func (r *reader) declared(d *syntax.Decl) string {
	text := d.Type.Name
	if d.List {
		text = "[" + text + "]"
	}
	if d.Domain != nil {
		text += " in " + r.domain(d.Domain)
	}
	if d.Default != nil {
		how := " = "
		if d.About {
			how = " about "
		}
		text += how + r.printed(d.Default)
	}
	return text + documented(d.Doc)
}

func documented(d *syntax.Doc) string {
	if d == nil {
		return ""
	}
	return " " + syntax.Quote(d.Value)
}

// ruled names a rule by its left side, which is what a reader looks for.
func (r *reader) ruled(x *syntax.Rule) entry {
	if b, ok := unbracketed(x.Cond).(*syntax.Binary); ok && isRelation(b.Op) {
		return entry{kind: "rule", name: called(r.printed(b.X)), text: r.phrase("", b.Op.String(), b.Y, "if", x.Guard) + documented(x.Label)}
	}
	return entry{kind: "rule", name: called(r.printed(x.Cond)), text: strings.TrimSpace(r.phrase("", "if", x.Guard) + documented(x.Label))}
}

func unbracketed(e syntax.Expr) syntax.Expr {
	for {
		p, ok := e.(*syntax.Paren)
		if !ok {
			return e
		}
		e = p.X
	}
}

func isRelation(op syntax.Op) bool { return op >= syntax.OpEq && op <= syntax.OpGe }

func (r *reader) sized(e *entry, x *syntax.Size) {
	root := r.prog.Root
	if x.Like != nil {
		e.text = "like " + r.tag(root.Find(check.Sizes, x.Like.Name), x.Like.Name)
	}
	for _, s := range x.States {
		d := root.Find(check.Values, s.Name.Name)
		in := entry{name: r.name(d, s.Name.Name), states: d}
		switch s.How {
		case syntax.StateEq:
			in.text = "= " + r.printed(s.Value)
		case syntax.StateAbout:
			in.text = "about " + r.printed(s.Value)
		case syntax.StateLargest:
			in.text = "largest"
		case syntax.StateSmallest:
			in.text = "smallest"
		case syntax.StateFree:
			in.text = "free"
		}
		e.inner = append(e.inner, in)
	}
}

func (r *reader) joined(x *syntax.Join) string {
	var members []string
	for _, m := range x.Members {
		members = append(members, r.printed(m))
	}
	text := strings.TrimSpace(r.index(x.Index) + " = " + strings.Join(members, " to "))
	return r.phrase(text, "at", x.Places, "by", x.By, "if", x.Guard)
}

func (r *reader) panelled(e *entry, x *syntax.Panel) {
	if x.Of != nil {
		e.text = "of " + x.Of.Name
	}
	e.text = strings.TrimSpace(e.text + documented(x.Doc))
	for i := range x.Params {
		d := &x.Params[i]
		p := r.of("param", d.Name.Name, d)
		p.text = r.declared(d)
		e.inner = append(e.inner, p)
	}
	e.inner = append(e.inner, r.body(x.Body)...)
}

func (r *reader) parted(x *syntax.Part) string {
	text := r.phrase(r.index(x.Index), "of", x.Of, "=", x.Value)
	if x.Loose {
		text += " loose"
	}
	return r.phrase(text, "if", x.Guard)
}

// phrase writes the clauses that are there: words each followed by an expression.
func (r *reader) phrase(head string, clauses ...any) string {
	words := []string{}
	if head != "" {
		words = append(words, head)
	}
	for i := 0; i+1 < len(clauses); i += 2 {
		if e, ok := clauses[i+1].(syntax.Expr); ok && e != nil {
			words = append(words, clauses[i].(string), r.printed(e))
		}
	}
	return strings.Join(words, " ")
}

func (r *reader) index(each []syntax.Each) string {
	if len(each) == 0 {
		return ""
	}
	var out []string
	for _, e := range each {
		out = append(out, e.Name.Name+" in "+r.domain(e.Domain))
	}
	return "[" + strings.Join(out, ", ") + "]"
}

func (r *reader) domain(d *syntax.Domain) string {
	if d == nil {
		return ""
	}
	if d.Hi == nil {
		return r.printed(d.Lo)
	}
	return r.printed(d.Lo) + ".." + r.printed(d.Hi)
}
