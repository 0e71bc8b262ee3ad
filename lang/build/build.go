// Package build brings a checked design to one of its sizes: it has the rules read and
// solved, looks for the values that only building tells, and evaluates the size with them.
package build

import (
	"slices"
	"strings"
	"sync"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/eval"
	"perch/lang/rules"
	"perch/lang/syntax"
	"perch/parts/brake"
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
	Made      *eval.Made      // what it came to; nil where there are errors
	Choice    *Choice         // of the name that is to be largest or smallest
	Fits      []Fit           // of free names, to rules on measured results
	program   *check.Program
	sys       *rules.System // nil where the rules could not be read
	solved    solver.Result // of sys
	ev        *eval.Evaluator
	unmet     []*syntax.Rule // those that do not hold and are not reported yet
	faults    []eval.Fault   // but for those of sys and ev
	stands    bool           // sys was solved, every param has its value
	made      bool           // as far as it goes; by a search, along with its values
	bending   sync.Once      // of bends
	bends     []*brake.Plan  // by blank
	trying    sync.Once      // of tried
	tried     []*brake.Plan  // by blank: any that works
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

// Size builds one size of a program without errors. Settings are stronger than
// the size's own statements.
func Size(p *check.Program, name string, sh *shop.Shop, settings []Setting) (*Result, []diag.Diagnostic) {
	r := trial(p, name, sh, settings)
	r.reportUnmet()
	return r, r.diagnostics()
}

// Solve works out the values of one size and makes nothing, so rules on measured
// results are not looked at; but a name that is to be largest or smallest is
// chosen with them, a free one fitted to them, and then the whole size is there.
func Solve(p *check.Program, name string, sh *shop.Shop, settings []Setting) (*Result, []diag.Diagnostic) {
	r := solve(p, name, sh, settings)
	r.reportUnmet()
	return r, r.diagnostics()
}

// trial builds a size; the rules that do not hold are known and not reported.
func trial(p *check.Program, name string, sh *shop.Shop, settings []Setting) *Result {
	r := solve(p, name, sh, settings)
	if r.stands && !r.made {
		r.make(r.sys.Later)
	}
	return r
}

// solve works out the values of one size.
func solve(p *check.Program, name string, sh *shop.Shop, settings []Setting) *Result {
	size := rules.FindSize(p, name)
	sys, faults := rules.Read(p, sh, size, settings)
	r := &Result{Size: name, program: p, sys: sys, faults: faults}
	if sys == nil {
		return r
	}
	b := &builder{sys: sys, size: name, shop: sh, settings: settings}
	w := b.wish()
	if w != nil {
		return b.choose(w, r)
	}
	if sys.Broken() {
		return r
	}
	r.solved = sys.Solver.Solve()
	if f := b.fitting(r.solved, nil); f != nil {
		return f.result(r)
	}
	r.Status = rules.StatusWord(r.solved.Status)
	for _, s := range r.solved.Solutions {
		r.Solutions = append(r.Solutions, sys.Named(s))
	}
	if sys.Judge(r.solved) {
		r.stand(sh)
		if names := sys.Unproved(r.solved); names != nil {
			sys.Report(sys.UnprovedNote(names))
		}
	}
	return r
}

// stand gives every param the value that was solved.
func (r *Result) stand(sh *shop.Shop) {
	r.ev = eval.New(r.program, sh, r.sys.Size)
	r.sys.Give(r.ev, r.solved.Values)
	r.Values = r.sys.Recorded(r.solved)
	r.stands = true
}

// make builds the solved size and holds it to rules on what was made.
func (r *Result) make(later []*syntax.Rule) {
	r.made = true
	made := r.ev.Make()
	for _, rule := range later {
		r.hold(rule)
	}
	if made == nil {
		return
	}
	r.Flats = made.Flats
	if r.ev.Broken() || r.unmet != nil {
		return
	}
	r.Assembly, r.Made = made.Assembly, made
	r.Assembly.Size, r.Assembly.Values = r.Size, r.Values
	if d := r.program.Root.File.Design; d != nil {
		r.Assembly.Design = d.Name.Value
		if d.Revision != nil {
			r.Assembly.Revision = d.Revision.Value
		}
	}
}

// hold holds the size to a rule, and tells whether it does.
func (r *Result) hold(rule *syntax.Rule) bool {
	holds, ok := r.ev.Holds(rule)
	if ok && !holds {
		r.unmet = append(r.unmet, rule)
	}
	return ok && holds
}

// holds tells whether the size was built and nothing is wrong with it.
func (r *Result) holds() bool {
	return r != nil && r.Assembly != nil && r.unmet == nil && !r.broken()
}

// broken tells whether anything was reported that keeps the size from being built.
func (r *Result) broken() bool {
	return slices.ContainsFunc(r.Faults(), func(f eval.Fault) bool { return f.Severity == diag.Error })
}

// reportUnmet reports the rules that do not hold, with their numbers.
func (r *Result) reportUnmet() {
	for _, rule := range r.unmet {
		r.ev.ReportUnmet(rule)
	}
	r.unmet = nil
}

// Faults are what was found wrong at a size, and what is noted of it.
func (r *Result) Faults() []eval.Fault {
	var out []eval.Fault
	if r.sys != nil {
		out = append(out, r.sys.Faults()...)
	}
	if r.ev != nil {
		out = append(out, r.ev.Faults()...)
	}
	return append(out, r.faults...)
}

func (r *Result) diagnostics() []diag.Diagnostic {
	return eval.Diagnostics(r.Faults(), r.Program().Shown)
}

// note adds a note to what is told of a size.
func (r *Result) note(d diag.Diagnostic) {
	d.Severity = diag.Note
	r.faults = append(r.faults, eval.Fault{Diagnostic: d})
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
