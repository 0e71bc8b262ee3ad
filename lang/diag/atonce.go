package diag

import (
	"fmt"
	"slices"
)

// maxAlso are the places that a mistake made in many names one by one.
const maxAlso = 8

// AtOnce gathers, for who reads all at once, the mistakes that say the same of one text, as
// of a name that is misspelt where it is declared: they are told at the first place, with
// the lines of the others, and its fix mends all. Warnings and what is said of one place
// alone stay as they are. ds are in order of place.
func AtOnce(ds []Diagnostic) []Diagnostic {
	type said struct{ code, summary, label, file, text string }
	first := map[said]int{}
	lines := map[int][]int{}
	var out []Diagnostic
	for _, d := range ds {
		key := said{d.Code, d.Summary, d.Label, d.Span.name(), d.Span.Text()}
		i, seen := first[key]
		if !seen || d.Severity != Error || d.Span.IsZero() || len(d.Related) > 0 || len(out[i].Related) > 0 || !slices.Equal(d.Notes, out[i].Notes) || !mendAlike(d.Fix, out[i].Fix) ||
			d.Span.Position().Line == out[i].Span.Position().Line {
			if !seen {
				first[key] = len(out)
			}
			out = append(out, d)
			continue
		}
		if line := d.Span.Position().Line; !slices.Contains(lines[i], line) {
			lines[i] = append(lines[i], line)
		}
		if d.Fix != nil {
			out[i].Fix = &Fix{out[i].Fix.Message, append(slices.Clone(out[i].Fix.Edits), d.Fix.Edits...)}
		}
	}
	for i, all := range lines {
		note := fmt.Sprintf("also in line %d", all[0])
		if len(all) > 1 {
			note = "also in lines " + fmt.Sprint(all[0])
		}
		for _, n := range all[1:min(len(all), maxAlso)] {
			note += fmt.Sprintf(", %d", n)
		}
		if more := len(all) - maxAlso; more > 0 {
			note += fmt.Sprintf(" and %d more", more)
		}
		out[i].Notes = append(slices.Clone(out[i].Notes), note)
	}
	return out
}

// mendAlike tells whether two fixes write the same, each at its own place.
func mendAlike(a, b *Fix) bool {
	if a == nil || b == nil {
		return a == b
	}
	return a.Message == b.Message
}
