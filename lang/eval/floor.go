package eval

import (
	"math"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/solid"
)

// floorSlack is how far metal may pass the floor, in mm: no saw cuts closer.
const floorSlack = 0.05

// farthest is how far from the middle of the floor a body may be put, in mm: shapes
// without end are drawn twice as far.
const farthest = 1e5

// put is `body at (x, y, z)`.
func (ev *evaluator) put(b *solid.Body, at value.Value, x *syntax.Binary) value.Value {
	b = b.Moved(spaceOf(at, x.Y))
	o := b.Top().O
	if d := max(math.Abs(o.X), math.Abs(o.Y), math.Abs(o.Z)); !(d <= farthest) {
		ev.fail("P4004", x.At, "this body cannot stand so far away", measure.Say("it is put %s from the middle of the floor; perch builds within %s", value.ShownLength(d), value.ShownLength(farthest)))
	}
	return b
}

// spaceOf takes a place in space, or a point of the floor.
func spaceOf(v value.Value, at syntax.Node) solid.Vec {
	if t, ok := v.(value.Triple); ok {
		p := value.PointOf(value.Pair{X: t.X, Y: t.Y}, at)
		return solid.Vec{X: p.X, Y: p.Y, Z: value.PointOf(value.Pair{X: t.Z, Y: t.Z}, at).X}
	}
	p := value.PointOf(v, at)
	return solid.Vec{X: p.X, Y: p.Y}
}

// grounded reports bodies that were put so low that metal built on them passes the
// floor. Parts that nobody put below it may: a plate on a wall has no floor.
func (ev *evaluator) grounded(parts []*part) {
	for _, d := range ev.prog.Root.Order {
		s, ok := d.Node.(*syntax.Body)
		if !ok || d.Kind != check.Body {
			continue
		}
		put := putting(s.Value)
		if put == nil {
			continue
		}
		b, ok := ev.declared(d, d.At).(*solid.Body)
		if !ok {
			continue
		}
		if stands, lifted := b.Stands(); lifted > -floorSlack || stands > -floorSlack {
			continue
		}
		var low *part
		deep := floorSlack
		for _, p := range parts {
			if under := -lowest(p.panel); under > deep && ev.rests(p.stmt, d, map[*check.Decl]bool{}) {
				low, deep = p, under
			}
		}
		if low != nil {
			ev.Report(ev.passing(put, d, b, low, deep))
		}
	}
}

// passing tells that metal built on a body passes the floor.
func (ev *evaluator) passing(put *syntax.Binary, d *check.Decl, b *solid.Body, low *part, deep float64) diag.Diagnostic {
	_, lifted := b.Stands()
	step := ev.prog.Units.Scale() / 1000 // of what is written into the design
	up := value.ShownLength(math.Ceil((lifted+deep)/step-1e-6) * step).In(ev.prog.Units)
	more := []any{measure.Say("%s was put %s below it", d.Name, value.ShownLength(-lifted)),
		diag.Related{Span: low.stmt.Name.At, Message: low.name + " is built on it"}}
	if t, ok := put.Y.(*syntax.Triple); ok && written(t.Z) {
		more = append(more, &diag.Fix{Message: "write " + up, Edits: []diag.Edit{{Span: t.Z.Span(), Text: up}}})
	} else {
		more = append(more, "put it no lower than "+up)
	}
	at := put.Y.Span()
	if t, ok := put.Y.(*syntax.Triple); ok {
		at = t.Z.Span()
	}
	r := value.DiagnosticSaid("P4013", at, measure.Say("%s passes the floor by %.4g", low.name, measure.Length(deep)), more...)
	r.Part = low.name
	return r
}

// written tells whether a number is written out.
func written(x syntax.Expr) bool {
	if u, ok := x.(*syntax.Unary); ok {
		x = u.X
	}
	_, ok := x.(*syntax.Literal)
	return ok
}

// putting is the `at` by which a body's statement puts it somewhere, or nil.
func putting(x syntax.Expr) *syntax.Binary {
	for {
		switch y := x.(type) {
		case *syntax.Paren:
			x = y.X
		case *syntax.Call:
			m, ok := y.Fun.(*syntax.Member)
			if !ok {
				return nil
			}
			x = m.X
		case *syntax.Binary:
			if y.Op == syntax.OpAt {
				return y
			}
			return nil
		default:
			return nil
		}
	}
}

// rests tells whether what a statement names, or what that is made of, names the body.
func (ev *evaluator) rests(n syntax.Node, body *check.Decl, seen map[*check.Decl]bool) bool {
	found := false
	syntax.Inspect(n, func(n syntax.Node) bool {
		d := ev.prog.DeclOf(n)
		if d == body {
			found = true
		}
		if d != nil && d.Node != nil && !seen[d] && (d.Kind == check.Let || d.Kind == check.Body || d.Kind == check.Part) {
			seen[d] = true
			found = found || ev.rests(d.Node, body, seen)
		}
		return !found
	})
	return found
}

// lowest is the height of the lowest metal of a panel's faces above the floor, mm.
func lowest(p *panel.Panel) float64 {
	low := math.Inf(1)
	for _, f := range p.Faces {
		for _, side := range [2]solid.Frame{f.Frame, f.Frame.Shifted(-p.Stock.Thickness)} {
			for i := range f.Outline[0] {
				e := f.Outline[0].Edge(i)
				for k := range 4 {
					low = min(low, side.At(e.PointAt(float64(k)/4)).Z)
				}
			}
		}
	}
	return low
}
