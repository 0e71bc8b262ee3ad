package nest

import "math"

// Guided separation: weights of pairs that stay in overlap grow, the deepest's
// fastest, others fall back; so a search leaves its local minima.
const (
	weightGrowLeast = 1.1
	weightGrowMost  = 1.7
	weightFall      = 0.95
)

// patience of a separation: rounds without a better sum, and strikes.
const (
	roundsWithout = 40
	strikes       = 3
)

// clear is what sum of depths counts as none: with the margin still between shapes.
func (s *search) clear() bool { return s.deepest() <= 0.9*s.m.margin }

// separate pushes items apart until none overlap, patience or work run out. The
// best layout seen is left; it tells whether that is free of overlaps.
func (s *search) separate(until int64) bool {
	s.resetWeights()
	best := s.at.clone()
	least := s.overlap()
	order := make([]int, 0, s.n)
	for strike := 0; strike < strikes; strike++ {
		before := least
		for idle := 0; idle < roundsWithout; idle++ {
			if s.clear() {
				return true
			}
			if s.work > until || s.m.stopped() {
				s.load(best)
				return false
			}
			s.fine = max(s.m.margin/4, 0.02*s.deepest())
			s.round(&order)
			if sum := s.overlap(); sum < least {
				if sum < 0.98*least {
					idle = 0
				}
				least = sum
				best.copyFrom(s.at)
			}
			s.guide()
		}
		if least < 0.98*before {
			strike = -1
		}
		s.load(best)
	}
	return s.clear()
}

// round moves every item that overlaps once, in random order.
func (s *search) round(order *[]int) {
	o := (*order)[:0]
	for i := range s.n {
		if s.weighted(i) > 0 {
			o = append(o, i)
		}
	}
	s.rnd.shuffle(o)
	for _, i := range o {
		if s.weighted(i) > 0 && !s.m.stopped() {
			s.relocate(i)
		}
	}
	*order = o
}

// guide sets the weights anew.
func (s *search) guide() {
	most := s.deepest()
	if most == 0 {
		return
	}
	for i := range s.n {
		for j := i + 1; j < s.all; j++ {
			k := i*s.all + j
			w := s.weight[k]
			if d := s.deep[k]; d > 0 {
				w *= weightGrowLeast + float64((weightGrowMost-weightGrowLeast)*(d/most))
			} else {
				w = math.Max(1, w*weightFall)
			}
			s.weight[k] = w
			s.weight[j*s.all+i] = w
		}
	}
}

// scatter puts every item at a random place in a random bin it fits into.
func (s *search) scatter() {
	for i := range s.n {
		s.throw(i)
	}
	s.measure()
}

// throw puts item i anywhere; false when it fits nowhere.
func (s *search) throw(i int) bool {
	poses := s.m.items[i].poses
	for range 100 {
		pose, bin := poses[s.rnd.below(len(poses))], s.anyBin()
		if x0, y0, x1, y1, ok := s.room(pose, bin); ok {
			s.put(i, pose, bin, s.rnd.between(x0, x1), s.rnd.between(y0, y1))
			return true
		}
	}
	return false
}
