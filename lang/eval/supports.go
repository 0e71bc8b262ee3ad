package eval

import (
	"perch/lang/check"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/strength"
)

// Supports are what the design's own lets name that holds the piece, in order; one of a cut
// in a part that is not made is left out.
func (m *Made) Supports() []strength.Support {
	of := map[*part]int{}
	for i, p := range m.parts {
		of[p] = i
	}
	return m.ev.supports(of)
}

// supports are those of parts with the number of their copy.
func (ev *evaluator) supports(of map[*part]int) (all []strength.Support) {
	for _, d := range ev.prog.Root.Order {
		l, isLet := d.Node.(*syntax.Let)
		if d.Kind != check.Let || !isLet || l.IsFunc || !mayHold(ev.prog.TypeOf(l.Value)) {
			continue
		}
		ev.Try(func() {
			value.EachItem(ev.declared(d, d.At), func(v value.Value) {
				if s, ok := v.(*value.Support); ok {
					all = append(all, openings(d.Name, s, of)...)
				}
			})
		})
	}
	return all
}

// mayHold tells whether a let of a type may be a support, or several.
func mayHold(t check.Type) bool {
	for t.Elem != nil {
		t = *t.Elem
	}
	return t.Kind == check.SupportKind || t.Kind == check.Any
}

// openings are each opening of a support's cuts.
func openings(name string, s *value.Support, of map[*part]int) (all []strength.Support) {
	for _, v := range s.By {
		c, ok := v.(cutRef)
		if !ok {
			continue
		}
		i, made := of[c.of.part]
		if !made {
			continue
		}
		for k := range c.region {
			all = append(all, strength.Support{Name: name, Copy: i, Frame: c.of.frame, Opening: c.region[k : k+1]})
		}
	}
	return all
}
