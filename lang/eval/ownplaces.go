package eval

import (
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/join"
	"perch/parts/plane"
	"perch/parts/solid"
)

// stated are the places after a join's `at`; nil without.
type stated []statedPlace

// statedPlace is a place in space, and the cut that it is the middle of, if it is one's.
type statedPlace struct {
	at  solid.Vec
	cut *cutRef
}

// statedPlaces works out the places that a join states.
func (ev *evaluator) statedPlaces(s *syntax.Join, e *env) stated {
	if s.Places == nil {
		return nil
	}
	out := stated{}
	// a list of points that a face or its panel names is drawn on that face
	on, _ := ev.Quietly(s.Members[0], e)
	first, _ := on.(*face)
	value.Each(ev.eval(s.Places, e), func(v value.Value) {
		if c, ok := v.(cutRef); ok {
			for _, l := range c.region {
				out = append(out, statedPlace{c.of.frame.At(l.Centroid()), &c})
			}
			return
		}
		if first == nil {
			ev.fail("P5003", s.Places.Span(), "places are points on one face: the first member is a family here",
				"name a cut of the face, as in a.web.holes, or give the join an index")
		}
		for _, p := range value.PointsOf(v, s.Places) {
			out = append(out, statedPlace{first.frame.At(first.canvas.Point.Apply(p)), nil})
		}
	})
	return out
}

// on are the places for one stack: of cuts in its own faces, those alone, so that every
// copy of a part is fastened through its own holes; else all.
func (p stated) on(stack []sheet) stated {
	var own stated
	for _, x := range p {
		for _, m := range stack {
			if x.cut != nil && x.cut.of == m.of {
				own = append(own, x)
				break
			}
		}
	}
	if own == nil {
		return p
	}
	return own
}

// filled is a patch's region with the cuts that places are the middles of: a place in a
// named cut is metal before it is cut.
func (p stated) filled(patch join.Patch) plane.Region {
	regions := []plane.Region{patch.Region}
	for i, x := range p {
		if x.cut == nil || i > 0 && x.cut == p[i-1].cut {
			continue
		}
		regions = append(regions, x.cut.region.Transform(value.Between(x.cut.of.frame, patch.Frame)))
	}
	if len(regions) == 1 {
		return patch.Region
	}
	return plane.UnionAll(regions...)
}

// at are the places in a patch's frame.
func (p stated) at(frame solid.Frame) []plane.Point {
	var out []plane.Point
	for _, x := range p {
		out = append(out, frame.Local(x.at))
	}
	return out
}
