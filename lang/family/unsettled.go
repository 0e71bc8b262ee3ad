package family

import (
	"perch/lang/build"
	"perch/parts/measure"
	"perch/parts/shopcheck"
)

// unsettled finds a piece whose misfits are not worked out: no hole of it locates, and the edges of holes
// drilled in place are held to their distance without what they may land off by.
func unsettled(r *build.Result) []shopcheck.Finding {
	a := r.Assembly
	unknown := r.Made.Misfits.Unknown()
	if unknown == nil || len(a.Joins) == 0 || len(a.Joins[0].Members) == 0 {
		return nil
	}
	first := a.Joins[0].Members[0]
	rule := shopcheck.Unsettled
	f := shopcheck.Finding{Code: rule.Code, Part: a.Blanks[a.Copies[first.Copy].Blank].Name, Place: a.Joins[0].Join, Of: rule.Of, Rule: rule.Rule,
		On: shopcheck.Subject{Kind: shopcheck.Point, Name: first.Point}}
	f.Message = measure.Say("what bends and holes may be off by is not worked out for this piece: %s. No hole locates its parts, and holes drilled in place are looked at as if each landed where it is drawn: state fewer fasteners, make the piece of assemblies that are designs of their own, or lay out and clamp with care and keep more edge about every hole",
		unknown.Error())
	return []shopcheck.Finding{f}
}
