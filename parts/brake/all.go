package brake

import (
	"slices"

	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/shop"
)

// BlankPlan is the plan of one blank of an assembly, or of its copies that are bent the other way.
type BlankPlan struct {
	Blank int // index of Assembly.Blanks
	Count int // copies that are bent so
	*Plan
}

// All plans every blank that has folds, in order. Copies that are bent the other way have a
// plan of their own behind their blank's.
func All(a *panel.Assembly, s *shop.Shop) []BlankPlan {
	names := naming.Of(a)
	var out []BlankPlan
	for i, b := range a.Blanks {
		if b.Flat == nil || len(b.Flat.Folds) == 0 {
			continue
		}
		p := Find(b.Flat, s, NamesOf(names, i))
		if b.Count > b.Mirrored {
			out = append(out, BlankPlan{i, b.Count - b.Mirrored, p})
		}
		if b.Mirrored > 0 {
			out = append(out, BlankPlan{i, b.Mirrored, p.Mirror()})
		}
	}
	return out
}

// NamesOf are the words of people for the faces and folds of a blank.
func NamesOf(n *naming.Names, blank int) Names { return ofBlank{n, blank} }

type ofBlank struct {
	names *naming.Names
	blank int
}

func (o ofBlank) Face(i int) string { return o.names.Face(o.blank, i) }
func (o ofBlank) Fold(i int) string { return o.names.Fold(o.blank, i) }

// Mirror is the plan of the same blank bent the other way: the machine is the same from
// left and right, so every step is its own mirror image along the machine, other side up.
func (p *Plan) Mirror() *Plan {
	out := *p
	out.Mirrored = !p.Mirrored
	out.Steps = slices.Clone(p.Steps)
	for i := range out.Steps {
		s := &out.Steps[i]
		s.DrawnUp = !s.DrawnUp
		s.Sight[0], s.Sight[1] = s.Sight[1], s.Sight[0]
		s.Fingers = slices.Clone(s.Fingers)
		for k, f := range s.Fingers {
			s.Fingers[k] = Span{-f.To, -f.From}
		}
		slices.Reverse(s.Fingers)
	}
	return &out
}
