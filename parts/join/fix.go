package join

import (
	"strconv"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
)

// Fixing is one fastener through a patch.
type Fixing struct {
	Name     string // head.1
	Kind     string
	Diameter float64
	At       solid.Vec     // where its axis meets the outermost sheet's free surface
	Axis     solid.Vec     // unit, inward
	Grip     float64       // from free surface to free surface, mm; of a bead along an edge the thinner sheet
	Line     *[2]solid.Vec // of a tack or weld, from its one end to the other; nil for the others
	Members  []Spot        // outermost first
}

// Spot is what a fixing makes on one member.
type Spot struct {
	Member int // index of Patch.Members
	Point  panel.Point
}

// Fix turns places on a patch into fixings named name.first, name.(first+1) and so on,
// with a point in every member's flat: a rivet's or bolt's hole (marked and drilled where
// the cutter can't make it round), a plug's hole in the outermost sheet and a mark on
// the others, a tack's mark on all. A plug goes through the thinner end of the stack, a
// fastener whose head lies inside from there.
func Fix(name string, first int, p Patch, f Fastener, places []Place) ([]Fixing, error) {
	f, err := f.withRules(p)
	if err != nil {
		return nil, err
	}
	if n := len(p.Order); f.Kind == Plug && p.thickness(p.Order[n-1]) < p.thickness(p.Order[0])-1e-9 {
		p = p.turned()
	}
	if f.Inner {
		p = p.turned()
	}
	normal := p.Frame.Normal()
	out := make([]Fixing, len(places))
	for i, place := range places {
		foot := p.Frame.At(place.At)
		fix := Fixing{
			Name: name + "." + strconv.Itoa(first+i), Kind: f.Kind, Diameter: f.Diameter,
			At:   foot.Add(normal.Scale(p.Outside)),
			Axis: normal.Scale(p.Inward), Grip: p.Grip, Members: make([]Spot, 0, len(p.Order)),
		}
		if place.Dir != (plane.Point{}) {
			half := p.Frame.Dir(place.Dir).Scale(f.Diameter / 2)
			fix.Line = &[2]solid.Vec{fix.At.Sub(half), fix.At.Add(half)}
		}
		for k, m := range p.Order {
			spot := Spot{Member: m, Point: p.Members[m].point(foot, p.Frame.Dir(place.Dir))}
			spot.Point.Name = fix.Name
			spot.Point.Kind, spot.Point.Diameter = f.making(k, p.thickness(m))
			if spot.Point.Kind == panel.Drill && p.Members[m].Flat.Open(spot.Point) {
				spot.Point.Kind = panel.Hole // the part has an opening there: nothing to drill
			}
			if !spot.Point.Marked() {
				spot.Point.Dir = plane.Point{}
			} else if spot.Point.Dir != (plane.Point{}) {
				spot.Point = p.Members[m].atEdge(spot.Point, TouchTol)
			}
			fix.Members = append(fix.Members, spot)
		}
		out[i] = fix
	}
	return out, nil
}

// making is what the fastener makes in the k-th sheet from outside.
func (f Fastener) making(k int, thickness float64) (panel.PointKind, float64) {
	switch {
	case f.beads() || f.Kind == Plug && k > 0:
		return f.marking(), f.Diameter
	case f.Round != nil && f.Hole < f.Round(thickness):
		return panel.Drill, f.Hole
	case f.Kind == Plug:
		return panel.Plug, f.Hole
	}
	return panel.Hole, f.Hole
}

// point drops a place of space square onto the member's face and takes it to the flat.
func (m Member) point(at, dir solid.Vec) panel.Point {
	face, frame := m.Flat.Faces[m.Face], m.Flat.FaceFrame(m.Face)
	return panel.Point{
		Face: m.Face,
		At:   face.ToFlat.Apply(frame.Local(at)),
		Dir:  face.ToFlat.Vec(frame.LocalDir(dir)),
	}
}
