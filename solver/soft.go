package solver

import (
	"math"
	"slices"

	"perch/solver/elementary"
	"perch/solver/interval"
)

const (
	// softSteps is how many even distances from an About's target are tried
	// on either side; ever finer ones are tried near it.
	softSteps = 48
	// softHalvings end the search for the nearest distance at rounding.
	softHalvings = 60
	// maxWholeSteps is how many whole numbers are tried on either side.
	maxWholeSteps = 2000
	// releasePoints are tried where several Abouts have to move at once.
	releasePoints = 256
)

// relax looks for targets nearest to the Abouts' own at which there is a
// solution: first it moves one About alone, the first that can do it, then all
// at once. It returns the question and outcome it came to; where not even the
// system without Abouts holds, that one's.
func (w *scratch) relax(q *query, o *outcome) (*query, *outcome) {
	bare := q.clone()
	for _, i := range w.p.abouts {
		bare.on[i] = false
	}
	b := w.run(bare)
	if i := w.excluded(bare, b); i >= 0 {
		b.solutions = nil
		b.failures = []failure{{block: -1, check: i, v: -1}}
	}
	if len(b.solutions) == 0 {
		return bare, b
	}
	movable := w.movable(o)
	for _, strict := range []bool{true, false} {
		c := q.clone()
		c.strict = strict
		if nq, no := w.moveOne(c, movable); no != nil {
			return nq, no
		}
	}
	for _, strict := range []bool{true, false} {
		c := q.clone()
		c.strict = strict
		if nq, no := w.moveAll(c, movable); no != nil {
			no.plan.compete = append(no.plan.compete, movable...)
			return nq, no
		}
	}
	o.complete = false // the bare system may hold: that it does not is not proved
	return q, o
}

// movable lists the Abouts that determine a variable.
func (w *scratch) movable(o *outcome) []int {
	var ids []int
	for e, v := range o.plan.g.VarOf {
		if i := o.plan.cons[e]; v >= 0 && w.p.cons[i].Strength >= About {
			ids = append(ids, i)
		}
	}
	return ids
}

// moveOne moves the first About that can bring a solution alone; where others
// could as well they compete.
func (w *scratch) moveOne(q *query, movable []int) (bestQ *query, bestO *outcome) {
	var able []int
	for _, i := range movable {
		if d, ok := w.move(q, i); ok {
			able = append(able, i)
			if bestQ == nil {
				bestQ = q.clone()
				bestQ.shift[i] = d
				bestO = w.run(bestQ)
			}
		}
	}
	if len(able) > 1 {
		bestO.plan.compete = append(bestO.plan.compete, able...)
	}
	return bestQ, bestO
}

// reach bounds the shifts of About i by the range of its variable, where it is
// `v = number`.
func (w *scratch) reach(q *query, i int) (r interval.Interval, target float64, whole bool) {
	t := &w.p.tapes[i]
	if t.Assigns < 0 || len(t.Vars) != 1 {
		return interval.Entire, 0, false
	}
	v := t.Assigns
	target, _ = t.Assigned(w.x, w.buf)
	if !elementary.Finite(target) {
		return interval.Entire, 0, false
	}
	r = interval.Interval{Lo: q.ranges[v].Lo - target, Hi: q.ranges[v].Hi - target}
	if side(t) < 0 {
		r = interval.Interval{Lo: -r.Hi, Hi: -r.Lo}
	}
	return r, target, q.whole[v]
}

// move finds the shift of About i of least size at which there is a solution.
func (w *scratch) move(q *query, i int) (shift float64, ok bool) {
	c := q.clone()
	holds := func(d float64) bool {
		c.shift[i] = d
		return len(w.run(c).solutions) > 0
	}
	r, target, whole := w.reach(q, i)
	if whole {
		for _, d := range wholeShifts(r, target) {
			if holds(d) {
				return d, true
			}
		}
		return 0, false
	}
	best := math.Inf(1)
	for _, side := range [2]float64{-1, 1} {
		near, far := 0.0, r.Hi
		if side < 0 {
			far = -r.Lo
		}
		if far < 0 {
			continue
		}
		if side > 0 && r.Lo > 0 {
			near = r.Lo
		} else if side < 0 && r.Hi < 0 {
			near = -r.Hi
		}
		last := near
		for _, d := range distances(near, far, target) {
			if d >= best {
				break
			}
			if holds(side * d) {
				if d > last {
					d = nearestGood(last, d, func(d float64) bool { return holds(side * d) })
				}
				if d < best {
					best, shift = d, side*d
				}
				break
			}
			last = d
		}
	}
	return shift, !math.IsInf(best, 0)
}

// wholeShifts lists the shifts within r that bring target to whole numbers,
// nearest first.
func wholeShifts(r interval.Interval, target float64) []float64 {
	var ds []float64
	base := math.Round(target)
	for k := -maxWholeSteps; k <= maxWholeSteps; k++ {
		if d := base + float64(k) - target; r.Has(d) {
			ds = append(ds, d)
		}
	}
	slices.SortStableFunc(ds, func(a, b float64) int {
		switch x, y := math.Abs(a), math.Abs(b); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	return ds
}

// distances to try from near to far, ascending: fine near the target, even
// further off; ever wider where far is infinite.
func distances(near, far, target float64) []float64 {
	ds := []float64{near}
	end := far
	if math.IsInf(far, 0) {
		end = near + float64(16*math.Max(1, math.Abs(target)))
		for d := end; d < 1e12*math.Max(1, math.Abs(target)); d *= 2 {
			ds = append(ds, d)
		}
	}
	w := end - near
	for d := w * 0x1p-30; d < w/softSteps; d *= 4 {
		ds = append(ds, near+d)
	}
	for k := 1; k <= softSteps; k++ {
		ds = append(ds, near+float64(w*(float64(k)/softSteps)))
	}
	slices.Sort(ds)
	if !math.IsInf(far, 0) { // the end itself, without rounding
		ds[len(ds)-1] = far
	}
	return ds
}

// nearestGood halves between a distance that fails and one that holds, and
// returns the least that holds.
func nearestGood(bad, good float64, holds func(float64) bool) float64 {
	for range softHalvings {
		m := bad + float64(0.5*(good-bad))
		if m <= bad || m >= good {
			break
		}
		if holds(m) {
			good = m
		} else {
			bad = m
		}
	}
	return good
}

// moveAll looks for shifts of all Abouts at once: the nearest of a fixed set of
// points, pulled back towards the targets first together, then one by one. It
// need not be the nearest of all.
func (w *scratch) moveAll(q *query, movable []int) (*query, *outcome) {
	if len(movable) < 2 {
		return nil, nil
	}
	best, far := []float64(nil), math.Inf(1)
	holds := func(ds []float64) bool {
		c := q.clone()
		for k, i := range movable {
			c.shift[i] = ds[k]
		}
		return len(w.run(c).solutions) > 0
	}
	for n := range releasePoints {
		ds := make([]float64, len(movable))
		size := 0.0
		for k, i := range movable {
			r, target, whole := w.reach(q, i)
			ds[k] = spread(variable{lo: r.Lo, hi: r.Hi}, k, n+1)
			if whole {
				ds[k] = math.Round(target+ds[k]) - target
			}
			e := ds[k] / math.Max(interval.ScaleOf(r.Lo, r.Hi), math.Min(r.Width(), 1e6))
			size += float64(e * e)
		}
		if size < far && holds(ds) {
			best, far = ds, size
		}
	}
	if best == nil {
		return nil, nil
	}
	f := nearestGood(0, 1, func(f float64) bool { return holds(scaled(best, f)) })
	best = scaled(best, f)
	for k := range best {
		full := best[k]
		f := nearestGood(0, 1, func(f float64) bool {
			best[k] = float64(full * f)
			return holds(best)
		})
		best[k] = float64(full * f)
	}
	c := q.clone()
	for k, i := range movable {
		c.shift[i] = best[k]
	}
	if o := w.run(c); len(o.solutions) > 0 {
		return c, o
	}
	return nil, nil
}

func scaled(xs []float64, f float64) []float64 {
	out := make([]float64, len(xs))
	for i, x := range xs {
		out[i] = float64(x * f)
	}
	return out
}
