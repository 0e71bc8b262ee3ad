package drawing

import (
	"testing"

	"perch/parts/record/stool"
	"perch/parts/solid"
)

// Turned by its whole angle at every fold, a blank stands as the room panel refolds it: each
// face's frame is the flat's own; turned by nothing all of it lies in one plane.
func TestPartlyBent(t *testing.T) {
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range a.Blanks {
		whole, err := PartlyBent(b, b.Flat.Root, func(i int) float64 { return b.Flat.Folds[i].Bend.Angle })
		if err != nil {
			t.Fatal(err)
		}
		done, err := BlankFacets(b)
		if err != nil {
			t.Fatal(err)
		}
		lo, hi, _ := extent(whole)
		low, high, _ := extent(done)
		if lo.Sub(low).Len() > 1e-6 || hi.Sub(high).Len() > 1e-6 {
			t.Errorf("%s: bent up it reaches from %v to %v, not %v to %v", b.Name, lo, hi, low, high)
		}
		for held := range b.Flat.Faces {
			flat, err := PartlyBent(b, held, func(int) float64 { return 0 })
			if err != nil {
				t.Fatal(err)
			}
			lo, hi, _ := extent(flat)
			if hi.Z > 1e-9 || lo.Z < -b.Flat.Panel.Stock.Thickness-1e-9 {
				t.Errorf("%s: unbent it reaches from z %v to %v", b.Name, lo.Z, hi.Z)
			}
			half, err := PartlyBent(b, held, func(i int) float64 { return b.Flat.Folds[i].Bend.Angle / 2 })
			if err != nil {
				t.Fatal(err)
			}
			// The held face stays where it lies in the flat.
			for _, f := range half {
				if f.Normal.Sub(solid.Vec{Z: 1}).Len() < 1e-9 && f.Outer[0].Z > 1e-6 {
					t.Errorf("%s: the held face rose to %v", b.Name, f.Outer[0])
				}
			}
		}
	}
	if _, err := PartlyBent(a.Blanks[0], 99, nil); err == nil {
		t.Error("a face that is not there was held")
	}
}
