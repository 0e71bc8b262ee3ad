// Package stool builds a square stool through the rooms that make bent parts: a cap
// with four flaps on four corner legs, riveted. The rooms that write files are
// tested on it; it is no part of the product.
package stool

import (
	"fmt"

	"perch/parts/join"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

const (
	seat, foot, height = 320.0, 448.0, 610.0
	sheet              = 1.5 // thickness and inside radius
	neutral            = 0.33
	flap               = 70.0
	toe, head          = 40.0, 75.0 // cheeks' widths below and above
	clear              = 3.0        // under the seat
)

// Assembly returns a new copy of the whole.
func Assembly() (*panel.Assembly, error) {
	outer, err := solid.Frustum(4, seat, foot, height)
	if err != nil {
		return nil, err
	}
	inner, err := outer.Inset(sheet, sheet, 0)
	if err != nil {
		return nil, err
	}
	panels := []*panel.Panel{capPanel(outer)}
	for _, c := range inner.Corners() {
		panels = append(panels, leg(c))
	}
	parts := make([]panel.Part, len(panels))
	for i, p := range panels {
		f, err := panel.Unfold(p, panel.Options{})
		if err != nil {
			return nil, fmt.Errorf("%s: %w", p.Name, err)
		}
		parts[i] = panel.Part{Name: p.Name, Family: p.Name[:3], Flat: f}
	}
	fixings, err := rivet(parts, inner)
	if err != nil {
		return nil, err
	}
	return assemble(parts, fixings), nil
}

func stock() shop.Stock {
	return shop.Stock{Name: "shell", Material: "mild_steel", Thickness: sheet, Radius: sheet, Density: 7850}
}

func polygon(pts ...plane.Point) plane.Region {
	var l plane.Loop
	for _, p := range pts {
		l = append(l, plane.Vertex{P: p})
	}
	return plane.Region{l}
}

func capPanel(b *solid.Body) *panel.Panel {
	slot := plane.Loop{
		{P: plane.Point{X: -34, Y: -16}}, {P: plane.Point{X: 34, Y: -16}, Bulge: 1},
		{P: plane.Point{X: 34, Y: 16}}, {P: plane.Point{X: -34, Y: 16}, Bulge: 1},
	}
	p := &panel.Panel{Name: "cap", Stock: stock()}
	p.Faces = append(p.Faces, panel.Face{Name: "top", Frame: b.Top(), Outline: plane.Region{plane.Rect(seat, seat)},
		Cuts: []panel.Cut{{Name: "hand", Region: plane.Region{slot}}}})
	for k, s := range b.Sides() {
		band := s.Band(s.Slant()-flap, s.Slant())
		name := fmt.Sprintf("flap.%d", s.Number())
		p.Faces = append(p.Faces, panel.Face{Name: name, Frame: s.Frame(), Outline: polygon(band[:]...)})
		p.Folds = append(p.Folds, panel.Fold{Name: "top/" + name, A: 0, B: k + 1, Radius: sheet, K: neutral, Relief: panel.ReliefRound})
		p.Seams = append(p.Seams, panel.Seam{Name: "corner", A: k + 1, B: (k+1)%4 + 1, Gap: 1})
	}
	return p
}

func leg(c solid.Corner) *panel.Panel {
	low, high := c.PointAt(0), c.PointAt(height-sheet-clear)
	cheek := func(s solid.Side, name string, sign float64) panel.Face {
		f := s.Frame()
		a, b := f.Local(low), f.Local(high)
		out := func(p plane.Point, d float64) plane.Point { return plane.Point{X: p.X + float64(sign*d), Y: p.Y} }
		if sign > 0 {
			return panel.Face{Name: name, Frame: f, Outline: polygon(a, out(a, toe), out(b, head), b)}
		}
		return panel.Face{Name: name, Frame: f, Outline: polygon(out(a, toe), a, b, out(b, head))}
	}
	return &panel.Panel{Name: fmt.Sprintf("leg.%d", c.Number()), Stock: stock(),
		Faces: []panel.Face{cheek(c.Left(), "left", -1), cheek(c.Right(), "right", 1)},
		Folds: []panel.Fold{{Name: "left/right", A: 0, B: 1, Radius: sheet, K: neutral}},
	}
}

// fixing is a rivet with the parts it holds.
type fixing struct {
	join.Fixing
	parts []int
}

// rivet fastens each cheek to its flap and makes the holes in the flats.
func rivet(parts []panel.Part, b *solid.Body) ([]fixing, error) {
	var out []fixing
	for i, c := range b.Corners() {
		for face, s := range []solid.Side{c.Left(), c.Right()} {
			members := []join.Member{{Flat: parts[0].Flat, Face: s.Number()}, {Flat: parts[i+1].Flat, Face: face}}
			patch, err := join.Contact(members, 0)
			if err != nil {
				return nil, err
			}
			f := join.Fastener{Kind: "rivet", Diameter: 4.8, Hole: 4.9, Count: 2}
			places, err := join.Pattern(patch, f)
			if err != nil {
				return nil, err
			}
			fixed, err := join.Fix("head", len(out)+1, patch, f, places)
			if err != nil {
				return nil, err
			}
			for _, x := range fixed {
				out = append(out, fixing{x, []int{0, i + 1}})
			}
		}
	}
	for _, x := range out {
		for _, m := range x.Members {
			f := parts[x.parts[m.Member]].Flat
			f.Points = append(f.Points, m.Point)
		}
	}
	return out, nil
}

func assemble(parts []panel.Part, fixings []fixing) *panel.Assembly {
	blanks, copies := panel.Group(parts)
	a := &panel.Assembly{Design: "Workshop stool", Revision: "A", Size: "mid", Blanks: blanks}
	a.Values = []panel.Value{{Name: "height", Value: height, Unit: "mm", From: "default", Where: "stool.perch:9:7"}}
	for _, c := range copies {
		a.Copies = append(a.Copies, c.Copy)
	}
	for _, x := range fixings {
		j := panel.JoinPoint{Name: x.Name, Kind: x.Kind, Diameter: x.Diameter, At: x.At, Axis: x.Axis, Grip: x.Grip}
		for _, m := range x.Members {
			part := x.parts[m.Member]
			name, _ := copies[part].Point(m.Point.Name)
			j.Members = append(j.Members, panel.JoinMember{Copy: part, Point: name})
		}
		a.Joins = append(a.Joins, j)
	}
	return a
}
