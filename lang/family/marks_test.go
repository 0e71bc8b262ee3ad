package family_test

import (
	"math"
	"path/filepath"
	"testing"

	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/brake"
	"perch/parts/panel"
	"perch/parts/shop"
)

// A nick stands on the line that the plan sets its fold by, whichever side is held; without a
// plan it would stand off it wherever the other face is.
func TestNicksStandWhereThePlanSetsTheBrake(t *testing.T) {
	facts := shop.Default()
	nicks, second := 0, 0
	for _, name := range []string{"stool", "fire_basket", "spares_chest", "spoke_bin"} {
		prog, _, err := load.Design(filepath.Join("../../examples", name, name+".perch"), facts)
		if err != nil {
			t.Fatal(err)
		}
		results, _ := family.Job{Program: prog, Shop: facts}.Marked()
		for _, b := range results[0].Assembly.Blanks {
			var plan *brake.Plan
			for _, m := range b.FoldMarks {
				if m.Kind != panel.Nick {
					continue
				}
				if plan == nil {
					plan = brake.Find(b.Flat, facts, nil)
				}
				line, ok := plan.SightOf(m.Fold)
				if !ok {
					continue
				}
				nicks++
				if off := m.At.Sub(line[0]).Cross(line[1].Sub(line[0]).Unit()); math.Abs(off) > 1e-6 {
					t.Errorf("%s %s, fold %s: the nick stands %.3f mm off the line", name, b.Name, b.Flat.Folds[m.Fold].Name, off)
				}
				for _, s := range plan.Steps {
					if s.Op != brake.Flatten && s.Folds[0] == m.Fold && !s.HeldA {
						second++
					}
				}
			}
		}
	}
	if nicks < 10 || second == 0 {
		t.Errorf("%d nicks are held to a plan, %d of them with the second face held", nicks, second)
	}
}
