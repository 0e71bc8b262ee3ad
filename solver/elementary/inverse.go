package elementary

import "math"

const (
	halfPiHi    = 1.57079632679489655800e+00
	halfPiLo    = 6.12323399573676603587e-17
	quarterPiHi = 7.85398163397448278999e-01
)

var (
	asinP = []float64{
		1.66666666666666657415e-01, -3.25565818622400915405e-01, 2.01212532134862925881e-01,
		-4.00555345006794114027e-02, 7.91534994289814532176e-04, 3.47933107596021167570e-05,
	}
	asinQ = []float64{
		1, -2.40339491173441421878e+00, 2.02094576023350569471e+00,
		-6.88283971605453293030e-01, 7.70381505559019352791e-02,
	}
)

// asinRatio is (asin(√z)/√z - 1), 0 <= z <= 1/4.
func asinRatio(z float64) float64 {
	return float64(z*horner(z, asinP)) / horner(z, asinQ)
}

// Asin returns the arcsine of x in [-π/2, π/2]; NaN outside [-1, 1], ±0 of ±0.
func Asin(x float64) float64 {
	a := math.Abs(x)
	switch {
	case !(a <= 1):
		return math.NaN()
	case a < 0x1p-27:
		return x
	case a < 0.5:
		return x + float64(x*asinRatio(float64(x*x)))
	}
	z := float64(0.5 * (1 - a))
	r := asinRatio(z)
	s := math.Sqrt(z)
	var y float64
	if a >= 0.975 {
		y = halfPiHi - (float64(2*(s+float64(s*r))) - halfPiLo)
	} else {
		w := high(s)
		c := (z - float64(w*w)) / (s + w)
		p := float64(2*float64(s*r)) - (halfPiLo - float64(2*c))
		q := quarterPiHi - float64(2*w)
		y = quarterPiHi - (p - q)
	}
	return math.Copysign(y, x)
}

// Acos returns the arccosine of x in [0, π]; NaN outside [-1, 1].
func Acos(x float64) float64 {
	switch {
	case !(math.Abs(x) <= 1):
		return math.NaN()
	case x == 1:
		return 0
	case x == -1:
		return math.Pi
	case math.Abs(x) < 0.5:
		r := asinRatio(float64(x * x))
		return halfPiHi - (x - (halfPiLo - float64(x*r)))
	case x < 0:
		z := float64(0.5 * (1 + x))
		s := math.Sqrt(z)
		w := float64(asinRatio(z)*s) - halfPiLo
		return math.Pi - float64(2*(s+w))
	}
	z := float64(0.5 * (1 - x))
	s := math.Sqrt(z)
	d := high(s)
	c := (z - float64(d*d)) / (s + d)
	w := float64(asinRatio(z)*s) + c
	return float64(2 * (d + w))
}

var (
	atanP = []float64{
		-6.485021904942025371773e+01, -1.228866684490136173410e+02, -7.500855792314704667340e+01,
		-1.615753718733365076637e+01, -8.750608600031904122785e-01,
	}
	atanQ = []float64{
		1.945506571482613964425e+02, 4.853903996359136964868e+02, 4.328810604912902668951e+02,
		1.650270098316988542046e+02, 2.485846490142306297962e+01, 1,
	}
)

// kernelAtan is the arctangent of x in [0, 0.66].
func kernelAtan(x float64) float64 {
	z := float64(x * x)
	z = float64(z*horner(z, atanP)) / horner(z, atanQ)
	return float64(x*z) + x
}

// Atan returns the arctangent of x in [-π/2, π/2]; ±0 of ±0, ±π/2 of ±Inf.
func Atan(x float64) float64 {
	const tan3Pi8 = 2.41421356237309504880
	a := math.Abs(x)
	var y float64
	switch {
	case x == 0 || math.IsNaN(x):
		return x
	case a <= 0.66:
		y = kernelAtan(a)
	case a > tan3Pi8:
		y = halfPiHi - (kernelAtan(1/a) - halfPiLo)
	default:
		y = quarterPiHi + (kernelAtan((a-1)/(a+1)) + 0.5*halfPiLo)
	}
	return math.Copysign(y, x)
}

// Atan2 returns the angle of the point (x, y) in [-π, π], with the special
// values of package math.
func Atan2(y, x float64) float64 {
	switch {
	case math.IsNaN(y) || math.IsNaN(x):
		return math.NaN()
	case y == 0:
		if math.Signbit(x) {
			return math.Copysign(math.Pi, y)
		}
		return y
	case x == 0:
		return math.Copysign(math.Pi/2, y)
	case math.IsInf(x, 0) && math.IsInf(y, 0):
		if x > 0 {
			return math.Copysign(math.Pi/4, y)
		}
		return math.Copysign(3*math.Pi/4, y)
	case math.IsInf(x, 1):
		return math.Copysign(0, y)
	case math.IsInf(x, -1):
		return math.Copysign(math.Pi, y)
	}
	q := Atan(math.Abs(y / x))
	if x < 0 {
		q = math.Pi - (q - 2*halfPiLo)
	}
	return math.Copysign(q, y)
}
