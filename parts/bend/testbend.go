package bend

import (
	"fmt"

	"perch/parts/measure"
	"perch/solver/elementary"
)

// TestBend is a strip that was measured flat, bent once and measured again.
type TestBend struct {
	Thickness float64 // mm
	Radius    float64 // inside, mm
	Angle     float64 // bend angle, radians
	Flat      float64 // length of the strip before, mm
	LegA      float64 // outside length to the mold line after, mm (above 150°: to the outer tangent)
	LegB      float64
}

// Sensitivity tells how far K moves for one unit of error in a measurement.
type Sensitivity struct {
	Length    float64 // per mm of LegA + LegB − Flat
	Radius    float64 // per mm
	Thickness float64 // per mm
	Angle     float64 // per radian
}

// Range outside which a measured K is to be suspected.
const (
	SuspectBelow = 0.15
	SuspectAbove = 0.50
)

// K is the neutral-axis factor that the strip shows, ((2·OSSB − BD)/A − r)/t with
// BD = LegA + LegB − Flat, and what errors of measurement do to it. It may lie
// outside 0..1 where the measurements are wrong; see Suspect. It is an error for
// a measurement to be NaN, infinite or of no bend.
func (t TestBend) K() (float64, Sensitivity, error) {
	b, err := NewBend(t.Angle, t.Thickness, t.Radius, 0)
	if err != nil {
		return 0, Sensitivity{}, fmt.Errorf("test bend: %w", err)
	}
	if t.Angle < Degree {
		return 0, Sensitivity{}, fmt.Errorf("test bend: angle %g° is below 1°, too small to measure by", t.Angle/Degree)
	}
	for _, x := range []float64{t.Flat, t.LegA, t.LegB} {
		if !(x > 0 && x <= MaxRadius) {
			return 0, Sensitivity{}, measure.Errorf("test bend: length %.6g is not above 0 and up to %.6g", measure.Length(x), measure.Length(MaxRadius))
		}
	}
	bd := t.LegA + t.LegB - t.Flat
	arc := float64(2*b.SetBack(true)) - bd
	k := (arc/t.Angle - t.Radius) / t.Thickness
	return k, t.sensitivity(k, arc), nil
}

// sensitivity differentiates K by each measurement, at K = k and allowance arc.
func (t TestBend) sensitivity(k, arc float64) Sensitivity {
	// The set-back is (r + t)·f(A): f = tan(A/2), or 1 where there is no mold line.
	f, slope := 1.0, 0.0
	if t.Angle <= hemLimit {
		f = elementary.Tan(t.Angle / 2)
		slope = (1 + float64(f*f)) / 2
	}
	perAngle := (float64(2*(t.Radius+t.Thickness)*slope) - arc/t.Angle) / t.Angle
	return Sensitivity{
		Length:    -1 / (t.Angle * t.Thickness),
		Radius:    (float64(2*f)/t.Angle - 1) / t.Thickness,
		Thickness: (float64(2*f)/t.Angle - k) / t.Thickness,
		Angle:     perAngle / t.Thickness,
	}
}

// Suspect tells whether a measured K is so far from what bent sheet shows that
// the measurement should be repeated: outside 0.15..0.50, or NaN.
func Suspect(k float64) bool { return !(k >= SuspectBelow && k <= SuspectAbove) }
