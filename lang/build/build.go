// Package build brings a checked design to one of its sizes: it has the rules
// solved, evaluates bodies, panels and joins with the values found, and hands
// back the flat parts and where they stand. It is the only room that knows both
// the language and the geometry; it reads no files and writes none.
package build

import (
	"strings"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/panel"
	"perch/parts/shop"
	"perch/solver"
)

// Result is one size of a design, as far as it could be built.
type Result struct {
	Size      string
	Status    string               // of the rules: unique, several, none, undetermined or unproved
	Solutions []map[string]float64 // every one found, by name, in the record's units
	Values    []panel.Value
	Assembly  *panel.Assembly // nil where there are errors
	Flats     []*panel.Flat   // by copy: its own flat, standing where the copy stands
	Choice    *Choice         // of the name that is to be largest or smallest
	Fits      []Fit           // of free names, to rules on measured results
	program   *check.Program
	sys       *system       // nil where the rules could not be read
	solved    solver.Result // of sys
	stands    bool          // sys was solved, every param has its value
	made      bool          // as far as it goes; by a search, along with its values
}

// Sizes lists the sizes of a design in the order written; a design without size
// lines has one, called only.
func Sizes(p *check.Program) []string {
	var out []string
	for _, s := range p.Root.File.Stmts {
		if s, ok := s.(*syntax.Size); ok {
			out = append(out, s.Name.Name)
		}
	}
	if out == nil {
		return []string{"only"}
	}
	return out
}

func findSize(p *check.Program, name string) *syntax.Size {
	for _, s := range p.Root.File.Stmts {
		if s, ok := s.(*syntax.Size); ok && s.Name.Name == name {
			return s
		}
	}
	return nil
}

// Size builds one size of a program without errors. Settings are stronger than
// the size's own statements.
func Size(p *check.Program, name string, shop *shop.Shop, settings []Setting) (*Result, []diag.Diagnostic) {
	return size(p, name, shop, settings, false)
}

// size is Size; of a trial only whether all holds is asked.
func size(p *check.Program, name string, shop *shop.Shop, settings []Setting, trial bool) (*Result, []diag.Diagnostic) {
	r, diags := Solve(p, name, shop, settings)
	if !r.stands || r.made {
		return r, diags
	}
	r.sys.ev.trial = trial
	return r.make()
}

// Solve works out the values of one size and makes nothing, so rules on measured
// results are not looked at; but a name that is to be largest or smallest is
// chosen with them, a free one fitted to them, and then the whole size is there.
func Solve(p *check.Program, name string, shop *shop.Shop, settings []Setting) (*Result, []diag.Diagnostic) {
	ev := newEvaluator(p, shop)
	ev.size = findSize(p, name)
	res := &Result{Size: name, program: p}
	if !ev.try(func() { res.sys = ev.prepare(ev.size, settings) }) {
		return res, ev.diags
	}
	if w := res.sys.wish(); w != nil {
		return res.sys.choose(w, res, settings)
	}
	if ev.broken {
		return res, ev.diags
	}
	res.solved = res.sys.sys.Solve()
	if f := res.sys.fitting(res.solved, nil, settings); f != nil {
		r, diags, _ := f.fit(res)
		return r, diags
	}
	res.answer()
	return res, ev.diags
}

// answer gives every parameter its value as it was solved, or reports why it can't.
func (r *Result) answer() {
	s := r.sys
	r.Status = statusWords[r.solved.Status]
	for _, sol := range r.solved.Solutions {
		r.Solutions = append(r.Solutions, s.named(sol))
	}
	if s.judge(r.solved) {
		r.Values = s.take(r.solved)
		r.stands = true
		if names := r.Unproved(); names != nil {
			s.ev.report(s.unproved(names))
		}
	}
}

// make builds the solved size.
func (r *Result) make() (*Result, []diag.Diagnostic) {
	r.made = true
	ev, p := r.sys.ev, r.program
	parts := ev.everything()
	if !ev.broken {
		joins := ev.joins()
		ev.forget()
		if !ev.broken {
			r.Assembly = ev.assemble(parts, joins)
			clear(ev.gaps)
			for _, p := range parts {
				r.Flats = append(r.Flats, p.flat)
			}
		}
	}
	for _, rule := range r.sys.later {
		if ev.uncount && r.sys.counts(rule.Cond) {
			continue
		}
		ev.try(func() { ev.holds(rule, &env{}, "") })
	}
	if ev.broken {
		r.Assembly = nil
		return r, ev.diags
	}
	r.Assembly.Size, r.Assembly.Values = r.Size, r.Values
	if d := p.Root.File.Design; d != nil {
		r.Assembly.Design = d.Name.Value
		if d.Revision != nil {
			r.Assembly.Revision = d.Revision.Value
		}
	}
	return r, ev.diags
}

// check looks at a rule of a size that was made, and returns all that was found of it.
func (r *Result) check(rule *syntax.Rule) []diag.Diagnostic {
	ev := r.sys.ev
	ev.try(func() { ev.holds(rule, &env{}, "") })
	return ev.diags
}

// evaluator works one size out.
type evaluator struct {
	prog     *check.Program
	shop     *shop.Shop
	size     *syntax.Size
	top      map[*check.Decl]*binding
	unfolded map[*syntax.Panel][]*panel.Flat // shapes that were unfolded already
	patterns []pattern                       // places that were worked out already
	diags    []diag.Diagnostic
	broken   bool            // something was reported
	nested   map[string]int  // sheets that were counted already, by stock
	trial    bool            // whether all holds is asked, not by how much it does not
	uncount  bool            // rules on how many sheets it takes are not looked at
	gaps     map[gap]float64 // clearances that were worked out already
	lacks    []lack          // what joins found too little room for
	early    bool            // every param has its value only later: nothing can be measured
	measured int             // calls of functions that measure
	steps    int
	depth    int
}

func newEvaluator(p *check.Program, shop *shop.Shop) *evaluator {
	return &evaluator{prog: p, shop: shop, top: map[*check.Decl]*binding{}, unfolded: map[*syntax.Panel][]*panel.Flat{}, nested: map[string]int{}, gaps: map[gap]float64{}}
}

// constants is an evaluator that knows no parameter and measures nothing.
func (ev *evaluator) constants() *evaluator {
	c := newEvaluator(ev.prog, ev.shop)
	c.early = true
	return c
}

// know gives a parameter its value.
func (ev *evaluator) know(d *check.Decl, v value.Value) {
	ev.top[d] = &binding{decl: d, v: v, state: known, at: d.At}
}

// sizeAt is the size's line, or the design's where it has none.
func (ev *evaluator) sizeAt() diag.Span {
	switch {
	case ev.size != nil:
		return ev.size.At
	case ev.prog.Root.File.Design != nil:
		return ev.prog.Root.File.Design.At
	}
	return diag.Span{}
}

// everything evaluates all statements of the design and returns its parts.
func (ev *evaluator) everything() []*part {
	var parts []*part
	for _, d := range ev.prog.Root.Order {
		l, isLet := d.Node.(*syntax.Let)
		switch {
		case d.Kind == check.Stock, d.Kind == check.Body, isLet && !l.IsFunc && d.Kind == check.Let:
			ev.try(func() { ev.declared(d, d.At) })
		case d.Kind == check.Part:
			ev.try(func() {
				value.Each(ev.declared(d, d.At), func(v value.Value) { parts = append(parts, v.(*part)) })
			})
		}
	}
	return parts
}

// forget drops what was measured of parts before these had the holes of their joins.
func (ev *evaluator) forget() {
	clear(ev.nested)
	clear(ev.gaps)
	for _, d := range ev.prog.Root.Order {
		if b := ev.top[d]; b != nil && b.measured && d.Kind == check.Let {
			delete(ev.top, d)
		}
	}
}

// Place is where the part of a copy's or blank's name is stated; the zero Span
// for a name that is none.
func (r *Result) Place(name string) diag.Span {
	base, _, _ := strings.Cut(name, ".")
	for _, s := range r.program.Root.File.Stmts {
		if p, ok := s.(*syntax.Part); ok && p.Name.Name == base {
			return p.Name.At
		}
	}
	return diag.Span{}
}
