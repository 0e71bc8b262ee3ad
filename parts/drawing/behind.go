package drawing

import "perch/parts/solid"

// Behind gives facets as they stand when the piece is turned half round about the upright, for
// its picture from behind.
func Behind(facets []Facet) []Facet {
	turned := func(l []solid.Vec) []solid.Vec {
		out := make([]solid.Vec, len(l))
		for i, q := range l {
			out[i] = solid.Vec{X: -q.X, Y: -q.Y, Z: q.Z}
		}
		return out
	}
	all := func(ls [][]solid.Vec) [][]solid.Vec {
		if ls == nil {
			return nil
		}
		out := make([][]solid.Vec, len(ls))
		for i, l := range ls {
			out[i] = turned(l)
		}
		return out
	}
	out := make([]Facet, len(facets))
	for i, f := range facets {
		f.Outer, f.Holes, f.Marks = turned(f.Outer), all(f.Holes), all(f.Marks)
		f.Normal = solid.Vec{X: -f.Normal.X, Y: -f.Normal.Y, Z: f.Normal.Z}
		out[i] = f
	}
	return out
}
