package roots

import (
	"math"
	"math/rand/v2"
	"testing"

	"perch/solver/expr"
	"perch/solver/interval"
	"perch/solver/linear"
)

// TestComparisonBounds draws interval matrices with a few entries in a row and matrices
// in them: where they are called regular every solution is within reach.
func TestComparisonBounds(t *testing.T) {
	const n = 70
	rnd := rand.New(rand.NewPCG(5, 6))
	proved := 0
	for round := range 60 {
		b := newSystem(n, -1, 1)
		for i, x := range b.x {
			b.zero(total(x, b.x[(i+1)%n], b.x[(i+n-2)%n]))
		}
		w, _ := b.operator()
		heavy := 0.2 + rnd.Float64() // of the diagonal, about
		for i := range n {
			w.fmid[i], w.frad[i] = rnd.NormFloat64(), 0.1*rnd.Float64()
			for at := w.start[i]; at < w.start[i+1]; at++ {
				w.mid[at], w.rad[at] = rnd.Float64()-0.5, 0.05*rnd.Float64()
				if int(w.vars[at]) == i {
					w.mid[at] = math.Copysign(heavy, w.mid[at])
				}
			}
		}
		if !w.dominant() || !w.reach() {
			continue
		}
		proved++
		for range 5 {
			a, r := make([]float64, n*n), make([]float64, n)
			draw := func(mid, rad float64) float64 { return mid + float64(rad*float64(2*rnd.IntN(2)-1)) }
			for i := range n {
				r[i] = draw(w.fmid[i], w.frad[i])
				for at := w.start[i]; at < w.start[i+1]; at++ {
					a[i*n+int(w.vars[at])] = draw(w.mid[at], w.rad[at])
				}
			}
			inv := make([]float64, n*n)
			if !linear.NewDense(n).Invert(a, inv) {
				t.Fatalf("round %d: called regular", round)
			}
			for k := range n {
				d := 0.0
				for i := range n {
					d += float64(inv[k*n+i] * r[i])
				}
				if math.Abs(d) > w.compare.far[k]*(1+1e-9) {
					t.Fatalf("round %d: %g is beyond %g", round, d, w.compare.far[k])
				}
			}
		}
	}
	t.Logf("%d of 60 are regular", proved)
	if proved < 15 || proved > 55 {
		t.Errorf("%d of 60 are regular: the test shows little", proved)
	}
}

// TestComparisonDoubts holds the tests for one solution to boxes without, with a double
// one, and with two, and to a singular matrix.
func TestComparisonDoubts(t *testing.T) {
	const n = 80
	single := line(n, func(x expr.Expr) expr.Expr { return less(x, num(0.3)) })
	double := line(n, func(x expr.Expr) expr.Expr { return sqr(less(x, num(0.3))) })
	two := line(n, func(x expr.Expr) expr.Expr { return less(sqr(x), num(0.25)) })
	ring := newSystem(n, -2, 2) // 2x[i] = x[i-1] + x[i+1] around: singular
	for i, x := range ring.x {
		ring.zero(less(less(multiple(2, x), ring.x[(i+1)%n]), ring.x[(i+n-1)%n]))
	}
	for _, c := range []struct {
		name    string
		s       *system
		at      []float64 // the box's middle
		e, rest float64   // half widths of its first side and of the others
		want    bool
	}{
		{"one", single, lineFrom(0.3, n), 1e-9, 1e-9, true},
		{"one in a wide box", single, lineFrom(0.3, n), 0.5, 1, true},
		{"none", single, lineFrom(0.5, n), 1e-3, 1e-3, false},
		{"double", double, lineFrom(0.3, n), 1e-9, 1e-9, false},
		{"two", two, lineFrom(0, n), 1, 1, false},
		{"one of two", two, lineFrom(0.5, n), 1e-9, 1e-9, true},
		{"singular", ring, make([]float64, n), 1e-9, 1e-9, false},
	} {
		w, box := c.s.operator()
		if w.sparse == nil {
			t.Fatal("not sparse")
		}
		mid := make([]interval.Interval, n)
		for k, x := range c.at {
			e := c.rest
			if k == 0 {
				e = c.e
			}
			mid[k], box[k] = interval.Point(x), interval.Interval{Lo: x - e, Hi: x + e}
		}
		tight, unique, ok := w.verifyCompared(box, mid)
		if ok != c.want {
			t.Errorf("%s: %v", c.name, ok)
		}
		if _, _, ok := w.verify(box); ok != c.want {
			t.Errorf("%s: %v by whichever test", c.name, ok)
		}
		for k, x := range tight {
			if !(x.Lo > unique[k].Lo && x.Hi < unique[k].Hi && x.Lo-1e-12 <= c.at[k] && c.at[k] <= x.Hi+1e-12) {
				t.Fatalf("%s: %v in %v is not about %v", c.name, x, unique[k], c.at[k])
			}
		}
	}
}

// TestComparedStepKeepsSolutions steps boxes with one, two and no solutions.
func TestComparedStepKeepsSolutions(t *testing.T) {
	const n = 80
	two := line(n, func(x expr.Expr) expr.Expr { return less(sqr(x), num(0.25)) })
	rnd := rand.New(rand.NewPCG(7, 8))
	empty, narrow := 0, 0
	for range 300 {
		w, box := two.operator()
		from, to := -1.2+float64(2.4*rnd.Float64()), -1.2+float64(2.4*rnd.Float64())
		box[0] = interval.Interval{Lo: min(from, to), Hi: max(from, to)}
		st := w.step(box)
		for range 3 {
			if st != Empty {
				st = w.step(box)
			}
		}
		for _, root := range []float64{-0.5, 0.5} {
			x := lineFrom(root, n)
			if root < min(from, to) || root > max(from, to) {
				continue
			}
			for k := range x {
				if st == Empty || !(box[k].Lo-1e-12 <= x[k] && x[k] <= box[k].Hi+1e-12) {
					t.Fatalf("%v to %v: dropped %v: %v", from, to, root, box[0])
				}
			}
		}
		if st == Empty {
			empty++
		} else if box[0].Width() < 1e-3 {
			narrow++
		}
	}
	t.Logf("%d proved empty, %d made narrow", empty, narrow)
	if empty == 0 || narrow == 0 {
		t.Error("no step did anything")
	}
}
