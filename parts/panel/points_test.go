package panel

import (
	"math"
	"slices"
	"testing"

	"perch/parts/bend"
	"perch/parts/solid"
)

// TestPointsKeepBlanksApart: blanks are one only where the points that joins set are made the
// same way, of one size, at one place and with one direction.
func TestPointsKeepBlanksApart(t *testing.T) {
	p := base(rectAt(0, 0, 60, 40))
	flat := unfold(t, p.Panel)
	at := func(change func(p *Point)) *Flat {
		f := *flat
		f.Points = []Point{
			{Name: "a", Kind: Hole, Diameter: 4, At: f.Faces[0].ToFlat.Apply(pt(20, 10))},
			{Name: "b", Kind: Weld, Diameter: 20, At: f.Faces[0].ToFlat.Apply(pt(45, 30)), Dir: pt(1, 0), In: pt(0, 1)},
		}
		change(&f.Points[0])
		change(&f.Points[1])
		return &f
	}
	of := func(name string, change func(p *Point)) func(p *Point) {
		return func(p *Point) {
			if p.Name == name {
				change(p)
			}
		}
	}
	same := at(func(*Point) {})
	for name, c := range map[string]struct {
		change func(p *Point)
		blanks int
	}{
		"nothing":             {func(*Point) {}, 1},
		"a name":              {func(p *Point) { p.For = "other" }, 1},
		"kind":                {of("a", func(p *Point) { p.Kind = Drill }), 2},
		"made in place":       {of("a", func(p *Point) { p.When = InPlace }), 2},
		"made before, stated": {of("a", func(p *Point) { p.When = Before }), 1},
		"bare":                {of("a", func(p *Point) { p.Bare = true }), 2},
		"size":                {of("a", func(p *Point) { p.Diameter += 1e-4 }), 2},
		"size, rounding":      {of("a", func(p *Point) { p.Diameter += 1e-9 }), 1},
		"place":               {of("a", func(p *Point) { p.At.X += 0.01 }), 2},
		"along":               {of("b", func(p *Point) { p.Dir = pt(0, 1) }), 2},
		"along, backwards":    {of("b", func(p *Point) { p.Dir = pt(-1, 0) }), 1},
		"into the metal":      {of("b", func(p *Point) { p.In = pt(0, -1) }), 2},
	} {
		if blanks, _ := Group([]Part{{Name: "x", Flat: same}, {Name: "y", Flat: at(c.change)}}); len(blanks) != c.blanks {
			t.Errorf("%s: %d blanks, want %d", name, len(blanks), c.blanks)
		}
	}
}

// TestTabsBendAsTheirWalls: a lap's fold is made like the one that its wall hangs by, like the
// first that hangs on it where it hangs on none, and never like a hem.
func TestTabsBendAsTheirWalls(t *testing.T) {
	u := func(folds ...Fold) *unfolder {
		p := &Panel{Stock: sheet, Faces: make([]Face, 4), Folds: folds}
		p.Stock.K = 0.4
		return &unfolder{p: p}
	}
	hem := Fold{A: 1, B: 3, Angle: math.Pi, K: 0.5}
	for _, c := range []struct {
		name   string
		folds  []Fold
		radius float64
	}{
		{"none", nil, sheet.Radius},
		{"of other faces", []Fold{{A: 0, B: 2, Radius: 9}}, sheet.Radius},
		{"its own", []Fold{{A: 0, B: 1, Radius: 5}}, 5},
		{"its own before what hangs on it", []Fold{{A: 1, B: 2, Radius: 7}, {A: 0, B: 1, Radius: 5}}, 5},
		{"the first on it", []Fold{{A: 1, B: 2, Radius: 7}, {A: 1, B: 3, Radius: 8}}, 7},
		{"not a hem", []Fold{hem, {A: 1, B: 2, Radius: 7}}, 7},
		{"a hem alone", []Fold{hem}, sheet.Radius},
	} {
		f := u(c.folds...).lapFold(Seam{Name: "s", A: 1, B: 2})
		if f.A != 1 || f.B != 4 || f.Name != "s" || f.Radius != c.radius {
			t.Errorf("%s: %+v, want radius %g", c.name, f, c.radius)
		}
	}
	if !(bend.Bend{Angle: math.Pi}).ClosedHem() || (bend.Bend{Angle: math.Pi, Radius: 1}).ClosedHem() || (bend.Bend{Angle: 3}).ClosedHem() {
		t.Error("hems are not told from bends")
	}
}

// TestSurfacesAreClosed: of every prism and bend, each edge of a facet is passed both ways, and
// the facets hold the volume of the metal.
func TestSurfacesAreClosed(t *testing.T) {
	b := base(rectAt(0, 0, 100, 60))
	b.hang(0, "flange", pt(100, 60), pt(0, 60), 90, true, rectAt(-50, 0, 50, 20))
	b.Faces[0].Cuts = []Cut{{"hole", rectAt(30, 20, 50, 40)}}
	f := unfold(t, b.Panel)
	for _, s := range f.Solids(0.01) {
		type way struct{ a, b [3]int64 }
		passed := map[way]int{}
		key := func(x, y, z float64) [3]int64 {
			return [3]int64{int64(math.Round(x * 1e6)), int64(math.Round(y * 1e6)), int64(math.Round(z * 1e6))}
		}
		for _, facet := range s.Facets {
			for _, l := range slices.Concat([][]solid.Vec{facet.Loop}, facet.Holes) {
				for i, v := range l {
					w := l[(i+1)%len(l)]
					passed[way{key(v.X, v.Y, v.Z), key(w.X, w.Y, w.Z)}]++
				}
			}
		}
		for e, n := range passed {
			if back := passed[way{e.b, e.a}]; back != n {
				t.Errorf("%s: an edge is passed %d times one way, %d the other", s.Name, n, back)
				break
			}
		}
		if s.Bend != (s.Name == "flange" && volume(s) < 1000) {
			t.Errorf("%s is a bend: %v", s.Name, s.Bend)
		}
	}
}
