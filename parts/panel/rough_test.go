package panel

import (
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"perch/parts/plane"
	"perch/parts/solid"
)

// Numbers of any kind make an error or a flat that holds together, never a panic; and the
// same panel makes the same flat.
func TestRoughInput(t *testing.T) {
	flats := 0
	rapid.Check(t, func(rt *rapid.T) {
		odd := rapid.SampledFrom([]float64{0, -1, 1e-9, 1, 3, 150, 3e3, math.NaN(), math.Inf(1), math.Inf(-1)})
		pick := func(name string, good float64) float64 {
			if rapid.IntRange(0, 15).Draw(rt, name+"?") == 0 {
				return odd.Draw(rt, name)
			}
			return good
		}
		u := func(name string, lo, hi float64) float64 {
			return pick(name, rapid.Float64Range(lo, hi).Draw(rt, name+"="))
		}
		b := base(plane.Region{loopOf(pt(0, 0), pt(u("w", 10, 200), u("skew", -5, 5)), pt(200, u("h", 20, 90)), pt(u("x", 0, 60), 90))})
		b.Stock.Thickness = pick("t", 1.5)
		for k := range rapid.IntRange(0, 4).Draw(rt, "faces") {
			on := rapid.IntRange(0, k).Draw(rt, "on")
			l := b.Faces[on].Outline[0]
			i := rapid.IntRange(0, len(l)-1).Draw(rt, "edge")
			e := l.Edge(i)
			half := e.Chord() / 2 * u("short", 0.3, 1)
			deep := u("deep", 3, 60)
			b.hang(on, "f", e.From, e.To, u("angle", 5, 180), rapid.Bool().Draw(rt, "down"),
				plane.Region{loopOf(pt(-half, 0), pt(half, 0), pt(half+u("flare", -20, 20), deep), pt(-half+u("flare2", -20, 20), deep))})
			f := &b.Folds[k]
			f.Radius, f.K = pick("r", 1.5), pick("k", 0.325)
			f.Relief, f.ReliefSize = Relief(rapid.IntRange(0, 5).Draw(rt, "relief")), pick("size", 0)
		}
		if n := len(b.Faces); n > 2 && rapid.Bool().Draw(rt, "seam") {
			b.Seams = []Seam{{Name: "s", A: rapid.IntRange(0, n-1).Draw(rt, "a"), B: rapid.IntRange(-1, n).Draw(rt, "b"),
				Kind: SeamKind(rapid.IntRange(0, 3).Draw(rt, "kind")), Gap: pick("gap", 1), Lap: pick("lap", 12)}}
		}
		if rapid.Bool().Draw(rt, "cut") {
			x, y := u("cx", -20, 200), u("cy", -20, 90)
			b.Faces[0].Cuts = []Cut{{"c", rectAt(x, y, x+u("cw", 1, 50), y+5)}}
		}
		f, err := Unfold(b.Panel, Options{})
		if err != nil {
			if f != nil || err.Error() == "" {
				rt.Fatal("a flat with an error")
			}
			return
		}
		flats++
		checkFlat(rt, f)
		again, err := Unfold(b.Panel, Options{})
		if err != nil || !reflect.DeepEqual(f, again) {
			rt.Fatal("not the same twice")
		}
		f.Solids(0.1)
		Interfere(f, f)
	})
	t.Logf("%d flats", flats)
}

// A fold whose frames are far from the origin and turned anyhow comes back as exactly.
func TestFarAway(t *testing.T) {
	w := readWorked(t)
	p := w.leg(0)
	x := solid.Vec{X: 2, Y: -1, Z: 3}.Unit()
	for i := range p.Faces {
		f := &p.Faces[i].Frame
		f.O, f.X, f.Y = turn(f.O, x, 1.234).Add(solid.Vec{X: 5000, Y: -3000, Z: 800}), turn(f.X, x, 1.234), turn(f.Y, x, 1.234)
	}
	near(t, "area", unfold(t, p).Area(), w.Leg.Area, 1e-3)
}
