// Package elementary holds the elementary functions with the same bits on every
// processor: no fused multiply-add, no assembly, every product that feeds a sum
// rounded by an explicit conversion. Arguments, results and special values are
// those of package math, angles in radians; errors stay below two units in the
// last place, for arguments of any size. It never reads package math's own
// elementary functions, whose last bit differs between processors.
//
// The algorithms and coefficients are those of FreeBSD's msun (s_sin.c,
// k_sin.c, k_cos.c, k_tan.c, e_rem_pio2.c, e_asin.c, e_acos.c, e_exp.c,
// e_log.c, e_log10.c, e_pow.c) and, for the arctangent, of the Cephes library;
// the coefficients of msun were written down from memory and are held by the
// accuracy tests. They came with these notices:
//
//	Copyright (C) 1993, 2004 by Sun Microsystems, Inc. All rights reserved.
//	Permission to use, copy, modify, and distribute this software is freely
//	granted, provided that this notice is preserved.
//
//	Cephes Math Library Release 2.8: June, 2000
//	Copyright 1984, 1987, 1989, 1992, 2000 by Stephen L. Moshier
//	What you see here may be used freely but it comes with no support or
//	guarantee.
//
// The reduction of large arguments and the digits of 4/π follow the Go
// standard library's math package, Copyright 2018 The Go Authors, under its
// BSD-style licence.
package elementary

import "math"

// horner evaluates c[0] + z*(c[1] + z*(c[2] + …)), each product rounded.
func horner(z float64, c []float64) float64 {
	r := c[len(c)-1]
	for i := len(c) - 2; i >= 0; i-- {
		r = float64(r*z) + c[i]
	}
	return r
}

// high returns x with the lower 32 bits of its mantissa cleared, so that the
// product of two such numbers is exact.
func high(x float64) float64 {
	return math.Float64frombits(math.Float64bits(x) &^ 0xffffffff)
}

// Hypot returns the square root of p² + q² without undue overflow or underflow.
// It is +Inf where either is infinite, else NaN where either is NaN.
func Hypot(p, q float64) float64 {
	p, q = math.Abs(p), math.Abs(q)
	switch {
	case math.IsInf(p, 1) || math.IsInf(q, 1):
		return math.Inf(1)
	case math.IsNaN(p) || math.IsNaN(q):
		return math.NaN()
	}
	if p < q {
		p, q = q, p
	}
	if q == 0 {
		return p
	}
	const big, small, scale = 0x1p+500, 0x1p-450, 0x1p+600
	switch {
	case p > big:
		p, q = p/scale, q/scale
		return math.Sqrt(float64(p*p)+float64(q*q)) * scale
	case q < small:
		p, q = p*scale, q*scale // p <= big: it can still overflow only if q is negligible
		if math.IsInf(p, 1) || p > big {
			return p / scale
		}
		return math.Sqrt(float64(p*p)+float64(q*q)) / scale
	}
	return math.Sqrt(float64(p*p) + float64(q*q))
}

// Finite tells whether x is a number and not infinite.
func Finite(x float64) bool { return x-x == 0 }
