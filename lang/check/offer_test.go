package check

import (
	"slices"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// TestOffers makes mistakes that people make, and wants one diagnostic of each whose
// fix, applied, leaves none.
func TestOffers(t *testing.T) {
	const head = "design \"d\"\n"
	const rest = "stock shell = sheet(mild_steel, 2mm)\nbody frame = box(1m, 1m, 1m)\nparam wide: length in 1mm..90mm = 30mm\nparam n: count = 2\n"
	for _, c := range []struct{ text, want string }{
		{"size a: wide = largest", "size a: wide largest"},
		{"size a: n = 3, wide = smallest", "size a: n = 3, wide smallest"},
		{"size a: wide = free", "size a: wide free"},
		{"param x: int = 3", "param x: count = 3"},
		{"param x: mm = 3mm", "param x: length = 3mm"},
		{"param x: deg in 1deg..5deg = 3deg", "param x: angle in 1deg..5deg = 3deg"},
		{"param x: length in 1mm - 5mm = 3mm", "param x: length in 1mm..5mm = 3mm"},
		{"let f(x: float) = x * 2", "let f(x: number) = x * 2"},
		{"body f = frustum(1m, bottom: 2m, height: 3m)", "body f = frustum(top: 1m, bottom: 2m, height: 3m)"},
		{"panel q(w: length = 5mm, s: side) { face f on s { outline rect(w, w) } }\npart p of shell = q(frame.front)", "panel q(w: length = 5mm, s: side) { face f on s { outline rect(w, w) } }\npart p of shell = q(s: frame.front)"},
		{"panel q(w: length = 5mm, s: side) { face f on s { outline rect(w, w) } }\npart p of shell = q(w = 3mm, s = frame.front)", "panel q(w: length = 5mm, s: side) { face f on s { outline rect(w, w) } }\npart p of shell = q(w: 3mm, s: frame.front)"},
		{"let r = rivet(4mm, count = 2)", "let r = rivet(4mm, count: 2)"},
		{"let l = [(0mm, 0mm), (9mm, 0) edge rim, (0, 9mm) round 1mm]", "let l = [(0mm, 0mm), (9mm, 0mm) edge rim, (0mm, 9mm) round 1mm]"},
		{"panel q() { face f on level(0mm) { outline [(0mm, 0mm), (9mm, 0mm) edge rim, (9mm, 9mm)] } face g off rim up 90deg { outline strip(9mm) } face h off g.left up 90deg { outline strip(9mm) } }",
			"panel q() { face f on level(0mm) { outline [(0mm, 0mm), (9mm, 0mm) edge rim, (9mm, 9mm)] } face g off f.rim up 90deg { outline strip(9mm) } face h off g.left up 90deg { outline strip(9mm) } }"},
		{"body seat = box(1m, 1m, 1m)\npanel q() { face f on level(0mm) { outline rect(9mm, 9mm) } }\npart seat of shell = q()",
			"body seat = box(1m, 1m, 1m)\npanel q() { face f on level(0mm) { outline rect(9mm, 9mm) } }\npart seat_part of shell = q()"},
		{"let p = (9mm, 9mm)\nlet c = circle(8mm) at p / 2", "let p = (9mm, 9mm)\nlet c = circle(8mm) at (p / 2)"},
		{"let p = (9mm, 9mm)\nlet c = circle(8mm) at p + p", "let p = (9mm, 9mm)\nlet c = circle(8mm) at (p + p)"},
		{"let seat_part = 2\nlet seat_2 = 3\nlet seat = 2\nlet seat = 3", "let seat_part = 2\nlet seat_2 = 3\nlet seat = 2\nlet seat_3 = 3"},
		{"body f = frustum(1m, 2m, 3m)", "body f = frustum(top: 1m, bottom: 2m, height: 3m)"},
	} {
		root, mistakes := syntax.Parse(diag.NewSource("design.perch", head+rest+c.text+"\n"))
		_, diags := Check(root, nil, shop)
		if len(mistakes) > 0 || len(diags) == 0 {
			t.Fatal(c.text, mistakes, diags)
		}
		if got, want := mended(t, root.Source.Text, diags), head+rest+c.want+"\n"; got != want {
			t.Errorf("%s: mended to\n%s\n%v", c.text, got, diags)
		}
	}
	// one name imported twice
	twice := head + "use tray, tray from std.plain\n" + rest + "part t of shell = tray()\npart u of shell = tray()\n"
	file, _ := syntax.Parse(diag.NewSource("design.perch", twice))
	_, ds := Check(file, lister{newDesk(t)}, shop)
	if got, want := mended(t, twice, ds), strings.Replace(twice, "tray, tray from", "tray, tray as tray_2 from", 1); len(ds) != 1 || got != want {
		t.Errorf("mended to\n%s\n%v", got, ds)
	}
	// a panel of the library that is not imported, in texts with and without imports
	for _, c := range []struct{ text, want string }{
		{head + "\n" + rest + "part p of shell = bracket()\n", head + "\nuse bracket from std.plain\n" + "\n" + rest + "part p of shell = bracket()\n"},
		{head + "\nuse tray from std.plain\n\n" + rest + "part p of shell = bracket()\npart t of shell = tray()\n",
			head + "\nuse tray, bracket from std.plain\n\n" + rest + "part p of shell = bracket()\npart t of shell = tray()\n"},
		{head + "\nuse seat_cap from std.stool // it is\n\n" + rest + "part p of shell = bracket()\npart t of shell = seat_cap(frame)\n",
			head + "\nuse seat_cap from std.stool\nuse bracket from std.plain // it is\n\n" + rest + "part p of shell = bracket()\npart t of shell = seat_cap(frame)\n"},
	} {
		root, _ := syntax.Parse(diag.NewSource("design.perch", c.text))
		_, diags := Check(root, lister{newDesk(t)}, shop)
		if len(diags) != 1 || !slices.Contains(diags[0].Notes, "bracket is in std.plain") {
			t.Fatal(c.text, diags)
		}
		if got := mended(t, c.text, diags); got != c.want {
			t.Errorf("mended to\n%s", got)
		}
		root, _ = syntax.Parse(diag.NewSource("design.perch", c.want))
		if _, diags := Check(root, lister{newDesk(t)}, shop); len(diags) > 0 {
			t.Errorf("mended, there is still %v", diags)
		}
	}
	// what is said where nothing can be offered
	for _, c := range []struct{ text, note string }{
		{"let t = 3 * mm", "a unit is glued to its number: 3mm"},
		{"panel q(s: side) { face f on s { outline rect(1mm, 1mm) } }\npart p[s in frame.sides] of shell = q(s)\nlet m = mass(p[1])", "as in BODY.sides[1]"},
		{"param x: colour = 3", "a type is one of length, angle"},
		{"panel one() { face f on level(0mm) { outline rect(1mm, 1mm) } }\npart p of shell = widget()", "the panels known here are one"},
	} {
		_, diags := checkText(head+rest+c.text+"\n", nil)
		if len(diags) != 1 || !slices.ContainsFunc(diags[0].Notes, func(n string) bool { return strings.Contains(n, c.note) }) || diags[0].Fix != nil {
			t.Errorf("%s: %v, want a note %q", c.text, diags, c.note)
		}
	}
	_, diags := checkText(head+rest+"size b like c: wide = 3mm\n", nil)
	if len(diags) != 1 || diags[0].Fix != nil {
		t.Errorf("a size that is like none: %v", diags)
	}
}

// mended is a text with every fix applied.
func mended(t *testing.T, text string, diags []diag.Diagnostic) string {
	t.Helper()
	for i := len(diags) - 1; i >= 0; i-- { // they come in order of place
		if diags[i].Fix == nil {
			t.Fatalf("no fix for %v", diags[i])
		}
		for _, e := range diags[i].Fix.Edits {
			text = text[:e.Span.Start] + e.Text + text[e.Span.End:]
		}
	}
	return text
}
