package eval_test

import (
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/parts/panel"
	"perch/parts/shop"
)

// Each fastener gets a length by its kind: blind rivets by ISO 15981, solid ones by
// grip and 1.5 d or 0.8 d (common practice), bolts by what lies on them; a head that lies
// inside turns the stack, and the hole comes from the same stock.
func TestHardware(t *testing.T) {
	for _, c := range []struct {
		by     string
		length float64
		cut    float64
		hole   float64
		want   panel.Hardware
	}{
		{"rivet(4.8mm, count: 2)", 8, 0, 4.9, panel.Hardware{Closing: shop.Pulled, Head: 9.5}},
		{"rivet(4mm, count: 2, set: cold)", 10, 9, 4.2, panel.Hardware{Closing: shop.Cold, Head: 7}},
		{"rivet(4mm, count: 2, set: hot, tail: countersunk)", 8, 6.2, 4.2, panel.Hardware{Closing: shop.Hot, Countersunk: true, Head: 7}},
		{"rivet(5mm, count: 2, set: welded, head: inner)", 10, 5, 5.2, panel.Hardware{Closing: shop.Welded, Inner: true, Head: 8.8}},
		{"bolt(6mm, count: 2, head: inner)", 16, 0, 6.6, panel.Hardware{Inner: true}},
	} {
		text := strings.NewReplacer("WIDE", "100mm", "DEEP", "60mm", "FASTENER", c.by).Replace(twoPlates)
		r, diags := made(t, text)
		if diag.HasErrors(diags) || len(diags) > 0 {
			t.Errorf("%s: %v", c.by, diags)
			continue
		}
		for _, j := range r.Assembly.Joins {
			h := j.Hardware
			if h.Shank.Length != c.length || !sameNumber(h.Shank.Cut, c.cut) || !h.Shank.Listed {
				t.Errorf("%s: shank %+v, want %g cut to %g", c.by, h.Shank, c.length, c.cut)
			}
			if h.Reach.Head.Length == 0 || h.Reach.Tail.Radius == 0 {
				t.Errorf("%s: reach %+v", c.by, h.Reach)
			}
			h.Shank, h.Reach = shop.Shank{}, shop.Reach{}
			if h != c.want {
				t.Errorf("%s: %+v, want %+v", c.by, h, c.want)
			}
			// b lies on a, drawn on its other side, so that the first named, a, is the outermost.
			outermost := r.Assembly.Copies[j.Members[0].Copy].Name
			if want := map[bool]string{false: "a", true: "b"}[c.want.Inner]; outermost != want || (j.Axis.Z < 0) != c.want.Inner {
				t.Errorf("%s: the head lies on %s, axis %v", c.by, outermost, j.Axis)
			}
		}
		for _, f := range r.Flats {
			for _, p := range f.Points {
				if !sameNumber(p.Diameter, c.hole) {
					t.Errorf("%s: a hole of %g, want %g", c.by, p.Diameter, c.hole)
				}
			}
		}
	}
}

func sameNumber(a, b float64) bool { return a-b < 1e-9 && b-a < 1e-9 }

// A solid rivet that the shop has not is told with the size that it has; a countersunk
// tail needs a hammer.
func TestSolidRivetMistakes(t *testing.T) {
	text := strings.NewReplacer("WIDE", "100mm", "DEEP", "60mm", "FASTENER", "rivet(4.8mm, count: 2, set: cold)").Replace(twoPlates)
	_, diags := made(t, text)
	if len(diags) != 1 || diags[0].Code != "P6003" || diags[0].Summary != "the shop stocks no 4.8mm solid rivet" || diags[0].Fix == nil || diags[0].Fix.Message != "write 5mm" {
		t.Errorf("%+v", diags)
	}
	text = strings.NewReplacer("WIDE", "100mm", "DEEP", "60mm", "FASTENER", "rivet(4mm, count: 2, tail: countersunk)").Replace(twoPlates)
	if _, diags = made(t, text); len(diags) != 1 || diags[0].Code != "P4003" || !strings.Contains(diags[0].Summary, "set: cold") {
		t.Errorf("%+v", diags)
	}
}
