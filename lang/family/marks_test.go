package family_test

import (
	"math"
	"path/filepath"
	"strings"
	"testing"

	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/brake"
	"perch/parts/foldmark"
	"perch/parts/panel"
	"perch/parts/plane"
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

// Whatever a design is, the outline with nicks is sound, lies within the outline without, and
// is smaller by what the nicks take; every fold end is told or shown by a relief.
func TestNickedOutlinesAreSound(t *testing.T) {
	files, _ := filepath.Glob("../../examples/*/*.perch")
	more, _ := filepath.Glob("../../testdata/designs/*.perch")
	facts := shop.Default()
	nicked := 0
	for i, file := range append(files, more...) {
		if testing.Short() && i%4 > 0 {
			continue
		}
		prog, _, err := load.Design(file, facts)
		if err != nil {
			t.Fatal(err)
		}
		results, _ := family.Job{Program: prog, Shop: facts}.Marked()
		if results[0] == nil || results[0].Assembly == nil {
			continue
		}
		for _, b := range results[0].Assembly.Blanks {
			ends := 0
			for _, f := range b.Flat.Folds {
				for _, relieved := range f.Relieved {
					if !relieved {
						ends++
					}
				}
			}
			if ends != len(b.FoldMarks) {
				t.Errorf("%s %s: %d fold ends without a relief, %d marks", file, b.Name, ends, len(b.FoldMarks))
			}
			if b.Notched == nil {
				continue
			}
			nicked++
			if err := plane.Check(b.Notched); err != nil {
				t.Errorf("%s %s: %v", file, b.Name, err)
			}
			outer := plane.Region{b.Flat.Outer}
			if beyond := plane.Subtract(plane.Region{b.Notched}, outer).Area(); beyond > 1e-3 {
				t.Errorf("%s %s: %.4f mm² lie beyond the blank", file, b.Name, beyond)
			}
			want := 0.0
			for _, m := range b.FoldMarks {
				if m.Kind == panel.Nick {
					want += math.Abs(m.Vee[1].Sub(m.Vee[0]).Cross(m.Vee[2].Sub(m.Vee[0]))) / 2
				}
			}
			if taken := outer.Area() - b.Notched.Area(); math.Abs(taken/want-1) > 0.25 {
				t.Errorf("%s %s: the nicks take %.3f mm², their triangles have %.3f", file, b.Name, taken, want)
			}
		}
	}
	if nicked < 8 {
		t.Errorf("only %d blanks have nicks", nicked)
	}
}

// Of a blank that needs no plan to be marked as the shop asks, no choice of the faces that are
// held leaves anything to tell; of one that does, some choice does.
func TestBlanksThatNeedNoPlanToBeMarked(t *testing.T) {
	settled, other := 0, 0
	for _, name := range []string{"examples/stool", "examples/tote", "examples/slip_box", "examples/fire_basket", "testdata/designs/lever_rack", "stdlib/shown/hemmed_rim"} {
		for _, marks := range []string{shop.MarksNicks, shop.MarksPunch} {
			facts := shop.Default()
			facts.Brake.Marks = marks
			file := filepath.Join("../..", name+".perch")
			if strings.HasPrefix(name, "examples/") {
				file = filepath.Join("../..", name, filepath.Base(name)+".perch")
			}
			prog, _, err := load.Design(file, facts)
			if err != nil {
				t.Fatal(err)
			}
			results, _ := family.Job{Program: prog, Shop: facts}.Results()
			for _, b := range results[0].Assembly.Blanks {
				told := ""
				for choice := range 1 << min(len(b.Flat.Folds), 5) {
					held := make([]int, len(b.Flat.Folds))
					for i, f := range b.Flat.Folds {
						held[i] = f.A
						if choice>>(i%5)&1 == 1 {
							held[i] = f.B
						}
					}
					c := &panel.Blank{Flat: b.Flat}
					foldmark.Mark(c, facts, held)
					for _, m := range c.FoldMarks {
						if !m.Why.Empty() {
							told = m.Why.String()
						}
					}
				}
				switch ok := foldmark.Settled(b.Flat, facts); {
				case ok && told != "":
					t.Errorf("%s %s: said to need no plan, but %s", name, b.Name, told)
				case ok:
					settled++
				case told == "":
					t.Errorf("%s %s: said to need a plan, but nothing is to tell whatever is held", name, b.Name)
				default:
					other++
				}
			}
		}
	}
	if settled < 20 || other < 3 {
		t.Errorf("%d blanks need no plan and %d do", settled, other)
	}
}
