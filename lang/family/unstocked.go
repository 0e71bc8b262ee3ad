package family

import (
	"math"
	"slices"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/parts/shopcheck"
)

// unstocked notes which stocks the shop has no sheet of, once each: the piece can be made,
// and nothing be nested before such a sheet is bought. A stock that states the sheet it is
// cut from is taken at its word.
func (j Job) unstocked(r *build.Result) []diag.Diagnostic {
	var out []diag.Diagnostic
	told := map[string]bool{}
	in := r.Program().Shown
	for i, c := range r.Assembly.Copies {
		if c.Blank < 0 || c.Blank >= len(r.Assembly.Blanks) {
			continue
		}
		st := r.Assembly.Blanks[c.Blank].Flat.Panel.Stock
		if told[st.Name] {
			continue
		}
		told[st.Name] = true
		if st.SheetWidth > 0 || len(j.Shop.SheetsOf(st.Material, st.Thickness)) > 0 {
			continue
		}
		site := r.Made.Site(i, shopcheck.Finding{Of: shopcheck.Thickness})
		d := diag.Diagnostic{Code: "P6004", Severity: diag.Note, Span: site.At, Related: site.Related, Summary: "the shop has no sheet of " + st.Told().In(in)}
		var have []string
		near := 0.0
		for _, s := range j.Shop.Sheets {
			if s.Material != st.Material {
				continue
			}
			if math.Abs(s.Thickness-st.Thickness) < math.Abs(near-st.Thickness) {
				near = s.Thickness
			}
			other := st
			other.Thickness, other.Gauge = s.Thickness, ""
			if text := other.Told().In(in); !slices.Contains(have, text) {
				have = append(have, text)
			}
		}
		if len(have) > 0 {
			d.Notes = append(d.Notes, "there are sheets of "+diag.List(have))
			if _, err := quantity.ParseLiteral(site.At.Text()); err == nil {
				text := quantity.Format(near, quantity.Length, in)
				d.Fix = &diag.Fix{Message: "write " + text, Edits: []diag.Edit{{Span: site.At, Text: text}}}
			}
		}
		out = append(out, d)
	}
	return out
}
