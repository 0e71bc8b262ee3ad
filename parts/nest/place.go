package nest

import "math"

// Sampling: how many places are looked at for one move.
const (
	farSamples   = 24 // anywhere in the bins
	nearSamples  = 8  // about where the item lies
	touchSamples = 16 // where its outline would touch two corners or edges of a neighbour
	keptSamples  = 3  // of these, moved downhill
)

// spot is a place for an item with its weighted overlap.
type spot struct {
	pose, bin int
	x, y      float64
	cost      float64
}

// relocate moves item i to the best place found for it and tells whether its
// weighted overlap fell.
func (s *search) relocate(i int) bool {
	now := spot{s.at.pose[i], s.at.bin[i], s.at.x[i], s.at.y[i], s.weighted(i)}
	var best [keptSamples]spot
	n := 0
	try := func(pose, bin int, x, y float64) {
		limit := math.Inf(1)
		if n == keptSamples {
			limit = best[n-1].cost
		}
		c := s.cost(i, pose, x, y, limit)
		if c >= limit {
			return
		}
		if n < keptSamples {
			n++
		}
		k := n - 1
		for ; k > 0 && best[k-1].cost > c; k-- {
			best[k] = best[k-1]
		}
		best[k] = spot{pose, bin, x, y, c}
	}
	s.sample(i, now, try)
	result := s.descend(i, now, 0.02, s.fine)
	for k := range n {
		c := s.descend(i, best[k], 0.1, 0.01*s.m.items[i].size)
		if c.cost < result.cost {
			c = s.descend(i, c, 0.01, s.fine)
		}
		if c.cost < result.cost {
			result = c
		}
	}
	if result.cost >= now.cost {
		return false
	}
	s.put(i, result.pose, result.bin, result.x, result.y)
	s.row(i)
	return true
}

func (s *search) sample(i int, now spot, try func(pose, bin int, x, y float64)) {
	it := &s.m.items[i]
	for range farSamples {
		pose, bin := it.poses[s.rnd.below(len(it.poses))], s.anyBin()
		if x0, y0, x1, y1, ok := s.room(pose, bin); ok {
			try(pose, bin, s.rnd.between(x0, x1), s.rnd.between(y0, y1))
		}
	}
	for k := range nearSamples {
		pose := now.pose
		if k%2 == 1 {
			pose = it.poses[s.rnd.below(len(it.poses))]
		}
		x0, y0, x1, y1, ok := s.room(pose, now.bin)
		if !ok {
			continue
		}
		b, c := &s.m.poses[pose].box, &s.m.poses[now.pose].box
		mid := c.Center().Sub(b.Center())
		r := float64(it.size / 4)
		x, y := now.x+mid.X+s.rnd.between(-r, r), now.y+mid.Y+s.rnd.between(-r, r)
		try(pose, now.bin, clamp(x, x0, x1), clamp(y, y0, y1))
	}
	if s.all < 2 {
		return
	}
	for range touchSamples {
		pose := it.poses[s.rnd.below(len(it.poses))]
		j := s.rnd.below(s.all)
		if j == i {
			continue
		}
		l, shift := s.link(s.at.pose[j], pose), point{}
		if l.f == nil {
			t := &l.terms[s.rnd.below(len(l.terms))]
			l, shift = &t.l, t.shift
		}
		if len(l.f.segs) == 0 {
			continue
		}
		g := &l.f.segs[s.rnd.below(len(l.f.segs))]
		x, y := l.world(g.ax, g.ay)
		x, y = s.at.x[j]+x-shift.X, s.at.y[j]+y-shift.Y
		bin := s.at.bin[j]
		if j >= s.n {
			bin = s.binAt(x, y)
		}
		if x0, y0, x1, y1, ok := s.room(pose, bin); ok && x >= x0 && x <= x1 && y >= y0 && y <= y1 {
			try(pose, bin, x, y)
		}
	}
}

// world undoes local.
func (l *link) world(x, y float64) (dx, dy float64) {
	dx, dy = float64(l.cos*x)-float64(l.sin*y), float64(l.sin*x)+float64(l.cos*y)
	if l.swap {
		dx, dy = -dx, -dy
	}
	return dx, dy
}

func (s *search) anyBin() int {
	if len(s.bins) == 1 {
		return 0
	}
	return s.rnd.below(len(s.bins))
}

// binAt is the bin whose box is nearest to a place.
func (s *search) binAt(x, y float64) int {
	best, least := 0, math.Inf(1)
	for k := range s.bins {
		b := &s.bins[k].box
		d := max(b.Min.X-x, x-b.Max.X, 0) + max(b.Min.Y-y, y-b.Max.Y, 0)
		if d < least {
			best, least = k, d
		}
	}
	return best
}

// descend moves a spot downhill along the axes and diagonals, with steps from
// first (of the item's size) down to last (a length).
func (s *search) descend(i int, at spot, first, last float64) spot {
	x0, y0, x1, y1, ok := s.room(at.pose, at.bin)
	if !ok || at.cost == 0 {
		return at
	}
	const diagonal = math.Sqrt2 / 2
	axis := s.rnd.below(4)
	failed := 0
	for step := float64(first * s.m.items[i].size); step > last && at.cost > 0; {
		dx, dy := step, 0.0
		switch axis {
		case 1:
			dx, dy = 0, step
		case 2:
			dx, dy = step*diagonal, step*diagonal
		case 3:
			dx, dy = step*diagonal, -step*diagonal
		}
		moved := false
		for _, sign := range [2]float64{1, -1} {
			x, y := clamp(at.x+float64(sign*dx), x0, x1), clamp(at.y+float64(sign*dy), y0, y1)
			if x == at.x && y == at.y {
				continue
			}
			if c := s.cost(i, at.pose, x, y, at.cost); c < at.cost {
				at.x, at.y, at.cost = x, y, c
				moved = true
				break
			}
		}
		if moved {
			failed = 0
			step *= 1.3
			continue
		}
		axis = (axis + 1) % 4
		if failed++; failed == 4 {
			failed = 0
			step *= 0.4
		}
	}
	return at
}
