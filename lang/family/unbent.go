package family

import (
	"slices"

	"perch/lang/build"
	"perch/parts/brake"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/shopcheck"
)

// unbent finds blanks that the shop's brake does not bend in any order: one finding each, at the
// fold that stops it. Folds that the rules of the single fold tell already, of their sheet, their
// hem or a flange too short to move, are left out.
func (j Job) unbent(r *build.Result) []shopcheck.Finding {
	var out []shopcheck.Finding
	for i, p := range r.Bendable(j.Shop) {
		if p == nil || p.Refused == nil {
			continue
		}
		told := map[int]bool{}
		for _, b := range p.Refused.Next {
			switch b.Reason {
			case brake.TooThick, brake.TooStrong, brake.ThickHem, brake.ShortMove:
				told[b.Fold] = true
			}
		}
		next := slices.DeleteFunc(slices.Clone(p.Refused.Next), func(b brake.Block) bool { return told[b.Fold] })
		if len(next) == 0 && !p.Refused.Bound {
			continue
		}
		out = append(out, cantBeBent(r.Assembly.Blanks[i], p, next))
	}
	return out
}

func cantBeBent(b *panel.Blank, p *brake.Plan, next []brake.Block) shopcheck.Finding {
	rule := shopcheck.Unbendable
	f := shopcheck.Finding{Code: rule.Code, Part: b.Name, Place: "blank", Of: rule.Of, Rule: rule.Rule}
	if p.Refused.Bound {
		f.Message = measure.Say("%s: %s", b.Name, p.Refused.Help)
		return f
	}
	first := next[0]
	fold := b.Flat.Folds[first.Fold]
	f.On = shopcheck.Subject{Kind: shopcheck.Fold, Name: fold.Name}
	f.Place, f.Got, f.Limit = f.On.String(), first.Got, first.Limit
	why := measure.Say("%s", p.Words(first))
	for _, other := range next[1:] {
		if other.Fold == first.Fold { // the other side held
			why = measure.Say("%s; %s", why, p.Words(other))
			break
		}
	}
	f.Message = measure.Say("%s, %s: the brake does not bend it in any order: %s; %s", b.Name, f.On, why, p.Help(first))
	return f
}
