package diag

import (
	"cmp"
	"fmt"
	"slices"
)

// MostTold is how many diagnostics are told at once where nobody asks for all.
const MostTold = 50

// Limited is ds in order, at most so many: errors before warnings, warnings before notes,
// of each the first by place. A last note, of no place, counts what is left out by code.
func Limited(ds []Diagnostic, most int) []Diagnostic {
	if len(ds) <= most {
		return ds
	}
	order := make([]int, len(ds))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(ds[a].Severity, ds[b].Severity) })
	kept, left := slices.Clone(order[:most]), order[most:]
	slices.Sort(kept)
	out := make([]Diagnostic, 0, most+1)
	for _, i := range kept {
		out = append(out, ds[i])
	}
	count := map[string]int{}
	var codes []string
	for _, i := range left {
		c := ds[i].Code
		if count[c] == 0 {
			codes = append(codes, c)
		}
		count[c]++
	}
	slices.SortFunc(codes, func(a, b string) int { return cmp.Or(cmp.Compare(count[b], count[a]), cmp.Compare(a, b)) })
	kinds := make([]string, len(codes))
	for i, c := range codes {
		kinds[i] = fmt.Sprintf("%d %s", count[c], cmp.Or(c, "without a code"))
	}
	return append(out, Diagnostic{Severity: Note, LeftOut: len(left), Summary: fmt.Sprintf("and %d more: %s", len(left), List(kinds))})
}
