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
	"perch/parts/bend"
	"perch/parts/panel"
)

// Result is one size of a design, as far as it could be built.
type Result struct {
	Size      string
	Status    string               // of the rules: unique, several, none, undetermined or unproved
	Solutions []map[string]float64 // every one found, by name, in the record's units
	Values    []panel.Value
	Assembly  *panel.Assembly // nil where there are errors
	Flats     []*panel.Flat   // by copy: its own flat, standing where the copy stands
	program   *check.Program
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
func Size(p *check.Program, name string, shop *bend.Shop, settings []Setting) (*Result, []diag.Diagnostic) {
	ev := newEvaluator(p, shop)
	ev.size = findSize(p, name)
	res := &Result{Size: name, program: p}
	var later []*syntax.Rule
	solved := ev.try(func() { res.Values, later = ev.solve(ev.size, settings) })
	res.Status, res.Solutions = ev.status, ev.solutions
	if !solved {
		return res, ev.diags
	}
	parts := ev.everything()
	e := ev.module(p.Root)
	if !ev.broken {
		joins := ev.joins()
		if !ev.broken {
			res.Assembly = ev.assemble(parts, joins)
			for _, p := range parts {
				res.Flats = append(res.Flats, p.flat)
			}
		}
	}
	for _, r := range later {
		ev.try(func() { ev.holds(r, e, "") })
	}
	if ev.broken {
		res.Assembly = nil
		return res, ev.diags
	}
	res.Assembly.Size, res.Assembly.Values = name, res.Values
	if d := p.Root.File.Design; d != nil {
		res.Assembly.Design = d.Name.Value
		if d.Revision != nil {
			res.Assembly.Revision = d.Revision.Value
		}
	}
	return res, ev.diags
}

// evaluator works one size out.
type evaluator struct {
	prog      *check.Program
	shop      *bend.Shop
	size      *syntax.Size
	top       map[*check.Decl]*binding
	modules   map[*check.Module]*env
	diags     []diag.Diagnostic
	broken    bool // something was reported
	steps     int
	depth     int
	status    string               // of the rules
	solutions []map[string]float64 // of the rules, in the record's units
}

func newEvaluator(p *check.Program, shop *bend.Shop) *evaluator {
	return &evaluator{prog: p, shop: shop, top: map[*check.Decl]*binding{}, modules: map[*check.Module]*env{}}
}

// constants is an evaluator that knows no parameter.
func (ev *evaluator) constants() *evaluator { return newEvaluator(ev.prog, ev.shop) }

// know gives a parameter its value.
func (ev *evaluator) know(d *check.Decl, v value) {
	ev.top[d] = &binding{name: d.Name, v: v, state: known, at: d.At}
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
				each(ev.declared(d, d.At), func(v value) { parts = append(parts, v.(*part)) })
			})
		}
	}
	return parts
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
