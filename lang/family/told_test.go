package family_test

import (
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/shop"
)

// told is what checking a design says, by code.
func told(t *testing.T, text string) map[string][]diag.Diagnostic {
	t.Helper()
	s := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("told.perch", text), load.Library(), s)
	if err != nil || diag.HasErrors(diags) {
		t.Fatal(err, diags)
	}
	out := map[string][]diag.Diagnostic{}
	for _, d := range (family.Job{Program: prog, Shop: s}).Check() {
		out[d.Code] = append(out[d.Code], d)
	}
	return out
}

const channel = `design "Channel"
stock tin = sheet(mild_steel, 1.5mm)
panel channel(lip: length, end: length) {
  face base on level(0mm) { outline rect(60mm, 120mm) }
  face left off base.left up 90deg { outline strip(50mm) }
  face right off base.right up 90deg { outline strip(50mm) }
  face in_left off left.outer up 90deg { outline strip(lip) }
  face in_right off right.outer up 90deg { outline strip(lip) }
  face tongue off base.bottom up 150deg { outline strip(end) }
}
part rail[i in 1..2] of tin = channel(LIP, END)
`

// Lips on walls 60 mm apart, each over the middle by what it is longer than 30 mm.
// What they share is 1.5 mm thick and 120 mm long. The tongue leans
// in over the base by 30°; its end, 1.5·cos 30° thick above half its length, meets the
// lips where that is over 50 mm.
func TestFacesOfOnePartInEachOther(t *testing.T) {
	for _, c := range []struct{ lip, end, want string }{
		{"35mm", "20mm", "in_left and in_right of rail lie in each other once it is bent: 1.50 mm deep, about 1800 mm³, at (0.0, 0.0, 50.8) mm"},
		{"30.6mm", "20mm", "in_left and in_right of rail lie in each other once it is bent: 1.20 mm deep, about 216 mm³, at (0.0, 0.0, 50.8) mm"},
		{"30.2mm", "20mm", ""}, // 0.4 mm: the cutter is true to ± 0.5
		{"29mm", "20mm", ""},
		{"25mm", "97mm", ""},
		{"25mm", "120mm", "in_left and tongue of rail lie in each other"},
	} {
		got := told(t, strings.NewReplacer("LIP", c.lip, "END", c.end).Replace(channel))["P5005"]
		switch {
		case c.want == "" && len(got) > 0:
			t.Errorf("%s: %s", c.lip, got[0].Summary)
		case c.want != "" && (len(got) != 1 || !strings.HasPrefix(strings.ReplaceAll(got[0].Summary, "-0.0", "0.0"), c.want) || got[0].Severity != diag.Warning || got[0].Span.Text() != "in_left"):
			t.Errorf("%s: got %+v, want %s", c.lip, got, c.want)
		}
	}
}

// TestStripsAllRound: strips on every edge of a plate that end short of its corners by just what
// their bends reach into it leave corners that hang on nothing: they are scrap, as smaller ones
// are, and no reason to refuse the plate.
func TestStripsAllRound(t *testing.T) {
	for _, ends := range []string{"0.5mm", "1.9mm", "2mm", "2.1mm", "5mm"} {
		all := told(t, `design "Pan" in millimetres
stock steel = sheet(mild_steel, 2mm)
panel pan() {
  face web on level(0mm) { outline rect(100mm, 80mm) }
  face wall[e in web.edges] off e up 90deg { outline strip(20mm, ends: `+ends+`) }
}
part pan of steel = pan()
`)
		// A corner of 5 mm between round reliefs is metal that somebody drew.
		if ds := all["P4022"]; ends == "5mm" && len(ds) == 1 && strings.Contains(ds[0].Summary, "cut off") && strings.Contains(ds[0].Summary, "nearer to the corner") {
			continue
		}
		for code, ds := range all {
			if ds[0].Severity == diag.Error {
				t.Errorf("ends of %s: %s %v", ends, code, ds)
			}
		}
	}
}

// TestSizesBeyondSense: faces and cuts that no metal has are told with their measures, where they
// are drawn.
func TestSizesBeyondSense(t *testing.T) {
	for drawn, want := range map[string]string{
		"outline rect(1e300mm, 80mm)":                            "face web reaches 5e+299 mm far; perch builds within 200000 mm",
		"outline rect(9000m, 80mm)":                              "face web reaches 4500000 mm far; perch builds within 200000 mm",
		"outline rect(1e-12mm, 80mm)":                            "face web is 0.000000000001 mm × 80 mm: nothing finer than 0.01 mm can be cut",
		"outline rect(90mm, 80mm)\n cut h = circle(0.0000001mm)": "cut h is 0.0000001 mm × 0.0000001 mm: nothing finer than 0.01 mm can be cut",
	} {
		all := told(t, "design \"Odd\" in millimetres\nstock steel = sheet(mild_steel, 2mm)\npanel p() { face web on level(0mm) { "+drawn+" } }\npart a of steel = p()\n")
		if ds := all["P4003"]; len(ds) != 1 || ds[0].Summary != want || ds[0].Span.Text() == "" {
			t.Errorf("%s: %v", drawn, all)
		}
	}
}
