package bend

import (
	"math"
	"slices"

	"perch/parts/measure"
	"perch/solver/elementary"
)

// Method is a way to find the neutral-axis factor of a bend that no test bend
// was measured for. The zero Method is DIN 6935.
type Method string

const (
	DIN6935  Method = "din6935"  // the standard's correction factor by r/t
	Handbook Method = "handbook" // Machinery's Handbook eqs 32–34, by Group
	Stated   Method = "stated"   // the shop's own K for every bend
)

// Methods are all methods by name, in the order they are told to users.
var Methods = []Method{DIN6935, Handbook, Stated}

// MethodNamed returns the Method of that name; "" is DIN6935.
func MethodNamed(name string) (Method, bool) {
	if name == "" {
		return DIN6935, true
	}
	m := Method(name)
	return m, slices.Contains(Methods, m)
}

// Group sorts metals by how far the neutral axis moves in a bend, after the
// headings of Machinery's Handbook, 31st ed., p. 1421.
type Group string

const (
	Soft   Group = "soft"   // soft copper and soft brass: eq. 32
	Medium Group = "medium" // half-hard copper and brass, soft steel, aluminium: eq. 33
	Hard   Group = "hard"   // bronze, hard copper, cold-rolled and spring steel: eq. 34
)

// Groups are all groups by name, softest first.
var Groups = []Group{Soft, Medium, Hard}

// lowRatio is the r/t below which the neutral axis can't be told from tables [from memory].
const lowRatio = 0.4

// KDIN6935 is the neutral-axis factor K = k/2 with k = min(1, 0.65 + 0.5·log10(r/t))
// (DIN 6935, as widely reproduced), not below 0. Thickness must be above 0.
func KDIN6935(thickness, radius float64) float64 {
	if !(radius > 0) {
		return 0
	}
	k := 0.65 + float64(0.5*elementary.Log10(radius/thickness))
	return math.Max(0, math.Min(1, k)) / 2
}

// HandbookArc is the flat length, in mm, of a bend of angle radians by
// Machinery's Handbook, 31st ed., p. 1421, eqs 32–34: (c·t + 1.57·r)·A/90° with c
// 0.55 for Soft, 0.64 for Medium and 0.71 for Hard metals.
func HandbookArc(group Group, angle, thickness, radius float64) float64 {
	square := float64(handbookFactor(group)*thickness) + float64(1.57*radius)
	return float64(square * (angle / (90 * Degree)))
}

// KHandbook is the neutral-axis factor for which Allowance equals HandbookArc. It
// is the same for every angle, and kept within 0..1.
func KHandbook(group Group, thickness, radius float64) float64 {
	arc := HandbookArc(group, 90*Degree, thickness, radius)
	return math.Max(0, math.Min(1, (arc/(90*Degree)-radius)/thickness))
}

func handbookFactor(group Group) float64 {
	switch group {
	case Soft:
		return 0.55
	case Hard:
		return 0.71
	}
	return 0.64
}

// Warning is something the maker should know of a bend that can still be computed.
type Warning struct {
	Rule       string // the rule with its source mark
	Got, Limit float64
	Message    measure.Text
}

// Warnings are what should be known of a bend whose neutral axis was computed or
// stated: below a ratio of radius to thickness no table holds.
func (b Bend) Warnings() []Warning {
	ratio := b.Radius / b.Thickness
	if !(ratio < lowRatio) {
		return nil
	}
	return []Warning{{
		Rule: "radius to thickness: at least 0.4 for a computed neutral axis (from memory)",
		Got:  ratio, Limit: lowRatio,
		Message: measure.Say("inside radius %.3g is %.2f of the thickness %.3g; below %.1f no table holds:"+
			" measure a test bend, or bend to at least %.3g", measure.Length(b.Radius), ratio, measure.Length(b.Thickness), lowRatio, measure.Length(lowRatio*b.Thickness)),
	}}
}
