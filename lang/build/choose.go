package build

import (
	"fmt"
	"math"
	"slices"

	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/solver"
)

// Choice is a name that was to be largest or smallest, as it came out.
type Choice struct {
	Name string
	Quantity
	By Statement // the statement that wants it
	// Proved tells that no value beyond holds; else it is the best of Tried, or as
	// far as the search of the rules could tell apart.
	Proved bool
	Tried  int         // sizes built in search of it, 0 where the rules alone decide
	Cut    bool        // the search came to its bound of sizes
	Fixed  bool        // the rules alone fix it: there was nothing to choose
	Beside []string    // names that were open too, for which values were chosen with it
	Stops  []Statement // what stops it going further
}

// Certainty says in words how sure the choice is.
func (c *Choice) Certainty() string {
	switch {
	case c.Proved:
		return "proved"
	case c.Cut:
		return fmt.Sprintf("best of %d tried, where the search was given up", c.Tried)
	case c.Tried > 0:
		return fmt.Sprintf("best of %d tried", c.Tried)
	}
	return "best found, not proved"
}

// Bounds of the search. Builds are what costs: tens of milliseconds each.
const (
	maxCombinations = 500 // of counts that nothing else fixes
	maxBuilds       = 120 // sizes built
	samples         = 16  // builds across a range before it is narrowed
	// Where sheets are counted each build takes a nesting, and whether one is found
	// hangs on more than the value: the range is narrowed to this part of it.
	nestSteps = 1000
)

// wish is the name that is to be largest or smallest, nil where none is; more
// than one is a mistake.
func (s *system) wish() *wish {
	var first *wish
	for _, w := range s.wishes {
		switch {
		case w == nil:
		case first == nil:
			first = w
		default:
			d := value.Diagnostic("P3007", w.at, "only one name of a size can be largest or smallest",
				"state a value of the other, or let rules give it",
				diag.Related{Span: first.at, Message: fmt.Sprintf("%s is %s already", s.params[first.param].Name, first.word())})
			s.ev.report(d)
			return nil
		}
	}
	return first
}

// pin is a value that the search gives to a param.
type pin struct {
	param int
	v     float64
}

// search looks for the extreme value of a param.
type search struct {
	s        *system
	w        *wish
	x        solver.Var
	free     []solver.ID // abouts that gave way before anything was chosen; the others hold
	settings []Setting
	doubt    bool // extremes by the rules alone were not found, and may be there
	builds   int
	most     int      // of builds
	terms    []term   // what is checked on what is made
	kept     *outcome // where all of it was last seen to hold
	nearest  *spot    // the place nearest to that
}

// found is an extreme by the rules alone, with the counts it was found at.
type found struct {
	v      float64
	proved bool
	fixed  bool // by the rules: there is nothing to choose, but for the open ones
	pins   []pin
	open   []int // params of the last pins: nothing fixes them, they may be given other values
	stops  []Statement
}

// choose finds the value of a wish and builds the size with it.
func (s *system) choose(w *wish, res *Result, settings []Setting) (*Result, []diag.Diagnostic) {
	q := &search{s: s, w: w, x: s.vars[w.param], settings: settings, most: maxBuilds, terms: s.terms()}
	base := s.sys.Solve()
	if base.Status == solver.None || len(base.Competing) > 0 || len(base.Solutions) == 0 {
		res.Status = statusWords[base.Status]
		s.judge(base)
		return res, s.ev.diags
	}
	if f := s.fitting(base, w, settings); f != nil {
		if r, diags, found := f.fit(res); found {
			return r, diags
		}
	}
	q.free = base.GaveWay
	var all []found
	if !s.ev.try(func() { all = q.candidates(base) }) {
		return res, s.ev.diags
	}
	if len(all) == 0 {
		s.ev.report(q.barred())
		res.Status = "none"
		return res, s.ev.diags
	}
	return q.build(all)
}

// barred reports that inequalities leave the wished name no value.
func (q *search) barred() diag.Diagnostic {
	name := q.s.params[q.w.param].Name
	d := value.Diagnostic("P3001", q.w.at, fmt.Sprintf("no value of %s was found with which the rules hold", name))
	if q.doubt {
		d.Notes = append(d.Notes, "that there is none is not proved: narrow the ranges of the names, or state one of them")
	} else {
		d.Summary = fmt.Sprintf("with no value of %s can the rules hold", name)
	}
	for id, c := range q.s.cons {
		if n := q.s.notes[id]; c.Rel != solver.EQ && n.kind == "rule" && len(d.Related) < maxListed {
			d.Related = append(d.Related, diag.Related{Span: n.at, Message: "must hold"})
		}
	}
	return d
}

// better tells whether a goes further than b in the wished direction.
func (q *search) better(a, b float64) bool { return q.w.large && a > b || !q.w.large && a < b }

// trial solves the rules with pins stated; box narrows the range of the wished
// name, nil for its own.
func (q *search) trial(pins []pin, box *limits) (solver.Result, []solver.ID) {
	sys, ids := q.rules(pins, box)
	return sys.Solve(), ids
}

func (q *search) rules(pins []pin, box *limits) (*solver.System, []solver.ID) {
	lims := q.s.limits
	if box != nil {
		lims = slices.Clone(lims)
		lims[q.x] = *box
	}
	sys, ids := q.s.variant(lims, func(id solver.ID, c *solver.Constraint) bool {
		if c.Strength == solver.About && !slices.Contains(q.free, id) {
			c.Strength = solver.Default
		}
		return true
	})
	for _, p := range pins {
		sys.Add(solver.Constraint{Left: q.s.vars[p.param].Expr(), Right: solver.Const(p.v), Strength: solver.Setting})
		ids = append(ids, -1)
	}
	return sys, ids
}

// candidates are the extremes by the rules alone, one for each combination of
// counts that nothing else fixes, the best first.
func (q *search) candidates(base solver.Result) []found {
	var out []found
	for _, pins := range q.combinations(base) {
		if f, ok := q.extreme(pins); ok {
			out = append(out, f)
		}
	}
	slices.SortStableFunc(out, func(a, b found) int {
		switch {
		case q.better(a.v, b.v):
			return -1
		case q.better(b.v, a.v):
			return 1
		}
		return 0
	})
	return out
}

// combinations lists the values of the counts, other than the wished name, that
// are not fixed.
func (q *search) combinations(base solver.Result) [][]pin {
	out := [][]pin{nil}
	for v, l := range q.s.limits {
		if !l.whole || solver.Var(v) == q.x || !math.IsNaN(base.Values[v]) {
			continue
		}
		name := q.s.params[q.s.of[v]].Name
		n := l.hi - l.lo + 1
		if !(n*float64(len(out)) <= maxCombinations) {
			q.s.ev.fail("P3007", q.w.at, fmt.Sprintf("too many values of %s to try them all", name),
				fmt.Sprintf("state %s, or narrow its range: at most %d combinations of counts are tried", name, maxCombinations))
		}
		var next [][]pin
		for _, pins := range out {
			for k := math.Ceil(l.lo); k <= l.hi; k++ {
				next = append(next, append(slices.Clone(pins), pin{q.s.of[v], k}))
			}
		}
		out = next
	}
	return out
}

// extreme finds the extreme of the wished name by the rules alone, and pins what
// would be open once it is stated to the values that go with it.
func (q *search) extreme(pins []pin) (found, bool) {
	sense := solver.Largest
	if !q.w.large {
		sense = solver.Smallest
	}
	sys, ids := q.rules(pins, nil)
	o := sys.Extremum(q.x.Expr(), sense)
	if math.IsInf(o.Bound, 0) && o.Status != solver.None {
		name := q.s.params[q.w.param].Name
		q.s.ev.fail("P3011", q.w.at, fmt.Sprintf("nothing stops %s: it has no %s value", name, q.w.word()),
			fmt.Sprintf("give %s a range, or write a rule that holds it back", name))
	}
	if math.IsNaN(o.Value) {
		q.doubt = q.doubt || o.Status != solver.None
		return found{}, false
	}
	f := found{v: o.Value, proved: o.Certain, pins: pins}
	for _, id := range o.Limits {
		if ids[id] >= 0 {
			f.stops = append(f.stops, q.s.statement(ids[id]))
		}
	}
	for _, v := range o.Ends {
		f.stops = append(f.stops, q.s.rangeOf(v))
	}
	left, _ := q.trial(pins, nil)
	if f.fixed = !math.IsNaN(left.Values[q.x]); !f.fixed {
		left, _ = q.trial(append(slices.Clone(pins), pin{q.w.param, f.v}), nil)
	}
	if len(left.FreeSets) > 0 {
		for _, v := range left.FreeSets[0] {
			f.pins = append(slices.Clone(f.pins), pin{q.s.of[v], o.Values[v]})
			f.open = append(f.open, q.s.of[v])
		}
	}
	return f, true
}

// at builds the size with the wished name at v; in a trial only to know whether all
// holds.
func (q *search) at(f found, v float64, trial bool) (*Result, []diag.Diagnostic) {
	q.builds++
	return size(q.s.ev.prog, q.name(), q.s.ev.shop, q.pinned(f, v), trial)
}

// pinned are the settings that state all values of a place.
func (q *search) pinned(f found, v float64) []Setting {
	settings := slices.Clone(q.settings)
	for _, p := range f.pins {
		settings = append(settings, q.s.setting(p, q.w.at))
	}
	state := q.s.setting(pin{q.w.param, v}, q.w.at)
	if f.fixed && v == f.v {
		state.State.How, state.State.Value = syntax.StateFree, nil
	}
	return append(settings, state)
}

func (q *search) name() string {
	if q.s.ev.size != nil {
		return q.s.ev.size.Name.Name
	}
	return Sizes(q.s.ev.prog)[0]
}

// setting states a pin as if on the command line.
func (s *system) setting(p pin, at diag.Span) Setting {
	st := Pinned(s.params[p.param], p.v)
	st.State.At, st.State.Name.At = at, at
	return st
}

// outcome is a build in the course of a search.
type outcome struct {
	found
	r       *Result
	diags   []diag.Diagnostic
	climbed bool // found among values of the open names too; stops are what holds it there
}

func (o *outcome) good() bool {
	return o != nil && o.r != nil && o.r.Assembly != nil && !diag.HasErrors(o.diags)
}

// build takes the best candidate that can be built and breaks no rule on what
// was measured.
func (q *search) build(all []found) (*Result, []diag.Diagnostic) {
	var best, beyond, first *outcome
	for _, f := range all {
		if best.good() && !q.better(f.v, best.v) {
			break
		}
		if q.climbs(f) {
			q.most = maxJoint
			o := q.ascend(f)
			if first == nil {
				first = o
			}
			if o.good() && (best == nil || q.better(o.v, best.v)) {
				best, beyond = o, nil
			}
			if unmeasurable(o.diags) {
				break
			}
			continue
		}
		o := q.outcome(f, f.v)
		if first == nil {
			first = o
		}
		if o.good() {
			if best == nil || q.better(o.v, best.v) {
				best, beyond = o, nil
			}
			continue
		}
		if unmeasurable(o.diags) {
			break
		}
		if f.fixed {
			continue
		}
		in, out := q.narrow(f, o, best)
		if in.good() && (best == nil || q.better(in.v, best.v)) {
			best, beyond = in, out
		}
	}
	if best == nil {
		return q.none(first)
	}
	q.tell(best, beyond)
	if best.fixed && len(best.open) > 0 {
		best.diags = append(best.diags, q.idle(best))
	}
	if best.r.Choice.Cut {
		best.diags = append(best.diags, diag.Diagnostic{Code: "P3013", Severity: diag.Note, Span: q.w.at,
			Summary: fmt.Sprintf("the search was given up after %d sizes were built: %s may go further", q.builds, q.s.params[q.w.param].Name),
			Notes:   []string{"narrow the ranges of the names, or state one of them"}})
	}
	return best.r, best.diags
}

// climbs tells whether the wished name is looked for together with the open ones.
func (q *search) climbs(f found) bool {
	return len(f.open) > 0 && len(q.terms) > 0 && !f.fixed && !q.s.limits[q.x].whole
}

// none reports that no value was found, with the mistakes of the first that was tried
// or, where other names were open too, of the nearest.
func (q *search) none(first *outcome) (*Result, []diag.Diagnostic) {
	tried, cut := q.builds, q.spent()
	if q.nearest != nil {
		first = q.nearest.o
	}
	first.r, first.diags = q.at(first.found, first.v, false) // for its numbers
	if tried > 1 {
		d := diag.Diagnostic{Code: "P3011", Severity: diag.Note, Span: q.w.at,
			Summary: fmt.Sprintf("%d values of %s were tried and none can be built", tried, q.s.params[q.w.param].Name)}
		if q.nearest != nil {
			d.Summary = fmt.Sprintf("%d sizes were built and all rules hold in none", tried)
			d.Notes = []string{"it comes nearest at " + q.describe(first) + ", whose mistakes are told", "that there is none is not proved"}
		} else {
			d.Notes = []string{"the mistakes are those at " + q.describe(first)}
		}
		if cut {
			d.Notes = append(d.Notes, "the search was given up there: no more are built")
		}
		first.diags = append(first.diags, d)
	}
	return first.r, first.diags
}

// unmeasurable tells that a rule asks for what can't be measured, whatever the
// values are.
func unmeasurable(diags []diag.Diagnostic) bool {
	return slices.ContainsFunc(diags, func(d diag.Diagnostic) bool { return d.Code == "P2064" })
}

// outcome builds the size with the wished name at v, and other values of the names
// that are open beside it where it does not hold with those they have.
func (q *search) outcome(f found, v float64) *outcome {
	if len(f.open) == 0 || len(q.terms) == 0 {
		return q.plain(f, v)
	}
	q.most = maxJoint
	if q.kept != nil { // the values of then, as far as they were open too
		tail := len(f.pins) - len(f.open)
		f.pins = slices.Clone(f.pins)
		for _, p := range q.kept.pins {
			for n := tail; n < len(f.pins); n++ {
				if f.pins[n].param == p.param {
					f.pins[n].v = p.v
				}
			}
		}
	}
	o := q.joint(f, v)
	if o == nil {
		return q.plain(f, v)
	}
	if o.good() {
		q.kept = o
	}
	return o
}

// spent tells that no more sizes are to be built.
func (q *search) spent() bool { return q.builds >= q.most }

func (q *search) plain(f found, v float64) *outcome {
	o := &outcome{found: f}
	o.v = v
	o.r, o.diags = q.at(f, v, true)
	return o
}
