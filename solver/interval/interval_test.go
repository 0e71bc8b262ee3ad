package interval

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// TestRump holds the sum 333.75b⁶ + a²(11a²b² - b⁶ - 121b⁴ - 2) + 5.5b⁸ + a/2b at a = 77617,
// b = 33096 to its value -54767/66192, which plain arithmetic misses even in its sign (S. M.
// Rump, "Algorithms for verified inclusions", 1988).
func TestRump(t *testing.T) {
	a, b := Point(77617), Point(33096)
	num := Point
	inner := Sub(Sub(Sub(Mul(num(11), Mul(Square(a), Square(b))), PowWhole(b, 6)), Mul(num(121), PowWhole(b, 4))), num(2))
	y := Add(Mul(num(333.75), PowWhole(b, 6)), Mul(Square(a), inner))
	y = Add(Add(y, Mul(num(5.5), PowWhole(b, 8))), Div(a, Mul(num(2), b)))
	if want := -54767.0 / 66192; !y.Has(want) || y.IsEmpty() {
		t.Errorf("%v does not hold %v", y, want)
	}
}

// TestArithmeticIsOutward holds sums, products and quotients of ends to exact numbers.
func TestArithmeticIsOutward(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	exact := func(f func(z, x, y *big.Rat) *big.Rat, x, y float64) *big.Rat {
		return f(new(big.Rat), new(big.Rat).SetFloat64(x), new(big.Rat).SetFloat64(y))
	}
	for range 5000 {
		draw := func() float64 { return math.Ldexp(rnd.Float64()-0.5, rnd.IntN(80)-40) }
		x, y := interval(draw(), draw()), interval(draw(), draw())
		for _, o := range []struct {
			name  string
			of    func(x, y Interval) Interval
			exact func(z, x, y *big.Rat) *big.Rat
		}{
			{"sum", Add, (*big.Rat).Add}, {"difference", Sub, (*big.Rat).Sub}, {"product", Mul, (*big.Rat).Mul}, {"quotient", Div, (*big.Rat).Quo},
		} {
			v := o.of(x, y)
			if o.name == "quotient" && y.Has(0) {
				if !v.Partial {
					t.Fatalf("%v / %v is called whole", x, y)
				}
			}
			for _, a := range []float64{x.Lo, x.Hi} {
				for _, b := range []float64{y.Lo, y.Hi} {
					if b == 0 && o.name == "quotient" {
						continue
					}
					e := exact(o.exact, a, b)
					if below(v.Lo, e) && above(v.Hi, e) {
						continue
					}
					t.Fatalf("%s of %v and %v: %v is without %v", o.name, x, y, v, e)
				}
			}
		}
	}
}

func interval(a, b float64) Interval { return Interval{Lo: min(a, b), Hi: max(a, b)} }
func below(x float64, y *big.Rat) bool {
	return math.IsInf(x, -1) || new(big.Rat).SetFloat64(x).Cmp(y) <= 0
}
func above(x float64, y *big.Rat) bool {
	return math.IsInf(x, 1) || new(big.Rat).SetFloat64(x).Cmp(y) >= 0
}

// TestInfiniteEnds holds products and quotients with endless sides to what they can be.
func TestInfiniteEnds(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		name string
		got  Interval
		has  []float64
		not  []float64
	}{
		{"0·∞", Mul(Point(0), interval(-inf, inf)), []float64{0}, []float64{1, -1}},
		{"1/[0, 1]", Div(Point(1), interval(0, 1)), []float64{1, 1e300}, []float64{0.9, -1}},
		{"1/[-1, 0]", Div(Point(1), interval(-1, 0)), []float64{-1, -1e300}, []float64{-0.9, 1}},
		{"1/[-1, 1]", Div(Point(1), interval(-1, 1)), []float64{-5, 5}, nil},
		{"∞/∞", Div(interval(1, inf), interval(1, inf)), []float64{1e-300, 1e300}, nil},
		{"1/0", Div(Point(1), Point(0)), nil, []float64{0, 1, inf}},
		{"∞ - ∞", Sub(interval(0, inf), interval(0, inf)), []float64{-1e300, 1e300}, nil},
		{"√[-1, 4]", Sqrt(interval(-1, 4)), []float64{0, 2}, []float64{-0.1, 2.1}},
		{"ln of less than 0", Log(interval(-2, -1)), nil, []float64{0}},
		{"tan over its pole", Tan(interval(1, 2)), []float64{1e9, -1e9}, nil},
		{"sin over its top", Sin(interval(1, 2)), []float64{1}, []float64{0.84, 1.1}},
		{"(-8)^(1/3)", Pow(interval(-8, -7), Point(1.0/3)), nil, []float64{-2, 2}},
		{"(-2)^3", Pow(interval(-2, -1), Point(3)), []float64{-8, -1}, []float64{0}},
		{"0^[0.5, 1]", Pow(interval(0, 1), interval(0.5, 1)), []float64{0, 1}, []float64{1.1}},
	} {
		for _, x := range c.has {
			if !c.got.Has(x) {
				t.Errorf("%s: %v is without %v", c.name, c.got, x)
			}
		}
		for _, x := range c.not {
			if c.got.Has(x) {
				t.Errorf("%s: %v holds %v", c.name, c.got, x)
			}
		}
	}
	if p := Sqrt(interval(-1, 4)); !p.Partial {
		t.Error("√[-1, 4] is called whole")
	}
	if p := Sqrt(interval(1, 4)); p.Partial {
		t.Error("√[1, 4] is called partial")
	}
}

// TestSolversKeepSolutions draws x in a side and what it is to give: no way to solve for it
// drops it.
func TestSolversKeepSolutions(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	draw := func() float64 { return float64(8 * (rnd.Float64() - 0.5)) }
	around := func(x float64) Interval { return Interval{Lo: x - rnd.Float64(), Hi: x + rnd.Float64()} }
	for range 5000 {
		a, b := draw(), draw()
		x, y := around(a), around(b)
		for _, c := range []struct {
			name string
			f    func(x *Interval) bool
		}{
			{"product", func(x *Interval) bool { return SolveProduct(x, Around(float64(a*b)), y) }},
			{"sine", func(x *Interval) bool { return SolveSine(x, Around(math.Sin(a)), Point(0)) }},
			{"cosine", func(x *Interval) bool { return SolveSine(x, Around(math.Cos(a)), Quarter) }},
			{"cube", func(x *Interval) bool { return SolvePower(x, Around(float64(float64(a*a)*a)), 3) }},
			{"fourth power", func(x *Interval) bool { return SolvePower(x, Around(math.Pow(a, 4)), 4) }},
			{"inverse square", func(x *Interval) bool { return SolvePower(x, Around(math.Pow(a, -2)), -2) }},
			{"absolute value", func(x *Interval) bool { return IntersectMirrored(x, Point(math.Abs(a))) }},
		} {
			n := x
			if !c.f(&n) || !n.Has(a) || n.Lo < x.Lo || n.Hi > x.Hi {
				t.Fatalf("%s: %v in %v became %v", c.name, a, x, n)
			}
		}
	}
}

// TestSplitting splits any side in two parts that are smaller, until none is left to split.
func TestSplitting(t *testing.T) {
	inf := math.Inf(1)
	for _, side := range []Interval{{Lo: -inf, Hi: inf}, {Lo: 0, Hi: inf}, {Lo: -inf, Hi: -3}, {Lo: 1e-300, Hi: 1e300}, {Lo: -1, Hi: 1e9}, {Lo: 2, Hi: 3}} {
		for _, split := range []func(Interval) float64{Middle, SplitPoint} {
			for _, left := range []bool{true, false} {
				s, n := side, 0
				for ; n < 2500; n++ {
					m := split(s)
					if !(m > s.Lo && m < s.Hi) {
						break
					}
					if left {
						s.Hi = m
					} else {
						s.Lo = m
					}
				}
				if n == 2500 || n < 5 {
					t.Errorf("%v: %d times, to %v", side, n, s)
				}
			}
		}
	}
}

func TestBoxes(t *testing.T) {
	x, y := []Interval{{Lo: 0, Hi: 1}, {Lo: 2, Hi: 3}}, []Interval{{Lo: -1, Hi: 1}, {Lo: 2, Hi: 4}}
	if !Inside(x, y) || Inside(y, x) || Apart(x, y) {
		t.Error("x lies in y")
	}
	z := []Interval{{Lo: 0, Hi: 1}, {Lo: 5, Hi: 6}}
	if !Apart(x, z) || !Apart(z, x) {
		t.Error("x and z are apart")
	}
	if m, r := MiddleRadius(Interval{Lo: 1, Hi: 3}); m != 2 || r < 1 || r > 1.001 {
		t.Errorf("%v ± %v", m, r)
	}
	if s := Scale([]Interval{{Lo: 0, Hi: 5}, Entire, Point(2)}); s[0] != 5 || s[1] != 1 || s[2] != 1 {
		t.Errorf("%v", s)
	}
}
