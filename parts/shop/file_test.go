package shop

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"perch/parts/bend"
	"perch/parts/measure"
)

func TestTemplateIsDefault(t *testing.T) {
	shop, err := Load(Template)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(Default(), shop); diff != "" {
		t.Errorf("the template differs from the default shop (-default +template):\n%s", diff)
	}
	// The template's commented keys are keys too.
	text := strings.NewReplacer("# k = 0.42", "k = 0.42", "# [[test_bend]]", "[[test_bend]]", `# material = "mild_steel" #`, `material = "mild_steel" #`,
		"# thickness = 1.2", "thickness = 1.2", "# radius = 1.2", "radius = 1.2", "# angle", "angle", "# k = 0.38", "#",
		"# flat", "flat", "# leg", "leg").Replace(Template)
	at, end := strings.Index(text, "# [table]\n"), strings.Index(text, "[brake]")
	text = text[:at] + strings.ReplaceAll(text[at+2:end], "\n# ", "\n") + text[end:]
	shop, err = Load(text)
	if err != nil {
		t.Fatal(err)
	}
	if shop.K != 0.42 || len(shop.Measured) != 1 || !(math.Abs(shop.Measured[0].K-0.326) < 0.001) {
		t.Errorf("K %g, measured %+v", shop.K, shop.Measured)
	}
	want := &Table{Name: "shop table", Unit: "mm", Header: []string{"M8"}, Footer: []string{"M2"}, On: "M3", Off: "M5", Arcs: true, Chord: 0.005, Blend: 0.05, MarkOn: "M64 P1", MarkOff: "M65 P1", MarkFeed: 6000,
		LineNumbers: 10, Slow: 0.6, Rapid: 8000, Hour: 45, Pierce: 0.03, Metre: 0.08,
		Feeds: []Feed{{"mild_steel", 1.5, 4300, 0.3}}}
	if diff := cmp.Diff(want, shop.Table); diff != "" {
		t.Errorf("the template's table (-want +got):\n%s", diff)
	}
	if shop, err = Load(""); err != nil || !cmp.Equal(shop, Default()) {
		t.Errorf("an empty file is not the default shop: %v", err)
	}
}

func TestLoadInches(t *testing.T) {
	shop, err := Load(`
unit = "in"
ruler = "1/32in"
name = "laser shop"
[bending]
method = "handbook"
[material.mild_steel]
yield = 300
[material.bronze]
density = 8800
group = "hard"
modulus = 110000
yield = 350
[cutter]
drawings = "in"
kind = "laser"
kerf = 0.008
min_hole = 0.02
hole_sheets = 0.5
[[rivet]]
diameter = 0.1875
hole = 0.191
head = 0.375
lengths = [[0.5, 0.25, 0.375], [0.375, 0.125, 0.25]]
[[rivet]]
diameter = 0.125
hole = 0.128
head = 0.25
[[test_bend]]
thickness = 0.0478
radius = 0.0625
angle = 90
k = 0.41
`)
	if err != nil {
		t.Fatal(err)
	}
	if shop.Method != bend.Handbook || shop.Cutter.Kind != "laser" || !close(shop.Cutter.Kerf, 0.2032, 1e-12) || shop.Cutter.HoleKerfs != 4 {
		t.Errorf("cutter %+v", shop.Cutter)
	}
	if want := (measure.Ruler{System: measure.Inches, Division: 1.0 / 32}); shop.Ruler != want || shop.Cutter.Drawings != measure.Inches {
		t.Errorf("ruler %+v, drawings in %s", shop.Ruler, shop.Cutter.Drawings)
	}
	if m, ok := shop.Material("mild_steel"); !ok || m.Yield != 300 || m.Density != 7850 {
		t.Errorf("mild_steel %+v", m)
	}
	if m, ok := shop.Material("bronze"); !ok || m.Group != bend.Hard || m.Density != 8800 || m.MinRadius != 1 {
		t.Errorf("bronze %+v", m)
	}
	if len(shop.Rivets) != 2 || !close(shop.Rivets[0].Diameter, 3.175, 1e-12) || !close(shop.Rivets[1].Lengths[0].Length, 9.525, 1e-12) {
		t.Errorf("rivets %+v", shop.Rivets)
	}
	if l, ok := shop.Rivets[1].ForGrip(7); !ok || !close(l.Length, 12.7, 1e-12) {
		t.Errorf("for a grip of 7: %+v", l)
	}
	b, w := shop.Bend(Stock{Material: "mild_steel", Thickness: 1.21412}, 1.5875, 84*bend.Degree)
	if b.K != 0.41 || len(w) != 0 {
		t.Errorf("measured: %+v %v", b, w)
	}
}

// Each line of errs is the start of one error that must be told, in order.
func TestLoadErrors(t *testing.T) {
	for _, c := range []struct{ what, text, errs string }{
		{"unknown key", "[cutter]\nkerf = 1\nkerv = 2\n", "3:1: cutter.kerv: no such key here"},
		{"unknown table", "\n[saw]\nblade = 1\n", "2:1: saw: no such key"},
		{"NaN", "[cutter]\n  kerf = nan\n", "2:3: cutter.kerf: NaN mm is not in"},
		{"infinite", "[brake]\nover = inf\n", "2:1: brake.over: +Inf is not in 1..5"},
		{"negative", "[cutter]\nkerf = -1.5\n", "2:1: cutter.kerf: -1.5 mm is not in 0.01..10 mm"},
		{"absurd", "unit = \"in\"\n[cutter]\nkerf = 1\n", "3:1: cutter.kerf: 1 in is not in 0.0003937..0.3937 in"},
		{"ruler", "ruler = \"1/3in\"\n", "1:1: ruler: \"1/3in\" is no ruler's division: write 1/32in, or 0.5mm"},
		{"drawings", "[cutter]\ndrawings = \"ft\"\n", "2:1: cutter.drawings: \"ft\" is not one of mm, in"},
		{"second item in inches", "unit = \"in\"\n[[bolt]]\ndiameter = 0.25\nhole = 0.2\n", "4:1: bolt[1].hole: hole 0.2 in is smaller than the bolt, 0.25 in"},
		{"wrong type", "[cutter]\nkerf = \"1.5mm\"\n", "2:1: cutter.kerf: must be a number, is a text"},
		{"date", "[cutter]\nkerf = 2024-01-01\n", "2:1: cutter.kerf: must be a number, is a date"},
		{"not a table", "cutter = 3\n", "1:1: cutter: must be a table, is a number"},
		{"not tables", "rivet = 3\n", "1:1: rivet: must be tables headed [[rivet]]"},
		{"second item", "[[bolt]]\ndiameter = 5\nhole = 5.5\n[[bolt]]\ndiameter = 6\nhole = 5\n", "6:1: bolt[2].hole: hole 5 mm is smaller"},
		{"missing", "[[bolt]]\ndiameter = 5\n", "1:1: bolt[1]: needs a hole"},
		{"inline", "cutter = { kerf = 0 }\n", "1:1: cutter.kerf: 0 mm is not in"},
		{"grips", "[[rivet]]\ndiameter = 5\nhole = 5.1\nhead = 9\nlengths = [[6, 4, 2]]\n", "5:1: rivet[1].lengths[1]: grips must rise"},
		{"grip count", "[[rivet]]\ndiameter = 5\nhole = 5.1\nhead = 9\nlengths = [[6, 4]]\n", "5:1: rivet[1].lengths[1]: must be a list of 3 numbers"},
		{"material", "[[sheet]]\nmaterial = \"wood\"\nthickness = 1\nwidth = 100\nlength = 100\n", "2:1: sheet[1].material: the shop has no material \"wood\""},
		{"new material", "[material.bronze]\ndensity = 8800\n", "1:1: material.bronze: needs a group\n1:1: material.bronze: needs a modulus\n1:1: material.bronze: needs a yield"},
		{"method", "[bending]\nmethod = \"magic\"\n", "2:1: bending.method: \"magic\" is not one of din6935, handbook, stated"},
		{"method without k", "[bending]\nmethod = \"stated\"\n", "1:1: bending: method stated needs a k"},
		{"bad strip", "[[test_bend]]\nthickness = 1.2\nradius = 1.2\nangle = 90\nflat = 90\nleg_a = 50\nleg_b = 50\n", "1:1: test_bend[1]: these lengths give K ="},
		{"both k and strip", "[[test_bend]]\nthickness = 1.2\nradius = 1.2\nangle = 90\nk = 0.4\nflat = 90\n", "1:1: test_bend[1]: give either k or"},
		{"two mistakes", "[drill]\nmin = 20\n[cutter]\nkerf = true\n", "1:1: drill: min 20 mm is above max 13 mm\n4:1: cutter.kerf: must be a number, is true or false"},
		{"syntax", "[cutter]\nkerf = = 1\n", "2:8: cutter.kerf: "},
		{"duplicate", "[cutter]\nkerf = 1\nkerf = 1\n", "3:10: cutter.kerf: Key"},
		{"key in a text", "name = \"\"\"\nkerf = 1\n\"\"\"\n[cutter]\nkerf = -1\n", "1:1: name: must be one line\n5:1: cutter.kerf: -1 mm"},
		{"deep", "name = " + strings.Repeat("[", 100000), "1:16: nested more than 8 deep"},
		{"deep key", "name" + strings.Repeat(".a", 100000) + " = 1", "1:200006: nested"},
		{"deep header", "[" + strings.Repeat("a.", 100000) + "a]", "1:200003: nested"},
		{"huge", strings.Repeat("#", 300000), "1:1: the file has 300000 bytes"},
	} {
		_, err := Load(c.text)
		var errs FileErrors
		if !errors.As(err, &errs) {
			t.Errorf("%s: got %v, want FileErrors", c.what, err)
			continue
		}
		want := strings.Split(c.errs, "\n")
		if len(errs) != len(want) {
			t.Errorf("%s: got %d errors, want %d:\n%v", c.what, len(errs), len(want), err)
			continue
		}
		for i := range want {
			if !strings.HasPrefix(errs[i].Error(), want[i]) {
				t.Errorf("%s: got %q, want %q", c.what, errs[i], want[i])
			}
		}
	}
}

func TestManyMistakes(t *testing.T) {
	_, err := Load("[cutter]\n" + strings.Repeat("\n", 3) + manyKeys(150))
	var errs FileErrors
	if !errors.As(err, &errs) || len(errs) != 101 || errs[100].Error() != "105:1: 50 more mistakes from here on" {
		t.Errorf("%d mistakes, the last %v", len(errs), errs[len(errs)-1])
	}
}

func manyKeys(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "k%d = 1\n", i)
	}
	return b.String()
}

func FuzzLoad(f *testing.F) {
	f.Add(Template)
	f.Add("a.b = [{c = '''\n'''}]\n[[x]]\ny=\"\\")
	f.Fuzz(func(t *testing.T, text string) {
		shop, err := Load(text)
		if (shop == nil) == (err == nil) {
			t.Fatalf("shop %v, error %v", shop, err)
		}
	})
}

func TestTables(t *testing.T) {
	shop, err := Load(`
unit = "in"
[table]
torch_on = "M3"
torch_off = "M5"
rapid = 300
[[table.feed]]
thickness = 0.06
feed = 170
`)
	if err != nil {
		t.Fatal(err)
	}
	// 170 in a minute are 4318 mm.
	if f := shop.Table.Feeds[0]; !close(f.Feed, 4318, 1e-9) || !close(f.Thickness, 1.524, 1e-9) || shop.Table.Unit != "mm" || !close(shop.Table.Rapid, 7620, 1e-9) {
		t.Errorf("%+v", shop.Table)
	}
	for text, want := range map[string]string{
		"torch_on = \"M3\"": "1:1: needs a torch_off",
		"torch_on = \"M3\"\ntorch_off = \"M5\"\nfede = 3":              "3:1: fede: no such key here",
		"torch_on = 3\ntorch_off = \"M5\"":                             "1:1: torch_on: must be a text, is a number",
		"torch_on = \"M3\"\ntorch_off = \"M5\"\nheader = \"G64\"":      "3:1: header: must be a list",
		"torch_on = \"M3\"\ntorch_off = \"M5\"\nunit = \"cm\"":         `3:1: unit: "cm" is not one of mm, in`,
		"torch_on = \"M3\"\ntorch_off = \"M5\"\n[[feed]]\nfeed = 0":    "needs a thickness",
		"torch_on = \"M3\"\ntorch_off = \"M5\"\nheader = [\"a\\nb\"]":  "header[1]: must be one line",
		"torch_on = \"M3\"\ntorch_off = \"M5\"\nslow = 1.5\nhour = -1": "slow: 1.5 is not in 0..1",
	} {
		if _, err := LoadTable(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s\n got %v\nwant %s", text, err, want)
		}
	}
}
