package build

import (
	"math"
	"slices"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
)

// term is a condition on measured results, as one number that says by how much
// it does not hold.
type term struct {
	rule    *syntax.Rule
	cond    syntax.Expr
	counts  bool // sheets: whether they suffice does not show in a number
	sizes   map[syntax.Expr]float64
	eithers []*syntax.Binary               // in it, of which one side has to hold
	side    map[*syntax.Binary]syntax.Expr // of those, the one that is looked at alone
}

// terms are the conditions that are checked on what is made, each rule cut at its
// ands.
func (s *system) terms() []term {
	var out []term
	for _, r := range s.later {
		cutAtAnds(r.Cond, func(x syntax.Expr) {
			t := term{rule: r, cond: x, counts: s.counts(x), sizes: map[syntax.Expr]float64{}}
			if !t.counts {
				t.eithers = eithers(x, false, nil)
			}
			out = append(out, t)
		})
	}
	return out
}

// cutAtAnds hands on the parts of a condition that must all hold, without brackets
// around them.
func cutAtAnds(x syntax.Expr, part func(syntax.Expr)) {
	switch y := x.(type) {
	case *syntax.Paren:
		cutAtAnds(y.X, part)
		return
	case *syntax.Binary:
		if y.Op == syntax.OpAnd {
			cutAtAnds(y.X, part)
			cutAtAnds(y.Y, part)
			return
		}
	}
	part(x)
}

// eithers are the parts of a condition, or of its contrary, of which one side has to hold.
func eithers(x syntax.Expr, contrary bool, out []*syntax.Binary) []*syntax.Binary {
	switch x := x.(type) {
	case *syntax.Paren:
		return eithers(x.X, contrary, out)
	case *syntax.Unary:
		return eithers(x.X, contrary != (x.Op == syntax.OpNot), out)
	case *syntax.Binary:
		if x.Op == syntax.OpAnd || x.Op == syntax.OpOr {
			if (x.Op == syntax.OpOr) != contrary {
				out = append(out, x)
			}
			return eithers(x.Y, contrary, eithers(x.X, contrary, out))
		}
	}
	return out
}

// maxSides are the choices of sides that are searched one by one.
const maxSides = 8

// sides calls do for every choice of one side of each condition of which one side has
// to hold, as far as maxSides; do tells whether to go on.
func sides(terms []term, do func() bool) {
	type open struct {
		t *term
		x *syntax.Binary
	}
	var all []open
	for k := range terms {
		for _, x := range terms[k].eithers {
			all = append(all, open{&terms[k], x})
		}
	}
	for n := 0; len(all) > 0 && n < min(maxSides, 1<<min(len(all), 10)); n++ {
		for i, o := range all {
			if o.t.side == nil {
				o.t.side = map[*syntax.Binary]syntax.Expr{}
			}
			if o.t.side[o.x] = o.x.X; n>>min(i, 10)&1 == 1 {
				o.t.side[o.x] = o.x.Y
			}
		}
		if !do() {
			break
		}
	}
	for _, o := range all {
		o.t.side = nil
	}
}

// equal tells whether the term can miss to either side.
func (t *term) equal() bool {
	b, is := t.cond.(*syntax.Binary)
	return is && b.Op == syntax.OpEq
}

// apart is the part of their size by which two numbers that must not be equal
// are moved apart.
const apart = 10 * equalWithin

// missing is by how much the term does not hold in a size that was built: the
// difference of its sides in parts of the size they have where they are first seen,
// zero where they count as equal and below zero where they need not be; of an
// equality, to either side. NaN where there is no such number.
func (t *term) missing(s *system, r *Result) float64 {
	if x, is := t.cond.(*syntax.Binary); is && x.Op == syntax.OpEq {
		return t.differ(r, x, x.X, x.Y)
	}
	return t.miss(s, r, t.cond, false)
}

// miss is missing of a part of the condition, or of its contrary: of two of which
// either may hold the smaller miss, of two that must the larger.
func (t *term) miss(s *system, r *Result, x syntax.Expr, contrary bool) float64 {
	switch x := x.(type) {
	case *syntax.Paren:
		return t.miss(s, r, x.X, contrary)
	case *syntax.Unary:
		if x.Op == syntax.OpNot {
			return t.miss(s, r, x.X, !contrary)
		}
	case *syntax.Name:
		if d := s.ev.prog.DeclOf(x); d != nil && d.Kind == check.Let {
			if l, is := d.Node.(*syntax.Let); is && !l.IsFunc {
				return t.miss(s, r, l.Value, contrary)
			}
		}
	case *syntax.Binary:
		if y := t.side[x]; y != nil {
			return t.miss(s, r, y, contrary)
		}
		if x.Op == syntax.OpAnd || x.Op == syntax.OpOr {
			a, b := t.miss(s, r, x.X, contrary), t.miss(s, r, x.Y, contrary)
			switch {
			case (x.Op == syntax.OpAnd) != contrary:
				return max(a, b) // NaN where either is
			case math.IsNaN(a):
				return b
			case math.IsNaN(b):
				return a
			}
			return min(a, b)
		}
		if _, is := relations[x.Op]; !is {
			break
		}
		a, b := x.X, x.Y
		if x.Op == syntax.OpGe || x.Op == syntax.OpGt {
			a, b = b, a
		}
		by := t.differ(r, x, a, b)
		switch {
		case (x.Op == syntax.OpEq) != contrary && (x.Op == syntax.OpEq || x.Op == syntax.OpNe):
			return math.Abs(by)
		case x.Op == syntax.OpEq || x.Op == syntax.OpNe:
			return apart - math.Abs(by)
		case contrary:
			return -by
		}
		return by
	case *syntax.In:
		if x.Domain.Hi != nil {
			by := max(t.differ(r, x.Domain.Lo, x.Domain.Lo, x.X), t.differ(r, x.Domain.Hi, x.X, x.Domain.Hi))
			if contrary {
				by = -by
			}
			return by
		}
	}
	return math.NaN()
}

// differ is a less b in parts of their size; key tells the comparison from others.
func (t *term) differ(r *Result, key, a, b syntax.Expr) float64 {
	p, _ := r.Eval(a)
	q, _ := r.Eval(b)
	by, size := p.Value-q.Value, max(math.Abs(p.Value), math.Abs(q.Value))
	if math.Abs(by) <= float64(equalWithin*max(1, size)) {
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

// broken tells whether a rule was found not to hold.
func broken(diags []diag.Diagnostic, r *syntax.Rule) bool {
	return slices.ContainsFunc(diags, func(d diag.Diagnostic) bool { return d.Code == "P3006" && d.Span == r.At })
}

// metal is how much of it the flats of a size take, in mm².
func metal(r *Result) float64 {
	sum := 0.0
	for _, f := range r.Flats {
		sum += math.Abs(f.Outer.Area())
	}
	return sum
}
