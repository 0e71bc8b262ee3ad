package layout

import (
	"math"

	"perch/parts/plane"
)

// maxHalvings bounds the points of one arc to 2^7.
const maxHalvings = 7

// Polyline returns the loop's corners with its arcs broken into chords that
// leave them by at most sag mm, by halving: no trigonometry, so the same bits
// everywhere.
func Polyline(l plane.Loop, sag float64) []plane.Point {
	pts := make([]plane.Point, 0, len(l))
	for i, v := range l {
		pts = append(pts, v.P)
		if v.Bulge != 0 {
			pts = appendArc(pts, v.P, l[(i+1)%len(l)].P, v.Bulge, sag, maxHalvings)
		}
	}
	return pts
}

// OpenPolyline is Polyline of the path from the first to the last vertex.
func OpenPolyline(l plane.Loop, sag float64) []plane.Point {
	if len(l) == 0 {
		return nil
	}
	pts := []plane.Point{l[0].P}
	for i, v := range l[:len(l)-1] {
		if v.Bulge != 0 {
			pts = appendArc(pts, v.P, l[i+1].P, v.Bulge, sag, maxHalvings)
		}
		pts = append(pts, l[i+1].P)
	}
	return pts
}

// appendArc appends the points strictly between a and b. An arc's sagitta is
// bulge·chord/2; its halves have bulge b/(1 + √(1+b²)), as tan(x/2) from tan x.
func appendArc(pts []plane.Point, a, b plane.Point, bulge, sag float64, halvings int) []plane.Point {
	dx, dy := b.X-a.X, b.Y-a.Y
	rise := math.Abs(bulge) * math.Sqrt(float64(dx*dx)+float64(dy*dy)) / 2
	if !(rise > sag) || halvings == 0 {
		return pts
	}
	mid := Middle(a, b, bulge)
	half := bulge / (1 + math.Sqrt(1+float64(bulge*bulge)))
	pts = appendArc(pts, a, mid, half, sag, halvings-1)
	pts = append(pts, mid)
	return appendArc(pts, mid, b, half, sag, halvings-1)
}

// Middle returns the point half-way along the edge from a to b.
func Middle(a, b plane.Point, bulge float64) plane.Point {
	return plane.Point{
		X: float64((a.X+b.X)/2) + float64(bulge*(b.Y-a.Y)/2),
		Y: float64((a.Y+b.Y)/2) - float64(bulge*(b.X-a.X)/2),
	}
}

// Circle reports whether the loop is a full circle of two equal half arcs, with
// its centre and radius in mm.
func Circle(l plane.Loop) (centre plane.Point, radius float64, ok bool) {
	if len(l) != 2 || l[0].Bulge != l[1].Bulge || math.Abs(math.Abs(l[0].Bulge)-1) > 1e-12 {
		return centre, 0, false
	}
	a, b := l[0].P, l[1].P
	dx, dy := b.X-a.X, b.Y-a.Y
	return plane.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}, math.Sqrt(float64(dx*dx)+float64(dy*dy)) / 2, true
}
