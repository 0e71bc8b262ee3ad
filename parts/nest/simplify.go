package nest

import (
	"math"

	"perch/parts/plane"
)

// mostVertices of an outline in the search; more are simplified away. A no-fit shape
// costs as the fourth power of the outlines' vertices, and there is one for every two
// blanks and rotations: where blanks are many they have fewer, down to leastVertices.
const (
	mostVertices  = 60
	leastVertices = 20
)

// vertices is how many an outline may have in a search of so many different ones.
func vertices(outlines int) int { return max(leastVertices, min(mostVertices, 600/max(outlines, 1))) }

// simplified is a polygon with holes that holds r grown by grow: outlines are
// grown by the tolerance too, arcs become chords and corners that matter no more
// than the tolerance are left out. The tolerance grows until the polygon is simple
// enough for the search; a shape with few straight edges is taken as it is.
// Holes into which nothing of the given width fits are filled.
func simplified(r plane.Region, grow, narrowest float64, most int) (outer []point, holes [][]point) {
	size := r.Bounds().Size()
	tol := 0.0
	if !straight(r) || edges(r) > most/2 {
		tol = max(0.1, float64(2e-4*max(size.X, size.Y)))
	}
	for {
		g := r
		if grow+tol != 0 {
			g = plane.OffsetMiter(r, grow+tol, miterLimit)
		}
		n := 0
		outer, holes = nil, nil
		var area float64
		for _, l := range g {
			p := thin(plane.Flatten(l, max(tol/2, 1e-3)), tol/2)
			switch a := l.Area(); {
			case a > area:
				// What grows stays in one piece; a second would be a hole's island.
				outer, area = p, a
			case a < 0:
				if s := l.Bounds().Size(); min(s.X, s.Y) >= narrowest {
					holes = append(holes, p)
					n += len(p)
				}
			}
		}
		if n+len(outer) <= most || tol > 0.02*max(size.X, size.Y) {
			return outer, holes
		}
		tol = max(float64(1.6*tol), 0.1)
	}
}

// miterLimit keeps corners down to 60° sharp; others are rounded.
const miterLimit = 2.01

func straight(r plane.Region) bool {
	for _, l := range r {
		for _, v := range l {
			if v.Bulge != 0 {
				return false
			}
		}
	}
	return true
}

func edges(r plane.Region) int {
	n := 0
	for _, l := range r {
		n += len(l)
	}
	return n
}

// thin leaves out points of a closed polygon that lie within tol of the chords left
// (Douglas and Peucker), from two points far apart. A result that crosses itself is
// not taken.
func thin(p []point, tol float64) []point {
	if tol <= 0 || len(p) < 5 {
		return p
	}
	far := 0
	for i := range p {
		if p[i].Dist(p[0]) > p[far].Dist(p[0]) {
			far = i
		}
	}
	keep := make([]bool, len(p))
	keep[0], keep[far] = true, true
	var halve func(i, j int)
	halve = func(i, j int) {
		worst, at := tol, -1
		e := plane.Edge{From: p[i], To: p[j%len(p)]}
		for k := i + 1; k < j; k++ {
			if d := e.Nearest(p[k]).Dist(p[k]); d > worst {
				worst, at = d, k
			}
		}
		if at >= 0 {
			keep[at] = true
			halve(i, at)
			halve(at, j)
		}
	}
	halve(0, far)
	halve(far, len(p))
	var out []point
	var loop plane.Loop
	for i, v := range p {
		if keep[i] {
			out = append(out, v)
			loop = append(loop, plane.Vertex{P: v})
		}
	}
	if plane.Check(loop) != nil {
		return p
	}
	return out
}

// narrow is the least width of r's box over all turns in whole steps of 5°.
func narrow(r plane.Region) float64 {
	least := math.Inf(1)
	for d := 0.0; d < 90; d += 5 {
		c, s := plane.Turned(d)
		b := r.Transform(plane.Affine{A: c, B: -s, C: s, D: c}).Bounds().Size()
		least = min(least, b.X, b.Y)
	}
	return least
}
