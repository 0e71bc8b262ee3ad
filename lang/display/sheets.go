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
	"perch/parts/page"
)

func degrees(a float64) float64 { return a * 180 / math.Pi }

// sheets tells what one piece takes of sheets and what it costs, as the cover of its papers has
// it; where its blanks can't be laid, the cost of the rest alone.
func sheets(ctx context.Context, job family.Job, r *build.Result) []page.Fact {
	if len(r.Assembly.Copies) == 0 {
		return nil
	}
	n := sheet.OnePiece(job.File, r, job.Shop, job.Asked)
	planned, diags, err := n.Plan(ctx)
	if err != nil || diag.HasErrors(diags) {
		planned = nil
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
	cost := sheet.CostOf(r.Assembly, planned, job.Shop)
	if text := cost.Text(); text != "" {
		return append(out, page.Fact{Name: "cost, an estimate", Text: text}, page.Fact{Name: "left out of it", Text: cost.Without()})
	}
	return append(out, page.Fact{Name: "cost", Text: "not known: the shop file tells no prices of " + strings.Join(cost.Lack, ", ")})
}
