package eval

import (
	"errors"
	"fmt"
	"slices"

	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/join"
	"perch/parts/measure"
)

// nearest is why the sheets of a face touch no choice of the others: the reason that is
// closest to touching.
func (ev *evaluator) nearest(others [][]sheet, sheets []sheet) *join.ContactError {
	var best *join.ContactError
	for _, a := range sheets {
		ev.stacks(others, append(make([]sheet, 0, 1+len(others)), a), func(stack []sheet) {
			_, err := join.Contact(joinMembers(stack), 0)
			var apart *join.ContactError
			if errors.As(err, &apart) && (best == nil || nearer(apart, best)) {
				best = apart
			}
		})
	}
	return best
}

// nearer tells which of two reasons not to touch is closer to touching.
func nearer(a, b *join.ContactError) bool {
	if (a.Reason == join.NotParallel) != (b.Reason == join.NotParallel) {
		return b.Reason == join.NotParallel
	}
	return a.Got < b.Got
}

// touchesNothing reports that no sheet of a face of the first member touches any of the
// others.
func (ev *evaluator) touchesNothing(s *syntax.Join, f join.Fastener, a *face, others [][]sheet, sheets []sheet, rest []string) {
	d := value.Diagnostic("P5001", s.Members[0].Span(), fmt.Sprintf("%s.%s touches nothing that it is to be joined to", a.part.name, a.name))
	if f.Kind == join.Tack || f.Kind == join.Weld {
		if m, gap, ok := nearestEdge(sheets, others); ok {
			d.Note(measure.Say("the nearest: %s and %s are %.3g apart; an edge is welded to what lies within %.3g, half of the thinner sheet",
				m[0].Name(), m[1].Name(), measure.Length(gap), measure.Length(join.Reach(m[0], m[1]))))
		}
	} else if why := ev.nearest(others, sheets); why != nil {
		d.Note(measure.Say("the nearest: %s", why.Told()))
		if mend := mendOf(why); len(rest) == 0 && !mend.Empty() {
			d.Note(mend)
		}
	}
	if len(rest) > 0 {
		d.Notes = append(d.Notes, "of what stands there "+few(rest)+" touch: name those alone")
	}
	d.Part = a.part.name
	panic(value.Mistake{D: d})
}

// mendOf says what would let two faces touch.
func mendOf(why *join.ContactError) measure.Text {
	switch why.Reason {
	case join.Apart, join.Inside:
		return measure.Say("move one of them by %.4g square to its face, or draw it on the other: `on %s.over` and `on %s.under` touch that", measure.Length(why.Got), why.B, why.B)
	case join.Beside:
		return measure.Say("let one reach over the other: it lacks %.4g to its edge, and the fastener's room beyond", measure.Length(why.Got))
	case join.NotParallel:
		return measure.Plain("what is joined lies flat on each other: bend a tab off one of them, or turn it")
	}
	return measure.Text{}
}

// touching names the first member's faces that do touch what they are to be joined to.
func (ev *evaluator) touching(members [][]sheet, touched map[*face]bool) []string {
	var out []string
	for _, a := range members[0] {
		ok := touched[a.of]
		if !ok {
			ev.stacks(members[1:], append(make([]sheet, 0, len(members)), a), func(stack []sheet) {
				if _, lies := ev.patch(stack); lies {
					ok = true
				}
			})
		}
		if name := a.of.part.name + "." + a.of.name; ok && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}
