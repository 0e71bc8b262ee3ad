package compare

import (
	"math"
	"slices"

	"perch/parts/panel"
	"perch/parts/plane"
)

// metalTol is how far, in mm, metal may lie elsewhere and still be the same: as
// far as the flats of one blank may differ from each other.
const metalTol = 1e-5

// align finds the rigid map of the old flat that lays it best on the new one:
// where most corners, holes and folds fall on each other, and of those the one
// that moves holes of one name the least. Candidates are the flats as they lie,
// each face that both have laid on itself, for either hand, and the maps that
// take one outline onto the other.
func align(old, new *panel.Flat) (best plane.Affine, mirrored bool) {
	candidates := []plane.Affine{plane.Identity(), plane.MirrorX()}
	for i := range old.Faces {
		for k := range new.Faces {
			if old.Faces[i].Name != new.Faces[k].Name {
				continue
			}
			back, err := old.Faces[i].ToFlat.Inverse()
			if err != nil {
				continue
			}
			there := new.Faces[k].ToFlat
			candidates = append(candidates, back.Then(there), back.Then(plane.MirrorX()).Then(there))
		}
	}
	for _, hand := range [2]bool{false, true} {
		candidates = slices.AppendSeq(candidates, plane.Congruent(old.Outer, new.Outer, metalTol, hand))
	}
	hits, drift := -1, math.Inf(1)
	for _, m := range candidates {
		if h, d := meets(old, new, m), drifts(old, new, m); h > hits || h == hits && d < drift-metalTol {
			best, hits, drift = m, h, d
		}
	}
	return best, best.Det() < 0
}

// meets counts what falls on its like under the map: corners, holes and folds,
// which must turn the same way: a mirrored flat is bent the other way.
func meets(old, new *panel.Flat, m plane.Affine) int {
	n := 0
	for _, v := range old.Outer {
		p := m.Apply(v.P)
		for _, w := range new.Outer {
			if p.Near(w.P, metalTol) {
				n++
				break
			}
		}
	}
	for i := range old.Points {
		for k := range new.Points {
			if samePoint(&old.Points[i], &new.Points[k], m) {
				n++
				break
			}
		}
	}
	for i := range old.Folds {
		for k := range new.Folds {
			if sameFold(&old.Folds[i], &new.Folds[k], m) {
				n++
				break
			}
		}
	}
	return n
}

// drifts is how far in all holes, folds and faces of one name lie apart.
func drifts(old, new *panel.Flat, m plane.Affine) float64 {
	d := 0.0
	for _, a := range old.Points {
		for _, b := range new.Points {
			if a.Name == b.Name {
				d += m.Apply(a.At).Dist(b.At)
			}
		}
	}
	for _, a := range old.Folds {
		for _, b := range new.Folds {
			if a.Name == b.Name {
				d += m.Apply(a.From.Lerp(a.To, 0.5)).Dist(b.From.Lerp(b.To, 0.5))
			}
		}
	}
	return d + m.Apply(old.Outer.Centroid()).Dist(new.Outer.Centroid())
}

func samePoint(a, b *panel.Point, m plane.Affine) bool {
	return a.Kind == b.Kind && math.Abs(a.Diameter-b.Diameter) <= 1e-6 && m.Apply(a.At).Near(b.At, metalTol) &&
		math.Abs(m.Vec(a.Dir).Cross(b.Dir)) <= 1e-6
}

func sameFold(a, b *panel.FlatFold, m plane.Affine) bool {
	if a.Down != b.Down || !sameBend(a, b) {
		return false
	}
	p, q := m.Apply(a.From), m.Apply(a.To)
	return p.Near(b.From, metalTol) && q.Near(b.To, metalTol) || p.Near(b.To, metalTol) && q.Near(b.From, metalTol)
}

func sameBend(a, b *panel.FlatFold) bool {
	return math.Abs(a.Bend.Angle-b.Bend.Angle) <= 1e-8 && math.Abs(a.Bend.Radius-b.Bend.Radius) <= 1e-9 && math.Abs(a.Bend.K-b.Bend.K) <= 1e-9
}

// apart is how far two outlines lie from each other: the largest distance from a
// corner or an edge's middle of one to the other.
func apart(a, b plane.Loop) float64 {
	d := 0.0
	for _, pair := range [2][2]plane.Loop{{a, b}, {b, a}} {
		other := plane.Region{pair[1]}
		for _, e := range pair[0].Edges() {
			for _, p := range [2]plane.Point{e.From, e.Mid()} {
				far, _ := other.DistanceTo(p)
				d = max(d, far)
			}
		}
	}
	return d
}
