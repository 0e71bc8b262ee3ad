package compare

import (
	"fmt"
	"strings"

	"perch/lang/check"
	"perch/lang/syntax"
)

// entry is a statement by its name: text is the rest of it in canonical form.
type entry struct {
	kind, name, text string
	inner            []entry
}

func (e entry) label() string {
	if e.name == "" {
		return e.kind
	}
	if e.kind == "" {
		return e.name
	}
	return e.kind + " " + e.name
}

// same compares all but the name.
func (e entry) same(f entry) bool {
	if e.text != f.text || len(e.inner) != len(f.inner) {
		return false
	}
	for i := range e.inner {
		if e.inner[i].label() != f.inner[i].label() || !e.inner[i].same(f.inner[i]) {
			return false
		}
	}
	return true
}

// statements compares the design and the files it uses, statement by statement.
// The embedded library is the same for both.
func statements(old, new *check.Program) []Statement {
	var c changes
	c.entries("", entries(old.Root.File.Stmts), entries(new.Root.File.Stmts))
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
		case o != nil && o.Source.Text != m.Source.Text:
			c.entries("", entries(o.File.Stmts), entries(m.File.Stmts))
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

func isFile(m *check.Module) bool { return strings.HasSuffix(m.Name, ".perch") }

type changes struct {
	module string
	list   []Statement
}

func (c *changes) add(s Statement) {
	s.Module = c.module
	c.list = append(c.list, s)
}

// entries matches by kind and name, then what is left by kind and content.
func (c *changes) entries(path string, old, new []entry) {
	partner := make([]int, len(new)) // index in old, −1 none
	taken := make([]bool, len(old))
	match := func(fits func(o, n entry) bool) {
		for i, n := range new {
			for k, o := range old {
				if partner[i] < 0 && !taken[k] && fits(o, n) {
					partner[i], taken[k] = k, true
				}
			}
		}
	}
	for i := range partner {
		partner[i] = -1
	}
	match(func(o, n entry) bool { return o.kind == n.kind && o.name == n.name })
	match(func(o, n entry) bool { return o.kind == n.kind && (o.text != "" || o.inner != nil) && o.same(n) })
	for i, n := range new {
		label := path + n.label()
		if partner[i] < 0 {
			c.add(Statement{Change: Added, Name: label, New: n.text})
			continue
		}
		o := old[partner[i]]
		switch {
		case o.name != n.name:
			c.add(Statement{Change: Renamed, Name: label, Was: path + o.label(), Old: o.text, New: n.text})
		case o.text != n.text:
			c.add(Statement{Change: Changed, Name: label, Old: o.text, New: n.text})
		}
		c.entries(label+" / ", o.inner, n.inner)
	}
	for k, o := range old {
		if !taken[k] {
			c.add(Statement{Change: Removed, Name: path + o.label(), Old: o.text})
		}
	}
}

// entries are the statements of a file or of a body in braces. A second one of
// the same kind and name is numbered.
func entries(stmts []syntax.Stmt) []entry {
	var out []entry
	seen := map[[2]string]int{}
	put := func(e entry) {
		key := [2]string{e.kind, e.name}
		seen[key]++
		if n := seen[key]; n > 1 {
			e.name = strings.TrimSpace(fmt.Sprintf("%s (%d)", e.name, n))
		}
		out = append(out, e)
	}
	for _, s := range stmts {
		if u, ok := s.(*syntax.Use); ok {
			for _, e := range imports(u) {
				put(e)
			}
			continue
		}
		put(entryOf(s))
	}
	return out
}

func imports(u *syntax.Use) []entry {
	from := u.Module
	if u.Path != "" {
		from = syntax.Quote(u.Path)
	}
	var out []entry
	for _, im := range u.Names {
		e := entry{kind: "use", name: im.Name.Name, text: "from " + from}
		if im.As != nil {
			e.name, e.text = im.As.Name, im.Name.Name+" from "+from
		}
		out = append(out, e)
	}
	return out
}

func entryOf(s syntax.Stmt) entry {
	switch x := s.(type) {
	case *syntax.Stock:
		return entry{kind: "stock", name: x.Name.Name, text: "= " + printed(x.Value)}
	case *syntax.Param:
		return declared("param", &x.Decl)
	case *syntax.Let:
		text := ""
		if x.IsFunc {
			var ps []string
			for i := range x.Params {
				d := declared("", &x.Params[i])
				ps = append(ps, d.name+": "+d.text)
			}
			text = "(" + strings.Join(ps, ", ") + ") "
		}
		return entry{kind: "let", name: x.Name.Name, text: text + phrase(index(x.Index), "=", x.Value)}
	case *syntax.Rule:
		return ruled(x)
	case *syntax.Size:
		return sized(x)
	case *syntax.Body:
		return entry{kind: "body", name: x.Name.Name, text: phrase(index(x.Index), "=", x.Value)}
	case *syntax.Part:
		return entry{kind: "part", name: x.Name.Name, text: parted(x)}
	case *syntax.Join:
		return joined(x)
	case *syntax.Panel:
		return panelled(x)
	case *syntax.Face:
		return faced(x)
	case *syntax.Fold:
		return entry{kind: "fold", name: printed(x.A) + " to " + printed(x.B), text: phrase(index(x.Index), "by", x.By, "if", x.Guard)}
	case *syntax.Seam:
		return entry{kind: "seam", name: printed(x.A), text: phrase(index(x.Index), "to", x.B, "by", x.By, "if", x.Guard)}
	case *syntax.Outline:
		return entry{kind: "outline", text: printed(x.Value)}
	case *syntax.Cut:
		return entry{kind: "cut", name: x.Name.Name, text: phrase(index(x.Index), "in", x.In, "through", x.Behind, "=", x.Value, "if", x.Guard)}
	case *syntax.Mark:
		return entry{kind: "mark", name: x.Name.Name, text: phrase(index(x.Index), "in", x.In, "=", x.Value, "if", x.Guard)}
	}
	return entry{kind: "statement", text: s.Span().Text()}
}

// declared is a parameter: type, range, default and documentation.
func declared(kind string, d *syntax.Decl) entry {
	text := d.Type.Name
	if d.List {
		text = "[" + text + "]"
	}
	if d.Domain != nil {
		text += " in " + domain(d.Domain)
	}
	if d.Default != nil {
		how := " = "
		if d.About {
			how = " about "
		}
		text += how + printed(d.Default)
	}
	return entry{kind: kind, name: d.Name.Name, text: text + documented(d.Doc)}
}

func documented(d *syntax.Doc) string {
	if d == nil {
		return ""
	}
	return " " + syntax.Quote(d.Value)
}

// ruled names a rule by its left side, which is what a reader looks for.
func ruled(x *syntax.Rule) entry {
	if b, ok := bare(x.Cond).(*syntax.Binary); ok && isRelation(b.Op) {
		return entry{kind: "rule", name: printed(b.X), text: phrase("", b.Op.String(), b.Y, "if", x.Guard) + documented(x.Label)}
	}
	return entry{kind: "rule", name: printed(x.Cond), text: strings.TrimSpace(phrase("", "if", x.Guard) + documented(x.Label))}
}

func isRelation(op syntax.Op) bool { return op >= syntax.OpEq && op <= syntax.OpGe }

func sized(x *syntax.Size) entry {
	e := entry{kind: "size", name: x.Name.Name}
	if x.Like != nil {
		e.text = "like " + x.Like.Name
	}
	for _, s := range x.States {
		in := entry{name: s.Name.Name}
		switch s.How {
		case syntax.StateEq:
			in.text = "= " + printed(s.Value)
		case syntax.StateAbout:
			in.text = "about " + printed(s.Value)
		case syntax.StateLargest:
			in.text = "largest"
		case syntax.StateSmallest:
			in.text = "smallest"
		case syntax.StateFree:
			in.text = "free"
		}
		e.inner = append(e.inner, in)
	}
	return e
}

func joined(x *syntax.Join) entry {
	var members []string
	for _, m := range x.Members {
		members = append(members, printed(m))
	}
	text := phrase(index(x.Index), "=", syntax.Expr(nil))
	text = strings.TrimSpace(text + " = " + strings.Join(members, " to "))
	return entry{kind: "join", name: x.Name.Name, text: phrase(text, "at", x.Places, "by", x.By, "if", x.Guard)}
}

func panelled(x *syntax.Panel) entry {
	e := entry{kind: "panel", name: x.Name.Name}
	if x.Of != nil {
		e.text = "of " + x.Of.Name
	}
	e.text = strings.TrimSpace(e.text + documented(x.Doc))
	for i := range x.Params {
		e.inner = append(e.inner, declared("param", &x.Params[i]))
	}
	e.inner = append(e.inner, entries(x.Body)...)
	return e
}

func faced(x *syntax.Face) entry {
	e := entry{kind: "face", name: x.Name.Name, inner: entries(x.Body)}
	turn := map[syntax.Turn]string{syntax.TurnUp: "up", syntax.TurnDown: "down"}[x.Turn]
	e.text = phrase(index(x.Index), "off", x.Off, "on", x.On, "from", x.From, turn, x.Angle, "if", x.Guard)
	return e
}

// phrase writes the clauses that are there: words each followed by an expression.
func parted(x *syntax.Part) string {
	text := phrase(index(x.Index), "of", x.Of, "=", x.Value)
	if x.Loose {
		text += " loose"
	}
	return phrase(text, "if", x.Guard)
}

func phrase(head string, clauses ...any) string {
	words := []string{}
	if head != "" {
		words = append(words, head)
	}
	for i := 0; i+1 < len(clauses); i += 2 {
		if e, ok := clauses[i+1].(syntax.Expr); ok && e != nil {
			words = append(words, clauses[i].(string), printed(e))
		}
	}
	return strings.Join(words, " ")
}

func index(each []syntax.Each) string {
	if len(each) == 0 {
		return ""
	}
	var out []string
	for _, e := range each {
		out = append(out, e.Name.Name+" in "+domain(e.Domain))
	}
	return "[" + strings.Join(out, ", ") + "]"
}

func domain(d *syntax.Domain) string {
	if d == nil {
		return ""
	}
	if d.Hi == nil {
		return printed(d.Lo)
	}
	return printed(d.Lo) + ".." + printed(d.Hi)
}
