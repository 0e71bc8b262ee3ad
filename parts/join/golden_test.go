package join

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// sheetAt is a flat part of an outline, its drawn side up or down, at height z of its drawn
// surface, turned about a plumb line through x, y.
func sheetAt(t *testing.T, outline plane.Region, thickness, x, y, z, angle float64, up bool) *panel.Flat {
	t.Helper()
	s, c := elementary.Sincos(angle)
	f := solid.Frame{O: solid.Vec{X: x, Y: y, Z: z}, X: solid.Vec{X: c, Y: s}, Y: solid.Vec{X: -s, Y: c}}
	if !up {
		f.Y = f.Y.Neg()
	}
	face := panel.Face{Name: "plate", Frame: f}
	for i, l := range outline {
		switch a := l.Area(); {
		case a < 0:
			face.Cuts = append(face.Cuts, panel.Cut{Name: fmt.Sprint("cut.", i), Region: plane.Region{l.Reversed()}})
		case face.Outline == nil:
			face.Outline = plane.Region{l}
		}
	}
	flat, err := panel.Unfold(&panel.Panel{Name: "sheet", Stock: shop.Stock{Thickness: thickness}, Faces: []panel.Face{face}}, panel.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return flat
}

// outlines that a patch may be made of.
func drawnOutline(rnd *rand.Rand) plane.Region {
	w, h := float64(20+rnd.IntN(180)), float64(12+rnd.IntN(80))
	r := plane.Region{plane.Rect(w, h)}
	switch rnd.IntN(5) {
	case 0:
		r = plane.Region{plane.Slot(w+20, h)}
	case 1:
		r = plane.Subtract(r, plane.Region{plane.Circle(h / 2).Transform(plane.Translate(plane.Point{X: w / 5, Y: h / 8}))})
	case 2:
		r = plane.Subtract(r, plane.Region{plane.RectAt(plane.Point{X: w / 6, Y: -h}, plane.Point{X: w, Y: h / 5})})
	case 3:
		r = plane.Region{plane.Ngon(5, h+10)}
	}
	return r
}

func numbers(xs ...float64) string {
	var s []string
	for _, x := range xs {
		s = append(s, fmt.Sprintf("%.6f", math.Round(x*1e6)/1e6+0))
	}
	return strings.Join(s, " ")
}

// TestDrawnJoins lays fasteners on the patches of drawn sheets that lie on each other, or not
// quite, and holds patches, rows, holes and refusals to what they came to before, written in
// testdata/drawn.txt (anew with PERCH_UPDATE=1). Whatever is laid keeps its edge distance and
// its spacing.
func TestDrawnJoins(t *testing.T) {
	rnd := rand.New(rand.NewPCG(31, 32))
	pick := func(xs ...float64) float64 { return xs[rnd.IntN(len(xs))] }
	var b strings.Builder
	laid, refused := 0, 0
	for n := range 300 {
		fmt.Fprintf(&b, "%d\n", n)
		angle := pick(0, 0, 0.3, math.Pi/2)
		var members []Member
		z := 0.0
		for k := range 2 + rnd.IntN(2) {
			th := pick(1, 1.5, 2, 3)
			up := rnd.IntN(2) == 0
			at := z // of the drawn surface: metal lies below one drawn up, above one drawn down
			if up {
				at += th
			}
			x, y := pick(0, 0, 7, -15, 400), pick(0, 0, 5, -9)
			if k == 0 {
				x, y = 0, 0
			}
			members = append(members, Member{sheetAt(t, drawnOutline(rnd), th, x, y, at, angle, up), 0})
			z += th + pick(0, 0, 0, 0.02, 0.3, -0.4)
		}
		if rnd.IntN(3) == 0 {
			members[0], members[1] = members[1], members[0]
		}
		p, err := Contact(members, pick(0, 0, 0.5))
		if err != nil {
			fmt.Fprintf(&b, "  %v\n", err)
			refused++
			continue
		}
		fmt.Fprintf(&b, "  patch %s order %v outside %s\n", numbers(p.Region.Area(), p.Region.Length()), p.Order, numbers(p.Outside, p.Inward, p.Grip))
		for _, f := range []Fastener{
			{Kind: Rivet, Diameter: pick(3.2, 4.8), Count: rnd.IntN(5)},
			{Kind: Bolt, Diameter: 6, Hole: 6.6, Pitch: pick(0, 25), Edge: pick(0, 8), Along: Along([]string{"u", "v", "longer"}[rnd.IntN(3)]), Round: func(t float64) float64 { return 4 * t }},
			{Kind: Plug, Count: rnd.IntN(3)}, {Kind: Tack, Pitch: pick(0, 40), Count: rnd.IntN(4)},
		} {
			places, err := Pattern(p, f)
			if err != nil {
				fmt.Fprintf(&b, "  %v\n", err)
				refused++
				continue
			}
			laid++
			holdRules(t, p, f, places)
			fixings, err := Fix("j", 1, p, f, places)
			if err != nil {
				t.Fatal(err)
			}
			for _, x := range fixings {
				fmt.Fprintf(&b, "  %s %s %s", x.Name, x.Kind, numbers(x.Diameter, x.At.X, x.At.Y, x.At.Z, x.Axis.Z, x.Grip))
				for _, m := range x.Members {
					fmt.Fprintf(&b, " | %d %v %s", m.Member, m.Point.Kind, numbers(m.Point.Diameter, m.Point.At.X, m.Point.At.Y, m.Point.Dir.X, m.Point.Dir.Y))
				}
				b.WriteByte('\n')
			}
			at := plane.Point{X: pick(0, 5, -8, 60), Y: pick(0, 3, 11)}
			if _, err := Stated(p, f, []plane.Point{at}); err != nil {
				fmt.Fprintf(&b, "  at %v: %v\n", at, err)
			}
		}
	}
	t.Logf("%d laid, %d refused", laid, refused)
	if laid < 200 || refused < 60 {
		t.Errorf("%d laid, %d refused: the draw shows little", laid, refused)
	}
	const file = "testdata/drawn.txt"
	if os.Getenv("PERCH_UPDATE") != "" {
		if err := os.WriteFile(file, []byte(b.String()), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	want, got := strings.Split(string(text), "\n"), strings.Split(b.String(), "\n")
	for i := range min(len(want), len(got)) {
		if want[i] != got[i] {
			t.Fatalf("%s, line %d: %q, was %q", file, i+1, got[i], want[i])
		}
	}
	if len(want) != len(got) {
		t.Errorf("%d lines, were %d", len(got), len(want))
	}
}

// holdRules holds a row to the trade's rules: edge distance of the centres and, of rivets and
// bolts, three diameters from each to the next (NAVEDTRA 14018).
func holdRules(t *testing.T, p Patch, f Fastener, places []Place) {
	t.Helper()
	full, err := f.withRules(p)
	if err != nil {
		t.Fatal(err)
	}
	if f.Count > 0 && len(places) != f.Count {
		t.Errorf("%d places, %d wanted", len(places), f.Count)
	}
	for i, x := range places {
		d, _ := p.Region.DistanceTo(x.At)
		if f.Kind != Tack && (d < full.Edge-1e-5 || p.Region.Locate(x.At) == plane.Outside) {
			t.Errorf("%s %d is %v from an edge, %v needed", f.Kind, i, d, full.Edge)
		}
		if i > 0 && f.Kind != Tack && x.At.Dist(places[i-1].At) < 3*full.Diameter-1e-6 {
			t.Errorf("%s %d is %v from the one before", f.Kind, i, x.At.Dist(places[i-1].At))
		}
	}
}
