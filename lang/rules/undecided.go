package rules

import (
	"fmt"
	"math"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/value"
	"perch/solver"
)

// competing reports wishes that can't all be had, at the first of them.
func (s *System) competing(res solver.Result, at diag.Span) {
	d := value.Diagnostic("P3005", at, "`about` values compete: not all can be had, and none is told to yield",
		"state one of the names in the size, or drop one `about`")
	for _, id := range res.Competing {
		d.Related = append(d.Related, diag.Related{Span: s.notes[id].at, Message: s.Statement(id).Text})
		if fix := s.yield(s.notes[id].decl); fix != nil { // the last is dropped
			d.Fix = fix
		}
	}
	if len(d.Related) > 0 { // told at the first, not at the size as a whole
		d.Span, d.Label, d.Related = d.Related[0].Span, d.Related[0].Message, append(d.Related[1:], s.atSize(at)...)
	}
	s.Report(d)
}

// several lists the solutions and tells how to choose one.
func (s *System) several(res solver.Result, at diag.Span) {
	var differ []string
	var first *check.Decl
	var choice *diag.Fix
	hint := ""
	for v, i := range s.Of {
		a, b := res.Solutions[0][v], res.Solutions[1][v]
		if math.Abs(a-b) > 1e-9*max(1, math.Abs(a), math.Abs(b)) {
			name := s.Params[i].Name
			differ = append(differ, name)
			if hint == "" && s.says[i] == nil {
				hint = fmt.Sprintf("%s about %s", name, s.Read(i, a))
				choice = wishFor(s.Params[i], s.Read(i, a))
			}
			if first == nil {
				first = s.Params[i]
			}
		}
	}
	d := value.Diagnostic("P3003", at, fmt.Sprintf("%d values would do for %s, and nothing chooses", len(res.Solutions), Joined(differ, "and")), choice)
	if first != nil {
		d.Span, d.Related = first.At, s.atSize(at)
	}
	for n, sol := range res.Solutions {
		if n == maxListed {
			d.Notes = append(d.Notes, fmt.Sprintf("and %d more", len(res.Solutions)-n))
			break
		}
		d.Notes = append(d.Notes, fmt.Sprintf("possible: %s", s.describe(sol)))
	}
	how := "to choose, state one of these names, narrow its range, or say which value you are after"
	if hint != "" {
		how += ": " + hint
	}
	d.Notes = append(d.Notes, how)
	s.Report(d)
}
