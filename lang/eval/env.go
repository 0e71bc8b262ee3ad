package eval

import (
	"fmt"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
)

// env holds what a handful of declarations came to, then those around it. Which
// declaration a name means was settled by the checker: nothing here goes by a
// name's text.
type env struct {
	up     *env
	room   []binding   // never grown beyond what it was made for: bindings are pointed to
	filled [][]binding // rooms that were too small
}

// binding is a declaration whose value may still have to be worked out.
type binding struct {
	decl  *check.Decl
	v     value.Value
	work  func() value.Value // nil when v is known
	at    diag.Span
	says  source // what states it, where that is an expression
	state workState
	// measured tells that the work measured what was made
	measured bool
}

// source is an expression with the scope that it stands in.
type source struct {
	by syntax.Expr
	in *env
}

type workState uint8

const (
	known workState = iota
	waiting
	working
	failed
)

// child is a scope within e, with room for n declarations and more.
func (e *env) child(n int) *env {
	in := &env{up: e}
	if n > 0 {
		in.room = make([]binding, 0, n)
	}
	return in
}

func (e *env) set(d *check.Decl, v value.Value) {
	*e.add() = binding{decl: d, v: v}
}

func (e *env) later(d *check.Decl, at diag.Span, work func() value.Value) *binding {
	b := e.add()
	*b = binding{decl: d, work: work, state: waiting, at: at}
	return b
}

// add makes room for one binding more.
func (e *env) add() *binding {
	n := len(e.room)
	if n == cap(e.room) {
		if n > 0 {
			e.filled = append(e.filled, e.room)
		}
		e.room, n = make([]binding, 0, 2*n+1), 0
	}
	e.room = e.room[:n+1]
	return &e.room[n]
}

// find returns the binding of a declaration; nil for one at the top of a text.
func (e *env) find(d *check.Decl) *binding {
	for s := e; s != nil; s = s.up {
		if b := among(s.room, d); b != nil {
			return b
		}
		for _, r := range s.filled {
			if b := among(r, d); b != nil {
				return b
			}
		}
	}
	return nil
}

// among returns the binding of a declaration among some; nil where it is not there.
func among(room []binding, d *check.Decl) *binding {
	for i := range room {
		if room[i].decl == d {
			return &room[i]
		}
	}
	return nil
}

// value works the binding out once; a name that needs itself is an error at the
// place that closed the circle.
func (b *binding) value(ev *evaluator, at diag.Span) value.Value {
	switch b.state {
	case known:
		if b.measured { // so is what asks for it
			ev.measured++
		}
		return b.v
	case failed:
		panic(silent{})
	case working:
		b.state = failed
		ev.needsItself(b.decl.Name, at, diag.Related{Span: b.at, Message: "its own value is asked for while it is worked out"})
	}
	b.state = working
	defer ev.under(b.decl.Name)()
	defer func() {
		if b.state == working {
			b.state = failed
		}
	}()
	before := ev.measured
	b.v = b.work()
	b.state, b.measured = known, ev.measured > before
	return b.v
}

// step counts work: past the budget a design is refused, the same on every
// machine.
func (ev *evaluator) step(at diag.Span) {
	if ev.steps++; ev.steps > ev.look {
		ev.lookUp(at)
	}
}

// lookUp asks, now and then, whether to go on.
func (ev *evaluator) lookUp(at diag.Span) {
	if stopped := ev.prog.Stopped; stopped != nil && stopped() {
		ev.look = ev.steps // so that what comes next is given up as well
		ev.fail("P2061", at, "working this out was stopped")
	}
	if ev.look = min(ev.steps+lookEvery, maxSteps); ev.steps <= maxSteps {
		return
	}
	ev.fail("P2061", at, "this size takes too much work to evaluate",
		fmt.Sprintf("more than %d steps: are there too many copies?", maxSteps))
}

const (
	lookEvery = 4096       // steps between two looks up
	maxSteps  = 20_000_000 // expressions evaluated in one size
	maxDepth  = 200        // calls within calls
	maxCopies = 20_000     // copies of one statement
)

// domain returns the values of an index's domain: a count range, a list or the
// members of a family.
func (ev *evaluator) domain(d *syntax.Domain, e *env) []value.Value {
	lo := ev.eval(d.Lo, e)
	if d.Hi == nil {
		switch v := lo.(type) {
		case *value.List:
			out := make([]value.Value, len(v.Items))
			for i, it := range v.Items {
				out[i] = it.V
			}
			return out
		case *value.Family:
			var out []value.Value
			value.EachItem(v, func(m value.Value) { out = append(out, m) })
			return out
		}
		return []value.Value{lo}
	}
	a, b := ev.count(lo, d.Lo), ev.count(ev.eval(d.Hi, e), d.Hi)
	if b-a > maxCopies {
		ev.fail("P2061", d.At, "too many copies", fmt.Sprintf("%d..%d is more than %d", a, b, maxCopies))
	}
	var out []value.Value
	for i := a; i <= b; i++ {
		out = append(out, value.Number{V: float64(i), Whole: true})
	}
	return out
}
