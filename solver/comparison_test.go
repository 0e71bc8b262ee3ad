package solver

import (
	"math"
	"math/rand/v2"
	"testing"
)

// operator is the interval Newton operator of a System whose rules are one large block,
// with its box; rules and names keep their order.
func operator(s *System) (*newton, []interval) {
	p := compileSystem(s)
	n := len(p.vars)
	local, scale, box := make([]int32, n), make([]float64, n), make([]interval, n)
	for k, v := range p.vars {
		local[k], scale[k], box[k] = int32(k), 1, interval{lo: v.lo, hi: v.hi}
	}
	rows := make([]row, n)
	for i := range rows {
		rows[i] = newRow(&p.tapes[i], 0, local, make([]float64, n))
	}
	w := makeNewton(rows, n, scale)
	return &w, box
}

// TestComparisonBounds draws interval matrices with a few entries in a row and matrices
// in them: where they are called regular every solution is within reach.
func TestComparisonBounds(t *testing.T) {
	const n = 70
	rnd := rand.New(rand.NewPCG(5, 6))
	proved := 0
	for round := range 60 {
		b := begin(t)
		x := b.names(n, -1, 1)
		for i := range x {
			b.zero(total(x[i], x[(i+1)%n], x[(i+n-2)%n]))
		}
		w, _ := operator(b.System)
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
			a, r := make([][]float64, n), make([]float64, n)
			draw := func(mid, rad float64) float64 { return mid + float64(rad*float64(2*rnd.IntN(2)-1)) }
			for i := range n {
				a[i] = make([]float64, n)
				r[i] = draw(w.fmid[i], w.frad[i])
				for at := w.start[i]; at < w.start[i+1]; at++ {
					a[i][w.vars[at]] = draw(w.mid[at], w.rad[at])
				}
			}
			inv := invertPlain(a)
			for k := range n {
				d := 0.0
				for i := range n {
					d += float64(inv[k][i] * r[i])
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

// line is n rules: a first, for x[0], and 3x[i] = x[i-1] + x[i+1] + 1.
func line(t *testing.T, n int, first func(x Expr) Expr) *System {
	b := begin(t)
	x := b.names(n, -2, 2)
	b.zero(first(x[0]))
	for i := 1; i < n; i++ {
		e := less(less(multiple(3, x[i]), x[i-1]), num(1))
		if i < n-1 {
			e = less(e, x[i+1])
		}
		b.zero(e)
	}
	return b.System
}

// TestComparisonDoubts holds the tests for one solution to boxes without, with a double
// one, and with two, and to a singular matrix.
func TestComparisonDoubts(t *testing.T) {
	const n = 80
	single := line(t, n, func(x Expr) Expr { return less(x, num(0.3)) })
	double := line(t, n, func(x Expr) Expr { return sqr(less(x, num(0.3))) })
	two := line(t, n, func(x Expr) Expr { return less(sqr(x), num(0.25)) })
	ring := begin(t) // 2x[i] = x[i-1] + x[i+1] around: singular
	for i, x := 0, ring.names(n, -2, 2); i < n; i++ {
		ring.zero(less(less(multiple(2, x[i]), x[(i+1)%n]), x[(i+n-1)%n]))
	}
	for _, c := range []struct {
		name    string
		s       *System
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
		{"singular", ring.System, make([]float64, n), 1e-9, 1e-9, false},
	} {
		w, box := operator(c.s)
		if w.sparse == nil {
			t.Fatal("not sparse")
		}
		mid := make([]interval, n)
		for k, x := range c.at {
			e := c.rest
			if k == 0 {
				e = c.e
			}
			mid[k], box[k] = point(x), interval{lo: x - e, hi: x + e}
		}
		tight, unique, ok := w.verifyCompared(box, mid)
		if ok != c.want {
			t.Errorf("%s: %v", c.name, ok)
		}
		if _, _, ok := w.verify(box); ok != c.want {
			t.Errorf("%s: %v by whichever test", c.name, ok)
		}
		for k, x := range tight {
			if !(x.lo > unique[k].lo && x.hi < unique[k].hi && x.lo-1e-12 <= c.at[k] && c.at[k] <= x.hi+1e-12) {
				t.Fatalf("%s: %v in %v is not about %v", c.name, x, unique[k], c.at[k])
			}
		}
	}
}

// lineFrom solves the rules of line for a first value, by elimination.
func lineFrom(x0 float64, n int) []float64 {
	x := make([]float64, n)
	x[0] = x0
	c, d := make([]float64, n), make([]float64, n) // x[i] = c·x[i+1] + d
	d[0] = x0
	for i := 1; i < n; i++ {
		p := 3 - c[i-1]
		c[i], d[i] = 1/p, (1+d[i-1])/p
	}
	for i := n - 1; i > 0; i-- {
		x[i] = d[i]
		if i < n-1 {
			x[i] += float64(c[i] * x[i+1])
		}
	}
	return x
}

// TestComparedStepKeepsSolutions steps boxes with one, two and no solutions.
func TestComparedStepKeepsSolutions(t *testing.T) {
	const n = 80
	two := line(t, n, func(x Expr) Expr { return less(sqr(x), num(0.25)) })
	rnd := rand.New(rand.NewPCG(7, 8))
	empty, narrow := 0, 0
	for range 300 {
		w, box := operator(two)
		from, to := -1.2+float64(2.4*rnd.Float64()), -1.2+float64(2.4*rnd.Float64())
		box[0] = interval{lo: min(from, to), hi: max(from, to)}
		st := w.step(box)
		for range 3 {
			if st != stepEmpty {
				st = w.step(box)
			}
		}
		for _, root := range []float64{-0.5, 0.5} {
			x := lineFrom(root, n)
			if root < min(from, to) || root > max(from, to) {
				continue
			}
			for k := range x {
				if st == stepEmpty || !(box[k].lo-1e-12 <= x[k] && x[k] <= box[k].hi+1e-12) {
					t.Fatalf("%v to %v: dropped %v: %v", from, to, root, box[0])
				}
			}
		}
		if st == stepEmpty {
			empty++
		} else if box[0].width() < 1e-3 {
			narrow++
		}
	}
	t.Logf("%d proved empty, %d made narrow", empty, narrow)
	if empty == 0 || narrow == 0 {
		t.Error("no step did anything")
	}
}
