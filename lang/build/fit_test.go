package build_test

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
)

// plateOf is a design of one flat plate, wide × high × 1 mm, with rules on what is
// measured of it.
func plateOf(size string, rules ...string) string {
	text := `design "Plate"
stock tin = sheet(mild_steel, 1mm)
param wide: length in 50mm..500mm = 100mm
param high: length in 50mm..500mm = 100mm
param rows: count in 1..4 = 1
panel plate(w: length, h: length) { face base on level(0mm) { outline rect(w, h) } }
panel other(z: length) { face base on level(z) { outline rect(100mm, 100mm) } }
part one of tin = plate(wide, high)
part more[i in 2..rows] of tin = other(10mm * i)
`
	for _, r := range rules {
		text += "rule " + r + "\n"
	}
	return text + "size it: " + size + "\n"
}

func sized(t *testing.T, text string) (*build.Result, []diag.Diagnostic) {
	t.Helper()
	shop := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("it.perch", text), load.Library(), shop)
	if err != nil || diag.HasErrors(diags) {
		t.Fatalf("%s\n%v %v", text, err, diags)
	}
	return build.Size(prog, "it", shop, nil)
}

// TestFreeIsFitted finds free names by rules on measured results; each answer is
// worked out by hand.
func TestFreeIsFitted(t *testing.T) {
	for _, c := range []struct {
		size  string
		rules []string
		want  map[string]float64
	}{
		{"wide free", []string{"area(one) = 20000mm * 1mm"}, map[string]float64{"wide": 200}},
		{"wide free", []string{"20000mm * 1mm = area(one) and wide > 0mm"}, map[string]float64{"wide": 200}},
		// steel of 7850 kg/m³: 1.57 kg are 200 000 mm² of 1 mm
		{"wide free, high = 400mm", []string{"mass() = 1.57kg"}, map[string]float64{"wide": 500}},
		{"wide free", []string{"flat_long(one) = 333mm"}, map[string]float64{"wide": 333}},
		{"wide free, high free", []string{"area(one) = 20000mm * 1mm", "wide = 2 * high"}, map[string]float64{"wide": 200, "high": 100}},
		// (w − 300)² touches zero from above
		{"wide free", []string{"(flat_long(one) - 300mm) ^ 2 = 0mm * 1mm"}, map[string]float64{"wide": 300}},
		{"rows free", []string{"mass() = 0.2355kg"}, map[string]float64{"rows": 3}},
		{"rows free, wide free", []string{"mass() = 0.2355kg", "flat_long(one) = 200mm"}, map[string]float64{"rows": 2, "wide": 200}},
		// two roots, of which the largest is asked for; by a rule w + h = 450 mm
		{"wide largest, high free", []string{"area(one) = 45000mm * 1mm", "wide + high = 450mm"}, map[string]float64{"wide": 300, "high": 150}},
		{"wide smallest, high free", []string{"area(one) = 45000mm * 1mm", "wide + high = 450mm"}, map[string]float64{"wide": 150, "high": 300}},
		{"wide free, high free", []string{"area(one) = 40000mm * 1mm", "flat_long(one) + 2 * flat_wide(one) = 600mm", "wide >= 250mm"},
			map[string]float64{"wide": 400, "high": 100}},
	} {
		r, diags := sized(t, plateOf(c.size, c.rules...))
		if diag.HasErrors(diags) {
			t.Errorf("%s, %s: %v", c.size, c.rules, diags)
			continue
		}
		for _, v := range r.Values {
			if want, ok := c.want[v.Name]; ok && !(math.Abs(v.Value-want) <= 1e-4) {
				t.Errorf("%s, %s: %s is %v, by hand %v", c.size, c.rules, v.Name, v.Value, want)
			}
		}
		if r.Status != "unproved" || len(r.Fits) == 0 && r.Choice == nil || r.Choice != nil && r.Choice.Proved {
			t.Errorf("%s, %s: status %s, fits %+v", c.size, c.rules, r.Status, r.Fits)
		}
	}
}

// TestFitIsTakenToTheLastBit weighs the flagship as asked for.
func TestFitIsTakenToTheLastBit(t *testing.T) {
	text, err := os.ReadFile("../../examples/stool/stool.perch")
	if err != nil {
		t.Fatal(err)
	}
	r, diags := sized(t, string(text)+"rule mass() = 7.5kg\nsize it: height free\n")
	if diag.HasErrors(diags) {
		t.Fatal(diags)
	}
	mass, diags := build.Expression(r.Program(), "mass()")
	if diag.HasErrors(diags) {
		t.Fatal(diags)
	}
	if q, _ := r.Eval(mass); !(math.Abs(q.V-7.5) <= 1e-11) {
		t.Errorf("it weighs %v kg", q.V)
	}
	for _, c := range r.Causes() {
		if c.Name == "height" && c.By.Text != "rule mass() = 7.5kg" {
			t.Errorf("height comes from %q", c.By.Text)
		}
	}
}

// TestFitsThatFail tells why nothing, or too much, was found.
func TestFitsThatFail(t *testing.T) {
	for _, c := range []struct {
		size, code, part string
		rules            []string
	}{
		{"wide free", "P3012", "with wide = 500mm the left side is 50000mm², the right side 60000mm²", []string{"area(one) = 60000mm * 1mm"}},
		{"wide free", "P3012", "near wide = 222.2mm the left side jumps from 100mm to 400mm, past 150mm", []string{"(if flat_long(one) >= 222.2mm then 4 else 1) * 100mm = 150mm"}},
		{"wide free", "P3012", "with wide = 200mm: rule flat_long(one) = 210mm does not hold, left is 200mm, right is 210mm", []string{"area(one) = 20000mm * 1mm", "flat_long(one) = 210mm"}},
		{"wide free", "P3012", "with wide = 200mm: rule flat_long(one) <= 190mm does not hold", []string{"area(one) = 20000mm * 1mm", "flat_long(one) <= 190mm"}},
		{"wide free, high free", "P3012", "state one of the names", []string{"area(one) = 20000mm * 1mm"}},
		{"wide free", "P3003", "possible: wide = 150mm", []string{"(flat_long(one) - 150mm) * (flat_long(one) - 400mm) = 0mm * 1mm"}},
		// true over a stretch: its ends are told
		{"wide free", "P3003", "rule sheets(tin) = 1 holds all the way from 50mm to 500mm", []string{"sheets(tin) = 1"}},
		{"wide free", "P3002", "state wide, give it a default", []string{"mass() <= 5kg"}},
		{"rows free", "P3012", "4 sizes were built", []string{"mass() = 9kg", "rows <= 3"}},
	} {
		_, diags := sized(t, plateOf(c.size, c.rules...))
		text := fmt.Sprint(diags)
		if len(diags) == 1 {
			text = strings.Join(diags[0].Notes, "\n")
		}
		if len(diags) != 1 || diags[0].Code != c.code || !strings.Contains(text, c.part) {
			t.Errorf("%s, %s: want %s with %q:\n%+v\n%s", c.size, c.rules, c.code, c.part, diags, text)
		}
	}
}
