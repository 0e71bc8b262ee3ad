package build

import (
	"fmt"
	"math"
	"slices"

	"perch/lang/diag"
	"perch/lang/rules"
	"perch/lang/search"
	"perch/lang/value"
	"perch/parts/measure"
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

// fit looks for the values of free names with which equalities on measured
// results hold.
type fit struct {
	*builder
	w       *rules.Wish // nil where none is
	free    []solver.ID
	targets []rules.Equation
	builds  int
	names   []int       // params to find
	counts  []rules.Pin // of them, the counts, at the values that are looked at now
	open    []int       // of them, the others
	at      []probe     // built already, with these counts
	good    []*probe
	bad     *probe            // the first at which what was sought held and something else did not
	jumps   []search.Crossing // past zero
	levels  []search.Crossing // stretches throughout which the target holds
	which   int               // of targets: the one that the only open name is fitted to
	spread  []search.Sample   // of it over the range
	cut     bool              // the search was given up for its length
}

// probe is one size that was built in search of a fit. Only where the equalities
// hold is it kept whole.
type probe struct {
	r           *Result
	pins        []rules.Pin
	left, right []Quantity // by target
	miss, near  []float64  // how far they differ, and may
}

// fitting prepares a search where names that are free, or wanted largest or
// smallest, are all that is open, and equalities on measured results may fix
// them; nil where that is not so.
func (b *builder) fitting(base solver.Result, w *rules.Wish) *fit {
	targets := b.sys.Equations()
	if base.Status != solver.Undetermined || len(targets) == 0 {
		return nil
	}
	for _, set := range base.FreeSets {
		f := &fit{builder: b, w: w, free: base.GaveWay, targets: targets}
		asked := w == nil
		for _, v := range set {
			i := b.sys.Of[v]
			if b.sys.Frees[i] != nil || w != nil && w.Param == i {
				f.names = append(f.names, i)
			}
			asked = asked || w != nil && w.Param == i
		}
		if len(f.names) == len(set) && asked {
			return f
		}
	}
	return nil
}

// result finds the values and builds the size with them. It is nil, and leaves a largest
// or smallest name to the search, where the equalities hold over whole stretches.
func (f *fit) result(r *Result) *Result {
	var combinations [][]rules.Pin
	ok := f.sys.Try(func() {
		combinations = f.split()
		for _, f.counts = range combinations {
			f.at = nil
			f.look()
		}
	})
	if !ok {
		r.Status = rules.StatusWord(solver.Undetermined)
		return r
	}
	if f.w != nil && (combinations == nil || len(f.levels) > 0) {
		return nil
	}
	slices.SortStableFunc(f.good, f.order)
	if f.w != nil && len(f.good) > 1 {
		f.good = f.good[:1]
	}
	switch len(f.good) {
	case 0:
		r.Status = "unproved"
		f.sys.Report(f.nothing())
		return r
	case 1:
		f.tell(f.good[0])
		return f.good[0].r
	}
	r.Status = "several"
	for _, p := range f.good {
		r.Solutions = append(r.Solutions, f.sys.Named(p.r.solved.Values))
	}
	f.sys.Report(f.several())
	return r
}

// order puts the wished value first, else the smaller values.
func (f *fit) order(a, b *probe) int {
	for k := range a.pins {
		x, y := a.pins[k].V, b.pins[k].V
		if f.w != nil {
			x, y = a.valueOf(f.w.Param), b.valueOf(f.w.Param)
		}
		if x < y != (f.w != nil && f.w.Large) && x != y {
			return -1
		} else if x != y {
			return 1
		}
	}
	return 0
}

func (p *probe) valueOf(param int) float64 {
	for _, q := range p.pins {
		if q.Param == param {
			return q.V
		}
	}
	return math.NaN()
}

// split parts the names into counts, whose values are tried one by one, and others.
func (f *fit) split() [][]rules.Pin {
	var counts []int
	for _, i := range f.names {
		if f.sys.Limits[f.sys.Vars[i]].Whole {
			counts = append(counts, i)
		} else {
			f.open = append(f.open, i)
		}
	}
	out := f.combinations(counts, func(i int) {
		f.fail(i, fmt.Sprintf("too many values of %s to try them all", f.sys.Params[i].Name), "narrow its range, or state it")
	})
	switch {
	case len(f.open) > maxFitted:
		f.fail(f.open[0], fmt.Sprintf("%s are too many names to fit to what is measured", f.listed(f.open)),
			fmt.Sprintf("state some of them: at most %d are fitted at once", maxFitted))
	case f.w != nil && len(f.open) > len(f.targets):
		return nil // the others are chosen beside the wished one
	case len(f.open) > len(f.targets):
		f.fail(f.open[0], fmt.Sprintf("%s on measured results cannot fix %s", measure.Counted(len(f.targets), "equality"), f.listed(f.open)),
			"state one of the names, or write a rule for it: each name that is fitted takes an equality of its own",
			"or say that one of them is to be largest or smallest")
	}
	return out
}

func (f *fit) listed(params []int) string {
	var names []string
	for _, i := range params {
		names = append(names, f.sys.Params[i].Name)
	}
	return rules.Joined(names, "and")
}

func (f *fit) fail(param int, summary string, more ...any) {
	value.Fail("P3012", f.freedAt(param), summary, more...)
}

func (f *fit) freedAt(param int) diag.Span {
	if fr := f.sys.Frees[param]; fr != nil {
		return fr.At
	}
	return f.w.At
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
	for _, x := range search.Zeros(func(x []float64) ([]float64, []float64) { p := f.probe(x); return p.miss, p.near }, lo, hi) {
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
	seen, found := search.Crossings(func(x float64) (float64, float64) {
		p := f.probe([]float64{x})
		return p.miss[f.which], p.near[f.which]
	}, lo, hi)
	f.spread = seen
	for _, c := range found {
		switch {
		case c.Jump:
			f.jumps = append(f.jumps, c)
		case c.To.X > c.From.X:
			f.levels = append(f.levels, c)
			f.keep(f.probe([]float64{c.From.X}))
			f.keep(f.probe([]float64{c.To.X}))
		default:
			f.keep(f.probe([]float64{c.From.X}))
		}
	}
}

// varying is the first target that moves over the range.
func (f *fit) varying(lo, hi float64) int {
	var first []float64
	for k := range 5 {
		p := f.probe([]float64{lo + float64((hi-lo)*float64(k)/4)})
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
	sys, _ := f.sys.Rules(f.counts, f.free, f.sys.Vars[param], nil)
	if lo, hi, ok = f.sys.Ends(sys, param); !ok {
		return 0, 0, false
	}
	if math.IsInf(lo, 0) || math.IsInf(hi, 0) {
		name := f.sys.Params[param].Name
		f.fail(param, fmt.Sprintf("%s has no range in which it could be searched for", name), fmt.Sprintf("give %s a range", name))
	}
	return lo, hi, lo <= hi
}

// probe builds the size with values of the open names.
func (f *fit) probe(at []float64) *probe {
	pins := slices.Clone(f.counts)
	for k, v := range at {
		pins = append(pins, rules.Pin{Param: f.open[k], V: v})
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
	var settings []Setting
	for _, q := range pins {
		settings = append(settings, f.setting(q, f.freedAt(q.Param)))
	}
	p.r = f.with(settings)
	near := true
	for t, g := range f.targets {
		a, _ := p.r.Eval(g.X)
		b, _ := p.r.Eval(g.Y)
		p.left, p.right = append(p.left, a), append(p.right, b)
		p.miss[t], p.near[t] = a.V-b.V, float64(value.EqualWithin*max(1, math.Abs(a.V), math.Abs(b.V)))
		near = near && math.Abs(p.miss[t]) <= p.near[t]
	}
	if !near {
		p.r = nil
	}
	f.at = append(f.at, p)
	return &f.at[len(f.at)-1]
}

// keep takes a place where the equalities hold, if all else does too.
func (f *fit) keep(p *probe) {
	if p.left == nil {
		return // past the bound of builds
	}
	if !p.r.holds() {
		if f.bad == nil && len(f.open) > 0 {
			copied := *p
			f.bad = &copied
		}
		return
	}
	for _, o := range f.good {
		same := true
		for k, q := range o.pins {
			l := f.sys.Limits[f.sys.Vars[q.Param]]
			wide := l.Hi - l.Lo
			if math.IsInf(wide, 0) {
				wide = max(1, math.Abs(q.V))
			}
			same = same && math.Abs(p.pins[k].V-q.V) <= sameFit*wide
		}
		if same {
			return
		}
	}
	copied := *p
	f.good = append(f.good, &copied)
}
