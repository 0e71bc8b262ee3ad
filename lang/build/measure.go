package build

import (
	"perch/lang/check"
	"perch/lang/quantity"
	"perch/lang/syntax"
)

// measure works out the functions that measure what was made.
func (ev *evaluator) measure(name string, x *syntax.Call, e *env) (value, bool) {
	switch name {
	case "mass", "flat_long", "flat_wide", "area":
	default:
		return nil, false
	}
	a := ev.arguments(x, e, []string{"of"})
	var parts []*part
	if name == "mass" && !a.has("of") {
		for _, d := range ev.prog.Root.Order {
			if d.Kind == check.Part {
				each(ev.declared(d, x.At), func(v value) { parts = append(parts, v.(*part)) })
			}
		}
	} else {
		v := a.value("of")
		if name == "area" {
			if n, ok := ev.areaOf(v, a.need("of")); ok {
				return n, true
			}
		}
		each(v, func(m value) {
			p, ok := m.(*part)
			if !ok {
				ev.wrong(a.need("of"), m, "part")
			}
			parts = append(parts, p)
		})
	}
	var sum, longest, widest float64
	for _, p := range parts {
		w, h := p.flat.Size()
		longest, widest = max(longest, w, h), max(widest, min(w, h))
		if name == "mass" {
			sum += p.flat.Mass()
		} else {
			sum += p.flat.Area()
		}
	}
	switch name {
	case "mass":
		return number{v: sum, dim: quantity.Mass}, true
	case "area":
		return number{v: sum, dim: quantity.Area}, true
	case "flat_long":
		return lengthValue(longest), true
	}
	return lengthValue(widest), true
}

// areaOf is the area of a face's metal or of a shape.
func (ev *evaluator) areaOf(v value, at syntax.Node) (value, bool) {
	switch v := v.(type) {
	case *face:
		return number{v: v.region.Area(), dim: quantity.Area}, true
	case *shape, *list:
		r, ok := ev.shapeOf(v, at).draw(free).bounded()
		if !ok {
			ev.fail("P4002", at.Span(), "a shape without end has no area")
		}
		return number{v: r.Area(), dim: quantity.Area}, true
	}
	return nil, false
}
