package join

import (
	"testing"

	"perch/parts/panel"
)

// TestWhatAFastenerMakes: which sheet is first, which way in, and what is made in each: of a
// thin sheet on a thick one, seen from above.
func TestWhatAFastenerMakes(t *testing.T) {
	thin := plate(t, "thin", 3, 1, box(0, 0, 100, 60), false)
	thick := plate(t, "thick", 2, 2, box(0, 0, 100, 60), false)
	p, err := Contact([]Member{{thin, 0}, {thick, 0}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	coarse := func(thickness float64) float64 { return 3 * thickness }
	for _, c := range []struct {
		name         string
		f            Fastener
		first        int // member
		top          float64
		inward       float64
		outer, inner panel.PointKind
		out, in      float64
	}{
		{"rivet", Fastener{Kind: Rivet, Diameter: 4, Hole: 4.1}, 0, 3, -1, panel.Hole, panel.Hole, 4.1, 4.1},
		{"rivet, its head inside", Fastener{Kind: Rivet, Diameter: 4, Hole: 4.1, Inner: true}, 1, 0, 1, panel.Hole, panel.Hole, 4.1, 4.1},
		{"rivet, holes too small to cut in the thick sheet", Fastener{Kind: Rivet, Diameter: 4, Hole: 4.1, Round: coarse}, 0, 3, -1, panel.Hole, panel.Drill, 4.1, 4.1},
		{"rivet, holes too small to cut", Fastener{Kind: Rivet, Diameter: 2, Hole: 2.1, Round: coarse}, 0, 3, -1, panel.Drill, panel.Drill, 2.1, 2.1},
		{"plug, through the thinner sheet", Fastener{Kind: Plug, Diameter: 10}, 0, 3, -1, panel.Plug, panel.Weld, 10, 0},
		{"tack", Fastener{Kind: Tack}, 0, 3, -1, panel.Tack, panel.Tack, 5, 5},
	} {
		places := []Place{{At: p.Frame.Local(p.Frame.At(pt(50, 30)))}}
		fixes, err := Fix("j", 7, p, c.f, places)
		if err != nil || len(fixes) != 1 {
			t.Errorf("%s: %v %v", c.name, fixes, err)
			continue
		}
		x := fixes[0]
		if x.Name != "j.7" || x.Members[0].Member != c.first || len(x.Members) != 2 {
			t.Errorf("%s: %+v", c.name, x)
			continue
		}
		near(t, c.name+" starts", x.At.Z, c.top, 1e-9)
		near(t, c.name+" goes", x.Axis.Z, c.inward, 1e-9)
		near(t, c.name+" holds", x.Grip, 3, 1e-9)
		a, b := x.Members[0].Point, x.Members[1].Point
		if a.Kind != c.outer || c.in != 0 && b.Kind != c.inner || a.Name != "j.7" || b.Name != "j.7" {
			t.Errorf("%s: %s and %s", c.name, a.Kind, b.Kind)
		}
		near(t, c.name+" outside", a.Diameter, c.out, 1e-9)
		if c.in != 0 {
			near(t, c.name+" inside", b.Diameter, c.in, 1e-9)
		}
	}
}
