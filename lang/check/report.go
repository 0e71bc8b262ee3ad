package check

import (
	"strings"

	"perch/lang/diag"
	"perch/parts/spelling"
)

// report adds an error; the caller may add to what it returns.
func (c *checker) report(code string, at diag.Span, summary, label string) *diag.Diagnostic {
	d := &diag.Diagnostic{Code: code, Severity: diag.Error, Span: at, Summary: summary, Label: label}
	c.diags = append(c.diags, d)
	c.reported++
	c.tells()
	return d
}

func note(d *diag.Diagnostic, text string) { d.Notes = append(d.Notes, text) }

func also(d *diag.Diagnostic, at diag.Span, message string) {
	if !at.IsZero() {
		d.Related = append(d.Related, diag.Related{Span: at, Message: message})
	}
}

func fix(d *diag.Diagnostic, message string, edits ...diag.Edit) {
	d.Fix = &diag.Fix{Message: message, Edits: edits}
}

// maxSearches caps the near-name searches of one run, which cost the most on
// text that has nothing to do with perch.
const maxSearches = 200

// suggest notes the known name nearest to a wrong one, offers it as the fix and
// returns it; "" where none is near.
func (c *checker) suggest(d *diag.Diagnostic, at diag.Span, wrong string, known []string) string {
	if c.searches++; c.searches > maxSearches {
		return ""
	}
	best := spelling.Nearest(wrong, known)
	for _, name := range [2]string{wrong, best} {
		for _, text := range spelling.Strangers(name) {
			note(d, text)
		}
	}
	if best != "" {
		note(d, "did you mean "+best+"?")
		fix(d, "write "+best, diag.Edit{Span: at, Text: best})
	}
	return best
}

func joined(names []string) string { return strings.Join(names, ", ") }
