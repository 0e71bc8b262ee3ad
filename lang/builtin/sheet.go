package builtin

import (
	"fmt"

	"perch/lang/value"
	"perch/parts/measure"
	"perch/parts/shop"
)

// sheets are the functions that say what metal is and how it is bent.
var sheets = []Function{
	{Name: "sheet", Result: stock, Doc: "a sheet metal", Params: []Parameter{
		need("material", "", material), need("thickness", "or its gauge", length, gauge),
		may("radius", "", "inside radius of its bends", length).labelled(),
		may("k", "", "measured neutral-axis factor", number).labelled(),
		may("size", "the shop's", "of the sheet it is bought in, for sheets()", point).labelled(),
		{Name: "method", Shop: true, Optional: true, Labelled: true, Doc: "how bend allowance is worked out"}},
		Example: "sheet(mild_steel, 1.5mm, size: (1000mm, 2000mm))", Value: sheet},
	{Name: "bend", Result: bendSpec, Doc: "how a fold is made", Params: []Parameter{
		may("radius", "the stock's", "inside radius", length).labelled(),
		oneOf("relief", "auto", "at an end that is not at the blank's edge", "auto", "round", "square", "slit", "none"),
		may("k", "the stock's", "neutral-axis factor", number).labelled(),
		may("relief_size", "", "diameter or width of the relief", length).labelled()},
		Example: "bend(radius: 2mm, relief: round)",
		Value: func(a *Args) value.Value {
			b := value.BendSpec{HasRadius: a.Has("radius"), Radius: a.lengthOr("radius", 0), Size: a.lengthOr("relief_size", 0), Relief: a.Word("relief")}
			if a.Has("k") {
				b.K = a.Number("k").V
			}
			if b.Radius < 0 {
				value.Fail("P4003", a.Place("radius"), "an inside radius is not negative")
			}
			return b
		}},
	{Name: "open", Params: []Parameter{need("gap", "left clear", length)}, Result: seamSpec, Doc: "a gap between neighbours",
		Example: "open(2mm)",
		Value: func(a *Args) value.Value {
			g := a.Length("gap")
			if g < 0 {
				a.Fail("P4003", "a gap is not negative")
			}
			return value.SeamSpec{Kind: "open", Gap: g}
		}},
	{Name: "closed", Result: seamSpec, Doc: "neighbours whose edges touch", Example: "closed()",
		Value: func(a *Args) value.Value { return value.SeamSpec{Kind: "closed"} }},
	{Name: "lapped", Params: []Parameter{need("l", "passes behind by this", length)}, Result: seamSpec, Doc: "one neighbour passes behind the other",
		Example: "lapped(14mm)",
		Value:   func(a *Args) value.Value { return value.SeamSpec{Kind: "lapped", Lap: a.Positive("l")} }},
}

func sheet(a *Args) value.Value {
	m := given[value.Material](a, "material", "material")
	has := a.World.Shop()
	facts, _ := has.Material(string(m))
	st := &shop.Stock{Material: string(m), Density: facts.Density, Method: string(a.Word("method"))}
	switch t := a.Value("thickness").(type) {
	case value.Gauge:
		mm, err := has.GaugeThickness(string(m), t.N)
		if err != nil {
			value.Fail("P6002", a.Place("thickness"), "the shop does not know this gauge", measure.Of(err))
		}
		st.Thickness, st.Gauge = mm, fmt.Sprintf("%dga", t.N)
	default:
		st.Thickness = a.Positive("thickness")
	}
	if st.Thickness < 0.2 || st.Thickness > 25 {
		value.FailSaid("P4003", a.Place("thickness"), measure.Say("perch bends sheet from %v to %v thick", measure.Length(0.2), measure.Length(25)))
	}
	st.Radius = a.lengthOr("radius", st.Thickness)
	if st.Radius < 0 || st.Radius > 500 {
		value.FailSaid("P4003", a.Place("radius"), measure.Say("an inside radius lies between %#v and %v", measure.Length(0), measure.Length(500)))
	}
	if a.Has("k") {
		if st.K = a.Number("k").V; !(st.K > 0 && st.K <= 1) {
			value.Fail("P4003", a.Place("k"), "the neutral axis lies inside the sheet: k is between 0 and 1")
		}
	}
	if a.Has("size") {
		p := a.Point("size")
		if !(p.X > 0 && p.Y > 0 && p.X < 1e5 && p.Y < 1e5) {
			value.Fail("P4003", a.Place("size"), "a sheet's size is two lengths, more than nothing and under a hundred metres")
		}
		st.SheetWidth, st.SheetLength = min(p.X, p.Y), max(p.X, p.Y)
	}
	return value.Stock{Stock: st}
}

// lengthOr is an argument in mm, or another length where none is given.
func (a *Args) lengthOr(name string, or float64) float64 {
	if !a.Has(name) {
		return or
	}
	return a.Length(name)
}
