package check

import (
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
)

func checkedText(t *testing.T, text string, lib Loader) (*Program, []diag.Diagnostic) {
	t.Helper()
	root, bad := syntax.Parse(diag.NewSource("x.perch", text))
	if len(bad) > 0 {
		t.Fatal(bad)
	}
	return Check(root, lib, shop)
}

// The design line decides; without its word, the lengths of the design's own files are
// counted, a library's not, and a tie is millimetres. What was taken is a note that mends.
func TestUnitsOfADesign(t *testing.T) {
	lib := shelf{map[string]string{"std.feet": "let foot = 1ft\nlet yard = 3ft\nlet mile = 5280ft\n"}, map[string]string{"own.perch": "let a = 1in\nlet b = 2'6\"\n"}}
	for _, c := range []struct {
		text string
		want quantity.System
		note string
	}{
		{`design "A" in inches` + "\nlet a = 1mm\nlet b = 2mm", quantity.Inches, ""},
		{`design "A" in millimetres` + "\nlet a = 1in", quantity.Millimetres, ""},
		{`design "A"` + "\nlet a = 1in\nlet b = 3/8in\nlet c = 2m", quantity.Inches, "read as a design in inches: 2 of its 3 lengths are"},
		{`design "A"` + "\nlet a = 1in\nlet b = 2cm", quantity.Millimetres, "read as a design in millimetres: as many of its lengths are in inches"},
		{`design "A"` + "\nlet a = 18ga", quantity.Millimetres, "read as a design in millimetres: it states no length"},
		{`design "A"` + "\nuse foot from std.feet\nlet a = foot + 2mm", quantity.Millimetres, "read as a design in millimetres: all lengths that it states are"},
		{`design "A"` + "\nuse a from \"own.perch\"\nlet c = a * 2\nlet d = 2mm", quantity.Inches, "read as a design in inches: 2 of its 3 lengths are"},
	} {
		p, ds := checkedText(t, c.text, lib)
		for _, d := range ds {
			if d.Severity == diag.Error && d.Code != "P2019" {
				t.Errorf("%s: %s", c.text, d)
			}
		}
		note, told := p.Taken()
		if p.Units != c.want || p.Shown != c.want || told != (c.note != "") || note.Summary != c.note {
			t.Errorf("%s: in %s, %q", c.text, p.Units, note.Summary)
		}
		if told {
			e := note.Fix.Edits[0]
			mended, _ := checkedText(t, c.text[:e.Span.Start]+e.Text+c.text[e.Span.End:], lib)
			if _, again := mended.Taken(); again || mended.Units != c.want {
				t.Errorf("%s: mended it is in %s", c.text, mended.Units)
			}
		}
	}
}

// A number without its unit is offered the design's own.
func TestUnitOffered(t *testing.T) {
	for text, want := range map[string]string{
		`design "A" in inches` + "\nparam a: length = 12":               "write 12in",
		`design "A" in inches` + "\nparam a: mass = 12":                 "write 12lb",
		`design "A" in inches` + "\nparam a: angle = 12":                "write 12deg",
		`design "A" in millimetres` + "\nparam a: length = 12":          "write 12mm",
		`design "A"` + "\nparam b: length = 3in\nparam a: length = 12":  "write 12in",
		`design "A"` + "\nparam b: length = 3mm\nparam a: length = 12":  "write 12mm",
		`design "A" in inches` + "\nlet b = 3mm\nlet a = b + 12":        "write 12in",
		`design "A" in millimetres` + "\nlet b = 3in\nlet a = b > 12.5": "write 12.5mm",
	} {
		_, ds := checkedText(t, text, nil)
		if len(ds) != 1 || ds[0].Fix == nil || ds[0].Fix.Message != want {
			t.Errorf("%s: %s, want %s", text, ds, want)
		}
	}
}

// A range of a library's panel, in millimetres, is told in the design's own units.
func TestRangeOfTheOtherSystem(t *testing.T) {
	lib := shelf{map[string]string{"std.pan": "panel pan(w: length in 10mm..600mm = 20mm) { face f on level(0mm) { outline rect(w, w) } }"}, nil}
	const use = "\nuse pan from std.pan\nstock s = sheet(steel, 1mm)\npart p of s = pan("
	for text, want := range map[string]string{
		`design "A" in inches` + use + "1/4in)":    "1/4in is outside the range of w, 0.3937in..23.622in",
		`design "A" in millimetres` + use + "6mm)": "6mm is outside the range of w, 10mm..600mm",
	} {
		_, ds := checkedText(t, text, lib)
		found := false
		for _, d := range ds {
			found = found || d.Code == "P2043" && d.Summary == want
		}
		if !found {
			t.Errorf("%s: %s, want %s", text, ds, want)
		}
	}
}

// Lengths of one sum in two systems are told of once, where the second comes in, with a
// mend into the design's own that changes no value.
func TestMixedSums(t *testing.T) {
	for text, want := range map[string]string{
		`design "A" in millimetres` + "\nlet a = 12mm + 1/2in":                "12mm + 12.7mm",
		`design "A" in inches` + "\nlet a = 25.4mm + 1/2in":                   "1in + 1/2in",
		`design "A" in inches` + "\nlet a = 2in - (3in - 50.8mm)":             "2in - (3in - 2in)",
		`design "A" in millimetres` + "\nlet a = 1mm + 2mm + 1in - 3mm + 4mm": "1mm + 2mm + 25.4mm - 3mm + 4mm",
		`design "A" in millimetres` + "\nlet a = 1in + 2mm":                   "25.4mm + 2mm",
		`design "A" in millimetres` + "\nlet a = -1in + 2mm":                  "-25.4mm + 2mm",
		`design "A" in millimetres` + "\nlet a = 2mm * 3 + 1in":               "",
		`design "A" in millimetres` + "\nlet b = 1in\nlet a = 2mm + b":        "",
		`design "A" in millimetres` + "\nlet a = max(2mm, 1in)":               "",
	} {
		_, ds := checkedText(t, text, nil)
		if want == "" {
			if len(ds) != 0 {
				t.Errorf("%s: %s", text, ds)
			}
			continue
		}
		if len(ds) != 1 || ds[0].Code != "P2071" || ds[0].Severity != diag.Warning {
			t.Errorf("%s: %s", text, ds)
			continue
		}
		e := ds[0].Fix.Edits[0]
		if got := text[:e.Span.Start] + e.Text + text[e.Span.End:]; !strings.HasSuffix(got, "let a = "+want) {
			t.Errorf("%s: mended %s", text, got)
		}
	}
}
