// Package quantity holds dimensions, units and the trade's ways to write a
// number. Inside perch every number is in internal units: millimetres, radians,
// kilograms, newtons, seconds and the shop's currency. It knows nothing of
// names, files or geometry.
package quantity

import "strings"

// Dim is a physical dimension as integer powers of the internal units.
// Stress is Force¹ Length⁻² (MPa).
type Dim struct{ Length, Angle, Mass, Force, Time, Money int8 }

var (
	None   = Dim{}
	Length = Dim{Length: 1}
	Area   = Dim{Length: 2}
	Angle  = Dim{Angle: 1}
	Mass   = Dim{Mass: 1}
	Force  = Dim{Force: 1}
	Time   = Dim{Time: 1}
	Money  = Dim{Money: 1}
)

// LiteralKind says what a number literal is.
type LiteralKind uint8

const (
	Plain LiteralKind = iota // no unit: a number, a count where Whole
	Unit                     // with a unit
	Gauge                    // 18ga
)

// Literal is a number as it was written.
type Literal struct {
	Spelling string
	Kind     LiteralKind
	Value    float64 // in internal units; the gauge number for Gauge; 0.4 for 40%
	Dim      Dim
	Whole    bool // a Plain literal written without point, exponent or per cent
}

// Unit is the unit that a number was written in; of feet and inches together the inch, the
// zero UnitDef for a number without.
func (l Literal) Unit() UnitDef {
	if l.Kind != Unit {
		return UnitDef{}
	}
	u, ok := LookupUnit(strings.TrimLeft(l.Spelling, "0123456789.-/eE+"))
	if !ok {
		u, _ = LookupUnit("in")
	}
	return u
}

// System is the system of units that a length was written in; ok is false for what is no
// length with a unit.
func (l Literal) System() (s System, ok bool) {
	if l.Kind != Unit || l.Dim != Length {
		return Millimetres, false
	}
	for _, mark := range [...]string{"in", "ft", `"`, "'"} {
		if strings.HasSuffix(l.Spelling, mark) {
			return Inches, true
		}
	}
	return Millimetres, true
}
