package cutplan

import "perch/parts/plane"

// A contour that is cut right after its neighbour is cut in warm metal, and thin
// sheet warps. So of the orders that travel little the one is taken that goes on
// next door least often. How far and how much are choices of ours, no source.
const (
	// HeatReach is how far, in mm, a contour warms what is beside it.
	HeatReach = 60
	// HeatTravel is the share of the shortest travel that may be added to spread heat.
	HeatTravel = 0.04
	// heatTries is how many changes of a tour are tried for it.
	heatTries = 40_000
	// heatWork bounds the tries of long tours: cuts looked at in all.
	heatWork = 40_000_000
)

// nearness is, for each two cuts, 1 where their contours touch, falling to 0 where
// they are HeatReach apart. A hole and its own outline count like any others.
func nearness(cuts []Cut) [][]float64 {
	out := make([][]float64, len(cuts))
	boxes := make([]plane.Box, len(cuts))
	for i := range cuts {
		out[i] = make([]float64, len(cuts))
		boxes[i] = cuts[i].Contour.Bounds()
	}
	places := plane.NewPlaces(boxes)
	var near []int
	for i := range cuts {
		near = places.Near(boxes[i].Grow(HeatReach), near[:0])
		for _, k := range near {
			if k < i {
				out[i][k] = cuts[i].nearness(&cuts[k])
				out[k][i] = out[i][k]
			}
		}
	}
	return out
}

// nearness is what two cuts warm each other, from 0 to 1.
func (c *Cut) nearness(d *Cut) float64 {
	far, _, _ := plane.Distance(plane.Region{c.Contour}, plane.Region{d.Contour})
	return max(0, 1-float64(far/HeatReach))
}

// heat is how much is cut in warm metal: the nearness of each cut to the one
// before it, and half of that to the one before that.
func (t *tour) heat(o []int) float64 {
	if t.near == nil { // of so many cuts that it was not spread
		return 0
	}
	var s float64
	for i := 1; i < len(o); i++ {
		s += t.near[o[i]][o[i-1]]
		if i > 1 {
			s += float64(t.near[o[i]][o[i-2]] / 2)
		}
	}
	return s
}

// spread changes a tour so that it goes on next door less often, as long as its
// travel grows by HeatTravel at most and no rule of order is broken.
func (t *tour) spread(o []int) []int {
	if len(o) < 3 || len(o) > manyCuts {
		return o
	}
	most := t.length(o) * (1 + HeatTravel)
	heat, length := t.heat(o), t.length(o)
	q := append([]int(nil), o...)
	for range min(heatTries, heatWork/len(o)) {
		if t.stop != nil && t.stop.Err() != nil {
			break
		}
		copy(q, o)
		if t.random(2) == 0 {
			t.shift(q, t.random(len(q)))
		} else if !t.swap(q, t.random(len(q)), t.random(len(q))) {
			continue
		}
		h := t.heat(q)
		if h > heat {
			continue
		}
		if l := t.length(q); l <= most && (h < heat-1e-9 || l < length-1e-9) {
			heat, length = h, l
			o, q = q, o
		}
	}
	return o
}

// swap exchanges two cuts, if the rules of order allow it.
func (t *tour) swap(o []int, i, j int) bool {
	if i > j {
		i, j = j, i
	}
	if i == j || t.must[o[j]][o[i]] {
		return false
	}
	for k := i + 1; k < j; k++ {
		if t.must[o[k]][o[i]] || t.must[o[j]][o[k]] {
			return false
		}
	}
	o[i], o[j] = o[j], o[i]
	return true
}
