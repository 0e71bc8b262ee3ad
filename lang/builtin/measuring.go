package builtin

import (
	"math"

	"perch/lang/quantity"
	"perch/lang/value"
	"perch/parts/panel"
	"perch/parts/stack"
)

// measures are the functions that measure what was made.
var measures = []Function{
	{Name: "mass", Params: []Parameter{may("of", "the whole piece", "parts", part).families().whole()}, Result: mass, Doc: "mass of metal",
		Example: "mass(plate)",
		Value: func(a *Args) value.Value {
			sum := 0.0
			for _, p := range a.parts() {
				sum += a.World.Measured(p, a.At).Mass
			}
			return value.Number{V: sum, Dim: quantity.Mass}
		}},
	{Name: "area", Params: []Parameter{need("of", "parts, a face or a shape", part, face, shape).families()}, Result: area, Doc: "surface, of one side",
		Example: "area(plate)", Value: areaOf},
	{Name: "flat_long", Params: []Parameter{need("of", "", part).families()}, Result: length, Doc: "longer side of the blank",
		Example: "flat_long(plate)",
		Value: func(a *Args) value.Value {
			most := 0.0
			for _, p := range a.parts() {
				most = max(most, a.World.Measured(p, a.At).Long)
			}
			return value.Length(most)
		}},
	{Name: "flat_wide", Params: []Parameter{need("of", "", part).families()}, Result: length, Doc: "shorter side of the blank",
		Example: "flat_wide(plate)",
		Value: func(a *Args) value.Value {
			most := 0.0
			for _, p := range a.parts() {
				most = max(most, a.World.Measured(p, a.At).Wide)
			}
			return value.Length(most)
		}},
	{Name: "sheets", Sheets: true, Params: []Parameter{need("of", "", stock)}, Result: count, Doc: "sheets that the blanks take",
		Example: "sheets(steel)",
		Value: func(a *Args) value.Value {
			a.World.Measuring(a.Function.Name, a.At)
			return value.Count(a.World.Sheets(a.Stock("of"), a.At))
		}},
	{Name: "clearance", Params: []Parameter{need("a", "", part, face).families(), need("b", "", part, face).families()},
		Result: length, Doc: "least distance between two things", Example: "clearance(plate, shelf)", Value: clearance},
	{Name: "unbent", Params: []Parameter{need("of", "", part).families()}, Result: count, Doc: "folds that the shop's brake leaves unbent, whatever the order of bends; 0 where it bends them all",
		Example: "unbent(plate)",
		Value: func(a *Args) value.Value {
			sum := 0
			for _, p := range a.parts() {
				sum += a.World.Unbent(p, a.At)
			}
			return value.Count(sum)
		}},
	{Name: "stack_pitch", Params: []Parameter{
		may("turn", "0deg", "of each piece on the one below, about the plumb line through the middle of them all", angle).labelled(),
		may("of", "the whole piece", "the parts of a piece", part).families().whole().labelled()},
		Result: length, Doc: "from one piece to the next, up, where pieces are let down onto each other", Example: "stack_pitch(turn: 90deg)",
		Value: func(a *Args) value.Value {
			flats := a.flats()
			turn := 0.0
			if a.Has("turn") {
				turn = a.Number("turn").V
			}
			n := stack.Down(flats, turn, stack.Middle(flats), func(steps int) { a.World.Spend(a.At, 1+steps/steppedOver) })
			return value.Length(n.Pitch)
		}},
	{Name: "count", Params: []Parameter{need("of", "a list, a family or a part", list(anything), part).families()}, Result: count, Doc: "how many there are",
		Example: "count(core.sides)",
		Value: func(a *Args) value.Value {
			n := 0
			value.EachItem(a.Value("of"), func(value.Value) { n++ })
			return value.Count(n)
		}},
}

// parts are the parts that a function measures: those given, else all.
func (a *Args) parts() []Part {
	a.World.Measuring(a.Function.Name, a.At)
	var out []Part
	take := func(v value.Value) {
		p, ok := v.(Part)
		if !ok {
			value.Wrong(a.arg("of").At, v, "part")
		}
		out = append(out, p)
	}
	if a.Has("of") {
		value.Each(a.Value("of"), take)
		return out
	}
	for _, v := range a.World.Parts(a.At) {
		take(v)
	}
	return out
}

// steppedOver is how many pairs of corners, edges and facets of a stack are compared in the
// time of one step of evaluation.
const steppedOver = 20

// flats are the parts that a function measures, where they stand.
func (a *Args) flats() []*panel.Flat { return a.World.Flats(a.parts(), a.At) }

// areaOf is the area of parts and faces, or of a shape, which needs nothing made.
func areaOf(a *Args) value.Value {
	switch a.Value("of").(type) {
	case *value.Shape, *value.List, value.Drawable:
		r, ok := a.Shape("of").Draw(value.Free.Counted(a.World.Spend)).Bounded()
		if !ok {
			value.Fail("P4002", a.Place("of"), "a shape without end has no area")
		}
		return value.Number{V: r.Area(), Dim: quantity.Area}
	}
	a.World.Measuring(a.Function.Name, a.At)
	sum := 0.0
	value.Each(a.Value("of"), func(v value.Value) {
		switch v := v.(type) {
		case Part:
			sum += a.World.Measured(v, a.At).Area
		case Face:
			sum += a.World.Metal(v).Area()
		default:
			value.Wrong(a.arg("of").At, v, "part")
		}
	})
	return value.Number{V: sum, Dim: quantity.Area}
}

// clearance is the least distance between the metal of two things, or of any copies
// of them; a thing keeps no distance from itself.
func clearance(a *Args) value.Value {
	a.World.Measuring(a.Function.Name, a.At)
	best := math.Inf(1)
	thing := func(name string, v value.Value) (is Kind) {
		switch v.(type) {
		case Face:
			return FaceKind
		case Part:
			return PartKind
		}
		value.Wrong(a.arg(name).At, v, "part")
		return Invalid
	}
	value.Each(a.Value("a"), func(v value.Value) {
		value.Each(a.Value("b"), func(w value.Value) {
			switch {
			case v == w:
			case thing("a", v) != thing("b", w):
				a.Fail("P2010", "clearance is between two parts or between two faces, not one of each")
			default:
				best = min(best, a.World.Clearance(v, w, a.At))
			}
		})
	})
	if math.IsInf(best, 1) {
		value.FailUnmeasurable(a.At, "there are no two things to keep a distance", "a family is empty at this size, or both are one part")
	}
	return value.Length(best)
}
