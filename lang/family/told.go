package family

import (
	"fmt"
	"slices"
	"strings"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/eval"
	"perch/parts/lookalike"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/shopcheck"
)

// workshop holds a size to the shop's rules: one warning for each rule that is missed and
// each place in the text that it comes from, with everything that comes from there.
func (j Job) workshop(r *build.Result) []diag.Diagnostic {
	all := lookalike.Note(r.Assembly.Blanks, j.Shop.Cutter.Tolerance)
	out := slices.Concat(j.folded(r), j.clashes(r), alike(r, all), j.unstocked(r))
	copies := map[string]int{} // of a blank: the first
	for i := len(r.Assembly.Copies) - 1; i >= 0; i-- {
		if b := r.Assembly.Copies[i].Blank; b >= 0 && b < len(r.Assembly.Blanks) {
			copies[r.Assembly.Blanks[b].Name] = i
		}
	}
	type key struct {
		code string
		at   diag.Span
	}
	type place struct {
		of    int // of out
		where string
	}
	at, places, listed := map[key]int{}, map[int][]string{}, map[place]bool{}
	found := shopcheck.CheckAssembly(r.Assembly, j.Shop, r.Made.Misfits)
	for _, f := range slices.Concat(found, j.reach(r, found), j.unbent(r), unsettled(r)) {
		site := r.Made.Site(copies[f.Part], f)
		i, seen := at[key{f.Code, site.At}]
		if !seen {
			i = len(out)
			at[key{f.Code, site.At}] = i
			out = append(out, diag.Diagnostic{
				Code: f.Code, Severity: diag.Warning, Summary: f.Message.In(r.Program().Shown), Part: f.Part,
				Span: site.At, Related: site.Related, Fix: site.Fix, Notes: []string{"rule: " + f.Rule.In(r.Program().Shown)},
				Spots: []diag.Spot{spot(f)},
			})
			continue
		}
		out[i].Spots = append(out[i].Spots, spot(f))
		where := f.Place
		if f.Part != out[i].Part {
			where += " of " + f.Part
		}
		if told := (place{i, where}); !listed[told] {
			listed[told] = true
			places[i] = append(places[i], where)
		}
		if out[i].Fix != nil && (site.Fix == nil || site.Fix.Message != out[i].Fix.Message) { // no one value mends all
			out[i].Fix = nil
		}
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

// spot is where on a part something was found.
func spot(f shopcheck.Finding) diag.Spot {
	s := diag.Spot{Part: f.Part, Name: f.On.Name}
	switch f.On.Kind {
	case shopcheck.Fold:
		s.On = diag.Fold
	case shopcheck.Face:
		s.On = diag.Face
	case shopcheck.Cut, shopcheck.Hole, shopcheck.Point:
		s.On = diag.Hole
	case shopcheck.Bead, shopcheck.Text:
		s.On, s.Name = diag.Face, f.On.Face
	}
	return s
}

// maxPlaces are the places that a warning lists.
const maxPlaces = 8

// clashes warns of parts that take up the same room by more than what the cutter leaves to
// chance: one warning for each two part statements.
func (j Job) clashes(r *build.Result) []diag.Diagnostic {
	var out []diag.Diagnostic
	told := map[[2]diag.Span]int{}
	found, left := panel.FirstClashes(r.Flats, mostClashCorners)
	more := map[int]int{} // by diagnostic, those that it does not list
	for _, c := range found {
		if c.Depth <= j.Shop.Cutter.Tolerance {
			continue
		}
		a, b := r.Flats[c.A], r.Flats[c.B]
		text := fmt.Sprintf("%s.%s and %s.%s", a.Panel.Name, a.FaceName(c.FaceA), b.Panel.Name, b.FaceName(c.FaceB))
		where := overlap(r, c.Clash)
		at, other := r.Place(a.Panel.Name), r.Place(b.Panel.Name)
		if k, seen := told[[2]diag.Span{at, other}]; seen {
			if len(out[k].Notes) <= maxPlaces {
				out[k].Notes = append(out[k].Notes, "also "+text+", "+where)
			} else {
				more[k]++
			}
			continue
		}
		told[[2]diag.Span{at, other}] = len(out)
		d := diag.Diagnostic{
			Code: "P5004", Severity: diag.Warning, Span: at, Part: a.Panel.Name,
			Summary: text + " take up the same room: " + where,
			Related: []diag.Related{{Span: other, Message: "the other part"}},
			Notes:   []string{"one of them must end short of the other or be cut out for it, or stand elsewhere"},
			Spots:   []diag.Spot{{Part: a.Panel.Name, On: diag.Face, Name: a.FaceName(c.FaceA)}, {Part: b.Panel.Name, On: diag.Face, Name: b.FaceName(c.FaceB)}},
		}
		for _, s := range []eval.Site{r.Made.SiteOfFace(c.A, c.FaceA), r.Made.SiteOfFace(c.B, c.FaceB)} {
			if r.Program().Own(s.At.Source) && s.At != at && s.At != other && !slices.ContainsFunc(d.Related, func(o diag.Related) bool { return o.Span == s.At }) {
				d.Related = append(d.Related, diag.Related{Span: s.At, Message: "a face of it"})
			}
		}
		out = append(out, d)
	}
	for k := range out {
		if n := more[k]; n > 0 {
			out[k].Notes = append(out[k].Notes, fmt.Sprintf("and %d more places", n))
		}
	}
	if left > 0 {
		out = append(out, diag.Diagnostic{
			Code: "P5004", Severity: diag.Warning, Span: r.Place(r.Flats[0].Panel.Name),
			Summary: fmt.Sprintf("%d or more pairs of parts lie so close that they may take up the same room: they were not compared", left),
			Notes:   []string{"so many parts in one place are too much work: part them, or leave some out with `if`, and check again"},
		})
	}
	return out
}

// mostClashCorners is how many corners of metal are compared for parts that take up the
// same room, some seconds of work: a piece of thousands of parts that stand apart is far
// below it.
const mostClashCorners = 3_000_000

// overlap says how much metal is claimed twice, and where.
func overlap(r *build.Result, c panel.Clash) string {
	return measure.Say("%.2f deep, about %.0f, at %.1f", measure.Length(c.Depth), measure.Volume(c.Volume), measure.Spot(c.At)).In(r.Program().Shown)
}

// folded warns of faces of one part that lie in each other once it is bent: one
// warning for each blank, deeper than what the cutter leaves to chance.
func (j Job) folded(r *build.Result) []diag.Diagnostic {
	var out []diag.Diagnostic
	seen := map[int]bool{} // blanks
	for i, copy := range r.Assembly.Copies {
		if copy.Blank < 0 || copy.Blank >= len(r.Assembly.Blanks) || seen[copy.Blank] {
			continue
		}
		seen[copy.Blank] = true
		b := r.Assembly.Blanks[copy.Blank]
		told := false
		for _, c := range panel.Interfere(b.Flat, b.Flat) {
			if c.Depth <= j.Shop.Cutter.Tolerance {
				continue
			}
			text := fmt.Sprintf("%s and %s", b.Flat.FaceName(c.FaceA), b.Flat.FaceName(c.FaceB))
			where := overlap(r, c)
			if told {
				d := &out[len(out)-1]
				if len(d.Notes) <= maxPlaces {
					d.Notes = append(d.Notes, "also "+text+", "+where)
				}
				continue
			}
			told = true
			first, second := r.Made.SiteOfFace(i, c.FaceA), r.Made.SiteOfFace(i, c.FaceB)
			d := diag.Diagnostic{
				Code: "P5005", Severity: diag.Warning, Span: first.At, Related: first.Related, Part: b.Name,
				Summary: fmt.Sprintf("%s of %s lie in each other once it is bent: %s", text, b.Name, where),
				Notes:   []string{"one of them must end short of the other, or hang by another edge or the other way"},
			}
			if second.At != first.At {
				d.Related = append(d.Related, diag.Related{Span: second.At, Message: "the other face"})
			}
			out = append(out, d)
		}
	}
	return out
}
