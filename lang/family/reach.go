package family

import (
	"perch/lang/build"
	"perch/parts/joining"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/shopcheck"
)

// reach finds fasteners that no tool comes to in any order of joining. Those that stand
// too near a wall of their own sheet are told by that already.
func (j Job) reach(r *build.Result, told []shopcheck.Finding) []shopcheck.Finding {
	a := r.Assembly
	plan := joining.New(a, j.Shop)
	near := map[shopcheck.Subject]map[string]bool{}
	for _, f := range told {
		if f.Code == shopcheck.RivetToWall.Code {
			if near[f.On] == nil {
				near[f.On] = map[string]bool{}
			}
			near[f.On][f.Part] = true
		}
	}
	var out []shopcheck.Finding
	for _, u := range plan.Unreached {
		x := &a.Joins[u.Join]
		if len(x.Members) == 0 {
			continue
		}
		on := shopcheck.Subject{Kind: shopcheck.Point, Name: x.Members[0].Point}
		part := a.Blanks[a.Copies[x.Members[0].Copy].Blank].Name
		if near[on][part] && u.Side == joining.Head {
			continue
		}
		out = append(out, outOfReach(a, u, on, part))
	}
	if plan.Stopped && len(a.Blanks) > 0 {
		rule := shopcheck.OutOfReach
		out = append(out, shopcheck.Finding{Code: rule.Code, Part: a.Blanks[0].Name, Place: shopcheck.Subject{}.String(), Of: rule.Of, Rule: rule.Rule,
			Message: measure.Plain("so much metal is too much to compare with every tool: fasteners that are not named may be out of reach all the same")})
	}
	return out
}

func outOfReach(a *panel.Assembly, u joining.Unreached, on shopcheck.Subject, part string) shopcheck.Finding {
	rule := shopcheck.OutOfReach
	f := shopcheck.Finding{Code: rule.Code, Part: part, Place: a.Joins[u.Join].Name, On: on, Of: rule.Of, Rule: rule.Rule, Message: u.Text(a)}
	if u.Turns {
		f.Of = shopcheck.HeadSide
	}
	return f
}
