package tolerance_test

import (
	"math"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/tolerance"
)

// written builds the one size of a design given as text.
func written(t testing.TB, text string, s *shop.Shop) *build.Result {
	t.Helper()
	p, diags, err := load.Source(diag.NewSource("plates.perch", text), load.Library(), s)
	if err != nil || diag.HasErrors(diags) {
		t.Fatal(err, diags)
	}
	r, diags := build.Size(p, "only", s, nil)
	if r.Assembly == nil {
		t.Fatal(diags)
	}
	return r
}

const plates = `design "Plates" in millimetres
stock steel = sheet(mild_steel, 1.5mm)
panel plate(z: length) { face base on level(z) { outline rect(200mm, 60mm) } }
part low of steel = plate(0mm)
part high of steel = plate(1.5mm)
join pin = high.base to low.base by FASTENER
`

// Two flat plates with two rivets and four holes drilled by hand to ±0.3 mm (two standard
// deviations along each way): each pair of holes misses by 0.15·√2 a way, the plates settle
// so that both miss alike, along the line through them by half the difference, 0.15, and
// across it by nothing. 95 in 100 stay within 1.960·0.15 = 0.294 mm.
func TestTwoPlatesAndTwoRivets(t *testing.T) {
	s := shop.Default()
	r := written(t, strings.ReplaceAll(plates, "FASTENER", "rivet(4.8mm, count: 2, drilled: all)"), s)
	rep, err := tolerance.New(r.Assembly, s).Analyse()
	if err != nil || len(rep.Fits) != 2 {
		t.Fatal(err, rep)
	}
	for _, f := range rep.Fits {
		if want := quantile * 0.3 / 2; math.Abs(f.Misfit-want) > 2e-3*want {
			t.Errorf("95 in 100 miss by up to %.4f mm, %.4f by hand", f.Misfit, want)
		}
		// P(|N(0, 0.15)| > 0.1) = erfc(0.1 / (0.15·√2))
		if want := math.Erfc(0.1 / 0.15 / math.Sqrt2); math.Abs(f.Misses-want) > 2e-3 || math.Abs(f.Room-0.1) > 1e-9 {
			t.Errorf("%.4f do not go into room of %.3f, %.4f by hand", f.Misses, f.Room, want)
		}
		if math.Abs(f.Force-5000*f.Misfit) > 1e-9 {
			t.Errorf("a pin of 5000 N/mm takes %.1f N at %.4f mm", f.Force, f.Misfit)
		}
	}
}

// One rivet alone pulls its two holes together, whatever their errors, and a hole drilled in
// place lands as far off its mark as the guiding hole is off its own, where nothing bends:
// along each way by 0.3 / 2, so that 95 in 100 are within 0.15·√(−2·ln 0.05) = 0.367 mm.
func TestOnePinAndHolesInPlace(t *testing.T) {
	s := shop.Default()
	r := written(t, strings.ReplaceAll(plates, "FASTENER", "rivet(4.8mm, count: 4, located: clamps)"), s)
	rep, err := tolerance.New(r.Assembly, s).Analyse()
	if err != nil || len(rep.Fits) != 4 || rep.Misses != 0 {
		t.Fatal(err, rep)
	}
	for _, f := range rep.Fits {
		if want := 0.15 * math.Sqrt(-2*math.Log(0.05)); math.Abs(f.Landing-want) > 1e-6 || f.Misfit != 0 || f.When != panel.InPlace {
			t.Errorf("%+v, want a landing of %.4f", f, want)
		}
	}
	r = written(t, strings.ReplaceAll(plates, "FASTENER", "rivet(4.8mm, count: 1)"), s)
	rep, err = tolerance.New(r.Assembly, s).Analyse()
	if err != nil || len(rep.Fits) != 1 || rep.Fits[0].When != panel.Locate || rep.Fits[0].Misfit > 0.01 {
		t.Errorf("%v %+v", err, rep)
	}
}

// Bolts with room enough have all holes made in the flat: M8 in holes of 9 (ISO 273, medium)
// cut to ±0.5 mm miss by 1.960·0.25 = 0.49 mm, with 1 mm of room; M3 in 3.4 drilled to ±0.3
// miss by 0.294, with room for 0.4, which both stay within in 95 of 100 builds only when
// 2·P(|N(0, 0.15)| > 0.4) ≤ 0.05, and it is 0.015.
func TestBoltsWithRoom(t *testing.T) {
	for by, all := range map[string]bool{"bolt(8mm, count: 2)": true, "bolt(3mm, count: 2)": true, "rivet(4.8mm, count: 2)": false, "bolt(8mm, count: 2, drilled: outer)": false} {
		r := written(t, strings.ReplaceAll(plates, "FASTENER", by), shop.Default())
		whole := true
		for _, j := range r.Assembly.Joins {
			whole = whole && member(t, r, j.Members[1]).Made() == panel.Before
		}
		if whole != all {
			t.Errorf("%s: all holes in the flat: %v", by, whole)
		}
	}
}

// Copies of one part that lie on each other are one blank only where their holes are made
// alike: the outer one carries the holes.
func TestSheetsOfOneFamily(t *testing.T) {
	const twins = `design "Twins" in millimetres
stock steel = sheet(mild_steel, 1.5mm)
panel plate(z: length) { face base on level(z) { outline rect(200mm, 60mm) } }
part leaf[i in 1..2] of steel = plate(1.5mm * i)
join pin = leaf[2].base to leaf[1].base by FASTENER
`
	for by, blanks := range map[string]int{"rivet(4.8mm, count: 2)": 2, "rivet(4.8mm, count: 2, drilled: all)": 1, "bolt(8mm, count: 2)": 1} {
		r := written(t, strings.ReplaceAll(twins, "FASTENER", by), shop.Default())
		if n := len(r.Assembly.Blanks); n != blanks {
			t.Errorf("%s: %d blanks, want %d", by, n, blanks)
		}
	}
}
