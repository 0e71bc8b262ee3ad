package eval

import (
	"math"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/bend"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// folds collects the folds: one for each hung face, and those of fold statements.
func (ev *evaluator) folds(p *part, pn *panel.Panel, w *panelPlaces) {
	for _, f := range p.faces {
		if f.parent == nil {
			continue
		}
		ev.addFold(p, pn, w, f.parent, f, ev.hungSpec(f), f.stmt.Off.Span())
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
			at := diag.Cover(s.A.Span(), s.B.Span())
			ev.pairs(s.A, s.B, e, func(a, b *face) {
				if b.parent == a {
					return // hung already; its bend(…) is taken up there
				}
				if a.parent == b {
					ev.fail("P2035", s.At, a.name+" hangs on "+b.name+": the fold would hang "+b.name+" back on it",
						"a fold names the face that hangs second: fold "+s.B.Span().Text()+" to "+s.A.Span().Text())
				}
				ev.addFold(p, pn, w, a, b, spec, at)
			})
		})
	}
}

func (ev *evaluator) addFold(p *part, pn *panel.Panel, w *panelPlaces, a, b *face, spec bendSpec, at diag.Span) {
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
	bd := ev.bendOf(p, spec, real)
	pn.Folds = append(pn.Folds, panel.Fold{
		Name: a.name + "/" + b.name, A: a.index, B: b.index,
		Radius: bd.Radius, K: bd.K, Relief: reliefs[spec.Relief], ReliefSize: spec.Size,
		Angle: angle, Down: b.down,
	})
	w.folds = append(w.folds, foldPlace{at, b, spec.says})
}

// bendSpec is a bend(…) with where it stands; nowhere where none is stated.
type bendSpec struct {
	value.BendSpec
	says source
}

var reliefs = map[value.Word]panel.Relief{
	"round": panel.ReliefRound, "square": panel.ReliefSquare, "slit": panel.ReliefSlit, "none": panel.ReliefNone,
}

// bendOf is a fold's bend by the shop's facts. An unstated radius is the
// stock's; a hem of exactly 180° is closed.
func (ev *evaluator) bendOf(p *part, spec bendSpec, angle float64) bend.Bend {
	r := p.stock.Radius
	switch {
	case spec.HasRadius:
		r = spec.Radius
	case math.Abs(angle-math.Pi) < 1e-9:
		r = 0
	}
	b, warnings := ev.shop.Bend(*p.stock.Stock, r, angle)
	for _, w := range warnings {
		least := r
		if m, ok := ev.shop.Material(p.stock.Material); ok {
			least = float64(m.MinRadius * p.stock.Thickness)
		}
		site := ev.siteOf(p, ev.radius(p, spec.says), r, least)
		d := value.DiagnosticSaid("P6001", site.At, w.Message, "rule: "+w.Rule)
		d.Severity, d.Part, d.Related, d.Fix = diag.Warning, p.base, site.Related, site.Fix
		ev.Report(d)
	}
	if spec.K > 0 {
		b.K = spec.K
	}
	return b
}

// hungSpec is the bend(…) of the first fold statement that names a hung face.
func (ev *evaluator) hungSpec(f *face) bendSpec {
	spec, found := ev.bendSpecOf(nil, nil), false
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

func (ev *evaluator) bendSpecOf(by syntax.Expr, e *env) bendSpec {
	if by == nil {
		return bendSpec{BendSpec: value.BendSpec{Relief: "auto"}}
	}
	v := ev.eval(by, e)
	b := as[value.BendSpec](v, by, "bend")
	return bendSpec{b, source{by, e}}
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
	f := as[*face](v, at, "face")
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
			spec := as[value.SeamSpec](v, s.By, "seam: open(…), closed() or lapped(…)")
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
