package papers

import (
	"perch/lang/build"
	"perch/lang/sheet"
)

// costs says what a piece comes to, as far as the shop tells prices, and what of it is not known.
func (j Job) costs(r *build.Result, sheets []sheet.Planned) []string {
	c := sheet.CostOf(r.Assembly, sheets, j.Shop)
	text := c.Text()
	if text == "" {
		return []string{"What it costs is not known: the shop file tells no prices (of sheets, of fasteners, of the table's hour)."}
	}
	return []string{"Costs, an estimate: " + text + ". Left out: " + c.Without() + "."}
}
