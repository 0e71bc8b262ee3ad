package solver

import (
	"math"

	"perch/solver/elementary"
	"perch/solver/expr"
	"perch/solver/roots"
)

const (
	// strictly is the relative difference that < and > must exceed.
	strictly = 1e-12

	maxSolutions = 64     // kept of a system
	maxSteps     = 200000 // tape steps of one search, and maxStepsEach more for each step of the system
	maxStepsEach = 300
	maxSearches  = 20 // full searches' worth of steps of one Solve
)

var nan = math.NaN()

// program is a System made ready for solving; it does not change.
type program struct {
	vars    []variable
	cons    []Constraint
	tapes   []expr.Tape
	deps    [][]Var // by constraint: the variables that matter to it
	order   []int   // equalities that must hold, in the order they are matched
	abouts  []int
	checks  []int // inequalities that must hold
	longest int   // tape
	size    int   // steps of all tapes
}

func compileSystem(s *System) *program {
	p := &program{vars: s.vars, cons: s.cons}
	p.tapes = make([]expr.Tape, len(p.cons))
	p.deps = make([][]Var, len(p.cons))
	for i, c := range p.cons {
		p.tapes[i] = expr.Compile(c.Left, c.Right, len(p.vars))
		p.size += p.tapes[i].Size()
		p.longest = max(p.longest, p.tapes[i].Size())
	}
	work := newScratch(p)
	for i := range p.cons {
		p.deps[i] = work.informative(&p.tapes[i])
	}
	for _, strength := range []Strength{Setting, Stated, Default, Rule} {
		for i, c := range p.cons {
			if c.Strength == strength && c.Rel == EQ {
				p.order = append(p.order, i)
			}
		}
	}
	for i, c := range p.cons {
		switch {
		case c.Strength >= About:
			p.abouts = append(p.abouts, i)
		case c.Rel != EQ:
			p.checks = append(p.checks, i)
		}
	}
	return p
}

// budget is the tape steps that one search may take.
func (p *program) budget() int { return maxSteps + maxStepsEach*p.size }

// scratch is the space that evaluations need.
type scratch struct {
	p      *program
	buf    []float64
	adj    []float64
	grad   []float64 // by Var
	x      []float64 // by Var
	dual   []expr.Dual
	seen   []int // by Var, for matching
	mark   int
	work   int     // tape steps left for the whole Solve
	proof  int     // steps left for proofs about blocks
	guess  bool    // a search that finds nothing counts as a proof that there is nothing
	usedIn [][]int // by Var: constraints, once asked for
	local  []int32 // by Var: -1, but while rows are laid its index in a block
	failed []int   // constraints that failed in the first search, while a conflict is sought
}

func newScratch(p *program) *scratch {
	n := len(p.vars)
	return &scratch{
		p: p, buf: make([]float64, p.longest), adj: make([]float64, p.longest),
		grad: make([]float64, n), x: make([]float64, n), dual: make([]expr.Dual, p.longest), seen: make([]int, n),
		work: maxSearches * p.budget(), proof: roots.ProofSteps + roots.ProofStepsEach*p.size,
	}
}

// informative returns the tape's variables less those that cancel, such as both
// of a = a: a derivative that is 0, but for rounding of the terms it is summed
// from, at three points of a smooth expression.
func (w *scratch) informative(t *expr.Tape) []Var {
	if t.Assigns >= 0 || len(t.Vars) == 0 || !t.MayCancel() {
		return t.Vars
	}
	matters := make(map[Var]bool, len(t.Vars))
	slopes := make([]float64, len(t.Vars))
	for k := range 3 {
		for _, v := range t.Vars {
			w.x[v] = sample(w.p.vars[v], int(v), k)
			w.grad[v] = 0
		}
		if r := t.Eval(w.x, w.buf); math.IsNaN(r) {
			return t.Vars
		}
		t.Gradient(w.buf, w.adj, w.grad)
		for i, v := range t.Vars {
			slopes[i] = w.grad[v]
			w.grad[v] = 0
		}
		t.GradientSize(w.buf, w.adj, w.grad)
		for i, v := range t.Vars {
			if !(math.Abs(slopes[i]) <= 1e-12*w.grad[v]) {
				matters[v] = true
			}
		}
	}
	var vars []Var
	for _, v := range t.Vars {
		if matters[v] {
			vars = append(vars, v)
		}
	}
	return vars
}

// sample is the k-th of a few fixed, unrelated points of a variable's range.
func sample(v variable, i, k int) float64 {
	const golden = 0.6180339887498949
	u := float64(float64(i*3+k+1) * golden)
	u -= math.Floor(u)
	lo, hi := v.lo, v.hi
	switch {
	case elementary.Finite(lo) && elementary.Finite(hi):
		return lo + float64(u*(hi-lo))
	case elementary.Finite(lo):
		return lo + 0.1 + float64(u*10)
	case elementary.Finite(hi):
		return hi - 0.1 - float64(u*10)
	}
	return float64(u*10) + 0.1
}

// holds tells whether constraint i holds at x; with a side undefined it does not.
func (w *scratch) holds(i int, x []float64) bool { return w.satisfies(i, x, false) }

// satisfies is holds, with <= and >= forgiving nothing where strict is set.
func (w *scratch) satisfies(i int, x []float64, strict bool) bool {
	c, t := &w.p.cons[i], &w.p.tapes[i]
	r := t.Eval(x, w.buf)
	l, q := t.Left(w.buf), t.Right(w.buf)
	if math.IsNaN(r) {
		return math.IsInf(l, 0) && l == q && (c.Rel == EQ || c.Rel == LE || c.Rel == GE)
	}
	m := t.Magnitude(w.buf, w.adj)
	loose := expr.Allowance(m)
	tight := float64(strictly * m)
	if strict && c.Rel != EQ && c.Rel != NE {
		loose = 0
	}
	switch c.Rel {
	case EQ:
		return math.Abs(r) <= loose
	case LE:
		return r <= loose
	case GE:
		return r >= -loose
	case LT:
		return r < -tight
	case GT:
		return r > tight
	case NE:
		return math.Abs(r) > loose
	}
	return false
}
