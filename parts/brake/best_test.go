package brake

import (
	"math"
	"slices"
	"testing"

	"perch/parts/shop"
)

// costOf is what a row of moves costs, added up move by move from the trials alone.
func costOf(f *finder, moves []move) cost {
	var c cost
	set, last := uint64(0), none
	left := len(f.p.ops)
	for _, m := range moves {
		h := f.holds[m.hold]
		t := h.try(m.from)
		c.warnings += t.weight
		if last != none {
			g := f.holds[last]
			if g.drawnUp != h.drawnUp {
				c.turnings++
			}
			if g.frame.X.X*h.frame.X.X+g.frame.Y.X*h.frame.Y.X < 0.999999 {
				c.turnings++
			}
			if t.set != set || g.k.r != h.k.r {
				c.changes++
			}
		}
		c.wait += float64(left) * (h.flange + 1e-3*h.off)
		set, last = t.set, m.hold
		left -= len(h.list)
	}
	return c
}

// The plan that is called the best costs what the best of all orders and holds does, each tried
// to its end, on drawn parts of up to six strokes.
func TestBestOfAllOrders(t *testing.T) {
	parts := 90
	if testing.Short() {
		parts = 30
	}
	compared, alone := 0, 0
	for n := range parts {
		flat, kind := drawnFlat(n)
		f := newFinder(newPart(flat, shop.Default(), own{flat}))
		if len(f.p.ops) > 6 || !f.look(0) {
			continue
		}
		moves, proved := f.best()
		if !proved {
			t.Errorf("part %d, a %s: given up", n, kind)
		}
		least, orders := cost{warnings: math.MaxInt}, 0
		var grow func(done uint64, so []move)
		grow = func(done uint64, so []move) {
			if done == f.all {
				orders++
				if c := costOf(f, so); c.less(least) {
					least = c
				}
				return
			}
			for i, h := range f.holds {
				if f.can(h, done) && f.try(i, done).ok {
					grow(done|h.ops, append(so, move{i, done}))
				}
			}
		}
		if len(f.p.ops) > 4 && kind != "zed" && kind != "channel" {
			continue // too many orders to go through
		}
		grow(0, nil)
		if got := costOf(f, moves); got.less(least) || least.less(got) {
			t.Errorf("part %d, a %s: the best is %+v of %d orders, found is %+v", n, kind, least, orders, got)
		}
		if compared++; orders == 1 {
			alone++
		}
	}
	if compared < parts/3 || alone > compared/3 {
		t.Errorf("%d parts were compared, %d of them had one order", compared, alone)
	}
}

// A trial that is read off its image by a symmetry is the trial that is made: the same verdict, the same
// fingers over as much of the fold, warnings of the same faces.
func TestTrialsInTheMirror(t *testing.T) {
	mirrored, turned, refused := 0, 0, 0
	for n := range 24 {
		flat, kind := drawnFlat(n)
		f := newFinder(newPart(flat, shop.Default(), own{flat}))
		if len(f.images) == 0 || len(f.p.ops) > 5 {
			continue
		}
		for done := uint64(0); done < f.all; done++ {
			for i, h := range f.holds {
				like, _, _ := f.first(i, done)
				if like == nil || !f.can(h, done) {
					continue
				}
				if like.mirrored {
					mirrored++
				} else {
					turned++
				}
				got, want := f.try(i, done), h.try(done)
				if got.ok != want.ok || got.set != want.set || math.Abs(got.rating-want.rating) > 1e-9 || len(got.fingers) != len(want.fingers) {
					t.Fatalf("part %d, a %s, hold %d of %b: %+v, want %+v", n, kind, i, done, got, want)
				}
				if !want.ok {
					if refused++; got.block.Fold != want.block.Fold || got.block.Held != want.block.Held || got.block.With != want.block.With || got.block.Reason != want.block.Reason {
						t.Fatalf("part %d, a %s, hold %d of %b: stopped by %+v, want %+v", n, kind, i, done, got.block, want.block)
					}
					continue
				}
				for k := range want.fingers {
					if math.Abs(got.fingers[k].From-want.fingers[k].From) > 0.01 || math.Abs(got.fingers[k].To-want.fingers[k].To) > 0.01 {
						t.Fatalf("part %d, a %s, hold %d of %b: fingers %v, want %v", n, kind, i, done, got.fingers, want.fingers)
					}
				}
				if !slices.EqualFunc(got.warnings, want.warnings, func(a, b warning) bool { return a.what == b.what && a.face == b.face }) {
					t.Fatalf("part %d, a %s, hold %d of %b: warned of %+v, want %+v", n, kind, i, done, got.warnings, want.warnings)
				}
			}
		}
	}
	if mirrored < 50 || turned < 50 || refused < 50 {
		t.Errorf("%d mirrored, %d turned, %d refused: too little is looked at", mirrored, turned, refused)
	}
}

// A square tray has eight symmetries, one with a wall lower two, one with a corner cut off none
// that are not nothing.
func TestSymmetries(t *testing.T) {
	for _, c := range []struct {
		highs [4]float64
		short float64
		want  int
	}{{[4]float64{30, 30, 30, 30}, 2, 7}, {[4]float64{30, 30, 30, 20}, 2, 1}, {[4]float64{30, 20, 30, 20}, 2, 3}, {[4]float64{30, 25, 20, 15}, 2, 0}, {[4]float64{30, 30, 30, 30}, 9, 0}} {
		d := newDrawn(1, 200, 200)
		for k, h := range c.highs {
			lo := 2.0
			if k == 0 {
				lo = c.short
			}
			d.hang(0, k, 90, false, h, lo, 2, 0)
		}
		flat := d.must()
		f := newFinder(newPart(flat, shop.Default(), own{flat}))
		if len(f.images) != c.want {
			t.Errorf("walls of %v, one short by %g: %d symmetries, want %d", c.highs, c.short, len(f.images), c.want)
		}
	}
}

// What a plan costs is counted, not timed: a square tray's best is found with few of its strokes tried.
func TestFewTrialsOfSymmetricParts(t *testing.T) {
	d := newDrawn(1, 200, 200)
	for k := range 4 {
		d.hang(0, k, 90, false, 30, 2, 2, 0)
	}
	flat := d.must()
	p := newPart(flat, shop.Default(), own{flat})
	f := newFinder(p)
	if !f.look(0) {
		t.Fatal("a tray is not bent")
	}
	if _, proved := f.best(); !proved || p.looked > 20_000 {
		t.Errorf("proved %v after %d looks", proved, p.looked)
	}
}
