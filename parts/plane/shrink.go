package plane

// convexPolygon tells whether a loop is a convex polygon of straight edges, each
// longer than Tol and each corner a clear turn to the left.
func convexPolygon(l Loop) bool {
	n := len(l)
	if n < 3 || n > 16 || !finite(l) {
		return false
	}
	for i, v := range l {
		if v.Bulge != 0 {
			return false
		}
		a, b := l[(i+1)%n].P.Sub(v.P), l[(i+2)%n].P.Sub(l[(i+1)%n].P)
		la, lb := a.Len(), b.Len()
		if !(la > Tol && lb > Tol) || !(a.Cross(b) > float64(1e-6*la*lb)) {
			return false
		}
	}
	return l.Area() > 0
}

// shrunk is a convex polygon with every edge moved in by d: what is left when each
// moved edge's line cuts it in turn. Corners stay sharp, as they do in any inward offset.
func shrunk(l Loop, d float64) Region {
	n := len(l)
	left := make([]Point, n, 2*n)
	for i, v := range l {
		left[i] = v.P
	}
	cut := make([]Point, 0, 2*n)
	for i, v := range l {
		in := l[(i+1)%n].P.Sub(v.P).Unit().Perp()
		line := in.Dot(v.P) + d
		cut = cut[:0]
		for j, p := range left {
			q := left[(j+1)%len(left)]
			hp, hq := in.Dot(p)-line, in.Dot(q)-line
			if hp >= 0 {
				cut = append(cut, p)
			}
			if (hp > 0 && hq < 0) || (hp < 0 && hq > 0) {
				cut = append(cut, p.Lerp(q, hp/(hp-hq)))
			}
		}
		left, cut = cut, left
	}
	out := make(Loop, 0, len(left))
	for _, p := range left {
		if k := len(out); k == 0 || out[k-1].P.Dist(p) > Tol {
			out = append(out, Vertex{P: p})
		}
	}
	if k := len(out); k > 1 && out[0].P.Dist(out[k-1].P) <= Tol {
		out = out[:k-1]
	}
	if len(out) < 3 || !(out.Area() > float64(Tol*out.Length())) { // a sliver thinner than Tol
		return nil
	}
	return Region{out}
}
