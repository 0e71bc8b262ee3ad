package examples

import (
	"path/filepath"
	"testing"

	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/brake"
	"perch/parts/shop"
)

// Every blank of every example, of the tutorial too, can be bent on the brake of the shop that
// perch knows without a shop file. With -short one size of each is looked at.
func TestEveryBlankCanBeBent(t *testing.T) {
	files, err := filepath.Glob("*/*.perch")
	if err != nil || len(files) < 20 {
		t.Fatal(err, files)
	}
	facts := shop.Default()
	bends := 0
	for _, file := range files {
		prog, _, err := load.Design(file, facts)
		if err != nil {
			t.Fatal(err)
		}
		results, _ := family.Job{Program: prog, Shop: facts}.Results()
		for i, r := range results {
			if i > 0 && testing.Short() {
				break
			}
			for _, b := range r.Assembly.Blanks {
				plan := brake.Find(b.Flat, facts, nil)
				if plan.Refused == nil {
					bends += len(plan.Steps)
					continue
				}
				for _, next := range plan.Refused.Next {
					t.Errorf("%s, size %s: %s can't be bent: %s", file, r.Assembly.Size, b.Name, plan.Words(next))
				}
			}
		}
	}
	if bends < 100 {
		t.Errorf("only %d bends in all examples", bends)
	}
}

// Nearly all of them are bent on a press with the tools that perch knows without a shop file, too: its
// punch stands in sections as a finger brake's do.
func TestMostBlanksAreBentOnAPress(t *testing.T) {
	facts := shop.Default()
	facts.Brake.Kind = shop.BrakeVDie
	bent, refused := 0, map[string]bool{}
	for _, name := range []string{"stool", "tote", "slip_box", "bench", "locker", "plant_stand", "trestle", "truing_stand"} {
		prog, _, err := load.Design(filepath.Join(name, name+".perch"), facts)
		if err != nil {
			t.Fatal(err)
		}
		results, _ := family.Job{Program: prog, Shop: facts}.Results()
		for i, r := range results {
			if i > 0 && testing.Short() {
				break
			}
			for _, b := range r.Assembly.Blanks {
				if len(b.Flat.Folds) == 0 {
					continue
				}
				if plan := brake.First(b.Flat, facts, nil); plan.Refused != nil {
					refused[name+" "+b.Name] = true
				} else {
					bent++
				}
			}
		}
	}
	if bent < 20 || len(refused) > 3 {
		t.Errorf("%d blanks are bent, refused are %v", bent, refused)
	}
}
