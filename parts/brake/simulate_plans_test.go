package brake

import (
	"slices"
	"testing"

	"perch/parts/shop"
)

// Every plan that is found for 300 drawn parts goes through on the simulator.
func TestPlansGoThroughOnPoints(t *testing.T) {
	parts := 300
	if testing.Short() {
		parts = 18
	}
	found := map[string]int{}
	for n := range parts {
		f, kind := drawnFlat(n)
		p := Find(f, shop.Default(), nil)
		if p.Refused != nil {
			continue
		}
		found[kind]++
		if err := newSimulator(t, kind, f, shop.Default().Brake).run(p); err != nil {
			t.Errorf("part %d, a %s of %d folds: %v", n, kind, len(f.Folds), err)
		}
	}
	for _, k := range drawnKinds {
		if found[k.name] < parts/20 {
			t.Errorf("only %d of the %ss are bent: the test looks at too little", found[k.name], k.name)
		}
	}
}

// The simulator sees what is wrong: the same plans without the order, with the other side held, with
// fingers where metal stands, or on a brake with other numbers, come to a stop.
func TestSimulatorSeesWhatIsWrong(t *testing.T) {
	wrong := map[string]int{}
	for n := range 30 {
		f, _ := drawnFlat(n)
		p := Find(f, shop.Default(), nil)
		if p.Refused != nil || len(p.Steps) < 3 {
			continue
		}
		try := func(what string, b shop.Brake, change func(*Plan)) {
			q := *p
			q.Steps = slices.Clone(p.Steps)
			change(&q)
			if newSimulator(t, what, f, b).run(&q) != nil {
				wrong[what]++
			}
		}
		low := shop.Default().Brake
		low.FingerHeight = 12
		try("low beam", low, func(*Plan) {})
		broad := shop.Default().Brake
		broad.LeafWidth = 90
		try("broad leaf", broad, func(*Plan) {})
		try("backwards", shop.Default().Brake, func(q *Plan) { slices.Reverse(q.Steps) })
		try("shifted fingers", shop.Default().Brake, func(q *Plan) {
			for i := range q.Steps {
				q.Steps[i].Fingers = slices.Clone(q.Steps[i].Fingers)
				for k := range q.Steps[i].Fingers {
					q.Steps[i].Fingers[k].From += 20
					q.Steps[i].Fingers[k].To += 20
				}
			}
		})
		try("missing", shop.Default().Brake, func(q *Plan) { q.Steps = q.Steps[1:] })
	}
	for _, what := range []string{"low beam", "broad leaf", "backwards", "shifted fingers", "missing"} {
		if wrong[what] < 2 {
			t.Errorf("%s: seen only %d times", what, wrong[what])
		}
	}
}
