package eval

import (
	"math"

	"perch/lang/check"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/panel"
	"perch/parts/record"
)

// measures are the functions that measure what was made.
var measures = map[string]bool{"mass": true, "flat_long": true, "flat_wide": true, "area": true, "sheets": true, "clearance": true}

// measure works out the functions that measure what was made; the area of a shape
// is known without.
func (ev *evaluator) measure(name string, x *syntax.Call, e *env) (value.Value, bool) {
	if !measures[name] {
		return nil, false
	}
	if name == "area" {
		a := ev.arguments(x, e, []string{"of"})
		switch v := a.value("of").(type) {
		case *value.Shape, *value.List, cutRef:
			return ev.shapeArea(v, a.need("of")), true
		}
	}
	if !ev.settled {
		ev.fail("P3008", x.At, name+" measures what is made, and that needs every value first")
	}
	ev.measured++
	switch name {
	case "sheets":
		return ev.sheets(x, e), true
	case "clearance":
		return ev.clearance(x, e), true
	}
	a := ev.arguments(x, e, []string{"of"})
	var parts []*part
	var sum, longest, widest float64
	if name == "mass" && !a.has("of") {
		for _, d := range ev.prog.Root.Order {
			if d.Kind == check.Part {
				value.Each(ev.declared(d, x.At), func(v value.Value) { parts = append(parts, v.(*part)) })
			}
		}
	} else {
		value.Each(a.value("of"), func(m value.Value) {
			switch m := m.(type) {
			case *part:
				parts = append(parts, m)
			case *face:
				if name != "area" {
					ev.wrong(a.need("of"), m, "part")
				}
				sum += ev.metal(m).Area()
			default:
				ev.wrong(a.need("of"), m, "part")
			}
		})
	}
	for _, p := range parts {
		m := record.Measure(p.flat)
		longest, widest = max(longest, m.Width, m.Height), max(widest, min(m.Width, m.Height))
		if name == "mass" {
			sum += m.Mass
		} else {
			sum += m.Area
		}
	}
	switch name {
	case "mass":
		return value.Number{V: sum, Dim: quantity.Mass}, true
	case "area":
		return value.Number{V: sum, Dim: quantity.Area}, true
	case "flat_long":
		return value.Length(longest), true
	}
	return value.Length(widest), true
}

// clearance is the least distance between the metal of two things, or of any copies
// of them; a thing keeps no distance from itself.
func (ev *evaluator) clearance(x *syntax.Call, e *env) value.Value {
	a := ev.arguments(x, e, []string{"a", "b"})
	best := math.Inf(1)
	value.Each(a.value("a"), func(v value.Value) {
		value.Each(a.value("b"), func(w value.Value) {
			if v == w {
				return
			}
			f, fok := v.(*face)
			g, gok := w.(*face)
			switch {
			case fok && gok:
				best = min(best, ev.gap(gap{f.part.flat, g.part.flat, f.index, g.index}))
			case fok || gok:
				ev.fail("P2010", x.At, "clearance is between two parts or between two faces, not one of each")
			default:
				p, ok := v.(*part)
				if !ok {
					ev.wrong(a.need("a"), v, "part")
				}
				q, ok := w.(*part)
				if !ok {
					ev.wrong(a.need("b"), w, "part")
				}
				best = min(best, ev.gap(gap{p.flat, q.flat, -1, -1}))
			}
		})
	})
	if math.IsInf(best, 1) {
		unmeasurable(x.At, "there are no two things to keep a distance", "a family is empty at this size, or both are one part")
	}
	return value.Length(best)
}

// gap is two flats, or faces of them, whose clearance is asked for; −1 for the whole flat.
type gap struct {
	a, b         *panel.Flat
	aFace, bFace int
}

// gap works a clearance out once.
func (ev *evaluator) gap(g gap) float64 {
	d, known := ev.gaps[g]
	switch {
	case known:
	case g.aFace < 0:
		d = panel.Clearance(g.a, g.b)
	default:
		d = panel.FaceClearance(g.a, g.aFace, g.b, g.bFace)
	}
	ev.gaps[g] = d
	return d
}

// shapeArea is the area of a shape.
func (ev *evaluator) shapeArea(v value.Value, at syntax.Node) value.Value {
	r, ok := value.ShapeOf(v, at).Draw(value.Free).Bounded()
	if !ok {
		ev.fail("P4002", at.Span(), "a shape without end has no area")
	}
	return value.Number{V: r.Area(), Dim: quantity.Area}
}
