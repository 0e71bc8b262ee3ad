package display

import (
	"context"
	"fmt"
	"math"
	"strings"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/sheet"
	"perch/parts/cutplan"
	"perch/parts/page"
)

func degrees(a float64) float64 { return a * 180 / math.Pi }

// How one piece is laid on sheets: as perch nest does where nothing is said.
const (
	spacing = 6.0 // mm between blanks
	margin  = 8.0 // mm along a sheet's edge
	turns   = 90.0
)

// sheets tells what one piece takes of sheets; nothing where its blanks can't be laid.
func sheets(ctx context.Context, job family.Job, r *build.Result) []page.Fact {
	if len(r.Assembly.Copies) == 0 {
		return nil
	}
	n := sheet.Nesting{Orders: []sheet.Order{{File: job.File, Size: r.Size, Count: 1, Built: r}}, Shop: job.Shop, Asked: job.Asked,
		Spacing: spacing, Margin: margin, Steps: turns, Effort: 1, Profile: (*cutplan.Profile)(job.Shop.Table)}
	planned, diags, err := n.Plan(ctx)
	if err != nil || diag.HasErrors(diags) {
		return nil
	}
	count := map[string]int{}
	var order []string
	for _, s := range planned {
		name := strings.ReplaceAll(s.Told.In(job.Program.Shown), "_", " ")
		if count[name]++; count[name] == 1 {
			order = append(order, name)
		}
	}
	var out []page.Fact
	for _, name := range order {
		out = append(out, page.Fact{Name: "sheet for one piece", Text: fmt.Sprintf("%d × %s", count[name], name)})
	}
	return out
}
