package builtin

// fastening are the arguments that rivet, bolt and plug share.
func fastening(diameter string) []Parameter {
	return []Parameter{
		need("d", diameter, length),
		may("pitch", "", "between centres", length).labelled().without("count"),
		may("count", "", "how many in each patch", count).labelled(),
		may("edge", "", "least distance of a centre from any edge", length).labelled(),
		oneOf("along", "u", "the way the row runs on the first member", "u", "v"),
	}
}

func trig(name, doc string) Function {
	return Function{Name: name, Params: []Parameter{need("x", "", angle)}, Result: number, Doc: doc}
}

func arcTrig(name, doc string) Function {
	return Function{Name: name, Params: []Parameter{need("x", "", number)}, Result: angle, Doc: doc}
}

func step() Parameter {
	p := may("step", "1", "what the result is a multiple of; only a plain number can go without")
	p.Same = true
	return p
}

func stepped(name, doc string) Function {
	return Function{Name: name, Follows: steps, Doc: doc, Params: []Parameter{
		quantityNeed("x", ""), step()}}
}

// Functions are the functions of the language, in the order a reference lists them.
var Functions = []Function{
	trig("sin", "sine of an angle"),
	trig("cos", "cosine of an angle"),
	trig("tan", "tangent of an angle"),
	arcTrig("asin", "angle with this sine"),
	arcTrig("acos", "angle with this cosine"),
	arcTrig("atan", "angle with this tangent"),
	{Name: "sqrt", Params: []Parameter{quantityNeed("x", "")}, Follows: squareRoot, Doc: "square root; of an area, a length"},
	{Name: "exp", Params: []Parameter{need("x", "", number)}, Result: number, Doc: "e to this power"},
	{Name: "ln", Params: []Parameter{need("x", "", number)}, Result: number, Doc: "natural logarithm"},
	{Name: "abs", Params: []Parameter{quantityNeed("x", "")}, Follows: asArguments, Doc: "the quantity without its sign"},
	{Name: "min", Params: []Parameter{quantityNeed("x", "").many()}, Follows: asArguments, Doc: "the smallest"},
	{Name: "max", Params: []Parameter{quantityNeed("x", "").many()}, Follows: asArguments, Doc: "the largest"},
	stepped("round", "to the nearest step"),
	stepped("floor", "down to a step"),
	stepped("ceil", "up to a step"),
	{Name: "even", Params: []Parameter{need("n", "", count)}, Result: flag, Doc: "whether a count divides by two"},
	{Name: "odd", Params: []Parameter{need("n", "", count)}, Result: flag, Doc: "whether a count does not divide by two"},
	{Name: "lookup", Follows: ofTable, Doc: "read off a table, straight between its rows", Params: []Parameter{
		quantityNeed("x", "what to look up"), need("table", "rows (x, value), x rising", list(anything))}},

	{Name: "rect", Params: []Parameter{need("w", "along u", length), need("h", "along v", length)},
		Result: edged("left", "right", "top", "bottom"), Doc: "a rectangle about the origin"},
	{Name: "circle", Params: []Parameter{need("d", "diameter", length)}, Result: edged(), Doc: "a circle about the origin"},
	{Name: "slot", Params: []Parameter{need("l", "over all, along u", length), need("w", "width", length)},
		Result: edged(), Doc: "a slot with round ends about the origin"},
	{Name: "ngon", Params: []Parameter{need("n", "sides", count), need("across", "over the flats: its inscribed circle", length)},
		Result: edged(), Doc: "a regular polygon about the origin"},
	{Name: "strip", Params: []Parameter{need("d", "away from the fold", length),
		may("ends", "0mm", "short of the fold's ends by this", length).labelled()},
		Result: edged("left", "right", "top", "bottom"), OnFold: true, Doc: "along the whole fold of a hung face"},
	{Name: "inside", Params: []Parameter{need("of", "the body cut by the face's plane", body)},
		Result: edged("left", "right", "top", "bottom"), Doc: "a body's section in the face's plane"},
	{Name: "behind", Params: []Parameter{need("of", "one plane or several", planes, list(planes)),
		may("clear", "0mm", "kept free from it", length)},
		Result: edged(), Doc: "the half of the plane on the metal side"},
	{Name: "symmetric", Params: []Parameter{need("points", "the half with u ≥ 0, from bottom to top", list(point))},
		Result: shape, Keeps: true, Doc: "points and their mirror image about u = 0"},

	{Name: "frustum", Result: body, Doc: "a body with level ends and equal sides", Params: []Parameter{
		may("sides", "4", "how many", count).labelled(),
		need("top", "across the top, or (x, y)", length, point).labelled(),
		need("bottom", "across the floor, or (x, y)", length, point).labelled(),
		need("height", "floor to top", length).labelled()}},
	{Name: "box", Result: body, Doc: "a body with upright sides", Params: []Parameter{
		need("x", "from left to right", length), need("y", "from front to back", length), need("height", "floor to top", length)}},
	{Name: "box", Result: body, Doc: "a body with upright sides", Params: []Parameter{
		need("size", "(x, y)", point).labelled(), need("height", "floor to top", length).labelled()}},
	{Name: "level", Params: []Parameter{need("z", "above the floor", length)}, Result: planes, Doc: "a level plane"},
	{Name: "upright", Params: []Parameter{need("y", "behind the axis", length)}, Result: planes, Doc: "an upright plane that faces the viewer"},
	{Name: "upright", Params: []Parameter{need("x", "to the right of the axis", length).labelled()}, Result: planes,
		Doc: "an upright plane that faces right, its metal to the left"},

	{Name: "sheet", Result: stock, Doc: "a sheet metal", Params: []Parameter{
		need("material", "", material), need("thickness", "or its gauge", length, gauge),
		may("radius", "", "inside radius of its bends", length).labelled(),
		may("k", "", "measured neutral-axis factor", number).labelled(),
		may("size", "the shop's", "of the sheet it is bought in, for sheets()", point).labelled(),
		{Name: "method", Shop: true, Optional: true, Labelled: true, Doc: "how bend allowance is worked out"}}},
	{Name: "bend", Result: bendSpec, Doc: "how a fold is made", Params: []Parameter{
		may("radius", "the stock's", "inside radius", length).labelled(),
		oneOf("relief", "auto", "at an end that is not at the blank's edge", "auto", "round", "square", "slit", "none"),
		may("k", "the stock's", "neutral-axis factor", number).labelled(),
		may("relief_size", "", "diameter or width of the relief", length).labelled()}},
	{Name: "open", Params: []Parameter{need("gap", "left clear", length)}, Result: seamSpec, Doc: "a gap between neighbours"},
	{Name: "closed", Result: seamSpec, Doc: "neighbours whose edges touch"},
	{Name: "lapped", Params: []Parameter{need("l", "passes behind by this", length)}, Result: seamSpec, Doc: "one neighbour passes behind the other"},

	{Name: "rivet", Params: fastening("diameter"), Result: fastener, Doc: "blind rivets"},
	{Name: "bolt", Params: fastening("diameter"), Result: fastener, Doc: "bolts"},
	{Name: "plug", Params: fastening("diameter of the hole"), Result: fastener, Doc: "plug welds"},
	{Name: "tack", Result: fastener, Doc: "tack welds", Params: []Parameter{
		may("length", "5mm", "of each", length), may("pitch", "", "between middles", length).labelled().without("count"),
		may("count", "", "how many in each patch", count).labelled(),
		may("edge", "", "least distance of a middle from any edge", length).labelled(),
		oneOf("along", "u", "the way the row runs on the first member", "u", "v")}},

	{Name: "bead", Params: []Parameter{need("path", "its middle line: an outline, or line(…)", shape, mark), need("width", "", length).labelled()},
		Result: mark, Doc: "a rolled bead"},
	{Name: "line", Params: []Parameter{need("points", "in order", list(point))}, Result: mark, Doc: "a scribed line"},
	{Name: "text", Params: []Parameter{need("text", "", text), may("height", "8mm", "of a capital", length).labelled()},
		Result: mark, Doc: "marked text, its baseline from the origin"},

	{Name: "mass", Params: []Parameter{may("of", "the whole piece", "parts", part).families().whole()}, Result: mass, Doc: "mass of metal"},
	{Name: "area", Params: []Parameter{need("of", "parts, a face or a shape", part, face, shape).families()}, Result: area, Doc: "surface, of one side"},
	{Name: "flat_long", Params: []Parameter{need("of", "", part).families()}, Result: length, Doc: "longer side of the blank"},
	{Name: "flat_wide", Params: []Parameter{need("of", "", part).families()}, Result: length, Doc: "shorter side of the blank"},
	{Name: "sheets", Sheets: true, Params: []Parameter{need("of", "", stock)}, Result: count, Doc: "sheets that the blanks take"},
	{Name: "clearance", Params: []Parameter{need("a", "", part, face).families(), need("b", "", part, face).families()},
		Result: length, Doc: "least distance between two things"},
	{Name: "count", Params: []Parameter{need("of", "a list, a family or a part", list(anything), part).families()}, Result: count, Doc: "how many there are"},
}
