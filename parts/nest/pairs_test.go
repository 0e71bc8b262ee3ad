package nest

import (
	"context"
	"testing"

	"perch/parts/plane"
)

func outlined(xy ...float64) plane.Region {
	var l plane.Loop
	for i := 0; i+1 < len(xy); i += 2 {
		l = append(l, plane.Vertex{P: point{X: xy[i], Y: xy[i+1]}})
	}
	return plane.Region{l}
}

var (
	triangle = outlined(0, 0, 300, 0, 0, 200)
	tromino  = outlined(0, 0, 200, 0, 200, 100, 100, 100, 100, 200, 0, 200)
	// A gusset: a right angle with a cut corner.
	gusset = outlined(0, 0, 150, 0, 150, 20, 20, 150, 0, 150)
)

func pairJob(r plane.Region, n int, length, width float64) Job {
	return Job{
		Blanks: []Blank{{Name: "b", Region: r, Count: n, Material: "m", Thickness: 2}},
		Sheets: []Sheet{{Name: "s", Material: "m", Thickness: 2, Length: length, Width: width}},
	}
}

// Two of each make a rectangle, or nearly; a rectangle and a disc gain nothing.
func TestBestPair(t *testing.T) {
	for _, c := range []struct {
		name string
		r    plane.Region
		box  float64 // area of the pair's box
	}{
		{"triangle", triangle, 300 * 200},
		{"tromino", tromino, 300 * 200},
		// The slopes on each other: a square with two corners cut, 170 mm wide.
		{"gusset", gusset, 170 * 170},
		{"rectangle", outlined(0, 0, 300, 0, 300, 200, 0, 200), 0},
		{"disc", plane.Region{plane.Circle(100)}, 0},
	} {
		j := pairJob(c.r, 2, 1000, 1000)
		gs, err := grouped(context.Background(), &j, Options{})
		if err != nil {
			t.Fatal(err)
		}
		g := gs[0]
		g.addPair(0)
		if (len(g.forms) == 2) != (c.box > 0) {
			t.Errorf("%s: %d forms", c.name, len(g.forms))
			continue
		}
		if c.box == 0 {
			continue
		}
		p := g.forms[1].pair
		both := append(c.r.Clone(), c.r.Transform(p.move())...)
		s := both.Bounds().Size()
		if a := s.X * s.Y; a < c.box-1e-6 || a > 1.001*c.box {
			t.Errorf("%s: the pair takes %.3f × %.3f = %.0f mm², want %.0f", c.name, s.X, s.Y, a, c.box)
		}
		if shared := plane.Intersect(both[:1], both[1:]).Area(); shared > 0 {
			t.Errorf("%s: they share %g mm²", c.name, shared)
		}
	}
}

// Congruent triangles, trominoes and gussets lie as densely as the rectangles that
// two of them make.
func TestPairsFillRectangles(t *testing.T) {
	for i, c := range []struct {
		name          string
		r             plane.Region
		n             int
		length, width float64
	}{
		{"triangles", triangle, 20, 1002, 602}, // 10 of 300 × 200: 99.5 %
		{"trominoes", tromino, 8, 601, 401},    // 4 of 300 × 200: 99.6 %
		{"gussets", gusset, 32, 682, 682},      // 16 of 170 × 170
	} {
		if testing.Short() && i != 1 {
			continue
		}
		j := pairJob(c.r, c.n, c.length, c.width)
		r, err := Sheets(context.Background(), j, Options{Effort: 0.2})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if len(r.Sheets) != 1 {
			t.Errorf("%s: %d sheets", c.name, len(r.Sheets))
			continue
		}
		t.Logf("%s: %.1f %% of the sheet, work %.2g", c.name, 100*r.Sheets[0].Density, float64(r.Work))
	}
}
