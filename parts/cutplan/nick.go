package cutplan

import (
	"math"

	"perch/parts/plane"
)

// Nick is a small V in a blank's outline that tells a fold.
type Nick struct {
	At    plane.Point // at the metal's edge
	In    plane.Point // unit, into the metal
	Depth float64     // in the metal, from At along In, once it is cut
}

// nickTol is how far, in mm, a nick may be off its depth. A choice of ours: a fifth of what
// a plasma table's edges vary by.
const nickTol = 0.1

// left is how deep the nick is in the metal when a circle of that radius is led along the
// path: the farthest point of the nick's axis that it covers. −Inf where the path does not
// come by.
//
// At a place x beside the axis and y along it the circle covers the axis down to y +
// √(r² − x²). Along a straight line y = y₀ + m·x that is most where x = r·m/√(1 + m²), or
// at an end. Arcs are taken at their ends and places between.
func (n Nick) left(path []plane.Edge, r float64) float64 {
	most := math.Inf(-1)
	side := n.In.Perp()
	reach := n.Depth + r // the torch that cuts the nick goes no farther in
	try := func(p plane.Point) {
		x, y := side.Dot(p.Sub(n.At)), n.In.Dot(p.Sub(n.At))
		if h := (r - x) * (r + x); h >= 0 && math.Abs(y) <= reach {
			most = max(most, y+math.Sqrt(h))
		}
	}
	const between = 16 // places on an arc
	for _, e := range path {
		try(e.From)
		try(e.To)
		if e.Bulge != 0 {
			for k := 1; k < between; k++ {
				try(e.PointAt(float64(k) / between))
			}
			continue
		}
		dx, dy := side.Dot(e.To.Sub(e.From)), n.In.Dot(e.To.Sub(e.From))
		if dx == 0 {
			continue
		}
		m := dy / dx
		x := r * m / math.Sqrt(1+float64(m*m))
		if t := (x - side.Dot(e.From.Sub(n.At))) / dx; t > 0 && t < 1 {
			try(e.From.Lerp(e.To, t))
		}
	}
	return most
}

// cut tells whether the path cuts the nick as deep as it is to be.
func (n Nick) cut(path []plane.Edge, kerf float64) bool {
	return math.Abs(n.left(path, kerf/2)-n.Depth) <= nickTol
}

// nicksOn are how many of a part's nicks a path of the torch cuts.
func (p *Plan) nicksOn(part int, path []plane.Edge) int {
	count := 0
	for _, n := range p.Sheet.Parts[part].Nicks {
		if n.cut(path, p.Options.Kerf) {
			count++
		}
	}
	return count
}

// checkNicks errs with *NickError where a nick is not cut by one run of its blank's outline.
func (p *Plan) checkNicks() error {
	for i := range p.Cuts {
		c := &p.Cuts[i]
		if c.Inside {
			continue
		}
		for _, n := range p.Sheet.Parts[c.Part].Nicks {
			count, deepest := 0, 0.0
			for _, r := range c.Runs {
				deepest = max(deepest, n.left(r, p.Options.Kerf/2))
				if n.cut(r, p.Options.Kerf) {
					count++
				}
			}
			if count != 1 {
				return &NickError{Part: p.Sheet.Parts[c.Part].Name, At: n.At, Depth: deepest, Want: n.Depth}
			}
		}
	}
	return nil
}

// ccw is an outline counter-clockwise.
func ccw(l plane.Loop) plane.Loop {
	if l.Area() < 0 {
		return l.Reversed()
	}
	return l
}
