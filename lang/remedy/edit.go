package remedy

import (
	"fmt"
	"slices"
	"strings"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
)

// edit puts a text in the place of a span of the design's own file.
type edit struct {
	at   diag.Span
	text string
}

// edited is a design's own text with edits made, which may lie in any order and inside each
// other: the outer one counts.
func edited(src *diag.Source, edits []edit) string {
	slices.SortStableFunc(edits, func(a, b edit) int {
		if a.at.Start != b.at.Start {
			return int(a.at.Start - b.at.Start)
		}
		return int(b.at.End - a.at.End)
	})
	var b strings.Builder
	at := int32(0)
	for _, e := range edits {
		if e.at.Start < at {
			continue
		}
		b.WriteString(src.Text[at:e.at.Start])
		b.WriteString(e.text)
		at = e.at.End
	}
	b.WriteString(src.Text[at:])
	return b.String()
}

// again checks a design anew with edits of its own file; what it uses is taken as it was
// read before.
func again(p *check.Program, edits []edit, sh *shop.Shop) (*check.Program, []diag.Diagnostic, error) {
	files := load.Stored(func(path string) (name, text string, err error) {
		for _, m := range p.Modules {
			if p.FromDesign(m.Source) == path {
				return m.Source.Name, m.Source.Text, nil
			}
		}
		return "", "", fmt.Errorf("the design does not use it")
	})
	q, diags, err := load.Source(diag.NewSource(p.Root.Source.Name, edited(p.Root.Source, edits)), files, sh)
	if q != nil {
		q.Shown, q.Stopped = p.Shown, p.Stopped
	}
	return q, diags, err
}
