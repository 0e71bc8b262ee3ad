package elementary

import "math"

// Pow returns x to the y, with the special values of package math: NaN where x
// is negative and y not whole, 1 where y is 0 or x is 1.
func Pow(x, y float64) float64 {
	switch {
	case y == 0 || x == 1:
		return 1
	case math.IsNaN(x) || math.IsNaN(y):
		return math.NaN()
	case y == 1:
		return x
	case y == 2:
		return x * x
	case y == -1:
		return 1 / x
	case y == 0.5 && !math.IsInf(x, 0) && x != 0:
		return math.Sqrt(x)
	}
	odd := oddWhole(y)
	if x == 0 || notFinite(x) || math.IsInf(y, 0) {
		return powSpecial(x, y, odd)
	}
	if x < 0 && math.Trunc(y) != y {
		return math.NaN()
	}
	r := powPositive(math.Abs(x), y)
	if x < 0 && odd {
		return -r
	}
	return r
}

// oddWhole tells whether y is an odd whole number.
func oddWhole(y float64) bool {
	if !(math.Abs(y) < 1<<53) || math.Trunc(y) != y {
		return false
	}
	return int64(y)&1 == 1 || int64(y)&1 == -1
}

// powSpecial is Pow for x of 0 or ±Inf, or y of ±Inf.
func powSpecial(x, y float64, odd bool) float64 {
	a := math.Abs(x)
	if math.IsInf(y, 0) && a == 1 {
		return 1
	}
	r := 0.0
	if (a > 1) == (y > 0) {
		r = math.Inf(1)
	}
	if odd && math.Signbit(x) {
		return -r
	}
	return r
}

// powPositive is x to the y for finite x > 0, by a logarithm to base 2 held in
// two floats (e_pow.c).
func powPositive(x, y float64) float64 {
	if x == 1 {
		return 1
	}
	if math.Abs(y) > 0x1p+64 { // every float64 but 1 is far enough off
		if (x > 1) == (y > 0) {
			return math.Inf(1)
		}
		return 0
	}
	t1, t2 := log2Pair(x)
	y1 := high(y)
	pl := float64((y-y1)*t1) + float64(y*t2)
	ph := float64(y1 * t1)
	z := pl + ph
	switch {
	case z >= 1025:
		return math.Inf(1)
	case z < -1076:
		return 0
	}
	return exp2Pair(ph, pl)
}

var log2Coef = []float64{
	5.99999999999994648725e-01, 4.28571428578550184252e-01, 3.33333329818377432918e-01,
	2.72728123808534006489e-01, 2.30660745775561754067e-01, 2.06975017800338417784e-01,
}

// log2Pair returns the logarithm to base 2 of x > 0 as t1 + t2, the lower 32
// bits of t1 clear.
func log2Pair(x float64) (t1, t2 float64) {
	const (
		cp   = 9.61796693925975554329e-01 // 2/(3 ln 2)
		cpHi = 9.61796700954437255859e-01
		cpLo = -7.02846165095275826516e-09
	)
	m, e := math.Frexp(x)
	m, e = 2*m, e-1
	// Base point 1 or 1.5, whichever is near.
	bp, dpHi, dpLo := 1.0, 0.0, 0.0
	switch {
	case m < 1.2247448713915889: // √1.5
	case m < 1.7320508075688772: // √3
		bp, dpHi, dpLo = 1.5, 5.84962487220764160156e-01, 1.35003920212974897128e-08
	default:
		m, e = m/2, e+1
	}
	u := m - bp
	v := 1 / (m + bp)
	s := float64(u * v)
	sh := high(s)
	th := high(m + bp)
	tl := m - (th - bp)
	sl := float64(v * ((u - float64(sh*th)) - float64(sh*tl)))
	s2 := float64(s * s)
	r := float64(float64(s2*s2) * horner(s2, log2Coef))
	r += float64(sl * (sh + s))
	s2 = float64(sh * sh)
	th = high(3 + s2 + r)
	tl = r - ((th - 3) - s2)
	u = float64(sh * th)
	v = float64(sl*th) + float64(tl*s)
	ph := high(u + v)
	pl := v - (ph - u)
	zh := float64(cpHi * ph)
	zl := float64(cpLo*ph) + float64(pl*cp) + dpLo
	k := float64(e)
	t1 = high(((zh + zl) + dpHi) + k)
	t2 = zl - (((t1 - k) - dpHi) - zh)
	return t1, t2
}

// exp2Pair returns 2 to the ph + pl.
func exp2Pair(ph, pl float64) float64 {
	const (
		ln2   = 6.93147180559945286227e-01
		ln2Hi = 6.93147182464599609375e-01
		ln2Lo = -1.90465429995776804525e-09
	)
	k := math.Floor(ph + pl + 0.5)
	ph -= k
	t := high(pl + ph)
	u := float64(t * ln2Hi)
	v := float64((pl-(t-ph))*ln2) + float64(t*ln2Lo)
	z := u + v
	w := v - (z - u)
	t = float64(z * z)
	t1 := z - float64(t*horner(t, expCoef))
	r := float64(z*t1)/(t1-2) - (w + float64(z*w))
	z = 1 - (r - z)
	return math.Ldexp(z, int(k))
}
