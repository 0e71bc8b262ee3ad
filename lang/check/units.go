package check

import (
	"fmt"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/parts/measure"
)

// lengthsOf counts the lengths that the design's own files state, by system.
func lengthsOf(p *Program) (n [2]int) {
	for _, m := range p.Modules {
		if !m.own {
			continue
		}
		syntax.InspectFile(m.File, func(x syntax.Node) bool {
			if l, ok := x.(*syntax.Literal); ok {
				if s, ok := l.Value.System(); ok {
					n[s]++
				}
			}
			return true
		})
	}
	return n
}

// unitsOf is the system of units that a design is written in.
func unitsOf(p *Program) quantity.System {
	if d := p.Root.File.Design; d != nil && d.Units != nil {
		if d.Units.Name == quantity.Inches.String() {
			return quantity.Inches
		}
		return quantity.Millimetres
	}
	if n := lengthsOf(p); n[quantity.Inches] > n[quantity.Millimetres] {
		return quantity.Inches
	}
	return quantity.Millimetres
}

// writtenIn is the system of units that the design is written in, worked out once.
func (c *checker) writtenIn() quantity.System {
	if c.system == nil {
		s := unitsOf(c.prog)
		c.system = &s
	}
	return *c.system
}

// Taken is a note of which units were taken for a design whose design line names none;
// ok is false where it does, and for what is no design.
func (p *Program) Taken() (note diag.Diagnostic, ok bool) {
	line := p.Root.File.Design
	if line == nil || line.Units != nil {
		return diag.Diagnostic{}, false
	}
	n := lengthsOf(p)
	why := fmt.Sprintf("%d of its %d lengths are", n[p.Units], n[0]+n[1])
	switch {
	case n[0]+n[1] == 0:
		why = "it states no length"
	case n[p.Units] == n[0]+n[1]:
		why = "all lengths that it states are"
	case n[0] == n[1]:
		why = "as many of its lengths are in inches"
	}
	return diag.Diagnostic{
		Code: "P2070", Severity: diag.Note, Span: line.Name.At, Summary: fmt.Sprintf("read as a design in %s: %s", p.Units, why),
		Fix: &diag.Fix{Message: fmt.Sprintf("write in %s behind the name", p.Units), Edits: []diag.Edit{{Span: line.Name.At.After(), Text: " in " + p.Units.String()}}},
	}, true
}

// mixedSum warns of a sum in which lengths are written in two systems: 12mm + 1/2in. It is
// sound, but somebody has to reckon in two systems to read it, and as often one of the
// units is a slip. A sum is told of once, where the second system comes in.
func (c *checker) mixedSum(e *syntax.Binary) {
	var left, right [2]*syntax.Literal
	summands(e.X, &left)
	summands(e.Y, &right)
	if left[0] == nil && right[0] == nil || left[1] == nil && right[1] == nil {
		return // of one system, as nearly all are: which the design is written in is not asked for
	}
	in := c.writtenIn()
	other := 1 - in
	a, b := left[in], right[other]
	if a == nil || b == nil {
		a, b = right[in], left[other]
	}
	if a == nil || b == nil || left[0] != nil && left[1] != nil || right[0] != nil && right[1] != nil {
		return
	}
	text := quantity.Format(b.Value.Value, quantity.Length, in)
	d := c.report("P2071", b.At, fmt.Sprintf("one sum is written in two systems of units: %s and %s", a.Value.Spelling, b.Value.Spelling), "not in "+in.String())
	d.Severity = diag.Warning
	c.reported-- // the sum is sound
	also(d, a.At, "the design is written in "+in.String())
	note(d, fmt.Sprintf("%s is %s", b.Value.Spelling, text))
	fix(d, "write "+text, diag.Edit{Span: b.At, Text: text})
}

// summands finds the first length of each system that a sum has among its summands.
func summands(e syntax.Expr, found *[2]*syntax.Literal) {
	switch x := strip(e).(type) {
	case *syntax.Binary:
		if x.Op == syntax.OpAdd || x.Op == syntax.OpSub {
			summands(x.X, found)
			summands(x.Y, found)
		}
	case *syntax.Unary:
		summands(x.X, found)
	case *syntax.Literal:
		if s, ok := x.Value.System(); ok && found[s] == nil {
			found[s] = x
		}
	}
}

// rangeText is a range as it is written; one of lengths that is written in the other system,
// as of a library's panel, in the design's own, as near as can be measured.
func (c *checker) rangeText(dom *syntax.Domain) string {
	lo, oklo := constant(dom.Lo)
	hi, okhi := constant(dom.Hi)
	in := c.writtenIn()
	var found [2]*syntax.Literal
	summands(dom.Lo, &found)
	summands(dom.Hi, &found)
	if found[1-in] == nil || !oklo || !okhi {
		return dom.At.Text()
	}
	return measure.Say("%#.2f%[3]s..%#.2[2]f%[3]s", measure.Length(lo.Value), measure.Length(hi.Value), in.Unit()).In(in)
}
