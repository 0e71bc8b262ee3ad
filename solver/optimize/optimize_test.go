package optimize

import (
	"math"
	"testing"

	"perch/solver/expr"
	"perch/solver/interval"
)

// program asks for the largest of a target over variables 0 to n-1, which are all free; the
// target is variable n, and comes first.
func program(n int, box []interval.Interval, whole []bool, target expr.Expr, most ...expr.Expr) Problem {
	local := make([]int32, n+1)
	p := Problem{Whole: append([]bool{false}, whole...), Equations: 1, Box: append([]interval.Interval{interval.Entire}, box...)}
	for v := range n {
		local[v] = int32(v + 1)
		p.Free = append(p.Free, v+1)
	}
	row := func(left, right expr.Expr) expr.Row {
		t := expr.Compile(left, right, n+1)
		return expr.NewRow(&t, 0, local, make([]float64, n+1))
	}
	p.Rows = append(p.Rows, row(target, expr.Var(n).Expr()))
	for _, e := range most { // e <= 0
		r := row(e, expr.Const(0))
		r.Want.Lo = math.Inf(-1)
		p.Rows = append(p.Rows, r)
	}
	value := func(e expr.Expr, at []float64) float64 {
		t := expr.Compile(e, expr.Const(0), n)
		return t.Eval(at, make([]float64, t.Size()))
	}
	p.Try = func(at []float64, least float64) (float64, bool) {
		x := make([]float64, n)
		for k, v := range at {
			x[k] = v
			if whole[k] {
				x[k] = math.Round(v)
			}
			if !box[k].Has(x[k]) {
				return 0, false
			}
		}
		for _, e := range most {
			if !(value(e, x) <= 1e-12) {
				return 0, false
			}
		}
		y := value(target, x)
		return y, y > least
	}
	return p
}

func side(lo, hi float64) interval.Interval { return interval.Interval{Lo: lo, Hi: hi} }

// TestTextbookExtremes finds largest values that a textbook works out by hand.
func TestTextbookExtremes(t *testing.T) {
	x, y := expr.Var(0).Expr(), expr.Var(1).Expr()
	num, sqr := expr.Const, func(x expr.Expr) expr.Expr { return expr.Product(x, x) }
	for _, c := range []struct {
		name string
		p    Problem
		want float64
	}{
		// a box folded of a sheet of 1 by 1, its corners cut out: x(1-2x)², at 1/6
		{"folded box", program(1, []interval.Interval{side(0, 0.5)}, []bool{false}, expr.Product(x, sqr(expr.Difference(num(1), expr.Product(num(2), x))))), 2.0 / 27},
		// x + y in the unit disc, at the diagonal
		{"disc", program(2, []interval.Interval{side(-2, 2), side(-2, 2)}, []bool{false, false}, expr.Sum(x, y), expr.Difference(expr.Sum(sqr(x), sqr(y)), num(1))), math.Sqrt2},
		// 5x + 4y with 6x + 4y <= 24, x + 2y <= 6: 21 at (3, 1.5); in whole numbers 20 at (4, 0)
		// (H. A. Taha, "Operations research", the paint company)
		{"linear", program(2, []interval.Interval{side(0, 10), side(0, 10)}, []bool{false, false}, expr.Sum(expr.Product(num(5), x), expr.Product(num(4), y)),
			expr.Difference(expr.Sum(expr.Product(num(6), x), expr.Product(num(4), y)), num(24)), expr.Difference(expr.Sum(x, expr.Product(num(2), y)), num(6))), 21},
		{"linear, whole", program(2, []interval.Interval{side(0, 10), side(0, 10)}, []bool{true, true}, expr.Sum(expr.Product(num(5), x), expr.Product(num(4), y)),
			expr.Difference(expr.Sum(expr.Product(num(6), x), expr.Product(num(4), y)), num(24)), expr.Difference(expr.Sum(x, expr.Product(num(2), y)), num(6))), 20},
		{"none", program(1, []interval.Interval{side(0, 1)}, []bool{false}, x, expr.Difference(num(2), x)), math.Inf(-1)},
	} {
		s := NewSearch(c.p, 20_000_000)
		s.Run()
		if s.Best == c.want && s.Bound == c.want && s.Certain() {
			continue
		}
		if !(math.Abs(s.Best-c.want) <= 1e-6*math.Abs(c.want)) || s.Bound < c.want-1e-9 || s.Bound > c.want+1e-5 {
			t.Errorf("%s: %v, bound %v, want %v", c.name, s.Best, s.Bound, c.want)
		}
		if close := s.Bound-s.Best <= CertainBest*math.Max(1, s.Best); close != s.Certain() {
			t.Errorf("%s: %v, bound %v is called certain %v", c.name, s.Best, s.Bound, !close)
		}
	}
}

// TestSearchGivesUp keeps a bound that is true where its steps end.
func TestSearchGivesUp(t *testing.T) {
	x, y := expr.Var(0).Expr(), expr.Var(1).Expr()
	p := program(2, []interval.Interval{side(-9, 9), side(-9, 9)}, []bool{false, false}, expr.Sum(expr.Sin(expr.Product(num(7), x)), expr.Cos(expr.Product(x, y))))
	s := NewSearch(p, 500)
	s.Run()
	if s.Certain() || s.Bound < 1.9 || s.Rest == nil {
		t.Errorf("best %v, bound %v", s.Best, s.Bound)
	}
}

func num(x float64) expr.Expr { return expr.Const(x) }

// TestRestore comes to where a line touches a circle, from aside: 3x + 4y >= 25 at radius 5,
// and to the nearest of a plane and a sphere.
func TestRestore(t *testing.T) {
	at := func(x []float64) []Constraint {
		return []Constraint{
			{Residual: x[0]*x[0] + x[1]*x[1] - 25, Size: 50},
			{Residual: 25 - 3*x[0] - 4*x[1], Size: 50},
		}
	}
	var here []float64
	best, miss := Restore([]float64{5, 1}, []interval.Interval{side(-9, 9), side(-9, 9)}, []float64{1, 1},
		func(x []float64) []Constraint { here = x; return at(x) },
		func(i int) []float64 {
			if i == 0 {
				return []float64{2 * here[0] / 50, 2 * here[1] / 50}
			}
			return []float64{-3.0 / 50, -4.0 / 50}
		})
	if !(miss <= 1e-9) || math.Abs(best[0]-3) > 1e-3 || math.Abs(best[1]-4) > 1e-3 {
		t.Errorf("%v, missed by %g", best, miss)
	}
	best, miss = Restore([]float64{1, 1}, []interval.Interval{side(-9, 9), side(-9, 9)}, []float64{1, 1},
		func([]float64) []Constraint {
			return []Constraint{{Residual: math.NaN(), Size: 1, Equation: true}}
		}, func(int) []float64 { return []float64{0, 0} })
	if best != nil || !math.IsInf(miss, 1) {
		t.Errorf("of nonsense: %v, %v", best, miss)
	}
}

// TestMultipliers holds weights to slopes that cancel by hand: at the touch of line and circle
// those of 3x + 4y >= 25 and x² + y² <= 25 oppose each other.
func TestMultipliers(t *testing.T) {
	circle, line := NewSlopes([]float64{6, 8}), NewSlopes([]float64{-3, -4})
	_, w, ok := Multipliers(nil, []Slopes{circle, line})
	if !ok || math.Abs(w[0]-0.5) > 1e-9 || math.Abs(w[1]-0.5) > 1e-9 {
		t.Errorf("%v, %v", w, ok)
	}
	if _, _, ok := Multipliers(nil, []Slopes{circle, NewSlopes([]float64{-3, 4})}); ok {
		t.Error("slopes of a corner cancel")
	}
	// the least x² + y² on x + y = 2, as a limit x² + y² <= 2: slopes (2, 2) and (1, 1)
	e, w, ok := Multipliers([]Slopes{NewSlopes([]float64{1, 1})}, []Slopes{NewSlopes([]float64{2, 2})})
	if !ok || w[0] != 1 || math.Abs(e[0]+1) > 1e-9 {
		t.Errorf("%v, %v, %v", e, w, ok)
	}
	// three directions at 120°
	third := []Slopes{NewSlopes([]float64{1, 0}), NewSlopes([]float64{-0.5, math.Sqrt(3) / 2}), NewSlopes([]float64{-0.5, -math.Sqrt(3) / 2})}
	_, w, ok = Multipliers(nil, third)
	if !ok {
		t.Fatal("three directions do not cancel")
	}
	for k := range 2 {
		sum := 0.0
		for i, s := range third {
			sum += w[i] * s.at(k)
		}
		if math.Abs(sum) > 1e-4 {
			t.Errorf("%v leave %g", w, sum)
		}
	}
}
