package elementary

import "math"

var (
	sinCoef = []float64{
		-1.66666666666666324348e-01, 8.33333333332248946124e-03, -1.98412698298579493134e-04,
		2.75573137070700676789e-06, -2.50507602534068634195e-08, 1.58969099521155010221e-10,
	}
	cosCoef = []float64{
		4.16666666666666019037e-02, -1.38888888888741095749e-03, 2.48015872894767294178e-05,
		-2.75573143513906633035e-07, 2.08757232129817482790e-09, -1.13596475577881948265e-11,
	}
	tanCoef = []float64{
		3.33333333333334091986e-01, 1.33333333333201242699e-01, 5.39682539762260521377e-02,
		2.18694882948595424599e-02, 8.86323982359930005737e-03, 3.59207910759131235356e-03,
		1.45620945432529025516e-03, 5.88041240820264096874e-04, 2.46463134818469906812e-04,
		7.81794442939557092300e-05, 7.14072491382608190305e-05, -1.85586374855275456654e-05,
		2.59073051863633712884e-05,
	}
)

// kernelSin is the sine of r + t, |r| <= π/4 about, t its tail.
func kernelSin(r, t float64) float64 {
	z := float64(r * r)
	v := float64(z * r)
	p := horner(z, sinCoef[1:])
	return r - ((float64(z*(float64(0.5*t)-float64(v*p))) - t) - float64(v*sinCoef[0]))
}

// kernelCos is the cosine of r + t, |r| <= π/4 about, t its tail.
func kernelCos(r, t float64) float64 {
	z := float64(r * r)
	p := float64(z * horner(z, cosCoef))
	hz := float64(0.5 * z)
	w := 1 - hz
	return w + (((1 - w) - hz) + (float64(z*p) - float64(r*t)))
}

// kernelTan is the tangent of r + t, or minus its reciprocal where turned.
func kernelTan(x, y float64, turned bool) float64 {
	const quarterHi, quarterLo = 7.85398163397448278999e-01, 3.06161699786838301793e-17
	big := math.Abs(x) >= 0.67434
	negative := x < 0
	if big {
		if negative {
			x, y = -x, -y
		}
		x, y = (quarterHi-x)+(quarterLo-y), 0
	}
	z := float64(x * x)
	w := float64(z * z)
	odd := tanCoef[1] + float64(w*(tanCoef[3]+float64(w*(tanCoef[5]+float64(w*(tanCoef[7]+float64(w*(tanCoef[9]+float64(w*tanCoef[11])))))))))
	even := float64(z * (tanCoef[2] + float64(w*(tanCoef[4]+float64(w*(tanCoef[6]+float64(w*(tanCoef[8]+float64(w*(tanCoef[10]+float64(w*tanCoef[12])))))))))))
	s := float64(z * x)
	r := y + float64(z*(float64(s*(odd+even))+y))
	r += float64(tanCoef[0] * s)
	w = x + r
	if big {
		v := 1.0
		if turned {
			v = -1
		}
		u := v - float64(2*(x-(float64(w*w)/(w+v)-r)))
		if negative {
			u = -u
		}
		return u
	}
	if !turned {
		return w
	}
	// -1/(x+r) with a correction for the rounding of x + r.
	zh := high(w)
	v := r - (zh - x)
	a := -1 / w
	th := high(a)
	e := 1 + float64(th*zh)
	return th + float64(a*(e+float64(th*v)))
}

func notFinite(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }

// Sin returns the sine of x; Sin(±0) = ±0, of ±Inf and NaN it is NaN.
func Sin(x float64) float64 {
	s, _ := Sincos(x)
	return s
}

// Cos returns the cosine of x; of ±Inf and NaN it is NaN.
func Cos(x float64) float64 {
	_, c := Sincos(x)
	return c
}

// Sincos returns Sin(x), Cos(x).
func Sincos(x float64) (s, c float64) {
	if notFinite(x) {
		return math.NaN(), math.NaN()
	}
	if math.Abs(x) < 0x1p-27 {
		return x, 1
	}
	n, r, t := reduce(x)
	s, c = kernelSin(r, t), kernelCos(r, t)
	switch n {
	case 1:
		return c, -s
	case 2:
		return -s, -c
	case 3:
		return -c, s
	}
	return s, c
}

// Tan returns the tangent of x; Tan(±0) = ±0, of ±Inf and NaN it is NaN. No
// float64 is an odd multiple of π/2, so it is never infinite.
func Tan(x float64) float64 {
	if notFinite(x) {
		return math.NaN()
	}
	if math.Abs(x) < 0x1p-28 {
		return x
	}
	n, r, t := reduce(x)
	return kernelTan(r, t, n&1 == 1)
}
