package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// System is how a shop writes lengths and what goes with them.
type System uint8

const (
	Millimetres System = iota // mm, kg, N, MPa
	Inches                    // in, lb, lbf, psi
)

// Digits kept behind the point when a value is shown: a millionth of a
// millimetre, a billionth of a degree and of anything else.
const (
	lengthDigits = 6
	inchDigits   = 8
	otherDigits  = 9
)

// finestFraction is the smallest division of an inch shown as a fraction.
const finestFraction = 64

// shownIn gives the unit in which a dimension is shown in each system.
var shownIn = map[Dim][2]string{
	Length: {"mm", "in"},
	Angle:  {"deg", "deg"},
	Mass:   {"kg", "lb"},
	Force:  {"N", "lbf"},
	Time:   {"s", "s"},
	Stress: {"MPa", "psi"},
}

// Format writes a value in internal units as the maker writes it: the shortest
// round decimal with its unit, 320mm, 12.5deg; in inches a fraction where the
// value is one to 1/64 exactly (1-1/2in), else a decimal. Lengths are rounded
// to 1e-6 mm. What has no unit in the language is shown in internal units, as
// 1200mm²; money has two digits and no sign of currency.
func Format(value float64, dim Dim, sys System) string {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return "no number"
	}
	i := 0
	if sys == Inches {
		i = 1
	}
	if dim == Money {
		return strconv.FormatFloat(value, 'f', 2, 64)
	}
	if name, ok := shownIn[dim]; ok {
		u, _ := LookupUnit(name[i])
		switch {
		case dim == Length && i == 1:
			return FormatFraction(value, finestFraction) + "in"
		case dim == Length:
			return Decimal(value, lengthDigits) + "mm"
		}
		return Decimal(value/u.Scale, otherDigits) + u.Name
	}
	if d := dim; i == 1 && d == (Dim{Length: d.Length}) && (d.Length == 2 || d.Length == 3) {
		return Decimal(value/math.Pow(InchMM, float64(d.Length)), otherDigits) + "in" + superscript(int(d.Length))
	}
	return Decimal(value, otherDigits) + dim.Units()
}

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

// FormatFraction writes a length in millimetres as inches without the unit:
// 1-1/2, 3/8, 12, where it lies within half a 1e-6 mm of a multiple of 1/finest
// inch (finest a power of two), else as a decimal, 0.123.
func FormatFraction(mm float64, finest int) string {
	inches := mm / InchMM
	if finest < 1 {
		finest = 1
	}
	n := math.Round(inches * float64(finest))
	if math.Abs(n) > 1e9 || math.Abs(n*(InchMM/float64(finest))-mm) > 0.5e-6 {
		return Decimal(inches, inchDigits)
	}
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	num, den := int64(n), int64(finest)
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
