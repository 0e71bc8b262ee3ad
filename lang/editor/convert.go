package editor

import (
	"fmt"
	"math"
	"strings"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/parts/measure"
)

// convert writes the lengths at a place, or in a selection, in the other system of units.
// A length is written exactly where that is a fraction of an inch to 1/64 or a decimal of
// a millimetre; else to a ten-thousandth of an inch, and the title says so.
func (snap *snapshot) convert(from, to int) []rewrite {
	var all []*syntax.Literal
	syntax.InspectFile(snap.file, func(n syntax.Node) bool {
		if lit, ok := n.(*syntax.Literal); ok && int(lit.At.Start) <= to && from <= int(lit.At.End) {
			if _, length := lit.Value.System(); length {
				all = append(all, lit)
			}
		}
		return true
	})
	var out []rewrite
	for _, other := range []quantity.System{quantity.Millimetres, quantity.Inches} {
		var edits []diag.Edit
		rounded := 0
		for _, lit := range all {
			if is, _ := lit.Value.System(); is == other {
				continue
			}
			text := inSystem(lit.Value.Value, other)
			if back, err := quantity.ParseLiteral(text); err != nil || math.Abs(back.Value-lit.Value.Value) > 1e-9 {
				rounded++
			}
			edits = append(edits, diag.Edit{Span: lit.At, Text: text})
		}
		if len(edits) == 0 {
			continue
		}
		title := fmt.Sprintf("write %s in %s", measure.Counted(len(edits), "length"), other)
		if len(edits) == 1 {
			title = fmt.Sprintf("write %s as %s", edits[0].Span.Text(), edits[0].Text)
		}
		switch {
		case rounded == 1 && len(edits) == 1:
			title += ", rounded"
		case rounded > 0:
			title += fmt.Sprintf(", %d of them rounded", rounded)
		}
		out = append(out, rewrite{title, edits})
	}
	return out
}

// inSystem writes a length of mm as a literal of a system.
func inSystem(mm float64, s quantity.System) string {
	if s != quantity.Inches {
		return quantity.Decimal(mm, 6) + "mm"
	}
	text := quantity.FormatFraction(mm, 64)
	if _, decimals, _ := strings.Cut(text, "."); len(decimals) > 4 {
		text = quantity.Decimal(mm/quantity.InchMM, 4)
	}
	return text + "in"
}
