package quantity

import (
	"math"
	"strconv"

	"perch/parts/measure"
)

// System is how a reader writes lengths and what goes with them.
type System = measure.System

const (
	Millimetres = measure.Millimetres // mm, kg, N, MPa
	Inches      = measure.Inches      // in, lb, lbf, psi
)

// Digits kept behind the point when a value is shown: a millionth of a
// millimetre, a billionth of a degree and of anything else.
const (
	lengthDigits = 6
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
func Format(value float64, dim Dim, sys System) string { return format(value, dim, sys, 0) }

// Finely is Format with six places more, as a decimal: to be read back as what counts as
// equal to the value.
func Finely(value float64, dim Dim, sys System) string { return format(value, dim, sys, 6) }

func format(value float64, dim Dim, sys System, more int) string {
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
		case dim == Length && i == 1 && more == 0:
			return FormatFraction(value, finestFraction) + "in"
		case dim == Length:
			return Decimal(value/u.Scale, lengthDigits+more) + u.Name
		}
		return Decimal(value/u.Scale, otherDigits+more) + u.Name
	}
	if d := dim; i == 1 && d == (Dim{Length: d.Length}) && (d.Length == 2 || d.Length == 3) {
		return Decimal(value/math.Pow(InchMM, float64(d.Length)), otherDigits+more) + "in" + superscript(int(d.Length))
	}
	return Decimal(value, otherDigits+more) + dim.Units()
}

// Decimal writes v rounded to at most digits places, without trailing zeros and never
// as -0. Values of 1e15 and more keep an exponent.
func Decimal(v float64, digits int) string { return measure.Decimal(v, digits) }

// FormatFraction writes a length in millimetres as inches without the unit: 1-1/2, 3/8,
// 12, where it is one to 1/finest inch, else as a decimal; see [measure.Fraction].
func FormatFraction(mm float64, finest int) string { return measure.Fraction(mm, finest) }
