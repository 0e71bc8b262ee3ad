// Package measure words measures for a person: lengths, areas, masses and places in a
// sentence, written in the reader's system of units when the sentence is shown. Who makes
// a Text gives millimetres and kilograms and never asks who reads it. The package knows
// nothing of what is measured, and writes no record that a program reads.
package measure

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// System is the system of units that a reader goes by.
type System uint8

const (
	Millimetres System = iota // mm, kg, N, MPa
	Inches                    // in, lb, lbf, psi
)

// Named finds a system by the unit that a flag or a file names it by: mm or in.
func Named(unit string) (s System, ok bool) {
	switch unit {
	case "mm":
		return Millimetres, true
	case "in":
		return Inches, true
	}
	return Millimetres, false
}

// Unit is the unit of the system's lengths, mm or in.
func (s System) Unit() string {
	if s == Inches {
		return "in"
	}
	return "mm"
}

// MassUnit is the unit of the system's masses, kg or lb.
func (s System) MassUnit() string {
	if s == Inches {
		return "lb"
	}
	return "kg"
}

// StiffnessScale is one unit of the system's stiffnesses, in N/mm.
func (s System) StiffnessScale() float64 {
	if s == Inches {
		return poundN / InchMM
	}
	return 1
}

func (s System) forceUnit() string {
	if s == Inches {
		return "lbf"
	}
	return "N"
}

// String is the system's word in the language.
func (s System) String() string {
	if s == Inches {
		return "inches"
	}
	return "millimetres"
}

// Scales by definition (international yard and pound agreement of 1959).
const (
	InchMM  = 25.4       // mm
	PoundKG = 0.45359237 // kg
	poundN  = PoundKG * 9.80665
)

// Scale is one unit of the system's lengths, in mm.
func (s System) Scale() float64 {
	if s == Inches {
		return InchMM
	}
	return 1
}

// Mass is kg in the system's unit of mass.
func (s System) Mass(kg float64) float64 {
	if s == Inches {
		return kg / PoundKG
	}
	return kg
}

// Measures of a Text. Formatted by %f and %g they take the precision that is good for mm,
// as in %.2f: inches get two decimals more, but four at the most, or are written as a
// fraction where they are one to 1/64. They come with their unit, but for %#f and %#g.
type (
	Length float64 // mm
	Area   float64 // mm²
	Volume float64 // mm³
	Mass   float64 // kg
	Force  float64 // N
	// Stiffness is a force for each bit of a way, N/mm.
	Stiffness float64
	// Nominal is a diameter that is sold by a nominal size, mm: in inches the nearest
	// 1/32 in, where that is as good as the same, 3/16 in for 4.8 mm.
	Nominal float64
)

// Places of a Text, in mm: Place on a flat, whose coordinates are written without unit, and
// Spot in space.
type (
	Place struct{ X, Y float64 }
	Spot  struct{ X, Y, Z float64 }
)

// Text is a sentence with measures in it. The zero Text is empty.
type Text struct {
	format string
	args   []any
}

// Say is a Text by a format of package fmt. Measures among the arguments are written in
// the reader's system, and so is what is Shown, as Texts are, and errors that have one.
func Say(format string, args ...any) Text { return Text{format, args} }

// Empty says that there is nothing to read.
func (t Text) Empty() bool { return t.format == "" }

// Equal says that two texts read alike in every system.
func (t Text) Equal(o Text) bool {
	return t.In(Millimetres) == o.In(Millimetres) && t.In(Inches) == o.In(Inches)
}

// Plain is a Text that is the same for every reader.
func Plain(text string) Text {
	if text == "" {
		return Text{}
	}
	return Text{"%s", []any{text}}
}

// Shown is whatever writes itself in a reader's system, as a Text does.
type Shown interface{ In(s System) string }

// Either is a text that is another in each system, such as an example of what to write.
type Either struct{ Millimetres, Inches string }

// In is the text of a system.
func (e Either) In(s System) string {
	if s == Inches {
		return e.Inches
	}
	return e.Millimetres
}

// Teller is an error whose sentence has measures in it.
type Teller interface {
	error
	Told() Text
}

// Of is what an error says: of a Teller its Text, else its own words.
func Of(err error) Text {
	if t, ok := err.(Teller); ok {
		return t.Told()
	}
	return Plain(err.Error())
}

// Errorf is an error by a format whose measures are written in the reader's system.
func Errorf(format string, args ...any) error { return told{Say(format, args...)} }

type told struct{ text Text }

func (t told) Error() string { return t.text.String() }
func (t told) Told() Text    { return t.text }

// In writes the text in a system.
func (t Text) In(s System) string {
	if len(t.args) == 0 {
		return t.format
	}
	args := make([]any, len(t.args))
	for i, a := range t.args {
		switch a := a.(type) {
		case Length, Nominal, Area, Volume, Mass, Force, Stiffness, Place, Spot:
			args[i] = shown{a, s}
		case Shown:
			args[i] = a.In(s)
		case Teller:
			args[i] = a.Told().In(s)
		default:
			args[i] = a
		}
	}
	return fmt.Sprintf(t.format, args...)
}

// String writes the text in millimetres.
func (t Text) String() string { return t.In(Millimetres) }

// shown is a measure that is being written in a system.
type shown struct {
	measure any
	system  System
}

// Format is the shown measure's fmt.Formatter.
func (m shown) Format(f fmt.State, verb rune) {
	digits, stated := f.Precision()
	if !stated {
		digits = 4
		verb = 'g'
	}
	var number, name string
	switch v := m.measure.(type) {
	case Length:
		number, name = lengthDigits(float64(v), digits, verb, m.system), m.system.Unit()
	case Nominal:
		mm := float64(v)
		if inch := float64(math.Round(mm/InchMM*32) / 32 * InchMM); m.system == Inches && math.Abs(inch-mm) <= nominalTol {
			mm = inch
		}
		number, name = lengthDigits(mm, digits, verb, m.system), m.system.Unit()
	case Area:
		number, name = scaled(float64(v), InchMM*InchMM, digits, verb, m.system), m.system.Unit()+"²"
	case Volume:
		number, name = scaled(float64(v), InchMM*InchMM*InchMM, digits, verb, m.system), m.system.Unit()+"³"
	case Mass:
		number, name = scaled(float64(v), PoundKG, digits, verb, m.system), m.system.MassUnit()
	case Force:
		number, name = scaled(float64(v), poundN, digits, verb, m.system), m.system.forceUnit()
	case Stiffness:
		number, name = scaled(float64(v), poundN/InchMM, digits, verb, m.system), m.system.forceUnit()+"/"+m.system.Unit()
	case Place:
		number = "(" + scaled(v.X, InchMM, digits, verb, m.system) + ", " + scaled(v.Y, InchMM, digits, verb, m.system) + ")"
	case Spot:
		x, y, z := scaled(v.X, InchMM, digits, verb, m.system), scaled(v.Y, InchMM, digits, verb, m.system), scaled(v.Z, InchMM, digits, verb, m.system)
		number, name = "("+x+", "+y+", "+z+")", m.system.Unit()
	}
	f.Write([]byte(number))
	if name != "" && !f.Flag('#') {
		f.Write([]byte(" " + name))
	}
}

// nominalTol is how far, in mm, a metric size may lie from the inch size that it is sold
// for: a rivet of 6.4 mm from 1/4 in by 0.05.
const nominalTol = 0.06

// finest is the smallest division of an inch that is written as a fraction.
const finest = 64

func lengthDigits(mm float64, digits int, verb rune, s System) string {
	if s == Inches {
		if text := Fraction(mm, finest); exactly(text) {
			return text
		}
	}
	return scaled(mm, InchMM, digits, verb, s)
}

// mostInches are the decimals of an inch that are written: a ten-thousandth is 2.5 µm.
const mostInches = 4

// scaled writes a number of mm, mm² or kg, divided for inches, to the digits of a verb.
func scaled(v, by float64, digits int, verb rune, s System) string {
	if s == Inches {
		v /= by
		if verb == 'f' {
			return Decimal(v, min(digits+2, mostInches))
		}
		return Decimal(v, min(decimalsOf(v, digits+1), mostInches))
	}
	if verb == 'f' {
		text := strconv.FormatFloat(v, 'f', digits, 64)
		if strings.Trim(text, "-0.") == "" { // nothing is left of it: no sign either
			return strings.TrimPrefix(text, "-")
		}
		return text
	}
	return Decimal(v, decimalsOf(v, digits))
}
