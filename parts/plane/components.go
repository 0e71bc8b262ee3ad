package plane

// Components splits a region into its connected pieces, each an outer loop and
// its holes, in the order of the outer loops. A hole that no outer loop holds is
// left out.
func (r Region) Components() []Region {
	if len(r) == 1 {
		if r[0].Area() > 0 {
			return []Region{r[:1:1]}
		}
		return nil
	}
	var out []Region
	var areas []float64
	var boxes []Box
	for _, l := range r {
		if a := l.Area(); a > 0 {
			out = append(out, Region{l})
			areas = append(areas, a)
			boxes = append(boxes, l.Bounds())
		}
	}
	for _, l := range r {
		a := l.Area()
		if !(a < 0) {
			continue
		}
		box, best := l.Bounds(), -1
		for i := range out {
			if areas[i] < -a-Tol || (best >= 0 && areas[i] >= areas[best]) {
				continue
			}
			if boxes[i].Grow(Tol).Overlaps(box) && out[i][:1].holds(l) {
				best = i
			}
		}
		if best >= 0 {
			out[best] = append(out[best], l)
		}
	}
	return out
}

// holds tells whether a loop that does not cross r lies inside it: the first
// vertex or edge middle that is not on r's own edges decides.
func (r Region) holds(l Loop) bool {
	for i := range l {
		if s := r.Locate(l[i].P); s != On {
			return s == Inside
		}
		if s := r.Locate(l.Edge(i).Mid()); s != On {
			return s == Inside
		}
	}
	return true
}
