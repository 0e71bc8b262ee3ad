package build

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/solver"
)

// Fit is a free name to which rules on measured results gave its value.
type Fit struct {
	Name string
	Quantity
	By    Statement   // the statement that frees it
	To    []Statement // the rules that it was fitted to
	Tried int         // sizes built in search of it
}

// Certainty says in words how sure the fit is.
func (f *Fit) Certainty() string {
	return fmt.Sprintf("found in %d sizes built, not proved to be the only value", f.Tried)
}

const (
	maxFits    = 600 // sizes built in one search
	maxFitted  = 3   // lengths, angles and numbers fitted at once; counts come on top
	sameFit    = 1e-6
	maxListing = 8
)

// freed is a statement that drops a name's default.
type freed struct {
	at   diag.Span
	size string
}

// target is an equality on measured results.
type target struct {
	rule *syntax.Rule
	x, y syntax.Expr
}

// fit looks for the values of free names with which equalities on measured
// results hold.
type fit struct {
	*search
	targets []target
	names   []int   // params to find
	counts  []pin   // of them, the counts, at the values that are looked at now
	open    []int   // of them, the others
	at      []probe // built already, with these counts
	good    []*probe
	bad     *probe     // the first at which what was sought held and something else did not
	jumps   []crossing // past zero
	levels  []crossing // stretches throughout which the target holds
	which   int        // of targets: the one that the only open name is fitted to
	spread  []sample   // of it over the range
	cut     bool       // the search was given up for its length
}

// probe is one size that was built in search of a fit. Only where the equalities
// hold is it kept whole.
type probe struct {
	outcome
	pins        []pin
	left, right []Quantity // by target
	miss, near  []float64  // how far they differ, and may
}

// fitting prepares a search where names that are free, or wanted largest or
// smallest, are all that is open, and equalities on measured results may fix
// them; nil where that is not so.
func (s *system) fitting(base solver.Result, w *wish, settings []Setting) *fit {
	targets := s.targets()
	if base.Status != solver.Undetermined || len(targets) == 0 {
		return nil
	}
	for _, set := range base.FreeSets {
		f := &fit{search: &search{s: s, w: w, settings: settings, free: base.GaveWay}, targets: targets}
		asked := w == nil
		for _, v := range set {
			i := s.of[v]
			if s.frees[i] != nil || w != nil && w.param == i {
				f.names = append(f.names, i)
			}
			asked = asked || w != nil && w.param == i
		}
		if len(f.names) == len(set) && asked {
			return f
		}
	}
	return nil
}

// targets are the equalities between numbers among the rules that are checked
// on what is made.
func (s *system) targets() []target {
	var out []target
	for _, r := range s.later {
		cutAtAnds(r.Cond, func(x syntax.Expr) {
			if b, ok := x.(*syntax.Binary); ok && b.Op == syntax.OpEq && (!s.solvable(b.X) || !s.solvable(b.Y)) {
				out = append(out, target{r, b.X, b.Y})
			}
		})
	}
	return out
}

// solvable tells whether an expression is one that the solver was given.
func (s *system) solvable(x syntax.Expr) bool {
	_, ok := s.sym.of(x, &env{})
	return ok
}

// fit finds the values and builds the size with them. It leaves a largest or
// smallest name to the search where the equalities hold over whole stretches.
func (f *fit) fit(res *Result) (_ *Result, _ []diag.Diagnostic, found bool) {
	ev := f.s.ev
	var combinations [][]pin
	ok := ev.try(func() {
		combinations = f.split()
		for _, f.counts = range combinations {
			f.at = nil
			f.look()
		}
	})
	if !ok {
		res.Status = statusWords[solver.Undetermined]
		return res, ev.diags, true
	}
	if f.w != nil && (combinations == nil || len(f.levels) > 0) {
		return nil, nil, false
	}
	slices.SortStableFunc(f.good, f.order)
	if f.w != nil && len(f.good) > 1 {
		f.good = f.good[:1]
	}
	switch len(f.good) {
	case 0:
		res.Status = "unproved"
		ev.report(f.nothing())
		return res, ev.diags, true
	case 1:
		f.tell(f.good[0])
		return f.good[0].r, f.good[0].diags, true
	}
	res.Status = "several"
	for _, p := range f.good {
		res.Solutions = append(res.Solutions, f.s.named(p.r.solved.Values))
	}
	ev.report(f.several())
	return res, ev.diags, true
}

// order puts the wished value first, else the smaller values.
func (f *fit) order(a, b *probe) int {
	for k := range a.pins {
		x, y := a.pins[k].v, b.pins[k].v
		if f.w != nil {
			x, y = a.valueOf(f.w.param), b.valueOf(f.w.param)
		}
		if x < y != (f.w != nil && f.w.large) && x != y {
			return -1
		} else if x != y {
			return 1
		}
	}
	return 0
}

func (p *probe) valueOf(param int) float64 {
	for _, q := range p.pins {
		if q.param == param {
			return q.v
		}
	}
	return math.NaN()
}

// split parts the names into counts, whose values are tried one by one, and others.
func (f *fit) split() [][]pin {
	out := [][]pin{nil}
	for _, i := range f.names {
		l := f.s.limits[f.s.vars[i]]
		if !l.whole {
			f.open = append(f.open, i)
			continue
		}
		if n := l.hi - l.lo + 1; !(n*float64(len(out)) <= maxCombinations) {
			f.fail(i, fmt.Sprintf("too many values of %s to try them all", f.s.params[i].Name), "narrow its range, or state it")
		}
		var next [][]pin
		for _, pins := range out {
			for k := math.Ceil(l.lo); k <= l.hi; k++ {
				next = append(next, append(slices.Clone(pins), pin{i, k}))
			}
		}
		out = next
	}
	switch {
	case len(f.open) > maxFitted:
		f.fail(f.open[0], fmt.Sprintf("%s are too many names to fit to what is measured", f.listed(f.open)),
			fmt.Sprintf("state some of them: at most %d are fitted at once", maxFitted))
	case f.w != nil && len(f.open) > len(f.targets):
		return nil // the others are chosen beside the wished one
	case len(f.open) > len(f.targets):
		f.fail(f.open[0], fmt.Sprintf("%s on measured results cannot fix %s", counted(len(f.targets), "equality", "equalities"), f.listed(f.open)),
			"state one of the names, or write a rule for it: each name that is fitted takes an equality of its own",
			"or say that one of them is to be largest or smallest")
	}
	return out
}

func counted(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

func (f *fit) listed(params []int) string {
	var names []string
	for _, i := range params {
		names = append(names, f.s.params[i].Name)
	}
	return joined(names, "and")
}

func (f *fit) fail(param int, summary string, more ...any) {
	f.s.ev.fail("P3012", f.freedAt(param), summary, more...)
}

func (f *fit) freedAt(param int) diag.Span {
	if fr := f.s.frees[param]; fr != nil {
		return fr.at
	}
	return f.w.at
}

// look searches with the counts as they are.
func (f *fit) look() {
	switch len(f.open) {
	case 0:
		f.keep(f.probe(nil))
		return
	case 1:
		f.along()
		return
	}
	lo, hi := make([]float64, len(f.open)), make([]float64, len(f.open))
	for k, i := range f.open {
		var ok bool
		if lo[k], hi[k], ok = f.span(i); !ok {
			return
		}
	}
	z := meeting{lo: lo, hi: hi, f: func(x []float64) ([]float64, []float64) { p := f.probe(x); return p.miss, p.near }}
	for _, x := range z.zeros() {
		f.keep(f.probe(x))
	}
}

// along searches one name's range.
func (f *fit) along() {
	lo, hi, ok := f.span(f.open[0])
	if !ok {
		return
	}
	f.which = f.varying(lo, hi)
	seen, found := crossings(func(x float64) (float64, float64) {
		p := f.probe([]float64{x})
		return p.miss[f.which], p.near[f.which]
	}, lo, hi)
	f.spread = seen
	for _, c := range found {
		switch {
		case c.jump:
			f.jumps = append(f.jumps, c)
		case c.to.x > c.from.x:
			f.levels = append(f.levels, c)
			f.keep(f.probe([]float64{c.from.x}))
			f.keep(f.probe([]float64{c.to.x}))
		default:
			f.keep(f.probe([]float64{c.from.x}))
		}
	}
}

// varying is the first target that moves over the range.
func (f *fit) varying(lo, hi float64) int {
	var first []float64
	for k := range 5 {
		p := f.probe([]float64{lo + (hi-lo)*float64(k)/4})
		for t, m := range p.miss {
			switch {
			case math.IsNaN(m):
			case first == nil || math.IsNaN(first[t]):
				first = p.miss
			case math.Abs(m-first[t]) > p.near[t]:
				return t
			}
		}
	}
	return 0
}

// span is the range of a name as far as the rules alone allow it.
func (f *fit) span(param int) (lo, hi float64, ok bool) {
	sys, _ := f.rules(f.counts, nil)
	if lo, hi, ok = f.s.ends(sys, param); !ok {
		return 0, 0, false
	}
	if math.IsInf(lo, 0) || math.IsInf(hi, 0) {
		name := f.s.params[param].Name
		f.fail(param, fmt.Sprintf("%s has no range in which it could be searched for", name), fmt.Sprintf("give %s a range", name))
	}
	return lo, hi, lo <= hi
}

// ends are how far the rules of sys let a param go; false where they don't hold.
func (s *system) ends(sys *solver.System, param int) (lo, hi float64, ok bool) {
	x := s.vars[param]
	l := s.limits[x]
	for _, side := range []struct {
		sense solver.Sense
		end   *float64
	}{{solver.Smallest, &l.lo}, {solver.Largest, &l.hi}} {
		o := sys.Extremum(x.Expr(), side.sense)
		if o.Status == solver.None {
			return 0, 0, false
		}
		if !math.IsNaN(o.Value) && !math.IsInf(o.Bound, 0) {
			*side.end = o.Value
		}
	}
	return l.lo, l.hi, l.lo <= l.hi
}

// probe builds the size with values of the open names.
func (f *fit) probe(at []float64) *probe {
	pins := slices.Clone(f.counts)
	for k, v := range at {
		pins = append(pins, pin{f.open[k], v})
	}
	for i := range f.at {
		if slices.Equal(f.at[i].pins, pins) {
			return &f.at[i]
		}
	}
	p := probe{pins: pins, miss: make([]float64, len(f.targets)), near: make([]float64, len(f.targets))}
	if f.builds >= maxFits {
		f.cut = true
		for t := range p.miss {
			p.miss[t] = math.NaN()
		}
		return &p
	}
	f.builds++
	settings := slices.Clone(f.settings)
	for _, q := range pins {
		settings = append(settings, f.s.setting(q, f.freedAt(q.param)))
	}
	p.r, p.diags = size(f.s.ev.prog, f.name(), f.s.ev.shop, settings, true)
	near := true
	for t, g := range f.targets {
		a, _ := p.r.Eval(g.x)
		b, _ := p.r.Eval(g.y)
		p.left, p.right = append(p.left, a), append(p.right, b)
		p.miss[t], p.near[t] = a.Value-b.Value, float64(equalWithin*max(1, math.Abs(a.Value), math.Abs(b.Value)))
		near = near && math.Abs(p.miss[t]) <= p.near[t]
	}
	if !near {
		p.r, p.diags = nil, nil
	}
	f.at = append(f.at, p)
	return &f.at[len(f.at)-1]
}

// keep takes a place where the equalities hold, if all else does too.
func (f *fit) keep(p *probe) {
	if p.left == nil {
		return // past the bound of builds
	}
	if p.r == nil || !p.good() {
		if f.bad == nil && len(f.open) > 0 {
			copied := *p
			f.bad = &copied
		}
		return
	}
	for _, o := range f.good {
		same := true
		for k, q := range o.pins {
			l := f.s.limits[f.s.vars[q.param]]
			wide := l.hi - l.lo
			if math.IsInf(wide, 0) {
				wide = max(1, math.Abs(q.v))
			}
			same = same && math.Abs(p.pins[k].v-q.v) <= sameFit*wide
		}
		if same {
			return
		}
	}
	copied := *p
	f.good = append(f.good, &copied)
}

// statements are the rules that the names are fitted to.
func (f *fit) statements() []Statement {
	var out []Statement
	for _, t := range f.targets {
		st := f.s.ruleStatement(t.rule)
		if len(out) == 0 || out[len(out)-1].At != st.At {
			out = append(out, st)
		}
	}
	return out
}

// tell writes what was fitted into the result.
func (f *fit) tell(p *probe) {
	to := f.statements()
	p.r.Status = statusWords[solver.Unproved]
	for _, q := range p.pins {
		d := f.s.params[q.param]
		by := Statement{Kind: "free", Name: d.Name, At: f.freedAt(q.param), Names: []string{d.Name}}
		by.Text = oneLine(by.At.Text())
		if fr := f.s.frees[q.param]; fr != nil {
			by.Size = fr.size
		}
		if w := f.w; w != nil && w.param == q.param {
			by.Kind, by.Size = w.word(), w.size
			p.r.Choice = &Choice{Name: d.Name, Quantity: f.s.quantityOf(q.param, q.v), By: by, Tried: f.builds, Stops: to}
			continue
		}
		p.r.Fits = append(p.r.Fits, Fit{Name: d.Name, Quantity: f.s.quantityOf(q.param, q.v), By: by, To: to, Tried: f.builds})
	}
	for i := range p.r.Values {
		v := &p.r.Values[i]
		for _, q := range p.pins {
			if v.Name == f.s.params[q.param].Name {
				v.From, v.Where = "rule", place(to[0].At)
			}
		}
	}
	p.r.Assembly.Values = p.r.Values
	for i := range p.r.Fits {
		fitted := &p.r.Fits[i]
		p.diags = append(p.diags, diag.Diagnostic{Code: "P3013", Severity: diag.Note, Span: fitted.By.At,
			Summary: fmt.Sprintf("%s is %s, %s", fitted.Name, fitted.Text(Units(f.s.ev.prog)), fitted.Certainty())})
	}
}

// several reports that more than one place was found.
func (f *fit) several() diag.Diagnostic {
	d := value.Diagnostic("P3003", f.freedAt(f.names[0]), fmt.Sprintf("%d values of %s were found with which the rules hold, and nothing chooses", len(f.good), f.listed(f.names)))
	for n, p := range f.good {
		if n == maxListing {
			d.Notes = append(d.Notes, fmt.Sprintf("and %d more", len(f.good)-n))
			break
		}
		d.Notes = append(d.Notes, "possible: "+f.describe(p))
	}
	if len(f.levels) > 0 && len(f.counts) == 0 {
		i, c := f.open[0], f.levels[0]
		d.Notes = append(d.Notes, fmt.Sprintf("%s holds all the way from %s to %s", f.s.ruleStatement(f.targets[f.which].rule).Text, f.s.read(i, c.from.x), f.s.read(i, c.to.x)))
	}
	d.Notes = append(d.Notes, fmt.Sprintf("to choose, narrow the range of %s, or say that it is to be largest or smallest", f.s.params[f.names[0]].Name))
	return d
}

func (f *fit) describe(p *probe) string {
	var out []string
	for _, q := range p.pins {
		out = append(out, fmt.Sprintf("%s = %s", f.s.params[q.param].Name, f.s.read(q.param, q.v)))
	}
	return strings.Join(out, ", ")
}

// nothing reports that no place was found, with what is nearest.
func (f *fit) nothing() diag.Diagnostic {
	d := value.Diagnostic("P3012", f.freedAt(f.names[0]), fmt.Sprintf("no value of %s was found with which the rules hold", f.listed(f.names)))
	for _, t := range f.targets {
		d.Related = append(d.Related, diag.Related{Span: t.rule.At, Message: "must hold"})
	}
	if f.bad != nil {
		d.Notes = append(d.Notes, fmt.Sprintf("with %s: %s", f.describe(f.bad), f.against(f.bad)))
	} else if len(f.open) == 1 && len(f.counts) == 0 {
		d.Notes = append(d.Notes, f.reach()...)
	}
	if f.cut {
		d.Notes = append(d.Notes, fmt.Sprintf("the search was given up after %d sizes were built", f.builds))
	} else {
		d.Notes = append(d.Notes, fmt.Sprintf("%d sizes were built; that there is none is not proved", f.builds))
	}
	return d
}

// against is what stands against a place where the sought equalities hold: another
// equality, or the first mistake of the build.
func (f *fit) against(p *probe) string {
	for t, m := range p.miss {
		if !(math.Abs(m) <= p.near[t]) {
			units := Units(f.s.ev.prog)
			return fmt.Sprintf("%s does not hold, left is %s, right is %s", f.s.ruleStatement(f.targets[t].rule).Text, p.left[t].Text(units), p.right[t].Text(units))
		}
	}
	i := slices.IndexFunc(p.diags, func(d diag.Diagnostic) bool { return d.Severity == diag.Error })
	if p.diags[i].Code == "P3006" {
		return f.broken(p.diags[i]).Text + " does not hold"
	}
	return p.diags[i].Summary
}

// reach tells how far the target's sides run over the range, or where they
// jump past each other.
func (f *fit) reach() []string {
	i := f.open[0]
	name := f.s.params[i].Name
	sides := func(at float64) (left, right string) {
		p := f.probe([]float64{at})
		return p.left[f.which].Text(Units(f.s.ev.prog)), p.right[f.which].Text(Units(f.s.ev.prog))
	}
	var out []string
	for _, c := range f.jumps {
		before, _ := sides(c.from.x)
		after, right := sides(c.to.x)
		out = append(out, fmt.Sprintf("near %s = %s the left side jumps from %s to %s, past %s", name, f.s.read(i, c.from.x), before, after, right))
		if len(out) == 3 {
			break
		}
	}
	if out != nil {
		return out
	}
	var least, most *sample
	for k := range f.spread {
		p := &f.spread[k]
		if !p.known() {
			continue
		}
		if least == nil || p.y < least.y {
			least = p
		}
		if most == nil || p.y > most.y {
			most = p
		}
	}
	if least == nil {
		return nil
	}
	for _, p := range []*sample{least, most} {
		left, right := sides(p.x)
		out = append(out, fmt.Sprintf("with %s = %s the left side is %s, the right side %s", name, f.s.read(i, p.x), left, right))
	}
	return out
}
