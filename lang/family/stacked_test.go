package family_test

import (
	"cmp"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// metal is a piece as plumb lines meet it: the facets of its surface and nothing of what
// works a stack out.
type metal struct {
	facets []panel.Facet
	boxes  []plane.Box
	places *plane.Places
	near   []int
}

func metalOf(flats []*panel.Flat) *metal {
	m := &metal{}
	for _, f := range flats {
		for _, s := range f.Solids(0.002) {
			facets := s.Facets
			for _, fc := range s.Facets {
				if len(fc.Loop) == 4 && len(fc.Holes) == 0 { // it may be twisted: two triangles
					facets = append(facets[:len(facets):len(facets)], panel.Facet{Loop: fc.Loop[:3]}, panel.Facet{Loop: []solid.Vec{fc.Loop[0], fc.Loop[2], fc.Loop[3]}})
				}
			}
			for _, fc := range facets {
				if len(fc.Loop) == 4 && len(fc.Holes) == 0 {
					continue
				}
				box := plane.EmptyBox()
				for _, p := range fc.Loop {
					box = box.With(plane.Point{X: p.X, Y: p.Y})
				}
				m.facets, m.boxes = append(m.facets, fc), append(m.boxes, box)
			}
		}
	}
	m.places = plane.NewPlaces(m.boxes)
	return m
}

// span is where a plumb line enters and leaves the piece.
func (m *metal) span(p plane.Point) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	m.near = m.places.Near(plane.EmptyBox().With(p), m.near[:0])
	for _, i := range m.near {
		f := m.facets[i]
		var n solid.Vec
		for k := 1; k+1 < len(f.Loop); k++ {
			n = n.Add(f.Loop[k].Sub(f.Loop[0]).Cross(f.Loop[k+1].Sub(f.Loop[0])))
		}
		if math.Abs(n.Z) < 1e-9*n.Len() || !within(p, append([][]solid.Vec{f.Loop}, f.Holes...)) {
			continue
		}
		z := f.Loop[0].Z - (n.X*(p.X-f.Loop[0].X)+n.Y*(p.Y-f.Loop[0].Y))/n.Z
		byHeight := func(a, b solid.Vec) int { return cmp.Compare(a.Z, b.Z) }
		z = max(slices.MinFunc(f.Loop, byHeight).Z, min(z, slices.MaxFunc(f.Loop, byHeight).Z))
		low, high = min(low, z), max(high, z)
	}
	return low, high
}

func within(p plane.Point, loops [][]solid.Vec) bool {
	in := false
	for _, l := range loops {
		for i, a := range l {
			b := l[(i+1)%len(l)]
			if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
				in = !in
			}
		}
	}
	return in
}

// highest moves plumb lines about from drawn places on the metal for as long as it helps.
func (m *metal) highest(rnd *rand.Rand) float64 {
	num := func(r float64) float64 { return (2*rnd.Float64() - 1) * r }
	chord := func(p plane.Point) float64 { low, high := m.span(p); return high - low }
	type start struct {
		at    plane.Point
		chord float64
	}
	var starts []start
	for range 6000 {
		f := m.facets[rnd.IntN(len(m.facets))]
		a, b := f.Loop[rnd.IntN(len(f.Loop))], f.Loop[rnd.IntN(len(f.Loop))]
		at := a.Add(b.Sub(a).Scale(rnd.Float64()))
		p := plane.Point{X: at.X + num(0.5), Y: at.Y + num(0.5)}
		starts = append(starts, start{p, chord(p)})
	}
	slices.SortFunc(starts, func(a, b start) int { return cmp.Compare(b.chord, a.chord) })
	best := math.Inf(-1)
	for _, s := range starts[:60] {
		for step := 4.0; step > 1e-4; {
			moved := false
			for range 16 {
				p := s.at.Add(plane.Point{X: num(step), Y: num(step)})
				if c := chord(p); c > s.chord {
					s, moved = start{p, c}, true
				}
			}
			if !moved {
				step /= 3
			}
		}
		best = max(best, s.chord)
	}
	return best
}

// The pitch of every example against plumb lines through its metal.
func TestStacksOfExamples(t *testing.T) {
	files, err := filepath.Glob("../../examples/*/*.perch")
	if err != nil || len(files) < 10 {
		t.Fatal(files, err)
	}
	for n, file := range files {
		if testing.Short() && n%6 != 0 {
			continue
		}
		prog, diags, err := load.Design(file, shop.Default())
		if err != nil || diag.HasErrors(diags) || prog.Root.File.Design == nil {
			continue // a module
		}
		size := build.Sizes(prog)[0]
		got, diags, err := family.Job{Program: prog, File: file, Shop: shop.Default(), Sizes: []string{size}}.Stacks([]float64{0}, 2)
		if err != nil || diag.HasErrors(diags) {
			t.Errorf("%s: %v %v", file, err, diags)
			continue
		}
		r, _ := build.Size(prog, size, shop.Default(), nil)
		want := metalOf(r.Flats).highest(rand.New(rand.NewPCG(uint64(n), 5)))
		if w := got[0].Ways[0]; math.Abs(w.Pitch-want) > 0.01 {
			t.Errorf("%s: pitch %.4f, by plumb lines %.4f: %+v", file, w.Pitch, want, w)
		}
	}
}

func TestStackOfNothing(t *testing.T) {
	text := "design \"Nothing\" in millimetres\nstock tin = sheet(mild_steel, 2mm)\npanel lid() {\n  face top on level(2mm) { outline rect(60mm, 40mm) }\n}\npart lid[i in 1..0] of tin = lid() loose\n"
	prog, diags, err := load.From(strings.NewReader(text), shop.Default())
	if err != nil || diag.HasErrors(diags) {
		t.Fatal(diags, err)
	}
	got, _, err := (family.Job{Program: prog, Shop: shop.Default()}).Stacks([]float64{0}, 4)
	if err != nil || len(got) != 1 || !slices.Equal(got[0].Lines(4), []string{"only", "  it has no parts"}) {
		t.Errorf("a piece without parts stacks: %+v, %v", got, err)
	}
}

// A piece that settles by less than a hundredth of its height is told to stand on the other, as
// one that does not settle; one that goes down further nests.
func TestStacksInWords(t *testing.T) {
	for _, c := range []struct {
		way  family.StackingWay
		want string
	}{
		{family.StackingWay{Pitch: 50, Height: 200, Touches: 1}, "bind at once and stand on top"},
		{family.StackingWay{Nests: true, Pitch: 49.7, Height: 199.1, Touches: 1}, "bind almost at once, 0.3 mm down, and stand on top"},
		{family.StackingWay{Nests: true, Pitch: 49, Height: 197, Touches: 1}, "49.0 mm from one to the next; 4 are 197 mm high"},
	} {
		lines := family.Stacking{Size: "only", Ways: []family.StackingWay{c.way}}.Lines(4)
		if !strings.Contains(lines[1], c.want) {
			t.Errorf("%q, want %q in it", lines[1], c.want)
		}
	}
}
