package value

import (
	"math"
	"strings"

	"perch/lang/quantity"
)

// Text writes a number as a maker reads it: lengths to 0.001 mm or 0.0001 in, angles to
// 0.0001 degrees, the rest to six places.
func (n Number) Text(sys quantity.System) string {
	step := ReadStep(n.Dim, sys)
	v := math.Round(n.V/step) * step
	if n.Dim == quantity.Length && sys == quantity.Inches && !strings.Contains(quantity.FormatFraction(n.V, 64), ".") {
		v = n.V
	}
	return quantity.Format(v, n.Dim, sys)
}

// In writes the number as Text does.
func (n Number) In(sys quantity.System) string { return n.Text(sys) }

// ReadStep is what a maker can still read off, in internal units.
func ReadStep(d quantity.Dim, sys quantity.System) float64 {
	switch {
	case d == quantity.Length && sys == quantity.Inches:
		return quantity.InchMM * 1e-4
	case d == quantity.Length:
		return 1e-3
	case d == quantity.Angle:
		return math.Pi / 180 * 1e-4
	case d == quantity.Area:
		return 1
	}
	return 1e-6
}

// Recorded is a number in the units of the record: mm, degrees, kg.
func (n Number) Recorded() (v float64, unit string) {
	switch n.Dim {
	case quantity.None:
		return n.V, ""
	case quantity.Angle:
		return n.V * 180 / math.Pi, "deg"
	}
	return n.V, n.Dim.Units()
}

// EqualWithin is the relative difference below which two quantities are equal.
const EqualWithin = 1e-9
