package build

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"perch/lang/diag"
	"perch/lang/eval"
	"perch/lang/rules"
	"perch/lang/search"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/shop"
	"perch/solver"
)

// Bounds of a search. Builds are what costs: tens of milliseconds each.
const (
	maxCombinations = 500  // of counts that nothing else fixes
	maxBuilds       = 120  // sizes built along one name
	maxJointBuilds  = 1500 // or among several
)

// builder builds one size at values that are looked for.
type builder struct {
	sys      *rules.System
	size     string
	shop     *shop.Shop
	settings []Setting
}

// with builds the size with more settings.
func (b *builder) with(more []Setting) *Result {
	return trial(b.sys.Program, b.size, b.shop, append(slices.Clone(b.settings), more...))
}

// wish is the name that is to be largest or smallest, nil where none is; more
// than one is a mistake.
func (b *builder) wish() *rules.Wish {
	var first *rules.Wish
	for _, w := range b.sys.Wishes {
		switch {
		case w == nil:
		case first == nil:
			first = w
		default:
			b.sys.Report(value.Diagnostic("P3007", w.At, "only one name of a size can be largest or smallest",
				"state a value of the other, or let rules give it",
				diag.Related{Span: first.At, Message: fmt.Sprintf("%s is %s already", b.sys.Params[first.Param].Name, first.Word())}))
			return nil
		}
	}
	return first
}

// extremum looks for the extreme value of a param.
type extremum struct {
	*builder
	w         *rules.Wish
	x         solver.Var
	free      []solver.ID // abouts that gave way before anything was chosen; the others hold
	doubt     bool        // extremes by the rules alone were not found, and may be there
	budget    search.Budget
	residuals []*rules.Residual // what is checked on what is made
	warm      *outcome          // where all of it was last seen to hold
	nearest   *outcome          // the nearest to that, and by how much it misses
	miss      float64
}

// candidate is an extreme by the rules alone, with the counts it was found at.
type candidate struct {
	v      float64
	proved bool
	fixed  bool // by the rules: there is nothing to choose, but for the open ones
	pins   []rules.Pin
	open   []int // params of the last pins: nothing fixes them, they may be given other values
	stops  []Statement
}

// outcome is a build in the course of a search.
type outcome struct {
	candidate
	r     *Result
	joint bool // found among values of the open names too; stops are what holds it there
}

func (o *outcome) good() bool { return o != nil && o.r.holds() }

// unmeasurable tells that a rule asks for what can't be measured, whatever the
// values are.
func (o *outcome) unmeasurable() bool {
	return slices.ContainsFunc(o.r.Faults(), func(f eval.Fault) bool {
		_, is := f.Cause.(eval.Unmeasurable)
		return is
	})
}

// choose finds the value of a wish and builds the size with it.
func (b *builder) choose(w *rules.Wish, r *Result) *Result {
	q := &extremum{builder: b, w: w, x: b.sys.Vars[w.Param], budget: search.Budget{Most: maxBuilds}, residuals: b.sys.Residuals()}
	base := b.sys.Solver.Solve()
	if base.Status == solver.None || len(base.Competing) > 0 || len(base.Solutions) == 0 {
		r.Status = rules.StatusWord(base.Status)
		b.sys.Judge(base)
		return r
	}
	if f := b.fitting(base, w); f != nil {
		if fitted := f.result(r); fitted != nil {
			return fitted
		}
	}
	q.free = base.GaveWay
	var all []candidate
	if !b.sys.Try(func() { all = q.candidates(base) }) {
		return r
	}
	if len(all) == 0 {
		b.sys.ReportFault(q.barred())
		r.Status = "none"
		return r
	}
	return q.best(all)
}

// better tells whether a goes further than b in the wished direction.
func (q *extremum) better(a, b float64) bool { return q.w.Large && a > b || !q.w.Large && a < b }

func (q *extremum) rules(pins []rules.Pin, box *rules.Limits) (*solver.System, []solver.ID) {
	return q.sys.Rules(pins, q.free, q.x, box)
}

// candidates are the extremes by the rules alone, one for each combination of
// counts that nothing else fixes, the best first.
func (q *extremum) candidates(base solver.Result) []candidate {
	var out []candidate
	var counts []int
	for v, l := range q.sys.Limits {
		if l.Whole && solver.Var(v) != q.x && math.IsNaN(base.Values[v]) {
			counts = append(counts, q.sys.Of[v])
		}
	}
	for _, pins := range q.combinations(counts, func(param int) {
		name := q.sys.Params[param].Name
		value.Fail("P3007", q.w.At, fmt.Sprintf("too many values of %s to try them all", name),
			fmt.Sprintf("state %s, or narrow its range: at most %d combinations of counts are tried", name, maxCombinations))
	}) {
		if f, ok := q.extreme(pins); ok {
			out = append(out, f)
		}
	}
	slices.SortStableFunc(out, func(a, b candidate) int {
		if q.w.Large {
			a, b = b, a
		}
		return cmp.Compare(a.v, b.v)
	})
	return out
}

// combinations lists the values of counts; tooMany is told of the first that has too many
// of them, and unwinds.
func (b *builder) combinations(counts []int, tooMany func(param int)) [][]rules.Pin {
	out := [][]rules.Pin{nil}
	for _, i := range counts {
		l := b.sys.Limits[b.sys.Vars[i]]
		if n := l.Hi - l.Lo + 1; !(n*float64(len(out)) <= maxCombinations) {
			tooMany(i)
		}
		var next [][]rules.Pin
		for _, pins := range out {
			for k := math.Ceil(l.Lo); k <= l.Hi; k++ {
				next = append(next, append(slices.Clone(pins), rules.Pin{Param: i, V: k}))
			}
		}
		out = next
	}
	return out
}

// extreme finds the extreme of the wished name by the rules alone, and pins what
// would be open once it is stated to the values that go with it.
func (q *extremum) extreme(pins []rules.Pin) (candidate, bool) {
	sense := solver.Largest
	if !q.w.Large {
		sense = solver.Smallest
	}
	sys, ids := q.rules(pins, nil)
	o := sys.Extremum(q.x.Expr(), sense)
	if math.IsInf(o.Bound, 0) && o.Status != solver.None {
		name := q.sys.Params[q.w.Param].Name
		value.Fail("P3011", q.w.At, fmt.Sprintf("nothing stops %s: it has no %s value", name, q.w.Word()),
			fmt.Sprintf("give %s a range, or write a rule that holds it back", name))
	}
	if math.IsNaN(o.Value) {
		q.doubt = q.doubt || o.Status != solver.None
		return candidate{}, false
	}
	f := candidate{v: o.Value, proved: o.Certain, pins: pins}
	for _, id := range o.Limits {
		if ids[id] >= 0 {
			f.stops = append(f.stops, q.sys.Statement(ids[id]))
		}
	}
	for _, v := range o.Ends {
		f.stops = append(f.stops, q.sys.RangeOf(v))
	}
	sys, _ = q.rules(pins, nil)
	left := sys.Solve()
	if f.fixed = !math.IsNaN(left.Values[q.x]); !f.fixed {
		sys, _ = q.rules(append(slices.Clone(pins), rules.Pin{Param: q.w.Param, V: f.v}), nil)
		left = sys.Solve()
	}
	if len(left.FreeSets) > 0 {
		for _, v := range left.FreeSets[0] {
			f.pins = append(slices.Clone(f.pins), rules.Pin{Param: q.sys.Of[v], V: o.Values[v]})
			f.open = append(f.open, q.sys.Of[v])
		}
	}
	return f, true
}

// at builds the size with the wished name at v and the other values of a candidate.
func (q *extremum) at(f candidate, v float64) *outcome {
	q.budget.Used++
	settings := make([]Setting, 0, len(f.pins)+1)
	for _, p := range f.pins {
		settings = append(settings, q.setting(p, q.w.At))
	}
	if f.fixed && v == f.v {
		settings = append(settings, freed(q.sys.Params[q.w.Param].Name, q.w.At))
	} else {
		settings = append(settings, q.setting(rules.Pin{Param: q.w.Param, V: v}, q.w.At))
	}
	o := &outcome{candidate: f, r: q.with(settings)}
	o.v = v
	return o
}

// setting states a pin as if on the command line.
func (b *builder) setting(p rules.Pin, at diag.Span) Setting {
	st := b.sys.Setting(p)
	st.State.At, st.State.Name.At = at, at
	return st
}

// freed states that a param is free, as if on the command line.
func freed(name string, at diag.Span) Setting {
	return Setting{State: syntax.State{At: at, Name: syntax.Ident{At: at, Name: name}, How: syntax.StateFree}}
}

// best takes the best candidate that can be built and breaks no rule on what
// was measured.
func (q *extremum) best(all []candidate) *Result {
	var best, beyond, first *outcome
	for _, f := range all {
		if best != nil && !q.better(f.v, best.v) {
			break
		}
		o, in, out := q.try(f, best)
		if first == nil {
			first = o
		}
		if in.good() && (best == nil || q.better(in.v, best.v)) {
			best, beyond = in, out
		}
		if o.unmeasurable() {
			break
		}
	}
	if best == nil {
		return q.none(first)
	}
	q.tell(best, beyond)
	if best.fixed && len(best.open) > 0 {
		best.r.note(q.idle(best))
	}
	if best.r.Choice.Cut {
		best.r.note(diag.Diagnostic{Code: "P3013", Span: q.w.At,
			Summary: fmt.Sprintf("the search was given up after %d sizes were built: %s may go further", q.budget.Used, q.sys.Params[q.w.Param].Name),
			Notes:   []string{"narrow the ranges of the names, or state one of them"}})
	}
	return best.r
}

// try looks for the best build of a candidate: o is what comes of its own value, in the
// best that holds, if any, and out the one just beyond.
func (q *extremum) try(f candidate, best *outcome) (o, in, out *outcome) {
	if len(f.open) > 0 && len(q.residuals) > 0 && !f.fixed && !q.sys.Limits[q.x].Whole {
		q.budget.Most = maxJointBuilds
		o = q.farthest(f)
		return o, o, nil
	}
	o = q.outcome(f, f.v)
	if o.good() || o.unmeasurable() || f.fixed {
		return o, o, nil
	}
	in, out = q.bisect(f, o, best)
	return o, in, out
}

// outcome builds the size with the wished name at v, and other values of the names
// that are open beside it where it does not hold with those they have.
func (q *extremum) outcome(f candidate, v float64) *outcome {
	if len(f.open) == 0 || len(q.residuals) == 0 {
		return q.at(f, v)
	}
	q.budget.Most = maxJointBuilds
	if q.warm != nil { // the values of then, as far as they were open too
		tail := len(f.pins) - len(f.open)
		f.pins = slices.Clone(f.pins)
		for _, p := range q.warm.pins {
			for n := tail; n < len(f.pins); n++ {
				if f.pins[n].Param == p.Param {
					f.pins[n].V = p.V
				}
			}
		}
	}
	o := q.feasible(f, v)
	if o.good() {
		q.warm = o
	}
	return o
}

// bisect looks for the extreme that can be built along the wished name alone.
func (q *extremum) bisect(f candidate, bad, floor *outcome) (in, out *outcome) {
	lim := q.sys.Limits[q.x]
	l := search.Line{From: f.v, Last: lim.Lo, Whole: lim.Whole, Budget: &q.budget,
		Step: value.ReadStep(rules.ParamDim(q.sys.Params[q.w.Param]), q.sys.Program.Units)}
	if !q.w.Large {
		l.Last = lim.Hi
	}
	if math.IsInf(l.Last, 0) {
		l.Last = f.v + math.Copysign(max(1, math.Abs(f.v)), l.Last)
	}
	if floor.good() {
		l.Last = floor.v
	}
	if !lim.Whole {
		f.proved = false
	}
	l.Try = func(v float64) *search.Attempt { return q.attempt(q.outcome(f, v)) }
	a, b := l.Farthest(q.attempt(bad))
	if a != nil {
		in = a.Made.(*outcome)
	}
	return in, b.Made.(*outcome)
}

func (q *extremum) attempt(o *outcome) *search.Attempt {
	return &search.Attempt{At: o.v, Holds: o.good(), Counts: q.onlyCounts(o), Made: o}
}

// onlyCounts tells that what stands against a build are rules on how many sheets it takes.
func (q *extremum) onlyCounts(o *outcome) bool {
	return !o.r.broken() && !slices.ContainsFunc(o.r.unmet, func(r *syntax.Rule) bool {
		return !eval.CountsSheets(q.sys.Program, r.Cond)
	})
}
