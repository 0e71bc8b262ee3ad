package elementary

import (
	"math"
	"math/big"
	"math/rand"
	"testing"
)

// The referee computes in big.Float from the power series, so that no float64
// function is trusted.
const prec = 1400

func bigOf(x float64) *big.Float { return new(big.Float).SetPrec(prec).SetFloat64(x) }
func bigInt(n int64) *big.Float  { return new(big.Float).SetPrec(prec).SetInt64(n) }
func mulB(x, y *big.Float) *big.Float {
	return new(big.Float).SetPrec(prec).Mul(x, y)
}
func quoB(x, y *big.Float) *big.Float { return new(big.Float).SetPrec(prec).Quo(x, y) }
func addB(x, y *big.Float) *big.Float { return new(big.Float).SetPrec(prec).Add(x, y) }
func subB(x, y *big.Float) *big.Float { return new(big.Float).SetPrec(prec).Sub(x, y) }

func negligible(t *big.Float, bits int) bool {
	return t.Sign() == 0 || t.MantExp(nil) < -bits
}

// atanInverse is the arctangent of 1/n.
func atanInverse(n int64) *big.Float {
	sum, p := bigInt(0), quoB(bigInt(1), bigInt(n))
	for k := int64(0); !negligible(p, prec); k++ {
		t := quoB(p, bigInt(2*k+1))
		if k%2 == 0 {
			sum = addB(sum, t)
		} else {
			sum = subB(sum, t)
		}
		p = quoB(p, bigInt(n*n))
	}
	return sum
}

// piB by Machin's formula.
var piB = subB(mulB(bigInt(16), atanInverse(5)), mulB(bigInt(4), atanInverse(239)))

const workBits = 220 // terms below 2^-workBits are left off

func sinCosB(x float64) (s, c *big.Float) {
	half := quoB(piB, bigInt(2))
	q := quoB(bigOf(x), half)
	n, _ := addB(q, new(big.Float).SetFloat64(math.Copysign(0.5, x))).Int(nil)
	r := subB(bigOf(x), mulB(new(big.Float).SetPrec(prec).SetInt(n), half))
	r.SetPrec(400)
	s, c = bigInt(0), bigInt(0)
	t := bigInt(1)
	for k := int64(1); !negligible(t, workBits); k++ {
		switch k % 4 {
		case 1:
			c = addB(c, t)
		case 2:
			s = addB(s, t)
		case 3:
			c = subB(c, t)
		case 0:
			s = subB(s, t)
		}
		t = quoB(mulB(t, r), bigInt(k))
		t.SetPrec(400)
	}
	switch new(big.Int).And(n, big.NewInt(3)).Int64() {
	case 1:
		return c, new(big.Float).Neg(s)
	case 2:
		return new(big.Float).Neg(s), new(big.Float).Neg(c)
	case 3:
		return new(big.Float).Neg(c), s
	}
	return s, c
}

// expB is e to the x, |x| < 2^11, by halving and the series.
func expB(x *big.Float) *big.Float {
	const halvings = 20
	r := new(big.Float).SetPrec(500).SetMantExp(x, -halvings)
	sum, t := new(big.Float).SetPrec(500), new(big.Float).SetPrec(500).SetInt64(1)
	for k := int64(1); !negligible(t, 300); k++ {
		sum.Add(sum, t)
		t.Mul(t, r)
		t.Quo(t, bigInt(k))
	}
	for range halvings {
		sum.Mul(sum, sum)
	}
	return sum
}

// logB is the natural logarithm by Newton's method on expB from float64's.
func logB(x *big.Float) *big.Float {
	f, _ := x.Float64()
	y := new(big.Float).SetPrec(500).SetFloat64(math.Log(f))
	for range 4 {
		e := expB(y)
		d := new(big.Float).SetPrec(500).Sub(x, e)
		d.Quo(d, e)
		// log(x/e) ≈ d - d²/2
		dd := new(big.Float).SetPrec(500).Mul(d, d)
		dd.Quo(dd, bigInt(2))
		y.Add(y, d)
		y.Sub(y, dd)
	}
	return y
}

// ulps is the distance of got from want in units of want's last place.
func ulps(got float64, want *big.Float) float64 {
	w, _ := want.Float64()
	if math.IsInf(w, 0) || math.IsInf(got, 0) {
		if w == got {
			return 0
		}
		return math.Inf(1)
	}
	unit := math.Nextafter(math.Abs(w), math.Inf(1)) - math.Abs(w)
	d, _ := quoB(subB(bigOf(got), want), bigOf(unit)).Float64()
	return math.Abs(d)
}

type worst struct{ x, y, ulps float64 }

func (w *worst) see(x, y, u float64) {
	if u > w.ulps || math.IsNaN(u) {
		*w = worst{x, y, u}
	}
}

func (w *worst) check(t *testing.T, name string, limit float64) {
	t.Helper()
	t.Logf("%s: at most %.3f ulp, at %v %v", name, w.ulps, w.x, w.y)
	if !(w.ulps <= limit) {
		t.Errorf("%s(%v, %v) is %.3f ulp off, limit %v", name, w.x, w.y, w.ulps, limit)
	}
}

const limitUlps = 2

func trigArguments(r *rand.Rand) []float64 {
	xs := []float64{math.Pi, math.Pi / 2, math.Pi / 4, 3 * math.Pi, 1e22, 0x1p+120, math.MaxFloat64, 1e-20, mediumLimit, -710.5,
		6381956970095103 * 0x1p+797} // nearest float64 to a multiple of π/2, from memory (Kahan; Muller)
	for range 300 {
		xs = append(xs, r.Float64()*2-1, r.Float64()*20-10, math.Ldexp(r.Float64()-0.5, r.Intn(1000)),
			float64(r.Intn(1000000))*(math.Pi/2), -float64(r.Intn(1000))*(math.Pi/4))
	}
	return xs
}

func TestTrigonometryAgainstSeries(t *testing.T) {
	var ws, wc, wt worst
	for _, x := range trigArguments(rand.New(rand.NewSource(1))) {
		s, c := sinCosB(x)
		gs, gc := Sincos(x)
		if gs != Sin(x) || gc != Cos(x) {
			t.Fatalf("Sincos(%v) is not Sin, Cos", x)
		}
		if x == 0 {
			continue
		}
		ws.see(x, 0, ulps(gs, s))
		wc.see(x, 0, ulps(gc, c))
		wt.see(x, 0, ulps(Tan(x), quoB(s, c)))
	}
	ws.check(t, "Sin", limitUlps)
	wc.check(t, "Cos", limitUlps)
	wt.check(t, "Tan", limitUlps)
}

// An inverse is checked through its function: y = f⁻¹(x) is off by about
// (f(y) - x)/f'(y), all in big floats.
func TestInversesAgainstSeries(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	var was, wac, wat, wa2 worst
	for i := range 1500 {
		x := r.Float64()*2 - 1
		switch i % 5 {
		case 1:
			x = math.Copysign(1-math.Ldexp(r.Float64(), -r.Intn(50)), x)
		case 2:
			x = math.Ldexp(x, -r.Intn(40))
		}
		y := Asin(x)
		s, c := sinCosB(y)
		was.see(x, 0, ulps(y, addB(bigOf(y), quoB(subB(bigOf(x), s), c))))
		y = Acos(x)
		s, c = sinCosB(y)
		wac.see(x, 0, ulps(y, subB(bigOf(y), quoB(subB(bigOf(x), c), s))))

		x = math.Ldexp(x, r.Intn(20)-5)
		y = Atan(x)
		s, c = sinCosB(y) // atan x - y = atan((x c - s)/(c + x s))
		d := quoB(subB(mulB(bigOf(x), c), s), addB(c, mulB(bigOf(x), s)))
		wat.see(x, 0, ulps(y, addB(bigOf(y), d)))

		q := r.Float64()*2 - 1
		y = Atan2(x, q)
		s, c = sinCosB(y)
		d = quoB(subB(mulB(bigOf(x), c), mulB(bigOf(q), s)), addB(mulB(bigOf(q), c), mulB(bigOf(x), s)))
		wa2.see(x, q, ulps(y, addB(bigOf(y), d)))
	}
	was.check(t, "Asin", limitUlps)
	wac.check(t, "Acos", limitUlps)
	wat.check(t, "Atan", limitUlps)
	wa2.check(t, "Atan2", limitUlps)
}

func TestExponentialsAgainstSeries(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	var we, wl, wt, wp, wh worst
	ln10 := logB(bigInt(10))
	for i := range 400 {
		x := (r.Float64()*2 - 1) * 700
		if i%2 == 0 {
			x = r.Float64()*2 - 1
		}
		we.see(x, 0, ulps(Exp(x), expB(bigOf(x))))

		x = math.Ldexp(r.Float64()+1e-9, r.Intn(200)-100)
		if i%3 == 0 {
			x = 1 + (r.Float64()-0.5)/math.Ldexp(1, r.Intn(30))
		}
		l := logB(bigOf(x))
		wl.see(x, 0, ulps(Log(x), l))
		wt.see(x, 0, ulps(Log10(x), quoB(l, ln10)))

		y := (r.Float64()*2 - 1) * 400 / math.Max(1, math.Abs(Log(x)))
		if i%4 == 0 {
			y = math.Floor(y)
		}
		wp.see(x, y, ulps(Pow(x, y), expB(mulB(l, bigOf(y)))))

		p, q := math.Ldexp(r.Float64(), r.Intn(1900)-950), 0.0
		q = p * math.Ldexp(r.Float64(), r.Intn(20)-10)
		wh.see(p, q, ulps(Hypot(p, q), new(big.Float).SetPrec(prec).Sqrt(addB(mulB(bigOf(p), bigOf(p)), mulB(bigOf(q), bigOf(q))))))
	}
	we.check(t, "Exp", limitUlps)
	wl.check(t, "Log", limitUlps)
	wt.check(t, "Log10", limitUlps)
	wp.check(t, "Pow", limitUlps)
	wh.check(t, "Hypot", limitUlps)
}

func same(a, b float64) bool {
	return math.IsNaN(a) && math.IsNaN(b) || a == b && math.Signbit(a) == math.Signbit(b)
}

// TestSpecialValues holds every function to package math's special values.
func TestSpecialValues(t *testing.T) {
	inf, nan, zero := math.Inf(1), math.NaN(), math.Copysign(0, -1)
	xs := []float64{0, zero, 1, -1, 2, -2, 3, -3, 0.5, -0.5, inf, -inf, nan, math.MaxFloat64, 0x1p-1022, 1 << 53, 1e300, -1e300, 1e-300}
	one := []struct {
		name      string
		got, want func(float64) float64
	}{
		{"Sin", Sin, math.Sin}, {"Cos", Cos, math.Cos}, {"Tan", Tan, math.Tan}, {"Asin", Asin, math.Asin}, {"Acos", Acos, math.Acos},
		{"Atan", Atan, math.Atan}, {"Exp", Exp, math.Exp}, {"Log", Log, math.Log}, {"Log10", Log10, math.Log10},
	}
	special := func(x float64) bool { return x == 0 || math.IsNaN(x) || math.IsInf(x, 0) || math.Abs(x) == 1 }
	for _, f := range one {
		for _, x := range xs {
			g, w := f.got(x), f.want(x)
			if special(w) && !same(g, w) || !special(w) && math.Abs(g-w) > 1e-14*math.Abs(w) {
				t.Errorf("%s(%v) = %v, want %v", f.name, x, g, w)
			}
		}
	}
	two := []struct {
		name      string
		got, want func(x, y float64) float64
	}{{"Pow", Pow, math.Pow}, {"Atan2", Atan2, math.Atan2}, {"Hypot", Hypot, math.Hypot}}
	for _, f := range two {
		for _, x := range xs {
			for _, y := range xs {
				g, w := f.got(x, y), f.want(x, y)
				if special(w) && !same(g, w) || !special(w) && math.Abs(g-w) > 1e-12*math.Abs(w) {
					t.Errorf("%s(%v, %v) = %v, want %v", f.name, x, y, g, w)
				}
			}
		}
	}
}

func TestExactValues(t *testing.T) {
	// Package math's own results are wrong here on some processors.
	if got := Log(5e-324); got != -744.4400719213812 { // -1074 ln 2
		t.Errorf("Log(5e-324) = %v", got)
	}
	if got := Atan2(-5e-324, -2); got != -math.Pi {
		t.Errorf("Atan2(-5e-324, -2) = %v", got)
	}
	for _, x := range []float64{5e-324, 1e-300} {
		if Sin(x) != x || Tan(x) != x || Asin(x) != x || Atan(x) != x || Exp(x) != 1 {
			t.Errorf("an odd function changes %v", x)
		}
	}
	for n := 0; n <= 22; n++ {
		x := 1.0
		for range n {
			x *= 10
		}
		if got := Log10(x); got != float64(n) {
			t.Errorf("Log10(1e%d) = %v", n, got)
		}
		if got := Pow(10, float64(n)); got != x {
			t.Errorf("Pow(10, %d) = %v", n, got)
		}
	}
	if got := Hypot(3, 4); got != 5 {
		t.Errorf("Hypot(3, 4) = %v", got)
	}
	if got := Acos(-1); got != math.Pi {
		t.Errorf("Acos(-1) = %v", got)
	}
}

// TestBits pins results to the last bit, so that a processor or compiler that
// rounds otherwise is seen. Values derived from this package on amd64.
func TestBits(t *testing.T) {
	var sum uint64 = 14695981039346656037
	mix := func(x float64) { sum = (sum ^ math.Float64bits(x)) * 1099511628211 }
	r := rand.New(rand.NewSource(4))
	for range 3000 {
		x := math.Ldexp(r.Float64()*2-1, r.Intn(60)-20)
		u := r.Float64()*2 - 1
		s, c := Sincos(x)
		for _, v := range []float64{s, c, Tan(x), Asin(u), Acos(u), Atan(x), Atan2(x, u), Exp(u * 500), Log(math.Abs(x)), Log10(math.Abs(x)), Pow(math.Abs(x), u*10), Hypot(x, u)} {
			mix(v)
		}
	}
	const want = 0x622c7cbfca7a1aa2
	if sum != want {
		t.Errorf("bits hash to %#x, want %#x", sum, uint64(want))
	}
}
