package family_test

import (
	"testing"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/solid"
	"perch/parts/strength"
	"perch/parts/tipping"
)

// pieceOf builds one size of an example.
func pieceOf(t testing.TB, name, size string) (*panel.Assembly, []*panel.Flat, *shop.Shop) {
	t.Helper()
	sh := shop.Default()
	program, told, err := load.Design("../../examples/"+name+"/"+name+".perch", sh)
	if err != nil || diag.HasErrors(told) {
		t.Fatal(err, told)
	}
	job := family.Job{Program: program, File: name + ".perch", Shop: sh}
	results, told := job.Results()
	if diag.HasErrors(told) {
		t.Fatal(told)
	}
	for _, r := range results {
		if r.Size == size {
			return r.Assembly, r.Flats, sh
		}
	}
	t.Fatalf("%s has no size %s", name, size)
	return nil, nil, nil
}

// sits are three loads of a stool: in the middle, near an edge, and sideways while loaded.
func sits(t testing.TB, a *panel.Assembly) (cases []strength.Case) {
	t.Helper()
	seat, _, ok := strength.Sat(a)
	if !ok {
		t.Fatal("nothing to sit on")
	}
	add := func(name string, off, force solid.Vec) {
		c := seat
		c.Name, c.Loads = name, append([]tipping.Load(nil), seat.Loads...)
		c.Loads[0].Frame.O = c.Loads[0].Frame.O.Add(off)
		c.Loads[0].Force = force
		cases = append(cases, c)
	}
	add("sit", solid.Vec{}, solid.Vec{Z: -1300})
	add("edge", solid.Vec{X: 60}, solid.Vec{Z: -1100})
	add("push", solid.Vec{}, solid.Vec{X: 100, Z: -800})
	return cases
}

// BenchmarkStrength is a stool's answer to three loads, joints between rigid and loose, on
// triangles fine enough.
func BenchmarkStrength(b *testing.B) {
	a, flats, sh := pieceOf(b, "stool", "mid")
	cases := sits(b, a)
	for b.Loop() {
		r, err := strength.Of(b.Context(), a, flats, cases, strength.Options{Friction: 0.3, Metal: strength.MetalOf(sh)})
		if err != nil {
			b.Fatal(err)
		}
		for _, e := range r.Estimates {
			if e.Problem != nil {
				b.Fatal(e.Problem)
			}
			steps := 0
			if e.Answer != nil {
				steps = e.Answer.Steps
			}
			b.Logf("%s: %d factored, sag %v sway %v racking %v buckling %.1f tips %.2f used %.3f fastener %.3f rough %.3f, %d steps %d nodes", e.Case.Name, e.Answer.Factored, e.Sag, e.Sway, e.Racking, e.Buckling, e.Tips, e.Used, e.Fastener, e.Rough, steps, r.Nodes)
		}
	}
}
