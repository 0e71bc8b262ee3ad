package diag

import (
	"cmp"
	"slices"
)

// String is the severity's word, as printed and as written in JSON.
func (s Severity) String() string {
	switch s {
	case Error:
		return "error"
	case Warning:
		return "warning"
	}
	return "note"
}

// HasErrors reports whether any of ds stops a build.
func HasErrors(ds []Diagnostic) bool {
	return slices.ContainsFunc(ds, func(d Diagnostic) bool { return d.Severity == Error })
}

// Sorted returns ds in order of file, place, severity and code, each mistake
// once: two diagnostics are the same when code, place, summary and part agree.
// Those without a place come last. ds is left as it was.
func Sorted(ds []Diagnostic) []Diagnostic {
	out := slices.Clone(ds)
	slices.SortStableFunc(out, compare)
	return slices.CompactFunc(out, func(a, b Diagnostic) bool { return compare(a, b) == 0 })
}

func compare(a, b Diagnostic) int {
	if a.Span.IsZero() != b.Span.IsZero() {
		if a.Span.IsZero() {
			return 1
		}
		return -1
	}
	return cmp.Or(
		cmp.Compare(a.Span.name(), b.Span.name()),
		cmp.Compare(a.Span.Start, b.Span.Start),
		cmp.Compare(a.Span.End, b.Span.End),
		cmp.Compare(a.Severity, b.Severity),
		cmp.Compare(a.Code, b.Code),
		cmp.Compare(a.Summary, b.Summary),
		cmp.Compare(a.Part, b.Part),
	)
}

func (sp Span) name() string {
	if sp.Source == nil {
		return ""
	}
	return sp.Source.Name
}
