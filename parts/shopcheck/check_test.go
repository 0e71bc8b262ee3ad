package shopcheck

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/tolerance"
)

func TestCodesAreUnique(t *testing.T) {
	seen := map[string]bool{}
	for i, c := range Codes {
		if seen[c.Code] || seen[c.Title] {
			t.Errorf("%s %q stands twice", c.Code, c.Title)
		}
		seen[c.Code], seen[c.Title] = true, true
		if !strings.HasPrefix(c.Code, "P6") || len(c.Code) != 5 || c.Title == "" || c.Rule.String() == "" {
			t.Errorf("%+v is not whole", c)
		}
		if i > 0 && c.Code <= Codes[i-1].Code {
			t.Errorf("%s is out of order", c.Code)
		}
	}
}

func vDie() *shop.Shop {
	s := shop.Default()
	s.Brake.Kind = shop.BrakeVDie
	return s
}

// limits has two values a rule apart: inside the limit nothing at all is found,
// outside it that rule and no other. Limits are those of common practice and the
// sources that stand in Codes, worked by hand for t = r = 1.5 unless said.
var limits = []struct {
	what            string
	code            Code
	inside, outside float64
	limit           float64
	find            func(x float64) []Finding
}{
	{"inside radius", insideRadius, 1.5, 1.49, 1.5, func(x float64) []Finding { return Check(angle{r: x}.flat(), shop.Default()) }},
	{"flange, 5 mm", flangeFlat, 5, 4.99, 5, func(x float64) []Finding { return Check(angle{depth: x}.flat(), shop.Default()) }},
	{"flange, 3t", flangeFlat, 6, 5.99, 6, func(x float64) []Finding { return Check(angle{t: 2, depth: x, long: 150}.flat(), shop.Default()) }},
	// V = 12, 0.7·V = 8.4 = flat + (r + t).
	{"flange in a V die", flangeDie, 5.4, 5.39, 8.4, func(x float64) []Finding { return Check(angle{depth: x}.flat(), vDie()) }},
	{"flange in the die there is", flangeDie, 8.2, 8.19, 11.2, func(x float64) []Finding {
		s := vDie()
		s.Brake.Openings = []float64{8, 16, 25}
		return Check(angle{depth: x}.flat(), s)
	}},
	{"hole to bend", holeToBend, 87, 87.01, 3, func(x float64) []Finding {
		return Check(angle{cuts: []panel.FlatCut{round("hand", 20, 100, x)}}.flat(), shop.Default())
	}},
	{"large hole to bend", holeToBend, 81.25, 81.26, 3.75, func(x float64) []Finding {
		return Check(angle{cuts: []panel.FlatCut{round("hand", 30, 100, x)}}.flat(), shop.Default())
	}},
	{"slot to bend", holeToBend, 91.25, 91.26, 3.75, func(x float64) []Finding {
		slot := plane.Slot(20, 10).Transform(plane.Translate(plane.Point{X: 100, Y: x}))
		return Check(angle{cuts: []panel.FlatCut{{Name: "hand", Loop: slot}}}.flat(), shop.Default())
	}},
	{"notch relief", reliefWidth, 1.5, 1.49, 1.5, func(x float64) []Finding {
		return Check(angle{relief: panel.ReliefSquare, reliefSize: x}.flat(), shop.Default())
	}},
	{"round relief", reliefWidth, 3, 2.99, 3, func(x float64) []Finding {
		return Check(angle{relief: panel.ReliefRound, reliefSize: x}.flat(), shop.Default())
	}},
	{"hole for the cutter", smallHole, 6, 5.99, 6, func(x float64) []Finding {
		return Check(angle{cuts: []panel.FlatCut{round("pin", x, 100, 50)}}.flat(), shop.Default())
	}},
	{"hole for the drill", drillRange, 13, 13.01, 13, func(x float64) []Finding {
		p := panel.Point{Name: "head.1", At: plane.Point{X: 100, Y: 50}, Diameter: x, Kind: panel.Drill}
		return Check(angle{points: []panel.Point{p}}.flat(), shop.Default())
	}},
	{"web between holes", thinWeb, 113, 112.99, 3, func(x float64) []Finding {
		return Check(angle{cuts: []panel.FlatCut{round("a", 10, 100, 50), round("b", 10, x, 50)}}.flat(), shop.Default())
	}},
	{"web to the edge", thinWeb, 8, 7.99, 3, func(x float64) []Finding {
		return Check(angle{cuts: []panel.FlatCut{round("a", 10, 100, x)}}.flat(), shop.Default())
	}},
	{"corner of an opening", sharpCorner, 0.95, 0.94, 0.95, func(x float64) []Finding {
		slot, err := plane.Round(plane.Region{plane.Rect(30, 20)}, x)
		if err != nil {
			panic(err)
		}
		cut := panel.FlatCut{Name: "hand", Loop: slot[0].Transform(plane.Translate(plane.Point{X: 100, Y: 50}))}
		return Check(angle{cuts: []panel.FlatCut{cut}}.flat(), shop.Default())
	}},
	{"corner of an outline", sharpCorner, 0.95, 0.94, 0.95, func(x float64) []Finding {
		return Check(angle{webOutline: hollow(x)}.flat(), shop.Default())
	}},
	{"sharp corner of an outline", sharpCorner, 2, 0, 0.95, func(x float64) []Finding {
		return Check(angle{webOutline: hollow(x)}.flat(), shop.Default())
	}},
	{"bead to bend", beadPlace, 94, 94.01, 6, func(x float64) []Finding {
		return Check(angle{marks: []panel.FlatMark{level("rim", 20, 180, x)}}.flat(), shop.Default())
	}},
	{"bead to edge", beadPlace, 12, 11.99, 12, func(x float64) []Finding {
		return Check(angle{marks: []panel.FlatMark{level("rim", 20, 180, x)}}.flat(), shop.Default())
	}},
	{"bead to opening", beadPlace, 67, 66.99, 12, func(x float64) []Finding {
		return Check(angle{cuts: []panel.FlatCut{round("a", 10, 100, 50)}, marks: []panel.FlatMark{level("rim", 20, 180, x)}}.flat(), shop.Default())
	}},
	{"bead to bead", beadPlace, 62, 61.99, 12, func(x float64) []Finding {
		return Check(angle{marks: []panel.FlatMark{level("rim", 20, 180, 50), level("rib", 20, 180, x)}}.flat(), shop.Default())
	}},
	{"bead's corner", beadPath, 25, 24.99, 25, func(x float64) []Finding {
		m := bead("rim", plane.Vertex{P: plane.Point{X: 60, Y: 45}, Bulge: 1}, plane.Vertex{P: plane.Point{X: 60 + 2*x, Y: 45}})
		return Check(angle{marks: []panel.FlatMark{m}}.flat(), shop.Default())
	}},
	{"roller's throat", beadPath, 40, 40.01, 40, func(x float64) []Finding {
		s := shop.Default()
		s.Roller.Throat = 40
		return Check(angle{marks: []panel.FlatMark{level("rim", 60, 140, x)}}.flat(), s)
	}},
	// 1.6 over 1220: 1.5 goes to 1220·(1.6/1.5)² = 1388.1.
	{"brake rating", brakeRating, 1388, 1389, 1.6, func(x float64) []Finding { return Check(angle{long: x}.flat(), shop.Default()) }},
	{"thickest sheet on the brake", brakeRating, 2, 2.01, 2, func(x float64) []Finding { return Check(angle{t: x, long: 100}.flat(), shop.Default()) }},
	// Return to the outermost line: flat + r + t = depth + 1.2.
	{"hem's return", hemReturn, 6.8, 6.79, 8, func(x float64) []Finding {
		return Check(angle{t: 1.2, r: -1, degrees: 180, depth: x}.flat(), shop.Default())
	}},
	{"hem's thickness", hemThickness, 1.5, 1.51, 1.5, func(x float64) []Finding {
		return Check(angle{t: x, r: -1, degrees: 180}.flat(), shop.Default())
	}},
	{"deviation", deviation, 0.5, 0.51, 0.5, func(x float64) []Finding { return Check(angle{deviation: x}.flat(), shop.Default()) }},
	{"cutter's thickness", cutterRange, 1.5, 1.51, 1.5, func(x float64) []Finding {
		s := shop.Default()
		s.Cutter.MaxThickness = 1.5
		return Check(angle{t: x}.flat(), s)
	}},
	{"cutter's bed", cutterRange, 1000, 1000.1, 1000, func(x float64) []Finding {
		s := shop.Default()
		s.Cutter.Width, s.Cutter.Length = 1000, 500
		return Check(angle{long: x}.flat(), s)
	}},

	{"rivet to bend, outside", rivetToBend, 94.2, 94.21, 8.8, func(x float64) []Finding {
		return joins(stack{angle: angle{down: true}, kind: "rivet", d: 4.8, under: 1.6, spots: []spot{{100, x}}})
	}},
	// The wall's inside is r = 1.5 past the tangent line: centre at least 8.5 from that.
	{"rivet to wall", RivetToWall, 91.5, 91.51, 10, func(x float64) []Finding {
		return joins(stack{kind: "rivet", d: 4.8, under: 1.6, spots: []spot{{100, x}}})
	}},
	{"wall on the other side", RivetToWall, 91.5, 91.51, 10, func(x float64) []Finding {
		return joins(stack{angle: angle{down: true}, headBehind: true, kind: "rivet", d: 4.8, under: 1.6, spots: []spot{{100, x}}})
	}},
	{"rivet for the sheet", rivetSize, 1.47, 1.46, 4.38, func(x float64) []Finding {
		return joins(stack{angle: angle{t: 1.2}, kind: "rivet", d: 4.8, under: x, spots: []spot{{100, 50}}})
	}},
	{"rivet thinner than the sheet", rivetSize, 4.8, 4.81, 4.81, func(x float64) []Finding {
		return only(rivetSize, stack{kind: "rivet", d: 4.8, under: x, spots: []spot{{100, 50}}})
	}},
	{"rivet to edge", edgeDistance, 9.6, 9.59, 9.6, func(x float64) []Finding {
		return joins(stack{kind: "rivet", d: 4.8, under: 1.6, spots: []spot{{100, x}}})
	}},
	{"bolt to edge", edgeDistance, 12, 11.99, 12, func(x float64) []Finding {
		return joins(stack{kind: "bolt", d: 6, spots: []spot{{100, x}}})
	}},
	{"pitch", pitchClose, 114.4, 114.39, 14.4, func(x float64) []Finding {
		return joins(stack{kind: "rivet", d: 4.8, under: 1.6, spots: []spot{{100, 50}, {x, 50}}})
	}},
	{"wide pitch", pitchWide, 148, 148.01, 48, func(x float64) []Finding {
		return joins(stack{kind: "rivet", d: 4.8, under: 1.6, spots: []spot{{100, 50}, {x, 50}}})
	}},
	{"grip", notOnHand, 12, 12.01, 12, func(x float64) []Finding { // ISO 15981
		return joins(stack{kind: "rivet", d: 4.8, under: 1.6, grip: x, spots: []spot{{100, 50}}})
	}},
	{"thin grip", notOnHand, 1.5, 1.49, 1.5, func(x float64) []Finding { // ISO 15981
		return joins(stack{kind: "rivet", d: 4.8, under: 1.6, grip: x, spots: []spot{{100, 50}}})
	}},
	{"solid shank", notOnHand, 14, 14.01, 20, func(x float64) []Finding { // 14 + 1.5 × 4 = 20
		return joins(stack{kind: "rivet", closing: shop.Cold, d: 4, under: 1.6, grip: x, spots: []spot{{100, 50}}})
	}},
	{"countersunk shank", notOnHand, 16.8, 16.81, 20, func(x float64) []Finding { // 16.8 + 0.8 × 4 = 20
		return joins(stack{kind: "rivet", closing: shop.Cold, countersunk: true, d: 4, under: 2, grip: x, spots: []spot{{100, 50}}})
	}},
	{"bolt's length", notOnHand, 50.4, 50.41, 60, func(x float64) []Finding { // 60 − 5.2 − 2 × 1.6 − 1.2
		return joins(stack{kind: "bolt", d: 6, grip: x, spots: []spot{{100, 50}}})
	}},
	{"countersunk tail to edge", edgeDistance, 10, 9.99, 10, func(x float64) []Finding { // 2.5 d
		return joins(stack{kind: "rivet", closing: shop.Cold, countersunk: true, d: 4, under: 2, spots: []spot{{100, x}}})
	}},
	{"countersunk tail in thin sheet", countersink, 2, 1.99, 2, func(x float64) []Finding { // half of 4
		return joins(stack{kind: "rivet", closing: shop.Cold, countersunk: true, d: 4, under: x, spots: []spot{{100, 50}}})
	}},
	{"solid rivet welded through zinc", coatedWeld, 0, 1, 0, func(x float64) []Finding {
		a := stack{kind: "rivet", closing: shop.Welded, d: 4, under: 1.6, spots: []spot{{100, 50}}}.assembly()
		if x > 0 {
			a.Blanks[0].Flat.Panel.Stock.Material = "galvanized"
		}
		return CheckJoins(a, shop.Default(), tolerance.New(a, shop.Default()))
	}},
	{"thin tacked on thick", thinOnThick, 3, 3.01, 2, func(x float64) []Finding {
		return joins(stack{kind: "tack", length: 5, under: x, spots: []spot{{100, 50}}})
	}},
	{"plug in the thick sheet", thinOnThick, 0.75, 0.74, 2, func(x float64) []Finding {
		return joins(stack{kind: "plug", length: 12, under: x, spots: []spot{{100, 50}}})
	}},
	{"plug hole, 10 mm", plugHole, 10, 9.99, 10, func(x float64) []Finding {
		return joins(stack{kind: "plug", length: x, spots: []spot{{100, 50}}})
	}},
	{"plug hole, t + 8", plugHole, 11, 10.99, 11, func(x float64) []Finding {
		return joins(stack{angle: angle{t: 3}, under: 3, kind: "plug", length: x, spots: []spot{{100, 50}}})
	}},
	{"plug to edge", plugPlace, 18, 17.99, 18, func(x float64) []Finding {
		return joins(stack{kind: "plug", length: 12, spots: []spot{{100, x}}})
	}},
	{"plug to plug", plugPlace, 148, 147.99, 48, func(x float64) []Finding {
		return joins(stack{kind: "plug", length: 12, spots: []spot{{100, 50}, {x, 50}}})
	}},
	{"short tack", tackLength, 3, 2.99, 3, func(x float64) []Finding {
		return joins(stack{kind: "tack", length: x, spots: []spot{{100, 50}}})
	}},
	{"long tack", tackLength, 6, 6.01, 6, func(x float64) []Finding {
		return joins(stack{kind: "tack", length: x, spots: []spot{{100, 50}}})
	}},
	{"tack on zinc", coatedWeld, 0, 1, 0, func(x float64) []Finding { return coated("tack", 5, int(x)) }},
	{"plug through zinc", coatedWeld, 0, 1, 0, func(x float64) []Finding { return coated("plug", 12, int(x)) }},
	{"weld on zinc", coatedWeld, 0, 1, 0, func(x float64) []Finding { return coated("weld", 20, int(x)) }},
	{"text", unscribed, 0, 1, 0, func(x float64) []Finding {
		word := panel.FlatMark{Mark: panel.Mark{Name: "word", Kind: panel.MarkText, Text: []string{"Größe 4", "Größe 梯4"}[int(x)], Height: 5, Dir: plane.Point{X: 1}}}
		return Check(angle{marks: []panel.FlatMark{word}}.flat(), shop.Default())
	}},
	{"tacks close", tackSpacing, 125, 124.9, 25, func(x float64) []Finding {
		return joins(stack{kind: "tack", length: 5, spots: []spot{{100, 50}, {x, 50}}})
	}},
	{"tacks far", tackSpacing, 140, 140.1, 40, func(x float64) []Finding {
		return joins(stack{kind: "tack", length: 5, spots: []spot{{100, 50}, {x, 50}}})
	}},
	{"tacks close in 2 mm", tackSpacing, 140, 139.9, 40, func(x float64) []Finding {
		return joins(stack{angle: angle{t: 2}, under: 2, kind: "tack", length: 5, spots: []spot{{100, 50}, {x, 50}}})
	}},
}

// A path that all but goes back the way it came has a corner there as well: the tip of an
// opening 2° wide, a bead that turns by 178°.
func TestReversalsAreSeen(t *testing.T) {
	tip := 60 * math.Tan(2*math.Pi/180)
	opening := plane.Loop{{P: plane.Point{X: 60, Y: 50}}, {P: plane.Point{X: 120, Y: 50}}, {P: plane.Point{X: 120, Y: 50 + tip}}}
	bead := panel.FlatMark{Mark: panel.Mark{Name: "rim", Kind: panel.MarkBead, Width: 6, Path: plane.Loop{{P: opening[1].P}, {P: opening[0].P}, {P: opening[2].P}}}}
	for name, c := range map[string]struct {
		of   angle
		code Code
		want string
	}{
		"opening": {angle{cuts: []panel.FlatCut{{Name: "slit", Loop: opening}}}, sharpCorner, "3 inside corners"},
		"bead":    {angle{marks: []panel.FlatMark{bead}}, beadPath, "corner of radius 0"},
	} {
		found := false
		for _, f := range Check(c.of.flat(), shop.Default()) {
			found = found || f.Code == c.code.Code && strings.Contains(f.Message.String(), c.want)
		}
		if !found {
			t.Errorf("%s: it is not seen", name)
		}
	}
}

func joins(s stack) []Finding {
	a := s.assembly()
	return CheckJoins(a, shop.Default(), tolerance.New(a, shop.Default()))
}

// coated are the findings of a joint of which so many sheets are galvanized.
func coated(kind string, length float64, zinc int) []Finding {
	a := stack{kind: kind, length: length, spots: []spot{{100, 50}}}.assembly()
	for i := range zinc {
		a.Blanks[i].Flat.Panel.Stock.Material = "galvanized"
	}
	return CheckJoins(a, shop.Default(), tolerance.New(a, shop.Default()))
}

// Rivets and bolts may go through zinc, and each coated blank is told once.
func TestCoatedSheet(t *testing.T) {
	for kind, want := range map[string]int{"rivet": 0, "bolt": 0, "tack": 2} {
		a := stack{kind: kind, d: 4.8, length: 5, under: 1.6, spots: []spot{{90, 50}, {125, 50}}}.assembly()
		for _, b := range a.Blanks {
			b.Flat.Panel.Stock.Material = "galvanized"
		}
		n := 0
		for _, f := range CheckJoins(a, shop.Default(), tolerance.New(a, shop.Default())) {
			if f.Code == coatedWeld.Code {
				n++
			}
		}
		if n != want {
			t.Errorf("%s: told %d times, not %d", kind, n, want)
		}
	}
}

// only keeps the findings of one rule, where others can't be kept out.
func only(code Code, s stack) []Finding {
	var kept []Finding
	for _, f := range joins(s) {
		if f.Code == code.Code {
			kept = append(kept, f)
		}
	}
	return kept
}

func TestLimits(t *testing.T) {
	tested := map[string]bool{}
	for _, l := range limits {
		tested[l.code.Code] = true
		for _, f := range l.find(l.inside) {
			t.Errorf("%s: inside the limit, at %g: %s %s", l.what, l.inside, f.Code, f.Message)
		}
		found := l.find(l.outside)
		if len(found) == 0 {
			t.Errorf("%s: outside the limit, at %g, nothing was found", l.what, l.outside)
		}
		for _, f := range found {
			if f.Code != l.code.Code || math.Abs(f.Limit-l.limit) > 1e-6 {
				t.Errorf("%s: at %g got %s, limit %g, want %s, limit %g: %s", l.what, l.outside, f.Code, f.Limit, l.code.Code, l.limit, f.Message)
			}
			if f.Part == "" || f.Place == "" || f.Rule.String() != l.code.Rule.String() || !strings.Contains(f.Message.String(), f.Place) {
				t.Errorf("%s: the finding is not whole: %+v", l.what, f)
			}
		}
	}
	for _, c := range Codes {
		if !tested[c.Code] && c.Code != LookAlike.Code && c.Code != FoldMark.Code && c.Code != OutOfReach.Code && c.Code != Unbendable.Code && c.Code != Unsettled.Code { // whose limits are tested in parts/lookalike, parts/foldmark, parts/joining, parts/brake and lang/family
			t.Errorf("%s, %s, has no test", c.Code, c.Title)
		}
	}
}

func TestCopiesAreToldOnce(t *testing.T) {
	s := stack{kind: "rivet", d: 4.8, under: 1.6, spots: []spot{{100, 5}}, extraBlankRow: true}
	if found := joins(s); len(found) != 1 {
		t.Errorf("%d findings for two copies of a blank: %+v", len(found), found)
	}
	a := s.assembly()
	all := CheckAssembly(a, shop.Default(), tolerance.New(a, shop.Default()))
	if len(all) != 1 || all[0].Part != "rail" {
		t.Errorf("%+v", all)
	}
}

func TestBadInput(t *testing.T) {
	shop := shop.Default()
	if Check(nil, shop) != nil || Check(&panel.Flat{}, shop) != nil || CheckAssembly(nil, shop, nil) != nil {
		t.Error("findings about nothing")
	}
	broken := angle{cuts: []panel.FlatCut{{Name: "none", Face: 7}}, marks: []panel.FlatMark{bead("none")},
		points: []panel.Point{{Name: "p", Face: -3, Diameter: math.NaN()}}}.flat()
	broken.Folds = append(broken.Folds, panel.FlatFold{A: 9, B: -1})
	broken.Outer = nil
	for _, f := range Check(broken, shop) {
		if strings.Contains(f.Message.String(), "NaN") {
			t.Errorf("%s", f.Message)
		}
	}
	a := stack{kind: "rivet", d: 4.8, spots: []spot{{100, 50}}}.assembly()
	a.Blanks[1] = nil
	a.Joins[0].Members = append(a.Joins[0].Members, panel.JoinMember{Copy: 99}, panel.JoinMember{Copy: -1})
	a.Joins = append(a.Joins, panel.JoinPoint{})
	CheckAssembly(a, shop, tolerance.New(a, shop)) // must come back
}

func ExampleCheck() {
	lip := angle{depth: 4}.flat()
	for _, f := range Check(lip, shop.Default()) {
		fmt.Println(f.Code, f.Message)
	}
	// Output: P6011 rail, fold web to lip: face lip has 4.00 mm of flat beyond the bend; at least 5 mm is needed: make it 1.00 mm deeper
}
