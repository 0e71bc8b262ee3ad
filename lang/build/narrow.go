package build

import (
	"math"
	"slices"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
)

// narrow looks for the extreme that can be built: builds across the range show
// where it starts, halving finds the end to what can be read off. It returns the
// best build and the one just beyond it.
func (q *search) narrow(f found, bad, floor *outcome) (in, out *outcome) {
	lim := q.s.limits[q.x]
	last := lim.lo
	if !q.w.large {
		last = lim.hi
	}
	if math.IsInf(last, 0) {
		last = f.v + math.Copysign(max(1, math.Abs(f.v)), last)
	}
	if floor.good() {
		last = floor.v
	}
	if lim.whole {
		for v := f.v; !q.spent() && v != last; bad = out {
			v += math.Copysign(1, last-f.v)
			o := q.outcome(f, v)
			if o.good() {
				return o, bad
			}
			out = o
		}
		return nil, bad
	}
	f.proved = false
	for k := 1; k <= samples && in == nil && !q.spent(); k++ {
		v := f.v + (last-f.v)*float64(k)/samples
		if k == samples {
			v = last
		}
		if o := q.outcome(f, v); o.good() {
			in = o
		} else {
			bad = o
		}
	}
	if in == nil {
		return nil, bad
	}
	step := readStep(paramDim(q.s.params[q.w.param]), Units(q.s.ev.prog))
	fine := step / 4
	if q.nests(bad) {
		fine = max(fine, math.Abs(last-f.v)/nestSteps)
	}
	for math.Abs(bad.v-in.v) > fine && !q.spent() {
		if o := q.outcome(f, in.v+(bad.v-in.v)/2); o.good() {
			in = o
		} else {
			bad = o
		}
	}
	back, on := math.Floor(in.v/step)*step, math.Ceil(in.v/step)*step
	if !q.w.large {
		back, on = on, back
	}
	for _, round := range []float64{on, back} {
		if !q.better(bad.v, round) {
			continue
		}
		if o := q.outcome(f, round); o.good() {
			return o, bad
		}
	}
	return in, bad
}

// nests tells that what stands against a build are rules on how many sheets it takes.
func (q *search) nests(o *outcome) bool {
	for _, d := range o.diags {
		at := slices.IndexFunc(q.s.later, func(r *syntax.Rule) bool { return r.At == d.Span })
		if d.Severity == diag.Error && !(d.Code == "P3006" && at >= 0 && q.s.counts(q.s.later[at].Cond)) {
			return false
		}
	}
	return true
}

// counts tells whether an expression, through lets, counts sheets.
func (s *system) counts(x syntax.Expr) bool {
	found := false
	seen := map[*check.Decl]bool{}
	var visit func(n syntax.Node) bool
	visit = func(n syntax.Node) bool {
		switch n := n.(type) {
		case *syntax.Call:
			found = found || calledName(n) == "sheets"
		case *syntax.Name:
			if d := s.ev.prog.DeclOf(n); d != nil && !seen[d] {
				seen[d] = true
				if l, is := d.Node.(*syntax.Let); is {
					syntax.Inspect(l.Value, visit)
				}
			}
		}
		return !found
	}
	syntax.Inspect(x, visit)
	return found
}
