package rules

import (
	"math"

	"perch/lang/check"
	"perch/lang/eval"
	"perch/lang/syntax"
	"perch/lang/value"
)

// Residual is a condition on measured results, as one number that says by how much
// it does not hold.
type Residual struct {
	Rule   *syntax.Rule
	Cond   *eval.Condition
	Counts bool // sheets: whether they suffice does not show in a number
	// Eithers are the parts in it of which one side has to hold; Sides names the one that
	// is looked at alone, of those that have one.
	Eithers []*eval.Condition
	Sides   map[*eval.Condition]int
	sizes   map[side]float64
}

// side tells a comparison from the others of a condition, and the ends of a range apart.
type side struct {
	c     *eval.Condition
	upper bool
}

// Residuals are the conditions that are checked on what is made, each rule cut at its
// ands.
func (s *System) Residuals() []*Residual {
	var out []*Residual
	for _, r := range s.Later {
		eval.ConditionOfRule(s.Program, r).All(func(c *eval.Condition) {
			t := &Residual{Rule: r, Cond: c, sizes: map[side]float64{}, Sides: map[*eval.Condition]int{}}
			c.Leaves(func(leaf *eval.Condition) { t.Counts = t.Counts || eval.CountsSheets(s.Program, leaf.At) })
			if !t.Counts {
				t.Eithers = c.Eithers()
			}
			out = append(out, t)
		})
	}
	return out
}

// Equation is an equality between numbers that is checked on what is made.
type Equation struct {
	Rule *syntax.Rule
	X, Y syntax.Expr
}

// Equations are those among the rules.
func (s *System) Equations() []Equation {
	var out []Equation
	for _, r := range s.Later {
		eval.ConditionOfRule(s.Program, r).All(func(c *eval.Condition) {
			if c.Kind == eval.Relation && c.Op == syntax.OpEq && s.number(c.X) && s.number(c.Y) && !(s.Arithmetic(c.X) && s.Arithmetic(c.Y)) {
				out = append(out, Equation{r, c.X, c.Y})
			}
		})
	}
	return out
}

// number tells whether an expression is of a number's type.
func (s *System) number(x syntax.Expr) bool {
	k := s.Program.TypeOf(x).Kind
	return k == check.Quantity || k == check.CountKind
}

// Arithmetic tells whether an expression is arithmetic over params, as the solver takes it.
func (s *System) Arithmetic(x syntax.Expr) bool {
	_, ok := s.sym.of(x, &eval.Env{})
	return ok
}

// Equality tells whether the residual can miss to either side.
func (t *Residual) Equality() bool { return t.Cond.Kind == eval.Relation && t.Cond.Op == syntax.OpEq }

// apart is the part of their size by which two numbers that must not be equal
// are moved apart.
const apart = 10 * value.EqualWithin

// At is by how much the condition does not hold in a size: the difference of its sides
// in parts of the size they have where they are first seen, zero where they count as
// equal and below zero where they need not be; of an equality, to either side. NaN where
// there is no such number.
func (t *Residual) At(ev *eval.Evaluator) float64 {
	if t.Equality() {
		return t.differ(ev, side{t.Cond, false}, t.Cond.X, t.Cond.Y)
	}
	return t.at(ev, t.Cond)
}

// at is that of a part of the condition: of two of which either may hold the smaller
// residual, of two that must the larger.
func (t *Residual) at(ev *eval.Evaluator, c *eval.Condition) float64 {
	switch c.Kind {
	case eval.Both:
		return max(t.at(ev, c.Parts[0]), t.at(ev, c.Parts[1])) // NaN where either is
	case eval.Either:
		if n, chosen := t.Sides[c]; chosen {
			return t.at(ev, c.Parts[n])
		}
		a, b := t.at(ev, c.Parts[0]), t.at(ev, c.Parts[1])
		switch {
		case math.IsNaN(a):
			return b
		case math.IsNaN(b):
			return a
		}
		return min(a, b)
	case eval.Relation:
		x, y := c.X, c.Y
		if c.Op == syntax.OpGe || c.Op == syntax.OpGt {
			x, y = y, x
		}
		by := t.differ(ev, side{c, false}, x, y)
		switch c.Op {
		case syntax.OpEq:
			return math.Abs(by)
		case syntax.OpNe:
			return apart - math.Abs(by)
		}
		return by
	case eval.Range:
		by := max(t.differ(ev, side{c, false}, c.In.Lo, c.X), t.differ(ev, side{c, true}, c.X, c.In.Hi))
		if c.Not {
			by = -by
		}
		return by
	}
	return math.NaN()
}

// differ is a less b in parts of their size; key tells the comparison from others.
func (t *Residual) differ(ev *eval.Evaluator, key side, a, b syntax.Expr) float64 {
	p, q := numberAt(ev, a), numberAt(ev, b)
	by, size := p-q, max(math.Abs(p), math.Abs(q))
	if math.Abs(by) <= float64(value.EqualWithin*max(1, size)) {
		by = 0
	}
	if t.sizes[key] == 0 && !math.IsNaN(by) {
		if t.sizes[key] = size; size == 0 {
			t.sizes[key] = 1
		}
	}
	if by == 0 {
		return 0
	}
	return by / t.sizes[key]
}

// numberAt is what an expression comes to, NaN where that is no number.
func numberAt(ev *eval.Evaluator, x syntax.Expr) float64 {
	if n, _, ok := ev.Number(x); ok {
		return n.V
	}
	return math.NaN()
}
