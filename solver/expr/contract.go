package expr

import (
	"perch/solver/elementary"
	"perch/solver/interval"
)

// Revise narrows a box to what the row allows: the row is evaluated forwards and
// its value 0 carried back through every step to the variables (HC4: F. Benhamou,
// F. Goualard, L. Granvilliers, J.-F. Puget, "Revising hull and box consistency",
// ICLP 1999). It returns false where nothing is left.
func (r *Row) Revise(box []interval.Interval) bool {
	n := len(r.code)
	y := r.evaluate(box, r.val)
	if !(y.Lo <= r.Want.Hi && y.Hi >= r.Want.Lo) {
		return false
	}
	if n == 1 {
		return true
	}
	r.val[n-1] = interval.Intersection(y, r.Want)
	for i := n - 1; i >= 0; i-- {
		s := &r.code[i]
		if f := operations[s.op].contract; f != nil && !f(&s.step, r.val[i], &r.val[s.a], &r.val[s.b]) {
			return false
		}
	}
	for k, v := range r.Vars {
		b := interval.Intersection(box[v], r.val[r.slots[k]])
		if b.IsEmpty() {
			return false
		}
		box[v] = b
	}
	return true
}

// Recenter narrows a box by the row's slopes from its middle, which are tighter
// than revise where a variable occurs more than once and the box is small: each
// variable is solved for in the row's centered form.
func (r *Row) Recenter(box, mid []interval.Interval) bool {
	for _, v := range r.Vars {
		c := box[v].Lo + float64(0.5*(box[v].Hi-box[v].Lo))
		if !elementary.Finite(c) {
			return true
		}
		mid[v] = interval.Point(c)
	}
	f := r.AtCenter(mid)
	y := r.Over(box)
	if f.IsEmpty() || y.IsEmpty() {
		return true
	}
	slopes := r.Slopes()
	total := f
	for k, v := range r.Vars {
		r.term[k] = interval.Mul(slopes[k], interval.Sub(box[v], mid[v]))
		total = interval.Add(total, r.term[k])
	}
	total = interval.Sub(total, r.Want)
	if !total.Has(0) {
		return false
	}
	if !elementary.Finite(total.Lo) || !elementary.Finite(total.Hi) {
		return true
	}
	for k, v := range r.Vars {
		rest := interval.Interval{Lo: interval.Below(interval.Below(total.Lo - r.term[k].Lo)), Hi: interval.Above(interval.Above(total.Hi - r.term[k].Hi))}
		d := interval.Sub(box[v], mid[v])
		if !interval.SolveProduct(&d, interval.Neg(rest), slopes[k]) || !interval.Intersect(&box[v], interval.Add(d, mid[v])) {
			return false
		}
	}
	return true
}
