package eval

import (
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/join"
	"perch/parts/measure"
)

// Fault is something that was found wrong at a size. What decides by it goes by its
// cause, never by its words or code.
type Fault struct {
	diag.Diagnostic
	// Cause is nil of most; Unmet, Shortfall or Unmeasurable of those by which a search
	// goes, value.NoNumber of arithmetic that comes to none, rules.Conflict of statements
	// that can't all hold.
	Cause any
}

type (
	// Unmet is a rule that does not hold.
	Unmet struct{ Rule *syntax.Rule }
	// Shortfall is a join that found too little room, by a number.
	Shortfall struct {
		Of *syntax.Join
		join.PatternError
	}
	// Unmeasurable tells that a rule asks for what can't be measured, whatever the values
	// are.
	Unmeasurable = value.Unmeasurable
)

// By is the part of what is needed that is lacking.
func (s Shortfall) By() float64 { return (s.Need - s.Got) / s.Need }

// silent unwinds an evaluation whose mistake is already reported.
type silent struct{}

// recovered recovers a mistake, and runs do where there was one.
func recovered(do func()) {
	switch r := recover().(type) {
	case nil:
	case silent, value.Mistake:
		do()
	default:
		panic(r)
	}
}

// fail reports a mistake and unwinds to the statement that Try guards.
func (ev *evaluator) fail(code string, at diag.Span, summary string, more ...any) {
	value.Fail(code, at, summary, more...)
}

// says is a sentence with measures in it, for whoever reads of the design.
func (ev *evaluator) says(format string, args ...any) string {
	return measure.Say(format, args...).In(ev.prog.Shown)
}

// Reports collects what is found wrong.
type Reports struct {
	faults []Fault
	broken bool // an error was reported
}

// Try runs do and collects its mistake, if any; ok tells that there was none.
func (r *Reports) Try(do func()) (ok bool) {
	defer func() {
		switch m := recover().(type) {
		case nil:
		case silent:
			ok, r.broken = false, true
		case value.Mistake:
			ok, r.broken = false, true
			r.report(Fault{m.D, m.Cause})
		default:
			panic(m)
		}
	}()
	do()
	return true
}

// Report collects a diagnostic.
func (r *Reports) Report(d diag.Diagnostic) { r.report(Fault{Diagnostic: d}) }

// ReportFault collects a fault with its cause.
func (r *Reports) ReportFault(f Fault) { r.report(f) }

// report collects a fault; the copies of one statement report the same mistake once.
func (r *Reports) report(f Fault) {
	if f.Severity == diag.Error {
		r.broken = true
	}
	for i := range r.faults {
		if o := &r.faults[i]; f.SameMistake(&o.Diagnostic) && (o.Summary == f.Summary || f.Severity == diag.Error) {
			return
		}
	}
	r.faults = append(r.faults, f)
}

// Broken tells whether an error was reported.
func (r *Reports) Broken() bool { return r.broken }

// Faults are what was found wrong.
func (r *Reports) Faults() []Fault { return r.faults }

// Diagnostics are faults in words, for a reader of a system of units.
func Diagnostics(faults []Fault, in measure.System) []diag.Diagnostic {
	var out []diag.Diagnostic
	for _, f := range faults {
		out = append(out, f.Diagnostic.In(in))
	}
	return out
}
