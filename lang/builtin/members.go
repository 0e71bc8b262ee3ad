package builtin

func property(of Kind, name string, t Type, doc string) Member {
	return Member{Of: of, Function: Function{Name: name, Result: t, Doc: doc}}
}

func method(of Kind, name string, t Type, doc string, params ...Parameter) Member {
	return Member{Of: of, Method: true, Function: Function{Name: name, Params: params, Result: t, Doc: doc}}
}

// Members are the members of the language's own things, by kind, in the order a
// reference lists them. Parts and faces have those that their panel declares as well.
var Members = []Member{
	property(BodyKind, "top", planes, "the upper end"),
	property(BodyKind, "bottom", planes, "the floor"),
	property(BodyKind, "sides", list(side), "anticlockwise from the front, seen from above"),
	property(BodyKind, "corners", list(corner), "corner k is the right end of side k"),
	property(BodyKind, "height", length, "floor to top"),
	property(BodyKind, "front", side, "the side that faces the viewer"),
	property(BodyKind, "right", side, "the side to the viewer's right"),
	property(BodyKind, "back", side, "the side away from the viewer"),
	property(BodyKind, "left", side, "the side to the viewer's left"),
	method(BodyKind, "under", body, "moved in by one sheet", need("stock", "", stock)),
	method(BodyKind, "over", body, "moved out by one sheet", need("stock", "", stock)),
	method(BodyKind, "inset", body, "moved in by lengths",
		may("sides", "0mm", "each side, square to it", length).labelled(),
		may("top", "0mm", "", length).labelled(), may("bottom", "0mm", "", length).labelled()),

	property(SideKind, "left", corner, "seen from outside"),
	property(SideKind, "right", corner, "seen from outside"),
	property(SideKind, "neighbours", list(side), "the sides at its left and right"),
	property(SideKind, "number", count, "from 1, the front"),
	property(SideKind, "body", body, "whose side it is"),
	property(SideKind, "lean", angle, "from plumb; positive is wider below"),
	property(SideKind, "slant", length, "its height measured on it"),
	method(SideKind, "up", length, "a height above the floor as a v on it", need("z", "", length)),
	method(SideKind, "half", length, "half its width at a v", need("v", "", length)),
	method(SideKind, "band", edged("left", "right", "top", "bottom"), "its outline between two v",
		need("lo", "", length), need("hi", "", length)),
	method(SideKind, "under", side, "moved in by one sheet", need("stock", "", stock)),

	property(CornerKind, "left", side, "seen from outside"),
	property(CornerKind, "right", side, "seen from outside"),
	property(CornerKind, "sides", list(side), "its left and its right side"),
	method(CornerKind, "other", side, "its side that is not this one", need("side", "", side)),
	property(CornerKind, "number", count, "of the side it ends at the right"),
	property(CornerKind, "height", length, "of its upper end above the floor"),

	property(PlaneKind, "back", planes, "the same plane, drawn on its other side"),

	property(FaceKind, "over", planes, "for metal laid on its drawn side"),
	property(FaceKind, "under", planes, "for metal laid behind it"),
	property(FaceKind, "outline", shape, "as drawn"),
	property(FaceKind, "edges", list(edge), "of its outline, in order"),
	method(FaceKind, "edge", edge, "of its outline, the one that lies in a plane", need("plane", "such as a side of a body", planes)),

	property(EdgeKind, "face", face, "whose edge it is"),
	property(EdgeKind, "length", length, ""),

	method(ShapeKind, "inset", shape, "every edge moved in", need("d", "", length)),
	method(ShapeKind, "outset", shape, "every edge moved out", need("d", "", length)),
	method(ShapeKind, "turned", shape, "anticlockwise about the origin", need("angle", "", angle)),
	method(ShapeKind, "mirrored", shape, "about u = 0"),
	method(ShapeKind, "rounded", shape, "every corner made round", need("r", "", length)),
	method(ShapeKind, "chamfered", shape, "every corner cut off", need("c", "", length)),

	property(StockKind, "thickness", length, ""),
	property(StockKind, "radius", length, "inside radius of its bends"),
	property(StockKind, "material", material, ""),
	property(StockKind, "density", density, ""),
}
