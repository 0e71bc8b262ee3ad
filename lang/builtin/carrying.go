package builtin

import "perch/lang/value"

// Carried is what loads do to the whole piece, an estimate: mm, and shares of one.
type Carried struct {
	Sag, Sway, Used, Fastener float64
}

// carrying are the functions that estimate what loads do to a piece.
var carrying = []Function{
	carried("sag", length, "the farthest that loads, acting together, move anything of the piece down. An estimate, elastic, joints rigid, triangles coarse: within some 5 % of `perch strength`; prove the piece by a test load",
		func(c Carried) value.Value { return value.Length(c.Sag) }),
	carried("sway", length, "the farthest that they move anything level; as sag",
		func(c Carried) value.Value { return value.Length(c.Sway) }),
	carried("used", number, "the largest share of the yield stress, away from fasteners: 1 is where it begins to dent; as sag",
		func(c Carried) value.Value { return value.Number{V: c.Used} }),
	carried("rivet_used", number, "the largest share of a rivet's or bolt's strength; as sag",
		func(c Carried) value.Value { return value.Number{V: c.Fastener} }),
}

// carried is a function that measures the whole piece under loads.
func carried(name string, result Type, doc string, of func(Carried) value.Value) Function {
	return Function{Name: name, Result: result, Doc: doc, Example: name + "(load(500N, on: shelf.top))",
		Params: []Parameter{need("loads", "", loaded, list(loaded)).families()},
		Value: func(a *Args) value.Value {
			a.World.Measuring(a.Function.Name, a.At)
			return of(a.World.Carried(a.loads("to carry"), a.At))
		}}
}
