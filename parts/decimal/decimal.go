// Package decimal writes numbers with a fixed number of decimals, as short as
// they come and the same on every processor: 12.5 with six decimals is 12.5,
// −1e-9 is 0 and never −0. It is how lengths, cosines, angles and bulges leave
// the building; it knows no units and parses nothing.
package decimal

import (
	"math"
	"strconv"
)

// Decimals to which each kind of number is written.
const (
	Length = 6  // mm: a thousandth of what any shop can measure
	Cosine = 12 // matrix entries: 600 mm away still 1e-9 mm
	Angle  = 9  // degrees
	Bulge  = 12
)

// powers of ten up to the most decimals in use.
var powers = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12}

// exactInt is the largest count of steps that a float64 holds exactly.
const exactInt = 1 << 53

// Round returns x to the given decimals (0 to 12), halves away from zero, and
// never −0. Numbers of 2^53 steps and above, infinities and NaN come back as they are.
func Round(x float64, decimals int) float64 {
	steps := math.Round(x * powers[decimals])
	if !(math.Abs(steps) < exactInt) {
		return x
	}
	return steps/powers[decimals] + 0
}

// Append appends x to dst with at most the given decimals (0 to 12), without
// trailing zeros. Infinities and NaN, which no format here can hold, become 0:
// callers refuse them first, see Finite.
func Append(dst []byte, x float64, decimals int) []byte {
	steps := math.Round(x * powers[decimals])
	if !(math.Abs(steps) < exactInt) {
		if !Finite(x) {
			return append(dst, '0')
		}
		return strconv.AppendFloat(dst, x, 'f', -1, 64)
	}
	if steps == 0 {
		return append(dst, '0')
	}
	if steps < 0 {
		dst, steps = append(dst, '-'), -steps
	}
	unit := uint64(powers[decimals])
	whole, part := uint64(steps)/unit, uint64(steps)%unit
	dst = strconv.AppendUint(dst, whole, 10)
	if part == 0 {
		return dst
	}
	for part%10 == 0 {
		part, decimals = part/10, decimals-1
	}
	var digits [len(powers)]byte
	for i := decimals - 1; i >= 0; i-- {
		digits[i] = byte('0' + part%10)
		part /= 10
	}
	return append(append(dst, '.'), digits[:decimals]...)
}

// Finite reports whether every number is neither infinite nor NaN.
func Finite(xs ...float64) bool {
	for _, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}
