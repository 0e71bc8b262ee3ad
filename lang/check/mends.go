package check

import (
	"fmt"
	"math"
	"strings"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
)

// What is offered to mend a mistake, where it takes more than another word: each leaves
// a text that can be checked clean.

func argAt(a *syntax.Arg) diag.Span {
	if a.Value == nil {
		return a.Label.At
	}
	if a.Label == nil {
		return a.Value.Span()
	}
	return diag.Cover(a.Label.At, a.Value.Span())
}

// leaveOutArg offers to leave the i-th argument of a call out.
func leaveOutArg(d *diag.Diagnostic, e *syntax.Call, i int) {
	at := argAt(&e.Args[i])
	switch {
	case i > 0:
		at.Start = argAt(&e.Args[i-1]).End
	case len(e.Args) > 1:
		at.End = argAt(&e.Args[1]).Start
	}
	fix(d, "leave it out", diag.Edit{Span: at})
}

// ownLine is a statement with the line that it stands on alone, to be deleted; itself
// where something else stands there too.
func ownLine(at diag.Span) diag.Span {
	text := at.Source.Text
	start := strings.LastIndexByte(text[:at.Start], '\n') + 1
	end := len(text)
	if n := strings.IndexByte(text[at.End:], '\n'); n >= 0 {
		end = int(at.End) + n + 1
	}
	if strings.TrimSpace(text[start:at.Start]) != "" || strings.TrimSpace(text[at.End:end]) != "" {
		return at
	}
	return diag.Span{Source: at.Source, Start: int32(start), End: int32(end)}
}

// statementBehind is an edit that writes a statement on a line of its own behind another,
// as far in as that one.
func statementBehind(at diag.Span, text string) diag.Edit {
	src := at.Source.Text
	line := src[strings.LastIndexByte(src[:at.Start], '\n')+1:]
	in := line[:len(line)-len(strings.TrimLeft(line, " \t"))]
	return diag.Edit{Span: at.After(), Text: "\n" + in + text}
}

// renames are the edits that call what a name at a place means by another name, there and
// wherever the text says the name by itself.
func renames(f *syntax.File, at diag.Span, name, to string) []diag.Edit {
	edits := []diag.Edit{{Span: at, Text: to}}
	syntax.InspectFile(f, func(x syntax.Node) bool {
		if n, ok := x.(*syntax.Name); ok && n.Name == name && n.At != at {
			edits = append(edits, diag.Edit{Span: n.At, Text: to})
		}
		return true
	})
	return edits
}

// nameEdge tells how an edge of a face's outline gets a name, where the outline is a
// list of points; where those say which edge lies so, the name is offered there.
func (c *checker) nameEdge(d *diag.Diagnostic, f *Decl, name string) bool {
	s, ok := f.Node.(*syntax.Face)
	if !ok || f.Module != c.prog.Root {
		return false
	}
	for _, b := range s.Body {
		o, ok := b.(*syntax.Outline)
		if !ok {
			continue
		}
		l, ok := strip(o.Value).(*syntax.List)
		if !ok || len(l.Items) < 3 {
			return false
		}
		also(d, l.At, "its outline is a list of points")
		note(d, fmt.Sprintf("`edge %s` behind a point names the edge that leaves it, to hang a face on", name))
		if i := edgeTowards(l, name); i >= 0 && l.Items[i].Edge == nil {
			fix(d, fmt.Sprintf("write `edge %s` behind %s", name, l.Items[i].Value.Span().Text()),
				diag.Edit{Span: l.Items[i].At.After(), Text: " edge " + name})
		}
		return true
	}
	return false
}

// edgeTowards is the edge of a list of points that a side's word tells: the straight one
// that looks that way, by its points, where no other does. -1 where there is none, or
// where the points are not known without values.
func edgeTowards(l *syntax.List, word string) int {
	way, ok := map[string][2]float64{"top": {0, 1}, "bottom": {0, -1}, "left": {-1, 0}, "right": {1, 0}}[word]
	if !ok {
		return -1
	}
	at := make([][2]float64, len(l.Items))
	area := 0.0
	for i := range l.Items {
		p, ok := strip(l.Items[i].Value).(*syntax.Pair)
		if !ok {
			return -1
		}
		x, okx := roughly(p.X)
		y, oky := roughly(p.Y)
		if !okx || !oky {
			return -1
		}
		at[i] = [2]float64{x, y}
	}
	for i, p := range at {
		q := at[(i+1)%len(at)]
		area += float64(p[0]*q[1]) - float64(q[0]*p[1])
	}
	best := -1
	for i, p := range at {
		q := at[(i+1)%len(at)]
		out := [2]float64{q[1] - p[1], p[0] - q[0]}
		if area < 0 {
			out = [2]float64{-out[0], -out[1]}
		}
		along := float64(out[0]*way[0]) + float64(out[1]*way[1])
		aside := float64(out[0]*way[1]) - float64(out[1]*way[0])
		if l.Items[i].Arc != nil || along <= 0 || math.Abs(aside) > 0.02*along {
			continue
		}
		if best >= 0 {
			return -1
		}
		best = i
	}
	return best
}

// roughly is what a coordinate comes to where every name in it were 100 mm: enough to
// tell which way an edge looks in the lists that makers write.
func roughly(e syntax.Expr) (float64, bool) {
	switch e := strip(e).(type) {
	case *syntax.Literal:
		return e.Value.Value, true
	case *syntax.Name:
		return 100, true
	case *syntax.Unary:
		v, ok := roughly(e.X)
		return -v, ok && e.Op == syntax.OpNeg
	case *syntax.Binary:
		a, oka := roughly(e.X)
		b, okb := roughly(e.Y)
		if !oka || !okb {
			return 0, false
		}
		switch e.Op {
		case syntax.OpAdd:
			return a + b, true
		case syntax.OpSub:
			return a - b, true
		case syntax.OpMul:
			return float64(a * b), true
		case syntax.OpDiv:
			return a / b, b != 0
		}
	}
	return 0, false
}

// oneFace is the only face of a panel; "" where it has several or none.
func oneFace(of *Decl) string {
	name, n := "", 0
	for _, m := range of.Members {
		if m.Kind == Face {
			name = m.Name
			n++
		}
	}
	if n != 1 {
		return ""
	}
	return name
}

// allOptional tells whether a panel can be called without arguments.
func allOptional(p *Decl) bool {
	for _, d := range parametersOf(p) {
		if d.Param.Default == nil {
			return false
		}
	}
	return true
}

// twice tells whether an expression speaks of a name that is declared twice: which of the
// two is meant is not known, so nothing is said of what the first has.
func (c *checker) twice(e syntax.Expr) bool {
	for e != nil {
		switch x := strip(e).(type) {
		case *syntax.Name:
			return c.doubled[c.prog.DeclOf(x)]
		case *syntax.Member:
			if d := c.prog.refs[x]; c.doubled[d] {
				return true
			}
			e = x.X
		case *syntax.IndexExpr:
			e = x.X
		default:
			return false
		}
	}
	return false
}

// offerParam offers to make a param of a let of the design that a size states.
func (c *checker) offerParam(r *diag.Diagnostic, m *Module, p *Decl) {
	s, ok := p.Node.(*syntax.Let)
	if !ok || p.Module != m || s.IsFunc || len(s.Index) > 0 {
		return
	}
	if t := c.typeOf(p); t.quantity() {
		text := fmt.Sprintf("param %s: %s", p.Name, t)
		fix(r, fmt.Sprintf("write %s = …", text), diag.Edit{Span: diag.Span{Source: s.At.Source, Start: s.At.Start, End: s.Name.At.End}, Text: text})
	}
}

// otherUnit offers the unit that is wanted to a literal with another.
func (c *checker) otherUnit(d *diag.Diagnostic, e syntax.Expr, got, want Type) {
	l, ok := strip(e).(*syntax.Literal)
	unit := plainUnits[c.writtenIn()][want.Dim]
	if !ok || want.Kind != Quantity || got.Kind != Quantity || unit == "" {
		return
	}
	n := strings.TrimRightFunc(l.Value.Spelling, func(r rune) bool { return r < '0' || r > '9' })
	if l2, err := quantity.ParseLiteral(n + unit); err == nil && l2.Dim == want.Dim {
		fix(d, "write "+n+unit, diag.Edit{Span: e.Span(), Text: n + unit})
	}
}

// literalSystem is the system of units of a length that is written out.
func literalSystem(e syntax.Expr) (quantity.System, bool) {
	l, ok := strip(e).(*syntax.Literal)
	if !ok {
		return 0, false
	}
	return l.Value.System()
}

// offerLet offers to make a let of a param that stands in a module.
func offerLet(d *diag.Diagnostic, s syntax.Stmt) {
	p, ok := s.(*syntax.Param)
	if !ok || p.Decl.Default == nil || p.Decl.Name.Name == "" {
		return
	}
	text := fmt.Sprintf("let %s = %s", p.Decl.Name.Name, p.Decl.Default.Span().Text())
	fix(d, "write "+text, diag.Edit{Span: p.At, Text: text})
}

// offerModule offers the library's module that gives all the names that a use statement
// takes from one that is not there.
func (c *checker) offerModule(d *diag.Diagnostic, u *syntax.Use, at diag.Span) bool {
	l, ok := c.loader.(Lister)
	if !ok || c.searches >= maxSearches || len(u.Names) == 0 {
		return false
	}
	c.searches++
	for _, dotted := range l.Modules() {
		src, err := l.Module(dotted)
		if err != nil || src == nil {
			continue
		}
		file, _ := c.parse(src)
		gives := map[string]bool{}
		for _, s := range file.Stmts {
			for _, p := range []place{asPanel, asFunction, asValue} {
				for _, n := range u.Names {
					gives[n.Name.Name] = gives[n.Name.Name] || p.gives(s, n.Name.Name)
				}
			}
		}
		all := true
		for _, n := range u.Names {
			all = all && gives[n.Name.Name]
		}
		if all {
			note(d, fmt.Sprintf("did you mean %s?", dotted))
			note(d, "it has "+u.Names[0].Name.Name)
			fix(d, "write "+dotted, diag.Edit{Span: at, Text: dotted})
			return true
		}
	}
	return false
}
