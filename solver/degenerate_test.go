package solver

import (
	"math"
	"testing"

	"perch/solver/interval"
)

// TestDegeneratePoints asks for the largest x where inequalities alone leave one point, or
// none; each follows from a drawing.
func TestDegeneratePoints(t *testing.T) {
	from := func(x Expr, c float64) Expr {
		return Product(Difference(x, Const(c)), Difference(x, Const(c)))
	}
	disc := func(x, y Expr, a, b float64) Expr { return Sum(from(x, a), from(y, b)) }
	for name, c := range map[string]struct {
		say  func(b build, x, y Expr)
		x, y float64 // NaN where there is none
	}{
		"origin": {func(b build, x, y Expr) {
			b.rel(Sum(Product(x, x), Product(y, y)), LE, Const(0))
		}, 0, 0},
		"a point": {func(b build, x, y Expr) { b.rel(disc(x, y, 3.1, 4.7), LE, Const(0)) }, 3.1, 4.7},
		"a skew point": {func(b build, x, y Expr) {
			b.rel(Sum(disc(x, y, 1.3, -2.7), Product(Difference(x, Const(1.3)), Difference(y, Const(-2.7)))), LE, Const(0))
		}, 1.3, -2.7},
		"either way": {func(b build, x, y Expr) {
			b.rel(x, LE, y)
			b.rel(y, LE, x)
			b.rel(Sum(x, y), LE, Const(3))
			b.rel(x, GE, Const(1.5))
		}, 1.5, 1.5},
		"a corner": {func(b build, x, y Expr) {
			b.rel(Sum(x, y), LE, Const(7))
			b.rel(Difference(x, y), GE, Const(1.5))
			b.rel(y, GE, Const(2.75))
		}, 4.25, 2.75},
		"a line that touches a disc": {func(b build, x, y Expr) {
			b.rel(disc(x, y, 0, 0), LE, Const(25))
			b.rel(Sum(Product(Const(3), x), Product(Const(4), y)), GE, Const(25))
		}, 3, 4},
		"in hundredths": {func(b build, x, y Expr) {
			b.rel(disc(Product(Const(100), x), Product(Const(100), y), 0, 0), LE, Const(250000))
			b.rel(Sum(Product(Const(300), x), Product(Const(400), y)), GE, Const(2500))
		}, 3, 4},
		"through a third name": {func(b build, x, y Expr) {
			z := b.v("z", -100, 100)
			b.rule(z, disc(x, y, 0, 0))
			b.rel(z, LE, Const(25))
			b.rel(Sum(Product(Const(3), x), Product(Const(4), y)), GE, Const(25))
		}, 3, 4},
		"a line that touches a parabola": {func(b build, x, y Expr) {
			b.rel(y, GE, Product(x, x))
			b.rel(y, LE, Difference(Product(Const(2), x), Const(1)))
		}, 1, 1},
		"a line just below a parabola": {func(b build, x, y Expr) {
			b.rel(y, GE, Product(x, x))
			b.rel(y, LE, Difference(Product(Const(2), x), Const(1.001)))
		}, nan, nan},
		"discs that touch": {func(b build, x, y Expr) { // five apart, two and three wide
			b.rel(disc(x, y, 1, 1), LE, Const(4))
			b.rel(disc(x, y, 4, 5), LE, Const(9))
		}, 2.2, 2.6},
		"discs just apart": {func(b build, x, y Expr) {
			b.rel(disc(x, y, 1, 1), LE, Const(4))
			b.rel(disc(x, y, 4, 5), LE, Const(8.999))
		}, nan, nan},
	} {
		b := begin(t)
		x, y := b.v("x", -10, 10), b.v("y", -10, 10)
		c.say(b, x, y)
		for _, sense := range []Sense{Largest, Smallest} {
			o := b.Extremum(x, sense)
			if math.IsNaN(c.x) {
				if o.Status != None || !math.IsNaN(o.Value) {
					t.Errorf("%s: %v at %v, there is none", name, o.Status, o.Values)
				}
				continue
			}
			// what is forgiven, 1e-9, leaves room for its root about a touch
			if !o.Certain || !(math.Abs(o.Value-c.x) <= 5e-5 && math.Abs(o.Values[1]-c.y) <= 5e-5) {
				t.Errorf("%s: %v, bound %v, certain %t, by hand %v, %v", name, o.Values, o.Bound, o.Certain, c.x, c.y)
			}
		}
	}
}

// TestOpposedLimitsKeepTheirPoint holds the sum of limits that oppose each other to the one
// point that satisfies them, where a line touches a disc: the sum has to be defined there and
// leave the point in.
func TestOpposedLimitsKeepTheirPoint(t *testing.T) {
	b := begin(t)
	x, y := b.v("x", -10, 10), b.v("y", -10, 10)
	b.rel(Sum(Product(x, x), Product(y, y)), LE, Const(25))
	b.rel(Sum(Product(Const(3), x), Product(Const(4), y)), GE, Const(25))
	w := newScratch(compileSystem(b.System))
	q := w.p.query()
	o := w.run(q)
	c := newExtreme(b.System, q, o, o.solutions[0], x, Largest)
	rows := c.opposed([]float64{3, 4})
	if len(rows) != 1 {
		t.Fatalf("%d sums", len(rows))
	}
	box := make([]interval.Interval, len(c.open))
	for k, v := range c.open {
		box[k] = interval.Point([]float64{3, 4, 3}[v])
	}
	if y := rows[0].Over(box); y.IsEmpty() || y.Lo > 1e-9 {
		t.Errorf("the sum is %v at the point, which has to be at most 0", y)
	}
	for k := range box {
		box[k] = interval.Interval{Lo: box[k].Lo - 0.01, Hi: box[k].Hi + 0.01}
	}
	if !rows[0].Revise(box) {
		t.Error("the sum drops the point's surroundings")
	}
}
