package builtin

import (
	"perch/lang/quantity"
	"perch/lang/value"
	"perch/parts/measure"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/parts/tipping"
)

// loads are the functions that say what a piece carries, and what that does to it.
var loads = []Function{
	{Name: "load", Result: loaded, Doc: "a force on a face", Example: "load(1300N, on: plate.top)",
		Params: []Parameter{
			need("force", "or a mass, whose weight is meant", force, mass),
			need("on", "", face).labelled(),
			oneOf("toward", "down", "the way it pushes", "down", "up", "front", "right", "back", "left"),
			may("at", "the face's middle", "its place on the face", point).labelled().without("inside"),
			may("spread", "200mm", "across the disc that carries it", length).labelled(),
			may("inside", "", "it acts anywhere so far inside the face's edge: the worst place counts", length).labelled(),
			may("outward", "0N", "a level push beside it, over the line that the piece would tip about", force).labelled(),
			oneOf("feet", "free", "how what stands on the floor stands while it acts: free to slide, rubbing, or held against stops", "free", "held"),
		}, Value: loadOn},
	{Name: "support", Result: support, Doc: "what holds a piece that hangs: the rim of a cut, by a screw or hook in it. A design that names one stands on no floor",
		Example: "support(plate.top.hole)", Params: []Parameter{need("by", "", cut, list(cut)).families()},
		Value: func(a *Args) value.Value {
			s := &value.Support{}
			eachOf(a, "by", "cut", func(c Cut) { s.By = append(s.By, c) })
			if len(s.By) == 0 {
				a.Fail("P9003", "the support holds nothing: there is no cut", "name a cut of a face, such as a screw's hole")
			}
			return s
		}},
	{Name: "tips", Result: number, Doc: "how many times the loads, acting together, until the piece tips over its feet; 1000 where they never do it. Statics of a rigid piece on a level floor: an estimate, prove it by a test",
		Example: "tips(load(600N, on: plate.top, inside: 20mm, outward: 20N))",
		Params:  []Parameter{need("loads", "", loaded, list(loaded)).families(), may("of", "the whole piece", "the parts that stand", part).families().whole().labelled()},
		Value: func(a *Args) value.Value {
			loads := a.loads("to tip the piece")
			stand := tipping.On(a.flats())
			if !stand.Stands() {
				a.Fail("P9001", "the piece stands on nothing or on one line: it tips by itself",
					"what touches the floor is the lowest metal: give it feet that span an area, or ask of what hangs on a wall how it sags, and say by what it hangs: support(wall.screw)")
			}
			var on []tipping.Load
			for _, l := range loads {
				on = append(on, tipping.Load{Force: l.Force, Across: l.Across, Frame: l.Frame, Area: l.Area})
			}
			return value.Number{V: min(stand.Tips(on).Factor, never)}
		}},
}

// loads are those given, one at least.
func (a *Args) loads(toDo string) []*value.Load {
	var on []*value.Load
	eachOf(a, "loads", "load", func(l *value.Load) { on = append(on, l) })
	if len(on) == 0 {
		a.Fail("P9002", "there is no load "+toDo)
	}
	return on
}

// never is how many times a load tips a piece that it never does: a number that rules can
// be held to.
const never = 1000

// ways are the unit vectors that a load pushes along.
var ways = map[value.Word]solid.Vec{
	"down": {Z: -1}, "up": {Z: 1}, "front": {Y: -1}, "right": {X: 1}, "back": {Y: 1}, "left": {X: -1},
}

// loadOn is the load of a call.
func loadOn(a *Args) value.Value {
	f := given[Face](a, "on", "face")
	n := a.Number("force")
	newton := n.V
	if n.Dim == quantity.Mass {
		newton *= tipping.Gravity
	}
	l := &value.Load{Force: ways[a.Word("toward")].Scale(newton), On: f, Frame: f.Placed().Frame, Spread: a.Positive("spread"), Stops: a.Word("feet") == "held"}
	if a.Has("outward") {
		l.Across = a.Number("outward").V
	}
	if newton <= 0 || l.Across < 0 {
		a.Fail("P9002", "a load pushes with more than nothing: toward says which way")
	}
	if a.Has("inside") {
		l.Area = a.inside(f)
		return l
	}
	at := f.Middle()
	if a.Has("at") {
		at = a.Point("at")
	}
	on := f.Placed().Canvas().Point.Apply(at)
	if !a.Has("at") {
		l.Frame.O = l.Frame.At(on)
		return l
	}
	outline, bounded := f.Shape(a.At).Draw(f.Placed().Canvas()).Bounded()
	if bounded && outline.Locate(on) == plane.Outside {
		value.FailSaid("P9002", a.Place("at"), measure.Say("(%s, %s) is not on the face: there is nothing to load", value.ShownLength(at.X), value.ShownLength(at.Y)),
			"u and v are measured as the face's own: leave at out for its middle")
	}
	l.Frame.O = l.Frame.At(on)
	return l
}

// inside is where on a face a load may act that keeps a distance from its edge.
func (a *Args) inside(f Face) plane.Region {
	d := a.Length("inside")
	outline, ok := f.Shape(a.At).Draw(f.Placed().Canvas()).Bounded()
	if d < 0 || !ok {
		a.Fail("P9002", "a load acts inside the edge of a face, not beyond it")
	}
	r := plane.Offset(outline, -d)
	if len(r) == 0 {
		value.FailSaid("P9002", a.Place("inside"), measure.Say("no place of the face lies %s inside its edge", value.ShownLength(d)), "it is too narrow for that: take less, or another face")
	}
	return r
}
