package eval

import (
	"errors"
	"fmt"
	"math"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/bend"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
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
	faces []*face
	panel *panel.Panel
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
	st, ok := ev.eval(s.Of, e).(value.Stock)
	if !ok {
		ev.wrong(s.Of, ev.eval(s.Of, e), "stock")
	}
	call, ok := s.Value.(*syntax.Call)
	if !ok {
		ev.fail("P2024", s.Value.Span(), "a part is a panel with its arguments, as in tray(depth: x)")
	}
	ref, ok := ev.eval(call.Fun, e).(panelRef)
	if !ok {
		ev.wrong(call.Fun, ev.eval(call.Fun, e), "panel")
	}
	p := &part{of: of, name: name, base: s.Name.Name, decl: ref.decl, stmt: s, stock: st, def: ref.def, env: ref.env.child()}
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
	e.later(d, s.At, func() value.Value { return ev.letValue(d, s, e) })
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
	p.panel = pn
	for _, f := range ev.unfolded[p.def] { // most copies of a part differ by their place alone
		if g, ok := f.For(pn); ok {
			p.flattened = g
			return
		}
	}
	flat, err := panel.Unfold(pn, ev.unfoldOptions())
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

// panelPlaces tells where in the text the folds and seams of a panel come from.
type panelPlaces struct {
	p     *part
	folds []diag.Span
	seams []diag.Span
}

// panelErrors reports what Unfold refuses, at the statement that it comes from.
func (ev *evaluator) panelErrors(err error, w *panelPlaces) {
	var all []error
	if j, ok := err.(interface{ Unwrap() []error }); ok {
		all = j.Unwrap()
	} else {
		all = []error{err}
	}
	for _, err := range all {
		at, code := w.p.stmt.At, "P4020"
		var fold *panel.FoldError
		var face *panel.FaceError
		var seam *panel.SeamError
		var outside []worked
		switch {
		case errors.As(err, &fold):
			code = "P4021"
			for i, f := range w.p.panel.Folds {
				if f.Name == fold.Fold {
					at = w.folds[i]
				}
			}
			for i, s := range w.p.panel.Seams { // a lap's bend has its seam's name
				if s.Name == fold.Fold {
					at = w.seams[i]
				}
			}
		case errors.As(err, &face):
			code = "P4022"
			for _, f := range w.p.faces {
				if f.name == face.Face {
					at = f.stmt.At
					outside = ev.works[f]
				}
			}
		case errors.As(err, &seam):
			code = "P4023"
			for i, s := range w.p.panel.Seams {
				if s.Name == seam.Seam {
					at = w.seams[i]
				}
			}
		}
		d := value.DiagnosticSaid(code, at, measure.Of(err), diag.Related{Span: w.p.stmt.At, Message: fmt.Sprintf("in part %s", w.p.name)})
		for _, o := range outside {
			d.Related = append(d.Related, diag.Related{Span: o.decl.At, Message: "made in it by the file"})
		}
		d.Part = w.p.name
		ev.Report(d)
	}
	panic(silent{})
}

// folds collects the folds: one for each hung face, and those of fold statements.
func (ev *evaluator) folds(p *part, pn *panel.Panel, w *panelPlaces) {
	for _, f := range p.faces {
		if f.parent == nil {
			continue
		}
		ev.addFold(p, pn, w, f.parent, f, ev.hungSpec(f), f.stmt.At)
	}
	for _, d := range p.decl.Folds {
		s, ok := d.Node.(*syntax.Fold)
		if !ok {
			continue
		}
		ev.spread(d, p.env, func(e *env, _ []value.Value, _ string) {
			if s.Guard != nil && !ev.flag(s.Guard, e) {
				return
			}
			spec := ev.bendSpecOf(s.By, e)
			ev.pairs(s.A, s.B, e, func(a, b *face) {
				if b.parent == a || a.parent == b {
					return // hung already; its bend(…) is taken up there
				}
				ev.addFold(p, pn, w, a, b, spec, s.At)
			})
		})
	}
}

func (ev *evaluator) addFold(p *part, pn *panel.Panel, w *panelPlaces, a, b *face, spec value.BendSpec, at diag.Span) {
	angle := b.angle
	if b.parent != a {
		angle = 0
	}
	if a.part != p || b.part != p {
		ev.fail("P4009", at, "a fold joins two faces of its own panel")
	}
	real := angle
	if real == 0 {
		na, nb := a.frame.Normal(), b.frame.Normal()
		real = elementary.Atan2(na.Cross(nb).Len(), na.Dot(nb))
	}
	bd := ev.bendOf(p, spec, at, real)
	pn.Folds = append(pn.Folds, panel.Fold{
		Name: a.name + "/" + b.name, A: a.index, B: b.index,
		Radius: bd.Radius, K: bd.K, Relief: reliefs[spec.Relief], ReliefSize: spec.Size,
		Angle: angle, Down: b.down,
	})
	w.folds = append(w.folds, at)
}

var reliefs = map[value.Word]panel.Relief{
	"round": panel.ReliefRound, "square": panel.ReliefSquare, "slit": panel.ReliefSlit, "none": panel.ReliefNone,
}

// bendOf is a fold's bend by the shop's facts. An unstated radius is the
// stock's; a hem of exactly 180° is closed.
func (ev *evaluator) bendOf(p *part, spec value.BendSpec, at diag.Span, angle float64) bend.Bend {
	r := p.stock.Radius
	switch {
	case spec.HasRadius:
		r = spec.Radius
	case math.Abs(angle-math.Pi) < 1e-9:
		r = 0
	}
	b, warnings := ev.shop.Bend(*p.stock.Stock, r, angle)
	for _, w := range warnings {
		d := value.DiagnosticSaid("P6001", at, w.Message, "rule: "+w.Rule)
		d.Severity, d.Part = diag.Warning, p.base
		ev.Report(d)
	}
	if spec.K > 0 {
		b.K = spec.K
	}
	return b
}

// hungSpec is the bend(…) of the first fold statement that names a hung face.
func (ev *evaluator) hungSpec(f *face) value.BendSpec {
	spec, found := value.BendSpec{Relief: "auto"}, false
	for _, d := range f.part.decl.Folds {
		s, ok := d.Node.(*syntax.Fold)
		if !ok || !ev.speaksOf(s.B, f.decl) {
			continue
		}
		ev.spread(d, f.part.env, func(e *env, _ []value.Value, _ string) {
			if found || s.Guard != nil && !ev.flag(s.Guard, e) || !ev.names(s.B, f, e) {
				return
			}
			spec, found = ev.bendSpecOf(s.By, e), true
		})
	}
	return spec
}

// speaksOf tells whether an expression is a face of a statement, alone or by its index.
func (ev *evaluator) speaksOf(x syntax.Expr, d *check.Decl) bool {
	if i, ok := x.(*syntax.IndexExpr); ok {
		x = i.X
	}
	n, ok := x.(*syntax.Name)
	return ok && ev.prog.DeclOf(n) == d
}

// names tells whether an expression that speaks of the statement of f means f: the index
// that it gives is that of f. The family itself may still be in the making.
func (ev *evaluator) names(x syntax.Expr, f *face, e *env) bool {
	i, ok := x.(*syntax.IndexExpr)
	if !ok {
		return true
	}
	for k, at := range i.Index {
		if k >= len(f.key) || !value.SameKey(ev.eval(at, e), f.key[k]) {
			return false
		}
	}
	return true
}

func (ev *evaluator) bendSpecOf(by syntax.Expr, e *env) value.BendSpec {
	if by == nil {
		return value.BendSpec{Relief: "auto"}
	}
	v := ev.eval(by, e)
	b, ok := v.(value.BendSpec)
	if !ok {
		ev.wrong(by, v, "bend")
	}
	return b
}

// pairs calls do for the faces that two references of a fold or seam stand for:
// one with each of a family, or two families copy by copy.
func (ev *evaluator) pairs(xa, xb syntax.Expr, e *env, do func(a, b *face)) {
	va, vb := ev.eval(xa, e), ev.eval(xb, e)
	fa, oka := va.(*value.Family)
	fb, okb := vb.(*value.Family)
	if oka && okb {
		for i, k := range fa.Keys {
			if m, n := fb.Pick(k); n > 0 {
				do(ev.faceOf(fa.Members[i], xa), ev.faceOf(m, xb))
			}
		}
		return
	}
	value.Each(va, func(a value.Value) {
		value.Each(vb, func(b value.Value) { do(ev.faceOf(a, xa), ev.faceOf(b, xb)) })
	})
}

func (ev *evaluator) faceOf(v value.Value, at syntax.Node) *face {
	f, ok := v.(*face)
	if !ok {
		ev.wrong(at, v, "face")
	}
	return f
}

// seams collects the seams of a panel.
func (ev *evaluator) seams(p *part, pn *panel.Panel, w *panelPlaces) {
	add := func(a, b *face, spec value.SeamSpec, at diag.Span) {
		pn.Seams = append(pn.Seams, panel.Seam{
			Name: a.name + "/" + b.name, A: a.index, B: b.index,
			Kind: seamKinds[spec.Kind], Gap: spec.Gap, Lap: spec.Lap,
		})
		w.seams = append(w.seams, at)
	}
	for _, d := range p.decl.Folds {
		s, ok := d.Node.(*syntax.Seam)
		if !ok {
			continue
		}
		ev.spread(d, p.env, func(e *env, _ []value.Value, _ string) {
			if s.Guard != nil && !ev.flag(s.Guard, e) {
				return
			}
			v := ev.eval(s.By, e)
			spec, ok := v.(value.SeamSpec)
			if !ok {
				ev.wrong(s.By, v, "seam: open(…), closed() or lapped(…)")
			}
			if s.B != nil {
				ev.pairs(s.A, s.B, e, func(a, b *face) { add(a, b, spec, s.At) })
				return
			}
			ev.ownSeams(p, pn, s, e, func(a, b *face) { add(a, b, spec, s.At) })
		})
	}
}

// ownSeams calls do for the faces of one family that are neighbours.
func (ev *evaluator) ownSeams(p *part, pn *panel.Panel, s *syntax.Seam, e *env, do func(a, b *face)) {
	var all []*face
	value.Each(ev.eval(s.A, e), func(v value.Value) { all = append(all, ev.faceOf(v, s.A)) })
	n := 0
	for i, a := range all {
		for j := i + 1; j < len(all); j++ {
			if b := all[j]; ev.neighbours(p, pn, a, b) {
				if i == 0 && j == len(all)-1 && j > 1 { // the last comes round to the first
					do(b, a)
				} else {
					do(a, b)
				}
				n++
			}
		}
	}
	if n == 0 && len(all) > 1 {
		ev.fail("P4011", s.At, "no two of these faces are neighbours that a seam could join",
			"neighbours hang on edges that meet in a corner, or lie on neighbouring sides of a body, with no fold between them")
	}
}

var seamKinds = map[string]panel.SeamKind{"open": panel.SeamOpen, "closed": panel.SeamClosed, "lapped": panel.SeamLapped}

// neighbours tells whether a seam of a family joins two of its faces: they lie on
// neighbouring sides of a body, or hang on edges of one face that meet; and no fold
// joins them already.
func (ev *evaluator) neighbours(p *part, pn *panel.Panel, a, b *face) bool {
	parent := map[int]int{}
	for _, fold := range pn.Folds {
		if fold.A == a.index && fold.B == b.index || fold.A == b.index && fold.B == a.index {
			return false
		}
		parent[fold.B] = fold.A
	}
	if a.side != nil && b.side != nil && (a.side.Right().Right() == *b.side || b.side.Right().Right() == *a.side) {
		return true
	}
	on, ok := parent[a.index]
	if other, hung := parent[b.index]; !ok || !hung || on != other {
		return false
	}
	for _, q := range p.faces[on].edgeEnds(a) {
		for _, r := range p.faces[on].edgeEnds(b) {
			if q.Near(r, 1e-4) {
				return true
			}
		}
	}
	return false
}

// edgeEnds are the ends of f's outline edges that lie in another face's plane.
func (f *face) edgeEnds(on *face) []plane.Point {
	pl := on.frame.Plane()
	near := func(v solid.Vec) bool { return math.Abs(pl.Height(v)) < 1e-5 }
	var out []plane.Point
	for _, s := range f.straight() {
		if near(f.frame.At(s.A)) && near(f.frame.At(s.B)) {
			out = append(out, s.A, s.B)
		}
	}
	return out
}
