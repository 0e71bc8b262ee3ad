package check

import (
	"sort"
	"strings"

	"perch/lang/diag"
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

// suggest notes the known name nearest to a wrong one and offers it as the fix.
func (c *checker) suggest(d *diag.Diagnostic, at diag.Span, wrong string, known []string) {
	if c.searches++; c.searches > maxSearches {
		return
	}
	if best := Nearest(wrong, known); best != "" {
		note(d, "did you mean "+best+"?")
		fix(d, "write "+best, diag.Edit{Span: at, Text: best})
	}
}

// maxName is the length in bytes past which a name is not compared with others.
const maxName = 40

// Nearest is the known name with the fewest edits from wrong, at most a third
// of its length; ties go to the first in the alphabet.
func Nearest(wrong string, known []string) string {
	if wrong == "" || len(wrong) > maxName {
		return ""
	}
	names := append([]string{}, known...)
	sort.Strings(names)
	best, limit := "", max(1, len(wrong)/3)+1
	for _, k := range names {
		if len(k) > maxName || k == "" || k == wrong {
			continue
		}
		if n := edits(wrong, k); n < limit {
			best, limit = k, n
		}
	}
	return best
}

// edits is the least number of letters put in, left out, changed or swapped
// with their neighbour that makes b of a.
func edits(a, b string) int {
	before := make([]int, len(b)+1)
	prev := make([]int, len(b)+1)
	cur := make([]int, len(b)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(a); i++ {
		cur[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				cur[j] = min(cur[j], before[j-2]+1)
			}
		}
		before, prev, cur = prev, cur, before
	}
	return prev[len(b)]
}

func joined(names []string) string { return strings.Join(names, ", ") }
