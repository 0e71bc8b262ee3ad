package eval

import (
	"fmt"
	"strings"

	"perch/lang/syntax"
	"perch/lang/value"
)

// Holds tells whether a rule of the design's file holds; ok is false where that could not
// be worked out, which is reported.
func (ev *evaluator) Holds(r *syntax.Rule) (holds, ok bool) {
	ok = ev.Try(func() { holds = ev.met(ConditionOfRule(ev.prog, r), &env{}) })
	return holds, ok
}

// ReportUnmet reports a rule of the design's file that does not hold, with its numbers.
func (ev *evaluator) ReportUnmet(r *syntax.Rule) {
	ev.Try(func() { ev.unmet(r, ConditionOfRule(ev.prog, r), &env{}, "") })
}

// hold holds a part to a rule of its panel.
func (ev *evaluator) hold(r *syntax.Rule, e *env, in string) {
	if c := ConditionOfRule(ev.prog, r); !ev.met(c, e) {
		ev.unmet(r, c, e, in)
	}
}

// unmet unwinds because of a rule.
func (ev *evaluator) unmet(r *syntax.Rule, c *Condition, e *env, in string) {
	d := value.Diagnostic("P3006", r.At, "this rule does not hold")
	if r.Label != nil {
		d.Label = r.Label.Value
	}
	if r.Guard != nil { // which is met
		c = ConditionOf(ev.prog, r.Cond)
	}
	if n := ev.sides(c, e); n != "" {
		d.Notes = append(d.Notes, n)
	}
	if in != "" {
		d.Notes = append(d.Notes, "in part "+in)
	}
	panic(value.Mistake{D: d, Cause: Unmet{r}})
}

// met tells whether a condition holds. Blanks that do not go on as many sheets as they
// may are not nested on more.
func (ev *evaluator) met(c *Condition, e *env) bool {
	switch c.Kind {
	case Both:
		return ev.met(c.Parts[0], e) && ev.met(c.Parts[1], e)
	case Either:
		return ev.met(c.Parts[0], e) || ev.met(c.Parts[1], e)
	case Relation:
		x, y := c.X, c.Y
		if c.Op == syntax.OpGe || c.Op == syntax.OpGt {
			x, y = y, x
		}
		if c.Op == syntax.OpEq || c.Op == syntax.OpNe {
			break
		}
		if ok, known := ev.fits(x, y, c.Op == syntax.OpLt || c.Op == syntax.OpGt, e); known {
			return ok
		}
	}
	return ev.flag(c.At, e) != c.Not
}

// sides tells the numbers of a condition that does not hold; of several that must, those
// of the first that does not.
func (ev *evaluator) sides(c *Condition, e *env) string {
	read := func(n value.Number) string { return n.Text(ev.prog.Shown) }
	switch c.Kind {
	case Both:
		if v, ok := ev.quietlyMet(c.Parts[0], e); ok && v {
			return ev.sides(c.Parts[1], e)
		}
		return ev.sides(c.Parts[0], e)
	case Relation:
		l, okl := ev.quietNumber(c.X, e)
		r, okr := ev.quietNumber(c.Y, e)
		if okl && okr {
			if a, b := read(l), read(r); a != b {
				return fmt.Sprintf("left is %s, right is %s", a, b)
			}
			return ev.says("left is %s, right is %s", value.Shown(l), value.Shown(r)) // they differ in what is not read off
		}
	case Range:
		if v, ok := ev.quietNumber(c.X, e); ok {
			return fmt.Sprintf("%s is %s", strings.Join(strings.Fields(c.X.Span().Text()), " "), read(v))
		}
	}
	return ""
}

func (ev *evaluator) quietNumber(x syntax.Expr, e *env) (value.Number, bool) {
	v, ok := ev.Quietly(x, e)
	n, is := v.(value.Number)
	return n, ok && is
}

func (ev *evaluator) quietlyMet(c *Condition, e *env) (met, ok bool) {
	defer recovered(func() { ok = false })
	return ev.met(c, e), true
}
