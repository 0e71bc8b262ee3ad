package elementary

import "math"

const (
	ln2Hi = 6.93147180369123816490e-01
	ln2Lo = 1.90821492927058770002e-10
	log2E = 1.44269504088896338700e+00
)

var expCoef = []float64{
	1.66666666666666657415e-01, -2.77777777770155933842e-03, 6.61375632143793436117e-05,
	-1.65339022054652515390e-06, 4.13813679705723846039e-08,
}

// Exp returns e to the x: +Inf above 709.78, 0 below -745.13, NaN of NaN.
func Exp(x float64) float64 {
	const overflow, underflow = 7.09782712893383973096e+02, -7.45133219101941108420e+02
	switch {
	case math.IsNaN(x):
		return x
	case x > overflow:
		return math.Inf(1)
	case x < underflow:
		return 0
	case math.Abs(x) < 0x1p-28:
		return 1 + x
	}
	k := math.Trunc(float64(log2E*x) + math.Copysign(0.5, x))
	hi := x - float64(k*ln2Hi)
	lo := float64(k * ln2Lo)
	r := hi - lo
	t := float64(r * r)
	c := r - float64(t*horner(t, expCoef))
	y := 1 - ((lo - float64(r*c)/(2-c)) - hi)
	return math.Ldexp(y, int(k))
}

var (
	logOdd  = []float64{6.666666666666735130e-01, 2.857142874366239149e-01, 1.818357216161805012e-01, 1.479819860511658591e-01}
	logEven = []float64{3.999999999940941908e-01, 2.222219843214978396e-01, 1.531383769920937332e-01}
)

// Log returns the natural logarithm of x: -Inf of 0, NaN of negative numbers
// and NaN, +Inf of +Inf.
func Log(x float64) float64 {
	switch {
	case math.IsNaN(x) || math.IsInf(x, 1):
		return x
	case x < 0:
		return math.NaN()
	case x == 0:
		return math.Inf(-1)
	}
	m, e := math.Frexp(x)
	if m < math.Sqrt2/2 {
		m *= 2
		e--
	}
	f := m - 1
	k := float64(e)
	s := f / (2 + f)
	z := float64(s * s)
	w := float64(z * z)
	r := float64(z*horner(w, logOdd)) + float64(w*horner(w, logEven))
	h := float64(0.5 * float64(f*f))
	return float64(k*ln2Hi) - ((h - (float64(s*(h+r)) + float64(k*ln2Lo))) - f)
}

// Log10 returns the decimal logarithm of x, with Log's special values. It is
// whole for the powers of ten that are exact.
func Log10(x float64) float64 {
	const (
		perLn10 = 4.34294481903251816668e-01
		log2Hi  = 3.01029995663611771306e-01
		log2Lo  = 3.69423907715893078616e-13
	)
	if !(x > 0) || math.IsInf(x, 1) {
		return Log(x)
	}
	m, e := math.Frexp(x)
	m, e = 2*m, e-1 // 1 <= m < 2
	if e < 0 {
		m, e = m/2, e+1
	}
	k := float64(e)
	z := float64(k*log2Lo) + float64(perLn10*Log(m))
	return z + float64(k*log2Hi)
}
