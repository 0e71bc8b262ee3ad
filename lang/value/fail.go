package value

import (
	"fmt"

	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/parts/measure"
	"perch/parts/plane"
)

// Mistake is what a value that cannot be worked out panics with: whoever evaluates a
// statement recovers it and reports D. No other panic is meant to be recovered.
type Mistake struct {
	D diag.Diagnostic
	// Cause tells what kind of mistake it is to whoever decides by it: nil of most.
	Cause any
}

// NoNumber is the cause of arithmetic that comes to no number, such as a division by zero.
type NoNumber struct{}

// Unmeasurable is the cause of asking for what can't be measured, whatever the values are.
type Unmeasurable struct{}

// FailUnmeasurable unwinds because something can't be measured.
func FailUnmeasurable(at diag.Span, summary string, more ...any) {
	panic(Mistake{D: Diagnostic("P2064", at, summary, more...), Cause: Unmeasurable{}})
}

// FailSaid unwinds with a mistake whose summary has measures in it.
func FailSaid(code string, at diag.Span, summary measure.Text, more ...any) {
	panic(Mistake{D: DiagnosticSaid(code, at, summary, more...)})
}

// Fail unwinds with a mistake; more are as in Diagnostic.
func Fail(code string, at diag.Span, summary string, more ...any) {
	panic(Mistake{D: Diagnostic(code, at, summary, more...)})
}

// FailNoNumber unwinds because arithmetic comes to no number.
func FailNoNumber(at diag.Span, summary measure.Text, more ...any) {
	panic(Mistake{D: DiagnosticSaid("P2063", at, summary, more...), Cause: NoNumber{}})
}

// DiagnosticSaid builds an error whose summary has measures in it.
func DiagnosticSaid(code string, at diag.Span, summary measure.Text, more ...any) diag.Diagnostic {
	d := Diagnostic(code, at, "", more...)
	d.Say(summary)
	return d
}

// Diagnostic builds an error; more are notes (string, or measure.Text where they have
// measures in them), related places and the mend.
func Diagnostic(code string, at diag.Span, summary string, more ...any) diag.Diagnostic {
	d := diag.Diagnostic{Code: code, Severity: diag.Error, Span: at, Summary: summary}
	for _, m := range more {
		switch m := m.(type) {
		case string:
			d.Notes = append(d.Notes, m)
		case measure.Text:
			d.Note(m)
		case diag.Related:
			d.Related = append(d.Related, m)
		case *diag.Fix:
			d.Fix = m
		}
	}
	return d
}

// Bounded does work on geometry for what stands at a place; it unwinds with a mistake
// where that is so much that it was given up.
func Bounded(at diag.Span, do func()) {
	if err := plane.Within(do); err != nil {
		FailTooMuch(at, err.Error())
	}
}

// FailTooMuch unwinds because something takes too much work, which how tells.
func FailTooMuch(at diag.Span, how string) {
	Fail("P2061", at, "this takes too much work", how)
}

// Wrong unwinds because v is not what is wanted at x.
func Wrong(x syntax.Node, v Value, want string) {
	Fail("P2010", x.Span(), fmt.Sprintf("%s is wanted, this is %s", Article(want), Article(KindOf(v))))
}
