package solver

import (
	"math"
	"testing"

	"perch/solver/elementary"
	"pgregory.net/rapid"
)

// Derivatives against central differences, and enclosures around point values.
func TestDerivativesAndEnclosures(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const n = 3
		var xs []Expr
		x := make([]float64, n)
		for i := range n {
			xs = append(xs, Var(i).Expr())
			x[i] = rapid.Float64Range(-2, 2).Draw(t, "x")
		}
		tp := compile(randomExpr(t, xs, 4), Const(0), n)
		size := tp.size()
		buf, adj, grad := make([]float64, size), make([]float64, size), make([]float64, n)
		if !elementary.Finite(tp.eval(x, buf)) {
			t.Skip("undefined")
		}
		tp.gradient(buf, adj, grad)
		dual := make([]dual, size)
		for _, v := range tp.vars {
			const h = 1e-5
			old := x[v]
			box := interval{lo: old - h, hi: old + h}
			e := tp.enclose(v, box, x, dual)
			x[v] = old + h
			hi := tp.eval(x, buf)
			x[v] = old - h
			lo := tp.eval(x, buf)
			x[v] = old
			mid := tp.eval(x, buf)
			for _, y := range []float64{lo, mid, hi} {
				if !e.v.has(y) {
					t.Fatalf("%v outside %v", y, e.v)
				}
			}
			slope := (hi - lo) / (2 * h)
			if !(e.d.lo-1e-6*(1+math.Abs(slope)) <= slope && slope <= e.d.hi+1e-6*(1+math.Abs(slope))) {
				t.Fatalf("slope %v outside %v", slope, e.d)
			}
			if e.d.width() < 1e-2 && math.Abs(grad[v]-slope) > 1e-2+1e-5*math.Abs(slope) {
				t.Fatalf("gradient %v, difference %v, enclosure %v", grad[v], slope, e.d)
			}
		}
	})
}

func TestPartialsOfEveryOperation(t *testing.T) {
	x, y := Var(0).Expr(), Var(1).Expr()
	at := []float64{0.37, 1.9}
	for _, e := range []Expr{
		Sum(x, y), Difference(x, y), Product(x, y), Quotient(x, y), Power(x, y), Power(y, x), Power(x, Const(3)), Power(x, Const(-2)), Negative(x), Sin(x), Cos(x), Tan(x),
		Asin(x), Acos(x), Atan(x), Sqrt(x), Exp(x), Ln(x), Abs(Negative(x)), Min(x, y), Max(x, y),
		Round(x, y), Floor(y, x), Ceil(y, x), Lookup(x, []float64{0, 1, 2}, []float64{3, 5, 4}),
	} {
		tp := compile(e, Const(0), 2)
		buf, adj, grad := make([]float64, 8), make([]float64, 8), make([]float64, 2)
		tp.eval(at, buf)
		tp.gradient(buf, adj, grad)
		for v := range 2 {
			const h = 1e-6
			p := []float64{at[0], at[1]}
			p[v] += h
			hi := tp.eval(p, buf)
			p[v] -= 2 * h
			lo := tp.eval(p, buf)
			if d := (hi - lo) / (2 * h); math.Abs(d-grad[v]) > 1e-7*(1+math.Abs(d)) {
				t.Errorf("operation %d by %d: %v, difference %v", e.n.op, v, grad[v], d)
			}
		}
	}
}

// The rows of blocks: slopes bound every difference, and narrowing a box drops no
// solution.
func TestRowsAreHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const n = 3
		var xs []Expr
		local := []int32{0, 1, 2}
		box, c, x := make([]interval, n), make([]interval, n), make([]float64, n)
		for i := range n {
			xs = append(xs, Var(i).Expr())
			lo := rapid.Float64Range(-4, 4).Draw(t, "lo")
			hi := lo + rapid.Float64Range(0, 3).Draw(t, "width")
			box[i] = interval{lo: lo, hi: hi}
			c[i] = point(lo + rapid.Float64Range(0, 1).Draw(t, "c")*(hi-lo))
			x[i] = lo + rapid.Float64Range(0, 1).Draw(t, "x")*(hi-lo)
			c[i].lo = math.Min(c[i].lo, hi)
			c[i].hi, x[i] = c[i].lo, math.Min(x[i], hi)
		}
		e := randomExpr(t, xs, 4)
		switch rapid.IntRange(0, 3).Draw(t, "shape") {
		case 0:
			e = Sum(e, e)
		case 1:
			e = Product(e, Product(e, e))
		case 2:
			e = Quotient(Power(e, Const(4)), Sum(Const(2), Cos(e)))
		}
		tp := compile(e, Const(0), n)
		buf := make([]float64, tp.size())
		y := tp.eval(x, buf)
		if !elementary.Finite(y) || math.Abs(y) > 1e9 {
			t.Skip("undefined")
		}
		r := newRow(&tp, 0, local, x)
		f, v := r.atCenter(c), r.over(box)
		near := float64(1e-9 * (1 + math.Abs(y)))
		if !(v.lo-near <= y && y <= v.hi+near) {
			t.Fatalf("%v is not in %v", y, v)
		}
		slopes := r.slopes()
		total := f
		for at, k := range r.vars {
			total = add(total, mul(slopes[at], sub(point(x[k]), c[k])))
		}
		if !total.partial && !(total.lo-near <= y && y <= total.hi+near) {
			t.Fatalf("%v is not in the centered form %v", y, total)
		}
		zero := newRow(&tp, y, local, x) // x solves it
		zero.want = interval{lo: -near, hi: near}
		for k := range 3 {
			if !zero.revise(box) || k > 0 && !zero.recenter(box, make([]interval, n)) {
				t.Fatalf("dropped the box of %v", x)
			}
			for i := range x {
				if !box[i].has(x[i]) {
					t.Fatalf("dropped %v: %v", x, box)
				}
			}
		}
	})
}
