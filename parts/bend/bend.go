// Package bend is the mathematics of a bend in sheet metal: allowance, set-back and
// deduction, the formulas for the neutral axis, what a test bend tells of it, and an
// estimate of springback. It knows no shop, no outlines and no files.
package bend

import (
	"fmt"
	"math"

	"perch/parts/measure"
	"perch/solver/elementary"
)

// Degree is one degree in radians.
const Degree = math.Pi / 180

// hemLimit is the bend angle above which the mold line runs away and faces are
// drawn to the outer tangent line instead; exactly 150° still has a mold line.
const hemLimit = 150*Degree + angleTol

// angleTol is the rounding allowed to an angle that should equal a limit, in radians.
const angleTol = 1e-9

// Limits that NewBend holds its arguments to, so that nothing computed from
// them overflows.
const (
	MaxThickness = 100.0 // mm
	MaxRadius    = 1.0e4 // mm
	maxAngle     = math.Pi + angleTol
)

// Bend is one bend with all its numbers.
type Bend struct {
	Angle     float64 // bend angle, 0 flat, in radians
	Thickness float64 // mm
	Radius    float64 // inside radius, mm
	K         float64 // neutral-axis factor from the inside surface
}

// NewBend returns the bend of the given angle (radians, 0 flat to π), thickness
// and inside radius (mm) and neutral-axis factor from the inside surface (0 to 1).
// It is an error for any of them to be NaN or outside its range. A closed hem is
// NewBend(math.Pi, t, 0, 0.5); see Hem.
func NewBend(angle, thickness, radius, k float64) (Bend, error) {
	b := Bend{Angle: angle, Thickness: thickness, Radius: radius, K: k}
	if err := b.Err(); err != nil {
		return Bend{}, err
	}
	return b, nil
}

// Err tells which of a bend's numbers is NaN or outside its range (see NewBend),
// nil for a bend that can be computed with.
func (b Bend) Err() error {
	switch {
	case !(b.Angle >= 0 && b.Angle <= maxAngle):
		return fmt.Errorf("bend angle %g° is not in 0°..180°", b.Angle/Degree)
	case !(b.Thickness > 0 && b.Thickness <= MaxThickness):
		return measure.Errorf("thickness %.6g is not above 0 and up to %.6g", measure.Length(b.Thickness), measure.Length(MaxThickness))
	case !(b.Radius >= 0 && b.Radius <= MaxRadius):
		return measure.Errorf("inside radius %.6g is not in 0..%.6g", measure.Length(b.Radius), measure.Length(MaxRadius))
	case !(b.K >= 0 && b.K <= 1):
		return fmt.Errorf("neutral-axis factor %g is not in 0..1", b.K)
	}
	return nil
}

// Hem is the closed hem of a sheet: 180° at radius 0 and K 0.5, so that its
// deduction is (2 − π/2)·thickness.
func Hem(thickness float64) Bend {
	return Bend{Angle: math.Pi, Thickness: thickness, K: 0.5}
}

// ClosedHem tells whether the bend is folded flat onto its own sheet: 180° at radius 0.
func (b Bend) ClosedHem() bool { return b.Radius == 0 && math.Abs(b.Angle-math.Pi) <= angleTol }

// Allowance is the flat length of the bend, Angle·(Radius + K·Thickness), in mm.
func (b Bend) Allowance() float64 {
	return float64(b.Angle * (b.Radius + float64(b.K*b.Thickness)))
}

// SetBack is the distance from the mold line to the tangent line on a face, for
// the drawn surface outside (true) or inside (false) of the bend, in mm:
// (Radius + Thickness)·tan(Angle/2) or Radius·tan(Angle/2). Above 150° it is
// Radius + Thickness either way: faces are drawn to the outer tangent line.
func (b Bend) SetBack(outside bool) float64 {
	if b.Angle > hemLimit {
		return b.Radius + b.Thickness
	}
	tan := elementary.Tan(b.Angle / 2)
	if outside {
		return float64((b.Radius + b.Thickness) * tan)
	}
	return float64(b.Radius * tan)
}

// Deduction is what two outside lengths to the mold line are longer than the
// flat, 2·SetBack(true) − Allowance(), in mm.
func (b Bend) Deduction() float64 {
	return float64(2*b.SetBack(true)) - b.Allowance()
}

// LevelCutDeviation is how far the straight end of the allowance strip lies from
// the true cut, in mm, where a corner fold whose sides lean by lean (radians from
// plumb) is cut level: (r + t)·sin(lean)·(sec(A/2) − 1). Derived from planes. It is
// +Inf for a bend of 180°, whose cut is not a level one.
func (b Bend) LevelCutDeviation(lean float64) float64 {
	c := elementary.Cos(b.Angle / 2)
	if c <= angleTol {
		return math.Inf(1)
	}
	return math.Abs((b.Radius + b.Thickness) * elementary.Sin(lean) * (1/c - 1))
}
