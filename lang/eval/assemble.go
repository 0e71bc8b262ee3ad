package eval

import (
	"slices"

	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/tolerance"
)

// assemble puts the fasteners' points into the flats, says when each hole is made, finds
// the blanks that are alike, and names what holds what.
func (ev *evaluator) assemble(parts []*part, fixings []fixing) (*panel.Assembly, *tolerance.Misfits) {
	a, names := ev.gather(parts, fixings, nil)
	// A piece that is too large for its misfits to be worked out has no locating holes: see Misfits.Unknown.
	misfits := tolerance.New(a, ev.shop)
	whole, _ := misfits.Decide()
	if len(whole) > 0 {
		a, names = ev.gather(parts, fixings, whole)
		misfits = tolerance.New(a, ev.shop)
		_, _ = misfits.Decide()
	}
	handOn(parts, a, names)
	return a, misfits
}

// gather puts the fasteners' points into the flats and finds the blanks that are alike; of
// the joins named in whole all holes are made in the flat. It tells what blanks call the
// points of their copies.
func (ev *evaluator) gather(parts []*part, fixings []fixing, whole []string) (*panel.Assembly, []map[string]string) {
	all := make([]panel.Part, len(parts))
	at := make(map[*part]int, len(parts))
	for i, p := range parts {
		all[i] = panel.Part{Name: p.name, Family: p.base, Flat: p.flattened}
		at[p] = i
	}
	points := make([]int, len(parts))
	for _, f := range fixings {
		for _, m := range f.Members {
			points[at[f.parts[m.Member]]]++
		}
	}
	for i, p := range parts {
		p.flattened.Points = slices.Grow(p.flattened.Points[:0], points[i])
	}
	for _, f := range fixings {
		matched := f.matched
		if slices.Contains(whole, f.join) {
			matched = shop.MatchedAll
		}
		for k, m := range f.Members {
			p := f.parts[m.Member].flattened
			p.Points = append(p.Points, tolerance.Begin(m.Point, k, p.Open(m.Point), matched, ev.shop.Joining))
		}
	}
	blanks, copies := panel.Group(all)
	a := &panel.Assembly{Blanks: blanks, Joins: make([]panel.JoinPoint, 0, len(fixings))}
	for i, c := range copies {
		c.Copy.Loose = parts[i].stmt.Loose
		a.Copies = append(a.Copies, c.Copy)
	}
	names := pointNames(copies)
	for _, f := range fixings {
		j := panel.JoinPoint{
			Name: f.Name, Join: f.join, Kind: f.Kind, Matched: f.matched, Located: f.located, Diameter: f.Diameter,
			At: f.At, Axis: f.Axis, Grip: f.Grip, Line: f.Line, Members: make([]panel.JoinMember, 0, len(f.Members)), Hardware: f.Hardware,
		}
		for _, m := range f.Members {
			i := at[f.parts[m.Member]]
			name, ok := names[i][m.Point.Name]
			if !ok {
				name = m.Point.Name
			}
			j.Members = append(j.Members, panel.JoinMember{Copy: i, Point: name})
		}
		a.Joins = append(a.Joins, j)
	}
	return a, names
}

// handOn takes what was decided of a blank's holes to the flats of its copies.
func handOn(parts []*part, a *panel.Assembly, names []map[string]string) {
	for i, p := range parts {
		blank := a.Blanks[a.Copies[i].Blank].Flat
		if blank == p.flattened {
			continue
		}
		by := make(map[string]*panel.Point, len(blank.Points))
		for k := range slices.Backward(blank.Points) {
			by[blank.Points[k].Name] = &blank.Points[k]
		}
		for k := range p.flattened.Points {
			at := &p.flattened.Points[k]
			if q := by[names[i][at.Name]]; q != nil {
				at.When, at.Kind, at.Bare = q.When, q.Kind, q.Bare
			}
		}
	}
}

// pointNames are, by copy, what its blank calls the points that the copy has.
func pointNames(copies []panel.GroupedCopy) []map[string]string {
	out := make([]map[string]string, len(copies))
	for i, c := range copies {
		out[i] = make(map[string]string, len(c.Points))
		for _, a := range slices.Backward(c.Points) { // of two of one name the first
			out[i][a.Own] = a.Blank
		}
	}
	return out
}
