package solver

import "perch/solver/elementary"

// revise narrows a box to what the row allows: the row is evaluated forwards and
// its value 0 carried back through every step to the variables (HC4: F. Benhamou,
// F. Goualard, L. Granvilliers, J.-F. Puget, "Revising hull and box consistency",
// ICLP 1999). It returns false where nothing is left.
func (r *row) revise(box []interval) bool {
	n := len(r.code)
	y := r.evaluate(box, r.val)
	if !(y.lo <= r.want.hi && y.hi >= r.want.lo) {
		return false
	}
	if n == 1 {
		return true
	}
	r.val[n-1] = meet(y, r.want)
	for i := n - 1; i >= 0; i-- {
		s := &r.code[i]
		if f := operations[s.op].contract; f != nil && !f(&s.step, r.val[i], &r.val[s.a], &r.val[s.b]) {
			return false
		}
	}
	for k, v := range r.vars {
		b := meet(box[v], r.val[r.slots[k]])
		if b.isEmpty() {
			return false
		}
		box[v] = b
	}
	return true
}

// recenter narrows a box by the row's slopes from its middle, which are tighter
// than revise where a variable occurs more than once and the box is small: each
// variable is solved for in the row's centered form.
func (r *row) recenter(box, mid []interval) bool {
	for _, v := range r.vars {
		c := box[v].lo + float64(0.5*(box[v].hi-box[v].lo))
		if !elementary.Finite(c) {
			return true
		}
		mid[v] = point(c)
	}
	f := r.atCenter(mid)
	y := r.over(box)
	if f.isEmpty() || y.isEmpty() {
		return true
	}
	slopes := r.slopes()
	total := f
	for k, v := range r.vars {
		r.term[k] = mul(slopes[k], sub(box[v], mid[v]))
		total = add(total, r.term[k])
	}
	total = sub(total, r.want)
	if !total.has(0) {
		return false
	}
	if !elementary.Finite(total.lo) || !elementary.Finite(total.hi) {
		return true
	}
	for k, v := range r.vars {
		rest := interval{lo: below(below(total.lo - r.term[k].lo)), hi: above(above(total.hi - r.term[k].hi))}
		d := sub(box[v], mid[v])
		if !factor(&d, neg(rest), slopes[k]) || !narrow(&box[v], add(d, mid[v])) {
			return false
		}
	}
	return true
}
