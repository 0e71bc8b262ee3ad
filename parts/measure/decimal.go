package measure

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Decimal writes v rounded to at most digits places, without trailing zeros
// and never as -0. Values of 1e15 and more keep an exponent.
func Decimal(v float64, digits int) string {
	if math.Abs(v) >= 1e15 {
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	s := strconv.FormatFloat(v, 'f', digits, 64)
	if strings.ContainsRune(s, '.') {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// decimalsOf are the places behind the point of a number that is written to so many
// significant digits; 0 where the digits before the point are more.
func decimalsOf(v float64, digits int) int {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	text := strconv.FormatFloat(math.Abs(v), 'e', max(digits, 1)-1, 64) // rounded first: 9.996 to three digits is 10.0
	exponent, _ := strconv.Atoi(text[strings.IndexByte(text, 'e')+1:])
	return max(0, digits-1-exponent)
}

// Fraction writes a length in millimetres as inches without the unit: 1-1/2, 3/8, 12,
// where it lies within half a 1e-6 mm of a multiple of 1/finest inch (finest a power of
// two), else as a decimal of eight places, 0.123.
func Fraction(mm float64, finest int) string {
	if finest < 1 {
		finest = 1
	}
	n := math.Round(mm / InchMM * float64(finest))
	if !(math.Abs(n) <= 1e9) || math.Abs(float64(n*(InchMM/float64(finest)))-mm) > 0.5e-6 {
		return Decimal(mm/InchMM, 8)
	}
	return sixtyFourths(int64(n), int64(finest))
}

// sixtyFourths writes num/den inches, den a power of two, in lowest terms: -2-1/4, 5/8.
func sixtyFourths(num, den int64) string {
	sign := ""
	if num < 0 {
		sign, num = "-", -num
	}
	for den%2 == 0 && num%2 == 0 {
		num, den = num/2, den/2
	}
	whole, num := num/den, num%den
	switch {
	case num == 0:
		return fmt.Sprintf("%s%d", sign, whole)
	case whole == 0:
		return fmt.Sprintf("%s%d/%d", sign, num, den)
	}
	return fmt.Sprintf("%s%d-%d/%d", sign, whole, num, den)
}

// exactly says that Fraction wrote no decimal.
func exactly(text string) bool { return !strings.ContainsAny(text, ".e") }
