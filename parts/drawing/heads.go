package drawing

import (
	"math"

	"perch/parts/join"
	"perch/parts/panel"
	"perch/parts/solid"
	"perch/solver/elementary"
)

const (
	headSides = 10   // of a round head as it is drawn
	nutSides  = 6    // of a bolt's
	headHigh  = 0.08 // how far over the sheet a head is drawn, in its diameters
	tailWide  = 0.75 // of a rivet's tail to its head (common practice, no source)
	weldWide  = 1.5  // mm on either side of a bead's line
)

// headsOf are a fastener's ends as they are seen: a rivet's head and tail round, a bolt's
// six-sided, a plug a round spot, a tack or bead along an edge a stripe. A head is as wide as
// the shop's, else two diameters (common practice, no source).
func headsOf(a *panel.Assembly, j *panel.JoinPoint) []Facet {
	first, last := 0, 0
	if n := len(j.Members); n > 0 {
		first, last = j.Members[0].Copy, j.Members[n-1].Copy
	}
	for _, of := range [2]int{first, last} {
		if of < 0 || of >= len(a.Copies) {
			return nil
		}
	}
	wide := j.Head
	if wide <= 0 {
		wide = 2 * j.Diameter
	}
	out := j.Axis.Neg()
	inner := j.At.Add(j.Axis.Scale(j.Grip))
	switch {
	case j.Line != nil:
		return stripe(j, first)
	case j.Kind == join.Plug:
		return []Facet{disc(j.At, out, j.Diameter, headSides, first)}
	case j.Kind == join.Bolt:
		return []Facet{disc(j.At, out, wide, nutSides, first), disc(inner, j.Axis, wide, nutSides, last)}
	case j.Kind == join.Rivet:
		return []Facet{disc(j.At, out, wide, headSides, first), disc(inner, j.Axis, float64(tailWide*wide), headSides, last)}
	}
	return nil
}

// disc is a head over a point of a sheet's surface.
func disc(at, normal solid.Vec, wide float64, sides, of int) Facet {
	x := normal.Cross(solid.Vec{Z: 1})
	if x.Len() < 0.1 {
		x = normal.Cross(solid.Vec{X: 1})
	}
	x = x.Unit()
	y := normal.Cross(x)
	centre := at.Add(normal.Scale(headHigh * wide))
	f := Facet{Normal: normal, Of: of}
	for k := range sides {
		sin, cos := elementary.Sincos(2 * math.Pi * float64(k) / float64(sides))
		f.Outer = append(f.Outer, centre.Add(x.Scale(float64(cos*wide)/2)).Add(y.Scale(float64(sin*wide)/2)))
	}
	return f
}

// stripe is a weld along its line, on the outermost sheet's outside.
func stripe(j *panel.JoinPoint, of int) []Facet {
	a, b := j.Line[0], j.Line[1]
	u := b.Sub(a).Unit()
	n := j.Axis.Neg()
	side := n.Cross(u)
	if side.Len() < 0.1 {
		return nil
	}
	side = side.Unit().Scale(weldWide)
	n = u.Cross(side).Unit()
	up := n.Scale(weldWide / 2)
	return []Facet{{Outer: []solid.Vec{a.Sub(side).Add(up), b.Sub(side).Add(up), b.Add(side).Add(up), a.Add(side).Add(up)}, Normal: n, Of: of}}
}
