package elementary

import (
	"math"
	"math/bits"
)

// mediumLimit is the size up to which n = x/(π/2) has less than 20 bits, so that
// its products with the 33-bit parts of π/2 are exact.
const mediumLimit = 0x1p+20 * (math.Pi / 2) * 0.99

// reduce returns the quadrant n modulo 4 and r + t = x - n·π/2 with |r| <= π/4
// about, t the part below r's last place. x must be finite.
func reduce(x float64) (n int, r, t float64) {
	a := math.Abs(x)
	switch {
	case a <= math.Pi/4:
		return 0, x, 0
	case a < mediumLimit:
		n, r, t = reduceMedium(a)
	default:
		n, r, t = reduceLarge(a)
	}
	if x < 0 {
		n, r, t = -n, -r, -t
	}
	return n & 3, r, t
}

// reduceMedium subtracts n·π/2 in three steps of 33 bits each (Cody and Waite),
// as many as the cancellation asks for.
func reduceMedium(x float64) (n int, r, t float64) {
	const (
		twoOverPi = 6.36619772367581382433e-01
		part1     = 1.57079632673412561417e+00 // first 33 bits of π/2
		rest1     = 6.07710050650619224932e-11 // π/2 - part1
		part2     = 6.07710050630396597660e-11
		rest2     = 2.02226624879595063154e-21
		part3     = 2.02226624871116645580e-21
		rest3     = 8.47842766036889956997e-32
	)
	fn := math.Floor(float64(x*twoOverPi) + 0.5)
	u := x - float64(fn*part1)
	w := float64(fn * rest1)
	r = u - w
	ex := exponent(x)
	if ex-exponent(r) > 16 {
		v := u
		w = float64(fn * part2)
		u = v - w
		w = float64(fn*rest2) - ((v - u) - w)
		r = u - w
		if ex-exponent(r) > 49 {
			v = u
			w = float64(fn * part3)
			u = v - w
			w = float64(fn*rest3) - ((v - u) - w)
			r = u - w
		}
	}
	return int(fn), r, (u - r) - w
}

func exponent(x float64) int { return int(math.Float64bits(x)>>52) & 0x7ff }

// reduceLarge multiplies x by the digits of 4/π that matter, 192 bits of the
// product modulo 8 (Payne and Hanek; K. C. Ng, "Argument reduction for huge
// arguments", 1992).
func reduceLarge(x float64) (n int, r, t float64) {
	ix := math.Float64bits(x)
	exp := int(ix>>52&0x7ff) - 1023 - 52
	ix = ix&(1<<52-1) | 1<<52
	digit, shift := uint(exp+61)/64, uint(exp+61)%64
	var z [4]uint64
	for i := range z {
		z[i] = word(digit+uint(i))<<shift | word(digit+uint(i)+1)>>(64-shift)
	}
	h3, _ := bits.Mul64(z[3], ix)
	h2, l2 := bits.Mul64(z[2], ix)
	h1, l1 := bits.Mul64(z[1], ix)
	lo, c := bits.Add64(l2, h3, 0)
	mid, c := bits.Add64(l1, h2, c)
	hi, _ := bits.Add64(z[0]*ix, h1, c)

	// The top three bits are the octant; the quadrant is the nearest even one.
	n = int((hi>>61 + 1) >> 1)
	hi -= uint64(n) << 62 // modulo 8 octants, now the signed distance to the quadrant
	negative := int64(hi) < 0
	if negative {
		lo, c = bits.Sub64(0, lo, 0)
		mid, c = bits.Sub64(0, mid, c)
		hi, _ = bits.Sub64(0, hi, c)
	}
	fh, fl := fraction(hi, mid, lo)
	if negative {
		fh, fl = -fh, -fl
	}
	r, t = timesQuarterPi(fh, fl)
	return n, r, t
}

func word(i uint) uint64 {
	if i < uint(len(fourOverPi)) {
		return fourOverPi[i]
	}
	return 0
}

// fraction returns the 192-bit number, 61·64 bits below its point, as a sum of
// two floats: value/2^189.
func fraction(hi, mid, lo uint64) (h, l float64) {
	if hi|mid|lo == 0 {
		return 0, 0
	}
	e := 3 // hi's top bit weighs 2^2
	for hi == 0 {
		hi, mid, lo = mid, lo, 0
		e -= 64
	}
	s := uint(bits.LeadingZeros64(hi))
	e -= int(s)
	if s > 0 {
		hi = hi<<s | mid>>(64-s)
		mid = mid<<s | lo>>(64-s)
	}
	h = float64(hi>>12) * math.Ldexp(1, e-52)
	l = float64((hi&0xfff)<<41|mid>>23) * math.Ldexp(1, e-105)
	return h, l
}

// timesQuarterPi returns (h + l)·π/4 as a sum of two floats.
func timesQuarterPi(h, l float64) (r, t float64) {
	const (
		quarterHi = 7.85398163397448278999e-01
		quarterLo = 3.06161699786838301793e-17
	)
	p := float64(h * quarterHi)
	hh, qh := high(h), high(quarterHi)
	hl, ql := h-hh, quarterHi-qh
	err := ((float64(hh*qh) - p) + float64(hh*ql) + float64(hl*qh)) + float64(hl*ql)
	err += float64(h*quarterLo) + float64(l*quarterHi)
	r = p + err
	return r, err - (r - p)
}

// fourOverPi holds the binary digits of 4/π: Σ fourOverPi[i]·2^(-64i), 1217 bits,
// enough for the largest float64.
var fourOverPi = [...]uint64{
	0x0000000000000001,
	0x45f306dc9c882a53,
	0xf84eafa3ea69bb81,
	0xb6c52b3278872083,
	0xfca2c757bd778ac3,
	0x6e48dc74849ba5c0,
	0x0c925dd413a32439,
	0xfc3bd63962534e7d,
	0xd1046bea5d768909,
	0xd338e04d68befc82,
	0x7323ac7306a673e9,
	0x3908bf177bf25076,
	0x3ff12fffbc0b301f,
	0xde5e2316b414da3e,
	0xda6cfd9e4f96136e,
	0x9e8c7ecd3cbfd45a,
	0xea4f758fd7cbe2f6,
	0x7a0e73ef14a525d4,
	0xd7f6bf623f1aba10,
	0xac06608df8f6d757,
}
