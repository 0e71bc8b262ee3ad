package eval

import (
	"math"
	"strings"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/shopcheck"
)

// Site is the place in a design's text that what was found of a part comes from: the
// narrowest that its maker can change.
type Site struct {
	At      diag.Span
	Related []diag.Related
	Fix     *diag.Fix
}

// Site is where what the shop's rules found of a copy of a part comes from. Where what is
// at fault is a length that is written out, the fix writes one that satisfies the rule.
func (m *Made) Site(copy int, f shopcheck.Finding) Site {
	p, want := m.parts[copy], f.Limit
	if f.Want > 0 {
		want = f.Want
	}
	ev := m.ev
	switch f.On.Kind {
	case shopcheck.Fold:
		return ev.foldSite(p, f, want)
	case shopcheck.Cut:
		if c, ok := p.face(f.On.Face).cut(f.On.Name); ok {
			return ev.cutSite(p, c.says, f, want)
		}
	case shopcheck.Face:
		if of := p.face(f.On.Name); of != nil {
			return ev.siteOf(p, of.outlineOf(), math.NaN(), 0)
		}
	case shopcheck.Bead:
		return ev.siteOf(p, ev.numberIn(p.markOf(f.On), f.Got, f.Of == shopcheck.Turn), f.Got, want)
	case shopcheck.Text:
		return ev.siteOf(p, p.markOf(f.On), math.NaN(), 0)
	case shopcheck.Hole, shopcheck.Point:
		return m.joinSite(p, f, want)
	}
	if f.Of == shopcheck.Thickness {
		return ev.siteOf(p, ev.ofStock(p, "thickness"), math.NaN(), 0)
	}
	return Site{At: p.stmt.Name.At}
}

// SiteOfFace is where a face of a copy of a part comes from.
func (m *Made) SiteOfFace(copy, face int) Site {
	p := m.parts[copy]
	if face < 0 || face >= len(p.faces) {
		return Site{At: p.stmt.Name.At}
	}
	return m.ev.ownSite(p, p.faces[face].stmt.Name.At)
}

// ownSite is a place, or where the part is stated if the place is in what its maker can't
// change, such as the library.
func (ev *evaluator) ownSite(p *part, at diag.Span) Site {
	if at.IsZero() {
		return Site{At: p.stmt.Name.At}
	}
	if !ev.prog.Own(at.Source) {
		return Site{At: p.stmt.Name.At, Related: []diag.Related{{Span: at, Message: "it is drawn here"}}}
	}
	return Site{At: at}
}

// siteOf is where an expression stands that came to a length, or where that length is
// written out: there a fix writes another. A length that is NaN is not to be changed.
func (ev *evaluator) siteOf(p *part, s source, was, want float64) Site {
	if s.by == nil {
		return Site{At: p.stmt.Name.At}
	}
	out := ev.ownSite(p, s.by.Span())
	lit := ev.literal(s)
	if lit == nil || math.IsNaN(was) || math.Abs(was-want) < 1e-9 {
		return out
	}
	if at := lit.At; at != out.At {
		out = Site{At: at, Related: append(out.Related, diag.Related{Span: s.by.Span(), Message: "used here"})}
		if !ev.prog.Own(s.by.Span().Source) {
			out.Related = out.Related[len(out.Related)-1:]
		}
	}
	if to := lit.Value.Value + want - was; to > 0 {
		text := quantity.Format(rounded(to, was < want, ev.prog.Shown), quantity.Length, ev.prog.Shown)
		out.Fix = &diag.Fix{Message: "write " + text, Edits: []diag.Edit{{Span: lit.At, Text: text}}}
	}
	return out
}

// rounded is a length in mm, rounded up or down to what makers write: a tenth of a
// millimetre, a thousandth of an inch.
func rounded(mm float64, up bool, in quantity.System) float64 {
	step := 0.1
	if in == quantity.Inches {
		step = 0.0254
	}
	n := mm / step
	if near := math.Round(n); math.Abs(n-near) < 1e-6 {
		return mm
	}
	if up {
		return float64(math.Ceil(n) * step)
	}
	return float64(math.Floor(n) * step)
}

// literal is the length that an expression is, followed through names to where it is
// written out in a text that the design's maker can change; nil where it is reckoned.
func (ev *evaluator) literal(s source) *syntax.Literal {
	const far = 20 // names
	start := s
	for range far {
		switch x := unwrapped(s.by).(type) {
		case *syntax.Literal:
			if v, ok := ev.Quietly(start.by, start.in); !ok || x.Value.Dim != quantity.Length || !ev.prog.Own(x.At.Source) {
				return nil
			} else if n, is := v.(value.Number); !is || math.Abs(n.V-x.Value.Value) > 1e-9 {
				return nil // it is stated elsewhere
			}
			return x
		case *syntax.Name:
			next, ok := ev.statedBy(x, s.in)
			if !ok {
				return nil
			}
			s = next
		default:
			return nil
		}
	}
	return nil
}

// statedBy is the expression that states what a name stands for, where one does.
func (ev *evaluator) statedBy(x *syntax.Name, e *env) (source, bool) {
	d := ev.prog.DeclOf(x)
	if d == nil {
		return source{}, false
	}
	if b := e.find(d); b != nil {
		return b.says, b.says.by != nil
	}
	switch s := d.Node.(type) {
	case *syntax.Let:
		if !s.IsFunc && d.Indices == nil {
			return source{s.Value, &env{}}, true
		}
	case *syntax.Stock:
		return source{s.Value, &env{}}, true
	case *syntax.Param:
		if ev.size != nil {
			for i := range ev.size.States {
				if st := &ev.size.States[i]; st.Name.Name == d.Name {
					return source{st.Value, &env{}}, st.Value != nil && st.How == syntax.StateEq
				}
			}
		}
		return source{s.Decl.Default, &env{}}, s.Decl.Default != nil
	}
	return source{}, false
}

// follow is an expression, or where it is a name what that is stated by.
func (ev *evaluator) follow(s source) source {
	const far = 20 // names
	for range far {
		x, ok := unwrapped(s.by).(*syntax.Name)
		if !ok {
			break
		}
		next, ok := ev.statedBy(x, s.in)
		if !ok {
			break
		}
		s = next
	}
	return s
}

// argument is the first argument, of the calls that an expression is made of, that which
// picks; the expression itself where none is.
func (ev *evaluator) argument(s source, which func(f *check.Bound, i int, x syntax.Expr) bool) (source, bool) {
	s = ev.follow(s)
	var found syntax.Expr
	if s.by != nil {
		syntax.Inspect(s.by, func(n syntax.Node) bool {
			call, ok := n.(*syntax.Call)
			if b := ev.prog.Bound(call); ok && b != nil {
				for i, x := range b.Args {
					if found == nil && x != nil && which(b, i, x) {
						found = x
					}
				}
			}
			return found == nil
		})
	}
	if found == nil {
		return s, false
	}
	return source{found, s.in}, true
}

// numberIn is the argument that came to a length, where it is looked for; else the whole.
func (ev *evaluator) numberIn(s source, length float64, look bool) source {
	if s.by == nil || !look {
		return s
	}
	got, _ := ev.argument(s, func(_ *check.Bound, _ int, x syntax.Expr) bool {
		v, ok := ev.Quietly(x, s.in)
		n, is := v.(value.Number)
		return ok && is && n.Dim == quantity.Length && math.Abs(n.V-length) < 1e-9
	})
	return got
}

// argumentNamed is the argument for a parameter of a call, of the calls that an expression is made of.
func (ev *evaluator) argumentNamed(s source, parameter string) (source, bool) {
	return ev.argument(s, func(b *check.Bound, i int, _ syntax.Expr) bool {
		return b.Function != nil && i < len(b.Function.Params) && b.Function.Params[i].Name == parameter
	})
}

// ofStock is what states a measure of a part's stock: its argument, else the stock.
func (ev *evaluator) ofStock(p *part, parameter string) source {
	s := source{p.stmt.Of, p.outer}
	if x, ok := ev.argumentNamed(s, parameter); ok {
		return x
	}
	if by := ev.follow(s); by.by != nil {
		return by
	}
	return s
}

// radius is what states the inside radius of a bend: its bend(…), else the part's stock.
func (ev *evaluator) radius(p *part, bend source) source {
	if bend.by != nil {
		if x, ok := ev.argumentNamed(bend, "radius"); ok {
			return x
		}
	}
	return ev.ofStock(p, "radius")
}

func (ev *evaluator) foldSite(p *part, f shopcheck.Finding, want float64) Site {
	var of foldPlace
	for i, fold := range p.panel.Folds {
		if fold.Name == f.On.Name {
			of = p.where.folds[i]
		}
	}
	switch f.Of {
	case shopcheck.Radius:
		s := ev.radius(p, of.says)
		if v, ok := ev.Quietly(s.by, s.in); ok {
			if n, is := v.(value.Number); is && math.Abs(n.V-f.Got) < 1e-9 {
				return ev.siteOf(p, s, f.Got, want)
			}
		}
		return ev.siteOf(p, s, math.NaN(), 0) // it is not the radius itself that is held to the rule
	case shopcheck.Thickness:
		return ev.siteOf(p, ev.ofStock(p, "thickness"), math.NaN(), 0)
	case shopcheck.ReliefSize:
		if x, ok := ev.argumentNamed(of.says, "relief_size"); ok {
			return ev.siteOf(p, x, f.Got, want)
		}
	case shopcheck.Depth:
		if face := p.face(f.On.Face); face != nil {
			deep, found := ev.argument(face.outlineOf(), func(b *check.Bound, i int, _ syntax.Expr) bool {
				return b.Function != nil && b.Function.OnFold && i == 0
			})
			if !found {
				return ev.siteOf(p, deep, math.NaN(), 0)
			}
			return ev.siteOf(p, deep, f.Got, want)
		}
	}
	at, _ := p.where.fold(f.On.Name)
	return ev.ownSite(p, at)
}

// cutSite is where a cut is drawn. One whose corners are too sharp is rounded.
func (ev *evaluator) cutSite(p *part, s source, f shopcheck.Finding, want float64) Site {
	switch f.Of {
	case shopcheck.Diameter:
		return ev.siteOf(p, ev.numberIn(s, f.Got, true), f.Got, want)
	case shopcheck.Corner:
		out := ev.siteOf(p, s, math.NaN(), 0)
		x := unwrapped(s.by)
		for {
			b, ok := x.(*syntax.Binary)
			if !ok || b.Op != syntax.OpAt {
				break
			}
			x = unwrapped(b.X)
		}
		if call, ok := x.(*syntax.Call); ok && f.Got == 0 && ev.prog.Own(call.At.Source) {
			text := ".rounded(" + quantity.Format(rounded(want, true, ev.prog.Shown), quantity.Length, ev.prog.Shown) + ")"
			out.Fix = &diag.Fix{Message: "write " + text + " behind it", Edits: []diag.Edit{{Span: call.At.After(), Text: text}}}
		}
		return out
	}
	return ev.siteOf(p, s, math.NaN(), 0)
}

// markOf is what states a mark of a part.
func (p *part) markOf(on shopcheck.Subject) source {
	f := p.face(on.Face)
	if f == nil {
		return source{}
	}
	name, _, _ := strings.Cut(on.Name, ".")
	for _, d := range f.decl.Members {
		if m, ok := d.Node.(*syntax.Mark); ok && d.Name == name {
			return source{m.Value, f.env}
		}
	}
	return source{}
}

// joinSite is where the join of a point is stated: what it is made by, or where.
func (m *Made) joinSite(p *part, f shopcheck.Finding, want float64) Site {
	name, _, _ := strings.Cut(f.On.Name, ".")
	for _, d := range m.ev.prog.Root.Order {
		s, ok := d.Node.(*syntax.Join)
		if !ok || s.Name.Name != name {
			continue
		}
		by := source{s.By, &env{}}
		switch {
		case f.Of == shopcheck.Fastener:
			return m.ev.siteOf(p, m.ev.numberIn(by, f.Got, true), f.Got, want)
		case f.Of == shopcheck.Shank || f.Of == shopcheck.Reached:
			return m.ev.ownSite(p, s.By.Span())
		case f.Of == shopcheck.TailForm:
			site := m.ev.ownSite(p, s.By.Span())
			if x, ok := m.ev.argumentNamed(by, "tail"); ok && m.ev.prog.Own(x.by.Span().Source) {
				site.At = x.by.Span()
				site.Fix = &diag.Fix{Message: "write `tail: round`", Edits: []diag.Edit{{Span: site.At, Text: "round"}}}
			}
			return site
		case f.Of == shopcheck.HeadSide:
			site := m.ev.ownSite(p, s.By.Span())
			site.Fix = m.ev.otherHead(s)
			return site
		case s.Places != nil:
			return m.ev.ownSite(p, s.Places.Span())
		case f.Of == shopcheck.Pitch:
			if x, ok := m.ev.argumentNamed(by, "pitch"); ok {
				v, known := m.ev.Quietly(x.by, x.in)
				if n, is := v.(value.Number); known && is {
					return m.ev.siteOf(p, x, n.V, want)
				}
			}
		}
		return m.ev.ownSite(p, s.By.Span())
	}
	return Site{At: p.stmt.Name.At}
}
