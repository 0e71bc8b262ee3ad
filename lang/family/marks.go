package family

import (
	"fmt"
	"slices"
	"strings"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/parts/brake"
	"perch/parts/foldmark"
	"perch/parts/panel"
	"perch/parts/shopcheck"
)

// mark tells the folds of a size's blanks on the metal, at the lines that the brake is set to:
// a leaf brake's goes by the side that is held, as the plan of the bends has it.
func (j Job) mark(r *build.Result) {
	if r == nil || r.Assembly == nil {
		return
	}
	for i, b := range r.Assembly.Blanks {
		var held []int
		if b.Order = nil; b.Flat != nil && len(b.Flat.Folds) > 0 {
			plan := r.Bends(j.Shop)[i]
			b.Order = plan.Order()
			if foldmark.AsksHeld(b.Flat, j.Shop) {
				held = heldSides(plan)
			}
		}
		foldmark.Mark(b, j.Shop, held)
	}
}

// heldSides are the faces that a plan holds, fold by fold; −1 where it has no step.
func heldSides(p *brake.Plan) []int {
	held := make([]int, len(p.Flat.Folds))
	for i := range held {
		held[i] = -1
	}
	for _, s := range p.Steps {
		if s.Op == brake.Flatten {
			continue // its line was told by the hem's start
		}
		for _, f := range s.Folds {
			held[f] = p.Flat.Folds[f].A
			if !s.HeldA {
				held[f] = p.Flat.Folds[f].B
			}
		}
	}
	return held
}

// unnicked notes where a punch mark tells a fold, or nothing does, because there is no room
// for the nick that the shop asks for: one note for each fold as it is stated. Bends are
// planned only where it goes by the side that is held.
func (j Job) unnicked(r *build.Result) []diag.Diagnostic {
	if r == nil || r.Assembly == nil || !slices.ContainsFunc(r.Assembly.Blanks, func(b *panel.Blank) bool { return !foldmark.Settled(b.Flat, j.Shop) }) {
		return nil
	}
	j.mark(r)
	var out []diag.Diagnostic
	var at []diag.Span
	var also [][]string
	for i, b := range r.Assembly.Blanks {
		copy := slices.IndexFunc(r.Assembly.Copies, func(c panel.Copy) bool { return c.Blank == i })
		for _, m := range b.FoldMarks {
			if m.Why.Empty() || copy < 0 {
				continue
			}
			fold := b.Flat.Folds[m.Fold].Name
			stands := "a punch mark tells an end of it"
			if m.Kind == panel.Unmarked {
				stands = "nothing tells an end of it"
			}
			site := r.Made.Site(copy, shopcheck.Finding{Part: b.Name, On: shopcheck.Subject{Kind: shopcheck.Fold, Name: fold}, Of: shopcheck.Placement})
			if k := slices.Index(at, site.At); k >= 0 {
				if where := fmt.Sprintf("fold %s of %s", fold, b.Name); !slices.Contains(also[k], where) {
					also[k] = append(also[k], where)
				}
				continue
			}
			at, also = append(at, site.At), append(also, []string{fmt.Sprintf("fold %s of %s", fold, b.Name)})
			out = append(out, diag.Diagnostic{
				Code: shopcheck.FoldMark.Code, Severity: diag.Note, Span: site.At, Related: site.Related, Part: b.Name,
				Summary: fmt.Sprintf("%s, fold %s: %s, because %s", b.Name, fold, stands, m.Why.In(r.Program().Shown)),
				Notes:   []string{"rule: " + shopcheck.FoldMark.Rule.In(r.Program().Shown)},
			})
		}
	}
	for k := range out {
		if places := also[k][1:]; len(places) > maxPlaces {
			out[k].Notes = append(out[k].Notes, fmt.Sprintf("also at %s and %d more places", strings.Join(places[:maxPlaces], ", "), len(places)-maxPlaces))
		} else if len(places) > 0 {
			out[k].Notes = append(out[k].Notes, "also at "+strings.Join(places, ", "))
		}
	}
	return out
}
