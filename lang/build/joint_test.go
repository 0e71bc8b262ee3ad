package build_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
)

// TestLargestWithOthersOpen chooses values of names that are open beside the wished
// one so that rules on measured results hold; by hand, metal of 1 mm and 7850 kg/m³.
func TestLargestWithOthersOpen(t *testing.T) {
	for _, c := range []struct {
		size   string
		rules  []string
		want   map[string]float64
		proved bool
	}{
		// as low as it may be, 50 mm, leaves 20 000 / 50
		{"wide largest, high free", []string{"area(one) <= 20000mm * 1mm"}, map[string]float64{"wide": 400, "high": 50}, false},
		{"wide largest, high free", []string{"mass() <= 0.157kg"}, map[string]float64{"wide": 400, "high": 50}, false},
		{"wide largest, high free", []string{"area(one) = 20000mm * 1mm"}, map[string]float64{"wide": 400, "high": 50}, false},
		// w h ≤ 20 000 with w + h ≥ 440 holds in a corner of 400 × 50 alone
		{"wide largest, high free", []string{"area(one) <= 20000mm * 1mm", "wide + high >= 440mm"}, map[string]float64{"wide": 400, "high": 50}, false},
		// w h ≥ 20 000 and h ≤ w / 2: w² / 2 = 20 000
		{"wide smallest, high free", []string{"area(one) >= 20000mm * 1mm", "high <= wide / 2"}, map[string]float64{"wide": 200, "high": 100}, false},
		// to the range's end, and the other name anything up to 40 000 / 500
		{"wide largest, high free", []string{"area(one) <= 40000mm * 1mm"}, map[string]float64{"wide": 500}, true},
		// three plates of 0.0785 kg and a first one of at least 15 000 mm², 0.11775 kg
		{"rows largest, high free", []string{"mass() <= 0.355kg", "area(one) >= 15000mm * 1mm"}, map[string]float64{"rows": 4}, true},
		{"rows largest, high free", []string{"mass() <= 0.353kg", "area(one) >= 15000mm * 1mm"}, map[string]float64{"rows": 3}, false},
		// one is left to choose: more plates, less width; 30 000 mm² less those of the others
		{"wide largest, high free, rows free", []string{"mass() <= 0.2355kg", "rows >= 2"}, map[string]float64{"wide": 400, "high": 50, "rows": 2}, false},
	} {
		r, diags := sized(t, plateOf(c.size, c.rules...))
		if diag.HasErrors(diags) || r.Choice == nil {
			t.Errorf("%s, %s: %v", c.size, c.rules, diags)
			continue
		}
		for _, v := range r.Values {
			if want, ok := c.want[v.Name]; ok && !(math.Abs(v.Value-want) <= 2e-3) {
				t.Errorf("%s, %s: %s is %v, by hand %v", c.size, c.rules, v.Name, v.Value, want)
			}
		}
		if r.Choice.Proved != c.proved || r.Choice.Cut || r.Choice.Beside == nil || r.Status != "unproved" {
			t.Errorf("%s, %s: status %s, choice %+v", c.size, c.rules, r.Status, r.Choice)
		}
		t.Logf("%s, %s: %s", c.size, c.rules, r.Choice.Certainty())
	}
}

// TestStoolWithSplayOpen makes the flagship as high as 7.5 kg allow while its splay
// is open: no splay that is stated gives a higher one, and it weighs no more.
func TestStoolWithSplayOpen(t *testing.T) {
	text, err := os.ReadFile("../../examples/stool/stool.perch")
	if err != nil {
		t.Fatal(err)
	}
	at := func(size string) (*build.Result, float64) {
		r, diags := sized(t, string(text)+"rule mass() <= 7.5kg\nsize it: "+size+"\n")
		if diag.HasErrors(diags) || r.Choice == nil {
			t.Fatal(size, diags)
		}
		return r, r.Choice.V
	}
	r, best := at("height largest, splay free")
	for _, splay := range []string{"1deg", "2deg", "2.1deg", "2.2deg", "3deg", "6deg"} {
		if _, h := at("height largest, splay = " + splay); h > best {
			t.Errorf("with splay = %s it is %v mm high, with splay free %v", splay, h, best)
		}
	}
	mass, diags := build.Expression(r.Program(), "mass()")
	if diag.HasErrors(diags) {
		t.Fatal(diags)
	}
	if q, _ := r.Eval(mass); !(q.V <= 7.5+1e-8) || r.Choice.Proved {
		t.Errorf("it weighs %v kg, %s", q.V, r.Choice.Certainty())
	}
	t.Logf("%v mm, %s", best, r.Choice.Certainty())
}

// TestNothingWithOthersOpen tells how near one comes where no values do.
func TestNothingWithOthersOpen(t *testing.T) {
	for _, c := range []struct {
		size, broken, note string
		rules              []string
	}{
		{"wide largest, high free", "left is 250000mm², right is 400000mm²", "it comes nearest at wide = 500mm, high = 500mm", []string{"area(one) >= 400000mm * 1mm"}},
		{"wide smallest, high free", "left is 2500mm², right is 2000mm²", "it comes nearest at wide = 50mm, high = 50mm", []string{"area(one) <= 2000mm * 1mm"}},
		{"rows largest, high free", "left is 0.03925kg, right is 0.03kg", "it comes nearest at rows = 1, high = 50mm", []string{"mass() <= 0.03kg"}},
		{"wide largest, high free", "left is ", "that there is none is not proved", []string{"area(one) = 90000mm * 1mm", "flat_long(one) <= 299mm", "flat_wide(one) >= 50mm"}},
	} {
		_, diags := sized(t, plateOf(c.size, c.rules...))
		if len(diags) < 2 || diags[0].Code != "P3006" || !strings.Contains(strings.Join(diags[0].Notes, "\n"), c.broken) {
			t.Errorf("%s, %s: %+v", c.size, c.rules, diags)
			continue
		}
		if last := diags[len(diags)-1]; last.Code != "P3011" || !strings.Contains(strings.Join(last.Notes, "\n"), c.note) {
			t.Errorf("%s, %s: want the note %q: %+v", c.size, c.rules, c.note, last)
		}
	}
}

// TestLargestOfFive has four names open beside the wished one, an equality, and limits
// that bend: what is the narrower side of a plate changes where both are alike.
func TestLargestOfFive(t *testing.T) {
	text := `design "Plate"
stock tin = sheet(mild_steel, 1mm)
param a: length in 50mm..500mm
param b: length in 50mm..500mm
param c: length in 50mm..500mm
param d: length in 50mm..500mm
param e: length in 50mm..500mm
panel plate(w: length, h: length, z: length) { face base on level(z) { outline rect(w, h) } }
part one of tin = plate(a, b, 0mm)
part two of tin = plate(c, d, 10mm) loose
part six of tin = plate(e, a, 20mm) loose
rule area(one) * 3 + area(two) * 2 <= 60000mm * 1mm
rule area(six) = 60000mm * 1mm
rule flat_wide(one) >= 60mm and flat_wide(two) >= 70mm
size it: a largest
`
	r, diags := sized(t, text)
	if len(diags) > 0 || r.Choice == nil {
		t.Fatal(diags)
	}
	// with b = 60 mm and c = d = 70 mm, 180 a + 9800 = 60 000
	if c := r.Choice; !(math.Abs(c.V-50200.0/180) <= 2e-3) || c.Tried > 600 || c.Cut || stopTexts(r) !=
		"rule area(one) * 3 + area(two) * 2 <= 60000mm * 1mm; rule flat_wide(one) >= 60mm and flat_wide(two) >= 70mm" {
		t.Errorf("%+v", c)
	}
	t.Logf("a is %v, %s", r.Choice.V, r.Choice.Certainty())
}

// stopTexts are the texts of what stops a choice.
func stopTexts(r *build.Result) string {
	var out []string
	for _, s := range r.Choice.Stops {
		out = append(out, s.Text)
	}
	return strings.Join(out, "; ")
}

// TestSearchIsGivenUp bounds the sizes that are built, and tells it: forty counts of
// plates, each with a width of its own to be found.
func TestSearchIsGivenUp(t *testing.T) {
	text := strings.Replace(plateOf("wide largest, high free, rows free", "mass() >= 0.03kg", "area(one) in 20000mm * 1mm..24000mm * 1mm"), "1..4", "1..40", 1)
	r, diags := sized(t, text)
	if diag.HasErrors(diags) || r.Choice == nil {
		t.Fatal(diags)
	}
	if c := r.Choice; !c.Cut || c.Tried > 1600 || c.Proved || len(diags) != 1 || diags[0].Code != "P3013" {
		t.Errorf("%+v %v", c, diags)
	}
}

// TestWhatStops names all that holds a choice where it is, at values that follow by
// hand; metal of 1 mm and 7850 kg/m³.
func TestWhatStops(t *testing.T) {
	for _, c := range []struct {
		size   string
		rules  []string
		want   map[string]float64
		within float64
		stops  string
	}{
		{"wide largest, high free", []string{"mass() <= 0.157kg"}, map[string]float64{"wide": 400, "high": 50}, 2e-3,
			"rule mass() <= 0.157kg; high in 50mm..500mm"},
		// w + h ≤ 450 and w h ≥ 45 000, 0.35325 kg
		{"wide largest, high free", []string{"mass() >= 0.35325kg", "wide + high <= 450mm"}, map[string]float64{"wide": 300, "high": 150}, 2e-3,
			"rule mass() >= 0.35325kg; rule wide + high <= 450mm"},
		// a disc about (300, 120): no corner, the rule alone
		{"wide largest, high free", []string{"(flat_long(one) - 300mm) ^ 2 + (flat_wide(one) - 120mm) ^ 2 <= 2500mm * 1mm", "wide >= high"},
			map[string]float64{"wide": 350}, 2e-3, "rule (flat_long(one) - 300mm) ^ 2 + (flat_wide(one) - 120mm) ^ 2 <= 2500mm * 1mm"},
		{"wide smallest, high free", []string{"(flat_long(one) - 300mm) ^ 2 + (flat_wide(one) - 120mm) ^ 2 <= 2500mm * 1mm", "wide >= high"},
			map[string]float64{"wide": 250}, 2e-3, "rule (flat_long(one) - 300mm) ^ 2 + (flat_wide(one) - 120mm) ^ 2 <= 2500mm * 1mm"},
		// of the two, the second is far better: 220 000 / 450
		{"wide largest, high free", []string{"area(one) <= 20000mm * 1mm or flat_wide(one) >= 450mm", "area(one) <= 220000mm * 1mm"},
			map[string]float64{"wide": 220000.0 / 450, "high": 450}, 2e-3,
			"rule area(one) <= 20000mm * 1mm or flat_wide(one) >= 450mm; rule area(one) <= 220000mm * 1mm"},
		{"wide largest, high free", []string{"not (area(one) > 20000mm * 1mm or high < 40mm)"}, map[string]float64{"wide": 400, "high": 50}, 2e-3,
			"rule not (area(one) > 20000mm * 1mm or high < 40mm); high in 50mm..500mm"},
		// 400 mm itself is excluded
		{"wide largest, high free", []string{"flat_long(one) <= 400mm and area(one) <= 30000mm * 1mm", "flat_long(one) != 400mm"}, map[string]float64{"wide": 399.995}, 5e-3,
			"rule flat_long(one) <= 400mm and area(one) <= 30000mm * 1mm; rule flat_long(one) != 400mm"},
	} {
		r, diags := sized(t, plateOf(c.size, c.rules...))
		if len(diags) > 0 || r.Choice == nil {
			t.Errorf("%s, %s: %v", c.size, c.rules, diags)
			continue
		}
		for _, v := range r.Values {
			if want, ok := c.want[v.Name]; ok && !(math.Abs(v.Value-want) <= c.within) {
				t.Errorf("%s, %s: %s is %v, by hand %v", c.size, c.rules, v.Name, v.Value, want)
			}
		}
		if got := stopTexts(r); got != c.stops || r.Choice.Tried > 300 {
			t.Errorf("%s, %s: %s, stopped by %s", c.size, c.rules, r.Choice.Certainty(), got)
		}
	}
}

// TestLargestBin makes a bin of five plates as high as its metal allows at a volume:
// by symmetry it is square, a² + 4 a h = 440 000 and a² h = 20 000 000 in mm.
func TestLargestBin(t *testing.T) {
	r, diags := sized(t, `design "Bin"
stock tin = sheet(mild_steel, 1mm)
param a: length in 100mm..900mm
param b: length in 100mm..900mm
param up: length in 50mm..900mm
panel plate(w: length, h: length, z: length) { face base on level(z) { outline rect(w, h) } }
part foot of tin = plate(a, b, 0mm)
part side[i in 1..2] of tin = plate(b, up, 30mm * i) loose
part back[i in 3..4] of tin = plate(a, up, 30mm * i) loose
rule area(foot) + area(side) + area(back) <= 440000mm * 1mm
rule a * b * up >= 20000000mm * 1mm * 1mm
size it: up largest
`)
	if len(diags) > 0 || r.Choice == nil {
		t.Fatal(diags)
	}
	for _, v := range r.Values {
		if want := map[string]float64{"a": 200, "b": 200, "up": 500}[v.Name]; !(math.Abs(v.Value-want) <= 0.5) {
			t.Errorf("%s is %v, by hand %v", v.Name, v.Value, want)
		}
	}
	if c := r.Choice; !(math.Abs(c.V-500) <= 2e-3) || c.Tried > 300 ||
		stopTexts(r) != "rule area(foot) + area(side) + area(back) <= 440000mm * 1mm; rule a * b * up >= 20000000mm * 1mm * 1mm" {
		t.Errorf("%+v", c)
	}
	t.Log(r.Choice.V, r.Choice.Certainty())
}

// TestLargestBesideJumps has a peg for each 70 mm begun, whose weight comes at once:
// with 60 mm of width and n pegs, 60 a + 3600 n = 0.9 kg, of which 70 (n − 1) < a ≤ 70 n.
func TestLargestBesideJumps(t *testing.T) {
	best := 0.0
	for n := 1.0; n < 60; n++ {
		if a := min(70*n, (0.9/7850e-9-3600*n)/60); a > 70*(n-1) {
			best = max(best, a)
		}
	}
	r, diags := sized(t, `design "Strip"
stock tin = sheet(mild_steel, 1mm)
stock bar = sheet(mild_steel, 3mm)
param a: length in 100mm..2900mm
param b: length in 20mm..200mm
let pegs = ceil(a / 70mm, 1)
panel plate(w: length, h: length, z: length) { face base on level(z) { outline rect(w, h) } }
part one of tin = plate(a, b, 0mm)
part peg[i in 1..pegs] of bar = plate(30mm, 40mm, 20mm * i) loose
rule mass() <= 0.9kg
rule flat_wide(one) >= 60mm
size it: a largest
`)
	if len(diags) > 0 || r.Choice == nil {
		t.Fatal(diags)
	}
	if c := r.Choice; !(math.Abs(c.V-best) <= 2e-3) || c.Tried > 300 {
		t.Errorf("%v, by hand %v: %+v", c.V, best, c)
	}
}

// TestDistanceIsFitted finds heights by what lies between two plates of 1 mm, whose
// drawn sides are up: from the top of the lower one at 0 to the underside of the
// upper one at z − 1 mm, or, as z goes below, from its top at z to −1 mm.
func TestDistanceIsFitted(t *testing.T) {
	const plates = `design "Plates"
stock tin = sheet(mild_steel, 1mm)
param z: length in 5mm..90mm = 10mm
panel plate(up: length) { face base on level(up) { outline rect(100mm, 60mm) } }
part low of tin = plate(0mm)
part high of tin = plate(z)
rule clearance(low, high) = `
	r, diags := sized(t, plates+"24mm\nsize it: z free\n")
	if diag.HasErrors(diags) || len(r.Fits) != 1 || !(math.Abs(r.Fits[0].V-25) <= 1e-6) {
		t.Errorf("%+v %v", r.Fits, diags)
	}
	_, diags = sized(t, plates+"200mm\nsize it: z free\n")
	if len(diags) != 1 || diags[0].Code != "P3012" || !strings.Contains(strings.Join(diags[0].Notes, "\n"), "with z = 90mm the left side is 89mm, the right side 200mm") {
		t.Errorf("%+v", diags)
	}
}

// TestLargestAgainstAGrid holds the choice to a fine grid over both names of a plate,
// on which drawn limits of its area and sides are reckoned by hand.
func TestLargestAgainstAGrid(t *testing.T) {
	draw := rand.New(rand.NewPCG(5, 7))
	found, none, missed := 0, 0, 0
	for range 40 {
		most := math.Round(5000 + draw.Float64()*120000)
		least := math.Round(most * draw.Float64())
		long := math.Round(100 + draw.Float64()*400)
		round := math.Round(200 + draw.Float64()*1200) // w + 2 h, least
		best := math.NaN()
		for w := 500.0; w >= 50 && math.IsNaN(best); w -= 0.5 {
			for h := 50.0; h <= 500; h += 0.5 {
				if w*h <= most && w*h >= least && max(w, h) <= long && max(w, h)+2*min(w, h) >= round {
					best = w
					break
				}
			}
		}
		rules := []string{fmt.Sprintf("area(one) in %.0fmm * 1mm..%.0fmm * 1mm", least, most), fmt.Sprintf("flat_long(one) <= %.0fmm", long),
			fmt.Sprintf("flat_long(one) + 2 * flat_wide(one) >= %.0fmm", round)}
		r, diags := sized(t, plateOf("wide largest, high free", rules...))
		switch {
		case r.Choice != nil && math.IsNaN(best):
			t.Logf("%s: %v, where the grid has none", rules, r.Choice.V) // between its points
		case r.Choice != nil:
			if found++; r.Choice.V < best-1e-3 {
				missed++
				t.Logf("%s: %v, the grid has %v", rules, r.Choice.V, best)
			}
		case !diag.HasErrors(diags):
			t.Errorf("%s: nothing, and no mistake", rules)
		case math.IsNaN(best):
			none++
		default:
			missed++
			t.Logf("%s: none, the grid has %v", rules, best)
		}
	}
	t.Logf("found %d, rightly none %d, short of the grid %d", found, none, missed)
	if missed > 0 {
		t.Errorf("%d fall short of the grid", missed)
	}
}

// TestNothingToChoose has the wished name fixed by the rules, and another free: it is
// chosen so that rules on what is made hold, and that it is not the only one is told.
func TestNothingToChoose(t *testing.T) {
	for _, c := range []struct {
		rules    []string
		lo, hi   float64 // of high, by hand, in mm
		mistaken string
	}{
		{[]string{"wide = 200mm"}, 50, 500, ""},
		// 7850 kg/m³: 0.471 kg are 60 000 mm² of 1 mm
		{[]string{"wide = 200mm", "mass() >= 0.471kg", "mass() <= 0.4867kg"}, 300, 310, ""},
		{[]string{"wide = 200mm", "mass() >= 0.9kg"}, 0, 0, "P3006"},
	} {
		r, diags := sized(t, plateOf("wide largest, high free", c.rules...))
		if c.mistaken != "" {
			if len(diags) == 0 || diags[0].Code != c.mistaken {
				t.Errorf("%s: %v", c.rules, diags)
			}
			continue
		}
		if len(diags) != 1 || diags[0].Code != "P3013" || diags[0].Severity != diag.Note || !strings.HasPrefix(diags[0].Summary, "wide is 200mm whatever high is") {
			t.Errorf("%s: %+v", c.rules, diags)
			continue
		}
		if ch := r.Choice; ch.V != 200 || !ch.Fixed || strings.Join(ch.Beside, " ") != "high" {
			t.Errorf("%s: %+v", c.rules, ch)
		}
		for _, v := range r.Values {
			if v.Name == "high" && !(v.Value >= c.lo-1e-6 && v.Value <= c.hi+1e-6 && v.From == "choice") {
				t.Errorf("%s: high is %+v, by hand %v to %v", c.rules, v, c.lo, c.hi)
			}
		}
	}
}
