package builtin

import (
	"perch/lang/value"
	"perch/parts/panel"
	"perch/parts/shop"
)

// fastenings are the functions that say what joins sheets, and the marks on them.
var fastenings = []Function{
	fastening("rivet", "diameter", "rivets: blind ones, or solid ones hammered over a dolly or held by a weld", "rivet(4mm, pitch: 60mm)",
		append([]Parameter{closing(), tail(), head()}, making()...)...),
	fastening("bolt", "diameter", "bolts", "bolt(6mm, count: 2)", append([]Parameter{head()}, making()...)...),
	fastening("plug", "diameter of the hole", "plug welds", "plug(6mm, count: 2)"),
	{Name: "tack", Result: fastener, Doc: "tack welds, along an edge that lies on a face or on another edge", Example: "tack(6mm, count: 2)",
		Params: append(append([]Parameter{may("length", "5mm", "of each", length)}, rows("middle")...), beadSide()),
		Value:  func(a *Args) value.Value { return a.fastener(a.Length("length")) }},
	{Name: "weld", Result: fastener, Doc: "welds along an edge that lies on a face or on another edge", Example: "weld(20mm, pitch: 60mm)",
		Params: append(append([]Parameter{need("length", "of each bead", length)}, rows("middle")...), beadSide()),
		Value:  func(a *Args) value.Value { return a.fastener(a.Positive("length")) }},
}

// rows are the arguments that say how fasteners lie in a row.
func rows(of string) []Parameter {
	return []Parameter{
		may("pitch", "", "between "+of+"s", length).labelled().without("count"),
		may("count", "", "how many in each patch", count).labelled(),
		may("edge", "", "least distance of a "+of+" from any edge", length).labelled(),
	}
}

// beadSide is the argument that says on which side of the sheet a bead lies.
func beadSide() Parameter {
	return oneOf("side", "drawn", "of the sheet whose edge it is, the first member where it has one there", "drawn", "back")
}

// way is the argument that says which way a row runs.
func way() Parameter {
	return oneOf("along", "longer", "the way the row runs: along the longer side of the patch, or u or v of the first member", "longer", "u", "v")
}

// making are the arguments that say when holes are made, and what locates the parts.
func making() []Parameter {
	return []Parameter{
		byShop("drilled", "which holes are made in the flat, the rest being drilled in place: the outer sheet's and one of each two parts that locates them, "+
			"where a hand can pin it (auto) or always (locate), the outer sheet's alone (outer), or all", shop.Matchings...),
		byShop("located", "what puts the parts in their places: those locating holes, tacks or clamps", shop.Locatings...),
	}
}

// closing is the argument that says how a rivet is closed.
func closing() Parameter {
	return oneOf("set", string(shop.Pulled), "how it is closed: pulled, a blind rivet; cold or hot, a solid one hammered over a dolly; welded, a solid one with a bead of weld round its tail",
		string(shop.Pulled), string(shop.Cold), string(shop.Hot), string(shop.Welded))
}

// tail is the argument that says what a solid rivet's tail is hammered to.
func tail() Parameter {
	return oneOf("tail", "round", "what the tail of a hammered rivet becomes: a round head, or one that lies flush in a countersunk hole", "round", "countersunk")
}

// head is the argument that says on which side a head lies.
func head() Parameter {
	p := oneOf("head", "outer, or inner where only that is reached", "where the head lies and its tool comes from: on the outermost sheet, or on the innermost", "outer", "inner")
	p.Value = value.Word("")
	return p
}

func fastening(name, diameter, doc, example string, more ...Parameter) Function {
	return Function{Name: name, Result: fastener, Doc: doc, Example: example,
		Params: append(append(append([]Parameter{need("d", diameter, length)}, rows("centre")...), way()), more...),
		Value:  func(a *Args) value.Value { return a.fastener(a.Positive("d")) }}
}

// fastener is a fastener of a size in mm.
func (a *Args) fastener(size float64) value.Value {
	f := value.Fastener{Kind: a.Function.Name, Size: size, Pitch: a.lengthOr("pitch", 0), Edge: a.lengthOr("edge", 0)}
	if Named(a.Function.Params, "along") >= 0 {
		f.Along = a.Word("along")
	}
	if Named(a.Function.Params, "side") >= 0 {
		f.Back = a.Word("side") == "back"
	}
	if Named(a.Function.Params, "drilled") >= 0 {
		f.Drilled, f.Located = a.Word("drilled"), a.Word("located")
	}
	if Named(a.Function.Params, "set") >= 0 {
		f.Closing = shop.Closing(a.Word("set"))
		f.Countersunk = a.Word("tail") == "countersunk"
		if f.Countersunk && f.Closing != shop.Cold && f.Closing != shop.Hot {
			value.Fail("P4003", a.Place("tail"), "only the tail of a hammered rivet is countersunk: write set: cold or set: hot")
		}
	}
	if Named(a.Function.Params, "head") >= 0 {
		f.Head = a.Word("head")
	}
	if a.Has("count") {
		if f.Count = a.Count("count"); f.Count < 1 || f.Count > 1000 {
			value.Fail("P4003", a.Place("count"), "a row has 1 to 1000 places")
		}
	}
	if f.Pitch < 0 || f.Edge < 0 || (a.Has("pitch") && f.Pitch == 0) {
		a.Fail("P4003", "pitch and edge distance are more than nothing")
	}
	return f
}

// marks are the functions that make marks.
var marks = []Function{
	{Name: "bead", Params: []Parameter{need("path", "its middle line: an outline, or line(…)", shape, mark), need("width", "", length).labelled()},
		Result: mark, Doc: "a rolled bead", Example: "bead(rect(70mm, 50mm).rounded(20mm), width: 8mm)",
		Value: func(a *Args) value.Value {
			m := value.MarkSpec{Kind: panel.MarkBead, Width: a.Positive("width")}
			if l, ok := a.Value("path").(value.MarkSpec); ok && l.Kind == panel.MarkLine {
				m.Points = l.Points
			} else {
				m.Shape = a.Shape("path")
			}
			return m
		}},
	{Name: "line", Params: []Parameter{need("points", "in order", list(point))}, Result: mark, Doc: "a scribed line",
		Example: "line([(-20mm, 0mm), (20mm, 0mm)])",
		Value: func(a *Args) value.Value {
			l := a.Points("points")
			if len(l.Items) < 2 {
				value.Fail("P2010", a.Place("points"), "a line is a list of two points or more")
			}
			return value.MarkSpec{Kind: panel.MarkLine, Points: l}
		}},
	{Name: "text", Params: []Parameter{need("text", "", text), may("height", "8mm", "of a capital", length).labelled(),
		oneOf("anchor", "start", "what stands at the origin: the start of its baseline, or its middle, half a capital up", "start", "middle")},
		Result: mark, Doc: "marked text", Example: `text("A1", height: 10mm, anchor: middle)`,
		Value: func(a *Args) value.Value {
			return value.MarkSpec{Kind: panel.MarkText, Text: given[string](a, "text", "text"), Height: a.Positive("height"), Middle: a.Word("anchor") == "middle"}
		}},
}
