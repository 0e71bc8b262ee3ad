package bend

import (
	"fmt"
	"math"
)

// Springback is an estimate of how far to bend so that a bend springs open to
// what was drawn. The flat is never corrected for it.
type Springback struct {
	Angle   float64 // to bend to under load, radians
	Radius  float64 // under load, mm
	Caution string  // to be shown wherever the numbers are
}

// SpringbackCaution goes with every estimate of springback.
const SpringbackCaution = "an estimate from the sheet's nominal stiffness and yield; where the radius is near the thickness" +
	" it gives about 0.2° and a shop sees 1° to 2° (common practice): bend a strip of the same sheet first"

// Springback estimates, by Gardiner's formula, the loaded radius r_i and angle of
// a bend: r_i/r_f = 4x³ − 3x + 1 with x = r_i·Y/(E·t) < 0.5, r_f the drawn inside
// radius, and the loaded angle = A·(r_f + t/2)/(r_i + t/2). yield Y and modulus E
// are in MPa. The radius under load is sought by halving. It is an error for E or
// Y not to be above 0 or the bend to be none.
func (b Bend) Springback(yield, modulus float64) (Springback, error) {
	if err := b.Err(); err != nil {
		return Springback{}, fmt.Errorf("springback: %w", err)
	}
	if !(yield > 0 && modulus > 0 && yield < modulus) || math.IsInf(modulus, 0) {
		return Springback{}, fmt.Errorf("springback: yield %g MPa and modulus %g MPa are not of a metal", yield, modulus)
	}
	strain := yield / (modulus * b.Thickness)
	// Past x = 0.5 the sheet springs back flat; below it the ratio falls from 1 to 0,
	// so that r_i less its own image rises and has one zero.
	lo, hi := 0.0, math.Min(b.Radius, 0.5/strain)
	for range 200 {
		mid := lo + float64((hi-lo)/2)
		if mid <= lo || mid >= hi {
			break
		}
		x := mid * strain
		ratio := float64(4*x*x*x) - float64(3*x) + 1
		if mid < float64(b.Radius*ratio) {
			lo = mid
		} else {
			hi = mid
		}
	}
	half := float64(b.Thickness / 2)
	return Springback{
		Angle:   b.Angle * (b.Radius + half) / (hi + half),
		Radius:  hi,
		Caution: SpringbackCaution,
	}, nil
}
