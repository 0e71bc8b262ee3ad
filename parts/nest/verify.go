package nest

import "perch/parts/plane"

// placeTol is how far, in mm, a gap may fall short of what is asked.
const placeTol = 1e-6

// Check holds one sheet's placings against the blanks' true outlines: each blank
// lies in the sheet, Margin from its edge, and Spacing from every other. It errs
// with *PlaceError. It uses nothing that the search does, and serves as well to see
// whether a replacement blank fits a remnant at a place.
func Check(j *Job, sheet *Sheet, placed []Placed) error {
	metal := sheet.region()
	regions := make([]plane.Region, len(placed))
	boxes := make([]plane.Box, len(placed))
	for i, p := range placed {
		regions[i] = j.Blanks[p.Piece].Region.Transform(p.Transform())
		boxes[i] = regions[i].Bounds()
		name := j.Blanks[p.Piece].Name
		gap, _, _ := plane.Distance(regions[i], metal)
		if !within(regions[i], metal) {
			gap = -gap
		}
		if gap < j.Margin-placeTol || !within(regions[i], metal) {
			return &PlaceError{Blank: name, Gap: gap, Least: j.Margin}
		}
		for k := range i {
			if !boxes[i].Grow(j.Spacing).Overlaps(boxes[k]) {
				continue
			}
			other := j.Blanks[placed[k].Piece].Name
			gap, _, _ := plane.Distance(regions[i], regions[k])
			if gap < j.Spacing-placeTol || within(regions[i], regions[k]) || within(regions[k], regions[i]) {
				return &PlaceError{Blank: name, Other: other, Gap: gap, Least: j.Spacing}
			}
		}
	}
	return nil
}

// within tells whether the outline of a, which does not cross b's edges, lies in b's metal.
func within(a, b plane.Region) bool {
	for _, l := range a {
		if l.Area() <= 0 {
			continue
		}
		for i := range l {
			switch b.Locate(l.Edge(i).Mid()) {
			case plane.Inside:
				return true
			case plane.Outside:
				return false
			}
		}
	}
	return true
}
