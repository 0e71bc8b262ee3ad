package rules

import (
	"math"
	"slices"

	"perch/solver"
)

// Pin is a value that a search gives to a param.
type Pin struct {
	Param int // of Params
	V     float64
}

// Setting states the pin from outside, at a place of the design's.
func (s *System) Setting(p Pin) Setting { return Pinned(s.Params[p.Param], p.V) }

// Implicit is an inequality among names alone, or an end of the range of a name that
// follows from others.
type Implicit struct {
	Size float64    // of the range, 0 where it is not known
	id   solver.ID  // −1 for a range
	v    solver.Var // the range's
	end  float64
	up   bool // v is not to go above end
}

// Implicits lists them where params are given values that stated tells of.
func (s *System) Implicits(stated func(param int) bool) []Implicit {
	var out []Implicit
	for i, con := range s.Constraints {
		switch con.Rel {
		case solver.LE, solver.LT, solver.GE, solver.GT:
			out = append(out, Implicit{id: solver.ID(i)})
		}
	}
	for v, l := range s.Limits {
		wide := l.Hi - l.Lo
		if stated(s.Of[v]) || l.Whole || !(wide > 0) {
			continue
		}
		if math.IsInf(wide, 0) {
			wide = 1
		}
		if !math.IsInf(l.Lo, 0) {
			out = append(out, Implicit{id: -1, v: solver.Var(v), end: l.Lo, Size: wide})
		}
		if !math.IsInf(l.Hi, 0) {
			out = append(out, Implicit{id: -1, v: solver.Var(v), end: l.Hi, up: true, Size: wide})
		}
	}
	return out
}

// ImplicitStatement is where an implicit constraint comes from.
func (s *System) ImplicitStatement(c Implicit) Statement {
	if c.id >= 0 {
		return s.Statement(c.id)
	}
	return s.RangeOf(c.v)
}

// Rules are the rules with pins stated; free are the abouts that may give way, and box,
// where it is set, is another range of variable x. ids are the constraints' places in the
// system itself, −1 for the pins.
func (s *System) Rules(pins []Pin, free []solver.ID, x solver.Var, box *Limits) (sys *solver.System, ids []solver.ID) {
	lims := s.Limits
	if box != nil {
		lims = slices.Clone(lims)
		lims[x] = *box
	}
	sys, ids = s.Variant(lims, func(id solver.ID, c *solver.Constraint) bool {
		holdAbout(c, id, free)
		return true
	})
	for range pins {
		ids = append(ids, -1)
	}
	s.pin(sys, pins)
	return sys, ids
}

// holdAbout makes an about that did not give way hold.
func holdAbout(c *solver.Constraint, id solver.ID, free []solver.ID) {
	if c.Strength == solver.About && !slices.Contains(free, id) {
		c.Strength = solver.Default
	}
}

func (s *System) pin(sys *solver.System, pins []Pin) {
	for _, p := range pins {
		sys.Add(solver.Constraint{Left: s.Vars[p.Param].Expr(), Right: solver.Const(p.V), Strength: solver.Setting})
	}
}

// Follow solves the rules with pins stated and nothing to hold the names that follow but
// the equations, and tells by how much each implicit constraint is passed: above zero
// where it does not hold. ok is false where names have no values.
func (s *System) Follow(pins []Pin, free []solver.ID, implicit []Implicit) (res solver.Result, by []float64, ok bool) {
	lims := slices.Clone(s.Limits)
	for v := range lims {
		if l := &lims[v]; !l.Whole {
			wide := l.Hi - l.Lo
			l.Lo, l.Hi = l.Lo-wide, l.Hi+wide
		}
	}
	sys, _ := s.Variant(lims, func(id solver.ID, c *solver.Constraint) bool {
		holdAbout(c, id, free)
		return c.Rel == solver.EQ
	})
	s.pin(sys, pins)
	slack := make([]solver.Var, len(implicit))
	for k, c := range implicit {
		if c.id < 0 {
			continue
		}
		con := s.Constraints[c.id]
		left, right := con.Left, con.Right
		if con.Rel == solver.GE || con.Rel == solver.GT {
			left, right = right, left
		}
		slack[k] = sys.Var("", math.Inf(-1), math.Inf(1), false)
		sys.Add(solver.Constraint{Left: slack[k].Expr(), Right: solver.Difference(left, right)})
	}
	res = sys.Solve()
	if len(res.Solutions) == 0 {
		return res, nil, false
	}
	by = make([]float64, len(implicit))
	for k, c := range implicit {
		switch {
		case c.id >= 0:
			by[k] = res.Values[slack[k]]
		case c.up:
			by[k] = res.Values[c.v] - c.end
		default:
			by[k] = c.end - res.Values[c.v]
		}
	}
	res.Values = res.Values[:len(s.Of)]
	return res, by, !slices.ContainsFunc(res.Values, math.IsNaN)
}

// Ends are how far the rules of sys let a param go; false where they don't hold.
func (s *System) Ends(sys *solver.System, param int) (lo, hi float64, ok bool) {
	x := s.Vars[param]
	l := s.Limits[x]
	for _, side := range []struct {
		sense solver.Sense
		end   *float64
	}{{solver.Smallest, &l.Lo}, {solver.Largest, &l.Hi}} {
		o := sys.Extremum(x.Expr(), side.sense)
		if o.Status == solver.None {
			return 0, 0, false
		}
		if !math.IsNaN(o.Value) && !math.IsInf(o.Bound, 0) {
			*side.end = o.Value
		}
	}
	return l.Lo, l.Hi, l.Lo <= l.Hi
}
