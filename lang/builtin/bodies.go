package builtin

import (
	"perch/lang/value"
	"perch/parts/plane"
	"perch/parts/solid"
)

// bodies are the functions that make bodies and planes.
var bodies = []Function{
	{Name: "frustum", Result: body, Doc: "a body with level ends and equal sides", Params: []Parameter{
		may("sides", "4", "how many", count).labelled(),
		need("top", "across the top, or (x, y)", length, point).labelled(),
		need("bottom", "across the floor, or (x, y)", length, point).labelled(),
		need("height", "floor to top", length).labelled()},
		Example: "frustum(sides: 6, top: 180mm, bottom: 260mm, height: 120mm)", Value: frustum},
	{Name: "box", Result: body, Doc: "a body with upright sides", Params: []Parameter{
		need("x", "from left to right", length), need("y", "from front to back", length), need("height", "floor to top", length)},
		Example: "box(200mm, 150mm, 80mm)",
		Value: func(a *Args) value.Value {
			return a.box(plane.Point{X: a.Length("x"), Y: a.Length("y")})
		}},
	{Name: "box", Result: body, Doc: "a body with upright sides", Params: []Parameter{
		need("size", "(x, y)", point).labelled(), need("height", "floor to top", length).labelled()},
		Example: "box(size: (200mm, 150mm), height: 80mm)",
		Value:   func(a *Args) value.Value { return a.box(a.Point("size")) }},
	{Name: "level", Params: []Parameter{need("z", "above the floor", length)}, Result: planes, Doc: "a level plane",
		Example: "level(40mm)",
		Value:   func(a *Args) value.Value { return value.Placed{Frame: solid.LevelFrame(a.Length("z"))} }},
	{Name: "upright", Params: []Parameter{need("y", "behind the axis", length)}, Result: planes, Doc: "an upright plane that faces the viewer",
		Example: "upright(30mm)",
		Value:   func(a *Args) value.Value { return value.Placed{Frame: solid.UprightFrame(a.Length("y"))} }},
	{Name: "upright", Params: []Parameter{need("x", "to the right of the axis", length).labelled()}, Result: planes,
		Doc: "an upright plane that faces right, its metal to the left", Example: "upright(x: 30mm)",
		Value: func(a *Args) value.Value { return value.Placed{Frame: solid.SidewaysFrame(a.Length("x"))} }},
}

func frustum(a *Args) value.Value {
	h := a.Positive("height")
	if isPoint(a.Value("top")) || isPoint(a.Value("bottom")) {
		if a.Count("sides") != 4 {
			a.Fail("P4004", "only a body of four sides takes pairs (x, y)")
		}
		t, b := a.across("top"), a.across("bottom")
		return a.stands(solid.RectFrustum(t.X, t.Y, b.X, b.Y, h))
	}
	return a.stands(solid.Frustum(a.Count("sides"), a.Length("top"), a.Length("bottom"), h))
}

func (a *Args) box(across plane.Point) value.Value {
	return a.stands(solid.RectFrustum(across.X, across.Y, across.X, across.Y, a.Positive("height")))
}

func isPoint(v value.Value) bool { _, ok := v.(value.Pair); return ok }

// across is a pair (x, y), or one length for both.
func (a *Args) across(name string) plane.Point {
	if isPoint(a.Value(name)) {
		return a.Point(name)
	}
	d := a.Length(name)
	return plane.Point{X: d, Y: d}
}
