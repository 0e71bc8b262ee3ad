package join

import (
	"math"
	"testing"

	"perch/parts/panel"
)

// TestErrorsTell: how what hinders a join reads, with its numbers.
func TestErrorsTell(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{
		{&PatternError{Rivet, NoRoom, 8, 16}, "no room for a rivet: the contact is 8 mm across, 16 mm needed (short by 8 mm)"},
		{&PatternError{Bolt, TooTight, 10, 18}, "bolts would stand 10 mm apart, at least 18 mm needed (short by 8 mm)"},
		{&PatternError{Rivet, NearEdge, 3, 8}, "a rivet is 3 mm from an edge, at least 8 mm needed (short by 5 mm)"},
		{&PatternError{Plug, OffPatch, 3.5, 0}, "a plug lies 3.5 mm off the contact"},
		{&PatternError{Rivet, TooMany, 4000, 1000}, "a row of 4000 rivets is too many, at most 1000: state a longer pitch"},
		{&PatternError{Tack, NoEdge, 0, 0}, "no straight edge of the contact to tack along"},
		{&PatternError{Rivet, BadSize, -2, 0}, "rivet: a size of -2 mm"},
		{&PatternError{"nail", BadKind, 0, 0}, `"nail" is no fastener: rivet, bolt, plug, tack or weld`},
		{&ContactError{A: "a", B: "b", Reason: NotParallel, Got: math.Pi / 6}, "a and b are not parallel: 30° between them"},
		{&ContactError{A: "a", B: "b", Reason: Apart, Got: 2.5}, "a and b don't touch: a gap of 2.5 mm"},
		{&ContactError{A: "a", B: "b", Reason: Inside, Got: 0.5}, "a and b lie in each other by 0.5 mm"},
		{&ContactError{A: "a", B: "b", Reason: Beside, Got: 12}, "a and b don't touch: they lie side by side, 12 mm apart"},
		{&ContactError{Reason: TooFew}, "a join takes two or three faces"},
	} {
		if got := c.err.Error(); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
}

// TestSizesOfFasteners: what a fastener's sizes are where they are not stated, and which are
// none.
func TestSizesOfFasteners(t *testing.T) {
	patch := func(thin, thick float64) Patch {
		a := plate(t, "a", 0, thin, box(0, 0, 100, 60), false)
		b := plate(t, "b", thick, thick, box(0, 0, 100, 60), false)
		p, err := Contact([]Member{{a, 0}, {b, 0}}, 0)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	for _, c := range []struct {
		f           Fastener
		thin, thick float64
		want        Fastener
	}{
		{Fastener{Kind: Rivet, Diameter: 4}, 1, 1, Fastener{Diameter: 4, Hole: 4, Pitch: 24, Edge: 8}},
		{Fastener{Kind: Bolt, Diameter: 6, Hole: 6.6}, 1, 1, Fastener{Diameter: 6, Hole: 6.6, Pitch: 36, Edge: 12}},
		{Fastener{Kind: Rivet, Diameter: 4, Pitch: 15, Edge: 7}, 1, 1, Fastener{Diameter: 4, Hole: 4, Pitch: 15, Edge: 7}},
		{Fastener{Kind: Plug}, 1, 2, Fastener{Diameter: 10, Hole: 10, Pitch: 40, Edge: 15}},
		{Fastener{Kind: Plug}, 3, 4, Fastener{Diameter: 11, Hole: 11, Pitch: 44, Edge: 16.5}},
		{Fastener{Kind: Tack}, 1, 1.5, Fastener{Diameter: 5, Pitch: 30, Edge: 12}},
		{Fastener{Kind: Tack}, 1, 2, Fastener{Diameter: 5, Pitch: 50, Edge: 12}},
		{Fastener{Kind: Tack, Diameter: 8}, 1, 3, Fastener{Diameter: 8, Pitch: 50, Edge: 12}},
		{Fastener{Kind: Weld, Diameter: 20}, 1, 1, Fastener{Diameter: 20, Pitch: 60, Edge: 13}},
	} {
		got, err := c.f.withRules(patch(c.thin, c.thick))
		if err != nil {
			t.Errorf("%+v: %v", c.f, err)
			continue
		}
		near(t, c.f.Kind+" diameter", got.Diameter, c.want.Diameter, 1e-12)
		near(t, c.f.Kind+" hole", got.Hole, c.want.Hole, 1e-12)
		near(t, c.f.Kind+" pitch", got.Pitch, c.want.Pitch, 1e-12)
		near(t, c.f.Kind+" edge", got.Edge, c.want.Edge, 1e-12)
	}
	p := patch(1, 1)
	for _, f := range []Fastener{
		{Kind: Rivet}, {Kind: Bolt}, {Kind: Weld}, {Kind: Rivet, Diameter: -4}, {Kind: Rivet, Diameter: math.NaN()}, {Kind: Rivet, Diameter: math.Inf(1)},
		{Kind: Rivet, Diameter: 4, Hole: -1}, {Kind: Rivet, Diameter: 4, Pitch: -1}, {Kind: Rivet, Diameter: 4, Edge: -1}, {Kind: Rivet, Diameter: 4, Count: -1}, {Kind: "nail", Diameter: 4},
	} {
		if got, err := Pattern(p, f); err == nil {
			t.Errorf("%+v: %v", f, got)
		}
		if _, err := Fix("j", 1, p, f, []Place{{At: pt(50, 30)}}); err == nil {
			t.Errorf("%+v is fixed", f)
		}
	}
}

// TestWhatTouches: the short answer is the long one's, and two or three faces are asked for.
func TestWhatTouches(t *testing.T) {
	a := plate(t, "a", 0, 1, box(0, 0, 100, 60), false)
	for _, c := range []struct {
		b    *panel.Flat
		want bool
	}{
		{plate(t, "b", 1, 1, box(0, 0, 100, 60), false), true},
		{plate(t, "b", 1.01, 1, box(0, 0, 100, 60), false), true},
		{plate(t, "b", 1.5, 1, box(0, 0, 100, 60), false), false},
		{plate(t, "b", 0.5, 1, box(0, 0, 100, 60), false), false},
		{plate(t, "b", 1, 1, box(100, 0, 200, 60), false), false},
		{plate(t, "b", 1, 1, box(90, 0, 200, 60), false), true},
	} {
		m := []Member{{a, 0}, {c.b, 0}}
		p, ok := Touch(m, 0)
		q, err := Contact(m, 0)
		if ok != c.want || (err == nil) != c.want || math.Abs(p.Region.Area()-q.Region.Area()) > 1e-9 {
			t.Errorf("%v, %v: want %v", ok, err, c.want)
		}
	}
	for _, n := range []int{0, 1, 4} {
		var m []Member
		for range n {
			m = append(m, Member{a, 0})
		}
		if _, err := Contact(m, 0); err == nil || err.Error() != "a join takes two or three faces" {
			t.Errorf("%d faces: %v", n, err)
		}
		if _, ok := Touch(m, 0); ok {
			t.Errorf("%d faces touch", n)
		}
	}
}

// TestWays: the way of a row on a patch, and the other.
func TestWays(t *testing.T) {
	if AlongU.Across() != AlongV || AlongV.Across() != AlongU || AlongLonger.Across() != AlongV {
		t.Error("the way across")
	}
	wide, high := Patch{}, Patch{}
	a, b := plate(t, "a", 0, 1, box(0, 0, 100, 60), false), plate(t, "a", 0, 1, box(0, 0, 60, 100), false)
	wide.Region, high.Region = a.Faces[0].Trimmed, b.Faces[0].Trimmed
	for _, c := range []struct {
		a    Along
		p    Patch
		want Along
	}{{AlongLonger, wide, AlongU}, {AlongLonger, high, AlongV}, {AlongU, high, AlongU}, {AlongV, wide, AlongV}, {"", high, AlongV}} {
		if got := c.a.On(c.p); got != c.want {
			t.Errorf("%q: %s, want %s", c.a, got, c.want)
		}
	}
}
