package joining

import (
	"cmp"
	"slices"

	"perch/parts/panel"
)

// flatWork is what is done to each blank while it is flat: dross taken off, holes that the
// cutter can't make drilled where they are made before bending, beads rolled.
func flatWork(a *panel.Assembly) []FlatWork {
	out := make([]FlatWork, len(a.Blanks))
	for i, b := range a.Blanks {
		f := FlatWork{Blank: i, Cut: len(b.Flat.Inner), Bends: len(b.Flat.Folds)}
		for _, p := range b.Flat.Points {
			switch {
			case p.Marked() || p.Made() == panel.InPlace:
			case p.Kind == panel.Drill:
				f.drill(p.Diameter)
			case !b.Flat.Open(p):
				f.Cut++
			}
		}
		for _, m := range b.Flat.Marks {
			if m.Kind == panel.MarkBead {
				f.Beads++
			}
		}
		slices.SortStableFunc(f.Drills, func(a, b Drilling) int { return cmp.Compare(a.Diameter, b.Diameter) })
		out[i] = f
	}
	return out
}

// Bores are all holes that are drilled, flat or in place, by diameter: how many of a whole
// piece.
func (p Plan) Bores(a *panel.Assembly) []Drilling {
	var all FlatWork
	for _, f := range p.Flat {
		for _, d := range f.Drills {
			for range d.Count * a.Blanks[f.Blank].Count {
				all.drill(d.Diameter)
			}
		}
	}
	for _, s := range p.Steps {
		for _, d := range s.Drills {
			for range d.Count {
				all.drill(d.Diameter)
			}
		}
	}
	slices.SortStableFunc(all.Drills, func(a, b Drilling) int { return cmp.Compare(a.Diameter, b.Diameter) })
	return all.Drills
}

func (f *FlatWork) drill(diameter float64) {
	k := slices.IndexFunc(f.Drills, func(d Drilling) bool { return d.Diameter == diameter })
	if k < 0 {
		k = len(f.Drills)
		f.Drills = append(f.Drills, Drilling{Diameter: diameter})
	}
	f.Drills[k].Count++
}
