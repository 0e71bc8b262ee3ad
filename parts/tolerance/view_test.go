package tolerance_test

import (
	"slices"
	"testing"

	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/tolerance"
)

// The view of a shelf of five hooks counts their holes, says that the hole farther from the
// locating one is drilled first, and of tacked hooks where they are tacked; a stool's legs,
// of which two are mirrored, are tacked beside the same two holes.
func TestView(t *testing.T) {
	s := shop.Default()
	v := tolerance.NewView(built(t, "../../examples/tutorial/4_hooks.perch", "workshop", s).Assembly, s)
	if len(v.Joins) != 1 || v.Joins[0].Locate != 5 || v.Joins[0].InPlace != 5 || v.Joins[0].Before != 0 || len(v.Holes) != 10 || len(v.Tacks) != 0 {
		t.Fatalf("%+v", v)
	}
	if p := v.PlusMinus; p != (tolerance.PlusMinus{Angle: 1, Line: 0.5, Drilled: 0.3, Cut: 0.5, Table: 0.3}) || p.None() {
		t.Errorf("%+v", p)
	}
	for _, h := range v.Holes {
		if h.Inner == "" || h.Outer != "key_shelf" || h.When == panel.InPlace && h.Point != v.First[0].Point && h.Blank != v.First[0].Inner {
			t.Errorf("%+v, first %+v", h, v.First)
		}
	}
	s.Joining.Located = shop.LocatedTacks
	v = tolerance.NewView(built(t, "../../examples/stool/stool.perch", "mid", s).Assembly, s)
	legs := slices.DeleteFunc(v.Tacks, func(k tolerance.Tack) bool { return k.Outer != "cap" })
	if len(legs) != 1 || legs[0].Inner != "leg" || len(legs[0].Beside) != 2 {
		t.Errorf("%+v", legs)
	}
}
