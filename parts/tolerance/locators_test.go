package tolerance_test

import (
	"maps"
	"slices"
	"testing"

	"perch/lang/build"
	"perch/lang/load"
	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/tolerance"
)

// built builds a size of a design, or fails the test.
func built(t testing.TB, path, size string, s *shop.Shop) *build.Result {
	t.Helper()
	p, diags, err := load.Design(path, s)
	if err != nil || p == nil {
		t.Fatal(err, diags)
	}
	r, diags := build.Size(p, size, s, nil)
	if r.Assembly == nil {
		t.Fatalf("%s: %v", path, diags)
	}
	return r
}

// designs are the examples with a size each.
var designs = []struct{ path, size string }{
	{"../../examples/stool/stool.perch", "mid"},
	{"../../examples/inch_stool/inch_stool.perch", "workbench"},
	{"../../examples/bench/bench.perch", "lobby"},
	{"../../examples/bench_lamp/bench_lamp.perch", "bench"},
	{"../../examples/fire_basket/fire_basket.perch", "yard"},
	{"../../examples/lamp_shade/lamp_shade.perch", "window"},
	{"../../examples/locker/locker.perch", "straight"},
	{"../../examples/parts_bin/parts_bin.perch", "hubs"},
	{"../../examples/plant_stand/plant_stand.perch", "window"},
	{"../../examples/slip_box/slip_box.perch", "door"},
	{"../../examples/spares_chest/spares_chest.perch", "spares"},
	{"../../examples/spoke_bin/spoke_bin.perch", "workshop"},
	{"../../examples/trestle/trestle.perch", "full"},
	{"../../examples/truing_stand/truing_stand.perch", "front"},
	{"../../examples/tutorial/4_hooks.perch", "workshop"},
	{"../../examples/tutorial/5_stool.perch", "step"},
}

// member is a hole of a build: the flat of the copy itself, and the point in it.
func member(t testing.TB, r *build.Result, m panel.JoinMember) panel.Point {
	t.Helper()
	b := r.Assembly.Blanks[r.Assembly.Copies[m.Copy].Blank]
	i := slices.IndexFunc(b.Flat.Points, func(p panel.Point) bool { return p.Name == m.Point })
	if i < 0 {
		t.Fatalf("%s has no point %s", b.Name, m.Point)
	}
	return b.Flat.Points[i]
}

// Of every example the outermost hole of each fastener is made in the flat, no two parts
// have more than one locating hole, and every copy has what its blank has.
func TestOneLocatingHoleForEachTwoParts(t *testing.T) {
	for _, d := range designs {
		r := built(t, d.path, d.size, shop.Default())
		located := map[[2]int]int{}
		for _, j := range r.Assembly.Joins {
			for k, m := range j.Members {
				p := member(t, r, m)
				switch {
				case p.Marked():
					continue
				case p.For == "" || p.For != j.Join:
					t.Errorf("%s: a hole of %s is for %q", d.path, j.Name, p.For)
				case k == 0 && p.Made() != panel.Before:
					t.Errorf("%s: %s is made %s in its outermost sheet", d.path, j.Name, p.Made())
				case p.Made() == panel.InPlace && p.Kind != panel.Drill:
					t.Errorf("%s: %s is made in place, as a %s", d.path, j.Name, p.Kind)
				case p.Made() == panel.Locate:
					located[[2]int{j.Members[0].Copy, m.Copy}]++
				}
			}
		}
		for p, n := range located {
			if n > 1 {
				t.Errorf("%s: %s and %s have %d locating holes", d.path, r.Assembly.Copies[p[0]].Name, r.Assembly.Copies[p[1]].Name, n)
			}
		}
		for i, f := range r.Flats {
			count := map[panel.When]int{}
			for _, p := range f.Points {
				count[p.Made()]++
			}
			for _, p := range r.Assembly.Blanks[r.Assembly.Copies[i].Blank].Flat.Points {
				count[p.Made()]--
			}
			for when, n := range count {
				if n != 0 {
					t.Errorf("%s: %s has %+d holes made %q more than its blank", d.path, r.Assembly.Copies[i].Name, n, when)
				}
			}
		}
	}
}

// locatedPairs are the pairs of parts that are fastened through holes, and those of them
// that a locating hole puts in their places.
func locatedPairs(t testing.TB, r *build.Result) (pairs, located map[[2]int]bool) {
	pairs, located = map[[2]int]bool{}, map[[2]int]bool{}
	for _, j := range r.Assembly.Joins {
		p := [2]int{min(j.Members[0].Copy, j.Members[1].Copy), max(j.Members[0].Copy, j.Members[1].Copy)}
		when := member(t, r, j.Members[1]).Made()
		pairs[p] = pairs[p] || p[0] != p[1] && when != ""
		located[p] = located[p] || when == panel.Locate
	}
	for p, is := range located {
		if !is {
			delete(located, p)
		}
	}
	return pairs, located
}

// Where the shop says locate, all pairs of a stool's parts are located: legs and cap, rungs
// and legs, gussets and rungs, gussets and legs. Where it leaves it to perch, none that a
// hand could not pin; the hooks of a shelf are located each by one.
func TestLocatingHoles(t *testing.T) {
	s := shop.Default()
	s.Joining.Matched = shop.MatchedLocate
	r := built(t, "../../examples/stool/stool.perch", "mid", s)
	if pairs, located := locatedPairs(t, r); len(pairs) != 4+8+8+8 || len(located) != len(pairs) {
		t.Errorf("%d of %d pairs are located", len(located), len(pairs))
	}
	hooks := built(t, "../../examples/tutorial/4_hooks.perch", "workshop", shop.Default())
	if pairs, located := locatedPairs(t, hooks); len(pairs) != 5 || len(located) != 5 {
		t.Errorf("%d of %d hooks are located", len(located), len(pairs))
	}
	for _, d := range designs {
		s := shop.Default()
		r := built(t, d.path, d.size, s)
		rep, err := tolerance.New(r.Assembly, s).Analyse()
		if err != nil {
			t.Fatalf("%s: %v", d.path, err)
		}
		for _, f := range rep.Fits {
			if f.When == panel.Locate && f.Force > s.Tolerance.Hand {
				t.Errorf("%s: %s takes %.0f N", d.path, r.Assembly.Joins[f.Join].Name, f.Force)
			}
		}
		if rep.Misses > 0.05 {
			t.Errorf("%s: some fastener may not go in, in %.3f of builds", d.path, rep.Misses)
		}
	}
}

// What the shop or a join says of holes is done: all, none but the outer ones, and none
// located by holes where the parts are tacked.
func TestWishes(t *testing.T) {
	count := func(edit func(*shop.Joining)) map[panel.When]int {
		s := shop.Default()
		edit(&s.Joining)
		r := built(t, "../../examples/tutorial/4_hooks.perch", "workshop", s)
		out := map[panel.When]int{}
		for _, j := range r.Assembly.Joins {
			for _, m := range j.Members {
				out[member(t, r, m).Made()]++
			}
		}
		return out
	}
	for _, c := range []struct {
		name string
		edit func(*shop.Joining)
		want map[panel.When]int
	}{
		{"auto", func(*shop.Joining) {}, map[panel.When]int{panel.Before: 10, panel.Locate: 5, panel.InPlace: 5}},
		{"all", func(j *shop.Joining) { j.Matched = shop.MatchedAll }, map[panel.When]int{panel.Before: 20}},
		{"outer", func(j *shop.Joining) { j.Matched = shop.MatchedOuter }, map[panel.When]int{panel.Before: 10, panel.InPlace: 10}},
		{"tacks", func(j *shop.Joining) { j.Located = shop.LocatedTacks }, map[panel.When]int{panel.Before: 10, panel.InPlace: 10}},
		{"clamps", func(j *shop.Joining) { j.Located = shop.LocatedClamps }, map[panel.When]int{panel.Before: 10, panel.InPlace: 10}},
	} {
		if got := count(c.edit); !maps.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}
