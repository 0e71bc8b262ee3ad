package family_test

import (
	"strings"
	"testing"

	"perch/lang/diag"
)

// TestWhereItIsTold gives designs with one thing wrong, which says so once, at the
// narrowest text that its maker can change, with what the fix writes there.
func TestWhereItIsTold(t *testing.T) {
	const head = "design \"Told\" in millimetres\nstock tin = sheet(mild_steel, 2mm)\n"
	const pair = head + "panel plate(on_it: plane, wide: length = 200mm) {\n  face base on on_it { outline rect(wide, 60mm) }\n}\n" +
		"part one of tin = plate(level(0mm))\npart two of tin = plate(one.base.over)\n"
	for _, c := range []struct {
		what, text, code string
		at, fix          string // "" for no fix
		says             string
	}{
		{"a radius that the library's panels bend to, of thirteen parts",
			"design \"Told\" in millimetres\nuse bracket from std.plain\nstock tin = sheet(mild_steel, 2mm, radius: 1mm)\npart hook[i in 1..13] of tin = bracket(rise: 50mm + i * 1mm) loose\n",
			"P6010", "1mm", "2mm", "at an inside radius of 1 mm"},
		{"the same, and no table holds",
			"design \"Told\" in millimetres\nuse bracket from std.plain\nlet tight = 0.5mm\nstock tin = sheet(mild_steel, 2mm, radius: tight)\npart hook[i in 1..3] of tin = bracket(rise: 50mm + i * 1mm) loose\n",
			"P6001", "0.5mm", "2mm", "inside radius 0.5 mm is 0.25 of the thickness 2 mm"},
		{"a radius of one bend", head + "panel plate() {\n  face web on level(0mm) { outline rect(90mm, 90mm) }\n  face lip off web.top up 90deg { outline strip(20mm) }\n  fold web to lip by bend(radius: 1.5mm)\n}\npart only of tin = plate()\n",
			"P6010", "1.5mm", "2mm", "1.5 mm"},
		{"a sheet beyond the brake", "design \"Told\" in millimetres\nuse bracket from std.plain\nstock tin = sheet(mild_steel, 5mm)\npart only of tin = bracket(width: 400mm, foot: 80mm, rise: 80mm, hole: 0mm)\n",
			"P6031", "5mm", "", "5 mm sheet"},
		{"a row of rivets", pair + "join hold = one.base to two.base by rivet(4.8mm, pitch: 80mm)\n", "P6020", "80mm", "38.4mm", "80.0 mm to its neighbour"},
		{"rivets at places", pair + "let at_them = [(-5mm, 0mm), (5mm, 0mm)]\njoin hold = one.base to two.base at at_them by rivet(4.8mm)\n", "P6019", "at_them", "", "10.00 mm to hold.2"},
		{"a thick rivet", pair + "join hold = one.base to two.base by rivet(8mm, pitch: 60mm)\n", "P6003", "8mm", "6.4mm", "no 8mm rivet"},
		{"a long tack", pair + "let run = 12mm\njoin hold = one.base to two.base by tack(run, pitch: 45mm)\n", "P6029", "12mm", "6mm", "tack of 12 mm"},
		{"a hole of several", head + "panel plate(d: length) {\n  face web on level(0mm) {\n    outline rect(90mm, 90mm)\n    cut a = circle(20mm)\n    cut b = circle(d) at (30mm, 30mm)\n  }\n}\npart only of tin = plate(4mm)\n",
			"P6021", "4mm", "6mm", "hole of 4 mm"},
		{"a hole that is reckoned", head + "panel plate(d: length) {\n  face web on level(0mm) {\n    outline rect(90mm, 90mm)\n    cut b = circle(d / 2) at (30mm, 30mm)\n  }\n}\npart only of tin = plate(8mm)\n",
			"P6021", "d / 2", "", "hole of 4 mm"},
		{"a cut beside its face, of several", head + "panel plate() {\n  face web on level(0mm) {\n    outline rect(90mm, 90mm)\n    cut a = circle(20mm)\n    cut b = circle(9mm) at (80mm, 0mm)\n  }\n}\npart only of tin = plate()\n",
			"P4022", "circle(9mm) at (80mm, 0mm)", "", "cut b takes nothing off face web"},
		{"two faces on one edge", head + "panel plate() {\n  face web on level(0mm) { outline rect(240mm, 90mm) }\n  face lip off web.top up 90deg { outline strip(20mm) }\n  face lap off web.top down 45deg { outline strip(20mm) }\n}\npart only of tin = plate()\n",
			"P4021", "web.top", "", "web is bent there already, by fold web/lip: the two share 240 mm of its edge"},
		{"an edge that its neighbours' bends take", head + "panel plate() {\n  face web on level(0mm) { outline [(0mm, 0mm), (100mm, 0mm), (100mm, 20mm), (52mm, 20mm), (52mm, 22mm) edge a, (50mm, 22mm) edge nip, (50mm, 20mm) edge b, (0mm, 20mm)] }\n" +
			"  face lip off web.nip up 90deg { outline strip(20mm) }\n  face lap off web.a up 90deg { outline strip(20mm) }\n  face lep off web.b up 90deg { outline strip(20mm) }\n}\npart only of tin = plate()\n",
			"P4021", "web.nip", "", "web keeps no straight edge along this bend, which is 2 mm long"},
		{"a face that its bends take", head + "panel plate() {\n  face web on level(0mm) { outline rect(90mm, 90mm) }\n  face lip off web.top up 90deg { outline strip(3mm) }\n  face end off lip.outer up 90deg { outline strip(20mm) }\n}\npart only of tin = plate()\n",
			"P4021", "strip(3mm)", "", "lip is too short for its set-back: 3 mm, needs more than 4"},
		{"a lip too short", head + "panel plate(deep: length) {\n  face web on level(0mm) { outline rect(90mm, 90mm) }\n  face lip off web.top up 90deg { outline strip(deep) }\n}\npart only of tin = plate(7mm)\n",
			"P6011", "7mm", "8mm", "has 5.00 mm of flat"},
		{"a lone bolt", pair + "let two_of = 1\njoin hold = one.base to two.base by rivet(4.8mm, count: two_of)\n", "P5008", "two_of", "", "a lone rivet"},
	} {
		all := told(t, c.text)
		got := all[c.code]
		if len(got) != 1 {
			t.Errorf("%s: %d of %s: %v", c.what, len(got), c.code, all)
			continue
		}
		d, fix := got[0], ""
		if d.Fix != nil {
			fix = d.Fix.Edits[0].Text
			if left := told(t, d.Fix.Apply(c.text)); len(left[c.code]) > 0 {
				t.Errorf("%s: mended by %q, and still %s", c.what, fix, left[c.code][0])
			}
		}
		if d.Span.Text() != c.at || fix != c.fix || !strings.Contains(d.Summary, c.says) {
			t.Errorf("%s: at %q, mended by %q, want %q and %q:\n%s", c.what, d.Span.Text(), fix, c.at, c.fix, d)
		}
	}
}

// TestSmallOverlapsAreNotTold: parts that lie in each other by less than the cutter leaves
// to chance, ± 0.5 mm, are not warned of; deeper ones are, with place, depth and size.
func TestSmallOverlapsAreNotTold(t *testing.T) {
	const text = "design \"Told\" in millimetres\nstock tin = sheet(mild_steel, 2mm)\npanel plate(on_it: plane) {\n  face base on on_it { outline rect(60mm, 60mm) }\n}\n" +
		"part one of tin = plate(level(0mm)) loose\npart two of tin = plate(level(UP)) loose\n"
	for up, want := range map[string]string{"1.6mm": "", "1.2mm": "one.base and two.base take up the same room: 0.80 mm deep, about 2880 mm³, at ("} {
		got := told(t, strings.Replace(text, "UP", up, 1))["P5004"]
		switch {
		case want == "" && len(got) > 0:
			t.Errorf("%s: %s", up, got[0])
		case want != "" && (len(got) != 1 || !strings.HasPrefix(got[0].Summary, want) || got[0].Severity != diag.Warning):
			t.Errorf("%s: got %v, want %s", up, got, want)
		}
	}
}

// TestSeveralWholePieces: copies of one whole piece each stand for themselves; one that
// lacks what the others have is told.
func TestSeveralWholePieces(t *testing.T) {
	const text = "design \"Told\" in millimetres\nstock tin = sheet(mild_steel, 2mm)\npanel plate(on_it: plane) {\n  face base on on_it { outline rect(60mm, 60mm) }\n}\n" +
		"part beam[i in 1..2] of tin = plate(level(i * 200mm))\npart shoe[i in 1..LAST] of tin = plate(beam[i].base.over)\n" +
		"join foot[i in 1..LAST] = beam[i].base to shoe[i].base by rivet(4.8mm, pitch: 30mm)\n"
	if got := told(t, strings.ReplaceAll(text, "LAST", "2")); len(got) > 0 {
		t.Errorf("two whole pieces: %v", got)
	}
	if got := told(t, strings.ReplaceAll(text, "LAST", "1"))["P5007"]; len(got) != 1 || got[0].Span.Text() != "beam" || !strings.Contains(got[0].Summary, "beam.2") {
		t.Errorf("one whole piece and a beam: %v", got)
	}
}

// TestHowJoinedFacesAreBroughtTogether: a join whose faces do not touch says what would let
// them.
func TestHowJoinedFacesAreBroughtTogether(t *testing.T) {
	const text = "design \"Told\" in millimetres\nstock tin = sheet(mild_steel, 2mm)\npanel plate(on_it: plane) {\n  face base on on_it { outline rect(60mm, 60mm) }\n}\n" +
		"part one of tin = plate(level(0mm))\npart two of tin = plate(PLANE)\njoin pair = one.base to two.base by rivet(4.8mm, pitch: 30mm)\n"
	for where, want := range map[string]string{
		"level(10mm)":                  "move one of them by 8 mm square to its face, or draw it on the other: `on ",
		"level(1.2mm)":                 "move one of them by 0.8 mm square to its face, or draw it on the other: `on ",
		"one.base.over at (75mm, 0mm)": "let one reach over the other: it lacks 15 mm to its edge",
		"upright(0mm)":                 "what is joined lies flat on each other",
	} {
		got := told(t, strings.Replace(text, "PLANE", where, 1))["P5001"]
		if len(got) != 1 || !strings.HasPrefix(got[0].Notes[len(got[0].Notes)-1], want) {
			t.Errorf("%s: told %v, want %q", where, got, want)
		}
	}
}

// TestThinSheetTakesTheLeastRivet: 3.2 mm is the thinnest rivet that the shop stocks, and
// what two sheets of 0.9 mm are riveted with (common practice, no source).
func TestThinSheetTakesTheLeastRivet(t *testing.T) {
	const text = "design \"Told\" in millimetres\nstock tin = sheet(mild_steel, 0.9mm)\npanel plate(on_it: plane) {\n  face base on on_it { outline rect(60mm, 60mm) }\n}\n" +
		"part one of tin = plate(level(0mm))\npart two of tin = plate(one.base.over)\njoin pair = one.base to two.base by rivet(SIZE, pitch: 20mm)\n"
	for size, told6017 := range map[string]bool{"3.2mm": false, "4.8mm": true} {
		got := told(t, strings.Replace(text, "SIZE", size, 1))["P6017"]
		if (len(got) > 0) != told6017 {
			t.Errorf("%s: told %v", size, got)
		}
		for _, d := range got {
			if d.Fix == nil || d.Fix.Edits[0].Text != "3.2mm" {
				t.Errorf("%s: %s", size, d)
			}
		}
	}
}
