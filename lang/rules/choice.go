package rules

import (
	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/eval"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/solver"
)

// guard says that something counts only where a condition holds, or where it does not:
// a number that is 0 or more where it holds.
type guard struct {
	up   *guard
	cond solver.Expr
	not  bool
}

// of is x where all guards say so, and 0 elsewhere.
func (g *guard) of(x solver.Expr) solver.Expr {
	for ; g != nil; g = g.up {
		if g.not {
			x = solver.Unless(g.cond, x)
		} else {
			x = solver.Where(g.cond, x)
		}
	}
	return x
}

// guarded is a guard, each kept once so that what stands under equal ones is equal.
func (s *symbols) guarded(g guard) *guard {
	if s.guards == nil {
		s.guards = map[guard]*guard{}
	}
	if s.guards[g] == nil {
		s.guards[g] = &g
	}
	return s.guards[g]
}

// below is a guard under those of what is being read.
func (s *symbols) below(g *guard) *guard {
	if g == nil {
		return s.under
	}
	return s.guarded(guard{s.below(g.up), g.cond, g.not})
}

// choice is `if` whose condition needs params: the branches add up, each being nothing
// where the other counts.
func (s *symbols) choice(x *syntax.If, e *eval.Env) value.Value {
	cond, ok := s.margin(eval.ConditionOf(s.prog, x.Cond), e)
	if !ok {
		return nil
	}
	outer := s.under
	branch := func(x syntax.Expr, not bool) value.Value {
		s.under = s.guarded(guard{outer, cond, not})
		defer func() { s.under = outer }()
		return s.value(x, e)
	}
	either := func(x, y solver.Expr) solver.Expr {
		return solver.Sum(solver.Where(cond, x), solver.Unless(cond, y))
	}
	then, other := branch(x.Then, false), branch(x.Else, true)
	if a, ok := builtin.AsSymbol(then); ok {
		if b, ok := builtin.AsSymbol(other); ok {
			return like(a, b, either)
		}
		return nil
	}
	a, okA := builtin.AsPlace(then)
	b, okB := builtin.AsPlace(other)
	if !okA || !okB {
		return nil
	}
	return pointOf(like(a.X, b.X, either), like(a.Y, b.Y, either))
}

// margin is a number that is 0 or more where a condition holds as evaluation has it, two
// quantities being equal within value.EqualWithin of their size.
func (s *symbols) margin(c *eval.Condition, e *eval.Env) (solver.Expr, bool) {
	switch c.Kind {
	case eval.Both, eval.Either:
		a, okA := s.margin(c.Parts[0], e)
		b, okB := s.margin(c.Parts[1], e)
		if c.Kind == eval.Both {
			return solver.Min(a, b), okA && okB
		}
		return solver.Max(a, b), okA && okB
	case eval.Relation:
		x, okX := s.of(c.X, e)
		y, okY := s.of(c.Y, e)
		if okX && okY && x.dim == y.dim {
			return builtin.OperatorOf(c.Op).MarginOf(x.x, y.x), true
		}
	case eval.Range:
		x, okX := s.of(c.X, e)
		lo, okLo := s.of(c.In.Lo, e)
		hi, okHi := s.of(c.In.Hi, e)
		if okX && okLo && okHi && x.dim == lo.dim && x.dim == hi.dim {
			in := solver.Min(solver.Difference(x.x, lo.x), solver.Difference(hi.x, x.x))
			if c.Not {
				in = solver.Difference(solver.Unless(in, solver.Const(2)), solver.Const(1)) // where in is less than 0
			}
			return in, true
		}
	}
	holds, ok := s.flag(c.At, e)
	if holds != c.Not {
		return solver.Const(1), ok
	}
	return solver.Const(-1), ok
}

// ranged is an argument of a function of the design whose parameter declares a range,
// which binds the rules that call it, as far as its guards go. The three are numbers or
// symbols.
type ranged struct {
	param     *check.Decl
	x, lo, hi value.Value
	guard     *guard
}

// within notes the range that a parameter declares for its argument; false where the
// range is no arithmetic over params.
func (s *symbols) within(p *check.Decl, in *eval.Env) bool {
	d := p.Param.Domain
	v, _ := in.Find(p)
	if _, number := builtin.AsSymbol(v); !number || d == nil || d.Hi == nil {
		return true
	}
	r := ranged{p, v, s.value(d.Lo, in), s.value(d.Hi, in), s.under}
	if r.lo == nil || r.hi == nil {
		return false
	}
	s.meets(r)
	return true
}

func (s *symbols) meets(r ranged) {
	if s.had[r] {
		return
	}
	if s.had == nil {
		s.had = map[ranged]bool{}
	}
	s.had[r] = true
	s.ranges = append(s.ranges, r)
}

// alone reads something that may be used in several places, without what it stands under.
func (s *symbols) alone(read func() value.Value) symbolic {
	under, ranges, had := s.under, s.ranges, s.had
	s.under, s.ranges, s.had = nil, nil, nil
	out := symbolic{v: read()}
	out.ranges = s.ranges
	s.under, s.ranges, s.had = under, ranges, had
	return out
}

// use is what was read alone, in one of the places that use it.
func (s *symbols) use(k symbolic) value.Value {
	for _, r := range k.ranges {
		r.guard = s.below(r.guard)
		s.meets(r)
	}
	return k.v
}

// bindRanges binds the ranges that were met where what is being stated calls functions
// of the design; n is what is stated.
func (s *System) bindRanges(n constraint) {
	for _, r := range s.sym.ranges {
		x, _ := builtin.AsSymbol(r.x)
		for _, end := range []struct {
			v   value.Value
			rel solver.Relation
		}{{r.lo, solver.GE}, {r.hi, solver.LE}} {
			y, _ := builtin.AsSymbol(end.v)
			if x.Dim != y.Dim {
				continue
			}
			c := solver.Constraint{Left: x.X, Rel: end.rel, Right: y.X}
			if r.guard != nil {
				c.Left, c.Right = r.guard.of(solver.Difference(x.X, y.X)), solver.Const(0)
			}
			s.add(c, constraint{at: r.param.Param.Domain.At, decl: r.param, kind: KindRange, size: n.size, exprs: n.exprs})
		}
	}
}
