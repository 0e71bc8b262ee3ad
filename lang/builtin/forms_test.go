package builtin_test

import (
	"fmt"
	"math"
	"testing"

	"perch/lang/build"
	"perch/lang/builtin"
	"perch/lang/diag"
	"perch/lang/quantity"
)

// bodies are designs' bodies, with what is known of them.
const bodies = around + `body pair = box(size: (200mm, 150mm), height: 60mm)
body leaning = frustum(top: (100mm, 60mm), bottom: (220mm, 160mm), height: 80mm)
body square = frustum(top: (100mm, 80mm), bottom: 160mm, height: 40mm)
body six = frustum(sides: 6, top: 180mm, bottom: 260mm, height: 120mm)
part lower of steel = lid(160mm, 60mm, level(-100mm)) loose
part slab of steel = lid(50mm, 30mm, upright(x: 200mm)) loose
part wall of steel = lid(50mm, 30mm, upright(-300mm)) loose
part row[i in 1..3] of steel = lid(20mm * i, 10mm, level(-200mm - 50mm * i)) loose
part none[i in 1..0] of steel = lid(20mm * i, 10mm, level(-200mm - 50mm * i)) loose
`

// plateWeight is the plate's in N.
const plateWeight = 180 * 120 * 1.5 * 7850e-9 * 9.80665

// Every way to call a row, and every member, by plane and solid geometry.
func TestFormsByHand(t *testing.T) {
	r, diags := built(t, bodies)
	if r == nil || diag.HasErrors(diags) {
		t.Fatal(diags)
	}
	for text, want := range map[string]float64{
		"pair.height": 60, "pair.front.half(0mm)": 100, "pair.right.half(0mm)": 75,
		"leaning.front.half(0mm)": 110, "leaning.right.half(0mm)": 80, "leaning.front.lean": math.Atan2(50, 80), "leaning.right.lean": math.Atan2(60, 80),
		"square.front.half(0mm)": 80, "square.right.half(0mm)": 80, "square.front.lean": math.Atan2(40, 40), "square.right.lean": math.Atan2(30, 40),
		"count(six.sides)": 6, "six.sides[2].number": 2, "six.height": 120, "six.sides[1].lean": math.Atan2(40, 120),
		"core.front.number": 1, "core.right.number": 2, "core.back.number": 3, "core.left.number": 4,
		"core.front.left.number": 4, "core.front.right.number": 1, "core.corners[1].left.number": 1, "core.corners[1].right.number": 2,
		"core.corners[2].sides[1].number": 2, "core.corners[2].sides[2].number": 3, "core.front.neighbours[1].number": 4, "core.front.neighbours[2].number": 2,
		"core.front.body.height": 80, "core.front.left.other(core.front).number": 4, "core.front.left.other(core.left).number": 1,
		// u stays where it was when one side is moved alone: half goes to the right end
		"core.inset(front: 9mm).right.half(0mm)": 60, "core.inset(front: 9mm).left.half(0mm)": 51, "core.inset(sides: 4mm, front: 9mm).right.half(0mm)": 56, "core.inset(sides: 4mm, right: 9mm).front.half(0mm)": 81,
		"core.outset(back: 10mm).right.half(0mm)": 70, "core.outset(left: 10mm, right: 20mm).front.half(0mm)": 110, "core.outset(left: 10mm, right: 20mm).back.half(0mm)": 100, "core.outset(bottom: 5mm).height": 85, "core.inset(bottom: 5mm).height": 75,
		"core.turned(90deg).front.half(0mm)": 90, "core.under(steel).front.half(0mm)": 88.5, "core.over(steel).front.half(0mm)": 91.5, "core.room(steel).front.half(0mm)": 88.5,
		"core.front.under(steel).half(0mm)": 88.5, "six.inset(sides: 10mm).sides[1].lean": math.Atan2(40, 120),
		"area(rect(40mm, 30mm))": 1200, "area([(0mm, 0mm), (30mm, 0mm), (0mm, 20mm)])": 300, "area(plate.top)": 180 * 120, "area(plate.top.outline)": 180 * 120,
		"area(row)": (20 + 40 + 60) * 10, "flat_long(row)": 60, "flat_wide(row)": 10,
		"mass(row)": 1200 * 1.5 * 7850e-9, "count(row)": 3, "count(plate)": 1, "count(none)": 0, "sheets(steel)": 1, "unbent(plate)": 0, "unbent(row)": 0,
		"clearance(plate.top, shelf.top)": 80 - 20 - 1.5, "clearance(row, row)": 50 - 1.5, "clearance(row[1], row[3])": 100 - 1.5,
		"plate.top.edges[1].length": 180, "count(plate.top.edges[1].face.edges)": 4, "plate.top.bottom.length": 180, "plate.top.right.length": 120,
		// a plate of 180 × 120 on the floor, by moments about its edges; W is its weight
		"tips(load(10N, on: plate.top, toward: right), of: plate)": plateWeight * 90 / (10 * 1.5), "tips(load(10N, on: plate.top, toward: back), of: plate)": plateWeight * 60 / (10 * 1.5),
		"tips(load(1N, on: plate.top, toward: up), of: plate)": plateWeight, "tips(load(0.1kg, on: plate.top, toward: up), of: plate)": plateWeight / 0.980665,
		"tips(load(1N, on: plate.top, inside: 20mm, outward: 20N), of: plate)": plateWeight * 60 / (20*1.5 - 1*20),
		"tips(load(600N, on: plate.top), of: plate)":                           1000, "tips(load(1N, on: plate.top, toward: up, at: (40mm, 0mm)), of: plate)": plateWeight * 90 / 130,
		"tips([load(1N, on: plate.top, toward: up), load(1N, on: plate.top, toward: up)], of: plate)": plateWeight / 2,
		// flat sheets rest on each other, an upright one and a rack stand on the next
		"stack_pitch(of: plate)": 1.5, "stack_pitch(turn: 90deg, of: plate)": 1.5, "stack_pitch(of: wall)": 30, "stack_pitch(of: row)": 100 + 1.5, "stack_pitch(of: none)": 0,
		"min([3mm, 2mm, 5mm])": 2, "max([3mm, 2mm, 5mm], 9mm)": 9, "steel.density * 1000mm ^ 3": 7850,
	} {
		if got := worth(t, r, text); !(math.Abs(got-want) <= 1e-9*math.Max(1, math.Abs(want))) {
			t.Errorf("%s = %v, by hand %v", text, got, want)
		}
	}
	for text, want := range map[string]string{
		"six.front.number": "P2030", "six.inset(front: 2mm).height": "P2030", "core.inset(sides: 60mm).height": "P4004", "frustum(sides: 6, top: (10mm, 20mm), bottom: 30mm, height: 40mm).height": "P4004",
		"box(20mm, 30mm, 0mm).height": "P4003", "frustum(top: 10mm, bottom: 20mm, height: -1mm).height": "P4003", "core.front.left.other(core.back).number": "P4007",
		"area(band(10mm, 20mm))":  "P4002",
		"clearance(plate, plate)": "P2064", "clearance(plate, none)": "P2064", "clearance(plate, shelf.top)": "P2010", "flat_long(none)": "",
		"count(ring(1000, 40mm))": "", "count(ring(1001, 40mm))": "P4003", "count(ring(1, 40mm))": "",
		"read_off(3kg, [])": "P2010", "read_off(3kg, [(1mm, 2mm), (3mm, 4mm)])": "P2010", "read_off(3kg, [(1kg, 2mm), (1kg, 4mm)])": "P2063", "read_off(3kg, [(1kg, 2mm), (4kg, 4kg)])": "P2017",
		"tips(load(1N, on: plate.top, inside: 60mm), of: plate)": "P9002", "tips(load(1N, on: plate.top, inside: -1mm), of: plate)": "P9002", "tips(load(1N, on: plate.top, at: (91mm, 0mm)), of: plate)": "P9002",
		"tips(load(0N, on: plate.top), of: plate)": "P9002", "tips(load(1N, on: plate.top, outward: -1N), of: plate)": "P9002", "tips([], of: plate)": "P9002", "tips(load(1N, on: plate.top), of: none)": "P9001",
		"tips(load(1mm, on: plate.top), of: plate)": "P2010", "tips(plate, of: plate)": "P2010",
		"sqrt(1kg)": "P2010", "exp(1000)": "P2063", "wide ^ 3 * 1e300 * 1e300": "P2063",
	} {
		holdCode(t, text, said(r, text), want)
	}
}

// Where planes and points lie, by hand: the clearance of a plate laid on them.
func TestPlacesByHand(t *testing.T) {
	for plane, want := range map[string]float64{ // from a plate of 1.5 whose upper side is at z 0
		"level(30mm)": 28.5, "level(-30mm)": 28.5, "core.top.moved(20mm)": 98.5, "core.top.moved(-40mm)": 38.5,
		"flat.top.over.moved(-10mm)": 10, "flat.top.under.moved(-10mm)": 10, "core.bottom.back.moved(12mm)": 10.5,
	} {
		text := around + "part flat of steel = lid(180mm, 120mm, level(0mm)) loose\npart other of steel = lid(20mm, 20mm, " + plane + ") loose\n"
		r, diags := built(t, text)
		if r == nil || diag.HasErrors(diags) {
			t.Errorf("%s: %v", plane, diags)
			continue
		}
		if got := worth(t, r, "clearance(flat, other)"); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s lies %v off, by hand %v", plane, got, want)
		}
	}
}

// Outlines of hung and cut faces, by hand.
func TestHungShapesByHand(t *testing.T) {
	hung := "panel try() {\n  face it on level(0mm) { outline rect(60mm, 40mm) }\n  face ear off it.right up 90deg { outline %s }\n}\npart one of steel = try() loose\n"
	flat := "panel try() {\n  face it on level(0mm) { outline %s }\n}\npart one of steel = try() loose\n"
	allowance := math.Pi / 2 * (2 + 1.5*(0.65+0.5*math.Log10(2/1.5))/2) // DIN 6935, radius 2 in 1.5
	setBack := 2.0                                                      // bent up, the drawn side is the inner one
	for _, c := range []struct {
		face, outline string
		want          float64
	}{
		{hung, "strip(15mm)", (60+15-2*setBack)*40 + allowance*40},
		{flat, "band(10mm, 30mm) & rect(60mm, 80mm)", 60 * 20},
		{flat, "band(u: 10mm, 30mm) & rect(80mm, 60mm)", 20 * 60},
		{flat, "rect(80mm, 40mm) & behind(upright(x: 20mm))", 60 * 40},
		{flat, "rect(80mm, 40mm) & behind(upright(x: 20mm), clear: 5mm)", 55 * 40},
		{flat, "rect(80mm, 40mm) & behind([upright(x: 20mm), upright(x: -10mm).back])", 30 * 40},
		{flat, "rect(60mm, 40mm) + (circle(20mm) at (30mm, 0mm))", 2400 + math.Pi*50},
		{flat, "inside(core)", 180 * 120},
		{flat, "[(0mm, 0mm), (30mm, 0mm), (0mm, 20mm)].outset(0mm)", 300},
	} {
		r, diags := built(t, around+fmt.Sprintf(c.face, c.outline))
		if r == nil || diag.HasErrors(diags) {
			t.Errorf("%s: %v", c.outline, diags)
			continue
		}
		if got := worth(t, r, "area(one)"); math.Abs(got-c.want) > 1e-6*c.want {
			t.Errorf("%s: a blank of %v mm², by hand %v", c.outline, got, c.want)
		}
	}
}

// A strip is as long as its fold, or short of its ends.
func TestStripsByHand(t *testing.T) {
	for ends, want := range map[string]float64{"": 40, ", ends: 2mm": 36, ", ends: (2mm, 5mm)": 33, ", ends: (0mm, 5mm)": 35} {
		r, diags := built(t, around+"panel try() {\n  face it on level(0mm) { outline rect(60mm, 40mm) }\n  face ear off it.right up 90deg { outline strip(15mm"+ends+") }\n}\npart one of steel = try() loose\n")
		if r == nil || diag.HasErrors(diags) {
			t.Errorf("%s: %v", ends, diags)
			continue
		}
		if got := worth(t, r, "area(one.ear)"); math.Abs(got-15*want) > 1e-6 {
			t.Errorf("%s: %v mm² of a face as drawn, by hand %v", ends, got, 15*want)
		}
	}
}

// What a reader sees of a type and of a call.
func TestWords(t *testing.T) {
	one := func(k builtin.Kind) builtin.Type { return builtin.Type{Kind: k} }
	of := func(k builtin.Kind, item builtin.Type) builtin.Type { return builtin.Type{Kind: k, Elem: &item} }
	length := builtin.Type{Kind: builtin.Quantity, Dim: quantity.Length}
	angle := builtin.Type{Kind: builtin.Quantity, Dim: quantity.Angle}
	pair := builtin.Type{Kind: builtin.PairKind, Index: []builtin.Type{length, angle}}
	stool := builtin.Type{Kind: builtin.PartKind, Maker: "leg part"}
	for _, c := range []struct {
		of                   builtin.Type
		name, phrase, plural string
	}{
		{length, "length", "a length", "lengths"}, {angle, "angle", "an angle", "angles"}, {one(builtin.BodyKind), "body", "a body", "bodies"},
		{one(builtin.EdgeKind), "edge", "an edge", "edges"}, {one(builtin.TextKind), "text", "text", "texts"}, {one(builtin.Any), "something", "something", "things"},
		{of(builtin.ListKind, length), "list of lengths", "a list of lengths", "lists of lengths"},
		{of(builtin.FamilyKind, one(builtin.PartKind)), "family of parts", "a family of parts", "families of parts"},
		{pair, "pair of a length and an angle", "a pair of a length and an angle", "pairs of a length and an angle"},
		{stool, "leg part", "a leg part", "leg parts"},
		{builtin.Type{Kind: builtin.Quantity, Dim: quantity.Mass}, "mass", "a mass", "masses"},
		{builtin.Type{Kind: builtin.Quantity, Dim: quantity.Money}, "money", "money", "moneys"},
	} {
		if c.of.String() != c.name || c.of.Phrase() != c.phrase || c.of.Plural() != c.plural {
			t.Errorf("%v is %q, %q, %q, want %q, %q, %q", c.of.Kind, c.of.String(), c.of.Phrase(), c.of.Plural(), c.name, c.phrase, c.plural)
		}
	}
	for name, want := range map[string]string{
		"rect": "rect(w, h)", "strip": "strip(d, [ends:])", "min": "min(x, …)", "upright": "upright(y)", "frustum": "frustum([sides:], top:, bottom:, height:)",
	} {
		if got := builtin.Forms(name)[0].Signature(); got != want {
			t.Errorf("%s is written %s, want %s", name, got, want)
		}
	}
	wants := map[string]map[string]string{
		"strip": {"d": "a length", "ends": "a length or a point"}, "round": {"x": "a quantity"},
		"bend": {"relief": "one of auto, round, square, slit, none"}, "sheet": {"method": "a word", "thickness": "a length or a gauge"},
	}
	for name, params := range wants {
		f := builtin.Forms(name)[0]
		for p, want := range params {
			i := builtin.Named(f.Params, p)
			if i < 0 || f.Params[i].Wants() != want {
				t.Errorf("%s of %s: parameter %d, want %s", p, name, i, want)
			}
		}
	}
	if builtin.IsFunction("stool") || !builtin.IsFunction("rect") || builtin.IsWord("rect") || !builtin.IsWord("slit") {
		t.Error("what is a function, and what a word, is not told apart")
	}
	of1, of2 := builtin.MembersOf(builtin.FaceKind), builtin.MembersOf(builtin.PlaneKind)
	if len(of1) <= len(of2) || of1[len(of1)-1] != of2[len(of2)-1] || builtin.MemberOf(builtin.FaceKind, "moved") == nil || builtin.MemberOf(builtin.BodyKind, "moved") != nil {
		t.Error("a face has not the members of a plane behind its own")
	}
	if f := builtin.Forms("min")[0]; f.Gives() != "the same as `x`" || builtin.Forms("box")[0].Gives() != "body" {
		t.Errorf("min gives %s", f.Gives())
	}
}

// said are the mistakes of an expression at a result.
func said(r *build.Result, text string) []diag.Diagnostic {
	x, diags := build.Expression(r.Program(), text)
	if len(diags) == 0 {
		_, diags = r.Eval(x)
	}
	return diags
}
