// Package eval works out one size of a checked design: with the values of its params
// it evaluates expressions, bodies, panels and joins, and hands back the flat parts and
// where they stand. It looks for no values, and knows nothing of a search.
package eval

import (
	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/joining"
	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/tolerance"
)

// Evaluator works one size out.
type Evaluator = evaluator

// Env is a scope in which expressions are worked out; a fresh one is the top of a text.
type Env = env

type evaluator struct {
	metals map[*part]*joining.Metal // of parts whose fasteners were looked at
	Reports
	prog     *check.Program
	shop     *shop.Shop
	size     *syntax.Size // nil of a design without sizes
	top      map[*check.Decl]*binding
	unfolded map[*syntax.Panel][]*panel.Flat // shapes that were unfolded already
	patterns []pattern                       // places that were worked out already
	nested   map[string]int                  // sheets that were counted already, by stock
	unbent   map[*panel.Flat]int             // folds that the brake leaves unbent, by flat
	gaps     map[gap]float64                 // clearances that were worked out already
	carries  map[string]builtin.Carried      // what loads came to already, by what they are
	settled  bool                            // every param has its value: before that nothing can be measured
	calls    Memory[called]                  // what functions of the design came to
	outside  map[*check.Decl]stage           // the file's cuts and marks in faces: whether their faces are found
	works    map[*face][]worked              // they, by face
	through  []worked                        // those that go through to what lies behind
	making   []string                        // what is being made, for circles
	measured int                             // calls of functions that measure
	steps    int
	look     int // the step after which somebody may have stopped this
	depth    int
}

// New is an evaluator that knows no param: it works out constants alone.
func New(p *check.Program, s *shop.Shop, size *syntax.Size) *Evaluator {
	return &evaluator{prog: p, shop: s, size: size, top: map[*check.Decl]*binding{}, unfolded: map[*syntax.Panel][]*panel.Flat{}, nested: map[string]int{}, unbent: map[*panel.Flat]int{}, gaps: map[gap]float64{}, carries: map[string]builtin.Carried{}, outside: map[*check.Decl]stage{}, works: map[*face][]worked{}}
}

// Constants is another evaluator of the same design that knows no param.
func (ev *evaluator) Constants() *Evaluator { return New(ev.prog, ev.shop, nil) }

// Know gives a param its value.
func (ev *evaluator) Know(d *check.Decl, v value.Value) {
	ev.top[d] = &binding{decl: d, v: v, state: known, at: d.At}
}

// Settle tells that every param has its value, so that what is made can be measured.
func (ev *evaluator) Settle() { ev.settled = true }

// Made is what a size came to.
type Made struct {
	Assembly *panel.Assembly
	Misfits  *tolerance.Misfits
	Flats    []*panel.Flat // by copy: its own flat, standing where the copy stands
	parts    []*part       // by copy
	ev       *evaluator
}

// Make evaluates all statements of the design; nil where anything was reported.
func (ev *evaluator) Make() *Made {
	parts := ev.everything()
	if !ev.broken {
		ev.grounded(parts)
	}
	if ev.broken {
		return nil
	}
	joins := ev.joins(parts)
	ev.forget()
	if ev.broken {
		return nil
	}
	m := &Made{parts: parts, ev: ev}
	m.Assembly, m.Misfits = ev.assemble(parts, joins)
	clear(ev.gaps)
	for _, p := range parts {
		m.Flats = append(m.Flats, p.flattened)
	}
	return m
}

// everything evaluates all statements of the design and returns its parts.
func (ev *evaluator) everything() []*part {
	var parts []*part
	for _, d := range ev.prog.Root.Order {
		l, isLet := d.Node.(*syntax.Let)
		switch {
		case d.Kind == check.Stock, d.Kind == check.Body, isLet && !l.IsFunc && d.Kind == check.Let:
			ev.Try(func() { ev.declared(d, d.At) })
		case d.Kind == check.Part:
			ev.Try(func() {
				value.Each(ev.declared(d, d.At), func(v value.Value) { parts = append(parts, v.(*part)) })
			})
		}
	}
	for _, p := range parts {
		ev.Try(func() { ev.flat(p, p.stmt.At) })
	}
	for _, d := range ev.prog.Root.Order { // those in no part that is made
		if d.Kind == check.Cut || d.Kind == check.Mark {
			ev.Try(func() { ev.workOut(d) })
		}
	}
	if !ev.broken {
		ev.missed()
	}
	return parts
}

// forget drops what was measured of parts before these had the holes of their joins.
func (ev *evaluator) forget() {
	clear(ev.nested)
	clear(ev.gaps)
	ev.calls = Memory[called]{}
	for _, d := range ev.prog.Root.Order {
		if b := ev.top[d]; b != nil && b.measured && d.Kind == check.Let {
			delete(ev.top, d)
		}
	}
}

// Eval works an expression out in a scope, unwinding where it can't be.
func (ev *evaluator) Eval(x syntax.Expr, e *Env) value.Value { return ev.eval(x, e) }

// Spend counts work that is done for what stands at a place, in steps; past the budget it
// unwinds.
func (ev *evaluator) Spend(at diag.Span, steps int) {
	if ev.steps += steps; ev.steps > ev.look {
		ev.lookUp(at)
	}
}

// Domain is what an index runs over; nothing where that can't be worked out.
func (ev *evaluator) Domain(d *syntax.Domain, e *Env) (all []value.Value) {
	defer recovered(func() { all = nil })
	return ev.domain(d, e)
}

// Quietly works an expression out and tells whether it could, without a report.
func (ev *evaluator) Quietly(x syntax.Expr, e *Env) (v value.Value, ok bool) {
	defer recovered(func() { ok = false })
	return ev.eval(x, e), true
}

// Mistake works an expression out and returns what was wrong, nil where it could be or
// where its mistake is reported already.
func (ev *evaluator) Mistake(x syntax.Expr, e *Env) (m *value.Mistake) {
	defer func() {
		switch r := recover().(type) {
		case nil, silent:
		case value.Mistake:
			m = &r
		default:
			panic(r)
		}
	}()
	ev.eval(x, e)
	return nil
}

// Number works out an expression of the design's file that is a number, with what was
// wrong where it can't be; ok is false there.
func (ev *evaluator) Number(x syntax.Expr) (n value.Number, faults []Fault, ok bool) {
	outer := ev.faults
	ev.faults = nil
	ok = ev.Try(func() { n = ev.number(x, &env{}) })
	faults, ev.faults = ev.faults, outer
	return n, faults, ok
}

// Set gives a declaration of a scope its value.
func (e *env) Set(d *check.Decl, v value.Value) { e.set(d, v) }

// Find is what a declaration below the top of a text stands for, as far as it was set; ok is
// false where no such scope has it.
func (e *env) Find(d *check.Decl) (v value.Value, ok bool) {
	if b := e.find(d); b != nil {
		return b.v, true
	}
	return nil, false
}
