package eval_test

import (
	"fmt"
	"testing"
)

// onFace is a design with one panel whose face and what else it has are given.
func onFace(face, rest string) string {
	return fmt.Sprintf(`design "Try" in millimetres
stock steel = sheet(mild_steel, 1mm, radius: 2mm)
param wide: length = 200mm
param few: count = 2
body core = box(wide, 120mm, 80mm)
body lean = frustum(top: 100mm, bottom: 200mm, height: 120mm)
let list = [3mm, 5mm, 8mm]
let step[i in 0..4] = 10mm * i
panel try() {
  face base on level(0mm) {
    outline rect(100mm, 60mm)
    %s
  }
  %s
}
part one of steel = try() loose
`, face, rest)
}

// TestWhatCantBeMade: what a build refuses, by the place that says so and in its words.
func TestWhatCantBeMade(t *testing.T) {
	for _, c := range []struct{ face, rest, more, want string }{
		{},
		// outlines, cuts and marks
		{rest: "face lip off base.top up 90deg { outline strip(30mm) - rect(300mm, 300mm) }", want: "P4001 nothing is left of face lip / in one"},
		{rest: "face lip off base.top up 90deg { outline strip(30mm) - circle(4mm) at (0mm, 15mm) }", want: "P4001 the outline of face lip has a hole in it: make it a cut"},
		{rest: "face lip off base.top up 90deg { outline strip(30mm) - rect(10mm, 300mm) }", want: "P4001 face lip falls into 2 pieces / in one"},
		{rest: "face lip off base.top up 90deg { outline behind(level(20mm)) }", want: "P4002 this outline has no end / cut it with & and a shape that has one, such as strip(30mm)"},
		{face: "cut all = behind(upright(x: 20mm))", want: "P4002 this cut has no end"},
		{face: "cut none = rect(5mm, 5mm) - rect(6mm, 6mm)", want: "P4001 nothing is left of this cut"},
		{face: "cut off = circle(5mm) at (200mm, 0mm)", want: "P4022 cut off takes nothing off face base: it lies beside it"},
		{face: "mark m = behind(upright(x: 20mm))", want: "P2010 a mark is a mark, this is a shape"},
		{face: "mark m = line([(0mm, 0mm), (20mm, 0mm)])", want: ""},
		{face: "mark m = bead(rect(20mm, 10mm), width: 4mm)", want: ""},
		{face: "mark m = rect(5mm, 5mm) - rect(6mm, 6mm)", want: "P2010 a mark is a mark, this is a shape"},
		{face: "cut wide_one = circle(0mm)", want: "P4003 d of circle must be more than nothing, it is 0mm"},
		{face: "cut wide_one = circle(-3mm)", want: "P4003 d of circle must be more than nothing, it is -3mm"},
		{face: "cut c[i in 1..few] = circle(4mm) at (10mm * (i - 2), 0mm)", want: ""},
		// faces off faces and planes
		{rest: "face lip off base up 90deg { outline strip(20mm) }", want: "P2029 with an angle, a face is hung off an edge / name an edge of it, such as base.top, or give the plane with on"},
		{rest: "face lip off base.top up 0deg { outline strip(20mm) }", want: "P2043 a fold turns by more than 0deg and at most 180deg"},
		{rest: "face lip off base.top up 180deg { outline strip(20mm) }", want: ""},
		{rest: "face lip off base.top up 200deg { outline strip(20mm) }", want: "P2043 a fold turns by more than 0deg and at most 180deg"},
		{rest: "face lip off base.top down -20deg { outline strip(20mm) }", want: "P2043 a fold turns by more than 0deg and at most 180deg"},
		{rest: "face lip off base.top up 20mm { outline strip(20mm) }", want: "P2010 the angle of the fold is an angle, this is a length"},
		{rest: "face lip off base on level(50mm) { outline strip(20mm) }", want: "P4010 the two planes are parallel: they meet in no fold / give the angle instead, with up or down, or a plane that crosses the face"},
		{rest: "face lip off base.top up 90deg { outline strip(2mm) }", want: "P4021 fold base/lip: lip is too short for its set-back: 2 mm, needs more than 2"},
		{rest: "face wall on core.front from core.left { outline rect(20mm, 20mm) }", want: "P2035 wall hangs on nothing, nor does base: a panel has one root; P2010 what follows from is a corner or an edge, this is a side"},
		{rest: "face wall on level(30mm) from lean.corners[1] { outline rect(20mm, 20mm) }", want: "P2035 wall hangs on nothing, nor does base: a panel has one root"},
		{rest: "face lip off base.top up 90deg { outline strip(20mm) }\n  fold base to lip by bend(radius: 300mm)", want: "P4021 fold base/lip: base is too short for its set-back: 60 mm, needs more than 300; P4021 fold base/lip: lip is too short for its set-back: 20 mm, needs more than 300"},
		{rest: "face lip off base.top up 90deg { outline strip(20mm) }\n  fold lip to lip by bend(radius: 3mm)", want: "P2034 lip is hung twice: on base and on lip"},
		{rest: "face lip off base.top up 90deg { outline strip(20mm) }\n  fold base to lip by bend(radius: -3mm)", want: "P4003 an inside radius is not negative"},
		{rest: "face lip[i in 1..2] off base.top up 90deg { outline strip(20mm) }", want: "P4021 fold base/lip.2: base is bent there already, by fold base/lip.1: the two share 100 mm of its edge / an edge takes one face: give the other another edge, or keep each to its own stretch of it"},
		{rest: "face lip off base.top up tilt { outline strip(20mm) }", more: "param tilt: angle = 0.05deg", want: "P4003 a bend lies between 0.1deg and 180deg / this is 0.05deg"},
		{rest: "face lip off base.top down tilt { outline strip(20mm) }", more: "param tilt: angle = 180.5deg", want: "P4003 a bend lies between 0.1deg and 180deg / this is 180.5deg"},
		{rest: "face lip off base.top up tilt { outline strip(20mm) }", more: "param tilt: angle = 180deg", want: ""},
		{more: "rule flat_long(one) in 10mm..20mm", want: "P3006 this rule does not hold / flat_long(one) is 100mm"},
		{more: "rule flat_long(one) in 10mm..200mm", want: ""},
		{more: "rule flat_long(one) <= flat_wide(one) + 3mm", want: "P3006 this rule does not hold / left is 100mm, right is 63mm"},
		{more: "rule flat_long(one) >= flat_wide(one) + 40mm", want: ""},
		{more: "rule flat_long(one) > flat_wide(one) + 40mm", want: "P3006 this rule does not hold / left is 100mm, right is 100mm"},
		{more: "rule not flat_long(one) > 90mm", want: "P3006 this rule does not hold / left is 100mm, right is 90mm"},
		{more: "rule flat_long(one) = 90mm or flat_wide(one) = 60mm", want: ""},
		{more: "rule flat_long(one) = 90mm or flat_wide(one) = 50mm", want: "P3006 this rule does not hold"},
		{more: "rule flat_long(one) = 100mm and flat_wide(one) = 50mm", want: "P3006 this rule does not hold / left is 60mm, right is 50mm"},
		{more: "rule flat_long(one) != 100mm", want: "P3006 this rule does not hold / left is 100mm, right is 100mm"},
		{more: "rule flat_long(one) > 90mm if flat_wide(one) > 60mm", want: ""},
		{more: "rule flat_long(one) < 90mm if flat_wide(one) > 50mm", want: "P3006 this rule does not hold / left is 100mm, right is 90mm"},
		{more: "rule sheets(steel) <= 1", want: ""},
		{more: "rule sheets(steel) < 1", want: "P3006 this rule does not hold / left is 1, right is 1"},
		{more: "rule sheets(steel) >= 2", want: "P3006 this rule does not hold / left is 1, right is 2"},
		// lists, copies and indices
		{more: "let a = list[few + 3]", want: "P2062 the list has 3 items, counted from 1"},
		{more: "let a = list[0]", want: "P2062 the list has 3 items, counted from 1"},
		{more: "let a = list[1.5]", want: "P2010 the index of a list is a count, this is a number / round, floor or ceil make a count of a number"},
		{more: "let a = step[7]", want: "P2062 step has no copy of this index / it has 5 copies at this size"},
		{more: "let a = step[few]", want: ""},
		{more: "let big[i in 1..2000000] = 1mm * i\nlet a = big[3]", want: "P2061 too many copies / 1..2000000 is more than 20000"},
		{more: "let a = list[few].x", want: "P2030 a length has no x"},
		{more: "let a = 3mm / (few - 2)", want: "P2063 this divides by zero / left is 3mm, right is 0"},
		{more: "let a = sqrt(1 - few)", want: "P2063 sqrt of -1 is not a number"},
		{more: "let a = max([x])", want: "P2001 nothing here is named x"},
		{more: "part p[i in 1..few] of steel = try() loose\nlet a = area(p[3])", want: "P2062 p has no copy of this index / it has 2 copies at this size"},
		{more: "part p[i in 1..(few - 2)] of steel = try() loose\nlet a = area(p[1])", want: "P2062 p has no copy of this index / it is empty at this size"},
		{more: "part p[i in 3..few] of steel = try() loose", want: ""},
		{more: "part p of steel = try() loose if few > 2\nlet a = area(p)", want: ""},
		{more: "let a = try()", want: "P2024 try makes a part, in a part statement only / write: part NAME of STOCK = try(…)"},
		{more: "let a = wide()", want: "P2020 wide is a length, which takes no arguments"},
		{more: "body flat = box(0mm, 10mm, 10mm)", want: "P4004 this body cannot stand / side 2 is 0 mm from the axis at height 0 mm: nothing is left inside"},
		{more: "body flat = box(10mm, -10mm, 10mm)", want: "P4004 this body cannot stand / side 1 is -5 mm from the axis at height 0 mm: nothing is left inside"},
		{more: "body flat = frustum(top: 10mm, bottom: 20mm, height: 0mm)", want: "P4003 height of frustum must be more than nothing, it is 0mm"},
		{more: "stock thin = sheet(mild_steel, 0mm)\npart p of thin = try() loose", want: "P4003 thickness of sheet must be more than nothing, it is 0mm"},
		{more: "stock thin = sheet(mild_steel, 90mm)\npart p of thin = try() loose", want: "P4003 perch bends sheet from 0.2 mm to 25 mm thick"},
		{more: "part p of steel = try() loose\ncut c in p.base = circle(8mm) at (300mm, 0mm)", want: "P4022 cut c takes nothing off face base: it lies beside it"},
		{more: "part p of steel = try() loose\ncut c in p.base = circle(8mm)", want: ""},
		{more: "part p of steel = try()\njoin j = p.base to one.base by rivet(4mm)", want: "P5001 p.base touches nothing that it is to be joined to / the nearest: p.base and one.base lie in each other by 1 mm / move one of them by 1 mm square to its face, or draw it on the other: `on one.base.over` and `on one.base.under` touch that"},
		{more: "part p of steel = try()\njoin j = p.base to p.base by rivet(4mm)", want: "P5001 p.base touches nothing that it is to be joined to"},
		{more: "join j = one.base to one.base by weld(10mm)", want: "P5001 one.base touches nothing that it is to be joined to"},
	} {
		text := onFace(c.face, c.rest) + c.more + "\n"
		if got := toldOf(t, text); got != c.want {
			t.Errorf("%s%s%s:\n got  %s\n want %s", c.face, c.rest, c.more, got, c.want)
		}
	}
}
