package build

import (
	"errors"
	"math"
	"slices"

	"perch/lang/diag"
	"perch/lang/eval"
	"perch/lang/rules"
	"perch/lang/search"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/join"
	"perch/solver"
)

// joint states the search for values of the names that are open beside the wished one,
// and for that one itself where it is to go as far as it can, in numbers alone.
type joint struct {
	*extremum
	f         candidate
	v         float64 // of the wished name, where it is not looked for
	params    []int   // by variable; the wished one first where it is
	implicit  []rules.Implicit
	eithers   []either
	shortfall map[shortfall]eval.Shortfall // as last seen
	// what the implicit constraints were last worked out for, and by it
	at     []float64
	solved solver.Result
	last   *outcome
	sure   *outcome // confirmed
}

// either is a part of a condition of which one side has to hold.
type either struct {
	of   *rules.Residual
	part *eval.Condition
}

// shortfall tells the limits of a join apart.
type shortfall struct {
	of   *syntax.Join
	kind join.Short
}

// errVoid says that a size can't be made, or breaks what has no residual.
var errVoid = errors.New("no such size can be made")

// joint makes the names ready, the wished one among them where v is NaN: nil where the
// rules do not hold at all. A name without an end stays where it is.
func (q *extremum) joint(f candidate, v float64) (*joint, []search.Variable) {
	j := &joint{extremum: q, f: f, v: v, shortfall: map[shortfall]eval.Shortfall{}}
	j.f.pins = slices.Clone(f.pins)
	pins := slices.Clone(f.pins[:len(f.pins)-len(f.open)])
	params := f.open
	if math.IsNaN(v) {
		params = append([]int{q.w.Param}, f.open...)
	} else if !f.fixed {
		pins = append(pins, rules.Pin{Param: q.w.Param, V: v})
	}
	var vars []search.Variable
	for _, i := range params {
		sys, _ := q.rules(pins, nil)
		lo, hi, ok := q.sys.Ends(sys, i)
		if !ok {
			return nil, nil
		}
		if !(lo < hi) || math.IsInf(lo, 0) || math.IsInf(hi, 0) {
			if i == q.w.Param {
				return nil, nil
			}
			continue
		}
		if i == q.w.Param && !q.w.Large {
			lo, hi = hi, lo
		}
		own := q.sys.Limits[q.sys.Vars[i]]
		j.params, vars = append(j.params, i), append(vars, search.Variable{From: lo, To: hi, Min: own.Lo, Max: own.Hi})
	}
	j.implicit = q.sys.Implicits(func(i int) bool {
		return slices.Contains(j.params, i) || i == q.w.Param && !f.fixed || slices.ContainsFunc(f.pins, func(p rules.Pin) bool { return p.Param == i })
	})
	return j, vars
}

// problem is the search.
func (j *joint) problem(vars []search.Variable) *search.Problem {
	d := rules.ParamDim(j.sys.Params[j.w.Param])
	step := value.ReadStep(d, j.sys.Program.Units)
	p := &search.Problem{Variables: vars, Implicit: j.implicitAt, Evaluate: j.evaluate, Count: j.count, Confirm: j.confirm,
		Choose: j.choose, Step: step, Round: 1000 * step, Warm: j.warm != nil, Budget: &j.budget}
	for _, c := range j.implicit {
		p.Scale = append(p.Scale, c.Size)
	}
	for _, t := range j.residuals {
		switch {
		case t.Counts:
			p.Residuals = append(p.Residuals, search.Counted)
		case t.Equality():
			p.Residuals = append(p.Residuals, search.Equality)
		default:
			p.Residuals = append(p.Residuals, search.Inequality)
		}
		for _, c := range t.Eithers {
			j.eithers = append(j.eithers, either{t, c})
		}
	}
	p.Alternatives = len(j.eithers)
	return p
}

// candidate are the values of a point, and the wished name's.
func (j *joint) candidate(x []float64) (candidate, float64) {
	f, v := j.f, j.v
	f.pins = slices.Clone(f.pins)
	for k, i := range j.params {
		if i == j.w.Param {
			v = x[k]
		}
		for n := range f.pins {
			if f.pins[n].Param == i {
				f.pins[n].V = x[k]
			}
		}
	}
	return f, v
}

// values are those that a candidate has, as a point.
func (j *joint) values(pins []rules.Pin, v float64) []float64 {
	out := make([]float64, len(j.params))
	for k, i := range j.params {
		out[k] = v
		for _, p := range pins {
			if p.Param == i {
				out[k] = p.V
			}
		}
	}
	return out
}

func (j *joint) implicitAt(x []float64, which []int) (by []float64, ok bool) {
	f, v := j.candidate(x)
	if !f.fixed {
		f.pins = append(f.pins, rules.Pin{Param: j.w.Param, V: v})
	}
	asked := make([]rules.Implicit, len(which))
	for k, n := range which {
		asked[k] = j.implicit[n]
	}
	j.at = slices.Clone(x)
	j.solved, by, ok = j.sys.Follow(f.pins, j.free, asked)
	return by, ok
}

// evaluate builds the size at a point with the values that the rules were solved for,
// without a look at ranges and inequalities among names, nor at rules on how many sheets
// it takes.
func (j *joint) evaluate(x []float64) search.Verdict {
	if !slices.Equal(j.at, x) {
		j.implicitAt(x, nil)
	}
	o := &outcome{candidate: j.f, r: j.given(j.solved.Values)}
	o.candidate, o.v = j.candidate(x)
	j.last = o
	var later []*syntax.Rule
	for _, r := range j.sys.Later {
		if !eval.CountsSheets(j.sys.Program, r.Cond) {
			later = append(later, r)
		}
	}
	o.r.make(later)
	return j.verdict(o)
}

// given is the size with the values of all params.
func (j *joint) given(values []float64) *Result {
	r := &Result{Size: j.size, program: j.sys.Program, sys: j.sys}
	r.solved = solver.Result{Values: values, Origins: make([]solver.Origin, len(values))}
	for i := range r.solved.Origins {
		r.solved.Origins[i].By = -1
	}
	r.stand(j.shop)
	return r
}

// verdict is what a build comes to in numbers.
func (j *joint) verdict(o *outcome) search.Verdict {
	v := search.Verdict{Residuals: make([]float64, len(j.residuals)), Load: math.NaN(), Made: o}
	if o.r.Flats != nil {
		v.Load = metal(o.r)
	}
	for k, t := range j.residuals {
		if !t.Counts {
			v.Residuals[k] = t.At(o.r.ev)
		}
	}
	for _, rule := range o.r.unmet {
		j.explain(rule, v.Residuals)
	}
	for _, f := range o.r.Faults() {
		if f.Severity != diag.Error {
			continue
		}
		if s, is := f.Cause.(eval.Shortfall); is {
			key := shortfall{s.Of, s.Short}
			j.shortfall[key] = s
			v.Shortfalls = append(v.Shortfalls, search.Shortfall{Of: key, By: s.By()})
		} else {
			v.Err = errVoid
		}
	}
	return v
}

// explain sees to it that a rule that does not hold has a residual that tells so: a sharp
// limit is not met where both sides are equal.
func (j *joint) explain(rule *syntax.Rule, residuals []float64) {
	last := -1
	for k, t := range j.residuals {
		if t.Rule != rule || t.Counts {
			continue
		}
		if r := residuals[k]; !(r <= 0) || t.Equality() && r != 0 {
			return
		}
		if !t.Equality() {
			last = k
		}
	}
	if last >= 0 {
		residuals[last] = hardly
	}
}

// hardly is a residual that is hardly one.
const hardly = 1e-12

// count holds the size that was built last to a rule on how many sheets it takes.
func (j *joint) count(k int) bool { return j.last.r.hold(j.residuals[k].Rule) }

// confirm builds the size at a point as it would be built were its values stated.
func (j *joint) confirm(x []float64) bool {
	f, v := j.candidate(x)
	o := j.extremum.at(f, v)
	if !o.good() {
		return false
	}
	j.sure = o
	return true
}

// choose looks at one side alone of each part of which one has to hold.
func (j *joint) choose(sides []int) {
	for i, e := range j.eithers {
		delete(e.of.Sides, e.part)
		if sides != nil {
			e.of.Sides[e.part] = sides[i]
		}
	}
}

// metal is how much of it the flats of a size take, in mm².
func metal(r *Result) float64 {
	sum := 0.0
	for _, f := range r.Flats {
		sum += math.Abs(f.Outer.Area())
	}
	return sum
}

// feasible looks for values of the open names with which the size holds while the
// wished name is v; where there are none it returns the nearest.
func (q *extremum) feasible(f candidate, v float64) *outcome {
	j, vars := q.joint(f, v)
	first := q.at(f, v)
	if j == nil || first.good() || first.unmeasurable() || len(vars) == 0 {
		return first
	}
	found := j.problem(vars).Feasible(j.values(f.pins, v))
	if found.Best == nil {
		return q.near(found, first)
	}
	return q.at(j.candidate(found.Best.X))
}

// near is the build that comes nearest to one where all holds, first where none is known.
func (q *extremum) near(found search.Solution, first *outcome) *outcome {
	if found.Nearest == nil || math.IsInf(found.Nearest.Violation, 0) {
		return first
	}
	o := found.Nearest.Made.(*outcome)
	if q.nearest == nil || found.Nearest.Violation < q.miss {
		q.nearest, q.miss = o, found.Nearest.Violation
	}
	return o
}

// farthest looks for the values of the wished name and of those that are open with it
// with which it goes farthest and the size holds. Where there are none it returns
// the nearest.
func (q *extremum) farthest(f candidate) *outcome {
	first := q.at(f, f.v)
	if first.good() || first.unmeasurable() {
		return first
	}
	j, vars := q.joint(f, math.NaN())
	if j == nil {
		return first
	}
	starts := [][]float64{j.values(f.pins, f.v)}
	if q.warm != nil {
		starts = append(starts, j.values(q.warm.pins, q.warm.v))
	}
	found := j.problem(vars).Farthest(starts...)
	if found.Best == nil {
		return q.near(found, first)
	}
	o := found.Best.Made.(*outcome)
	if found.Confirmed != nil {
		o = j.sure
		if math.Abs(o.v-f.v) <= float64(value.EqualWithin*max(1, math.Abs(o.v))) {
			o.stops = f.stops // as far as the rules alone let it go
		} else {
			o.proved, o.joint = false, true
			o.stops = j.statements(found.Stops())
		}
	}
	if o.good() {
		q.warm = o
	}
	return o
}

// statements are what holds a value, each once.
func (j *joint) statements(reasons []search.Reason) []Statement {
	var out []Statement
	add := func(st Statement) {
		if !slices.ContainsFunc(out, func(o Statement) bool { return o.At == st.At && o.Text == st.Text }) {
			out = append(out, st)
		}
	}
	for _, r := range reasons {
		switch r.Kind {
		case search.ByResidual:
			add(j.sys.RuleStatement(j.residuals[r.Index].Rule))
		case search.ByImplicit:
			add(j.sys.ImplicitStatement(j.implicit[r.Index]))
		case search.ByRange:
			add(j.sys.RangeOf(j.sys.Vars[j.params[r.Index]]))
		case search.ByShortfall:
			add(shortfallStatement(j.shortfall[r.Of.(shortfall)], j.sys.Program.Shown))
		case search.ByError:
			for _, f := range r.Made.(*outcome).r.Faults() {
				if f.Severity == diag.Error {
					add(faultStatement(f, j.sys.Program.Shown))
				}
			}
		}
	}
	return out
}
