package reason

import (
	"fmt"
	"math"

	"perch/lang/quantity"
	"perch/parts/measure"
)

// Reading is a value of the record as its reader has it: 320mm, 12-1/2in, 3.2lb.
func Reading(x float64, unit string, in measure.System) string {
	if unit == "mm" && in == measure.Inches {
		return Length(x, in) + "in"
	}
	y, unit := quantity.FromRecord(x, unit, in)
	return Trimmed(y) + unit
}

// Spaced is a value of the record with its unit behind a space.
func Spaced(x float64, unit string, in measure.System) string {
	y, unit := quantity.FromRecord(x, unit, in)
	return Trimmed(y) + " " + unit
}

// Length is a length of mm without its unit: to 0.001 mm; in inches as a fraction, where it
// is one to 1/64, or to 0.0001 in.
func Length(mm float64, in measure.System) string {
	if in == measure.Millimetres {
		return Trimmed(mm)
	}
	return measure.Say("%#.2f", measure.Length(mm)).In(in)
}

// Trimmed writes a number to three decimals at the most.
func Trimmed(x float64) string {
	return fmt.Sprintf("%.7g", math.Round(x*1000)/1000)
}
