package stack_test

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
	"perch/parts/stack"
)

func free(int) {}

// plate is one flat sheet of 2 mm whose drawn side lies in a frame.
func plate(f solid.Frame, w, h float64) *panel.Flat {
	p := &panel.Panel{Name: "plate", Stock: shop.Stock{Name: "tin", Material: "mild_steel", Thickness: 2, Density: 7850},
		Faces: []panel.Face{{Name: "face", Frame: f, Outline: plane.Region{plane.Rect(w, h)}}}}
	flat, err := panel.Unfold(p, panel.Options{})
	if err != nil {
		panic(err)
	}
	return flat
}

// leaning is the frame of a sheet around a place that leans from plumb by an angle, its
// outside towards a bearing.
func leaning(at solid.Vec, angle, bearing float64) solid.Frame {
	s, c := math.Sincos(angle)
	bs, bc := math.Sincos(bearing)
	return solid.Frame{O: at, X: solid.Vec{X: -bs, Y: bc}, Y: solid.Vec{X: -bc * s, Y: -bs * s, Z: c}}
}

// A sheet that leans by a from plumb is t/sin a thick up and down.
func TestLeaningSheets(t *testing.T) {
	for _, deg := range []float64{3, 8, 30, 45, 80} {
		a := deg * math.Pi / 180
		var flats []*panel.Flat
		for k := range 4 {
			b := float64(k) * math.Pi / 2
			flats = append(flats, plate(leaning(solid.Vec{X: 200 * math.Cos(b), Y: 200 * math.Sin(b), Z: 100}, a, b), 150, 200))
		}
		got := stack.Down(flats, 0, plane.Point{}, free)
		if want := 2 / math.Sin(a); math.Abs(got.Pitch-want) > 1e-9 {
			t.Errorf("sheets that lean by %g°: pitch %.12g, want %.12g", deg, got.Pitch, want)
		}
		if want := 200*math.Cos(a) + 2*math.Sin(a); math.Abs(got.Height-want) > 1e-9 {
			t.Errorf("sheets that lean by %g°: %g high, want %g", deg, got.Height, want)
		}
		if got.Lean != 0 || got.First.Lower != got.First.Upper {
			t.Errorf("sheets that lean by %g° alike: %+v", deg, got)
		}
		if want := got.Height + 3*got.Pitch; got.Stacked(4) != want {
			t.Errorf("four are %g high, want %g", got.Stacked(4), want)
		}
	}
}

// A straight-sided box binds at once: it stands on the other's top.
func TestStraightSides(t *testing.T) {
	var flats []*panel.Flat
	for k := range 4 {
		b := float64(k) * math.Pi / 2
		flats = append(flats, plate(leaning(solid.Vec{X: 100 * math.Cos(b), Y: 100 * math.Sin(b), Z: 50}, 0, b), 190, 100))
	}
	got := stack.Down(flats, 0, plane.Point{}, free)
	if got.Nests() || math.Abs(got.Pitch-100) > 1e-9 {
		t.Errorf("a straight-sided box nests: %+v", got)
	}
	if got := stack.Down(flats, math.Pi/4, plane.Point{}, free); got.Nests() { // the sides cross
		t.Errorf("turned by 45° it nests: %+v", got)
	}
}

// A long flat bar, crosswise over itself, rests on it; beside itself it would not touch.
func TestTurned(t *testing.T) {
	bar := []*panel.Flat{plate(solid.LevelFrame(30), 300, 20)}
	for _, c := range []struct{ angle, want float64 }{{0, 2}, {math.Pi / 2, 2}, {0.3, 2}} {
		if got := stack.Down(bar, c.angle, plane.Point{}, free); math.Abs(got.Pitch-c.want) > 1e-9 {
			t.Errorf("a bar turned by %g: pitch %g, want %g", c.angle, got.Pitch, c.want)
		}
	}
	off := stack.Down(bar, math.Pi, plane.Point{X: 500}, free)
	if off.Pitch != 0 || off.Touches != 0 {
		t.Errorf("a bar turned out of the way touches: %+v", off)
	}
}

// A piece with a post on one side only leans on that of the next: two sheets a apart, the one
// that leans lifts its side by its chord, the flat one by its thickness.
func TestLean(t *testing.T) {
	a := 10 * math.Pi / 180
	post := plate(leaning(solid.Vec{X: 150, Z: 60}, a, 0), 40, 80)
	base := plate(solid.LevelFrame(2), 200, 100)
	got := stack.Down([]*panel.Flat{base, post}, 0, plane.Point{}, free)
	chord := 2 / math.Sin(a)
	if math.Abs(got.Pitch-chord) > 1e-9 {
		t.Fatalf("pitch %g, want %g", got.Pitch, chord)
	}
	// It rests on the post of the next at the right and the base's left edge, at x −100: a
	// plane over both, so that neither the post's farther touches nor the base are cut.
	if got.Lean <= 0 || got.Toward.X >= 0 || math.Abs(got.Toward.Y) > 1e-9 {
		t.Errorf("it leans by %g toward %v, want to the left", got.Lean, got.Toward)
	}
	// the touches on the post reach from x = 150 − 40·sin a − … to 150 + …
	lo, hi := 100+150-45*math.Sin(a), 100+150+45*math.Sin(a)
	if slope := math.Tan(got.Lean); slope < (chord-2)/hi || slope > (chord-2)/lo {
		t.Errorf("its slope is %g, want between %g and %g", slope, (chord-2)/hi, (chord-2)/lo)
	}
}

// Pieces of drawn sheets against plumb lines: the metal that each line meets in a sheet is
// what six half spaces leave of it, and the line is moved about for as long as that helps.
func TestAgainstPlumbLines(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 1))
	num := func(lo, hi float64) float64 { return lo + (hi-lo)*rnd.Float64() }
	for n := range 50 {
		type sheet struct {
			f    solid.Frame
			w, h float64
		}
		var sheets []sheet
		var flats []*panel.Flat
		for range 2 + rnd.IntN(3) {
			s := sheet{leaning(solid.Vec{X: num(-60, 60), Y: num(-60, 60), Z: num(0, 150)}, num(0.05, 1.5), num(0, 6)), num(20, 120), num(20, 160)}
			sheets, flats = append(sheets, s), append(flats, plate(s.f, s.w, s.h))
		}
		turn := 0.0
		if n%2 == 1 {
			turn = num(0, 6)
		}
		span := func(s sheet, p plane.Point) (lo, hi float64) {
			lo, hi = math.Inf(-1), math.Inf(1)
			cut := func(n solid.Vec, d float64) { // n·v ≤ d
				rest := d - n.X*p.X - n.Y*p.Y
				switch {
				case math.Abs(n.Z) < 1e-12:
					if rest < 0 {
						hi = math.Inf(-1)
					}
				case n.Z > 0:
					hi = min(hi, rest/n.Z)
				default:
					lo = max(lo, rest/n.Z)
				}
			}
			for _, side := range []struct {
				n    solid.Vec
				a, b float64
			}{{s.f.X, s.w / 2, s.w / 2}, {s.f.Y, s.h / 2, s.h / 2}, {s.f.Normal(), 0, 2}} {
				at := side.n.Dot(s.f.O)
				cut(side.n, at+side.a)
				cut(side.n.Neg(), side.b-at)
			}
			return lo, hi
		}
		sin, cos := math.Sincos(-turn)
		pitch := func(p plane.Point) float64 {
			top, low := math.Inf(-1), math.Inf(1)
			q := plane.Point{X: p.X*cos - p.Y*sin, Y: p.X*sin + p.Y*cos}
			for _, s := range sheets {
				if lo, hi := span(s, p); lo <= hi {
					top = max(top, hi)
				}
				if lo, hi := span(s, q); lo <= hi {
					low = min(low, lo)
				}
			}
			return top - low
		}
		best, at := math.Inf(-1), []plane.Point(nil)
		for k := range 8000 { // over metal of either
			s := sheets[rnd.IntN(len(sheets))]
			v := s.f.At(plane.Point{X: num(-s.w/2, s.w/2), Y: num(-s.h/2, s.h/2)}).Add(s.f.Normal().Scale(num(-2, 0)))
			p := plane.Point{X: v.X, Y: v.Y}
			if k%2 == 1 {
				p = plane.Point{X: v.X*cos + v.Y*sin, Y: v.Y*cos - v.X*sin}
			}
			if d := pitch(p); d > best-15 {
				best, at = max(best, d), append(at, p)
			}
		}
		slices.SortFunc(at, func(p, q plane.Point) int { return cmp.Compare(pitch(q), pitch(p)) })
		for _, p := range at[:min(len(at), 40)] {
			for step := 3.0; step > 1e-4; {
				moved := false
				for range 24 {
					q := p.Add(plane.Point{X: num(-step, step), Y: num(-step, step)})
					if pitch(q) > pitch(p) {
						p, moved = q, true
					}
				}
				if !moved {
					step /= 3
				}
			}
			best = max(best, pitch(p))
		}
		got := stack.Down(flats, turn, plane.Point{}, free)
		if math.IsInf(best, -1) {
			if got.Touches != 0 {
				t.Errorf("piece %d touches though no plumb line meets both", n)
			}
			continue
		}
		if best > got.Pitch+1e-6 || best < got.Pitch-0.01 {
			t.Errorf("piece %d turned by %g: pitch %.6f, by plumb lines %.6f", n, turn, got.Pitch, best)
		}
	}
}

func Example() {
	wall := plate(leaning(solid.Vec{X: 100, Z: 50}, math.Pi/6, 0), 80, 100)
	n := stack.Down([]*panel.Flat{wall}, 0, plane.Point{}, func(int) {})
	fmt.Printf("pitch %.1f mm; five are %.0f mm high\n", n.Pitch, n.Stacked(5))
	// Output: pitch 4.0 mm; five are 104 mm high
}
