package plane

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func at(l Loop, x, y float64) Loop { return l.Transform(Translate(Point{x, y})) }

func hole(l Loop) Loop { return l.Reversed() }

// booleanCases are numbered degenerate pairs. Areas are of a∪b, a∩b and a−b;
// loops are the numbers of loops and vertices of the three results.
var booleanCases = []struct {
	name         string
	a, b         Region
	or, and, sub float64
	loops, verts [3]int
}{
	{"01 crossing squares", Region{Rect(10, 10)}, Region{at(Rect(10, 10), 5, 5)}, 175, 25, 75, [3]int{1, 1, 1}, [3]int{8, 4, 6}},
	{"02 same square", Region{Rect(10, 10)}, Region{Rect(10, 10)}, 100, 100, 0, [3]int{1, 1, 0}, [3]int{4, 4, 0}},
	{"03 whole shared edge, opposite direction", Region{Rect(10, 10)}, Region{at(Rect(10, 10), 10, 0)}, 200, 0, 100, [3]int{1, 0, 1}, [3]int{4, 0, 4}},
	{"04 partly shared edge, opposite direction", Region{Rect(10, 10)}, Region{at(Rect(10, 10), 10, 3)}, 200, 0, 100, [3]int{1, 0, 1}, [3]int{8, 0, 4}},
	{"05 partly shared edge, same direction", Region{Rect(10, 10)}, Region{at(Rect(4, 4), 1, -3)}, 100, 16, 84, [3]int{1, 1, 1}, [3]int{4, 4, 8}},
	{"06 touch in a corner", Region{Rect(10, 10)}, Region{at(Rect(10, 10), 10, 10)}, 200, 0, 100, [3]int{2, 0, 1}, [3]int{8, 0, 4}},
	{"07 vertex on edge", Region{Rect(10, 10)}, path(nil2, "M 5 0 L 10 -5 L 10 5 Z"), 125, 0, 100, [3]int{2, 0, 1}, [3]int{7, 0, 4}},
	{"08 vertex on edge from inside", Region{Rect(10, 10)}, path(nil2, "M 5 0 L 0 3 L 0 -3 Z"), 100, 15, 85, [3]int{1, 1, 2}, [3]int{4, 3, 7}},
	{"09 hole within", Region{Rect(10, 10)}, Region{Rect(4, 4)}, 100, 16, 84, [3]int{1, 1, 2}, [3]int{4, 4, 8}},
	{"10 apart", Region{Rect(10, 10)}, Region{at(Rect(10, 10), 30, 0)}, 200, 0, 100, [3]int{2, 0, 1}, [3]int{8, 0, 4}},
	{"11 empty b", Region{Rect(10, 10)}, nil, 100, 0, 100, [3]int{1, 0, 1}, [3]int{4, 0, 4}},
	{"12 empty a", nil, Region{Rect(10, 10)}, 100, 0, 0, [3]int{1, 0, 0}, [3]int{4, 0, 0}},
	{"13 same circle", Region{Circle(10)}, Region{Circle(10)}, math.Pi * 25, math.Pi * 25, 0, [3]int{1, 1, 0}, [3]int{2, 2, 0}},
	{"14 same circle, other vertices", Region{Circle(10)}, Region{Circle(10).Transform(Rotate(1))}, math.Pi * 25, math.Pi * 25, 0, [3]int{1, 1, 0}, [3]int{2, 2, 0}},
	{"15 circles tangent outside", Region{Circle(10)}, Region{at(Circle(6), 8, 0)}, math.Pi * 34, 0, math.Pi * 25, [3]int{2, 0, 1}, [3]int{4, 0, 2}},
	{"16 circles tangent inside", Region{Circle(10)}, Region{at(Circle(6), 0, 2)}, math.Pi * 25, math.Pi * 9, math.Pi * 16, [3]int{1, 1, 2}, [3]int{2, 2, 4}},
	{"17 circle tangent to edge outside", Region{Rect(10, 10)}, Region{at(Circle(6), 8, 1)}, 100 + math.Pi*9, 0, 100, [3]int{2, 0, 1}, [3]int{6, 0, 4}},
	{"18 circle tangent to edge inside", Region{Rect(10, 10)}, Region{at(Circle(6), 2, 1)}, 100, math.Pi * 9, 100 - math.Pi*9, [3]int{1, 1, 2}, [3]int{4, 2, 6}},
	{"19 circle inscribed", Region{Rect(10, 10)}, Region{Circle(10)}, 100, 25 * math.Pi, 100 - 25*math.Pi, [3]int{1, 1, 4}, [3]int{4, 2, 12}},
	{"20 slot end on its own circle", Region{Slot(30, 10)}, Region{at(Circle(10), 10, 0)}, 200 + 25*math.Pi, 25 * math.Pi, 200 - 0.0, [3]int{1, 1, 1}, [3]int{4, 2, 4}},
	{"21 hole filled exactly", Region{Rect(10, 10), hole(Rect(4, 4))}, Region{Rect(4, 4)}, 100, 0, 84, [3]int{1, 0, 2}, [3]int{4, 0, 8}},
	{"22 nested island in hole", Region{Rect(20, 20), hole(Rect(12, 12)), Rect(4, 4)}, Region{Rect(8, 8)}, 400 - 144 + 64, 16, 256, [3]int{3, 1, 2}, [3]int{12, 4, 8}},
	{"23 cut through ring", Region{Circle(20), hole(Circle(10))}, Region{at(Rect(40, 40), 0, 20)}, 1600 + math.Pi*37.5, math.Pi * 37.5, math.Pi * 37.5, [3]int{2, 1, 1}, [3]int{8, 4, 4}},
	{"24 corners nearly coincident", Region{Rect(10, 10)}, Region{at(Rect(10, 10), 10+3e-8, 4e-9)}, 200, 0, 100, [3]int{1, 0, 1}, [3]int{4, 0, 4}},
	{"25 edges nearly coincident", Region{Rect(10, 10)}, Region{at(Rect(6, 10), 8-5e-8, 1)}, 160, 0, 100, [3]int{1, 0, 1}, [3]int{8, 0, 4}},
	{"26 sliver left", Region{Rect(10, 10)}, Region{Rect(10, 10-3e-7)}, 100, 100, 0, [3]int{1, 1, 0}, [3]int{4, 4, 0}},
}

// nil2 stands for a test where a case table is built before any test runs.
var nil2 = &testing.T{}

func sizes(r Region) (loops, verts int) {
	for _, l := range r {
		verts += len(l)
	}
	return len(r), verts
}

func TestBooleanDegenerate(t *testing.T) {
	for _, c := range booleanCases {
		t.Run(c.name, func(t *testing.T) {
			want := [3]float64{c.or, c.and, c.sub}
			for k, r := range [3]Region{Union(c.a, c.b), Intersect(c.a, c.b), Subtract(c.a, c.b)} {
				loops, verts := sizes(r)
				if math.Abs(r.Area()-want[k]) > 1e-5 || loops != c.loops[k] || verts != c.verts[k] {
					t.Errorf("%s: area %.9g loops %d vertices %d, want %.9g %d %d\n%s",
						[3]string{"union", "intersection", "difference"}[k], r.Area(), loops, verts, want[k], c.loops[k], c.verts[k], format(r))
				}
			}
		})
	}
}

// outline draws a star-shaped loop about c with some edges bowed.
func outline(t *rapid.T, label string, grid float64) Loop {
	n := rapid.IntRange(3, 9).Draw(t, label+" n")
	c := Point{rapid.Float64Range(-8, 8).Draw(t, label+" x"), rapid.Float64Range(-8, 8).Draw(t, label+" y")}
	l := make(Loop, 0, n)
	for i := range n {
		r := rapid.Float64Range(4, 15).Draw(t, label+" r")
		p := c.Add(Polar(r, 2*math.Pi*float64(i)/float64(n)))
		if grid > 0 {
			p = Point{math.Round(p.X/grid) * grid, math.Round(p.Y/grid) * grid}
		}
		var b float64
		if rapid.Bool().Draw(t, label+" arc") {
			b = float64(rapid.IntRange(-150, 300).Draw(t, label+" bulge")) / 1000
		}
		l = append(l, Vertex{p, b})
	}
	return l
}

func simpleOutline(t *rapid.T, label string, grid float64) Loop {
	l := outline(t, label, grid)
	if Check(l) != nil || l.Area() < 1 {
		t.Skip("not simple")
	}
	return l
}

func TestBooleanAreas(t *testing.T) {
	for _, grid := range []float64{0, 1, 4} {
		rapid.Check(t, func(t *rapid.T) {
			a := Region{simpleOutline(t, "a", grid)}
			b := Region{simpleOutline(t, "b", grid)}
			checkAreas(t, a, b)
			h := Region{simpleOutline(t, "h", grid)}
			checkAreas(t, Subtract(a, h), Subtract(b, h))
			checkAreas(t, Subtract(a, h), Union(b, h))
		})
	}
}

type failer interface{ Fatalf(string, ...any) }

func checkAreas(t failer, a, b Region) {
	or, and, sub, bus := Union(a, b), Intersect(a, b), Subtract(a, b), Subtract(b, a)
	near := func(what string, x, y float64) {
		if !(math.Abs(x-y) < 1e-4) {
			t.Fatalf("%s: %.9g and %.9g\na %s\nb %s", what, x, y, format(a), format(b))
		}
	}
	near("or + and", or.Area()+and.Area(), a.Area()+b.Area())
	near("sub + and", sub.Area()+and.Area(), a.Area())
	near("bus + and", bus.Area()+and.Area(), b.Area())
	near("or again", Union(or, a).Area(), or.Area())
	near("and again", Intersect(and, b).Area(), and.Area())
	near("sub meets b", Intersect(sub, b).Area(), 0)
	near("parts", Union(Union(sub, and), bus).Area(), or.Area())
}

func BenchmarkUnionTenEdges(b *testing.B) {
	x, y := Region{Ngon(10, 100)}, Region{at(Ngon(10, 100), 30, 20)}
	b.ReportAllocs()
	for b.Loop() {
		Union(x, y)
	}
}

// A plate with many holes, a bar cut out: what is clear of the bar must cost little.
func BenchmarkSubtractManyHoles(b *testing.B) {
	plate := Region{Rect(1000, 1000)}
	for i := range 400 {
		plate = append(plate, hole(at(Circle(10), float64(i%20)*45-430, float64(i/20)*45-430)))
	}
	bar := Region{Rect(2000, 30)}
	b.ReportAllocs()
	for b.Loop() {
		Subtract(plate, bar)
	}
}
