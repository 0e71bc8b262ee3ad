package drawing

import (
	"fmt"
	"math"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
)

// Surface is a flat piece of a picture: filled by parity, with the edges that are drawn on it.
type Surface struct {
	Loops [][]plane.Point
	Edges [][2]plane.Point
	Light float64 // 0 to 1, of the lamp on it
	Tint  int     // the stock's number
}

// Orthographic gives what is seen of facets from so far away that lines that are parallel stay
// so: surfaces from back to front, in mm of the piece, y down, and the box around them. From
// points at the eye; up shows up on the page. Where a face goes over into a bend there is a
// line, as in any drawing of bent sheet. It is an error for there to be nothing to draw,
// or a number that is not finite.
func Orthographic(facets []Facet, from, up solid.Vec) ([]Surface, plane.Box, error) {
	lo, hi, err := extent(facets)
	if err != nil {
		return nil, plane.Box{}, fmt.Errorf("view: %w", err)
	}
	const away = 1e4 // in sizes of the piece: parallel to within what is drawn
	ahead := from.Unit().Neg()
	right := ahead.Cross(up).Unit()
	top := right.Cross(ahead)
	eye := lo.Add(hi).Scale(0.5).Sub(ahead.Scale(away * hi.Sub(lo).Len()))
	light := lightFrom.Unit()
	box := plane.EmptyBox()
	var out []Surface
	lined := make([]Facet, len(facets))
	for i, f := range facets {
		if lined[i] = f; !f.Bend {
			lined[i].Soft = nil
		}
	}
	for _, piece := range backToFront(lined, eye) {
		s := Surface{Light: shade(piece.facet.Normal, light), Tint: piece.facet.Tint}
		for k, l := range piece.loops {
			pts := make([]plane.Point, len(l))
			for i, q := range l {
				pts[i] = plane.Point{X: q.Dot(right), Y: -q.Dot(top)}
				box = box.With(pts[i])
			}
			for i := range pts {
				if piece.drawn[k][i] {
					s.Edges = append(s.Edges, [2]plane.Point{pts[i], pts[(i+1)%len(pts)]})
				}
			}
			s.Loops = append(s.Loops, pts)
		}
		out = append(out, s)
	}
	if len(out) == 0 || math.IsInf(box.Size().X, 0) {
		return nil, box, fmt.Errorf("view: nothing shows from there")
	}
	return out, box, nil
}

// Seen is where a point of space lies in an Orthographic picture.
func Seen(q, from, up solid.Vec) plane.Point {
	ahead := from.Unit().Neg()
	right := ahead.Cross(up).Unit()
	return plane.Point{X: q.Dot(right), Y: -q.Dot(right.Cross(ahead))}
}

// BlankFacets gives a blank's surfaces bent up, with its root face as it lies in the flat.
func BlankFacets(b *panel.Blank) ([]Facet, error) {
	if b.Flat == nil || b.Flat.Panel == nil {
		return nil, fmt.Errorf("view: blank %q has no flat", b.Name)
	}
	return partFacets(b, 0, sagOf(alone(b)), false), nil
}

// alone is an assembly of one copy of a blank, where it lies in the flat.
func alone(b *panel.Blank) *panel.Assembly {
	return &panel.Assembly{Blanks: []*panel.Blank{b}, Copies: []panel.Copy{{Matrix: panel.Matrix{0: 1, 5: 1, 10: 1, 15: 1}}}}
}
