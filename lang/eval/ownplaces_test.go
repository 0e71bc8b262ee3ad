package eval_test

import (
	"testing"

	"perch/lang/diag"
)

// Every copy of a part is fastened through its own holes: two pads on a plate, each with
// a hole of its own that the join names for both at once.
func TestEachCopyHasItsOwnPlaces(t *testing.T) {
	r, diags := made(t, `design "Pads"
stock tin = sheet(mild_steel, 2mm)
panel plate(on_it: plane) {
  face web on on_it { outline rect(200mm, 80mm) }
}
panel pad(on_it: plane, u: length) {
  face web on on_it {
    outline rect(40mm, 40mm) at (u, 0mm)
    cut hole = circle(6.6mm) at (u + 5mm, 0mm)
  }
}
part base of tin = plate(level(0mm))
part near[u in [-60mm, 40mm]] of tin = pad(base.web.over, u)
join hold = near.web to base.web at near.web.hole by bolt(6mm)
`)
	if diag.HasErrors(diags) {
		t.Fatal(diags)
	}
	if n := len(r.Assembly.Joins); n != 2 {
		t.Errorf("%d bolts, want 2", n)
	}
	through := map[string]bool{}
	for _, j := range r.Assembly.Joins {
		for _, m := range j.Members {
			through[r.Assembly.Copies[m.Copy].Name+" "+m.Point] = true
		}
	}
	if !through["base hold.1"] || !through["base hold.2"] {
		t.Errorf("bolts go through %v, want hold.1 and hold.2 of the plate", through)
	}
	if len(through) != 4 {
		t.Errorf("bolts go through %v, want two of the plate and one of each pad", through)
	}
}
