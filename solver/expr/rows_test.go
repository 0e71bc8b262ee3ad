package expr

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"perch/solver/elementary"
	"perch/solver/interval"
)

// draw makes an expression of any of the table's operations over xs.
func draw(t *rapid.T, xs []Expr, depth int) Expr {
	if depth == 0 || rapid.IntRange(0, 3).Draw(t, "leaf") == 0 {
		if rapid.Bool().Draw(t, "name") {
			return rapid.SampledFrom(xs).Draw(t, "x")
		}
		return Const(rapid.Float64Range(-5, 5).Draw(t, "number"))
	}
	op := Op(rapid.IntRange(int(OpAdd), int(OpCeil)).Draw(t, "op"))
	n := &node{op: op, a: draw(t, xs, depth-1).node()}
	switch {
	case op == OpRound || op == OpFloor || op == OpCeil:
		n.b = Const(rapid.Float64Range(0.1, 3).Draw(t, "step")).node()
	case op.binary():
		n.b = draw(t, xs, depth-1).node()
	}
	return Expr{n}
}

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
		tp := Compile(draw(t, xs, 4), Const(0), n)
		size := tp.Size()
		buf, adj, grad := make([]float64, size), make([]float64, size), make([]float64, n)
		if !elementary.Finite(tp.Eval(x, buf)) {
			t.Skip("undefined")
		}
		tp.Gradient(buf, adj, grad)
		dual := make([]Dual, size)
		for _, v := range tp.Vars {
			const h = 1e-5
			old := x[v]
			box := interval.Interval{Lo: old - h, Hi: old + h}
			e := tp.Enclose(v, box, x, dual)
			x[v] = old + h
			hi := tp.Eval(x, buf)
			x[v] = old - h
			lo := tp.Eval(x, buf)
			x[v] = old
			mid := tp.Eval(x, buf)
			for _, y := range []float64{lo, mid, hi} {
				if math.IsNaN(y) && !e.Value.Partial || !math.IsNaN(y) && !e.Value.Has(y) {
					t.Fatalf("%v outside %v", y, e.Value)
				}
			}
			slope := (hi - lo) / (2 * h)
			if !elementary.Finite(slope) || e.Value.Partial {
				continue
			}
			if !(e.Slope.Lo-1e-6*(1+math.Abs(slope)) <= slope && slope <= e.Slope.Hi+1e-6*(1+math.Abs(slope))) {
				t.Fatalf("slope %v outside %v", slope, e.Slope)
			}
			if e.Slope.Width() < 1e-2 && math.Abs(grad[v]-slope) > 1e-2+1e-5*math.Abs(slope) {
				t.Fatalf("gradient %v, difference %v, enclosure %v", grad[v], slope, e.Slope)
			}
		}
	})
}

// The rows of blocks: slopes bound every difference, and narrowing a box drops no
// solution.
func TestRowsAreHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const n = 3
		var xs []Expr
		local := []int32{0, 1, 2}
		box, c, x := make([]interval.Interval, n), make([]interval.Interval, n), make([]float64, n)
		for i := range n {
			xs = append(xs, Var(i).Expr())
			lo := rapid.Float64Range(-4, 4).Draw(t, "lo")
			hi := lo + rapid.Float64Range(0, 3).Draw(t, "width")
			box[i] = interval.Interval{Lo: lo, Hi: hi}
			c[i] = interval.Point(min(hi, lo+rapid.Float64Range(0, 1).Draw(t, "c")*(hi-lo)))
			x[i] = min(hi, lo+rapid.Float64Range(0, 1).Draw(t, "x")*(hi-lo))
		}
		e := draw(t, xs, 4)
		switch rapid.IntRange(0, 3).Draw(t, "shape") {
		case 0:
			e = Sum(e, e)
		case 1:
			e = Product(e, Product(e, e))
		case 2:
			e = Quotient(Power(e, Const(4)), Sum(Const(2), Cos(e)))
		}
		tp := Compile(e, Const(0), n)
		buf := make([]float64, tp.Size())
		y := tp.Eval(x, buf)
		if !elementary.Finite(y) || math.Abs(y) > 1e9 {
			t.Skip("undefined")
		}
		r := NewRow(&tp, 0, local, x)
		f, v := r.AtCenter(c), r.Over(box)
		near := float64(1e-9 * (1 + math.Abs(y)))
		if !(v.Lo-near <= y && y <= v.Hi+near) {
			t.Fatalf("%v is not in %v", y, v)
		}
		slopes := r.Slopes()
		total := f
		for at, k := range r.Vars {
			total = interval.Add(total, interval.Mul(slopes[at], interval.Sub(interval.Point(x[k]), c[k])))
		}
		if !total.Partial && !f.IsEmpty() && !v.Partial && !(total.Lo-near <= y && y <= total.Hi+near) {
			t.Fatalf("%v is not in the centered form %v", y, total)
		}
		zero := NewRow(&tp, y, local, x) // x solves it
		zero.Want = interval.Interval{Lo: -near, Hi: near}
		for k := range 3 {
			if !zero.Revise(box) || k > 0 && !zero.Recenter(box, make([]interval.Interval, n)) {
				t.Fatalf("dropped the box of %v", x)
			}
			for i := range x {
				if !box[i].Has(x[i]) {
					t.Fatalf("dropped %v: %v", x, box)
				}
			}
		}
	})
}

// doublings is x doubled n times by adding each to itself: of 2^n terms, were they not
// shared.
func doublings(x Expr, n int) Expr {
	for range n {
		x = Sum(x, x)
	}
	return x
}

// TestSharedOnce holds what an expression that uses each of its parts twice takes to the
// number of its parts, in numbers, in intervals and in copies.
func TestSharedOnce(t *testing.T) {
	const n = 500
	e := doublings(Var(0).Expr(), n)
	done := make(chan struct{})
	go func() {
		defer close(done)
		tape := Compile(e, Const(0), 1)
		if tape.Size() != n+3 { // the variable, the sums, 0 and the difference
			t.Errorf("%d steps", tape.Size())
		}
		buf, adj, grad := make([]float64, n+3), make([]float64, n+3), make([]float64, 1)
		if y := tape.Eval([]float64{3}, buf); y != math.Ldexp(3, n) {
			t.Errorf("%v", y)
		}
		if tape.Gradient(buf, adj, grad); grad[0] != math.Ldexp(1, n) {
			t.Errorf("derivative %v", grad[0])
		}
		row := NewRow(&tape, 0, []int32{0}, nil)
		if row.Size() > n+3 {
			t.Errorf("%d steps of a row", row.Size())
		}
		if v := row.Over([]interval.Interval{{Lo: 1, Hi: 3}}); !v.Has(math.Ldexp(1, n)) || v.Hi > math.Ldexp(3.1, n) {
			t.Errorf("%v", v)
		}
		twice := e.Substitute(func(x Expr) Expr { return Product(Const(2), x) })
		if again := Compile(twice, Const(0), 1); again.Size() != n+5 {
			t.Errorf("%d steps of a copy", again.Size())
		}
	}()
	select {
	case <-done:
	case <-time.After(20 * time.Second):
		t.Fatal("it takes more than the number of parts")
	}
}
