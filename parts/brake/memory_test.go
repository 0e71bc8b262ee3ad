package brake

import (
	"reflect"
	"sync"
	"testing"

	"perch/parts/panel"
	"perch/parts/shop"
)

// What is remembered of a flat is what a search of it finds, of its own and of others of its
// shape, at whatever time it is asked and by however many; a flat or a brake that is another in
// any way is searched for itself.
func TestRecallIsAsAsking(t *testing.T) {
	facts := shop.Default()
	same := func(what string, got, want *Plan) {
		t.Helper()
		if !reflect.DeepEqual(got.Steps, want.Steps) || got.States != want.States || !reflect.DeepEqual(got.Refused, want.Refused) {
			t.Errorf("%s: another plan", what)
		}
	}
	refused := 0
	for n := range 8 {
		f, _ := drawnFlat(n)
		first := First(f, facts, nil)
		best := first.Best()
		if best.Refused != nil {
			refused++
		}
		var wait sync.WaitGroup
		for range 3 {
			wait.Go(func() {
				g := new(panel.Flat)
				*g = *f
				k := Recall(g, facts)
				same("first", k.First(g), first)
				if p := k.Best(g); p.Flat != g {
					t.Error("the plan is of another flat")
				} else {
					same("best", p, best)
				}
				same("first again", k.First(g), first)
			})
		}
		wait.Wait()
		for what, change := range map[string]func(g *panel.Flat, s *shop.Shop){
			"face":  func(g *panel.Flat, s *shop.Shop) { g.Faces[0].Loop[0].P.X += 1e-9 },
			"name":  func(g *panel.Flat, s *shop.Shop) { g.Folds[0].Name += "x" },
			"fold":  func(g *panel.Flat, s *shop.Shop) { g.Folds[0].Bend.Angle -= 1e-9 },
			"side":  func(g *panel.Flat, s *shop.Shop) { g.Folds[0].Down = !g.Folds[0].Down },
			"brake": func(g *panel.Flat, s *shop.Shop) { s.Brake.FingerHeight++ },
			"metal": func(g *panel.Flat, s *shop.Shop) { g.Panel.Stock.Thickness += 0.1 },
		} {
			g, _ := drawnFlat(n)
			if len(g.Folds) == 0 {
				continue
			}
			s := shop.Default()
			of := Recall(g, s)
			change(g, s)
			if Recall(g, s) == of {
				t.Errorf("flat %d with another %s is taken for the same", n, what)
			}
		}
	}
	if refused == 0 {
		t.Error("no flat was refused")
	}
}

// However many are asked about, no more than so many are remembered.
func TestMemoryIsBounded(t *testing.T) {
	f, _ := drawnFlat(1)
	facts := shop.Default()
	for i := range 3 * mostKnown {
		f.Panel.Stock.Thickness = 1 + float64(i)*1e-6
		Recall(f, facts)
	}
	if len(memory.known) > mostKnown || len(memory.order) > mostKnown {
		t.Errorf("%d flats are remembered", len(memory.known))
	}
	if Recall(nil, facts) != nil || Recall(&panel.Flat{}, facts) != nil {
		t.Error("something is known of no flat")
	}
}
