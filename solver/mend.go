package solver

import (
	"math"

	"perch/solver/elementary"
)

// maxMends bounds the statements of a conflict that Mend looks at.
const maxMends = 6

// Mend tells, for a Result of Status None, what each statement about a single
// variable that takes part in the conflict could say instead, all else as it is:
// the value nearest to the stated one with which the system can hold. Statements
// that alone cannot mend it are left out, and those for which the nearest value
// is not certain.
func (s *System) Mend(r Result) []Bound {
	var out []Bound
	if r.Status != None {
		return nil
	}
	p := compileSystem(s)
	w := newScratch(p)
	tried := 0
	for _, id := range r.Conflict {
		c, t := s.Constraint(id), &p.tapes[id]
		if c.Strength == Rule || c.Rel != EQ || t.assigns < 0 || len(t.vars) != 1 || tried >= maxMends {
			continue
		}
		tried++
		stated, _ := t.assigned(w.x, w.buf)
		if !elementary.Finite(stated) {
			continue
		}
		without := &System{s.vars, append([]Constraint(nil), s.cons...)}
		for i := range without.cons { // an About gives way before a statement need
			if ID(i) == id || without.cons[i].Strength >= About {
				without.cons[i] = Constraint{Left: Const(0), Right: Const(0)}
			}
		}
		best := without.Extremum(Abs(Difference(t.assigns.Expr(), Const(stated))), Smallest)
		if best.Status == Unique && best.Certain && !math.IsNaN(best.Value) {
			out = append(out, Bound{t.assigns, best.Values[t.assigns]})
		}
	}
	return out
}
