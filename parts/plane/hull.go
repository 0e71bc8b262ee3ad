package plane

import (
	"cmp"
	"slices"
)

// Hull is the convex hull of points, anticlockwise from its leftmost, the lowest of these;
// no three of its corners lie on one line. Points on one line have two corners, equal ones
// one (Andrew, Another efficient algorithm for convex hulls in two dimensions, 1979).
func Hull(points []Point) []Point {
	p := slices.Clone(points)
	slices.SortFunc(p, func(a, b Point) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	p = slices.Compact(p)
	if len(p) < 3 {
		return p
	}
	var out []Point
	for range 2 { // the lower chain, then the upper one backwards
		from := len(out)
		for _, v := range p {
			for len(out) >= from+2 && Orient(out[len(out)-2], out[len(out)-1], v) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, v)
		}
		out = out[:len(out)-1]
		slices.Reverse(p)
	}
	return out
}
