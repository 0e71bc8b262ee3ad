package eval_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
)

// made builds a text that has one size, and hands back what was told.
func made(t *testing.T, text string) (*build.Result, []diag.Diagnostic) {
	t.Helper()
	shop := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("test.perch", text), load.Library(), shop)
	if err != nil {
		t.Fatal(err)
	}
	if diag.HasErrors(diags) {
		return nil, diags
	}
	r, more := build.Size(prog, build.Sizes(prog)[0], shop, nil)
	return r, append(diags, more...)
}

// faceNames are the names of a part's faces, in order.
func faceNames(t *testing.T, text string) []string {
	t.Helper()
	r, diags := made(t, text)
	if diag.HasErrors(diags) {
		t.Fatalf("%s\n%v", text, diags)
	}
	var out []string
	for _, f := range r.Flats[0].Panel.Faces {
		out = append(out, f.Name)
	}
	return out
}

// hung is a panel with one face and what hangs on it.
func hung(plane, outline, faces string) string {
	return fmt.Sprintf(`design "d"
stock tin = sheet(mild_steel, 1mm)
body b = frustum(top: 200mm, bottom: 300mm, height: 200mm)
let half = [(60mm, 0mm) edge side, (60mm, 80mm), (30mm, 120mm) edge crown]
panel any(form: shape) {
  face web on %s { outline form }
  %s
}
part it of tin = any(%s)
`, plane, faces, outline)
}

// TestEdgeNamesOfEveryOutline wants the names that geometry gives to be there, and
// only those. (Derived from what each shape is: see the expected lengths.)
func TestEdgeNamesOfEveryOutline(t *testing.T) {
	const on = "upright(0mm)"
	for _, c := range []struct {
		plane, outline, use string
		length              float64 // 0 where there is no such edge
	}{
		{on, "rect(80mm, 50mm)", "web.left", 50},
		{on, "rect(80mm, 50mm)", "web.top", 80},
		{on, "rect(80mm, 50mm)", "web.outer", 0}, // it hangs on nothing
		{on, "rect(80mm, 50mm).turned(90deg)", "web.right", 50},
		{on, "rect(80mm, 50mm).rounded(10mm)", "web.top", 60},
		{on, "rect(80mm, 50mm).chamfered(10mm)", "web.left", 30},
		{on, "rect(80mm, 50mm).inset(5mm)", "web.bottom", 70},
		{on, "rect(80mm, 50mm).outset(5mm)", "web.right", 60},
		{on, "(rect(80mm, 50mm) - rect(20mm, 30mm) at (40mm, 25mm)).mirrored()", "web.left", 35}, // it was the right one
		{on, "rect(80mm, 50mm) & circle(85mm)", "web.right", math.Sqrt(85*85 - 80*80)},
		{on, "rect(80mm, 50mm) - rect(20mm, 20mm) at (40mm, 25mm)", "web.top", 70},
		{on, "rect(80mm, 50mm) & behind(upright(x: 20mm))", "web.right", 50}, // cut back, it keeps its name
		{on, "rect(80mm, 50mm) & behind(upright(x: 20mm))", "web.top", 60},
		{on, "(rect(80mm, 50mm) + circle(60mm) at (40mm, 0mm)) & behind(upright(x: 20mm))", "web.left", 50},
		{on, "inside(b)", "web.bottom", 300},
		{on, "inside(b)", "web.top", 200},
		{on, "inside(b)", "web.left", math.Hypot(200, 50)},
		{"upright(125mm)", "inside(b)", "web.top", 250}, // where the back leans into the plane, halfway up
		{"upright(x: 0mm)", "inside(b)", "web.right", math.Hypot(200, 50)},
		{"b.front", "inside(b)", "web.bottom", 300},
		{"level(100mm)", "inside(b)", "web.left", 0},
		{"level(100mm)", "inside(b)", "web.edge(b.left)", 250},
		{"level(100mm)", "inside(b) - circle(60mm) at (125mm, 125mm)", "web.edge(b.back)", 220},
		{"level(100mm)", "inside(b).inset(1mm)", "web.edge(b.left)", 0},
		{on, "band(10mm, 40mm) & inside(b)", "web.bottom", 295},
		{on, "band(10mm, 40mm) & inside(b)", "web.left", math.Hypot(30, 7.5)},
		{on, "band(10mm, 40mm) & behind([upright(x: 50mm), upright(x: -20mm).back])", "web.top", 70},
		{on, "band(10mm, 40mm) & behind([upright(x: 50mm), upright(x: -20mm).back])", "web.left", 30},
		{on, "band(10mm, 40mm) & behind(b.left)", "web.top", 0}, // still without end
		{on, "band(u: 10mm, 40mm) & behind([level(50mm), level(10mm).back])", "web.top", 30},
		{on, "band(u: 10mm, hi: 40mm) & behind([level(50mm), level(10mm).back])", "web.left", 40},
		{on + ".back", "band(10mm, 40mm) & behind([upright(x: 50mm), upright(x: -20mm).back])", "web.right", 30},
		{on, "half", "web.side", 80},
		{on, "half.mirrored()", "web.side", 80},
		{on, "symmetric(half)", "web.crown", 60},
		{on, "symmetric(half)", "web.side[1]", 80},
		{on, "symmetric(half)", "web.side[2]", 80},
		{on, "symmetric([(0mm, 0mm) edge foot, (60mm, 0mm), (60mm, 80mm), (0mm, 90mm)])", "web.foot[1]", 120}, // both halves are one edge
		{on, "symmetric([(0mm, 0mm), (60mm, 0mm), (60mm, 80mm), (0mm, 90mm) edge roof])", "web.roof[2]", math.Hypot(60, 10)},
		{on, "rect(20mm, 20mm) + rect(20mm, 20mm) at (0mm, 20mm)", "web.right", 40},                // end to end they are one edge
		{on, "rect(80mm, 20mm) + rect(10mm, 20mm) at [(-20mm, 10mm), (20mm, 10mm)]", "web.top", 0}, // a list has a list of lengths
	} {
		_, diags := made(t, hung(c.plane, c.outline, fmt.Sprintf("rule abs(%s.length - %.9fmm) < 0.000001mm", c.use, c.length)))
		switch none := diag.HasErrors(diags) && (diags[0].Code == "P2030" || diags[0].Code == "P4010" || diags[0].Code == "P4002" || diags[0].Code == "P2012" || diags[0].Code == "P2011"); {
		case c.length == 0 && !none:
			t.Errorf("%s of %s on %s: there should be none: %v", c.use, c.outline, c.plane, diags)
		case c.length > 0 && diag.HasErrors(diags):
			t.Errorf("%s of %s on %s: %v", c.use, c.outline, c.plane, diags)
		}
	}
}

// TestEdgeInPieces wants an edge in pieces to be refused where one is needed, with
// every piece told.
func TestEdgeInPieces(t *testing.T) {
	notched := "rect(200mm, 60mm) - rect(40mm, 30mm) at (0mm, 30mm)"
	for _, c := range []struct {
		plane, outline, faces string
		tells                 []string
	}{
		{"upright(0mm)", notched, "face lip off web.top down 90deg { outline strip(20mm) }",
			[]string{"top of web is in 2 pieces", "web.edges[3], 80mm long, runs from (100mm, 30mm) to (20mm, 30mm)", "web.edges[7], 80mm long, runs from (-20mm, 30mm) to (-100mm, 30mm)"}},
		{"level(100mm)", "inside(b) - rect(40mm, 60mm) at (0mm, 125mm)", "face lip off web on b.back { outline strip(20mm) }",
			[]string{"is in 2 pieces", "105mm long"}},
		{"level(100mm)", "inside(b) - rect(40mm, 60mm) at (0mm, 125mm)", "face lip off web.edge(b.back) on b.back { outline strip(20mm) }",
			[]string{"is in 2 pieces", "105mm long"}},
		{"upright(0mm)", "symmetric(half)", "face lip off web.side up 90deg { outline strip(20mm) }",
			[]string{"these are 2 edges", "side.1, 80mm long; side.2, 80mm long", "face NAME[e in web.side] off e"}},
		{"upright(0mm)", "rect(90mm, 20mm) + rect(10mm, 20mm) at (0mm, 10mm)", "face lip off web.top up 90deg { outline strip(20mm) }",
			[]string{"top of web is in 3 pieces", "web.edges[5], 10mm long"}},
	} {
		_, diags := made(t, hung(c.plane, c.outline, c.faces))
		if len(diags) != 1 || diags[0].Code != "P4012" {
			t.Errorf("%s: got %v, want one P4012", c.outline, diags)
			continue
		}
		said := diags[0].Summary + "\n" + strings.Join(diags[0].Notes, "\n")
		for _, want := range c.tells {
			if !strings.Contains(said, want) {
				t.Errorf("%s: %q does not tell %q", c.outline, said, want)
			}
		}
	}
	// each piece can be hung on by itself
	got := faceNames(t, hung("upright(0mm)", notched, "face lip[n in [3, 7]] off web.edges[n] down 90deg { outline strip(20mm) }"))
	if want := []string{"web", "lip.3", "lip.7"}; !slices.Equal(got, want) {
		t.Errorf("a lip on each piece: %q", got)
	}
}

// TestSymmetricHangsBoth wants a flange on both edges that a mirrored half names: one
// was bent and the other silently not.
func TestSymmetricHangsBoth(t *testing.T) {
	const lips = "face lip[e in web.side] off e down 90deg { outline strip(20mm) }"
	for _, outline := range []string{"symmetric(half)", "symmetric(half).rounded(3mm)", "symmetric(half).mirrored()"} {
		text := hung("upright(0mm)", outline, lips)
		if got, want := faceNames(t, text), []string{"web", "lip.side.1", "lip.side.2"}; !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", outline, got, want)
		}
		r, _ := made(t, text)
		p := r.Flats[0].Panel
		a, b := p.Faces[1].Frame.O, p.Faces[2].Frame.O
		if math.Abs(math.Abs(a.X)-60) > 1e-9 || math.Abs(a.X+b.X) > 1e-9 || math.Abs(a.Z-b.Z) > 1e-9 {
			t.Errorf("%s: the lips hang at %v and %v", outline, a, b)
		}
	}
}
