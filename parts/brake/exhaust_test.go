package brake

import (
	"math/rand/v2"
	"testing"

	"perch/parts/shop"
)

// exhaustive tries every order and every hold, stroke by stroke, and keeps nothing in mind
// but whether a stroke goes on the part as it is.
func exhaustive(f *finder, done uint64) bool {
	if done == f.all {
		return true
	}
	for i, h := range f.holds {
		if f.can(h, done) && f.try(i, done).ok && exhaustive(f, done|h.ops) {
			return true
		}
	}
	return false
}

// On drawn parts of up to six folds a plan is found exactly where one of all orders and holds goes.
func TestFoundWhereThereIsOne(t *testing.T) {
	parts := 300
	if testing.Short() {
		parts = 30
	}
	got := map[bool]int{}
	for n := range parts {
		flat, kind := drawnFlat(n)
		if len(flat.Folds) > 6 {
			continue
		}
		f := newFinder(newPart(flat, shop.Default(), own{flat}))
		want := exhaustive(f, 0)
		p := Find(flat, shop.Default(), nil)
		if (p.Refused == nil) != want || p.Refused != nil && p.Refused.Bound {
			t.Errorf("part %d, a %s: found %v, there is one %v", n, kind, p.Refused == nil, want)
		}
		q := First(flat, shop.Default(), nil)
		if (q.Refused == nil) != want {
			t.Errorf("part %d, a %s: First finds %v, there is one %v", n, kind, q.Refused == nil, want)
		}
		got[want]++
	}
	if got[true] < parts/3 || got[false] < parts/10 {
		t.Errorf("%d bent, %d refused: the parts try too little", got[true], got[false])
	}
}

// drawMany: a tray of four lipped walls with lips on the lips: up to fourteen folds.
func drawMany(r *rand.Rand) *drawnPart {
	d := newDrawn(1, from(r, 300, 520), from(r, 260, 420))
	high, lip, gap := from(r, 25, 60), from(r, 12, 20), 2*d.t
	for k := range 4 {
		w := d.hang(0, k, 90, false, high, gap, gap, 0)
		l := d.hang(w, 2, 90, r.IntN(2) == 0, lip, lip+gap, lip+gap, 0)
		for range 2 {
			if len(d.panel.Folds) < 14 && r.IntN(3) > 0 {
				l = d.hang(l, 2, 90, r.IntN(2) == 0, from(r, 8, 14), 2, 2, 0)
			}
		}
	}
	return d
}

// The work on parts of up to fourteen folds is bounded, and said where it was not enough.
func TestManyFoldsAreBounded(t *testing.T) {
	most, looked, parts := 0, 0, 3
	if testing.Short() {
		parts = 1
	}
	for n := range parts {
		flat, err := drawMany(rand.New(rand.NewPCG(uint64(n), 14))).flat()
		if err != nil {
			continue
		}
		f := newFinder(newPart(flat, shop.Default(), own{flat}))
		found := f.look(0)
		if !found && !f.bound && len(f.dead) == 0 {
			t.Errorf("part %d: nothing found and nothing tried", n)
		}
		if f.p.looked > maxLooks+100_000 || len(f.dead) > maxStates {
			t.Errorf("part %d: %d looks, %d sets of folds", n, f.p.looked, len(f.dead))
		}
		most, looked = max(most, len(flat.Folds)), max(looked, f.p.looked)
	}
	if most < 13 {
		t.Errorf("at most %d folds were drawn", most)
	}
}

// A search that is given up says so, with the most that it could do.
func TestSearchGivenUpIsSaid(t *testing.T) {
	flat, _ := drawnFlat(4) // a box that can't be bent
	p := newPart(flat, shop.Default(), own{flat})
	f := newFinder(p)
	p.looked = maxLooks + 1
	out := &Plan{Flat: flat, names: p.names}
	if f.look(0) {
		t.Fatal("found without looking")
	}
	f.refuse(out)
	if !out.Refused.Bound || out.Refused.Help.Empty() {
		t.Errorf("given up and not said: %+v", out.Refused)
	}
}

func BenchmarkFourteenFolds(b *testing.B) {
	flat := drawMany(rand.New(rand.NewPCG(3, 14))).must()
	for b.Loop() {
		Find(flat, shop.Default(), nil)
	}
}
