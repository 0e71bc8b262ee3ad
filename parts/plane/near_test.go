package plane

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// side is the sign of the exact determinant, in rational numbers.
func side(a, b, c Point) int {
	r := func(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }
	d := func(x, y float64) *big.Rat { return new(big.Rat).Sub(r(x), r(y)) }
	l := new(big.Rat).Mul(d(b.X, a.X), d(c.Y, a.Y))
	return l.Cmp(new(big.Rat).Mul(d(b.Y, a.Y), d(c.X, a.X)))
}

// ulps moves x by n of its last places.
func ulps(x float64, n int) float64 {
	for ; n > 0; n-- {
		x = math.Nextafter(x, math.Inf(1))
	}
	for ; n < 0; n++ {
		x = math.Nextafter(x, math.Inf(-1))
	}
	return x
}

// holdSide holds Orient to the exact side, and to its sign under every order of the points.
func holdSide(t *testing.T, a, b, c Point) int {
	t.Helper()
	want := side(a, b, c)
	for k, got := range []int{Orient(a, b, c), Orient(b, c, a), Orient(c, a, b), -Orient(b, a, c), -Orient(a, c, b), -Orient(c, b, a), orientExact(a, b, c)} {
		if got != want {
			t.Fatalf("%v %v %v: %d in order %d, exactly %d", a, b, c, got, k, want)
		}
	}
	return want
}

// Three pictures of points on a grid of last places about a line, of which plain floats tell
// the side by chance (L. Kettner, K. Mehlhorn, S. Pion, S. Schirra, C. Yap, "Classroom examples
// of robustness problems in geometric computations", Computational Geometry 40, 2008, figure 2).
func TestOrientOnClassroomGrids(t *testing.T) {
	for _, g := range []struct{ p, q, r Point }{
		{Point{0.5, 0.5}, Point{12, 12}, Point{24, 24}},
		{Point{0.50000000000002531, 0.5000000000000171}, Point{17.300000000000001, 17.300000000000001}, Point{24.00000000000005, 24.0000000000000517765}},
		{Point{0.5, 0.5}, Point{8.8000000000000007, 8.8000000000000007}, Point{12.1, 12.1}},
	} {
		seen := map[int]int{}
		wrong := 0
		for i := range 48 {
			for k := range 48 {
				p := Point{g.p.X + float64(i)*0x1p-53, g.p.Y + float64(k)*0x1p-53}
				want := holdSide(t, p, g.q, g.r)
				seen[want]++
				if plain := math.Copysign(1, float64((g.q.X-p.X)*(g.r.Y-p.Y))-float64((g.q.Y-p.Y)*(g.r.X-p.X))); want != 0 && int(plain) != want {
					wrong++
				}
			}
		}
		if seen[1] == 0 || seen[-1] == 0 || wrong == 0 {
			t.Errorf("%v: sides %v, %d wrong in plain floats: the grid shows little", g, seen, wrong)
		}
	}
}

// Points within an ulp or two of a line through points as drawings have them, tenths of
// millimetres up to the size of a sheet, between its ends and beyond them.
func TestOrientWithinAnUlpOfALine(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 12))
	seen := map[int]int{}
	for range 4000 {
		tenth := func() float64 { return float64(rnd.IntN(30000)-15000) / 10 }
		a, b := Point{tenth(), tenth()}, Point{tenth(), tenth()}
		k := float64(rnd.IntN(9)-2) / 4
		c := Point{a.X + float64(k*(b.X-a.X)), a.Y + float64(k*(b.Y-a.Y))}
		c.X, c.Y = ulps(c.X, rnd.IntN(5)-2), ulps(c.Y, rnd.IntN(5)-2)
		seen[holdSide(t, a, b, c)]++
	}
	for _, s := range []int{-1, 0, 1} {
		if seen[s] < 20 {
			t.Errorf("sides %v: the draw shows little", seen)
		}
	}
}

// Lines that are all but level or plumb, points that all but coincide, and sizes at which
// products leave the floats' range on either side.
func TestOrientOfAllButDegenerate(t *testing.T) {
	for _, e := range []float64{0x1p-52, 0x1p-500, 0x1p-1040, 0x1p-1074, 1, 0x1p500, 0x1p1020} {
		p := func(x, y float64) Point { return Point{x * e, y * e} }
		for _, c := range [][3]Point{
			{p(0, 0), p(3, 0), p(1, 0)}, {p(0, 0), p(0, 3), p(0, 1)}, {p(1, 1), p(1, 1), p(2, 3)},
			{p(0, 0), p(3, 3), p(2, 2)}, {p(0, 0), p(3, 3), Point{2 * e, ulps(2*e, 1)}}, {p(0, 0), p(3, 3), Point{ulps(2*e, 1), 2 * e}},
			{p(0, 0), Point{3 * e, ulps(0, 1)}, p(1, 0)}, {p(1, 2), p(1, 2), p(1, 2)},
			{{0, 0}, {1, e}, {2, 2 * e}}, {{0, 0}, {1, e}, {2, ulps(2*e, -1)}}, {{0, 0}, {e, 1}, {2 * e, 2}}, {{0, 0}, {e, 1}, {ulps(2*e, 1), 2}},
		} {
			if c[0].Finite() && c[1].Finite() && c[2].Finite() {
				if want := side(c[0], c[1], c[2]); Orient(c[0], c[1], c[2]) != want {
					t.Errorf("%g: %v: %d, exactly %d", e, c, Orient(c[0], c[1], c[2]), want)
				}
			}
		}
	}
}

// Where a point within an ulp of a slanted edge lies follows from its exact side: a triangle
// holds just the points that are left of all its edges, and two that share an edge hold each
// point beside it once.
func TestLocateWithinAnUlpOfAnEdge(t *testing.T) {
	rnd := rand.New(rand.NewPCG(13, 14))
	sides := map[int]int{}
	for range 2000 {
		tenth := func() float64 { return float64(rnd.IntN(6000)-3000) / 10 }
		a, b := Point{tenth(), tenth()}, Point{tenth(), tenth()}
		d := b.Sub(a)
		if d.Len() < 10 {
			continue
		}
		m := Point{(a.X + b.X) / 2, (a.Y + b.Y) / 2}
		left, right := m.Add(d.Perp()), m.Sub(d.Perp())
		if side(a, b, left) < 0 {
			left, right = right, left
		}
		k := float64(1+rnd.IntN(7)) / 8
		p := Point{a.X + float64(k*d.X), a.Y + float64(k*d.Y)}
		p.X, p.Y = ulps(p.X, rnd.IntN(5)-2), ulps(p.Y, rnd.IntN(5)-2)
		s := side(a, b, p)
		sides[s]++
		one, other := loopOf(a, b, left), loopOf(b, a, right)
		in := [2]bool{windingOf(one, p) > 0, windingOf(other, p) > 0}
		if in[0] == in[1] || s != 0 && in[0] != (s > 0) {
			t.Fatalf("%v beside %v %v, exactly on side %d: in %v", p, a, b, s, in)
		}
	}
	if sides[1] < 50 || sides[-1] < 50 || sides[0] < 5 {
		t.Errorf("sides %v: the draw shows little", sides)
	}
}

// A point exactly on the edge that two triangles share lies in just one of them, whichever way
// the edge leans, and however little.
func TestLocateOnASharedEdge(t *testing.T) {
	for _, d := range []Point{{8, 0}, {0, 8}, {8, 8}, {8, -8}, {8, 0.5}, {8, -0.5}, {0.5, 8}, {-0.5, 8}, {8, 0x1p-20}, {8, -0x1p-20}, {0x1p-20, 8}} {
		for _, way := range []float64{1, -1} {
			a, b := Point{}, d.Scale(way)
			one, other := loopOf(a, b, b.Perp()), loopOf(b, a, b.Perp().Neg())
			for _, k := range []float64{0.25, 0.5, 0.75} {
				p := b.Scale(k)
				if side(a, b, p) != 0 {
					t.Fatalf("%v is not on the edge to %v", p, b)
				}
				if w, v := windingOf(one, p), windingOf(other, p); w+v != 1 {
					t.Errorf("%v on the edge to %v: %d times in one, %d in the other", p, b, w, v)
				}
			}
		}
	}
}

func loopOf(ps ...Point) Loop {
	l := make(Loop, len(ps))
	for i, p := range ps {
		l[i].P = p
	}
	return l
}

// windingOf is how often a loop goes round p.
func windingOf(l Loop, p Point) (w int32) {
	for i := range l {
		w += l.Edge(i).winding(p)
	}
	return w
}

// Squares whose corners lie within an ulp of each other's slanted edges: what they cover
// together and what both cover make up the two of them, and nothing is lost or doubled.
func TestBooleansWithinAnUlp(t *testing.T) {
	rnd := rand.New(rand.NewPCG(15, 16))
	for range 300 {
		angle := float64(rnd.IntN(628)) / 100
		turn := Rotate(angle)
		a := Region{Rect(100, 60).Transform(turn)}
		// its edge's middle, moved by an ulp or two, is a corner of the other
		e := a[0].Edge(rnd.IntN(4))
		c := e.Mid()
		c.X, c.Y = ulps(c.X, rnd.IntN(5)-2), ulps(c.Y, rnd.IntN(5)-2)
		out := e.From.Sub(e.To).Perp().Unit()
		along := e.To.Sub(e.From).Unit()
		reach := float64(20 + rnd.IntN(40))
		if rnd.IntN(2) == 0 {
			out = out.Neg() // into it, through the far side or not
		}
		far := c.Add(out.Scale(reach))
		b := Region{loopOf(c, far.Add(along.Scale(15)), far.Sub(along.Scale(15)))}
		if b.Area() < 0 {
			b[0].reverse()
		}
		or, and, sub := Union(a, b).Area(), Intersect(a, b).Area(), Subtract(a, b).Area()
		if math.Abs(or+and-a.Area()-b.Area()) > 1e-3 || math.Abs(sub+and-a.Area()) > 1e-3 {
			t.Fatalf("at %v: together %v, both %v, first alone %v of %v and %v", angle, or, and, sub, a.Area(), b.Area())
		}
	}
}

// Lines that are parallel but for the last place cross, where they do, between their ends.
func TestCrossingOfAllButParallel(t *testing.T) {
	for n := -3; n <= 3; n++ {
		a, b := Point{0, 0}, Point{1000, 333.3}
		c, d := Point{0, ulps(0.1, n) - 0.1}, Point{1000, ulps(333.3, -n)}
		x := lineCrossing(a, b, c, d)
		if !x.Finite() || x.X < 0 || x.X > 1000 || math.Abs(x.Y-0.3333*x.X) > 1e-9 {
			t.Errorf("%d: %v", n, x)
		}
	}
}
