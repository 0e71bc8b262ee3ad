package family

import (
	"fmt"
	"strings"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/shopcheck"
)

// workshop holds a size to the shop's rules: one warning for each rule that a
// part breaks, with every place.
func (j Job) workshop(r *build.Result) []diag.Diagnostic {
	out := append(j.folded(r), clashes(r)...)
	found := shopcheck.CheckAssembly(r.Assembly, j.Shop)
	places := map[int][]string{}
	at := map[[2]string]int{}
	for _, f := range found {
		key := [2]string{f.Code, f.Part}
		i, seen := at[key]
		if !seen {
			i = len(out)
			at[key] = i
			out = append(out, diag.Diagnostic{
				Code: f.Code, Severity: diag.Warning, Summary: f.Message.In(r.Program().Shown), Part: f.Part,
				Span: r.Place(f.Part), Notes: []string{"rule: " + f.Rule.In(r.Program().Shown)},
			})
			continue
		}
		places[i] = append(places[i], f.Place)
	}
	for i := range out {
		if p := places[i]; len(p) > 0 {
			note := "also at " + strings.Join(p, ", ")
			if len(p) > maxPlaces {
				note = fmt.Sprintf("also at %s and %d more places", strings.Join(p[:maxPlaces], ", "), len(p)-maxPlaces)
			}
			out[i].Notes = append(out[i].Notes, note)
		}
	}
	return out
}

// maxPlaces are the places that a warning lists.
const maxPlaces = 8

// clashes warns of parts that take up the same room: one warning for each two
// part statements.
func clashes(r *build.Result) []diag.Diagnostic {
	var out []diag.Diagnostic
	told := map[[2]diag.Span]int{}
	for _, c := range panel.Clashes(r.Flats) {
		a, b := r.Flats[c.A], r.Flats[c.B]
		text := fmt.Sprintf("%s.%s and %s.%s", a.Panel.Name, a.FaceName(c.FaceA), b.Panel.Name, b.FaceName(c.FaceB))
		at, other := r.Place(a.Panel.Name), r.Place(b.Panel.Name)
		if k, seen := told[[2]diag.Span{at, other}]; seen {
			if len(out[k].Notes) <= maxPlaces {
				out[k].Notes = append(out[k].Notes, "also "+text)
			}
			continue
		}
		told[[2]diag.Span{at, other}] = len(out)
		out = append(out, diag.Diagnostic{
			Code: "P5004", Severity: diag.Warning, Span: at, Part: a.Panel.Name,
			Summary: measure.Say("%s take up the same room, %.2f deep", text, measure.Length(c.Depth)).In(r.Program().Shown),
			Related: []diag.Related{{Span: other, Message: "the other part"}},
		})
	}
	return out
}

// folded warns of faces of one part that lie in each other once it is bent: one
// warning for each blank, deeper and larger than what the cutter leaves to chance.
func (j Job) folded(r *build.Result) []diag.Diagnostic {
	var out []diag.Diagnostic
	for _, b := range r.Assembly.Blanks {
		told := false
		for _, c := range panel.Interfere(b.Flat, b.Flat) {
			if c.Depth <= j.Shop.Cutter.Tolerance {
				continue
			}
			text := fmt.Sprintf("%s and %s", b.Flat.FaceName(c.FaceA), b.Flat.FaceName(c.FaceB))
			where := measure.Say("%.2f deep, about %.0f, at %.1f", measure.Length(c.Depth), measure.Volume(c.Volume), measure.Spot(c.At)).In(r.Program().Shown)
			if told {
				d := &out[len(out)-1]
				if len(d.Notes) <= maxPlaces {
					d.Notes = append(d.Notes, "also "+text+", "+where)
				}
				continue
			}
			told = true
			out = append(out, diag.Diagnostic{
				Code: "P5005", Severity: diag.Warning, Span: r.Place(b.Name), Part: b.Name,
				Summary: fmt.Sprintf("%s of %s lie in each other once it is bent: %s", text, b.Name, where),
				Notes:   []string{"one of them must end short of the other, or hang by another edge or the other way"},
			})
		}
	}
	return out
}
