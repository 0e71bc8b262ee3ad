package eval

import (
	"perch/lang/check"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/panel"
)

// part is one copy of a part: a panel made of a stock.
type part struct {
	name  string // with its index: rung.2.1
	base  string
	decl  *check.Decl // of the panel
	stmt  *syntax.Part
	stock value.Stock
	def   *syntax.Panel
	env   *env // parameters, lets and faces of the panel
	outer *env // that it is made in: of its index
	faces []*face
	panel *panel.Panel
	where *panelPlaces // in the text, of its folds and seams
	// drawn: its faces are there; flattened is there once stage is done
	drawn     bool
	stage     stage
	flattened *panel.Flat
	of        *check.Decl // the part statement
}

// parts makes the copies of a part statement: one part, or a family.
func (ev *evaluator) parts(d *check.Decl, s *syntax.Part, e *env) value.Value {
	f := &value.Family{}
	lost := false
	ev.spread(d, e, func(e *env, key []value.Value, suffix string) {
		if s.Guard != nil && !ev.flag(s.Guard, e) {
			return
		}
		var p *part
		if !ev.Try(func() { p = ev.part(d, s, e, s.Name.Name+suffix) }) {
			lost = true
			return
		}
		f.Keys = append(f.Keys, key)
		f.Members = append(f.Members, p)
	})
	if lost {
		panic(silent{})
	}
	if s.Index == nil {
		if len(f.Members) == 0 {
			return &value.Family{}
		}
		return f.Members[0]
	}
	return f
}

func (ev *evaluator) part(of *check.Decl, s *syntax.Part, e *env, name string) *part {
	st := as[value.Stock](ev.eval(s.Of, e), s.Of, "stock")
	call, ok := s.Value.(*syntax.Call)
	if !ok {
		ev.fail("P2024", s.Value.Span(), "a part is a panel with its arguments, as in tray(depth: x)")
	}
	ref := as[panelRef](ev.eval(call.Fun, e), call.Fun, "panel")
	p := &part{of: of, name: name, base: s.Name.Name, decl: ref.decl, stmt: s, stock: st, def: ref.def, env: ref.env.child(len(ref.decl.Members)), outer: e}
	for _, d := range ref.decl.Members {
		switch d.Kind {
		case check.OwnStock:
			p.env.set(d, st)
		case check.Let:
			ev.bindLet(d, p.env)
		case check.Face:
			p.env.later(d, d.Node.Span(), func() value.Value { return ev.faces(p, d) })
		}
	}
	ev.bind(ev.prog.Bound(call), call, e, p.env)
	ev.draw(p)
	return p
}

// bindLet puts a let in a scope, to be worked out when asked for.
func (ev *evaluator) bindLet(d *check.Decl, e *env) {
	s := d.Node.(*syntax.Let)
	b := e.later(d, s.At, func() value.Value { return ev.letValue(d, s, e) })
	if !s.IsFunc && d.Indices == nil {
		b.says = source{s.Value, e}
	}
}

// letValue is a let in its scope: a value, a family of them, or a function.
func (ev *evaluator) letValue(d *check.Decl, s *syntax.Let, e *env) value.Value {
	if s.IsFunc {
		return function{d, s, e}
	}
	return ev.copies(d, e, func(e *env) value.Value { return ev.eval(s.Value, e) })
}

// copies is what one makes of a statement, or the family of that for every value of its
// indices.
func (ev *evaluator) copies(d *check.Decl, e *env, one func(e *env) value.Value) value.Value {
	if d.Indices == nil {
		return one(e)
	}
	f := &value.Family{}
	ev.spread(d, e, func(e *env, key []value.Value, _ string) {
		f.Keys = append(f.Keys, key)
		f.Members = append(f.Members, one(e))
	})
	return f
}

// member reads what the part's panel names.
func (p *part) member(ev *evaluator, name string, x *syntax.Member) (value.Value, bool) {
	d := p.decl.Member(name) // of the type the part has here, which may be any panel's
	if d == nil {
		return nil, false
	}
	return p.env.find(d).value(ev, x.Name.At), true
}

// draw holds the part to its panel's rules, and draws every face.
// Where a rule is broken no face is drawn: what could not be drawn either follows from
// what the rule says.
func (ev *evaluator) draw(p *part) {
	whole := true
	for _, b := range p.def.Body {
		if r, ok := b.(*syntax.Rule); ok {
			whole = ev.Try(func() { ev.hold(r, p.env, p.name) }) && whole
		}
	}
	if !whole {
		panic(silent{})
	}
	for _, d := range p.decl.Members {
		if d.Kind == check.Face {
			whole = ev.Try(func() { p.env.find(d).value(ev, d.Node.Span()) }) && whole
		}
	}
	if !whole {
		panic(silent{})
	}
	p.drawn = true
}

// unfold cuts and marks the faces, and unfolds the part.
func (ev *evaluator) unfold(p *part) {
	ev.worksOn(p)
	pn := &panel.Panel{Name: p.name, Stock: *p.stock.Stock}
	for _, f := range p.faces {
		ev.cutFace(f)
		ev.cutOutside(f)
		pf := panel.Face{Name: f.name, Frame: f.frame, Outline: f.region, Marks: append(ev.marks(f), ev.marksOutside(f)...), Hung: f.canvas.Hung}
		for _, c := range f.cuts {
			pf.Cuts = append(pf.Cuts, panel.Cut{Name: c.name, Region: c.region})
		}
		pn.Faces = append(pn.Faces, pf)
	}
	where := &panelPlaces{p: p}
	ev.folds(p, pn, where)
	ev.seams(p, pn, where)
	p.panel, p.where = pn, where
	for _, f := range ev.unfolded[p.def] { // most copies of a part differ by their place alone
		if g, ok := f.For(pn); ok {
			p.flattened = g
			return
		}
	}
	var flat *panel.Flat
	var err error
	value.Bounded(p.stmt.At, func() { flat, err = panel.Unfold(pn, ev.unfoldOptions()) })
	if err != nil {
		ev.panelErrors(err, where)
	}
	p.flattened = flat
	if len(ev.unfolded[p.def]) < maxUnfolded {
		ev.unfolded[p.def] = append(ev.unfolded[p.def], flat)
	}
}

// maxUnfolded is how many shapes of a panel are kept to be compared with.
const maxUnfolded = 8

func (ev *evaluator) unfoldOptions() panel.Options { return panel.Options{Kerf: ev.shop.Cutter.Kerf} }
