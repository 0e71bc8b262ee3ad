package layout

import (
	"fmt"

	"perch/parts/decimal"
	"perch/parts/panel"
	"perch/parts/plane"
)

// Check returns an error that names the first number of the flat that cannot be
// drawn, because it is infinite or not a number.
func Check(f *panel.Flat) error {
	for i, l := range append([]plane.Loop{f.Outer}, f.Inner...) {
		for j, v := range l {
			if !decimal.Finite(v.P.X, v.P.Y, v.Bulge) {
				return fmt.Errorf("outline %d, vertex %d is (%v, %v) with bulge %v", i, j, v.P.X, v.P.Y, v.Bulge)
			}
		}
	}
	for _, s := range f.Folds {
		if !decimal.Finite(s.From.X, s.From.Y, s.To.X, s.To.Y) {
			return fmt.Errorf("fold %s runs from %v to %v", s.Name, s.From, s.To)
		}
	}
	for _, m := range f.Marks {
		for _, v := range m.Path {
			if !decimal.Finite(v.P.X, v.P.Y, v.Bulge) {
				return fmt.Errorf("mark %s passes %v with bulge %v", m.Name, v.P, v.Bulge)
			}
		}
		if !decimal.Finite(m.At.X, m.At.Y, m.Dir.X, m.Dir.Y, m.Height) {
			return fmt.Errorf("mark %s stands at %v, %v high", m.Name, m.At, m.Height)
		}
	}
	for _, p := range f.Points {
		if !decimal.Finite(p.At.X, p.At.Y, p.Diameter, p.Dir.X, p.Dir.Y) {
			return fmt.Errorf("point %s lies at %v, diameter %v", p.Name, p.At, p.Diameter)
		}
	}
	return nil
}
